//! GeoJSON: its features, and their values as text.
//!
//! RFC 7946 says WGS 84 and nothing else; files of before 2016 may carry a `crs` member, which
//! is honoured.

use crate::ingest::errors::IngestError;
use crate::ingest::table::number_text;
use geojson::{Feature, GeoJson};
use itertools::Itertools as _;
use serde_json::Value;
use std::collections::BTreeMap;

/// Features, the EPSG code of the `crs` member if there is one, and why the geometry of a feature cannot be
/// read.
pub(crate) type Features = (Vec<Feature>, Option<String>, BTreeMap<usize, String>);

/// The features of a GeoJSON file. A feature that cannot be read costs that feature, and is handed on without
/// a geometry.
///
/// # Errors
/// [`IngestError::Malformed`] when it is not GeoJSON, or not a collection of features.
pub(crate) fn features(bytes: &[u8], name: &str) -> Result<Features, IngestError> {
    let malformed =
        |reason: String| IngestError::Malformed { file: name.to_string(), format: "GeoJSON", reason };
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes)
        .map_err(|_| malformed("it is not UTF-8 text, which GeoJSON must be: save it as UTF-8".into()))?;
    let parsed: GeoJson = match serde_json::from_str(text) {
        Ok(parsed) => parsed,
        Err(e) => return one_by_one(text).ok_or_else(|| malformed(e.to_string())),
    };
    match parsed {
        GeoJson::FeatureCollection(c) => {
            let crs = c.foreign_members.as_ref().and_then(|m| m.get("crs")).and_then(epsg_of);
            Ok((c.features, crs, BTreeMap::new()))
        }
        GeoJson::Feature(f) => {
            let crs = f.foreign_members.as_ref().and_then(|m| m.get("crs")).and_then(epsg_of);
            Ok((vec![f], crs, BTreeMap::new()))
        }
        GeoJson::Geometry(_) => {
            Err(malformed("a bare geometry has no properties; write a FeatureCollection".into()))
        }
    }
}

/// The features of a collection in which some cannot be read; `None` when it is no collection of features at
/// all.
fn one_by_one(text: &str) -> Option<Features> {
    let whole: Value = serde_json::from_str(text).ok()?;
    let all = (whole["type"] == "FeatureCollection").then(|| whole["features"].as_array()).flatten()?;
    let mut unreadable = BTreeMap::new();
    let mut features = Vec::new();
    for (i, value) in all.iter().enumerate() {
        features.push(serde_json::from_value(value.clone()).unwrap_or_else(|e: serde_json::Error| {
            unreadable.insert(i, format!("has a geometry that cannot be read: {e}"));
            // What it says of itself is kept, so that it can be named.
            let mut rest = value.clone();
            rest["geometry"] = Value::Null;
            serde_json::from_value(rest).unwrap_or_default()
        }));
    }
    Some((features, epsg_of(&whole["crs"]), unreadable))
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
        Value::Array(items) => items.iter().map(value_text).join(";"),
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
