//! Lives of known pigs against what the assessment says of them.

use crate::common::random::stream;
use crate::studies::calibration::study_area::Design;
use crate::studies::uniformity::Uniformity;
use pignut::internals::assess::attribution::attribute_one;
use pignut::internals::inference::posterior::sample;
use pignut::internals::kernel::model::Model;
use rand::RngExt;
use rand_distr::{Distribution, StandardNormal};

/// Truly infected positives looked at, at least: the standard error of a mean place is then 0.289/√600 =
/// 0.012.
const LEAST: usize = 600;

/// With the hazard known, no sampling is between the lives and what the assessment says of them: days, places
/// and the share of lesions from another cause must be exactly as stated, over many more pigs than replicates
/// have.
#[test]
fn given_the_hazard_positives_are_attributed_as_they_were_infected() {
    let design = Design {
        side: 5,
        pigs: 80,
        level_mean: 0.5,
        chains: 1,
        warmup: 1,
        trajectories: 1,
        most_trajectories: 1,
        kept: 1,
        seed: 77,
        ..Design::STUDY
    };
    let mut rng = stream(78);
    let (mut days, mut xs, mut ys) = (Vec::new(), Vec::new(), Vec::new());
    let (mut stated, mut variance, mut true_ones) = (0.0, 0.0, 0.0);
    for number in 0..80 {
        let mut layout = design.layout(number).expect("the district can be laid out");
        let mut truth: Model<f64> = Model::of(&layout);
        let hyper = crate::studies::calibration::prior_draw::hyper(&layout.study.field, 1, &mut rng);
        let z: Vec<f64> = (0..truth.noise_len()).map(|_| StandardNormal.sample(&mut rng)).collect();
        let eta = truth.coordinates(&hyper);
        truth.set(&z, &eta);
        let fates = crate::studies::calibration::life::fates(&layout, &truth.field.hazard, &mut rng);
        for (pig, fate) in layout.records.pigs.iter_mut().zip(&fates) {
            crate::studies::calibration::study_area::read(pig, fate);
        }
        let mut known = sample(&layout.study, Model::of(&layout), &|| Model::of(&layout), &[], &|_| ());
        known.hazard = vec![truth.field.hazard.iter().map(|v| *v as f32).collect()];
        let grid = &layout.grid;
        for (pig, fate) in layout.records.pigs.iter().zip(&fates).filter(|(_, f)| f.positive()) {
            let figures = attribute_one(&layout, &known, pig);
            stated += figures.p_true;
            variance += figures.p_true * (1.0 - figures.p_true);
            let Some(infection) = fate.infection else { continue };
            true_ones += 1.0;
            let before = |(a, b, m): &(f64, f64, f64)| m * ((infection.day - a) / (b - a)).clamp(0.0, 1.0);
            let total: f64 = figures.pieces.iter().map(|p| p.2).sum();
            days.push(figures.pieces.iter().map(before).sum::<f64>() / total);
            // A place uniform within the cell: the share of the origin mass that lies west of it, and south.
            let (row, col) = grid.row_col(infection.cell);
            let (x, y) = (col as f64 + rng.random::<f64>(), row as f64 + rng.random::<f64>());
            let total: f64 = figures.origin.iter().map(|o| o.1).sum();
            let share = |at: f64, axis: &dyn Fn(usize) -> usize| {
                figures.origin.iter().map(|(c, m)| m * (at - axis(*c) as f64).clamp(0.0, 1.0)).sum::<f64>()
                    / total
            };
            xs.push(share(x, &|c| grid.row_col(c).1));
            ys.push(share(y, &|c| grid.row_col(c).0));
        }
    }
    let n = days.len();
    assert!(n >= LEAST, "{n}");
    let test = Uniformity::new(n, 100, 4000, 79);
    for (name, u) in [("day", &days), ("easting", &xs), ("northing", &ys)] {
        let mean = u.iter().sum::<f64>() / n as f64;
        assert!(test.p_value(u) > 0.003, "{name}: mean place {mean} of {n}, p {}", test.p_value(u));
    }
    let errors: f64 = (true_ones - stated) / variance.sqrt();
    assert!(errors.abs() < 3.0, "{true_ones} truly infected, {stated} stated: {errors} standard errors");
    println!(
        "{n} positives; mean places {:?}; p {:?}; look-alikes {errors:.2} standard errors",
        [&days, &xs, &ys].map(|u| u.iter().sum::<f64>() / n as f64),
        [&days, &xs, &ys].map(|u| test.p_value(u)),
    );
}
