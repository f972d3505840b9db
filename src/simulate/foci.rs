//! Where and when wildlife is infected: draws the foci and the control operations.
//!
//! Assumed of random study areas (own choices within the ranges of the brief; endemic
//! hazards of 0.2 to 2 per pig-year are Nugent et al. 2014): 3 to 8 foci; radius 0.8
//! to 2.5 km; peak 0.1 to 1.5 per pig-year, uniform on the log scale; two in three begin
//! before the first kill; growth over 0.5 to 2 years; a quarter fade out by themselves;
//! up to two blocks are treated, and a treated focus keeps 5 to 10 % of its hazard
//! within months. Draws are repeated until the mean hazard over land and study lies
//! within 0.018 to 0.036 per pig-year (which gives true prevalences of about 2 to 8 %) and at least
//! one focus is still strong at the end, so that ranking can be scored.

use crate::records::{DAYS_PER_YEAR, Operation, Source, WildlifeHost, date_of_day, day_number};
use crate::simulate::force_of_infection::{Cause, Decline, Focus};
use crate::simulate::land::{Land, LandCover};
use crate::simulate::noise::{Stream, pick, stream};
use crate::simulate::scenario::{AreaPattern, Scenario, block_id, study_days};
use geo::Coord;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;
use std::f64::consts::PI;

/// Mean hazard over land and study that a random study area may have, per pig-year.
const MEAN_HAZARD: std::ops::RangeInclusive<f64> = 0.018..=0.036;
/// Hazard that at least one focus must reach at the end, per pig-year.
const STRONG_AT_END: f64 = 0.15;
/// Draws before the last one is taken as it is.
const DRAWS: usize = 500;

/// Foci and operations of a scenario.
pub(crate) fn draw(s: &Scenario, land: &Land) -> (Vec<Focus>, Vec<Operation>) {
    let mut rng = stream(s.seed, Stream::Foci);
    if !s.disease {
        let mut operations = Vec::new();
        routine_operation(s, land, &mut operations, &mut rng);
        return (Vec::new(), operations);
    }
    if let Some(given) = &s.foci {
        return (given.clone(), operations_of(given, land));
    }
    match s.layout {
        AreaPattern::Quillonby => demo(s, land, &mut rng),
        AreaPattern::Random => {
            let (mut foci, operations) = random(s, land, &mut rng);
            foci.iter_mut().for_each(|f| concentrate(f, s.focus_radius_scale));
            (foci, operations)
        }
    }
}

/// Narrows (or widens) a focus that keeps its total, peak times radius squared.
fn concentrate(f: &mut Focus, scale: f64) {
    if scale != 1.0 {
        f.radius_m = (f.radius_m * scale).round();
        f.peak_per_year = (f.peak_per_year / (scale * scale) * 1000.0).round() / 1000.0;
    }
}

fn random(s: &Scenario, land: &Land, rng: &mut ChaCha12Rng) -> (Vec<Focus>, Vec<Operation>) {
    let (first, end) = study_days(s);
    let land_m2 = land.hexes.len() as f64 * land.mean_hex_area_m2();
    let mut drawn = (Vec::new(), Vec::new());
    for _ in 0..DRAWS {
        drawn = random_once(s, land, rng);
        let mean: f64 = drawn
            .0
            .iter()
            .map(|f: &Focus| {
                f.peak_per_year * 2.0 * PI * f.radius_m.powi(2) / land_m2 * f.mean_course(first, end)
            })
            .sum();
        let strong = drawn.0.iter().any(|f| f.peak_per_year * f.course(end) > STRONG_AT_END);
        if MEAN_HAZARD.contains(&mean) && strong {
            break;
        }
    }
    drawn
}

fn random_once(s: &Scenario, land: &Land, rng: &mut ChaCha12Rng) -> (Vec<Focus>, Vec<Operation>) {
    let (first, end) = study_days(s);
    let count = rng.random_range(3..=8);
    let mut foci = Vec::new();
    let mut homes = Vec::new();
    for k in 0..count {
        let weights = land.hexes.iter().map(|h| h.cover.focus_weight());
        let home = pick(rng, weights).unwrap_or(0);
        let c = land.hexes[home].centre;
        let start = if rng.random::<f64>() < 0.65 {
            first - rng.random_range(0.5..6.0) * DAYS_PER_YEAR
        } else {
            first + rng.random_range(0.0..0.85) * (end - first)
        };
        let mut focus = focus_at(
            k,
            Coord { x: c.x + rng.random_range(-300.0..300.0), y: c.y + rng.random_range(-300.0..300.0) },
            rng.random_range(800.0..2_500.0),
            (0.1f64.ln() + rng.random::<f64>() * 15f64.ln()).exp(),
            start,
            rng.random_range(0.5..2.0),
        );
        if rng.random::<f64>() < 0.25 {
            let earliest = (start + 1.5 * DAYS_PER_YEAR).max(first);
            let day = earliest + rng.random::<f64>() * (end - first);
            if day < end {
                focus.decline = Some(decline(day, 0.0, rng.random_range(3.0..6.0), Cause::FadeOut));
            }
        }
        foci.push(focus);
        homes.push(home);
    }
    let mut operations = Vec::new();
    for _ in 0..rng.random_range(0..=2) {
        let k = rng.random_range(0..foci.len());
        let home = &land.hexes[homes[k]];
        let day = winter_day(s, rng.random_range(0.2..0.75), rng);
        let worked = foci[k].start_day < day && foci[k].decline.is_none();
        if worked {
            let host = host_of(home.cover);
            let efficacy = (rng.random::<f64>() < 0.5).then(|| two_places(rng.random_range(0.85..0.95)));
            operations.push(operation(home.block, host, day, efficacy));
            for (f, h) in foci.iter_mut().zip(&homes) {
                if land.hexes[*h].block == home.block && f.start_day < day && f.decline.is_none() {
                    let cause = Cause::Operation { block_id: block_id(home.block) };
                    f.decline =
                        Some(decline(day, rng.random_range(0.05..0.10), rng.random_range(1.0..2.0), cause));
                }
            }
        }
    }
    routine_operation(s, land, &mut operations, rng);
    number_rows(&mut operations);
    (foci, operations)
}

