//! A small drawing: shapes and labels as SVG text, with a title and a description for who cannot see it.
//!
//! Coordinates are drawing units, y downwards; colours and fonts come from the page's style sheet
//! through class names.

use crate::report::page::escape;
use std::fmt::Write;

/// A drawing under way.
pub(crate) struct Svg {
    id: String,
    class: &'static str,
    width: f64,
    height: f64,
    title: String,
    description: String,
    body: String,
}

/// Where a label stands relative to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// The label begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// A coordinate with one decimal; a place that is no number cannot be drawn and is held at the edge.
pub(crate) fn at(v: f64) -> String {
    let v = if v.is_finite() { (v * 10.0).round() / 10.0 } else { 0.0 };
    // No "-0" and no ".0": drawings are the larger part of the page.
    if v == 0.0 { "0".into() } else { format!("{v}") }
}

impl Svg {
    /// An empty drawing; `id` is unique on the page, `title` and `description` are plain text.
    pub(crate) fn new(
        id: &str,
        class: &'static str,
        width: f64,
        height: f64,
        title: &str,
        description: &str,
    ) -> Svg {
        Svg {
            id: id.into(),
            class,
            width,
            height,
            title: escape::text(title),
            description: escape::text(description),
            body: String::new(),
        }
    }
    /// A rectangle.
    pub(crate) fn rect(&mut self, class: &str, x: f64, y: f64, w: f64, h: f64) {
        let _ = write!(
            self.body,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            at(x),
            at(y),
            at(w.max(0.0)),
            at(h.max(0.0))
        );
    }
    /// A straight line.
    pub(crate) fn line(&mut self, class: &str, x1: f64, y1: f64, x2: f64, y2: f64) {
        let _ = write!(
            self.body,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
            at(x1),
            at(y1),
            at(x2),
            at(y2)
        );
    }
    /// A path in the path language of SVG, made of numbers only.
    pub(crate) fn path(&mut self, class: &str, d: &str) {
        let _ = write!(self.body, "<path class=\"{class}\" d=\"{d}\"/>");
    }
    /// A path with a fill of its own.
    pub(crate) fn filled_path(&mut self, fill: &str, d: &str) {
        let _ = write!(self.body, "<path fill=\"{}\" d=\"{d}\"/>", escape::text(fill));
    }
    /// An open or closed line through points.
    pub(crate) fn through(&mut self, class: &str, points: &[(f64, f64)], close: bool) {
        if points.len() > 1 {
            let d = path_through(points, close);
            self.path(class, &d);
        }
    }
    /// A disc.
    pub(crate) fn disc(&mut self, class: &str, x: f64, y: f64, r: f64) {
        let _ = write!(
            self.body,
            "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            at(x),
            at(y),
            at(r)
        );
    }
    /// A diamond: the page's mark of a positive pig.
    pub(crate) fn diamond(&mut self, class: &str, x: f64, y: f64, r: f64) {
        let d = path_through(&[(x, y - r), (x + r, y), (x, y + r), (x - r, y)], true);
        self.path(class, &d);
    }
    /// A label of plain text.
    pub(crate) fn label(&mut self, class: &str, x: f64, y: f64, anchor: Anchor, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let _ = write!(
            self.body,
            "<text class=\"{class}\" x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\">{}</text>",
            at(x),
            at(y),
            escape::text(text)
        );
    }
    /// Opens a group that scripts can find: `data-pig="n"`.
    pub(crate) fn open_pig(&mut self, number: usize) {
        let _ = write!(self.body, "<g class=\"pig\" data-pig=\"{number}\">");
    }
    /// Closes the group.
    pub(crate) fn close(&mut self) {
        self.body.push_str("</g>");
    }
    /// Slanted hatching as a fill, `url(#<id>-hatch)`, clear between its lines.
    pub(crate) fn hatch(&mut self) -> String {
        let _ = write!(
            self.body,
            "<defs><pattern id=\"{0}-hatch\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"5\" \
             stroke=\"#77715f\" stroke-width=\"1.6\"/></pattern></defs>",
            self.id
        );
        format!("url(#{}-hatch)", self.id)
    }
    /// Sparse dots as a fill, `url(#<id>-dots)`: no record lies near.
    pub(crate) fn dots(&mut self) -> String {
        let _ = write!(
            self.body,
            "<defs><pattern id=\"{0}-dots\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"8\" height=\"8\" fill=\"#fbfaf6\"/>\
             <circle cx=\"4\" cy=\"4\" r=\"0.8\" fill=\"#b3ad9b\"/></pattern></defs>",
            self.id
        );
        format!("url(#{}-dots)", self.id)
    }
    /// The drawing as an `<svg>` element.
    pub(crate) fn finish(self) -> String {
        format!(
            "<svg class=\"{}\" viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\">\
             <title id=\"{id}-t\">{}</title><desc id=\"{id}-d\">{}</desc>{}</svg>",
            self.class,
            at(self.width),
            at(self.height),
            self.title,
            self.description,
            self.body,
            id = self.id
        )
    }
}

