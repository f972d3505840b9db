//! Lines folded about the middle: what is symmetric apart from what is not.
//!
//! A matrix that commutes with turning the order of lines about (cosines of an axis, correlations of a stationary
//! series) maps sums of mirrored lines to sums and differences to differences: two products of half the size.

use super::real::{Real, wide};

/// Sums of lines as far from either end, then their differences; a middle line as it is, last of the sums.
///
/// # Shapes and units
/// `x` and `out`: `n` lines of `width` values, of any unit, kept.
pub fn fold_lines<R: Real>(x: &[R], out: &mut [R], n: usize, width: usize) {
    let (sums, differences) = out.split_at_mut(n.div_ceil(2) * width);
    let (first, second) = x.split_at(n.div_ceil(2) * width);
    let mirrored = second.chunks_exact(width).rev().zip(differences.chunks_exact_mut(width));
    let (pairs, middle) = (n / 2 * width, n.div_ceil(2) * width);
    for ((a, sum), (b, difference)) in first.chunks_exact(width).zip(sums.chunks_exact_mut(width)).zip(mirrored) {
        sum_and_difference(a, b, sum, difference);
    }
    sums[pairs..middle].copy_from_slice(&first[pairs..middle]);
}

/// The transpose of [`fold_lines`], which is also its inverse but for a factor of two at all but a middle line.
pub fn unfold_lines<R: Real>(x: &[R], out: &mut [R], n: usize, width: usize) {
    let (sums, differences) = x.split_at(n.div_ceil(2) * width);
    let (first, second) = out.split_at_mut(n.div_ceil(2) * width);
    let mirrored = second.chunks_exact_mut(width).rev().zip(differences.chunks_exact(width));
    let (pairs, middle) = (n / 2 * width, n.div_ceil(2) * width);
    for ((a, sum), (b, difference)) in first.chunks_exact_mut(width).zip(sums.chunks_exact(width)).zip(mirrored) {
        sum_and_difference(sum, difference, a, b);
    }
    first[pairs..middle].copy_from_slice(&sums[pairs..middle]);
}

fn sum_and_difference<R: Real>(a: &[R], b: &[R], sum: &mut [R], difference: &mut [R]) {
    wide(
        #[inline(always)]
        || {
            for (((a, b), s), d) in a.iter().zip(b).zip(sum).zip(difference) {
                *s = *a + *b;
                *d = *a - *b;
            }
        },
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folds_as_written_out_and_unfolds_by_the_transpose() {
        // Lines a, b, c, d, e of two values.
        let x = [1.0, 10.0, 2.0, 20.0, 3.0, 30.0, 4.0, 40.0, 5.0, 50.0];
        let mut f = [f64::NAN; 10];
        fold_lines(&x, &mut f, 5, 2);
        assert_eq!(f, [6.0, 60.0, 6.0, 60.0, 3.0, 30.0, -4.0, -40.0, -2.0, -20.0]);
        let mut back = [f64::NAN; 10];
        unfold_lines(&f, &mut back, 5, 2);
        assert_eq!(back, [2.0, 20.0, 4.0, 40.0, 3.0, 30.0, 8.0, 80.0, 10.0, 100.0]);
        let mut f = [f64::NAN; 8];
        fold_lines(&x[..8], &mut f, 4, 2);
        assert_eq!(f, [5.0, 50.0, 5.0, 50.0, -3.0, -30.0, -1.0, -10.0]);
        let mut one = [f64::NAN; 2];
        fold_lines(&x[..2], &mut one, 1, 2);
        assert_eq!(one, [1.0, 10.0]);
    }
}
