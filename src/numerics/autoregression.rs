//! A stationary first-order autoregression over periods, from white noise by the symmetric root of its
//! correlations.
//!
//! The usual recursion is a root of the same correlations, a triangular one. Under it a change of the
//! correlation with the noise as it is moves the field by about one and a half times as much, and a sampler
//! of both moves as much less.

use crate::numerics::packed_matmul::{ColumnRange, LANES, Left, Panel};
use crate::numerics::real::{Real, wide};
use faer::{Mat, Side};

/// The autoregression on blocks of `periods × cols` values, column by column.
///
/// # Formula
/// ```text
/// R_ij = ρ^|i−j|,  a = R^½ z,  R^½ symmetric
/// d/dρ ⟨g, a⟩ = ⟨g, X z⟩,  X R^½ + R^½ X = dR/dρ
/// ```
/// # Numerics
/// Time turned about changes nothing: sums and differences of periods as far from either end are transformed
/// apart, each by a matrix of half the size. Its root comes from its eigenvalues in double precision, at a
/// cost of the order of periods³ for each new correlation. A correlation that is not finite makes every value
/// not a number.
/// # Source
/// Box & Jenkins for the process; that the symmetric root moves a normal vector least as its covariance
/// changes (exactly so where covariances commute, which these nearly do) follows from Olkin & Pukelsheim
/// (1982), from memory.
pub(crate) struct Autoregression<R> {
    periods: usize,
    cols: usize,
    rho: f64,
    /// Sums, then differences.
    halves: [PeriodHalf<R>; 2],
    panels: [Vec<[R; LANES]>; 4],
}

/// Root and its derivative on the sums (or the differences) of periods as far from either end.
struct PeriodHalf<R> {
    n: usize,
    root: Left<R>,
    slope: Left<R>,
}

/// A matrix before any correlation is set, or for one that is not finite.
fn none<R: Real>(n: usize) -> Left<R> {
    Left::new(n, n, |_, _| R::of(f64::NAN))
}

impl<R: Real> Autoregression<R> {
    /// For blocks of so many values; no correlation is set yet.
    pub(crate) fn new(periods: usize, cols: usize) -> Autoregression<R> {
        let half = |n: usize| PeriodHalf { n, root: none(n), slope: none(n) };
        Autoregression {
            periods,
            cols,
            rho: f64::NAN,
            halves: [half(periods.div_ceil(2)), half(periods / 2)],
            panels: [(); 4].map(|()| vec![[R::zero(); LANES]; periods]),
        }
    }

    /// The correlation in force; not a number before any is set.
    pub(crate) fn rho(&self) -> f64 {
        self.rho
    }

    /// Sets the correlation from one period to the next, 0 to under 1.
    pub(crate) fn set(&mut self, rho: f64) {
        if self.rho == rho {
            return;
        }
        self.rho = rho;
        let last = self.periods - 1;
        let powers: Vec<f64> = (0..=last).map(|lag| rho.powi(lag as i32)).collect();
        for (half, sign) in self.halves.iter_mut().zip([1.0, -1.0]) {
            if !rho.is_finite() {
                (half.root, half.slope) = (none(half.n), none(half.n));
                continue;
            }
            // Lengths of e_i ± e_(last−i); the middle period is its own counterpart.
            let length = |i: usize| if 2 * i == last { 2.0 } else { std::f64::consts::SQRT_2 };
            let folded = |of: &dyn Fn(usize) -> f64| {
                Mat::from_fn(half.n, half.n, |i, j| {
                    2.0 * (of(i.abs_diff(j)) + sign * of(last - i - j)) / (length(i) * length(j))
                })
            };
            let correlations = folded(&|lag| powers[lag]);
            let derivative = folded(&|lag| if lag == 0 { 0.0 } else { lag as f64 * powers[lag - 1] });
            let eigen = correlations
                .self_adjoint_eigen(Side::Lower)
                .expect("a finite symmetric matrix has eigenvalues");
            let roots: Vec<f64> = (0..half.n).map(|k| eigen.S()[k].max(0.0).sqrt()).collect();
            let u = eigen.U();
            let turned = u.transpose() * derivative * u;
            let turned = Mat::from_fn(half.n, half.n, |i, j| turned[(i, j)] / (roots[i] + roots[j]));
            let root = Mat::from_fn(half.n, half.n, |i, k| u[(i, k)] * roots[k]) * u.transpose();
            let slope = u * turned * u.transpose();
            // Sums of two periods are √2 too long, once on the way in and once on the way out.
            let sums = |i: usize| if 2 * i == last { 1.0 } else { std::f64::consts::SQRT_2 };
            let folded =
                |m: &Mat<f64>| Left::new(half.n, half.n, |i, j| R::of(m[(i, j)] / (sums(i) * sums(j))));
            (half.root, half.slope) = (folded(&root), folded(&slope));
        }
    }

