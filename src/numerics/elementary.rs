//! Exponential and logarithm as plain polynomials, several lanes at a time.
//!
//! A whole field passes through here at every gradient. Every lane does the same operations in the same
//! order, so the result does not depend on the width of the instructions.

/// Double precision.
pub(crate) mod double {
    /// Largest |x| passed to the exponential; beyond, it would overflow.
    const EXP_LIMIT: f64 = 700.0;

    /// x = k ln 2 + r by Cody–Waite reduction: (r, 2ᵏ).
    #[inline(always)]
    fn reduce(x: f64) -> (f64, f64) {
        const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
        const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
        // Adding and taking away 1.5·2⁵² rounds to the nearest whole number in any rounding-to-nearest unit.
        const ROUND: f64 = 6_755_399_441_055_744.0;
        let shifted = x * std::f64::consts::LOG2_E + ROUND;
        let k = shifted - ROUND;
        let r = (x - k * LN2_HIGH) - k * LN2_LOW;
        (r, f64::from_bits((shifted.to_bits() << 52).wrapping_add(1.0f64.to_bits())))
    }

    /// eʳ − 1 for |r| ≤ ½ ln 2: Taylor polynomial of degree 11.
    #[inline(always)]
    fn less_one(r: f64) -> f64 {
        // Estrin's scheme: pairs do not wait for one another, unlike Horner's single chain.
        let (r2, r4) = (r * r, (r * r) * (r * r));
        (r + r2 * (0.5 + r * (1.0 / 6.0)))
            + r4 * ((1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5_040.0)))
            + (r4 * r4)
                * ((1.0 / 40_320.0 + r * (1.0 / 362_880.0))
                    + r2 * (1.0 / 3_628_800.0 + r * (1.0 / 39_916_800.0)))
    }

    /// eˣ for |x| ≤ 700, relative error below 1e-14 (unit test against the standard library).
    #[inline(always)]
    pub(crate) fn exp(x: f64) -> f64 {
        let (r, scale) = reduce(x);
        (1.0 + less_one(r)) * scale
    }

    /// 1 − e^(−h) for h ≥ 0, relative error below 1e-14 however small h.
    #[inline(always)]
    pub(crate) fn one_minus_exp_neg(h: f64) -> f64 {
        let (r, scale) = reduce(-h.min(EXP_LIMIT));
        (1.0 - scale) - less_one(r) * scale
    }

    /// ln(1 + u) for u in [0, 1] as 2·artanh(u/(2+u)), 14 terms: truncation below 2e-15 relative.
    #[inline(always)]
    pub(crate) fn ln_1p(u: f64) -> f64 {
        let s = u / (2.0 + u);
        let q = s * s;
        let (q2, q4) = (q * q, (q * q) * (q * q));
        let p = ((1.0 + q * (1.0 / 3.0)) + q2 * (1.0 / 5.0 + q * (1.0 / 7.0)))
            + q4 * ((1.0 / 9.0 + q * (1.0 / 11.0)) + q2 * (1.0 / 13.0 + q * (1.0 / 15.0)))
            + (q4 * q4)
                * (((1.0 / 17.0 + q * (1.0 / 19.0)) + q2 * (1.0 / 21.0 + q * (1.0 / 23.0)))
                    + q4 * (1.0 / 25.0 + q * (1.0 / 27.0)));
        2.0 * s * p
    }

    /// ln(1 + eˣ) and its derivative.
    #[inline(always)]
    pub(crate) fn softplus(x: f64) -> (f64, f64) {
        let e = exp(-(x.abs().min(EXP_LIMIT)));
        let soft = x.max(0.0) + ln_1p(e);
        let sigmoid = (if x >= 0.0 { 1.0 } else { e }) / (1.0 + e);
        (soft, sigmoid)
    }

    /// eˣ, clamped before it overflows.
    #[inline(always)]
    pub(crate) fn exponential(x: f64) -> f64 {
        exp(x.clamp(-EXP_LIMIT, EXP_LIMIT))
    }
}

/// Single precision: the same schemes, cut where single precision ends.
pub(crate) mod single {
    /// Largest |x| passed to the exponential; beyond, it would overflow.
    const EXP_LIMIT: f32 = 87.0;

