//! Figures as they stand in JSON files and on the command line's `--json`.

pub(crate) mod model_checks;
pub(crate) mod priorities;

use crate::assess::spread::Spread;
use crate::contract::FileSpec;
use crate::contract::error::ContractError;
use crate::contract::members::checked;
use geojson::JsonValue;
use serde_json::{Map, Value};

/// A declared JSON file as indented text, its top-level keys in the declared order.
///
/// # Errors
/// [`ContractError`] where a key is not declared, is missing or holds something else.
pub(crate) fn document(file: &FileSpec, value: JsonValue) -> Result<Vec<u8>, ContractError> {
    let failed = |fault: String| ContractError::file(file.path, fault);
    let JsonValue::Object(members) = value else { return Err(failed("is no object".into())) };
    let members = checked(file.path, file.columns, members)?;
    let mut text = serde_json::to_string_pretty(&members).map_err(|e| failed(e.to_string()))?;
    text.push('\n');
    Ok(text.into_bytes())
}

/// A number for a property, rounded to significant digits; `None` when it is not finite.
pub(crate) fn number(value: f64) -> Option<JsonValue> {
    if !value.is_finite() {
        return None;
    }
    let rounded: f64 = format!("{value:.5e}").parse().ok()?;
    // Whole numbers are written as such.
    if rounded.fract() == 0.0 && rounded.abs() < 1e15 {
        return Some(JsonValue::from(rounded as i64));
    }
    serde_json::Number::from_f64(rounded).map(JsonValue::Number)
}

/// A spread as an object of mean, median and 5 and 95 % points.
pub(crate) fn spread(s: &Spread) -> Value {
    let mut map = Map::new();
    for (name, v) in [("mean", s.mean), ("q05", s.q05()), ("median", s.median()), ("q95", s.q95())] {
        if let Some(v) = number(v) {
            map.insert(name.into(), v);
        }
    }
    Value::Object(map)
}

/// Absent members are left out rather than written as null.
pub(crate) fn without_nulls(value: Value) -> Value {
    match value {
        Value::Object(map) => Value::Object(
            map.into_iter().filter(|(_, v)| !v.is_null()).map(|(k, v)| (k, without_nulls(v))).collect(),
        ),
        Value::Array(list) => Value::Array(list.into_iter().map(without_nulls).collect()),
        other => other,
    }
}
