//! Weighted sums over a rectangular window of a field, and their transpose.
//!
//! Thousands of windows pass here at each gradient, one to four registers wide: a loop of
//! unknown length costs more than its sums. So the loops are compiled for each width. All lanes do
//! the same operations in the same order, and the last sum is a tree of a fixed shape: the result
//! does not depend on the processor.

use crate::numerics::real::Real;

/// Windows are fastest where their width is a small multiple of so many columns.
pub(crate) const LANES: usize = 8;

/// Where a window lies in a field: its first value, and the steps from row to row and period to period.
#[derive(Debug, Clone, Copy)]
pub(crate) struct WindowPlace {
    /// Index of the window's first value in the first period.
    pub at: usize,
    /// Values from one row to the next.
    pub row_step: usize,
    /// Values from one period to the next.
    pub period_step: usize,
}

/// `out[p] = Σ_r Σ_c rows[r] cols[c] field(r, p, c)`.
///
/// # Shapes and units
/// One weight a row and a column of the window, one sum a period; the window lies within the field.
#[inline(always)]
pub(crate) fn sum<R: Real>(field: &[R], place: WindowPlace, (rows, cols): (&[R], &[R]), out: &mut [R]) {
    match cols.len() {
        8 => sum_wide::<R, 8>(field, place, rows, cols, out),
        16 => sum_wide::<R, 16>(field, place, rows, cols, out),
        24 => sum_wide::<R, 24>(field, place, rows, cols, out),
        _ => {
            out.fill(R::zero());
            let whole = cols.chunks_exact(LANES);
            let tail = whole.remainder();
            for (i, cols) in whole.enumerate() {
                let place = WindowPlace { at: place.at + i * LANES, ..place };
                each_sum::<R, 8, 1>(field, place, rows, cols, out, |out, sum| *out += sum);
            }
            for (i, col) in tail.iter().enumerate() {
                let place = WindowPlace { at: place.at + cols.len() - tail.len() + i, ..place };
                each_sum::<R, 1, 1>(field, place, rows, &[*col], out, |out, sum| *out += sum);
            }
        }
    }
}

#[inline(always)]
fn sum_wide<R: Real, const W: usize>(field: &[R], place: WindowPlace, rows: &[R], cols: &[R], out: &mut [R]) {
    // Four periods at a time: their sums do not wait for one another.
    let fours = out.len() / 4 * 4;
    let (four, rest) = out.split_at_mut(fours);
    each_sum::<R, W, 4>(field, place, rows, cols, four, |out, sum| *out = sum);
    let place = WindowPlace { at: place.at + fours * place.period_step, ..place };
    each_sum::<R, W, 1>(field, place, rows, cols, rest, |out, sum| *out = sum);
}

/// Sums of W columns, P periods at a time.
#[inline(always)]
fn each_sum<R: Real, const W: usize, const P: usize>(
    field: &[R],
    place: WindowPlace,
    rows: &[R],
    cols: &[R],
    out: &mut [R],
    put: impl Fn(&mut R, R),
) {
    let cols: [R; W] = *cols.first_chunk().expect("as many columns as the window is wide");
    let mut at = place.at;
    for out in out.chunks_exact_mut(P) {
        let mut sums = [[R::zero(); W]; P];
        for (m, lines) in rows.iter().zip(field[at..].chunks(place.row_step)) {
            for (p, sums) in sums.iter_mut().enumerate() {
                let line: [R; W] =
                    *lines[p * place.period_step..].first_chunk().expect("a window within the field");
                for (sum, x) in sums.iter_mut().zip(&line) {
                    *sum = m.fused(*x, *sum);
                }
            }
        }
        for (out, sums) in out.iter_mut().zip(&sums) {
            let mut lanes = [R::zero(); LANES];
            for (sums, cols) in sums.chunks(LANES).zip(cols.chunks(LANES)) {
                for ((lane, sum), w) in lanes.iter_mut().zip(sums).zip(cols) {
                    *lane = sum.fused(*w, *lane);
                }
            }
            put(out, total(lanes));
        }
        at += P * place.period_step;
    }
}

/// Sum of eight lanes: halves onto halves.
#[inline(always)]
fn total<R: Real>(l: [R; LANES]) -> R {
    let four = [l[0] + l[4], l[1] + l[5], l[2] + l[6], l[3] + l[7]];
    (four[0] + four[2]) + (four[1] + four[3])
}

/// The transpose: `field(r, p, c) += rows[r] cols[c] by[p]`.
///
/// # Shapes and units
/// As for [`sum`].
#[inline(always)]
pub(crate) fn add<R: Real>(field: &mut [R], place: WindowPlace, (rows, cols): (&[R], &[R]), by: &[R]) {
    match cols.len() {
        8 => add_wide::<R, 8>(field, place, rows, cols, by),
        16 => add_wide::<R, 16>(field, place, rows, cols, by),
        24 => add_wide::<R, 24>(field, place, rows, cols, by),
        _ => {
            let whole = cols.chunks_exact(LANES);
            let tail = whole.remainder();
            for (i, cols) in whole.enumerate() {
                add_wide::<R, 8>(field, WindowPlace { at: place.at + i * LANES, ..place }, rows, cols, by);
            }
            for (i, col) in tail.iter().enumerate() {
                let at = place.at + cols.len() - tail.len() + i;
                add_wide::<R, 1>(field, WindowPlace { at, ..place }, rows, &[*col], by);
            }
        }
    }
}

#[inline(always)]
fn add_wide<R: Real, const W: usize>(field: &mut [R], place: WindowPlace, rows: &[R], cols: &[R], by: &[R]) {
    let cols: [R; W] = *cols.first_chunk().expect("as many columns as the window is wide");
    let mut at = place.at;
    for g in by {
        let weights = cols.map(|w| *g * w);
        for (m, line) in rows.iter().zip(field[at..].chunks_mut(place.row_step)) {
            let line: &mut [R; W] = line.first_chunk_mut().expect("a window within the field");
            let mut sums = *line;
            for (x, w) in sums.iter_mut().zip(&weights) {
                *x = m.fused(*w, *x);
            }
            *line = sums;
        }
        at += place.period_step;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the plain loops, for each compiled width and for others; sums of some hundred products of
    /// order one.
    #[test]
    fn equals_the_plain_loops() {
        let (rows, periods, cols) = (9, 7, 50);
        let value = |i: usize| (i as f64 * 0.7).sin();
        for (height, width, span) in [(1, 8, 1), (4, 8, 5), (5, 16, 7), (9, 24, 4), (3, 43, 6), (2, 3, 2)] {
            let wy: Vec<f64> = (0..height).map(|i| value(i + 3)).collect();
            let wx: Vec<f64> = (0..width).map(|i| value(2 * i + 1)).collect();
            let mut field: Vec<f64> = (0..rows * periods * cols).map(value).collect();
            let before = field.clone();
            let mut out = vec![f64::NAN; span];
            let at = if periods > span { cols + 1 } else { 1 };
            let place = WindowPlace { at, row_step: periods * cols, period_step: cols };
            super::sum(&field, place, (&wy, &wx), &mut out);
            add(&mut field, place, (&wy, &wx), &out);
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
