//! Products of small matrices with many short lines, and lines folded about the middle.
//!
//! A matrix that commutes with turning the order of lines about (cosines of an axis, correlations of a
//! stationary series) maps sums of mirrored lines to sums and differences to differences: two products of
//! half the size. They are done on panels that fit the nearest memory: sixteen columns of all lines, or six
//! whole lines. A general product would first copy both factors into an order of its own, which takes longer
//! than products as small as these.

use crate::numerics::real::Real;

/// ColumnRange of a panel.
pub(crate) const LANES: usize = 16;
/// Lines of a product held in registers.
pub(crate) const LINES: usize = 6;
/// ColumnRange of a strip of a [`Right`] factor.
const STRIP: usize = 2 * LANES;

/// Sixteen columns of some lines.
pub(crate) type Panel<R> = [[R; LANES]];

/// A matrix as the left factor of products with panels.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Left<R> {
    rows: usize,
    inner: usize,
    /// Six rows side by side, zero beyond the last.
    blocks: Vec<[R; LINES]>,
}

impl<R: Real> Left<R> {
    /// A matrix of `rows × inner` values.
    pub(crate) fn new(rows: usize, inner: usize, value: impl Fn(usize, usize) -> R) -> Left<R> {
        let of = |row: usize, i: usize| if row < rows { value(row, i) } else { R::zero() };
        let block = |first: usize| (0..inner).map(move |i| (first, i));
        let blocks = (0..rows).step_by(LINES).flat_map(block);
        let blocks = blocks.map(|(first, i)| std::array::from_fn(|k| of(first + k, i))).collect();
        Left { rows, inner, blocks }
    }
    /// `out = M x`.
    ///
    /// # Shapes and units
    /// `x`: `inner` lines; `out`: `rows` lines, overwritten.
    #[inline(always)]
    pub(crate) fn times(&self, x: &Panel<R>, out: &mut Panel<R>) {
        let blocks = self.blocks.chunks_exact(self.inner.max(1));
        for (block, out) in blocks.zip(out[..self.rows].chunks_mut(LINES)) {
            let sums: [[R; LANES]; LINES] = product(&x[..self.inner], |i, k| block[i][k]);
            out.iter_mut().zip(&sums).for_each(|(out, sums)| *out = *sums);
        }
    }
}

/// Most values of a line of a [`Right`] product.
pub(crate) const LONGEST_LINE: usize = 96;

/// Six lines, each in the first of its places.
pub(crate) type Six<R> = [[R; LONGEST_LINE]; LINES];

/// A matrix as the right factor of products with whole lines.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Right<R> {
    inner: usize,
    /// Strips of columns one after another, zero beyond the last column.
    strips: Vec<[R; STRIP]>,
}

impl<R: Real> Right<R> {
    /// A matrix of `inner × cols` values, at most [`LONGEST_LINE`] of each.
    pub(crate) fn new(inner: usize, cols: usize, value: impl Fn(usize, usize) -> R) -> Right<R> {
        assert!(inner.max(cols) <= LONGEST_LINE, "lines of at most {LONGEST_LINE} values");
        let of = |i: usize, col: usize| if col < cols { value(i, col) } else { R::zero() };
        let strip = |first: usize| (0..inner).map(move |i| (first, i));
        let strips = (0..cols).step_by(STRIP).flat_map(strip);
        Right { inner, strips: strips.map(|(first, i)| std::array::from_fn(|k| of(i, first + k))).collect() }
    }
    /// `out = x M` on six lines.
    ///
    /// # Shapes and units
    /// Of each line of `x` the first `inner` values count; of each of `out` whole strips are overwritten.
    #[inline(always)]
    pub(crate) fn times(&self, x: &Six<R>, out: &mut Six<R>) {
        for (s, strip) in self.strips.chunks_exact(self.inner.max(1)).enumerate() {
            let strip = &strip[..strip.len().min(LONGEST_LINE)];
            let sums: [[R; STRIP]; LINES] = product(strip, |i, l| x[l][i]);
            for (out, sums) in out.iter_mut().zip(&sums) {
                out.as_chunks_mut::<STRIP>().0[s] = *sums;
            }
        }
    }
}

