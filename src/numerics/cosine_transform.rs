//! The orthonormal two-dimensional cosine transform (DCT-II) of a field over all periods at once.
//!
//! Fields lie `[row][period][column]`, so that each axis is one large product with a cosine matrix; symmetry
//! of the cosines about the middle halves the work ([`crate::numerics::packed_matmul`]). The modes of an axis
//! are kept in the order *even frequencies, then odd ones*: [`CosineTransform::frequency`] says which is
//! which. Axes longer than [`LONGEST_PRODUCT`] use a fast transform (`rustdct`) line by line instead.

use crate::numerics::packed_matmul::{
    ColumnRange, LANES, LINES, LONGEST_LINE, Left, Panel, Right, Six, copy, fold_line, unfold_line,
};
use crate::numerics::real::{Real, wide};
use rustdct::{DctPlanner, TransformType2And3};
use std::sync::Arc;

/// Longest axis for which a product with the cosine matrix is used.
///
/// A folded product costs n multiply-adds a value, a fast transform about 10 log₂ n
/// slower scalar operations; they meet between 100 and 250 on the machines tried.
pub(crate) const LONGEST_PRODUCT: usize = 160;

/// One axis of the transform.
struct Axis<R> {
    n: usize,
    /// Even cosines on the folded sum, odd cosines on the folded difference; none of an axis with a fast
    /// transform.
    halves: Option<[FoldedHalf<R>; 2]>,
    fast: Option<Arc<dyn TransformType2And3<R>>>,
}

/// Cosines of one parity, mode × place, and their transpose, as factors of lines that lie over one another
/// and of those that lie along the axis.
struct FoldedHalf<R> {
    over: Left<R>,
    over_back: Left<R>,
    along: Right<R>,
    along_back: Right<R>,
}

impl<R: Real> FoldedHalf<R> {
    fn new(n: usize, parity: usize) -> FoldedHalf<R> {
        let size = (n + 1 - parity) / 2;
        let value = |m: usize, j: usize| {
            let k = 2 * m + parity;
            let scale = if k == 0 { (1.0 / n as f64).sqrt() } else { (2.0 / n as f64).sqrt() };
            R::of(scale * (std::f64::consts::PI * k as f64 * (j as f64 + 0.5) / n as f64).cos())
        };
        FoldedHalf {
            over: Left::new(size, size, value),
            over_back: Left::new(size, size, |j, m| value(m, j)),
            along: Right::new(size, size, |j, m| value(m, j)),
            along_back: Right::new(size, size, value),
        }
    }
}

impl<R: Real> Axis<R> {
    fn new(n: usize) -> Axis<R> {
        let fast = (n > LONGEST_PRODUCT).then(|| DctPlanner::new().plan_dct2(n));
        let halves = fast.is_none().then(|| [0, 1].map(|parity| FoldedHalf::new(n, parity)));
        Axis { n, halves, fast }
    }
    /// Numbers of even and of odd modes.
    fn sizes(&self) -> (usize, usize) {
        (self.n.div_ceil(2), self.n / 2)
    }
    /// Frequency of the mode at a position: evens first.
    fn frequency(&self, position: usize) -> usize {
        let (ne, _) = self.sizes();
        if position < ne { 2 * position } else { 2 * (position - ne) + 1 }
    }
    /// One line by the fast transform, forward; modes in our order.
    fn forward_line(&self, line: &mut [R], scratch: &mut Vec<R>) {
        let fast = self.fast.as_ref().expect("a fast plan exists for every long axis");
        fast.process_dct2(line);
        let n = self.n as f64;
        scratch.clear();
        scratch.extend_from_slice(line);
        for (position, v) in line.iter_mut().enumerate() {
            let k = self.frequency(position);
            *v = scratch[k] * R::of(if k == 0 { (1.0 / n).sqrt() } else { (2.0 / n).sqrt() });
        }
    }
    /// The transpose (= inverse) of [`Axis::forward_line`].
    fn inverse_line(&self, line: &mut [R], scratch: &mut Vec<R>) {
        let fast = self.fast.as_ref().expect("a fast plan exists for every long axis");
        let n = self.n as f64;
        scratch.clear();
        scratch.resize(self.n, R::zero());
        for (position, v) in line.iter().enumerate() {
            // DCT-III halves its first term; the orthonormal weights then invert DCT-II.
            let k = self.frequency(position);
            scratch[k] = *v * R::of(if k == 0 { 2.0 * (1.0 / n).sqrt() } else { (2.0 / n).sqrt() });
        }
        fast.process_dct3(scratch);
        line.copy_from_slice(scratch);
    }
}

