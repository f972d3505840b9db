//! Numbers as they stand in JSON files.

use geojson::JsonValue;

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