/// First places of runs of sixteen that cover so many values, the last run drawn back to end with them; none
/// of fewer than sixteen.
#[inline(always)]
fn runs(n: usize) -> impl Iterator<Item = usize> {
    let last = n.checked_sub(LANES);
    (0..n).step_by(LANES).filter_map(move |first| Some(first.min(last?)))
}

#[inline(always)]
fn sixteen<R>(values: &[R]) -> &[R; LANES] {
    values.first_chunk().expect("sixteen values")
}

#[inline(always)]
fn sixteen_mut<R>(values: &mut [R]) -> &mut [R; LANES] {
    values.first_chunk_mut().expect("sixteen values")
}

/// Sums and differences, written as loops over references: by value the compiler does them one by one.
#[inline(always)]
fn butterfly<R: Real>(a: &[R; LANES], b: &[R; LANES], sum: &mut [R; LANES], difference: &mut [R; LANES]) {
    for (((sum, difference), a), b) in sum.iter_mut().zip(difference).zip(a).zip(b) {
        *sum = *a + *b;
        *difference = *a - *b;
    }
}

/// Copies values of one length, sixteen at a time: a call of the system's copy takes longer than lines as
/// short as these.
#[inline(always)]
pub(crate) fn copy<R: Real>(from: &[R], to: &mut [R]) {
    let n = to.len();
    let from = &from[..n];
    if n < LANES {
        to.iter_mut().zip(from).for_each(|(to, from)| *to = *from);
    }
    for at in runs(n) {
        *sixteen_mut(&mut to[at..]) = *sixteen(&from[at..]);
    }
}

/// One line folded about its middle: sums of values as far from either end and the middle one, and
/// differences.
#[inline(always)]
pub(crate) fn fold_line<R: Real>(line: &[R], sum: &mut [R], difference: &mut [R]) {
    let (n, half) = (line.len(), line.len() / 2);
    if half < LANES {
        for j in 0..half {
            (sum[j], difference[j]) = (line[j] + line[n - 1 - j], line[j] - line[n - 1 - j]);
        }
    }
    for at in runs(half) {
        let b = turned(sixteen(&line[n - LANES - at..]));
        let (mut u, mut v) = ([R::zero(); LANES], [R::zero(); LANES]);
        butterfly(sixteen(&line[at..]), &b, &mut u, &mut v);
        *sixteen_mut(&mut sum[at..]) = u;
        *sixteen_mut(&mut difference[at..]) = v;
    }
    if n % 2 == 1 {
        sum[half] = line[half];
    }
}

/// The transpose of [`fold_line`].
#[inline(always)]
pub(crate) fn unfold_line<R: Real>(sum: &[R], difference: &[R], line: &mut [R]) {
    let (n, half) = (line.len(), line.len() / 2);
    if half < LANES {
        for j in 0..half {
            (line[j], line[n - 1 - j]) = (sum[j] + difference[j], sum[j] - difference[j]);
        }
    }
    for at in runs(half) {
        let mut b = [R::zero(); LANES];
        let mut a = [R::zero(); LANES];
        butterfly(sixteen(&sum[at..]), sixteen(&difference[at..]), &mut a, &mut b);
        *sixteen_mut(&mut line[at..]) = a;
        *sixteen_mut(&mut line[n - LANES - at..]) = turned(&b);
    }
    if n % 2 == 1 {
        line[half] = sum[half];
    }
}

#[inline(always)]
fn turned<R: Real>(values: &[R; LANES]) -> [R; LANES] {
    let mut out = *values;
    out.reverse();
    out
}

/// `Σ_i a(i, k) b(i)` for six lines k.
#[inline(always)]
fn product<R: Real, const W: usize>(b: &[[R; W]], a: impl Fn(usize, usize) -> R) -> [[R; W]; LINES] {
    let mut sums = [[R::zero(); W]; LINES];
    for (i, b) in b.iter().enumerate() {
        let b = *b;
        for (k, sums) in sums.iter_mut().enumerate() {
            let a = a(i, k);
            for (sum, b) in sums.iter_mut().zip(&b) {
                *sum = a.fused(*b, *sum);
            }
        }
    }
    sums
}

