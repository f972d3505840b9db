//! Runs a scenario: draws the island, the foci and the herd, hunts for some years.

use crate::records::{Block, Cover, DAYS_PER_MONTH, DAYS_PER_YEAR, Operation, Zone, date_of_day};
use crate::simulate::examine::{SimulatedPig, examine};
use crate::simulate::force_of_infection::Focus;
use crate::simulate::herd::{Herd, Release};
use crate::simulate::hunt::Hunt;
use crate::simulate::land::{Land, LandCover};
use crate::simulate::noise::{Stream, pick, stream};
use crate::simulate::scenario::{AreaPattern, Scenario, ScenarioError, block_id, study_days};
use crate::simulate::{foci, names};
use geo::MultiPolygon;
use jiff::civil::Date;
use rand::RngExt;

/// Years the herd lives and is hunted before the records start.
const RUN_IN_YEARS: f64 = 6.0;
/// Share of the herd that ends in the records each year.
const RECORDED_SHARE: f64 = 0.11;

/// A simulated study area: what a study would hold, and the truth behind it.
#[derive(Debug, Clone)]
pub struct StudyArea {
    /// What was asked for.
    pub scenario: Scenario,
    /// Name of the study area, invented.
    pub name: String,
    /// Projected system of every coordinate here.
    pub crs: &'static str,
    /// First day of the records.
    pub first_day: Date,
    /// Last day of the records.
    pub as_of: Date,
    /// The land, metres.
    pub land: MultiPolygon<f64>,
    /// Movement-control areas; together they are the land.
    pub zones: Vec<Zone>,
    /// Control blocks; together they are the land.
    pub blocks: Vec<Block>,
    /// Land cover, one multipolygon per class.
    pub cover: Vec<Cover>,
    /// Control operations done.
    pub operations: Vec<Operation>,
    /// Infected foci: the true force of infection.
    pub foci: Vec<Focus>,
    /// Pigs examined, in order of date.
    pub pigs: Vec<SimulatedPig>,
    /// Every natal dispersal in the herd since the first day, shot or not, metres.
    pub dispersals_m: Vec<f64>,
}

/// Simulates a study area: the same scenario gives the same study area.
///
/// # Errors
/// [`ScenarioError`] when a parameter is not possible.
///
/// # Numerics
/// The draws come from ChaCha12 and are the same on every machine; sines, exponentials
/// and logarithms come from the platform and can differ in the last bit, which the
/// rounding of the written files hides.
///
/// # Cost
/// About a second for 2200 pigs over eight years: a herd of about 2500, followed for 14 years in weekly
/// steps.
pub fn simulate(scenario: &Scenario) -> Result<StudyArea, ScenarioError> {
    scenario.check()?;
    let land = Land::draw(scenario)?;
    let (foci, operations) = foci::draw(scenario, &land);
    let (pigs, dispersals_m) = hunt_for_years(scenario, &land, &foci);
    let (first, end) = study_days(scenario);
    let mut rng = stream(scenario.seed ^ 0xb10c, Stream::Land);
    let closed = rng.random_range(0..land.blocks);
    let blocks = (0..land.blocks)
        .map(|b| {
            let members = || land.hexes.iter().filter(|h| h.block == b);
            let bush = members().filter(|h| h.cover <= LandCover::Scrub).count() as f64
                / members().count().max(1) as f64;
            Block {
                id: block_id(b),
                name: names::block(b),
                boundary: land.boundary(|h| h.block == b),
                // Bush needs an aerial operation, open land bait stations; ferrets are trapped. Invented
                // money.
                possum_cost_per_ha: Some((14.0 + 14.0 * bush + 4.0 * rng.random::<f64>()).round()),
                ferret_cost_per_ha: Some((9.0 + 7.0 * bush + 4.0 * rng.random::<f64>()).round()),
                possum_method: None,
                feasible: b != closed,
            }
        })
        .collect();
    Ok(StudyArea {
        name: match scenario.layout {
            AreaPattern::Quillonby => "Quillonby".into(),
            AreaPattern::Random => format!("Simulated study area {}", scenario.seed),
        },
        crs: "EPSG:2193",
        first_day: date_of_day(first),
        as_of: date_of_day(end - 1.0),
        land: land.boundary(|_| true),
        zones: (0..land.zones)
            .map(|z| Zone {
                id: format!("A{}", z + 1),
                name: names::area(z),
                boundary: land.boundary(|h| h.zone == z),
                prior_free: None,
                introduction_per_year: None,
            })
            .filter(|z| !z.boundary.0.is_empty())
            .collect(),
        blocks,
        cover: LandCover::ALL
            .iter()
            .map(|&class| Cover { class: class.word().into(), boundary: land.boundary(|h| h.cover == class) })
            .filter(|c| !c.boundary.0.is_empty())
            .collect(),
        operations,
        foci,
        pigs,
        dispersals_m,
        scenario: scenario.clone(),
    })
}

