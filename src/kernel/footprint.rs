//! A pig's window on the grid: gathering hazards from it, scattering gradients into it.

use crate::num::real::Real;
use crate::num::window::Place;

/// One pig's place, periods and reading.
#[derive(Debug, Clone)]
pub(super) struct Footprint {
    pub row: usize,
    pub rows: usize,
    pub col: usize,
    /// Width of the window, padded with zero mass to whole registers where the grid allows.
    pub cols: usize,
    pub row_mass: usize,
    pub col_mass: usize,
    pub period: usize,
    pub periods: usize,
    /// Offset of this pig's gathered hazards.
    pub gathered: usize,
    /// Periods, counted from the first, in which some exposure was before dispersal.
    pub moved: std::ops::Range<usize>,
    pub a: f64,
    pub b: f64,
    pub lives: std::ops::Range<usize>,
}

impl Footprint {
    /// The window in a field of so many periods and columns, from a period counted from the pig's first.
    #[inline(always)]
    fn place(&self, from: usize, periods: usize, cols: usize) -> Place {
        let at = (self.row * periods + self.period + from) * cols + self.col;
        Place { at, row_step: periods * cols, period_step: cols }
    }
    /// Masses over rows and columns.
    #[inline(always)]
    fn weights<'a, R>(&self, axis: &'a [R]) -> (&'a [R], &'a [R]) {
        (&axis[self.row_mass..self.row_mass + self.rows], &axis[self.col_mass..self.col_mass + self.cols])
    }
}

/// Fields → gathered hazards of every pig; compiled for each width of instructions.
pub(super) struct Gather<'a, R> {
    pub pigs: &'a [Footprint],
    pub axis: &'a [R],
    pub periods: usize,
    pub cols: usize,
    pub fields: [&'a [R]; 2],
    pub out: [&'a mut [f64]; 2],
}

impl<R: Real> pulp::WithSimd for Gather<'_, R> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) {
        let [stay, moved] = self.out;
        for pig in self.pigs {
            let weights = pig.weights(self.axis);
            let out = &mut stay[pig.gathered..pig.gathered + pig.periods];
            R::window_sum(simd, self.fields[0], pig.place(0, self.periods, self.cols), weights, out);
            let out = &mut moved[pig.gathered + pig.moved.start..pig.gathered + pig.moved.end];
            R::window_sum(simd, self.fields[1], pig.place(pig.moved.start, self.periods, self.cols), weights, out);
        }
    }
}

/// Gradients by gathered hazards → fields; compiled for each width of instructions.
pub(super) struct Scatter<'a, R> {
    pub pigs: &'a [Footprint],
    pub axis: &'a [R],
    pub periods: usize,
    pub cols: usize,
    pub by: [&'a [f64]; 2],
    pub fields: [&'a mut [R]; 2],
}

impl<R: Real> pulp::WithSimd for Scatter<'_, R> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) {
        let [by_hazard, by_dispersed] = self.fields;
        for pig in self.pigs {
            let weights = pig.weights(self.axis);
            let by = &self.by[0][pig.gathered..pig.gathered + pig.periods];
            R::window_add(simd, by_hazard, pig.place(0, self.periods, self.cols), weights, by);
            let by = &self.by[1][pig.gathered + pig.moved.start..pig.gathered + pig.moved.end];
            R::window_add(simd, by_dispersed, pig.place(pig.moved.start, self.periods, self.cols), weights, by);
        }
    }
}

/// Windows are padded to a multiple of this many columns: one wide register of single precision.
const LANES: usize = 8;

/// Start and width of a window widened to a multiple of eight within the grid.
pub(super) fn padded(start: usize, width: usize, n: usize) -> (usize, usize) {
    let wide = width.div_ceil(LANES) * LANES;
    if wide > n {
        return (start, width);
    }
    (start.min(n - wide), wide)
}
