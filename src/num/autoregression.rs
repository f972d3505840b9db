//! A stationary first-order autoregression over periods, its transpose and its derivative.

use super::real::Real;

/// Fields here lie `[line][period][column]`: the recursion runs over periods, column by column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    /// Number of lines (rows of modes).
    pub lines: usize,
    /// Number of periods.
    pub periods: usize,
    /// Number of columns.
    pub cols: usize,
}

/// White noise → stationary AR(1) with unit variance, in place.
///
/// # Formula
/// ```text
/// a₀ = z₀,  a_t = ρ a_{t−1} + √(1 − ρ²) z_t
/// ```
/// # Shapes and units
/// `z`: `lines · periods · cols`; `rho` in [0, 1), per period.
/// # Source
/// Box & Jenkins, stationary AR(1).
#[inline(always)]
pub fn forward<R: Real>(z: &mut [R], layout: Layout, rho: f64) {
    let (q, rho) = (R::of((1.0 - rho * rho).sqrt()), R::of(rho));
    let (t, c) = (layout.periods, layout.cols);
    for line in z.chunks_exact_mut(t * c) {
        for p in 1..t {
            let (before, here) = line.split_at_mut(p * c);
            for (x, b) in here[..c].iter_mut().zip(&before[(p - 1) * c..]) {
                *x = rho * *b + q * *x;
            }
        }
    }
}

/// The transpose of [`forward`], in place, and the derivative of ⟨g, forward(z)⟩ with respect to ρ.
///
/// # Formula
/// ```text
/// v_t = g_t + ρ v_{t+1};  gz_0 = v_0,  gz_t = √(1 − ρ²) v_t
/// d/dρ = Σ_{t≥1} ⟨v_t, a_{t−1} − (ρ/√(1 − ρ²)) z_t⟩
/// ```
/// # Shapes and units
/// `g`: gradient with respect to the autoregression; `z`, `a`: the noise and its image.
#[inline(always)]
pub fn backward<R: Real>(g: &mut [R], z: &[R], a: &[R], layout: Layout, rho: f64) -> f64 {
    let root = (1.0 - rho * rho).sqrt();
    let (slope, q, rho) = (R::of(rho / root), R::of(root), R::of(rho));
    let (t, c) = (layout.periods, layout.cols);
    let mut d_rho = 0.0;
    for ((g, z), a) in g.chunks_exact_mut(t * c).zip(z.chunks_exact(t * c)).zip(a.chunks_exact(t * c)) {
        for p in (1..t).rev() {
            let (before, here) = g.split_at_mut(p * c);
            let previous = &mut before[(p - 1) * c..];
            let (z, a) = (&z[p * c..(p + 1) * c], &a[(p - 1) * c..p * c]);
            // One line's sum in the field's own precision, the sum of lines in double.
            let mut lanes = [R::zero(); 8];
            let mut from = 0;
            while from + 8 <= c {
                let v: &mut [R; 8] = (&mut here[from..from + 8]).try_into().expect("eight values");
                let b: &mut [R; 8] = (&mut previous[from..from + 8]).try_into().expect("eight values");
                let z: &[R; 8] = z[from..from + 8].try_into().expect("eight values");
                let a: &[R; 8] = a[from..from + 8].try_into().expect("eight values");
                for j in 0..8 {
                    lanes[j] += v[j] * (a[j] - slope * z[j]);
                    b[j] += rho * v[j];
                    v[j] *= q;
                }
                from += 8;
            }
            for j in from..c {
                lanes[0] += here[j] * (a[j] - slope * z[j]);
                previous[j] += rho * here[j];
                here[j] *= q;
            }
            d_rho += lanes.iter().map(|l| l.f64()).sum::<f64>();
        }
    }
    d_rho
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transpose_and_derivative_agree_with_the_forward_pass() {
        let layout = Layout { lines: 3, periods: 5, cols: 2 };
        let n = 30;
        let z: Vec<f64> = (0..n).map(|i| (i as f64 * 1.7).sin()).collect();
        let g: Vec<f64> = (0..n).map(|i| (i as f64 * 0.9).cos()).collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let image = |rho: f64| {
            let mut a = z.clone();
            forward(&mut a, layout, rho);
            a
        };
        let rho = 0.8;
        let a = image(rho);
        let mut gz = g.clone();
        let d = backward(&mut gz, &z, &a, layout, rho);
        assert!((dot(&g, &a) - dot(&gz, &z)).abs() < 1e-12);
        let h = 1e-6;
        let fd = (dot(&g, &image(rho + h)) - dot(&g, &image(rho - h))) / (2.0 * h);
        assert!((d - fd).abs() < 1e-7, "{d} {fd}");
    }
}
