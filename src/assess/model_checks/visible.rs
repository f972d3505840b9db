//! Chance of an infection that shows, pig by pig and sample by sample.

use crate::geography::grid::Grid;
use crate::kernel::exposure::lives;
use crate::kernel::field::dispersal_filter;
use crate::kernel::home_range::{axis_mass, pig_sd_m};
use crate::kernel::likelihood::{Likelihood, PigTerms};
use crate::numerics::cosine_transform::CosineTransform;
use crate::numerics::real::Real;
use crate::records::Pig;
use crate::study::study_file::Study;
use rayon::prelude::*;

/// Q of each pig for each field: probability that it was infected and its lesion shows, `[draw][pig]`.
///
/// # Formula
/// Q as in [`Likelihood`], from stored hazards λ and their dispersed image Dλ.
/// # Shapes and units
/// Fields `[row][period][column]`, hazard per year; `classes` the weights of age classes for pigs of unknown
/// age.
/// # Numerics
/// Fields in single precision, as they are stored; one field does not depend on the others, so the number of
/// threads changes nothing.
pub fn visible(
    study: &Study,
    grid: &Grid,
    pigs: &[Pig],
    classes: &[f64; 5],
    fields: &[&[f32]],
) -> Vec<Vec<f64>> {
    if pigs.is_empty() || fields.is_empty() {
        return vec![Vec::new(); fields.len()];
    }
    let share = fields.len().div_ceil(rayon::current_num_threads()).max(1);
    let parts: Vec<Vec<Vec<f64>>> = fields
        .par_chunks(share)
        .map(|chunk| {
            let mut seen = PigView::<f32>::new(study, grid, pigs, classes);
            chunk.iter().map(|field| seen.at(field)).collect()
        })
        .collect();
    parts.into_iter().flatten().collect()
}

/// The same for one hazard everywhere and always, per year.
pub fn visible_at_constant(
    study: &Study,
    grid: &Grid,
    pigs: &[Pig],
    classes: &[f64; 5],
    hazard: f64,
) -> Vec<f64> {
    if pigs.is_empty() {
        return Vec::new();
    }
    PigView::<f64>::new(study, grid, pigs, classes).at(&vec![hazard; grid.field_len()])
}

/// A likelihood whose value is Q, and the dispersal filter.
struct PigView<R> {
    likelihood: Likelihood<R>,
    transform: CosineTransform<R>,
    filter: Vec<R>,
    rows: usize,
    cols: usize,
    dispersed: Vec<R>,
    by: [Vec<R>; 2],
}

impl<R: Real> PigView<R> {
    fn new(study: &Study, grid: &Grid, pigs: &[Pig], classes: &[f64; 5]) -> PigView<R> {
        let terms = pigs.iter().map(|pig| {
            let sd = pig_sd_m(&study.home_range, pig);
            PigTerms {
                rows: axis_mass(pig.northing_m, sd, grid.south_m, grid.cell_m, grid.rows),
                cols: axis_mass(pig.easting_m, sd, grid.west_m, grid.cell_m, grid.cols),
                lives: lives(pig, study, grid, classes),
                // L = 0 + 1·Q.
                reading: (0.0, 1.0),
            }
        });
        let likelihood = Likelihood::from_terms(terms.collect(), grid.rows, grid.periods(), grid.cols);
        let transform = CosineTransform::new(grid.rows, grid.periods(), grid.cols);
        let filter = dispersal_filter(&transform, grid.rows, grid.cols, grid.cell_m, study.dispersal.mean_m);
        let n = grid.field_len();
        PigView {
            likelihood,
            transform,
            filter: filter.into_iter().map(R::of).collect(),
            rows: grid.rows,
            cols: grid.cols,
            dispersed: vec![R::zero(); n],
            by: [vec![R::zero(); n], vec![R::zero(); n]],
        }
    }

    fn at(&mut self, hazard: &[R]) -> Vec<f64> {
        self.dispersed.copy_from_slice(hazard);
        self.transform.forward(&mut self.dispersed);
        let line = self.dispersed.len() / self.rows;
        for (lines, filter) in self.dispersed.chunks_exact_mut(line).zip(self.filter.chunks_exact(self.cols))
        {
            for modes in lines.chunks_exact_mut(self.cols) {
                modes.iter_mut().zip(filter).for_each(|(m, f)| *m *= *f);
            }
        }
        self.transform.inverse(&mut self.dispersed);
        let [a, b] = &mut self.by;
        self.likelihood.value_gradient(hazard, &self.dispersed, a, b);
        self.likelihood.pointwise().into_iter().map(|l| l.exp().clamp(0.0, 1.0)).collect()
    }
}
