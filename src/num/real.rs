//! The two precisions a field can be computed in.
//!
//! Chains run in single precision: half the memory traffic and twice the lanes. Sums over the
//! whole field and over pigs stay in double precision. Tests and the search for
//! the mode use the same code in double precision.

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
    /// Soft link and its derivative: see [`super::link`].
    fn soft(self) -> (Self, Self);
    /// 1 − e^(−h): see [`super::link`].
    fn infected(self) -> Self;
    /// eˣ, clamped before it overflows: see [`super::link`].
    fn exponential(self) -> Self;
}

macro_rules! real {
    ($t:ty, $soft:path, $infected:path, $exponential:path) => {
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
            fn soft(self) -> ($t, $t) {
                $soft(self)
            }
            #[inline(always)]
            fn infected(self) -> $t {
                $infected(self)
            }
            #[inline(always)]
            fn exponential(self) -> $t {
                $exponential(self)
            }
        }
    };
}

real!(f32, super::link::single::soft, super::link::single::infected, super::link::single::exponential);
real!(f64, super::link::double::soft, super::link::double::infected, super::link::double::exponential);

/// Runs a loop compiled for the widest instructions the processor has.
///
/// Every lane does the same operations in the same order, so the width changes no result. The closure must be
/// marked `#[inline(always)]`, or the compiler may call the copy made for the narrowest machine.
#[inline(always)]
pub fn wide<T>(work: impl FnOnce() -> T) -> T {
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
