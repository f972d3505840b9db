//! The squares the map draws: every cell, or on a large grid a coarser mesh.

use crate::pipeline::analysis::Analysis;

/// Most squares the page draws one by one; a browser still pans them smoothly.
pub(crate) const MOST_SQUARES: usize = 50_000;

/// Squares of `factor` × `factor` cells; a square shows the figures of one of its cells.
pub(crate) struct Mesh {
    /// Cells along the side of a square.
    pub factor: usize,
    /// Rows of squares, south to north.
    pub rows: usize,
    /// Columns of squares, west to east.
    pub cols: usize,
    /// The cell whose figures each square shows: of its cells the one most likely to be active, so
    /// that a coarser mesh hides nothing.
    pub shown: Vec<usize>,
    /// Whether a square is drawn blank: no pig was killed near its shown cell.
    pub blank: Vec<bool>,
}

impl Mesh {
    /// The finest mesh of at most `most` squares.
    pub(crate) fn new(analysis: &Analysis, most: usize) -> Mesh {
        let grid = &analysis.layout.grid;
        let squares = |f: usize| grid.rows.div_ceil(f) * grid.cols.div_ceil(f);
        let factor = (1..).find(|f| squares(*f) <= most.max(1)).unwrap_or(1);
        let (rows, cols) = (grid.rows.div_ceil(factor), grid.cols.div_ceil(factor));
        let mut shown = vec![usize::MAX; rows * cols];
        let cells = &analysis.assessment.cells;
        for cell in 0..grid.cells() {
            let (r, c) = grid.row_col(cell);
            let square = &mut shown[(r / factor) * cols + c / factor];
            let better = |old: usize| {
                let key = |k: usize| (cells[k].p_active, cells[k].hazard.mean);
                let (a, b) = (key(cell), key(old));
                a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).is_gt()
            };
            if *square == usize::MAX || better(*square) {
                *square = cell;
            }
        }
        let blank = shown.iter().map(|cell| !analysis.assessment.reached[*cell]).collect();
        Mesh { factor, rows, cols, shown, blank }
    }
    /// Number of squares.
    pub(crate) fn len(&self) -> usize {
        self.shown.len()
    }
    /// The square that holds a cell.
    pub(crate) fn square_of(&self, grid: &crate::geography::grid::Grid, cell: usize) -> usize {
        let (r, c) = grid.row_col(cell);
        (r / self.factor) * self.cols + c / self.factor
    }
    /// Side of a square, metres.
    pub(crate) fn side_m(&self, grid: &crate::geography::grid::Grid) -> f64 {
        self.factor as f64 * grid.cell_m
    }
}
