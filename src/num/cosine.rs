//! The orthonormal two-dimensional cosine transform (DCT-II) of a field over all periods at once.
//!
//! Fields lie `[row][period][column]`, so that each axis is one large product with a
//! cosine matrix; symmetry of the cosines about the middle halves the work. The modes of
//! an axis are kept in the order *even frequencies, then odd ones*: [`CosineTransform::frequency`]
//! says which is which. Axes longer than [`LONGEST_PRODUCT`] use a fast transform
//! (`rustdct`) line by line instead.

use super::fold::{fold_lines, unfold_lines};
use super::real::{Real, wide};
use faer::{MatMut, MatRef};
use rustdct::{DctPlanner, TransformType2And3};
use std::sync::Arc;

/// Longest axis for which a product with the cosine matrix is used.
///
/// A folded product costs n multiply-adds a value, a fast transform about 10 log₂ n
/// slower scalar operations; they meet between 100 and 250 on the machines tried.
pub const LONGEST_PRODUCT: usize = 160;

/// One axis of the transform.
struct Axis<R> {
    n: usize,
    /// Even cosines on the folded sum, `ne × ne` row-major: mode × place.
    even: Vec<R>,
    /// Odd cosines on the folded difference, `no × no` row-major.
    odd: Vec<R>,
    fast: Option<Arc<dyn TransformType2And3<R>>>,
}

impl<R: Real> Axis<R> {
    fn new(n: usize) -> Axis<R> {
        let (ne, no) = (n.div_ceil(2), n / 2);
        let value = |k: usize, j: usize| {
            let scale = if k == 0 { (1.0 / n as f64).sqrt() } else { (2.0 / n as f64).sqrt() };
            R::of(scale * (std::f64::consts::PI * k as f64 * (j as f64 + 0.5) / n as f64).cos())
        };
        let fast = (n > LONGEST_PRODUCT).then(|| DctPlanner::new().plan_dct2(n));
        let (mut even, mut odd) = (Vec::new(), Vec::new());
        if fast.is_none() {
            for m in 0..ne {
                even.extend((0..ne).map(|j| value(2 * m, j)));
            }
            for m in 0..no {
                odd.extend((0..no).map(|j| value(2 * m + 1, j)));
            }
        }
        Axis { n, even, odd, fast }
    }
    fn halves(&self) -> (usize, usize) {
        (self.n.div_ceil(2), self.n / 2)
    }
    /// Frequency of the mode at a position: evens first.
    fn frequency(&self, position: usize) -> usize {
        let (ne, _) = self.halves();
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
/// Orthonormal: the inverse is the transpose; round trip error below 1e-12 on values of order 1
/// in double precision, 1e-5 in single (unit tests). No allocation in [`CosineTransform::forward`] and `inverse` on short axes.
/// # Source
/// Makhoul (1980) for the transform; the even–odd folding is elementary.
pub struct CosineTransform<R = f64> {
    rows: Axis<R>,
    cols: Axis<R>,
    periods: usize,
    folded: Vec<R>,
    line: Vec<R>,
}

impl<R: Real> CosineTransform<R> {
    /// A transform for fields of `rows × periods × cols` values.
    pub fn new(rows: usize, periods: usize, cols: usize) -> CosineTransform<R> {
        CosineTransform {
            rows: Axis::new(rows),
            cols: Axis::new(cols),
            periods,
            folded: vec![R::zero(); rows * periods * cols],
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
        let (ne, no) = self.rows.halves();
        let (even, odd) = (
            MatRef::from_row_major_slice(&self.rows.even, ne, ne),
            MatRef::from_row_major_slice(&self.rows.odd, no, no),
        );
        let f = &mut self.folded;
        if forward {
            fold_lines(x, f, n, width);
            let (fe, fo) = f.split_at(ne * width);
            let (xe, xo) = x.split_at_mut(ne * width);
            product(xe, even, fe, ne, width);
            product(xo, odd, fo, no, width);
        } else {
            let (fe, fo) = f.split_at_mut(ne * width);
            let (xe, xo) = x.split_at(ne * width);
            product(fe, even.transpose(), xe, ne, width);
            product(fo, odd.transpose(), xo, no, width);
            unfold_lines(f, x, n, width);
        }
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
        let (ne, no) = self.cols.halves();
        let lines = self.rows.n * self.periods;
        let f = &mut self.folded;
        if forward {
            wide(
                #[inline(always)]
                || {
                    for (line, out) in x.chunks_exact(n).zip(f.chunks_exact_mut(n)) {
                        fold_line(line, out, ne, no);
                    }
                },
            );
            lines_product(x, f, &self.cols.even, &self.cols.odd, (lines, ne, no), true);
        } else {
            lines_product(f, x, &self.cols.even, &self.cols.odd, (lines, ne, no), false);
            wide(
                #[inline(always)]
                || {
                    for (line, out) in f.chunks_exact(n).zip(x.chunks_exact_mut(n)) {
                        unfold_line(line, out, ne, no);
                    }
                },
            );
        }
    }
}

/// One line folded about its middle: sums in the first `ne` places, differences after.
#[inline(always)]
fn fold_line<R: Real>(line: &[R], out: &mut [R], ne: usize, no: usize) {
    let (sum, difference) = out.split_at_mut(ne);
    if ne > no {
        sum[no] = line[no];
    }
    for j in 0..no {
        let (a, b) = (line[j], line[line.len() - 1 - j]);
        sum[j] = a + b;
        difference[j] = a - b;
    }
}

/// The transpose of [`fold_line`].
#[inline(always)]
fn unfold_line<R: Real>(line: &[R], out: &mut [R], ne: usize, no: usize) {
    let (sum, difference) = line.split_at(ne);
    let n = out.len();
    if ne > no {
        out[no] = sum[no];
    }
    for j in 0..no {
        out[j] = sum[j] + difference[j];
        out[n - 1 - j] = sum[j] - difference[j];
    }
}

/// out (n × width) = matrix (n × n) · x (n × width), all row-major.
fn product<R: Real>(out: &mut [R], matrix: MatRef<'_, R>, x: &[R], n: usize, width: usize) {
    if n == 0 {
        return;
    }
    let out = MatMut::from_row_major_slice_mut(out, n, width);
    let x = MatRef::from_row_major_slice(x, n, width);
    R::product(out, matrix, x);
}

/// Each line's two halves times the even and the odd matrix (transposed when not `forward`).
fn lines_product<R: Real>(
    out: &mut [R],
    x: &[R],
    even: &[R],
    odd: &[R],
    (lines, ne, no): (usize, usize, usize),
    forward: bool,
) {
    let n = ne + no;
    for (matrix, size, start) in [(even, ne, 0), (odd, no, ne)] {
        if size == 0 {
            continue;
        }
        let m = MatRef::from_row_major_slice(matrix, size, size);
        let m = if forward { m.transpose() } else { m };
        let out = MatMut::from_row_major_slice_mut(out, lines, n);
        let out = out.submatrix_mut(0, start, lines, size);
        let x = MatRef::from_row_major_slice(x, lines, n);
        let x = x.submatrix(0, start, lines, size);
        R::product(out, x, m);
    }
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
        for (rows, periods, cols) in [(2, 1, 2), (5, 3, 4), (8, 2, 7), (3, 2, 170), (165, 1, 3)] {
            let mut t = CosineTransform::new(rows, periods, cols);
            t.folded.fill(f64::NAN);
            let x: Vec<f64> = (0..rows * periods * cols).map(|i| ((i * 37 % 101) as f64 * 0.02).sin()).collect();
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
