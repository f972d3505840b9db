//! Study areas of known hazard, whose records are drawn from the model.

use crate::common::random::stream;
use crate::common::small::pig;
use geo::{Coord, LineString, MultiPolygon, Polygon};
use jiff::civil::date;
use pignut::internals::assess::model_checks::reads_positive;
use pignut::internals::assess::model_checks::visible::visible;
use pignut::internals::geography::layout::Layout;
use pignut::internals::ingest::Account;
use pignut::internals::kernel::exposure::age_class_weights;
use pignut::internals::pipeline::analysis::{Analysis, Prepared};
use pignut::internals::records::{Age, Inspection, Pig, Reading, Records, Zone};
use pignut::internals::study::study_file::Study;
use rand::RngExt;

/// West and south edge of the land, metres.
pub const WEST_M: f64 = 1_600_000.0;
pub const SOUTH_M: f64 = 5_400_000.0;
/// Side of the land, metres.
pub const SIDE_M: f64 = 12_000.0;

/// A rectangle of the land as a zone.
pub fn zone(id: &str, west: f64, east: f64) -> Zone {
    let corner = |x: f64, y: f64| Coord { x: WEST_M + x, y: SOUTH_M + y };
    let ring = vec![
        corner(west, 0.0),
        corner(east, 0.0),
        corner(east, SIDE_M),
        corner(west, SIDE_M),
        corner(west, 0.0),
    ];
    Zone {
        id: id.into(),
        name: format!("{id} land"),
        boundary: MultiPolygon(vec![Polygon::new(LineString(ring), Vec::new())]),
        prior_free: None,
        introduction_per_year: None,
    }
}

/// A study of little effort.
pub fn study() -> Study {
    let mut study = crate::common::small::study();
    study.run.chains = 2;
    study.run.warmup = 60;
    study.run.trajectories = 60;
    study.run.posterior_samples = 120;
    study.grid.margin_m = 4000.0;
    study
}

/// Pigs over the land, shot from January of a year to December 2019, of exactly known ages from 4 to 60
/// months; none examined yet.
pub fn herd(seed: u64, count: usize, first_year: i16) -> Vec<Pig> {
    let mut rng = stream(seed);
    (0..count)
        .map(|i| {
            let (x, y) = (rng.random_range(0.0..SIDE_M), rng.random_range(0.0..SIDE_M));
            let day =
                date(rng.random_range(first_year..2020), rng.random_range(1..=12), rng.random_range(1..=28));
            let mut p = pig((WEST_M + x).round(), (SOUTH_M + y).round(), day);
            let months = f64::from(rng.random_range(8..120)) / 2.0;
            p.id = format!("P{i:04}");
            p.age = Age::Interval { min_months: months, max_months: months };
            p.inspection.lab_method = None;
            p.inspection.lab_result = None;
            p
        })
        .collect()
}

/// Lays pigs out.
pub fn lay_out(study: &Study, pigs: Vec<Pig>, zones: Vec<Zone>) -> Layout {
    let records = Records { pigs, zones, ..Records::default() };
    Layout::new(study.clone(), records, date(2019, 12, 31)).unwrap()
}

/// A hazard by easting (metres from the west edge of the land), the same through time, per year.
pub fn field(layout: &Layout, hazard: impl Fn(f64) -> f64) -> Vec<f32> {
    let g = &layout.grid;
    let mut out = vec![0.0; g.field_len()];
    for cell in 0..g.cells() {
        let (r, c) = g.row_col(cell);
        for t in 0..g.periods() {
            out[g.at(r, t, c)] = hazard(g.centre(cell).x - WEST_M) as f32;
        }
    }
    out
}

/// Chance that each pig reads positive at gross inspection alone: the model's f + (1 − f) Se Q.
pub fn chances(layout: &Layout, field: &[f32]) -> Vec<f64> {
    let (study, pigs) = (&layout.study, &layout.records.pigs);
    let q = visible(study, &layout.grid, pigs, &age_class_weights(pigs), &[field]).remove(0);
    let terms = (study.detection.gross_sensitivity, study.detection.false_lesion);
    q.into_iter().map(|q| reads_positive(terms, q)).collect()
}

/// Gives a pig the reading of a gross inspection.
pub fn read(pig: &mut Pig, lesion: bool) {
    pig.inspection = Inspection { gross_lesion: Some(lesion), ..pig.inspection.clone() };
    pig.reading = if lesion { Reading::Suspect } else { Reading::Clear };
}

/// Draws readings.
pub fn examine(layout: &mut Layout, chances: &[f64], seed: u64) {
    let mut rng = stream(seed);
    for (pig, p) in layout.records.pigs.iter_mut().zip(chances) {
        read(pig, rng.random::<f64>() < *p);
    }
}

/// Samples and assesses.
pub fn analysed(layout: Layout) -> Analysis {
    Prepared { layout, account: Account::default() }.analyse(&|_| ()).unwrap()
}
