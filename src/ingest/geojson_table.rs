//! GeoJSON: its features, and their values as text.
//!
//! RFC 7946 says WGS 84 and nothing else; files of before 2016 may carry a `crs` member, which
//! is honoured.

use super::IngestError;
use super::tables::number_text;
use geojson::{Feature, GeoJson};
use serde_json::Value;

/// The features of a GeoJSON file, and the EPSG code of its `crs` member if it has one.
///
/// # Errors
/// [`IngestError::Malformed`] when it is not GeoJSON, or not a collection of features.
pub(crate) fn features(bytes: &[u8], name: &str) -> Result<(Vec<Feature>, Option<String>), IngestError> {
    let malformed = |reason: String| IngestError::Malformed { file: name.to_string(), format: "GeoJSON", reason };
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let parsed: GeoJson = serde_json::from_slice(bytes).map_err(|e| malformed(e.to_string()))?;
    match parsed {
        GeoJson::FeatureCollection(c) => {
            let crs = c.foreign_members.as_ref().and_then(|m| m.get("crs")).and_then(epsg_of);
            Ok((c.features, crs))
        }
        GeoJson::Feature(f) => {
            let crs = f.foreign_members.as_ref().and_then(|m| m.get("crs")).and_then(epsg_of);
            Ok((vec![f], crs))
        }
        GeoJson::Geometry(_) => Err(malformed("a bare geometry has no properties; write a FeatureCollection".into())),
    }
}

/// `EPSG:2193` from `{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::2193"}}`;
/// `None` for CRS84 and EPSG:4326, which are what RFC 7946 means anyway.
fn epsg_of(crs: &Value) -> Option<String> {
    let name = crs["properties"]["name"].as_str()?;
    let upper = name.to_ascii_uppercase();
    let code = upper.contains("EPSG").then(|| upper.rsplit(':').next()).flatten()?;
    (code != "4326" && code.bytes().all(|b| b.is_ascii_digit())).then(|| format!("EPSG:{code}"))
}

/// The text of a feature's `id` member.
pub(crate) fn id_text(id: &geojson::feature::Id) -> String {
    match id {
        geojson::feature::Id::String(s) => s.clone(),
        geojson::feature::Id::Number(n) => json_number_text(n),
    }
}

/// The text of a property.
pub(crate) fn value_text(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(s) => s.clone(),
        Value::Number(n) => json_number_text(n),
        // Lists (of node pairs) as the words joined by semicolons.
        Value::Array(items) => items.iter().map(value_text).collect::<Vec<_>>().join(";"),
        other => other.to_string(),
    }
}

/// Whole numbers digit for digit (an id may be longer than a float holds), others as
/// [`number_text`].
fn json_number_text(number: &serde_json::Number) -> String {
    if number.is_i64() || number.is_u64() {
        number.to_string()
    } else {
        number.as_f64().map_or_else(|| number.to_string(), number_text)
    }
}