/// Orthonormal DCT-II over rows and columns of a `[row][period][column]` field.
///
/// # Formula
/// ```text
/// y(k, t, l) = Σ_r Σ_c C_R(k, r) C_C(l, c) x(r, t, c)
/// C_n(k, j) = √((2 − [k=0])/n) cos(π k (j + ½)/n)
/// ```
/// # Numerics
/// Orthonormal: the inverse is the transpose; round trip error below 1e-12 on values of order 1 in double
/// precision, 1e-5 in single (unit tests). No allocation in [`CosineTransform::forward`] and `inverse` on
/// short axes.
/// # Source
/// Makhoul (1980) for the transform; the even–odd folding is elementary.
pub struct CosineTransform<R = f64> {
    rows: Axis<R>,
    cols: Axis<R>,
    periods: usize,
    panels: [Vec<[R; LANES]>; 3],
    lines: Box<[Six<R>; 4]>,
    line: Vec<R>,
}

impl<R: Real> CosineTransform<R> {
    /// A transform for fields of `rows × periods × cols` values.
    pub fn new(rows: usize, periods: usize, cols: usize) -> CosineTransform<R> {
        CosineTransform {
            rows: Axis::new(rows),
            cols: Axis::new(cols),
            periods,
            panels: [(); 3].map(|()| vec![[R::zero(); LANES]; rows]),
            lines: Box::new([[[R::zero(); LONGEST_LINE]; LINES]; 4]),
            line: Vec::new(),
        }
    }

    /// Frequencies (half-waves over the axis) of the mode stored at (row, column) position.
    pub fn frequency(&self, row: usize, col: usize) -> (usize, usize) {
        (self.rows.frequency(row), self.cols.frequency(col))
    }

    /// Field → modes, in place.
    ///
    /// # Shapes and units
    /// `x`: `rows · periods · cols` values; any unit, kept.
    pub fn forward(&mut self, x: &mut [R]) {
        self.cols_axis(x, true);
        self.rows_axis(x, true);
    }

    /// Modes → field, in place: the inverse and the transpose of [`CosineTransform::forward`].
    pub fn inverse(&mut self, x: &mut [R]) {
        self.rows_axis(x, false);
        self.cols_axis(x, false);
    }

    fn rows_axis(&mut self, x: &mut [R], forward: bool) {
        let n = self.rows.n;
        let width = self.periods * self.cols.n;
        if self.rows.fast.is_some() {
            for j in 0..width {
                let mut column: Vec<R> = (0..n).map(|i| x[i * width + j]).collect();
                if forward {
                    self.rows.forward_line(&mut column, &mut self.line);
                } else {
                    self.rows.inverse_line(&mut column, &mut self.line);
                }
                for (i, v) in column.into_iter().enumerate() {
                    x[i * width + j] = v;
                }
            }
            return;
        }
        let [a, b, kept] = &mut self.panels;
        let halves = self.rows.halves.as_ref().expect("cosines of every short axis");
        wide(
            #[inline(always)]
            || {
                let left_over = ColumnRange::left_over(width);
                if let Some(at) = left_over {
                    image(halves, forward, at, x, a, kept);
                }
                for at in ColumnRange::whole(width) {
                    image(halves, forward, at, x, a, b);
                    put(forward, at, b, x);
                }
                if let Some(at) = left_over {
                    put(forward, at, kept, x);
                }
            },
        );
    }

