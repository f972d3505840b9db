//! What is written down about a pig: place, age from the jaw, lesions, laboratory.
//!
//! Assumed:
//! - Fix: reported 95 % radius of 10 to 250 m, or blank (true radius 100 m then).
//! - Age: an interval about an estimate whose error is normal and free of bias; half-width
//!   0.5 to 1.5 months below eight months, then 1.5, 2.5 (from 12), 4 (20), 8 (30) and 12
//!   (48); the half-width is 1.9 s.d. of the error, so that one interval in about 17 misses
//!   the truth. 3 % have no age, 2 % no sex.
//! - Lesion: nothing in the first month, then a linear rise to the full sensitivity of
//!   0.76 at four months, times the share that the opened node pairs show (all 1;
//!   mandibular with retropharyngeal 0.97; mandibular alone 0.90); a lesion from another cause with
//!   probability 0.006 in any pig.
//! - Laboratory: 85 % of lesioned heads go, nine in ten to culture (sensitivity 0.82), the
//!   rest to PCR (0.64); of lesions from another cause alone 0.0003 come back positive; of those sent in
//!   the last six weeks 70 % are pending.

use crate::records::{DAYS_PER_MONTH, LabMethod, LabResult, NodePair, Sex, date_of_day};
use crate::simulate::herd::Infection;
use crate::simulate::hunt::Kill;
use crate::simulate::noise::normal;
use crate::simulate::scenario::Scenario;
use jiff::civil::Date;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;

/// 95 % radius of a circular normal over its s.d. per axis, √(−2 ln 0.05).
const RADIUS_PER_SD: f64 = 2.447_746_830_680_816;
/// Days before the end within which a laboratory result may still be pending.
const PENDING_DAYS: f64 = 42.0;

/// A row of `pigs.csv`, with the truth beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct SimulatedPig {
    /// Specimen number.
    pub occurrence_id: String,
    /// Day killed.
    pub killed: Date,
    /// Recorded place, metres east.
    pub easting_m: f64,
    /// Recorded place, metres north.
    pub northing_m: f64,
    /// Reported 95 % radius of the GPS position, metres.
    pub position_radius_m: Option<f64>,
    /// Recorded sex.
    pub sex: Sex,
    /// Estimated age, months.
    pub age_months: Option<(f64, f64)>,
    /// Node pairs opened, when recorded.
    pub node_pairs: Option<Vec<NodePair>>,
    /// Lesion seen.
    pub gross_lesion: bool,
    /// Laboratory method and result, when sent.
    pub laboratory: Option<(LabMethod, LabResult)>,
    /// Released sentinel: the day it was let go.
    pub released_on: Option<Date>,
    /// What the records do not say.
    pub truth: PigTruth,
}

/// The truth about one pig.
#[derive(Debug, Clone, PartialEq)]
pub struct PigTruth {
    /// Age at death, months.
    pub age_months: f64,
    /// Day exposure started, days since 1970-01-01.
    pub exposed_from_day: f64,
    /// Time and place of its infection, if it was infected when it died.
    pub infection: Option<Infection>,
    /// It was called lesioned for a lesion from another cause and not for tuberculosis.
    pub other_cause: bool,
    /// Where it stood, metres east.
    pub easting_m: f64,
    /// Where it stood, metres north.
    pub northing_m: f64,
}

impl SimulatedPig {
    /// Laboratory positive.
    pub fn is_confirmed(&self) -> bool {
        self.laboratory.is_some_and(|l| l.1 == LabResult::Positive)
    }

    /// Laboratory positive, or a lesion that the laboratory has not judged.
    pub fn is_positive(&self) -> bool {
        let judged = self.laboratory.is_some_and(|l| l.1 == LabResult::Negative);
        self.is_confirmed() || (self.gross_lesion && !judged)
    }
}

