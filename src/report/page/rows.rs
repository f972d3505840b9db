//! Table rows on their way into a template.

use minijinja::Value;
use serde::Serialize;

/// Rows as template values: members keep their names, text stays unescaped until it is shown.
///
/// # Errors
/// What the serialiser says; rows of text and whole numbers give it nothing to refuse.
pub(crate) fn rows<T: Serialize>(list: &[T]) -> Result<Value, serde_json::Error> {
    list.iter()
        .map(|row| serde_json::to_value(row).map(value))
        .collect::<Result<Vec<Value>, _>>()
        .map(Value::from)
}

fn value(json: serde_json::Value) -> Value {
    match json {
        serde_json::Value::Null => Value::from(()),
        serde_json::Value::Bool(b) => Value::from(b),
        serde_json::Value::Number(n) => n.as_i64().map_or_else(|| Value::from(n.as_f64()), Value::from),
        serde_json::Value::String(s) => Value::from(s),
        serde_json::Value::Array(list) => Value::from(list.into_iter().map(value).collect::<Vec<_>>()),
        serde_json::Value::Object(map) => Value::from(
            map.into_iter().map(|(k, v)| (k, value(v))).collect::<std::collections::BTreeMap<_, _>>(),
        ),
    }
}

/// Most gaps listed on the page and drawn on its map; all of them are in `gaps.geojson`.
pub(crate) const MOST_GAPS: usize = 40;

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn rows_reach_the_template_and_are_escaped_there() {
        let list = [json!({ "name": "<b>", "zone": null, "n": 3 })];
        let mut env = minijinja::Environment::new();
        env.add_template(
            "t.html",
            "{% for r in list %}{{ r.name }}{{ r.zone is none }}{{ r.n }}{% endfor %}",
        )
        .unwrap();
        let list = rows(&list).unwrap();
        assert_eq!(
            env.get_template("t.html").unwrap().render(minijinja::context! { list }).unwrap(),
            "&lt;b&gt;True3"
        );
    }
}
