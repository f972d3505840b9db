//! The study areas that calibration is tried on: a square of land, an area, a treated block, pigs of every
//! kind.

use crate::studies::calibration::life::{Fate, Plan};
use geo::{MultiPolygon, Rect, coord};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use pignut::internals::geography::layout::{Layout, LayoutError};
use pignut::internals::records::{
    Age, Block, DateSpan, Inspection, LabMethod, LabResult, NodePair, Operation, Pig, Reading, Records, Sex,
    Source, WildlifeHost, Zone,
};
use pignut::internals::study::study_file::Study;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;

/// West and south edge, metres: whole numbers, as in a projected system.
const WEST_M: f64 = 1_571_000.0;
const SOUTH_M: f64 = 5_404_000.0;
/// First day on which a pig may be shot.
const FIRST_KILL: Date = date(2019, 1, 1);

/// Size of the study areas and length of the runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Replicates.
    pub replicates: u64,
    /// Cells of 1 km along each side.
    pub side: usize,
    /// Pigs.
    pub pigs: usize,
    /// Whether some pigs' ages are wide intervals or unknown, and some are released sentinels; otherwise all
    /// ages are intervals of at most six months, which cost a fifth as much.
    pub every_age: bool,
    /// Months through which pigs are shot, from January.
    pub kill_months: i32,
    /// Years before the first kill that have a hazard of their own.
    pub lookback_years: f64,
    /// Prior mean of the level: higher than a study's default, so that most study areas hold positives.
    pub level_mean: f64,
    /// Chains.
    pub chains: usize,
    /// Trajectories of each chain spent on step size and scale.
    pub warmup: usize,
    /// Trajectories of each chain after that, at first.
    pub trajectories: usize,
    /// Trajectories of each chain at most.
    pub most_trajectories: usize,
    /// Draws kept of all chains, evenly spaced.
    pub kept: usize,
    /// Seed of truths and records.
    pub seed: u64,
}

impl Design {
    /// The study of the evidence page: 8 × 8 cells × 7 half-years, 100 pigs.
    pub const STUDY: Design = Design {
        replicates: 240,
        side: 8,
        pigs: 100,
        every_age: true,
        kill_months: 18,
        lookback_years: 2.0,
        level_mean: -0.5,
        chains: 2,
        warmup: 150,
        trajectories: 400,
        most_trajectories: 3200,
        kept: 100,
        seed: 0x0ca1_1b8a,
    };

    /// The study area of one replicate, every pig still clear.
    ///
    /// # Errors
    /// As [`Layout::new`].
    pub fn layout(&self, number: u64) -> Result<Layout, LayoutError> {
        // A stream of its own: what is drawn for the records leaves the samples of the truth alone.
        let mut rng = ChaCha12Rng::seed_from_u64(self.seed ^ 0xd157_91c7);
        rng.set_stream(number);
        let mut study = Study::minimal("Calibration", "EPSG:2193", "simulated");
        study.grid.margin_m = 0.0;
        study.grid.lookback_years = self.lookback_years;
        study.field.level_mean = self.level_mean;
        study.run.chains = self.chains;
        study.run.warmup = self.warmup;
        study.run.trajectories = self.trajectories;
        study.run.posterior_samples = self.kept;
        study.run.end_early = false;
        let width = 1000.0 * self.side as f64;
        let block = |id: &str, north: f64| Block {
            id: id.into(),
            name: id.into(),
            boundary: rectangle(0.0, 0.0, width, north),
            possum_cost_per_ha: None,
            ferret_cost_per_ha: None,
            possum_method: None,
            feasible: true,
        };
        let half = 500.0 * self.side as f64;
        let records = Records {
            pigs: (0..self.pigs).map(|i| self.pig(i, &mut rng)).collect(),
            zones: vec![Zone {
                id: "west".into(),
                name: "West".into(),
                boundary: rectangle(0.0, 0.0, half, width),
                prior_free: None,
                introduction_per_year: None,
            }],
            blocks: vec![block("all", width), block("south", half)],
            cover: Vec::new(),
            operations: vec![Operation {
                source: source(1),
                block: 1,
                host: WildlifeHost::Possum,
                start: date(2018, 5, 1),
                end: date(2018, 6, 15),
                efficacy: None,
            }],
        };
        let as_of = FIRST_KILL.saturating_add(self.kill_months.months()).saturating_sub(1.day());
        Layout::new(study, records, as_of)
    }

