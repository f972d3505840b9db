//! Numbers as they stand in JSON files, and declared JSON files as text.

use crate::contract::FileSpec;
use crate::contract::error::ContractError;
use crate::contract::members::checked;
use geojson::JsonValue;

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
