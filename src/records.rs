//! The words every layer shares: pigs and what was seen in them, areas, blocks, operations.
//!
//! All positions are metres in the study's projected system, all ages are months,
//! all dates are civil dates. Nothing here reads a file or computes a statistic.

use geo::MultiPolygon;
use jiff::civil::Date;
use serde::Serialize;

/// Radius of the circle that holds 95 % of a circular bivariate normal, in standard deviations per axis.
///
/// # Formula
/// ```text
/// √(χ²₂(0.95)) = √(−2 ln 0.05)
/// ```
pub const CIRCLE_95: f64 = 2.447_746_830_680_816;
/// Mean length of a Gregorian year in days; the one conversion between days and years.
pub const DAYS_PER_YEAR: f64 = 365.2425;
/// Mean length of a month in days, `DAYS_PER_YEAR / 12`.
pub const DAYS_PER_MONTH: f64 = DAYS_PER_YEAR / 12.0;

/// Days since 1970-01-01 at the start of a civil date.
///
/// ```
/// assert_eq!(pignut::internals::records::day_number(jiff::civil::date(1970, 1, 2)), 1.0);
/// ```
pub fn day_number(date: Date) -> f64 {
    f64::from((date - jiff::civil::date(1970, 1, 1)).get_days())
}

/// The civil date that holds a day number (rounded down); the inverse of [`day_number`].
///
/// Dates outside the calendar's years −9999 to 9999 are held at its ends.
pub(crate) fn date_of_day(day: f64) -> Date {
    let span = jiff::Span::new().try_days(day.floor() as i64);
    span.ok().and_then(|s| jiff::civil::date(1970, 1, 1).checked_add(s).ok()).unwrap_or(if day < 0.0 {
        Date::MIN
    } else {
        Date::MAX
    })
}

/// Where a record came from, counted as the user's editor counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Source {
    /// File name as given in the study file.
    pub file: String,
    /// Line (text), sheet row (XLSX), or feature/row number from 1 (GeoJSON, Parquet).
    pub row: usize,
}

/// Sex of a pig.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sex {
    /// Sow or gilt.
    Female,
    /// Boar.
    Male,
    /// Not recorded: home-range and dispersal parameters between the two are used.
    Unknown,
}

/// What is known of a pig's age at death, in months.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Age {
    /// Uniform between the bounds (equal bounds: known exactly). `0 ≤ min ≤ max`.
    Interval {
        /// Youngest age the jaw allows, months.
        min_months: f64,
        /// Oldest age the jaw allows, months.
        max_months: f64,
    },
    /// No age was recorded: a mixture over age classes is used.
    Unknown,
}

/// A date known to a day, a month or a year: first and last possible day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DateSpan {
    /// First possible day.
    pub first: Date,
    /// Last possible day, not before `first`.
    pub last: Date,
}

impl DateSpan {
    /// A date known to the day.
    pub fn day(date: Date) -> Self {
        DateSpan { first: date, last: date }
    }
    /// Middle of the span as a day number (noon of a single day).
    pub fn mid_day(&self) -> f64 {
        0.5 * (day_number(self.first) + day_number(self.last) + 1.0)
    }
    /// Length in days, 1 for a single day.
    pub fn days(&self) -> f64 {
        day_number(self.last) - day_number(self.first) + 1.0
    }
}

/// The three paired lymph nodes of the head that an officer can open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NodePair {
    /// Parotid nodes.
    Parotid,
    /// Mandibular (submandibular) nodes.
    Mandibular,
    /// Retropharyngeal nodes.
    Retropharyngeal,
}

/// How the laboratory looked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LabMethod {
    /// Bacterial culture.
    Culture,
    /// Polymerase chain reaction on tissue.
    Pcr,
    /// Histology.
    Histology,
}

/// What the laboratory answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LabResult {
    /// *M. bovis* found.
    Positive,
    /// Not found.
    Negative,
    /// Sent, no answer yet.
    Pending,
}

/// What was looked at and found in one head.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Inspection {
    /// Node pairs opened; `None` when not recorded.
    pub node_pairs: Option<Vec<NodePair>>,
    /// Pairs among them of which only one of the two nodes was opened.
    pub one_sided: Vec<NodePair>,
    /// Lesion seen at gross inspection; `None` when not inspected.
    pub gross_lesion: Option<bool>,
    /// Laboratory method, when known.
    pub lab_method: Option<LabMethod>,
    /// Laboratory result, when one was asked for.
    pub lab_result: Option<LabResult>,
}

/// The reading of an inspection: the laboratory over gross inspection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reading {
    /// Laboratory positive.
    Confirmed,
    /// Lesion seen, laboratory pending or not asked: as likely a lesion from another cause as the data say.
    Suspect,
    /// Laboratory negative, or no lesion and no laboratory positive. A lesion that the laboratory did not
    /// confirm counts here, but weighs in the likelihood as what it is ([`Inspection::is_unconfirmed`]).
    Clear,
}