    /// x = k ln 2 + r: (r, 2ᵏ).
    #[inline(always)]
    fn reduce(x: f32) -> (f32, f32) {
        const LN2_HIGH: f32 = 0.693_359_4;
        const LN2_LOW: f32 = -2.121_944_4e-4;
        const ROUND: f32 = 12_582_912.0;
        let shifted = x * std::f32::consts::LOG2_E + ROUND;
        let k = shifted - ROUND;
        let r = (x - k * LN2_HIGH) - k * LN2_LOW;
        (r, f32::from_bits((shifted.to_bits() << 23).wrapping_add(1.0f32.to_bits())))
    }

    /// eʳ − 1 for |r| ≤ ½ ln 2: Taylor polynomial of degree 6.
    #[inline(always)]
    fn less_one(r: f32) -> f32 {
        let (r2, r4) = (r * r, (r * r) * (r * r));
        (r + r2 * (0.5 + r * (1.0 / 6.0))) + r4 * ((1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0))
    }

    /// eˣ for |x| ≤ 87, relative error below 3e-7 (unit test).
    #[inline(always)]
    pub(crate) fn exp(x: f32) -> f32 {
        let (r, scale) = reduce(x);
        (1.0 + less_one(r)) * scale
    }

    /// 1 − e^(−h) for h ≥ 0, relative error below 4e-7 however small h (unit test).
    #[inline(always)]
    pub(crate) fn one_minus_exp_neg(h: f32) -> f32 {
        let (r, scale) = reduce(-h.min(EXP_LIMIT));
        (1.0 - scale) - less_one(r) * scale
    }

    /// ln(1 + u) for u in [0, 1] as 2·artanh(u/(2+u)), six terms: truncation below 2e-7 relative.
    #[inline(always)]
    pub(crate) fn ln_1p(u: f32) -> f32 {
        let s = u / (2.0 + u);
        let q = s * s;
        let q2 = q * q;
        let p = ((1.0 + q * (1.0 / 3.0)) + q2 * (1.0 / 5.0 + q * (1.0 / 7.0)))
            + (q2 * q2) * (1.0 / 9.0 + q * (1.0 / 11.0) + q2 * (1.0 / 13.0));
        2.0 * s * p
    }

    /// ln(1 + eˣ) and its derivative.
    #[inline(always)]
    pub(crate) fn softplus(x: f32) -> (f32, f32) {
        let e = exp(-(x.abs().min(EXP_LIMIT)));
        let soft = x.max(0.0) + ln_1p(e);
        let sigmoid = (if x >= 0.0 { 1.0 } else { e }) / (1.0 + e);
        (soft, sigmoid)
    }

    /// eˣ, clamped before it overflows.
    #[inline(always)]
    pub(crate) fn exponential(x: f32) -> f32 {
        exp(x.clamp(-EXP_LIMIT, EXP_LIMIT))
    }
}

#[cfg(test)]
mod tests {
    use crate::numerics::elementary::{double, single};

    #[test]
    fn polynomials_agree_with_the_standard_library() {
        for i in -6000..=6000 {
            let x = i as f64 * 0.0113;
            let (e, std) = (double::exp(x), x.exp());
            assert!((e - std).abs() <= 1e-14 * std, "exp({x}) {e} {std}");
            let h = x.abs() * 1e-3;
            assert!((double::one_minus_exp_neg(h) - -(-h).exp_m1()).abs() <= 1e-14 * -(-h).exp_m1(), "{h}");
            let f = f64::from(single::one_minus_exp_neg(h as f32));
            let std = -(-f64::from(h as f32)).exp_m1();
            assert!((f - std).abs() <= 4e-7 * std, "{h} {f}");
            let u = (i + 6000) as f64 / 12000.0;
            assert!((double::ln_1p(u) - u.ln_1p()).abs() <= 1e-14 * u.ln_1p());
            let f = single::ln_1p(u as f32);
            assert!((f64::from(f) - u.ln_1p()).abs() <= 4e-7 * u.ln_1p(), "{u} {f}");
            let x = (x as f32).clamp(-87.0, 87.0);
            let (f, std) = (f64::from(single::exp(x)), f64::from(x).exp());
            assert!((f - std).abs() <= 3e-7 * std, "exp({x}) {f} {std}");
        }
    }

    #[test]
    fn nothing_overflows() {
        assert_eq!(double::one_minus_exp_neg(0.0), 0.0);
        assert_eq!(double::one_minus_exp_neg(1e300), 1.0);
        assert!(double::softplus(1e4).0.is_finite() && single::softplus(1e4).0.is_finite());
    }
}
