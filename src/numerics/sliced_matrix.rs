//! A sparse matrix in slices of eight rows: products without a loop of unknown length a row.
//!
//! Rows hold one to some twenty values. Row by row the processor guesses wrongly
//! where each ends; eight side by side, padded to the longest of them, it need not guess.

use crate::numerics::real::Real;

/// Rows of a slice.
pub(crate) const ROWS: usize = 8;

/// A sparse matrix of few values a row.
///
/// # Source
/// Sliced ELLPACK format: Monakov, Lokhmotov & Avetisyan (2010), from memory.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SlicedRows<R> {
    /// Where each slice ends among the entries, in steps of eight.
    ends: Vec<u32>,
    /// Column of each entry; padding points at column 0 with value 0.
    columns: Vec<[u32; ROWS]>,
    values: Vec<[R; ROWS]>,
    rows: usize,
}

impl<R: Real> SlicedRows<R> {
    /// From the entries of each row as (column, value).
    pub(crate) fn new(rows: &[Vec<(u32, f64)>]) -> SlicedRows<R> {
        let mut m =
            SlicedRows { ends: Vec::new(), columns: Vec::new(), values: Vec::new(), rows: rows.len() };
        for slice in rows.chunks(ROWS) {
            for i in 0..slice.iter().map(Vec::len).max().unwrap_or(0) {
                let (mut columns, mut values) = ([0; ROWS], [R::zero(); ROWS]);
                for ((column, value), row) in columns.iter_mut().zip(&mut values).zip(slice) {
                    if let Some((c, v)) = row.get(i) {
                        (*column, *value) = (*c, R::of(*v));
                    }
                }
                m.columns.push(columns);
                m.values.push(values);
            }
            m.ends.push(m.columns.len() as u32);
        }
        m
    }

    /// `out = M x`.
    ///
    /// # Shapes and units
    /// `x` one value a column, `out` one a row.
    pub(crate) fn apply(&self, x: &[R], out: &mut [R]) {
        debug_assert_eq!(out.len(), self.rows);
        let mut from = 0;
        for (out, end) in out.chunks_mut(ROWS).zip(&self.ends) {
            let to = *end as usize;
            let mut sums = [R::zero(); ROWS];
            for (columns, values) in self.columns[from..to].iter().zip(&self.values[from..to]) {
                for ((sum, column), value) in sums.iter_mut().zip(columns).zip(values) {
                    *sum += *value * x[*column as usize];
                }
            }
            out.copy_from_slice(&sums[..out.len()]);
            from = to;
        }
    }

    /// `out = Mᵀ y`.
    ///
    /// # Shapes and units
    /// `y` one value a row, `out` one a column, overwritten.
    pub(crate) fn apply_transposed(&self, y: &[R], out: &mut [R]) {
        debug_assert_eq!(y.len(), self.rows);
        out.fill(R::zero());
        let mut from = 0;
        for (y, end) in y.chunks(ROWS).zip(&self.ends) {
            let to = *end as usize;
            let mut factors = [R::zero(); ROWS];
            factors[..y.len()].copy_from_slice(y);
            for (columns, values) in self.columns[from..to].iter().zip(&self.values[from..to]) {
                for ((factor, column), value) in factors.iter().zip(columns).zip(values) {
                    out[*column as usize] += *value * *factor;
                }
            }
            from = to;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the sums written out; whole numbers, so exactly.
    #[test]
    fn equals_the_sums_and_its_transpose_the_turned_sums() {
        let rows: Vec<Vec<(u32, f64)>> = (0..19u32)
            .map(|r| (0..r % 5).map(|i| ((r * 3 + i) % 11, f64::from(r + 2 * i))).collect())
            .collect();
        let x: Vec<f64> = (0..11).map(|c| f64::from(c * c)).collect();
        let mut out = vec![f64::NAN; 19];
        SlicedRows::<f64>::new(&rows).apply(&x, &mut out);
        for (row, found) in rows.iter().zip(&out) {
            assert_eq!(row.iter().map(|(c, v)| v * x[*c as usize]).sum::<f64>(), *found);
        }
        let y: Vec<f64> = (0..19).map(f64::from).collect();
        let mut turned = vec![f64::NAN; 11];
        SlicedRows::<f64>::new(&rows).apply_transposed(&y, &mut turned);
        for (c, found) in turned.iter().enumerate() {
            let entries = rows.iter().zip(&y).flat_map(|(row, y)| row.iter().map(move |(at, v)| (at, v * y)));
            assert_eq!(entries.filter(|(at, _)| **at as usize == c).map(|(_, v)| v).sum::<f64>(), *found);
        }
    }
}
