//! Proper scores of stated probabilities.

/// Mean squared distance of probabilities from what happened; `None` for no cases.
///
/// # Source
/// Brier 1950, Monthly Weather Review 78:1-3.
pub fn brier(happened: &[bool], probs: &[f64]) -> Option<f64> {
    let n = happened.len().min(probs.len());
    let sum: f64 = happened.iter().zip(probs).map(|(h, p)| (p - f64::from(u8::from(*h))).powi(2)).sum();
    (n > 0).then(|| sum / n as f64)
}

/// Mean −ln of the probability given to what happened; `None` for no cases.
///
/// Probabilities nearer than `least` to 0 or 1 count as `least` and `1 − least`: a share of so many
/// draws cannot say less, and one sure miss would otherwise be everything.
///
/// # Source
/// Good 1952, Journal of the Royal Statistical Society B 14:107-114.
pub fn log_score(happened: &[bool], probs: &[f64], least: f64) -> Option<f64> {
    let n = happened.len().min(probs.len());
    let of = |h: bool, p: f64| {
        let p = p.clamp(least, 1.0 - least);
        if h { -p.ln() } else { -(1.0 - p).ln() }
    };
    let sum: f64 = happened.iter().zip(probs).map(|(h, p)| of(*h, *p)).sum();
    (n > 0).then(|| sum / n as f64)
}