/// One area with two present foci and one that faded, one cleared by an operation, one never infected.
fn demo(s: &Scenario, land: &Land, rng: &mut ChaCha12Rng) -> (Vec<Focus>, Vec<Operation>) {
    let (first, end) = study_days(s);
    let share = |u: f64, v: f64| {
        let wish = Coord {
            x: land.south_west.x + (0.5 + u) * land.extent_m,
            y: land.south_west.y + (0.5 + v) * land.extent_m,
        };
        land.nearest_bush(wish)
    };
    let years = |y: f64| first + y * DAYS_PER_YEAR;
    let plan = [
        (share(-0.20, 0.16), 1_700.0, 1.3, years(-4.0), 1.5),
        (share(-0.07, 0.27), 1_200.0, 0.9, years(0.55 * f64::from(s.years)), 1.0),
        (share(-0.30, 0.02), 1_100.0, 0.5, years(-3.0), 1.0),
        (share(0.26, 0.15), 2_000.0, 0.9, years(-4.0), 1.2),
    ];
    let mut foci: Vec<Focus> = plan
        .iter()
        .enumerate()
        .map(|(k, &(home, radius, peak, start, growth))| {
            focus_at(k, land.hexes[home].centre, radius, peak, start, growth)
        })
        .collect();
    let faded = years(0.3 * f64::from(s.years));
    foci[2].decline = Some(decline(faded, 0.0, 4.0, Cause::FadeOut));
    let block = land.hexes[plan[3].0].block;
    let day = winter_day(s, 0.42, rng);
    let cause = Cause::Operation { block_id: block_id(block) };
    foci[3].decline = Some(decline(day.min(end), 0.05, 1.5, cause));
    let mut operations = vec![operation(block, WildlifeHost::Possum, day, Some(0.93))];
    number_rows(&mut operations);
    (foci, operations)
}

/// Half of the study areas also had an operation where no focus was: a treated block is no proof of disease.
fn routine_operation(s: &Scenario, land: &Land, operations: &mut Vec<Operation>, rng: &mut ChaCha12Rng) {
    let block = rng.random_range(0..land.blocks);
    let share = rng.random_range(0.2..0.8);
    let day = winter_day(s, share, rng);
    if rng.random::<bool>() && operations.iter().all(|o| o.block != block) {
        operations.push(operation(block, WildlifeHost::Possum, day, None));
    }
    number_rows(operations);
}

/// Operations that given foci name as the cause of their decline.
fn operations_of(foci: &[Focus], land: &Land) -> Vec<Operation> {
    let mut operations: Vec<Operation> = Vec::new();
    for d in foci.iter().filter_map(|f| f.decline.as_ref()) {
        let Cause::Operation { block_id: id } = &d.cause else {
            continue;
        };
        let Some(block) = (0..land.blocks).find(|&b| block_id(b) == *id) else {
            continue;
        };
        let start = date_of_day(d.start_day);
        if operations.iter().all(|o| o.block != block || o.start != start) {
            operations.push(operation(block, WildlifeHost::Possum, d.start_day, None));
        }
    }
    number_rows(&mut operations);
    operations
}

/// A focus with its figures cut to what the truth file shows, so that the file is the truth.
fn focus_at(k: usize, at: Coord<f64>, radius_m: f64, peak: f64, start_day: f64, growth_years: f64) -> Focus {
    Focus {
        id: format!("F{}", k + 1),
        easting_m: at.x.round(),
        northing_m: at.y.round(),
        radius_m: radius_m.round(),
        peak_per_year: (peak * 1000.0).round() / 1000.0,
        start_day: start_day.round(),
        growth_years: two_places(growth_years),
        decline: None,
    }
}

fn decline(day: f64, remaining: f64, scale_months: f64, cause: Cause) -> Decline {
    Decline {
        start_day: day.round(),
        remaining_share: (remaining * 1000.0).round() / 1000.0,
        scale_months: two_places(scale_months),
        cause,
    }
}

fn operation(block: usize, host: WildlifeHost, day: f64, efficacy: Option<f64>) -> Operation {
    Operation {
        source: Source { file: "operations.csv".into(), row: 0 },
        block,
        host,
        start: date_of_day(day.round()),
        end: date_of_day(day.round() + 21.0),
        efficacy,
    }
}

/// Rows in order of date, numbered as an editor shows them (the column name is line 1).
fn number_rows(operations: &mut [Operation]) {
    operations.sort_by_key(|o| (o.start, o.block));
    for (i, o) in operations.iter_mut().enumerate() {
        o.source.row = i + 2;
    }
}

/// A day from June to August of the year at a share of the study, never past its end.
fn winter_day(s: &Scenario, share: f64, rng: &mut ChaCha12Rng) -> f64 {
    let (_, end) = study_days(s);
    let year = s.start_year + (share * f64::from(s.years)) as i16;
    let june = day_number(jiff::civil::date(year, 6, 1));
    (june + rng.random_range(0..80) as f64).min(end - 1.0)
}

fn host_of(cover: LandCover) -> WildlifeHost {
    match cover {
        LandCover::Forest | LandCover::Scrub => WildlifeHost::Possum,
        LandCover::Tussock | LandCover::Pasture => WildlifeHost::Ferret,
    }
}

fn two_places(v: f64) -> f64 {
    (v * 100.0).round() / 100.0
}
