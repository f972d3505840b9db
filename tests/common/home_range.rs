//! Published home ranges as standard deviations.

use pignut::internals::records::CIRCLE_95;

/// Standard deviation per axis, metres, from a 95 % home-range area in km²: √(A/π)/2.4477.
///
/// The convention σ = (95 % radius)/2.45 is that of Sweetapple & Nugent (2018), here with the exact factor.
pub fn range_sd_m(area_km2: f64) -> f64 {
    (area_km2 * 1e6 / std::f64::consts::PI).sqrt() / CIRCLE_95
}