    fn cols_axis(&mut self, x: &mut [R], forward: bool) {
        let n = self.cols.n;
        if self.cols.fast.is_some() {
            for line in x.chunks_exact_mut(n) {
                if forward {
                    self.cols.forward_line(line, &mut self.line);
                } else {
                    self.cols.inverse_line(line, &mut self.line);
                }
            }
            return;
        }
        let [even, odd] = self.cols.halves.as_ref().expect("cosines of every short axis");
        let (ne, _) = self.cols.sizes();
        // Even and odd halves of six lines.
        let [ae, ao, be, bo] = &mut *self.lines;
        wide(
            #[inline(always)]
            || {
                for six in x.chunks_mut(LINES * n) {
                    if forward {
                        for ((line, sum), difference) in
                            six.chunks_exact(n).zip(ae.iter_mut()).zip(ao.iter_mut())
                        {
                            fold_line(line, sum, difference);
                        }
                        even.along.times(ae, be);
                        odd.along.times(ao, bo);
                        for ((line, even), odd) in six.chunks_exact_mut(n).zip(be.iter()).zip(bo.iter()) {
                            copy(even, &mut line[..ne]);
                            copy(odd, &mut line[ne..]);
                        }
                    } else {
                        for ((line, even), odd) in six.chunks_exact(n).zip(ae.iter_mut()).zip(ao.iter_mut()) {
                            copy(line, &mut even[..ne]);
                            copy(&line[ne..], &mut odd[..n - ne]);
                        }
                        even.along_back.times(ae, be);
                        odd.along_back.times(ao, bo);
                        for ((line, sum), difference) in six.chunks_exact_mut(n).zip(be.iter()).zip(bo.iter())
                        {
                            unfold_line(sum, difference, line);
                        }
                    }
                }
            },
        );
    }
}

/// Modes of a panel of places, or, back, the folded places of a panel of modes.
#[inline(always)]
fn image<R: Real>(
    [even, odd]: &[FoldedHalf<R>; 2],
    forward: bool,
    at: ColumnRange,
    x: &[R],
    panel: &mut Panel<R>,
    out: &mut Panel<R>,
) {
    let ne = out.len().div_ceil(2);
    let out = out.split_at_mut(ne);
    if forward {
        at.read_folded(x, panel);
        even.over.times(&panel[..ne], out.0);
        odd.over.times(&panel[ne..], out.1);
    } else {
        at.read(x, panel);
        even.over_back.times(&panel[..ne], out.0);
        odd.over_back.times(&panel[ne..], out.1);
    }
}

/// What [`image`] made, put into the field.
#[inline(always)]
fn put<R: Real>(forward: bool, at: ColumnRange, out: &Panel<R>, x: &mut [R]) {
    if forward { at.write(out, x) } else { at.write_unfolded(out, x) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Round trip and direct sum: 1e-12 absolute on values of order 1.
    const DIRECT_SUM_ABS: f64 = 1e-12;

    fn direct(x: &[f64], rows: usize, periods: usize, cols: usize, t: &CosineTransform) -> Vec<f64> {
        let basis = |n: usize, k: usize, j: usize| {
            let s = if k == 0 { 1.0 } else { 2.0 };
            (s / n as f64).sqrt() * (std::f64::consts::PI * k as f64 * (j as f64 + 0.5) / n as f64).cos()
        };
        let mut y = vec![0.0; x.len()];
        for p in 0..periods {
            for a in 0..rows {
                for b in 0..cols {
                    let (k, l) = t.frequency(a, b);
                    let mut sum = 0.0;
                    for r in 0..rows {
                        for c in 0..cols {
                            sum += basis(rows, k, r) * basis(cols, l, c) * x[(r * periods + p) * cols + c];
                        }
                    }
                    y[(a * periods + p) * cols + b] = sum;
                }
            }
        }
        y
    }

    #[test]
    fn equals_the_direct_sum_and_inverts() {
        for (rows, periods, cols) in
            [(2, 1, 2), (5, 3, 4), (8, 2, 7), (37, 1, 41), (3, 1, 100), (3, 2, 170), (165, 1, 3)]
        {
            let mut t = CosineTransform::new(rows, periods, cols);
            t.panels.iter_mut().for_each(|p| p.fill([f64::NAN; LANES]));
            t.lines.iter_mut().flatten().for_each(|l| l.fill(f64::NAN));
            let x: Vec<f64> =
                (0..rows * periods * cols).map(|i| ((i * 37 % 101) as f64 * 0.02).sin()).collect();
            let mut y = x.clone();
            t.forward(&mut y);
            for (a, b) in y.iter().zip(direct(&x, rows, periods, cols, &t)) {
                assert!((a - b).abs() < DIRECT_SUM_ABS, "{rows}×{periods}×{cols}: {a} {b}");
            }
            t.inverse(&mut y);
            for (a, b) in y.iter().zip(&x) {
                assert!((a - b).abs() < DIRECT_SUM_ABS);
            }
        }
    }
}
