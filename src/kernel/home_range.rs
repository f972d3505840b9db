//! Where a pig was before it died: a bivariate normal about the kill place, cell by cell.

use crate::geography::grid::Grid;
use crate::numerics::normal::mass;
use crate::records::{Pig, Sex};
use crate::study::model_keys::HomeRange;

/// Standard deviations at which the kernel is cut; the tails are counted in the outermost cell kept.
///
/// 6.9e-4 of the mass lies beyond on each side: moved by less than a cell or so, not lost. A wider cut
/// costs every gradient half as much again and changes no figure that Monte Carlo error does not.
pub(crate) const CUT_SD: f64 = 3.2;

/// Standard deviation per axis of the displacement between the kill place and an earlier position.
///
/// # Formula
/// ```text
/// s² = 2 σ_h(sex)² + g² + drift²
/// ```
/// Two independent positions within one range, the GPS position, and slow drift of the range centre.
/// # Shapes and units
/// metres throughout; `position_sd_m` is the pig's g.
/// # Source
/// Difference of two independent normals; σ from a published 95 % range of area A is √(A/π)/2.4477.
/// # Example
/// ```
/// use pignut::internals::kernel::home_range::displacement_sd_m;
/// use pignut::internals::records::Sex;
/// use pignut::internals::study::model_keys::HomeRange;
/// let s = displacement_sd_m(&HomeRange::default(), Sex::Female, 40.0);
/// assert!((s - (2.0 * 600f64.powi(2) + 40f64.powi(2) + 300f64.powi(2)).sqrt()).abs() < 1e-9);
/// ```
pub fn displacement_sd_m(range: &HomeRange, sex: Sex, position_sd_m: f64) -> f64 {
    let sigma = match sex {
        Sex::Female => range.sigma_female_m,
        Sex::Male => range.sigma_male_m,
        Sex::Unknown => range.sigma_unknown_m,
    };
    (2.0 * sigma * sigma + position_sd_m * position_sd_m + range.drift_m * range.drift_m).sqrt()
}

/// Mass of a one-dimensional normal in a run of cells of one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisMass {
    /// First cell of the run.
    pub start: usize,
    /// Mass in each cell of the run.
    pub mass: Vec<f64>,
    /// Mass off the grid.
    pub off_grid: f64,
}

/// Mass of a normal in the cells of one axis.
///
/// # Formula
/// ```text
/// m_j = Φ((e_{j+1} − c)/s) − Φ((e_j − c)/s)
/// ```
/// c centre, s standard deviation, e_j cell edges. Beyond [`CUT_SD`] the tail is counted in the
/// outermost cell of the run, unless it lies off the grid.
/// # Shapes and units
/// `centre_m`, `sd_m`, `origin_m` (edge of cell 0), `cell_m`: metres; `n` cells on the axis.
/// Masses and `off_grid` sum to 1.
/// # Errors
/// None: a centre off the grid has its mass off the grid. `sd_m` of 0 puts all in one cell.
/// # Source
/// Exact, by separability of the bivariate normal.
/// # Example
/// ```
/// // Nine cells of 1 km about a range of σ 0.47 km: centre 0.5077905 (facts file §7, derived from Φ).
/// let m = pignut::internals::kernel::home_range::axis_mass(0.0, 470.0, -1500.0, 1000.0, 3);
/// assert!((m.mass[1] * m.mass[1] - 0.5077905).abs() < 1e-7);
/// assert!((m.mass[0] * m.mass[1] - 0.1018975).abs() < 1e-7);
/// ```
pub fn axis_mass(centre_m: f64, sd_m: f64, origin_m: f64, cell_m: f64, n: usize) -> AxisMass {
    let s = sd_m.max(1e-6 * cell_m);
    let position = |d: f64| ((centre_m + d - origin_m) / cell_m).floor();
    let low = position(-CUT_SD * s);
    let high = position(CUT_SD * s);
    let last = n as f64 - 1.0;
    if high < 0.0 || low > last {
        return AxisMass { start: 0, mass: vec![0.0], off_grid: 1.0 };
    }
    let (first, stop) = (low.max(0.0) as usize, high.min(last) as usize);
    let standard = |edge: usize| (origin_m + edge as f64 * cell_m - centre_m) / s;
    let masses: Vec<f64> = (first..=stop)
        .map(|j| {
            let a = if j == first && low >= 0.0 { f64::NEG_INFINITY } else { standard(j) };
            let b = if j == stop && high <= last { f64::INFINITY } else { standard(j + 1) };
            mass(a, b)
        })
        .collect();
    let below = if low < 0.0 { mass(f64::NEG_INFINITY, standard(0)) } else { 0.0 };
    let above = if high > last { mass(standard(n), f64::INFINITY) } else { 0.0 };
    AxisMass { start: first, mass: masses, off_grid: below + above }
}

/// Displacement s.d. of a record, metres: [`displacement_sd_m`] with its own sex and fix.
pub fn pig_sd_m(range: &HomeRange, pig: &Pig) -> f64 {
    displacement_sd_m(range, pig.sex, pig.position_sd_m)
}

/// Displacement mass of a pig over all cells of the grid.
pub fn kernel_on_grid(grid: &Grid, pig: &Pig, sd_m: f64) -> Vec<f64> {
    let rows = axis_mass(pig.northing_m, sd_m, grid.south_m, grid.cell_m, grid.rows);
    let cols = axis_mass(pig.easting_m, sd_m, grid.west_m, grid.cell_m, grid.cols);
    let mut w = vec![0.0; grid.cells()];
    for (i, a) in rows.mass.iter().enumerate() {
        for (j, b) in cols.mass.iter().enumerate() {
            w[grid.cell(rows.start + i, cols.start + j)] = a * b;
        }
    }
    w
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Masses on and off the grid sum to 1 within rounding of a few erfc.
    const SUM_ABS: f64 = 1e-14;

    #[test]
    fn mass_on_the_grid_and_off_it_sum_to_one() {
        for (c, s) in [
            (500.0, 800.0),
            (-3000.0, 900.0),
            (19_990.0, 1300.0),
            (10_000.0, 0.0),
            (9e9, 5.0),
            (7000.0, 60_000.0),
        ] {
            let m = axis_mass(c, s, 0.0, 1000.0, 20);
            let total = m.mass.iter().sum::<f64>() + m.off_grid;
            assert!((total - 1.0).abs() < SUM_ABS, "{c} {s} {total}");
            assert!(m.start + m.mass.len() <= 20);
        }
    }

    #[test]
    fn the_centre_matters() {
        let a = axis_mass(5000.0, 800.0, 0.0, 1000.0, 20);
        let b = axis_mass(5300.0, 800.0, 0.0, 1000.0, 20);
        assert!((a.mass[a.mass.len() / 2] - b.mass[b.mass.len() / 2]).abs() > 1e-3);
    }
}