/// Where a panel lies in a block of lines: its first column, and the length of a line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ColumnRange {
    first: usize,
    width: usize,
}

impl ColumnRange {
    /// Whole panels that lie side by side in lines of a width.
    #[inline(always)]
    pub(crate) fn whole(width: usize) -> impl Iterator<Item = ColumnRange> {
        (0..width / LANES).map(move |panel| ColumnRange { first: panel * LANES, width })
    }
    /// The panel with the columns that whole ones leave over, drawn back to end with the line: it shares
    /// columns with the one before, and must be read before that is written.
    #[inline(always)]
    pub(crate) fn left_over(width: usize) -> Option<ColumnRange> {
        (!width.is_multiple_of(LANES)).then(|| ColumnRange { first: width.saturating_sub(LANES), width })
    }
    /// ColumnRange of the left-over panel that are in a whole one too.
    pub(crate) fn shared(self) -> usize {
        (LANES - self.first % LANES) % LANES
    }
    /// The panel of a block of lines.
    #[inline(always)]
    pub(crate) fn read<R: Real>(self, x: &[R], panel: &mut Panel<R>) {
        if self.width < LANES {
            return panel.copy_from_slice(widened(x, self.width).as_chunks().0);
        }
        for (out, line) in panel.iter_mut().zip(x.chunks_exact(self.width)) {
            *out = *sixteen(&line[self.first..]);
        }
    }
    /// The panel put into a block of lines.
    #[inline(always)]
    pub(crate) fn write<R: Real>(self, panel: &Panel<R>, x: &mut [R]) {
        if self.width < LANES {
            return narrowed(panel.as_flattened(), x, self.width);
        }
        for (line, from) in x.chunks_exact_mut(self.width).zip(panel) {
            *sixteen_mut(&mut line[self.first..]) = *from;
        }
    }
    /// The panel of a block folded about its middle: sums of lines as far from either end, then their
    /// differences; a middle line as it is, last of the sums.
    #[inline(always)]
    pub(crate) fn read_folded<R: Real>(self, x: &[R], panel: &mut Panel<R>) {
        if self.width < LANES {
            return folded(&widened(x, self.width), LANES, 0, panel);
        }
        folded(x, self.width, self.first, panel);
    }
    /// The transpose of [`ColumnRange::read_folded`], which is also its inverse but for a factor of two at
    /// all but a middle line.
    #[inline(always)]
    pub(crate) fn write_unfolded<R: Real>(self, panel: &Panel<R>, x: &mut [R]) {
        if self.width < LANES {
            let mut wide = vec![R::zero(); panel.len() * LANES];
            unfolded(panel, &mut wide, LANES, 0);
            return narrowed(&wide, x, self.width);
        }
        unfolded(panel, x, self.width, self.first);
    }
}

/// Lines too short for a panel, each filled up to sixteen with zeros.
fn widened<R: Real>(x: &[R], width: usize) -> Vec<R> {
    let filled =
        |line: &[R]| std::array::from_fn::<R, LANES, _>(|l| line.get(l).copied().unwrap_or(R::zero()));
    x.chunks_exact(width).flat_map(filled).collect()
}

/// What [`widened`] filled up, put back.
fn narrowed<R: Real>(wide: &[R], x: &mut [R], width: usize) {
    x.chunks_exact_mut(width)
        .zip(wide.chunks_exact(LANES))
        .for_each(|(line, wide)| line.copy_from_slice(&wide[..width]));
}

#[inline(always)]
fn folded<R: Real>(x: &[R], width: usize, first: usize, panel: &mut Panel<R>) {
    let n = panel.len();
    let (sums, differences) = panel.split_at_mut(n.div_ceil(2));
    let lines = x.chunks_exact(width).map(|line| sixteen(&line[first..]));
    let mirrored = x[..n * width].chunks_exact(width).rev().map(|line| sixteen(&line[first..]));
    for (((sum, difference), a), b) in sums.iter_mut().zip(differences).zip(lines).zip(mirrored) {
        let (u, v) = (*a, *b);
        butterfly(&u, &v, sum, difference);
    }
    if n % 2 == 1 {
        sums[n / 2] = *sixteen(&x[n / 2 * width + first..]);
    }
}

