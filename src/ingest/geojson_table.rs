//! GeoJSON points as a table: properties are columns, the geometry gives the position.
//!
//! RFC 7946 says WGS 84 and nothing else; files of before 2016 may carry a `crs` member. It is
//! honoured: degrees become `decimalLongitude`, `decimalLatitude` and `geodeticDatum`, metres
//! become `easting`, `northing` and `crs`. A feature that is not a point is kept as a row with
//! a problem, so that it is counted. A feature without a property named for the specimen has
//! its `id` member tried instead.

use super::IngestError;
use super::columns::Column;
use super::tables::{Row, RowProblem, Table, number_text};
use geojson::{Feature, GeoJson, GeometryValue};
use serde_json::Value;
use std::collections::BTreeMap;

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

/// Reads points as a table.
///
/// # Errors
/// As [`features`].
pub(crate) fn read(bytes: &[u8], name: &str) -> Result<Table, IngestError> {
    let (features, crs) = features(bytes, name)?;
    let metres = crs
        .as_deref()
        .is_some_and(|c| crate::projection::facts(c).is_ok_and(|f| f.kind == crate::projection::SystemKind::Projected));
    let ours = if metres {
        [Column::Easting, Column::Northing, Column::Crs]
    } else {
        [Column::DecimalLongitude, Column::DecimalLatitude, Column::GeodeticDatum]
    };
    let mut table = Table::default();
    // Where each property goes; `None` for one that repeats the geometry and gives way to it.
    let mut index: BTreeMap<String, Option<usize>> = BTreeMap::new();
    for feature in &features {
        for (key, _) in feature.properties_iter() {
            if index.contains_key(key) {
                continue;
            }
            let repeats = Column::of_heading(key).is_some_and(|c| ours.contains(&c));
            index.insert(key.clone(), (!repeats).then_some(table.headings.len()));
            if !repeats {
                table.headings.push(key.clone());
            }
        }
    }
    let id_from_member = !table.headings.iter().any(|h| Column::of_heading(h) == Some(Column::OccurrenceId))
        && features.iter().any(|f| f.id.is_some());
    let properties = table.headings.len();
    table.headings.extend(ours.iter().map(|c| c.name().to_string()));
    if id_from_member {
        table.headings.push(Column::OccurrenceId.name().into());
    }
    for (i, feature) in features.iter().enumerate() {
        let mut cells = vec![String::new(); table.headings.len()];
        for (key, value) in feature.properties_iter() {
            if let Some(&Some(k)) = index.get(key) {
                cells[k] = value_text(value);
            }
        }
        let mut problem = None;
        match feature.geometry.as_ref().map(|g| &g.value) {
            Some(GeometryValue::Point { coordinates }) if coordinates.len() >= 2 => {
                cells[properties] = number_text(coordinates[0]);
                cells[properties + 1] = number_text(coordinates[1]);
                cells[properties + 2] = crs.clone().unwrap_or_default();
            }
            None => {}
            Some(GeometryValue::Point { .. }) => {
                problem = Some(RowProblem::NotAPoint { kind: "Point without coordinates" })
            }
            Some(other) => problem = Some(RowProblem::NotAPoint { kind: other.type_name() }),
        }
        if id_from_member && let Some(id) = &feature.id {
            cells[properties + 3] = id_text(id);
        }
        table.rows.push(Row { number: i + 1, cells, problem });
    }
    Ok(table)
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
