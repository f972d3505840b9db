//! The two precisions a field can be computed in.
//!
//! Chains run in single precision: half the memory traffic and twice the lanes. Sums over the
//! whole field stay in double precision. Tests and the search for
//! the mode use the same code in double precision.

use crate::numerics::elementary::{double, single};
use rustdct::DctNum;
use std::iter::Sum;
use std::ops::{AddAssign, MulAssign, SubAssign};

/// `f32` or `f64`.
pub trait Real: DctNum + Default + PartialOrd + AddAssign + SubAssign + MulAssign + Sum {
    /// The nearest value of this precision.
    fn of(value: f64) -> Self;
    /// As double precision, exactly.
    fn f64(self) -> f64;
    /// self · a + b, rounded once.
    fn fused(self, a: Self, b: Self) -> Self;
    /// ln(1 + eˣ) and its derivative, the logistic function.
    fn softplus(self) -> (Self, Self);
    /// 1 − e^(−self) for values of 0 and above, exact however small.
    fn one_minus_exp_neg(self) -> Self;
    /// eˣ, clamped before it overflows.
    fn exponential(self) -> Self;
}

macro_rules! real {
    ($t:ty, $width:ident) => {
        impl Real for $t {
            #[inline(always)]
            fn of(value: f64) -> $t {
                value as $t
            }
            #[inline(always)]
            fn f64(self) -> f64 {
                f64::from(self)
            }
            #[inline(always)]
            fn fused(self, a: $t, b: $t) -> $t {
                self.mul_add(a, b)
            }
            #[inline(always)]
            fn softplus(self) -> ($t, $t) {
                $width::softplus(self)
            }
            #[inline(always)]
            fn one_minus_exp_neg(self) -> $t {
                $width::one_minus_exp_neg(self)
            }
            #[inline(always)]
            fn exponential(self) -> $t {
                $width::exponential(self)
            }
        }
    };
}

real!(f32, single);
real!(f64, double);

/// Runs a loop compiled for the widest instructions the processor has.
///
/// Every lane does the same operations in the same order, so the width changes no result. The closure must be
/// marked `#[inline(always)]`, or the compiler may call the copy made for the narrowest machine.
#[inline(always)]
pub(crate) fn wide<T>(work: impl FnOnce() -> T) -> T {
    pulp::Arch::new().dispatch(work)
}

/// Inner product of two fields of either precision, summed in double precision.
///
/// # Numerics
/// Eight interleaved sums in a fixed order: several lanes at a time, the same result everywhere.
pub fn dot<R: Real>(a: &[R], b: &[R]) -> f64 {
    wide(
        #[inline(always)]
        || {
            let mut lanes = [0.0; 8];
            let (ca, cb) = (a.chunks_exact(8), b.chunks_exact(8));
            let tail: f64 = ca.remainder().iter().zip(cb.remainder()).map(|(x, y)| x.f64() * y.f64()).sum();
            for (x, y) in ca.zip(cb) {
                for j in 0..8 {
                    lanes[j] += x[j].f64() * y[j].f64();
                }
            }
            lanes.iter().sum::<f64>() + tail
        },
    )
}
