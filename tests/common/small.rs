//! Small studies with pigs of every kind, for comparisons with slow computations.

use super::random::normals;
use geo::Coord;
use jiff::civil::{Date, date};
use pignut::internals::geography::grid::Grid;
use pignut::internals::records::{
    Age, DateSpan, Inspection, LabMethod, LabResult, NodePair, Pig, Reading, Sex, Source,
};
use pignut::internals::study::study_file::Study;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;

/// West and south edge of every grid here, metres: whole numbers, as in a projected system.
pub const WEST_M: f64 = 1_571_000.0;
/// South edge.
pub const SOUTH_M: f64 = 5_404_000.0;

/// All parameters by default.
pub fn study() -> Study {
    Study::minimal("Small", "EPSG:2193", "none.csv")
}

/// A grid of cells of 1 km with half-yearly periods from January 2018.
pub fn grid(rows: usize, cols: usize, periods: usize) -> Grid {
    let min = Coord { x: WEST_M, y: SOUTH_M };
    let max = Coord { x: WEST_M + 1000.0 * cols as f64, y: SOUTH_M + 1000.0 * rows as f64 };
    let last = date(2018 + ((periods - 1) / 2) as i16, if periods.is_multiple_of(2) { 9 } else { 3 }, 1);
    let g = Grid::covering(min, max, 0.0, 1000.0, date(2018, 1, 1), last, 6);
    assert_eq!((g.rows, g.cols, g.periods()), (rows, cols, periods));
    g
}

/// A clear sow of exactly 24 months, head fully opened and cultured, shot at a place on a day.
pub fn pig(easting_m: f64, northing_m: f64, killed: Date) -> Pig {
    Pig {
        id: "P".into(),
        source: Source { file: "none.csv".into(), row: 1 },
        easting_m,
        northing_m,
        position_sd_m: 40.0,
        sex: Sex::Female,
        killed: DateSpan::day(killed),
        age: Age::Interval { min_months: 24.0, max_months: 24.0 },
        released_on: None,
        inspection: Inspection {
            node_pairs: Some(vec![NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal]),
            one_sided: Vec::new(),
            gross_lesion: Some(false),
            lab_method: Some(LabMethod::Culture),
            lab_result: Some(LabResult::Negative),
        },
        reading: Reading::Clear,
    }
}

/// The same pig with a lesion that culture confirmed.
pub fn confirmed(mut pig: Pig) -> Pig {
    pig.inspection.gross_lesion = Some(true);
    pig.inspection.lab_result = Some(LabResult::Positive);
    pig.reading = Reading::Confirmed;
    pig
}

/// Pigs of every kind on a grid and just off it.
///
/// In turn: exact, narrow, wide and unknown ages; days, months and years of death; every sex; gross
/// inspection alone and each laboratory method; released sentinels; kills before the first period's end, at
/// the edge and beyond it.
pub fn pigs(rng: &mut ChaCha12Rng, grid: &Grid, count: usize) -> Vec<Pig> {
    let (width, height) = (grid.cols as f64 * grid.cell_m, grid.rows as f64 * grid.cell_m);
    let years = (grid.periods() as i16).div_euclid(2).max(1);
    (0..count)
        .map(|i| {
            let x = grid.west_m + width * rng.random_range(-0.1..1.1);
            let y = grid.south_m + height * rng.random_range(-0.1..1.1);
            let day =
                date(2018 + rng.random_range(0..years), rng.random_range(1..=12), rng.random_range(1..=28));
            let mut p = pig(x.round(), y.round(), day);
            p.id = format!("P{i}");
            p.position_sd_m = [5.0, 41.0, 400.0][i % 3];
            p.sex = [Sex::Female, Sex::Male, Sex::Unknown][(i / 2) % 3];
            let youngest = rng.random_range(0.0..60.0);
            let width = [0.0, 3.0, 12.0, 29.0, 47.0, 110.0][i % 6];
            p.age = Age::Interval { min_months: youngest, max_months: youngest + width };
            match i % 11 {
                3 => p.age = Age::Unknown,
                5 => p.killed = DateSpan { first: day.first_of_month(), last: day.last_of_month() },
                7 => p.killed = DateSpan { first: day.first_of_year(), last: day.last_of_year() },
                9 => {
                    p.age = Age::Interval { min_months: 20.0, max_months: 26.0 };
                    p.released_on =
                        Some(day.checked_sub(jiff::Span::new().days(259)).expect("a day of the calendar"));
                }
                _ => {}
            }
            match i % 5 {
                0 => p = confirmed(p),
                1 => {
                    p.inspection = Inspection { gross_lesion: Some(true), ..Inspection::default() };
                    p.reading = Reading::Suspect;
                }
                2 => p.inspection = Inspection { gross_lesion: Some(false), ..Inspection::default() },
                3 => p.inspection.lab_method = Some(LabMethod::Pcr),
                _ => p.inspection.node_pairs = Some(vec![NodePair::Mandibular]),
            }
            p
        })
        .collect()
}

/// A rough hazard field, 0.001 to about 3 per year.
pub fn hazard(rng: &mut ChaCha12Rng, n: usize) -> Vec<f64> {
    normals(rng, n).into_iter().map(|x| (x * 1.3 - 2.0).exp()).collect()
}

/// Largest absolute difference of two slices of one length.
pub fn distance(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max)
}
