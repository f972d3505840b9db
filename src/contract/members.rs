//! Objects of a layer or a JSON file, checked against the declaration and put in its order.

use crate::contract::error::ContractError;
use crate::contract::{ColumnKind, ColumnSpec, members};
use serde_json::{Map, Value};

/// The members in the declared order.
///
/// # Errors
/// [`ContractError::Column`] where one is not declared, is missing, or holds something else than declared.
pub(crate) fn checked(
    file: &str,
    columns: &[ColumnSpec],
    mut given: Map<String, Value>,
) -> Result<Map<String, Value>, ContractError> {
    let mut out = Map::new();
    for member in members(columns) {
        let fault = |fault: String| ContractError::column(file, &member.name, fault);
        let Some(value) = given.shift_remove(&member.name) else {
            if member.optional {
                continue;
            }
            return Err(fault("has no value".into()));
        };
        let value = match (member.kind, value) {
            (ColumnKind::Rows(columns), Value::Array(rows)) => {
                let row = |row: Value| match row {
                    Value::Object(row) => checked(file, columns, row).map(Value::Object),
                    other => Err(fault(format!("a row is {other}"))),
                };
                Value::Array(rows.into_iter().map(row).collect::<Result<_, _>>()?)
            }
            (kind, value) if holds(kind, &value) => value,
            (kind, value) => return Err(fault(format!("{value} is no {}", kind.words()))),
        };
        out.insert(member.name, value);
    }
    match given.keys().next() {
        Some(name) => Err(ContractError::column(file, name, "is not declared")),
        None => Ok(out),
    }
}

/// Whether a value is of a kind.
fn holds(kind: ColumnKind, value: &Value) -> bool {
    match kind {
        ColumnKind::Text => value.is_string(),
        ColumnKind::Number | ColumnKind::Single => value.is_number(),
        ColumnKind::Whole | ColumnKind::Year => value.is_i64() || value.is_u64(),
        ColumnKind::Flag => value.is_boolean(),
        ColumnKind::Date => value.as_str().is_some_and(|d| d.parse::<jiff::civil::Date>().is_ok()),
        ColumnKind::Object => value.is_object(),
        ColumnKind::List => value.is_array(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contract::layers::GAPS;
    use serde_json::json;

    fn gap() -> Value {
        json!({
            "area_ha": 100, "gap_id": "G001", "sensitivity": 0.5, "sensitivity_lowest": 0.1, "below": 0.95,
            "target": 0.95, "window_months": 36.0, "exposure_pig_years": 1.5, "pigs_age_months": 24,
        })
    }

    fn given(change: impl Fn(&mut Value)) -> Result<Map<String, Value>, ContractError> {
        let mut value = gap();
        change(&mut value);
        checked(GAPS.path, GAPS.columns, value.as_object().unwrap().clone())
    }

    #[test]
    fn what_is_not_as_declared_is_refused_and_the_rest_is_put_in_order() {
        let names: Vec<String> = given(|_| ()).unwrap().keys().take(2).cloned().collect();
        assert_eq!(names, ["gap_id", "area_ha"]);
        let refused = |change: &dyn Fn(&mut Value), words: &str| {
            let said = given(change).unwrap_err().to_string();
            assert!(said.starts_with("gaps.geojson, column ") && said.contains(words), "{said}");
        };
        refused(&|g| g["hectares"] = json!(1), "\"hectares\": is not declared");
        refused(&|g| drop(g.as_object_mut().unwrap().shift_remove("below")), "\"below\": has no value");
        refused(&|g| g["target"] = json!("high"), "\"target\": \"high\" is no number");
        refused(&|g| g["pigs_needed"] = json!(1.5), "\"pigs_needed\": 1.5 is no whole number");
    }
}
