//! From the latent field to a hazard: λ = 0.2·softplus(x)², or exp(x), with its derivative.
//!
//! The whole field passes through here at every gradient; `pulp` picks the widest instructions
//! the machine has.

use crate::numerics::real::Real;
use crate::study::model_keys::Link;

/// Factor of the soft link, per year.
pub(crate) const SOFT_SCALE_PER_YEAR: f64 = 0.2;

/// The soft link of one value and its derivative.
#[inline(always)]
fn soft<R: Real>(x: R) -> (R, R) {
    let scale = R::of(SOFT_SCALE_PER_YEAR);
    let (soft, sigmoid) = x.softplus();
    (scale * soft * soft, R::of(2.0) * scale * soft * sigmoid)
}

/// Hazard and its derivative for a whole field.
///
/// # Formula
/// ```text
/// soft:  λ = 0.2 s²,  s = ln(1 + eˣ),  dλ/dx = 0.4 s /(1 + e⁻ˣ)
/// exp:   λ = eˣ,      dλ/dx = λ
/// ```
/// # Shapes and units
/// two slices of one length; `x` without unit, overwritten with the hazard; both then per year.
/// # Example
/// ```
/// use pignut::internals::kernel::link::hazard;
/// use pignut::internals::study::model_keys::Link;
/// let (mut h, mut s) = ([0.0], [0.0]);
/// hazard(Link::SoftplusSquared, &mut h, &mut s);
/// assert!((h[0] - 0.2 * 2f64.ln().powi(2)).abs() < 1e-15);
/// assert!((s[0] - 0.2 * 2f64.ln()).abs() < 1e-15);
/// ```
pub fn hazard<R: Real>(link: Link, x: &mut [R], slope: &mut [R]) {
    pulp::Arch::new().dispatch(Lanes { link, x, slope });
}

/// The loop over the field, compiled once for each width of instructions.
///
/// A type with an inlined `with_simd`, not a closure: the compiler calls a large closure instead
/// of inlining it, and would then compile it for the narrowest machine.
struct Lanes<'a, R> {
    link: Link,
    x: &'a mut [R],
    slope: &'a mut [R],
}

impl<R: Real> pulp::WithSimd for Lanes<'_, R> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let fields = self.x.iter_mut().zip(self.slope.iter_mut());
        match self.link {
            Link::SoftplusSquared => {
                for (x, s) in fields {
                    (*x, *s) = soft(*x);
                }
            }
            Link::Exp => {
                for (x, s) in fields {
                    let v = x.exponential();
                    (*x, *s) = (v, v);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_slope_is_the_derivative_and_the_tails_are_finite() {
        let h = 1e-5;
        for x in [-40.0f64, -3.0, -0.1, 0.0, 0.7, 5.0, 60.0] {
            let (v, s): (f64, f64) = soft(x);
            let d = (soft(x + h).0 - soft(x - h).0) / (2.0 * h);
            assert!((s - d).abs() <= 1e-8 * (1.0 + s.abs()), "{x}");
            let (v32, s32) = soft(x as f32);
            assert!((f64::from(v32) - v).abs() <= 1e-5 * v && (f64::from(s32) - s).abs() <= 1e-5 * s, "{x}");
        }
        let (low, slope) = soft(-1e4f64);
        assert!(low >= 0.0 && slope >= 0.0 && soft(1e4f64).0.is_finite());
        let (low, slope) = soft(-1e4f32);
        assert!(low >= 0.0 && slope >= 0.0 && soft(1e4f32).0.is_finite());
    }
}
