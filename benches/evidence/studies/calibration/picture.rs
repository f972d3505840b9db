//! Rank histograms and differences of empirical distributions, as one picture.

use crate::studies::calibration::table::Calibration;
use crate::studies::uniformity::Uniformity;
use std::fmt::Write as _;

/// Panels side by side.
const ACROSS: usize = 4;
/// Size of a panel, and of the two plots in it.
const PANEL: (f64, f64) = (215.0, 190.0);
const PLOT: (f64, f64) = (185.0, 62.0);
/// Bars of a histogram.
const BARS: usize = 20;

/// Name of a quantity or an event as a reader says it.
pub fn words(name: &str) -> String {
    match name {
        "log_range" => "log range".into(),
        "log_sd" => "log s.d.".into(),
        "persistence_logit" => "persistence".into(),
        "operation_possum" => "effect of operation".into(),
        _ => name.replace('_', " "),
    }
}

/// The picture: for each quantity the histogram of its places with the central 99 % of each bar's count, and
/// below it the empirical distribution less the uniform one with the band that holds all of it with 95 %.
///
/// # Numerics
/// Text and axes take the page's own colour; on its own the picture follows the reader's light or dark
/// scheme.
pub fn picture(said: &Calibration, points: usize, rounds: usize, seed: u64) -> String {
    let down = said.quantities.len().div_ceil(ACROSS);
    let (width, height) = (PANEL.0 * ACROSS as f64 + 10.0, PANEL.1 * down as f64 + 10.0);
    let mut s = format!(
        "<svg class=\"calibration\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" \
         style=\"max-width:{width}px\" font-family=\"sans-serif\" font-size=\"11\" role=\"img\" \
             fill=\"currentColor\">\n\
         <title>Ranks of the truth among posterior samples: histograms, and empirical distribution less \
         uniform</title>\n\
         <style>svg.calibration:root{{color:#222;background:#fff}}\
         @media(prefers-color-scheme:dark){{svg.calibration:root{{color:#ddd;background:#1b1b1b}}}}\
         .calibration .band{{fill:#8a8a8a;fill-opacity:.35}}.calibration .bar{{fill:#3d85c6;fill-opacity:.8}}\
         .calibration .line{{fill:none;stroke:#e0762b;stroke-width:1.6}}.calibration \
         .axis{{fill:none;stroke:currentColor;stroke-width:.7}}</style>\n"
    );
    for (k, q) in said.quantities.iter().enumerate() {
        let (x, y) = (8.0 + PANEL.0 * (k % ACROSS) as f64, 6.0 + PANEL.1 * (k / ACROSS) as f64);
        let test = Uniformity::new(q.places.len(), points, rounds, seed);
        let _ = writeln!(s, "<g transform=\"translate({x} {y})\">");
        let _ = writeln!(
            s,
            "<text y=\"12\">{}, n {}, p {:.3}</text>",
            words(&q.quantity),
            q.places.len(),
            q.p_value
        );
        histogram(&mut s, &q.places);
        difference(&mut s, &test, &q.places);
        s.push_str("</g>\n");
    }
    s.push_str("</svg>\n");
    s
}

/// Bars of the places over the central 99 % of a binomial count, from 18 to 80 down the panel.
fn histogram(s: &mut String, places: &[f64]) {
    let mut counts = [0usize; BARS];
    for u in places {
        counts[((u * BARS as f64) as usize).min(BARS - 1)] += 1;
    }
    let n = places.len();
    let (low, high) = binomial_interval(n, 1.0 / BARS as f64, 0.99);
    let top = (*counts.iter().max().unwrap_or(&1)).max(high) as f64 * 1.05;
    let bottom = 18.0 + PLOT.1;
    let y = |count: f64| bottom - PLOT.1 * count / top;
    let step = PLOT.0 / BARS as f64;
    let (a, b) = (y(high as f64), y(low as f64));
    let _ = writeln!(s, "<path class=\"band\" d=\"M0 {a:.1}H{:.1}V{b:.1}H0z\"/>", PLOT.0);
    s.push_str("<path class=\"bar\" d=\"");
    for (i, c) in counts.iter().enumerate() {
        let _ = write!(
            s,
            "M{:.1} {bottom:.1}V{:.1}h{:.1}V{bottom:.1}z",
            step * i as f64 + 0.5,
            y(*c as f64),
            step - 1.0
        );
    }
    s.push_str("\"/>\n");
    let middle = y(n as f64 / BARS as f64);
    let _ = writeln!(s, "<path class=\"axis\" d=\"M0 {middle:.1}H{0:.1}M0 {bottom:.1}H{0:.1}\"/>", PLOT.0);
}

/// Empirical distribution less the uniform one in its band, from 100 to 162 down the panel.
fn difference(s: &mut String, test: &Uniformity, places: &[f64]) {
    let band = test.band(0.05);
    let found = test.empirical(places);
    let reach = band
        .iter()
        .zip(&found)
        .flat_map(|(b, e)| [b.upper - b.z, b.z - b.lower, (e - b.z).abs()])
        .fold(0.0, f64::max);
    let (middle, half) = (100.0 + 0.5 * PLOT.1, 0.5 * PLOT.1);
    let at = |z: f64, d: f64| format!("{:.1} {:.1}", PLOT.0 * z, middle - half * d / (1.05 * reach));
    let upper = band.iter().map(|b| at(b.z, b.upper - b.z));
    let lower = band.iter().rev().map(|b| at(b.z, b.lower - b.z));
    let round: Vec<String> = upper.chain(lower).collect();
    let _ = writeln!(s, "<path class=\"band\" d=\"M{}z\"/>", round.join("L"));
    let line: Vec<String> = std::iter::once(at(0.0, 0.0))
        .chain(band.iter().zip(&found).map(|(b, e)| at(b.z, e - b.z)))
        .chain([at(1.0, 0.0)])
        .collect();
    let _ = writeln!(s, "<path class=\"line\" d=\"M{}\"/>", line.join("L"));
    let _ = writeln!(s, "<path class=\"axis\" d=\"M0 {middle:.1}H{:.1}\"/>", PLOT.0);
    let _ = writeln!(s, "<text y=\"174\" font-size=\"10\">0</text>");
    let _ = writeln!(
        s,
        "<text x=\"{:.1}\" y=\"174\" font-size=\"10\" text-anchor=\"end\">1 (\u{b1}{reach:.2})</text>",
        PLOT.0
    );
}

/// Central interval of a binomial count, both ends counted in.
fn binomial_interval(n: usize, p: f64, level: f64) -> (usize, usize) {
    use statrs::distribution::{Binomial, DiscreteCDF};
    let b = Binomial::new(p, n as u64).expect("a share of one bar in twenty is a probability");
    let tail = 0.5 * (1.0 - level);
    let low = (0..=n).find(|c| b.cdf(*c as u64) >= tail).unwrap_or(0);
    let high = (0..=n).find(|c| b.cdf(*c as u64) >= 1.0 - tail).unwrap_or(n);
    (low, high)
}