#[inline(always)]
fn unfolded<R: Real>(panel: &Panel<R>, x: &mut [R], width: usize, first: usize) {
    let n = panel.len();
    let (sums, differences) = panel.split_at(n.div_ceil(2));
    let (upper, lower) = x.split_at_mut(n.div_ceil(2) * width);
    let mirrored = lower.chunks_exact_mut(width).rev();
    for (((sum, difference), a), b) in
        sums.iter().zip(differences).zip(upper.chunks_exact_mut(width)).zip(mirrored)
    {
        let (mut u, mut v) = ([R::zero(); LANES], [R::zero(); LANES]);
        butterfly(sum, difference, &mut u, &mut v);
        *sixteen_mut(&mut a[first..]) = u;
        *sixteen_mut(&mut b[first..]) = v;
    }
    if n % 2 == 1 {
        *sixteen_mut(&mut upper[n / 2 * width + first..]) = sums[n / 2];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folds_as_written_out_and_unfolds_by_the_transpose() {
        // Lines a, b, c, d, e of two values.
        let x = [1.0, 10.0, 2.0, 20.0, 3.0, 30.0, 4.0, 40.0, 5.0, 50.0];
        let at = ColumnRange::left_over(2).expect("two columns are no whole panel");
        let folded = |n: usize| {
            let mut panel = vec![[f64::NAN; LANES]; n];
            at.read_folded(&x[..2 * n], &mut panel);
            assert!(panel.iter().flat_map(|line| &line[2..]).all(|v| *v == 0.0));
            panel
        };
        let first = |panel: &Panel<f64>| panel.iter().map(|line| line[0]).collect::<Vec<_>>();
        assert_eq!(first(&folded(5)), [6.0, 6.0, 3.0, -4.0, -2.0]);
        assert_eq!(first(&folded(4)), [5.0, 5.0, -3.0, -1.0]);
        assert_eq!(first(&folded(1)), [1.0]);
        let mut back = [f64::NAN; 10];
        at.write_unfolded(&folded(5), &mut back);
        assert_eq!(back, [2.0, 20.0, 4.0, 40.0, 3.0, 30.0, 8.0, 80.0, 10.0, 100.0]);
    }

    /// Whole numbers, so exactly; sizes about those of blocks, panels and strips.
    #[test]
    fn products_equal_the_sums_written_out() {
        for (rows, inner, cols) in [(1, 1, 1), (5, 3, 16), (6, 7, 17), (13, 12, 33), (4, 9, 70)] {
            let a = |i: usize, k: usize| ((i * 7 + k * 3) % 11) as f64 - 4.0;
            let b = |k: usize, j: usize| ((k * 5 + j * 2) % 13) as f64 - 6.0;
            let wanted = |i: usize, j: usize| (0..inner).map(|k| a(i, k) * b(k, j)).sum::<f64>();
            let block: Vec<f64> = (0..inner * cols).map(|at| b(at / cols, at % cols)).collect();
            let mut found = vec![f64::NAN; rows * cols];
            let (mut x, mut out) = (vec![[f64::NAN; LANES]; inner], vec![[f64::NAN; LANES]; rows]);
            let left = Left::new(rows, inner, a);
            for at in ColumnRange::whole(cols).chain(ColumnRange::left_over(cols)) {
                at.read(&block, &mut x);
                left.times(&x, &mut out);
                at.write(&out, &mut found);
            }
            assert!(
                found.iter().enumerate().all(|(at, v)| *v == wanted(at / cols, at % cols)),
                "{rows} {inner} {cols}"
            );
            let mut lines = [[f64::NAN; LONGEST_LINE]; LINES];
            for (l, line) in lines.iter_mut().enumerate() {
                (0..inner).for_each(|k| line[k] = a(l, k));
            }
            let mut out = [[f64::NAN; LONGEST_LINE]; LINES];
            Right::new(inner, cols, b).times(&lines, &mut out);
            for (l, out) in out.iter().enumerate() {
                assert!((0..cols).all(|j| out[j] == wanted(l, j)), "{rows} {inner} {cols}");
            }
        }
    }
}