    /// White noise → correlated periods with unit variance.
    ///
    /// # Shapes and units
    /// `z` and `out`: one block, `[period][column]`.
    pub(crate) fn forward(&mut self, z: &[R], out: &mut [R]) {
        let [folded, image, ..] = &mut self.panels;
        wide(
            #[inline(always)]
            || {
                for at in ColumnRange::whole(self.cols).chain(ColumnRange::left_over(self.cols)) {
                    at.read_folded(z, folded);
                    each_half(&self.halves, |half| &half.root, folded, image);
                    at.write_unfolded(image, out);
                }
            },
        );
    }

    /// The transpose of [`Autoregression::forward`], in place, and the derivative of ⟨g, forward(z)⟩ by the
    /// correlation.
    ///
    /// # Shapes and units
    /// `g`: gradient by the image; `z`: the noise; one block each.
    /// # Numerics
    /// Products in the field's precision, their sum in double.
    pub(crate) fn backward(&mut self, g: &mut [R], z: &[R]) -> f64 {
        let [folded, image, noise, kept] = &mut self.panels;
        wide(
            #[inline(always)]
            || {
                let mut by_rho = 0.0;
                let left_over = ColumnRange::left_over(self.cols);
                if let Some(at) = left_over {
                    by_rho += one_panel(&self.halves, at, (g, z), (folded, noise), kept);
                }
                for at in ColumnRange::whole(self.cols) {
                    by_rho += one_panel(&self.halves, at, (g, z), (folded, noise), image);
                    at.write_unfolded(image, g);
                }
                if let Some(at) = left_over {
                    at.write_unfolded(kept, g);
                }
                by_rho
            },
        )
    }
}

/// The folded image of a panel of g, and its part of the derivative.
#[inline(always)]
fn one_panel<R: Real>(
    halves: &[PeriodHalf<R>; 2],
    at: ColumnRange,
    (g, z): (&[R], &[R]),
    (folded, noise): (&mut Panel<R>, &mut Panel<R>),
    image: &mut Panel<R>,
) -> f64 {
    at.read_folded(z, noise);
    at.read_folded(g, folded);
    each_half(halves, |half| &half.slope, noise, image);
    let mut sums = [R::zero(); LANES];
    for (a, b) in folded.iter().zip(image.iter()) {
        for ((sum, a), b) in sums.iter_mut().zip(a).zip(b) {
            *sum = a.fused(*b, *sum);
        }
    }
    each_half(halves, |half| &half.root, folded, image);
    sums[at.shared()..].iter().map(|sum| sum.f64()).sum()
}

