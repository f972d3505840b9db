//! A pig's window on the grid: gathering hazards from it, scattering gradients into it.

use crate::numerics::real::{Real, wide};
use crate::numerics::window;
use crate::numerics::window::{LANES, WindowPlace};

/// One pig's place, periods and reading.
#[derive(Debug, Clone)]
pub(crate) struct KernelWindow {
    pub row: usize,
    pub rows: usize,
    pub col: usize,
    /// Width of the window, padded with zero mass to whole registers where the grid allows.
    pub cols: usize,
    pub row_mass: usize,
    pub col_mass: usize,
    pub period: usize,
    pub periods: usize,
    /// Periods, counted from the first, in which some exposure was before dispersal.
    pub moved: std::ops::Range<usize>,
    pub a: f64,
    pub b: f64,
}

impl KernelWindow {
    /// The window in a field of so many periods and columns, from a period counted from the pig's first.
    #[inline(always)]
    fn place(&self, from: usize, periods: usize, cols: usize) -> WindowPlace {
        let at = (self.row * periods + self.period + from) * cols + self.col;
        WindowPlace { at, row_step: periods * cols, period_step: cols }
    }
    /// This pig's gathered hazards and dispersed hazards, and those of the pigs after it.
    #[inline(always)]
    fn split<'a, R>(&self, gathered: &'a mut [R]) -> (&'a mut [R], &'a mut [R], &'a mut [R]) {
        let (stay, rest) = gathered.split_at_mut(self.periods);
        let (moved, rest) = rest.split_at_mut(self.moved.len());
        (stay, moved, rest)
    }
    /// Masses over rows and columns.
    #[inline(always)]
    fn weights<'a, R>(&self, axis: &'a [R]) -> (&'a [R], &'a [R]) {
        (&axis[self.row_mass..self.row_mass + self.rows], &axis[self.col_mass..self.col_mass + self.cols])
    }
}

/// How all windows lie in the fields.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Windows<'a, R> {
    pub pigs: &'a [KernelWindow],
    pub axis: &'a [R],
    pub periods: usize,
    pub cols: usize,
}

impl<R: Real> Windows<'_, R> {
    /// Field → gathered hazards of every pig: over all its periods, then over those before dispersal.
    pub(crate) fn gather(self, hazard: &[R], dispersed: &[R], gathered: &mut [R]) {
        wide(
            #[inline(always)]
            || {
                let mut rest = gathered;
                for pig in self.pigs {
                    let (stay, moved, after) = pig.split(rest);
                    let weights = pig.weights(self.axis);
                    window::sum(hazard, pig.place(0, self.periods, self.cols), weights, stay);
                    window::sum(
                        dispersed,
                        pig.place(pig.moved.start, self.periods, self.cols),
                        weights,
                        moved,
                    );
                    rest = after;
                }
            },
        );
    }

    /// The transpose: gradients by gathered hazards → fields, which are overwritten.
    pub(crate) fn scatter(self, by_gathered: &mut [R], by_hazard: &mut [R], by_dispersed: &mut [R]) {
        by_hazard.fill(R::zero());
        by_dispersed.fill(R::zero());
        wide(
            #[inline(always)]
            || {
                let mut rest = by_gathered;
                for pig in self.pigs {
                    let (stay, moved, after) = pig.split(rest);
                    let weights = pig.weights(self.axis);
                    window::add(by_hazard, pig.place(0, self.periods, self.cols), weights, stay);
                    window::add(
                        by_dispersed,
                        pig.place(pig.moved.start, self.periods, self.cols),
                        weights,
                        moved,
                    );
                    rest = after;
                }
            },
        );
    }
}

/// Start and width of a window widened with zero mass to a multiple of [`LANES`], where the grid has so many
/// columns.
pub(crate) fn padded(start: usize, width: usize, n: usize) -> (usize, usize) {
    let wide = width.div_ceil(LANES) * LANES;
    if wide > n {
        return (start, width);
    }
    (start.min(n - wide), wide)
}
