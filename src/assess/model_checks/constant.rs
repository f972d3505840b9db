//! One hazard for everywhere and always: the catalytic model, the plain baseline of the map.

use crate::kernel::likelihood::Likelihood;
use crate::numerics::real::Real;

/// Hazards between which the best is sought, per year.
const BOUNDS_PER_YEAR: [f64; 2] = [1e-8, 50.0];

/// The constant hazard of highest likelihood, per year.
///
/// # Formula
/// ```text
/// λ̂: Σ_i ∂ ln L_i/∂λ = 0, by doubling λ, then halving in ln λ; 0 where the likelihood falls at once
/// ```
/// # Shapes and units
/// `field_len` values of a field `[row][period][column]`; λ per year.
/// # Assumes
/// One maximum, as the catalytic model 1 − e^(−λa) has (Muench 1934; values in
/// `fixtures/reference/catalytic.ref`).
pub fn constant_hazard<R: Real>(likelihood: &mut Likelihood<R>, field_len: usize) -> f64 {
    let (mut by, mut by_dispersed) = (vec![R::zero(); field_len], vec![R::zero(); field_len]);
    let mut slope = |hazard: f64| -> f64 {
        // Dispersal leaves a constant as it is.
        let field = vec![R::of(hazard); field_len];
        likelihood.value_gradient(&field, &field, &mut by, &mut by_dispersed);
        by.iter().chain(&by_dispersed).map(|v| v.f64()).sum()
    };
    let [mut low, most] = BOUNDS_PER_YEAR;
    if slope(low) <= 0.0 {
        return 0.0;
    }
    // From below: far above the best, pigs with no visible lesion have no likelihood left that could have a
    // slope.
    let mut high = 2.0 * low;
    while slope(high) > 0.0 {
        if high >= most {
            return most;
        }
        (low, high) = (high, (2.0 * high).min(most));
    }
    while high / low > 1.0 + 1e-9 {
        let middle = (low * high).sqrt();
        if slope(middle) > 0.0 { low = middle } else { high = middle }
    }
    (low * high).sqrt()
}