/// Sums and differences of a folded panel, each by the matrix of its half.
#[inline(always)]
fn each_half<R: Real>(
    halves: &[PeriodHalf<R>; 2],
    matrix: impl Fn(&PeriodHalf<R>) -> &Left<R>,
    folded: &Panel<R>,
    out: &mut Panel<R>,
) {
    let [sums, differences] = halves;
    let (folded, out) = (folded.split_at(sums.n), out.split_at_mut(sums.n));
    matrix(sums).times(folded.0, out.0);
    matrix(differences).times(folded.1, out.1);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::real::dot;

    /// ρ^|i−j| of ten periods and fewer.
    fn correlation(rho: f64, i: usize, j: usize) -> f64 {
        rho.powi(i.abs_diff(j) as i32)
    }

    /// The matrix that `forward` applies, column by column of the identity.
    fn matrix(periods: usize, rho: f64) -> Vec<Vec<f64>> {
        let mut process = Autoregression::new(periods, periods);
        process.set(rho);
        let unit: Vec<f64> =
            (0..periods * periods).map(|k| f64::from(u8::from(k % (periods + 1) == 0))).collect();
        let mut out = vec![f64::NAN; periods * periods];
        process.forward(&unit, &mut out);
        out.chunks_exact(periods).map(<[f64]>::to_vec).collect()
    }

    #[test]
    fn its_square_is_the_correlation_of_the_process() {
        for periods in [1, 2, 5, 10] {
            for rho in [0.0, 0.3, 0.9, 0.9999, 1.0 - 1e-9] {
                let s = matrix(periods, rho);
                for i in 0..periods {
                    for j in 0..periods {
                        let square: f64 = (0..periods).map(|k| s[i][k] * s[k][j]).sum();
                        assert!(
                            (square - correlation(rho, i, j)).abs() < 1e-13,
                            "{periods} {rho} {i} {j}: {square}"
                        );
                        assert!((s[i][j] - s[j][i]).abs() < 1e-13);
                    }
                }
            }
        }
    }

    #[test]
    fn transpose_and_derivative_agree_with_the_forward_pass() {
        // Columns: too few for a panel, one, one and a few that share it, and two with most of the third
        // shared.
        for (periods, rho, cols) in [(5, 0.8, 3), (6, 0.97, 16), (1, 0.5, 3), (6, 0.9, 19), (5, 0.97, 46)] {
            let n = periods * cols;
            let z: Vec<f64> = (0..n).map(|i| (i as f64 * 1.7).sin()).collect();
            let g: Vec<f64> = (0..n).map(|i| (i as f64 * 0.9).cos()).collect();
            let mut process = Autoregression::new(periods, cols);
            let image = |rho: f64, process: &mut Autoregression<f64>| {
                let mut a = vec![f64::NAN; n];
                process.set(rho);
                process.forward(&z, &mut a);
                a
            };
            let step = 1e-6;
            let (up, down) = (image(rho + step, &mut process), image(rho - step, &mut process));
            let a = image(rho, &mut process);
            let mut back = g.clone();
            let by_rho = process.backward(&mut back, &z);
            assert!((dot(&g, &a) - dot(&back, &z)).abs() < 1e-12);
            // Each column by itself is the process of one column.
            for col in [0, cols / 2, cols - 1] {
                let line = |x: &[f64]| (0..periods).map(|p| x[p * cols + col]).collect::<Vec<_>>();
                let mut alone = Autoregression::new(periods, 1);
                alone.set(rho);
                let mut own = vec![f64::NAN; periods];
                alone.forward(&line(&z), &mut own);
                assert!(
                    own.iter().zip(line(&a)).all(|(own, a)| (own - a).abs() < 1e-13),
                    "{periods} {cols} {col}"
                );
                let mut own = line(&g);
                alone.backward(&mut own, &line(&z));
                assert!(
                    own.iter().zip(line(&back)).all(|(own, b)| (own - b).abs() < 1e-13),
                    "{periods} {cols} {col}"
                );
            }
            let difference = (dot(&g, &up) - dot(&g, &down)) / (2.0 * step);
            assert!((by_rho - difference).abs() < 1e-7, "{by_rho} {difference}");
        }
    }

    /// Against the triangular root, over a change of ρ with the noise as it is: see the head of this file.
    #[test]
    fn it_moves_less_than_the_recursion_when_the_correlation_changes() {
        let triangular = |periods: usize, rho: f64| -> Vec<Vec<f64>> {
            let root = (1.0 - rho * rho).sqrt();
            let first = |j: usize| if j == 0 { 1.0 } else { root };
            let at = |i: usize, j: usize| if j > i { 0.0 } else { correlation(rho, i, j) * first(j) };
            (0..periods).map(|i| (0..periods).map(|j| at(i, j)).collect()).collect()
        };
        let moved = |of: &dyn Fn(f64) -> Vec<Vec<f64>>| -> f64 {
            let (a, b) = (of(0.93), of(0.94));
            a.iter().flatten().zip(b.iter().flatten()).map(|(a, b)| (a - b).powi(2)).sum()
        };
        let (symmetric, recursion) = (moved(&|rho| matrix(24, rho)), moved(&|rho| triangular(24, rho)));
        assert!(symmetric < recursion / 2.0, "{symmetric} {recursion}");
    }

    #[test]
    fn a_correlation_that_is_none_gives_no_numbers() {
        let mut process = Autoregression::<f32>::new(4, 2);
        process.set(f64::NAN);
        let mut out = [0.0; 8];
        process.forward(&[1.0; 8], &mut out);
        assert!(out.iter().all(|v| v.is_nan()));
    }
}