impl Inspection {
    /// A lesion that the laboratory judged and did not confirm: no positive, and no evidence of absence
    /// either.
    pub fn is_unconfirmed(&self) -> bool {
        self.gross_lesion == Some(true) && self.lab_result == Some(LabResult::Negative)
    }

    /// Laboratory over gross inspection; `None` when neither looked (a lone pending test is no result).
    pub fn reading(&self) -> Option<Reading> {
        match (self.lab_result, self.gross_lesion) {
            (Some(LabResult::Positive), _) => Some(Reading::Confirmed),
            (Some(LabResult::Negative), _) => Some(Reading::Clear),
            (_, Some(true)) => Some(Reading::Suspect),
            (_, Some(false)) => Some(Reading::Clear),
            (_, None) => None,
        }
    }
}

/// One examined pig.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pig {
    /// The specimen's number, unique in the study.
    pub id: String,
    /// Where the record came from.
    pub source: Source,
    /// Kill place, metres east in the study's system.
    pub easting_m: f64,
    /// Kill place, metres north in the study's system.
    pub northing_m: f64,
    /// Standard deviation of the GPS position per axis, metres (95 % radius / 2.4477).
    pub position_sd_m: f64,
    /// Sex.
    pub sex: Sex,
    /// When it was killed.
    pub killed: DateSpan,
    /// Age at death.
    pub age: Age,
    /// A released sentinel: exposure starts this day.
    pub released_on: Option<Date>,
    /// What was examined and found.
    pub inspection: Inspection,
    /// The reading used in the likelihood.
    pub reading: Reading,
}

impl Pig {
    /// Whether the record counts as a positive or suspect.
    pub fn is_positive(&self) -> bool {
        self.reading != Reading::Clear
    }
}

/// A movement-control area (or any other area to be judged as one).
#[derive(Debug, Clone)]
pub struct Zone {
    /// Unique id.
    pub id: String,
    /// Display name.
    pub name: String,
    /// Boundary, study's projected system.
    pub boundary: MultiPolygon<f64>,
    /// Prior probability of freedom before the first year, when the file gives one.
    pub prior_free: Option<f64>,
    /// Probability of introduction a year, when the file gives one.
    pub introduction_per_year: Option<f64>,
}

/// A block that can be treated as one control operation.
#[derive(Debug, Clone)]
pub struct Block {
    /// Unique id.
    pub id: String,
    /// Display name.
    pub name: String,
    /// Boundary, study's projected system.
    pub boundary: MultiPolygon<f64>,
    /// Cost of a possum operation per hectare, when the file gives one.
    pub possum_cost_per_ha: Option<f64>,
    /// Cost of a ferret operation per hectare, when the file gives one.
    pub ferret_cost_per_ha: Option<f64>,
    /// How possums are treated there, when the file says.
    pub possum_method: Option<Method>,
    /// Whether an operation can be done there at all.
    pub feasible: bool,
}

/// How an operation is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// From the air.
    Aerial,
    /// On foot: bait stations and traps.
    Ground,
    /// Traps only.
    Trapping,
}

impl Method {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Method::Aerial => "aerial",
            Method::Ground => "ground",
            Method::Trapping => "trapping",
        }
    }
}

/// Land cover, as far as it says which vectors live there.
#[derive(Debug, Clone)]
pub struct Cover {
    /// Class name as in the file.
    pub class: String,
    /// Boundary, study's projected system.
    pub boundary: MultiPolygon<f64>,
}

/// The wildlife host an operation is aimed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WildlifeHost {
    /// Brushtail possum.
    Possum,
    /// Ferret.
    Ferret,
}

impl WildlifeHost {
    /// Both, in the order of every table.
    pub const BOTH: [WildlifeHost; 2] = [WildlifeHost::Possum, WildlifeHost::Ferret];
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            WildlifeHost::Possum => "possum",
            WildlifeHost::Ferret => "ferret",
        }
    }
}

/// A past control operation.
#[derive(Debug, Clone)]
pub struct Operation {
    /// Where the record came from.
    pub source: Source,
    /// Block treated: index into the study's blocks.
    pub block: usize,
    /// Host aimed at.
    pub host: WildlifeHost,
    /// First day.
    pub start: Date,
    /// Last day.
    pub end: Date,
    /// Measured share of the host removed, if any.
    pub efficacy: Option<f64>,
}

/// Everything ingest hands on: the study's data in the study's own projected system.
#[derive(Debug, Clone, Default)]
pub struct Records {
    /// Pigs used (with or without a warning), in the order read.
    pub pigs: Vec<Pig>,
    /// Areas to be judged.
    pub zones: Vec<Zone>,
    /// Control blocks.
    pub blocks: Vec<Block>,
    /// Land cover.
    pub cover: Vec<Cover>,
    /// Past operations.
    pub operations: Vec<Operation>,
}