    /// A pig not yet read; in turn of every sex, fix, way of being aged, dated and examined.
    fn pig(&self, i: usize, rng: &mut ChaCha12Rng) -> Pig {
        let width = 1000.0 * self.side as f64;
        let month = FIRST_KILL.saturating_add(rng.random_range(0..self.kill_months).months());
        let day = month.saturating_add(rng.random_range(0..28i32).days());
        let youngest = rng.random_range(4.0..40.0f64);
        let interval = |width: f64| Age::Interval { min_months: youngest, max_months: youngest + width };
        let (age, released_on) = match i % 8 {
            0 => (interval(0.0), None),
            1 => (interval(3.0), None),
            _ if !self.every_age => (interval(5.0), None),
            2 => (interval(12.0), None),
            3 => (interval(29.0), None),
            4 => (Age::Unknown, None),
            5 => (interval(6.0), None),
            6 => (interval(60.0), None),
            _ => {
                let months = rng.random_range(5..15i32);
                (
                    Age::Interval { min_months: 20.0, max_months: 26.0 },
                    Some(day.saturating_sub(months.months())),
                )
            }
        };
        let all = || Some(vec![NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal]);
        // What is done to a head depends on what is found in it; the pairs and the method are fixed
        // beforehand.
        let (node_pairs, lab_method) = match plan(i) {
            Plan::Laboratory => (all(), Some(LabMethod::Pcr)),
            Plan::AllSent => (all(), Some(LabMethod::Culture)),
            Plan::LesionSent => (all(), Some(LabMethod::Histology)),
            Plan::Knife if i.is_multiple_of(5) => (all(), None),
            Plan::Knife if i % 5 == 1 => (Some(vec![NodePair::Mandibular]), None),
            Plan::Knife => (None, None),
        };
        Pig {
            id: format!("P{i}"),
            source: source(i + 1),
            easting_m: WEST_M + rng.random_range(0.0..width).floor(),
            northing_m: SOUTH_M + rng.random_range(0.0..width).floor(),
            position_sd_m: [5.0, 41.0, 400.0][i % 3],
            sex: [Sex::Female, Sex::Male, Sex::Unknown][(i / 2) % 3],
            killed: if i % 9 == 4 {
                DateSpan { first: day.first_of_month(), last: day.last_of_month() }
            } else {
                DateSpan::day(day)
            },
            age,
            released_on,
            inspection: Inspection {
                node_pairs,
                one_sided: Vec::new(),
                gross_lesion: Some(false),
                lab_method,
                lab_result: None,
            },
            reading: Reading::Clear,
        }
    }
}

/// What is done to the head of pig i of the records.
pub fn plan(i: usize) -> Plan {
    match i % 10 {
        2 | 7 => Plan::Laboratory,
        3 => Plan::AllSent,
        5 | 8 => Plan::LesionSent,
        _ => Plan::Knife,
    }
}

/// Writes what was found into a record.
pub fn read(pig: &mut Pig, fate: &Fate) {
    pig.inspection.gross_lesion = fate.lesion;
    pig.inspection.lab_result =
        fate.laboratory.map(|p| if p { LabResult::Positive } else { LabResult::Negative });
    pig.reading = pig.inspection.reading().expect("gross inspection or laboratory has looked");
}

fn source(row: usize) -> Source {
    Source { file: "simulated".into(), row }
}

/// A rectangle from the south-west corner of the land, metres.
fn rectangle(west: f64, south: f64, east: f64, north: f64) -> MultiPolygon<f64> {
    let corner = |x: f64, y: f64| coord! { x: WEST_M + x, y: SOUTH_M + y };
    MultiPolygon(vec![Rect::new(corner(west, south), corner(east, north)).to_polygon()])
}
