//! Coverage against a double loop over cells and bins, pig by pig.

use crate::common::random::stream;
use crate::common::small::{grid, pigs, study};
use jiff::civil::date;
use pignut::internals::assess::coverage::{coverage_between, coverages};
use pignut::internals::geography::grid::Grid;
use pignut::internals::geography::habitat::Habitat;
use pignut::internals::geography::layout::Layout;
use pignut::internals::kernel::detection::protocol;
use pignut::internals::kernel::exposure::{Life, age_class_weights, lives};
use pignut::internals::kernel::field::dispersal_filter;
use pignut::internals::kernel::home_range::{kernel_on_grid, pig_sd_m};
use pignut::internals::numerics::cosine_transform::CosineTransform;
use pignut::internals::records::{LabResult, Reading, Records, day_number};

/// Cumulative hazards under 2e-4 are not put through the exponential, and masses under 1e-6 are left out.
const REL: f64 = 5e-4;
/// Sum of what all pigs lose by the masses left out.
const ABS: f64 = 1e-5;

/// Chance of a visible infection by a focus in a patch, bin by bin from the oldest.
fn infected_and_visible(lives: &[Life], from: f64, to: f64, hazard: f64, near: f64, far: f64) -> f64 {
    let mut q = 0.0;
    for life in lives {
        let mut not_yet = 1.0;
        for b in life.bins.iter().rev() {
            let (start, end) = (life.death - b.lag_end, life.death - b.lag_start);
            let share = ((end.min(to) - start.max(from)) / (end - start)).clamp(0.0, 1.0);
            let h = hazard * share * (b.stay_years * near + b.moved_years * far);
            q += life.weight * b.ramp * not_yet * (1.0 - (-h).exp());
            not_yet *= (-h).exp();
        }
    }
    q
}

/// Mass in the cells within one of a cell, each way: the square of 3 km about it.
fn patch(g: &Grid, mass: &[f64], cell: usize) -> f64 {
    let (r, c) = g.row_col(cell);
    let near = |k: usize| {
        let (i, j) = g.row_col(k);
        i.abs_diff(r) <= 1 && j.abs_diff(c) <= 1
    };
    (0..g.cells()).filter(|k| near(*k)).map(|k| mass[k]).sum()
}

#[test]
fn coverage_is_the_product_over_pigs() {
    let study = study();
    let g = grid(14, 17, 10);
    let mut records = Records { pigs: pigs(&mut stream(11), &g, 44), ..Records::default() };
    // A lesion that the laboratory did not confirm is found out for coverage and no pig with no visible
    // lesion for freedom.
    for pig in records.pigs.iter_mut().take(8) {
        (pig.inspection.gross_lesion, pig.inspection.lab_result) = (Some(true), Some(LabResult::Negative));
        pig.reading = Reading::Clear;
    }
    let habitat = Habitat::default();
    let layout = Layout {
        study: study.clone(),
        records: records.clone(),
        grid: g.clone(),
        as_of: date(2022, 12, 31),
        zone_shares: Vec::new(),
        block_shares: Vec::new(),
        habitat: habitat.clone(),
    };
    let classes = age_class_weights(&records.pigs);
    let mut transform = CosineTransform::new(g.rows, 1, g.cols);
    let filter = dispersal_filter(&transform, g.rows, g.cols, g.cell_m, study.dispersal.mean_m);
    let by_year = coverages(&layout);
    for (year, (from, to)) in [(None, (2019, 2021)), (Some(2020), (2020, 2021))] {
        let (from, to) = (day_number(date(from, 1, 1)), day_number(date(to, 1, 1)));
        let (mut missed, mut clear, mut exposure) =
            (vec![1.0; g.cells()], vec![1.0; g.cells()], vec![0.0; g.cells()]);
        for p in &records.pigs {
            let all = lives(p, &study, &g, &classes);
            let resident = kernel_on_grid(&g, p, pig_sd_m(&study.home_range, p));
            let mut natal = resident.clone();
            transform.forward(&mut natal);
            natal.iter_mut().zip(&filter).for_each(|(n, f)| *n *= f);
            transform.inverse(&mut natal);
            natal.iter_mut().for_each(|v| *v = v.max(0.0));
            let se = protocol(&study.detection, &p.inspection).sensitivity;
            for cell in 0..g.cells() {
                let (near, far) = (patch(&g, &resident, cell), patch(&g, &natal, cell));
                let found = se
                    * infected_and_visible(
                        &all,
                        from,
                        to,
                        study.coverage.design_force_of_infection,
                        near,
                        far,
                    );
                missed[cell] *= 1.0 - found;
                let judged = p.inspection.lab_result == Some(LabResult::Negative);
                let unconfirmed = judged && p.inspection.gross_lesion == Some(true);
                if !p.is_positive() && !unconfirmed {
                    clear[cell] *= 1.0 - found;
                }
                // At a hazard so small that nothing is used up, the chance is hazard times years.
                let years: f64 = all
                    .iter()
                    .map(|life| {
                        let each = life.bins.iter().map(|b| {
                            let (start, end) = (life.death - b.lag_end, life.death - b.lag_start);
                            let share = ((end.min(to) - start.max(from)) / (end - start)).clamp(0.0, 1.0);
                            share * (b.stay_years * resident[cell] + b.moved_years * natal[cell])
                        });
                        life.weight * each.sum::<f64>()
                    })
                    .sum();
                exposure[cell] += years;
            }
        }
        let got = coverage_between(&layout, from, to);
        for cell in 0..g.cells() {
            let wanted = 1.0 - missed[cell];
            let allowed = REL * wanted + ABS;
            assert!(
                (got.sensitivity[cell] - wanted).abs() < allowed,
                "{cell}: {} {wanted}",
                got.sensitivity[cell]
            );
            let lived = exposure[cell];
            assert!((got.exposure_pig_years[cell] - lived).abs() < 1e-9 * lived.max(1.0), "{cell}");
        }
        let Some(year) = year else { continue };
        let of_year = by_year.years.iter().find(|y| y.year == year).expect("a year of the records");
        for (cell, (log_missed, clear)) in of_year.clear_log_missed[0].iter().zip(&clear).enumerate() {
            let (got, wanted) = (-log_missed.exp_m1(), 1.0 - clear);
            assert!((got - wanted).abs() < REL * wanted + ABS, "{cell}: {got} {wanted}");
        }
        assert!(got.sensitivity.iter().copied().fold(0.0, f64::max) > 0.05, "somebody looked");
    }
}