/// Follows the herd from before the records to their end.
fn hunt_for_years(s: &Scenario, land: &Land, foci: &[Focus]) -> (Vec<SimulatedPig>, Vec<f64>) {
    let (first, end) = study_days(s);
    let mut herd_rng = stream(s.seed, Stream::Herd);
    let mut hunt_rng = stream(s.seed, Stream::Hunt);
    let mut examine_rng = stream(s.seed, Stream::Examination);
    let yearly = (s.pigs_target - s.sentinels) as f64 / f64::from(s.years);
    let room = (yearly / RECORDED_SHARE).max(60.0);
    let start = first - RUN_IN_YEARS * DAYS_PER_YEAR;
    let mut herd = Herd::settle(s, land, foci, room, start, first, &mut herd_rng);
    let mut run_in = Hunt::plan(start, first, (yearly * RUN_IN_YEARS) as usize, &mut hunt_rng);
    for (week, (day, length)) in run_in.weeks().into_iter().enumerate() {
        herd.step(day, length, &mut herd_rng);
        run_in.take(week, &mut herd, land, s, &mut hunt_rng);
    }
    let mut releases = plan_releases(s, first, end, &mut hunt_rng);
    let mut hunt = Hunt::plan(first, end, s.pigs_target - s.sentinels, &mut hunt_rng);
    let mut pigs = Vec::with_capacity(s.pigs_target);
    for (week, (day, length)) in hunt.weeks().into_iter().enumerate() {
        while releases.last().is_some_and(|r| r.day < day) {
            let Some(mut release) = releases.pop() else {
                break;
            };
            // Sentinels go where hunters seldom do.
            let weights = land.hexes.iter().map(|h| h.suitability / (0.2 + h.effort));
            let site = land.hexes[pick(&mut hunt_rng, weights).unwrap_or(0)].centre;
            release.day = day;
            herd.release(site, release, &mut herd_rng);
        }
        herd.step(day, length, &mut herd_rng);
        for kill in hunt.take(week, &mut herd, land, s, &mut hunt_rng) {
            let row = examine(&kill, s, end, &mut examine_rng);
            if row.gross_lesion {
                hunt.remember(kill.day, kill.animal.place);
            }
            pigs.push(row);
        }
    }
    number(&mut pigs, s);
    (pigs, herd.dispersals_m)
}

/// Release and recovery days, last release first; all are recovered before the end.
fn plan_releases(s: &Scenario, first: f64, end: f64, rng: &mut rand_chacha::ChaCha12Rng) -> Vec<Release> {
    let mut releases: Vec<Release> = (0..s.sentinels)
        .map(|_| {
            let stay = rng.random_range(5.0..12.0) * DAYS_PER_MONTH;
            let latest = (end - 14.0 - stay).max(first);
            let day = first + rng.random::<f64>() * (latest - first);
            Release { day, recovery_day: (day + stay).min(end - 7.0) }
        })
        .collect();
    releases.sort_by(|a, b| b.day.total_cmp(&a.day));
    releases
}

/// Puts pigs in order of date and numbers them within the year.
fn number(pigs: &mut [SimulatedPig], s: &Scenario) {
    // A stable sort: pigs of one day stay in the order they were taken, itself settled by the seed.
    pigs.sort_by_key(|p| p.killed);
    let prefix = match s.layout {
        AreaPattern::Quillonby => "QB",
        AreaPattern::Random => "SD",
    };
    let (mut year, mut serial) = (0, 0);
    for p in pigs {
        if p.killed.year() != year {
            (year, serial) = (p.killed.year(), 0);
        }
        serial += 1;
        p.occurrence_id = format!("{prefix}-{year}-{serial:04}");
    }
}