/// Examines a pig; the occurrence id is given later.
pub(crate) fn examine(kill: &Kill, s: &Scenario, end_day: f64, rng: &mut ChaCha12Rng) -> SimulatedPig {
    let a = &kill.animal;
    let age_months = (kill.day + 0.5 - a.born_day) / DAYS_PER_MONTH;
    let position_radius_m = draw_radius(rng);
    let position_sd_m = position_radius_m.unwrap_or(100.0) / RADIUS_PER_SD;
    let easting_m = a.place.x + position_sd_m * normal(rng);
    let northing_m = a.place.y + position_sd_m * normal(rng);
    let age = estimate_age(age_months, a.release.is_some(), s.age_bias_months, rng);
    let (node_pairs, shown) = draw_node_pairs(rng);

    let since_months = a.infection.map(|i| (kill.day + 0.5 - i.day) / DAYS_PER_MONTH);
    let ramp = since_months.map_or(0.0, |m| ((m - 1.0 - s.ramp_shift_months) / 3.0).clamp(0.0, 1.0));
    let lesion = rng.random::<f64>() < 0.76 * shown * ramp;
    let other_cause = rng.random::<f64>() < 0.006 && !lesion;
    let gross_lesion = lesion || other_cause;

    let sent = rng.random::<f64>() < 0.85;
    let (method, sensitivity) =
        if rng.random::<f64>() < 0.9 { (LabMethod::Culture, 0.82) } else { (LabMethod::Pcr, 0.64) };
    let found = rng.random::<f64>() < if lesion { sensitivity } else { 0.0003 };
    let late = end_day - kill.day < PENDING_DAYS && rng.random::<f64>() < 0.7;
    let laboratory = (gross_lesion && sent).then_some((
        method,
        match (late, found) {
            (true, _) => LabResult::Pending,
            (false, true) => LabResult::Positive,
            (false, false) => LabResult::Negative,
        },
    ));
    let sex_known = rng.random::<f64>() >= 0.02;
    SimulatedPig {
        occurrence_id: String::new(),
        killed: date_of_day(kill.day),
        easting_m,
        northing_m,
        position_radius_m,
        sex: if sex_known { a.sex } else { Sex::Unknown },
        age_months: age,
        node_pairs,
        gross_lesion,
        laboratory,
        released_on: a.release.map(|r| date_of_day(r.day)),
        truth: PigTruth {
            age_months,
            exposed_from_day: a.exposed_from_day,
            infection: a.infection,
            other_cause,
            easting_m: a.place.x,
            northing_m: a.place.y,
        },
    }
}

fn draw_radius(rng: &mut ChaCha12Rng) -> Option<f64> {
    match rng.random_range(0..100) {
        0..25 => Some(10.0),
        25..45 => Some(20.0),
        45..65 => Some(50.0),
        65..80 => Some(100.0),
        80..88 => Some(250.0),
        _ => None,
    }
}

/// Pairs opened as recorded, and the share of lesions they show.
fn draw_node_pairs(rng: &mut ChaCha12Rng) -> (Option<Vec<NodePair>>, f64) {
    use NodePair::{Mandibular, Parotid, Retropharyngeal};
    let (pairs, shown) = match rng.random_range(0..100) {
        0..65 => (vec![Parotid, Mandibular, Retropharyngeal], 1.0),
        65..85 => (vec![Mandibular, Retropharyngeal], 0.97),
        _ => (vec![Mandibular], 0.90),
    };
    let recorded = rng.random::<f64>() >= 0.13;
    (recorded.then_some(pairs), shown)
}

fn estimate_age(age_months: f64, known: bool, bias_months: f64, rng: &mut ChaCha12Rng) -> Option<(f64, f64)> {
    let none = rng.random::<f64>() < 0.03;
    let youth: f64 = rng.random_range(0.5..1.5);
    let error = normal(rng);
    if known {
        let half = (age_months * 2.0).round() / 2.0;
        return Some(((half - 0.5).max(0.0), half + 0.5));
    }
    if none {
        return None;
    }
    let half_width = if age_months < 8.0 {
        youth
    } else if age_months < 12.0 {
        1.5
    } else if age_months < 20.0 {
        2.5
    } else if age_months < 30.0 {
        4.0
    } else if age_months < 48.0 {
        8.0
    } else {
        12.0
    };
    let centre = age_months + bias_months + error * half_width / 1.9;
    // Written in half months while the jaw is that telling, in whole months later.
    let unit = if age_months < 12.0 { 0.5 } else { 1.0 };
    let round = |v: f64| (v / unit).round() * unit;
    let min = round((centre - half_width).max(0.0));
    Some((min, round(centre + half_width).max(min + unit)))
}