/// A path through points.
pub(crate) fn path_through(points: &[(f64, f64)], close: bool) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, at(*x), at(*y));
    }
    if close {
        d.push('Z');
    }
    d
}

/// Maps values to a stretch of a drawing, straight or by logarithm; values outside are held at the ends.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scale {
    /// Value at `start`.
    pub from: f64,
    /// Value at `end`.
    pub to: f64,
    /// Coordinate of `from`.
    pub start: f64,
    /// Coordinate of `to`.
    pub end: f64,
    /// Whether values are spaced by their logarithm.
    pub log: bool,
}

impl Scale {
    /// Coordinate of a value.
    pub(crate) fn at(&self, v: f64) -> f64 {
        let f = |v: f64| {
            if self.log { v.max(f64::MIN_POSITIVE).ln() } else { v }
        };
        let share = (f(v) - f(self.from)) / (f(self.to) - f(self.from));
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
        self.start + share * (self.end - self.start)
    }
}

/// Round numbers that divide a stretch into about `wanted` steps.
pub(crate) fn ticks(from: f64, to: f64, wanted: usize) -> Vec<f64> {
    let raw = (to - from) / wanted.max(1) as f64;
    if !(raw > 0.0 && raw.is_finite()) {
        return vec![from];
    }
    let power = 10f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|s| *s >= raw * 0.999)
        .unwrap_or(10.0 * power);
    let first = (from / step).ceil() as i64;
    let last = (to / step + 1e-9).floor() as i64;
    (first..=last).map(|k| k as f64 * step).collect()
}

/// Day numbers of new years from `from` to `to`, thinned to at most `most`, with their year.
pub(crate) fn new_years(from: f64, to: f64, most: usize) -> Vec<(f64, i16)> {
    use crate::records::{date_of_day, day_number};
    let (a, b) = (date_of_day(from).year(), date_of_day(to).year());
    let all: Vec<(f64, i16)> = (a..=b)
        .map(|y| (day_number(jiff::civil::date(y, 1, 1)), y))
        .filter(|(d, _)| *d >= from && *d <= to)
        .collect();
    let every = all.len().div_ceil(most.max(1)).max(1);
    all.into_iter().filter(|(_, y)| (*y as usize).is_multiple_of(every)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_escaped_and_places_are_numbers() {
        let mut s = Svg::new("a", "chart", 10.0, 10.0, "<t>", "d & d");
        s.label("l", f64::NAN, 1.25, Anchor::End, "<script>");
        let text = s.finish();
        assert!(text.contains("&lt;script&gt;") && text.contains("&lt;t&gt;") && text.contains("d &amp; d"));
        assert!(!text.contains("NaN") && text.contains("y=\"1.3\""), "{text}");
    }

    #[test]
    fn scales_and_ticks() {
        let s = Scale { from: 0.001, to: 1.0, start: 0.0, end: 300.0, log: true };
        assert!(
            (s.at(0.01) - 100.0).abs() < 1e-9
                && s.at(0.0) == 0.0
                && s.at(9.0) == 300.0
                && s.at(f64::NAN) == 0.0
        );
        assert_eq!(ticks(0.0, 10.0, 5), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(ticks(3.0, 3.0, 5), [3.0]);
        assert_eq!(new_years(0.0, 1000.0, 9), [(0.0, 1970), (365.0, 1971), (730.0, 1972)]);
    }
}
