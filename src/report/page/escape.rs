//! Text and data on their way into a page, where no template carries them.
//!
//! Templates escape through the template engine (their names end in `.html`), and drawings through the same
//! escape, [`text`]. By hand is only the data block: the engine's own `tojson` writes a space after every
//! comma, which makes a page of figures a fifth longer, and `serde_json` does not escape for HTML.
//! Scripts only ever set text nodes and attributes.

use minijinja::Value;
use minijinja::value::Serde;
use serde::Serialize;

/// Table rows for a template, which escapes their text where it is shown.
pub(crate) fn rows<T: Serialize>(list: &[T]) -> Value {
    Value::from(Serde(list))
}

/// Text for an element or a quoted attribute: the template engine's own HTML escape.
pub(crate) fn text(s: &str) -> String {
    minijinja::HtmlEscape(s).to_string()
}

/// JSON for a `<script type="application/json">` block, which no value can leave.
///
/// `<`, `>` and `&` occur in JSON only inside strings, where `\u003c` and its like mean the same
/// to a JSON parser and nothing to an HTML parser.
///
/// # Errors
/// What the serialiser says; it has nothing to refuse in the page's own data.
pub(crate) fn json_block(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let json = serde_json::to_string(value)?;
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '<' => out.push_str("\\u003c"),
            '>' => out.push_str("\\u003e"),
            '&' => out.push_str("\\u0026"),
            '\u{2028}' => out.push_str("\\u2028"),
            '\u{2029}' => out.push_str("\\u2029"),
            c => out.push(c),
        }
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_text_stays_text() {
        let id = "</script><!--<script>alert(\"1\")</script>&";
        let json = json_block(&[id]).unwrap();
        assert!(!json.contains(['<', '>', '&']));
        let back: Vec<String> = serde_json::from_str(&json).unwrap();
        assert_eq!(back, [id]);
        let html = text("<b class='x'>\"&</b>");
        assert!(!html.contains(['<', '>', '"', '\'']), "{html}");
    }

    #[test]
    fn rows_reach_the_template_and_are_escaped_there() {
        let list = [serde_json::json!({ "name": "<b>", "zone": null, "n": 3 })];
        let mut env = minijinja::Environment::new();
        let text = "{% for r in list %}{{ r.name }}{{ r.zone is none }}{{ r.n }}{% endfor %}";
        env.add_template("t.html", text).unwrap();
        let list = rows(&list);
        assert_eq!(
            env.get_template("t.html").unwrap().render(minijinja::context! { list }).unwrap(),
            "&lt;b&gt;True3"
        );
    }

    /// The template engine escapes by the template's name: this is what the page relies on.
    #[test]
    fn templates_escape_by_name() {
        let mut env = minijinja::Environment::new();
        env.add_template("a.html", "{{ x }}").unwrap();
        env.add_template("b.html", "{% include 'a.html' %}").unwrap();
        let page =
            env.get_template("b.html").unwrap().render(minijinja::context! { x => "<script>" }).unwrap();
        assert_eq!(page, "&lt;script&gt;");
    }
}
