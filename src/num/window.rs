//! Weighted sums over a rectangular window of a field, and their transpose.
//!
//! Written with explicit registers (`pulp`), since every pig passes here twice a gradient. The
//! width of a register differs between processors, and with it the order of additions: results
//! may differ in the last bits from one kind of processor to another.

use pulp::Simd;

/// Where a window lies in a field: its first value, and the steps from row to row and period to period.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// Index of the window's first value in the first period.
    pub at: usize,
    /// Values from one row to the next.
    pub row_step: usize,
    /// Values from one period to the next.
    pub period_step: usize,
}

macro_rules! window {
    ($sum:ident, $add:ident, $t:ty, $as_simd:ident, $as_mut_simd:ident, $splat:ident, $fma:ident, $reduce:ident) => {
        /// `out[p] = Σ_r Σ_c rows[r] cols[c] field(r, p, c)`.
        #[inline(always)]
        pub fn $sum<S: Simd>(simd: S, field: &[$t], place: Place, (rows, cols): (&[$t], &[$t]), out: &mut [f64]) {
            let (wide, tail) = S::$as_simd(cols);
            let whole = cols.len() - tail.len();
            let line = |at: usize| S::$as_simd(&field[at..at + whole]).0;
            let mut at = place.at;
            let step = place.period_step;
            // Four periods at a time: their sums do not wait for one another.
            let mut fours = out.chunks_exact_mut(4);
            for out in &mut fours {
                let mut total = [simd.$splat(0.0); 4];
                for (v, w) in wide.iter().enumerate() {
                    let mut sums = [simd.$splat(0.0); 4];
                    let mut here = at;
                    for m in rows {
                        let m = simd.$splat(*m);
                        sums[0] = simd.$fma(m, line(here)[v], sums[0]);
                        sums[1] = simd.$fma(m, line(here + step)[v], sums[1]);
                        sums[2] = simd.$fma(m, line(here + 2 * step)[v], sums[2]);
                        sums[3] = simd.$fma(m, line(here + 3 * step)[v], sums[3]);
                        here += place.row_step;
                    }
                    for k in 0..4 {
                        total[k] = simd.$fma(sums[k], *w, total[k]);
                    }
                }
                for k in 0..4 {
                    out[k] = f64::from(simd.$reduce(total[k]));
                }
                at += 4 * step;
            }
            for out in fours.into_remainder() {
                let mut total = simd.$splat(0.0);
                for (v, w) in wide.iter().enumerate() {
                    let mut sum = simd.$splat(0.0);
                    let mut here = at;
                    for m in rows {
                        sum = simd.$fma(simd.$splat(*m), line(here)[v], sum);
                        here += place.row_step;
                    }
                    total = simd.$fma(sum, *w, total);
                }
                *out = f64::from(simd.$reduce(total));
                at += step;
            }
            if !tail.is_empty() {
                for (p, out) in out.iter_mut().enumerate() {
                    let mut here = place.at + p * step + whole;
                    for m in rows {
                        let line = &field[here..here + tail.len()];
                        *out += f64::from(*m * line.iter().zip(tail).map(|(a, b)| a * b).sum::<$t>());
                        here += place.row_step;
                    }
                }
            }
        }

        /// The transpose: `field(r, p, c) += rows[r] cols[c] by[p]`.
        #[inline(always)]
        pub fn $add<S: Simd>(simd: S, field: &mut [$t], place: Place, (rows, cols): (&[$t], &[$t]), by: &[f64]) {
            let (wide, tail) = S::$as_simd(cols);
            let whole = cols.len() - tail.len();
            for (p, g) in by.iter().enumerate() {
                let g = *g as $t;
                let mut at = place.at + p * place.period_step;
                for m in rows {
                    let k = m * g;
                    let (line, rest) = field[at..at + cols.len()].split_at_mut(whole);
                    let k_wide = simd.$splat(k);
                    for (f, w) in S::$as_mut_simd(line).0.iter_mut().zip(wide) {
                        *f = simd.$fma(k_wide, *w, *f);
                    }
                    rest.iter_mut().zip(tail).for_each(|(f, w)| *f += k * w);
                    at += place.row_step;
                }
            }
        }
    };
}

window!(sum_f32, add_f32, f32, as_simd_f32s, as_mut_simd_f32s, splat_f32s, mul_add_f32s, reduce_sum_f32s);
window!(sum_f64, add_f64, f64, as_simd_f64s, as_mut_simd_f64s, splat_f64s, mul_add_f64s, reduce_sum_f64s);

#[cfg(test)]
mod tests {
    use super::*;

    struct Both<'a> {
        field: &'a mut [f64],
        place: Place,
        weights: (&'a [f64], &'a [f64]),
        out: &'a mut [f64],
    }

    impl pulp::WithSimd for Both<'_> {
        type Output = ();
        #[inline(always)]
        fn with_simd<S: Simd>(self, simd: S) {
            sum_f64(simd, self.field, self.place, self.weights, self.out);
            add_f64(simd, self.field, self.place, self.weights, self.out);
        }
    }

    /// Against the plain loops, for widths that fill registers and widths that do not; sums of some
    /// hundred products of order one.
    #[test]
    fn equals_the_plain_loops() {
        let (rows, periods, cols) = (9, 7, 21);
        let value = |i: usize| (i as f64 * 0.7).sin();
        for (height, width, span) in [(1, 1, 1), (4, 8, 5), (5, 13, 7), (9, 16, 4), (3, 19, 6)] {
            let wy: Vec<f64> = (0..height).map(|i| value(i + 3)).collect();
            let wx: Vec<f64> = (0..width).map(|i| value(2 * i + 1)).collect();
            let mut field: Vec<f64> = (0..rows * periods * cols).map(value).collect();
            let before = field.clone();
            let mut out = vec![f64::NAN; span];
            let place = Place { at: cols + 1, row_step: periods * cols, period_step: cols };
            let place = Place { at: if periods - span > 0 { place.at } else { 1 }, ..place };
            let arch = pulp::Arch::new();
            arch.dispatch(Both { field: &mut field, place, weights: (&wy, &wx), out: &mut out });
            let mut expected = before.clone();
            for (p, found) in out.iter().enumerate() {
                let at = |r: usize, c: usize| place.at + r * place.row_step + p * place.period_step + c;
                let mut sum = 0.0;
                for (r, y) in wy.iter().enumerate() {
                    for (c, x) in wx.iter().enumerate() {
                        sum += y * x * before[at(r, c)];
                    }
                }
                assert!((sum - found).abs() < 1e-13, "{height} × {width}: {sum} {found}");
                for (r, y) in wy.iter().enumerate() {
                    for (c, x) in wx.iter().enumerate() {
                        expected[at(r, c)] += y * x * sum;
                    }
                }
            }
            assert!(field.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-12));
        }
    }
}
