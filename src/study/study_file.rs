//! `study.toml` as a value: its tables, and how it is read.

use crate::study::ageing::Ageing;
use crate::study::error::StudyError;
use crate::study::model_keys::{
    Coverage, Detection, Dispersal, Exposure, FieldPrior, GridKeys, HomeRange, Recent, RunKeys,
};
use crate::study::priorities::Priorities;
use crate::study::surveillance::{Freedom, Sampling};
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The study file, `study.toml`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Study {
    /// What the study is.
    pub study: StudyKeys,
    /// Where the pig records are.
    pub records: RecordFiles,
    /// Areas, blocks, cover and operations, all optional.
    #[serde(default)]
    pub areas: AreaFiles,
    /// Cells and periods.
    #[serde(default)]
    pub grid: GridKeys,
    /// What counts as recent, active and local.
    #[serde(default)]
    pub recent: Recent,
    /// How widely a pig ranges.
    #[serde(default)]
    pub home_range: HomeRange,
    /// How pigs leave the range they were born in.
    #[serde(default)]
    pub dispersal: Dispersal,
    /// From what age a pig is exposed.
    #[serde(default)]
    pub exposure: Exposure,
    /// How a jaw becomes an age.
    #[serde(default)]
    pub ageing: Ageing,
    /// How well infection is detected.
    #[serde(default)]
    pub detection: Detection,
    /// Prior of the field of the force of infection.
    #[serde(default)]
    pub field: FieldPrior,
    /// What a surveillance system must be able to find.
    #[serde(default)]
    pub coverage: Coverage,
    /// What the probability of freedom of an area starts from.
    #[serde(default)]
    pub freedom: Freedom,
    /// What the next pig is.
    #[serde(default)]
    pub sampling: Sampling,
    /// What operations cost, what they remove, and what constrains the choice.
    #[serde(default)]
    pub priorities: Priorities,
    /// How the computation is run.
    #[serde(default)]
    pub run: RunKeys,
    /// Folder of the study file: relative paths start here. Set when read.
    #[serde(skip)]
    #[schemars(skip)]
    pub folder: PathBuf,
    /// Name of the study file in its folder; empty for a study that was not read from one. Set when read.
    #[serde(skip)]
    #[schemars(skip)]
    pub file: String,
}

/// What the study is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StudyKeys {
    /// Name shown in every output.
    pub name: String,
    /// Projected coordinate system in metres, as an EPSG code: `EPSG:2193`.
    pub crs: String,
    /// Analysis date, ISO 8601: the day for which all statements hold. Default: the last kill date in the
    /// records.
    #[serde(default, deserialize_with = "text_or_date")]
    #[schemars(with = "Option<String>")]
    pub as_of: Option<Date>,
    /// Seed of every random number; the same seed gives the same bytes.
    #[serde(default = "one")]
    pub seed: u64,
}

/// A day as text or as a date of TOML.
fn text_or_date<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<Option<Date>, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum DayKey {
        Text(String),
        Toml(toml::value::Datetime),
    }
    let wrong = |given: String| {
        serde::de::Error::custom(format!("study.as_of = {given} is no day; write as_of = 2024-12-31"))
    };
    let text = match Option::<DayKey>::deserialize(deserializer)? {
        None => return Ok(None),
        Some(DayKey::Text(text)) => text,
        Some(DayKey::Toml(date)) => date.to_string(),
    };
    text.parse().map(Some).map_err(|_| wrong(text))
}

/// Where the pig records are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RecordFiles {
    /// One file or several: CSV, XLSX, Parquet, GeoJSON points or a GeoPackage.
    pub pigs: OneOrMany,
    /// Sheet to read from an XLSX file; default: the first. Layer to read from a GeoPackage; default: the
    /// only
    /// one, or the one called `pigs`.
    #[serde(default)]
    pub sheet: Option<String>,
    /// Column map: a name of ours = the column name in your file; several where files or sheets differ.
    #[serde(default)]
    pub columns: BTreeMap<String, OneOrMany>,
    /// Number of the header row, as a spreadsheet counts; default: the row that reads most like one.
    #[serde(default)]
    pub header_row: Option<usize>,
    /// Order of day, month and year where dates are numbers; default: as the column's name or values tell.
    #[serde(default)]
    pub dates: Option<DateOrderKey>,
    /// Year of dates written without one; default: the one in the sheet's name or title.
    #[serde(default)]
    pub year: Option<i16>,
    /// Unit of ages without one; default: as the column's name tells.
    #[serde(default)]
    pub age_unit: Option<AgeUnit>,
    /// Unit of radii without one; default: as the column's name tells.
    #[serde(default)]
    pub radius_unit: Option<LengthUnit>,
    /// System of the positions, an EPSG code; default: as the sheet names it, otherwise the study's.
    #[serde(default)]
    pub crs: Option<String>,
    /// Where latitudes and longitudes without a sign or letter lie.
    #[serde(default)]
    pub hemisphere: Option<Hemisphere>,
    /// Words of a column: column name in your file, word = what it means in a word that is read.
    #[serde(default)]
    pub words: BTreeMap<String, BTreeMap<String, String>>,
    /// What holds for every row: a name of ours = the value.
    #[serde(default)]
    pub constants: BTreeMap<String, String>,
    /// Rows that count: column name in your file = the value or values they have there.
    #[serde(default, rename = "where")]
    pub only: BTreeMap<String, OneOrMany>,
    /// Table of corrections: file, row or id, field, value, who, why.
    #[serde(default)]
    pub corrections: Option<String>,
}

impl RecordFiles {
    /// One file, and nothing said of how it is written.
    pub(crate) fn of(pigs: &str) -> RecordFiles {
        RecordFiles {
            pigs: OneOrMany::One(pigs.into()),
            sheet: None,
            columns: BTreeMap::new(),
            header_row: None,
            dates: None,
            year: None,
            age_unit: None,
            radius_unit: None,
            crs: None,
            hemisphere: None,
            words: BTreeMap::new(),
            constants: BTreeMap::new(),
            only: BTreeMap::new(),
            corrections: None,
        }
    }
}

/// Order of day, month and year in dates of numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[allow(clippy::enum_variant_names, reason = "the variants are said as words")]
pub enum DateOrderKey {
    /// Day, month, year.
    #[serde(rename = "day first")]
    DayFirst,
    /// Month, day, year.
    #[serde(rename = "month first")]
    MonthFirst,
    /// Year, month, day.
    #[serde(rename = "year first")]
    YearFirst,
}

/// Unit of an age.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AgeUnit {
    /// Days.
    Days,
    /// Weeks.
    Weeks,
    /// Months.
    Months,
    /// Years.
    Years,
}

impl AgeUnit {
    /// The word in the study file.
    pub(crate) fn word(self) -> &'static str {
        match self {
            AgeUnit::Days => "days",
            AgeUnit::Weeks => "weeks",
            AgeUnit::Months => "months",
            AgeUnit::Years => "years",
        }
    }
}

/// Unit of a length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum LengthUnit {
    /// Metres.
    #[serde(rename = "m")]
    Metres,
    /// Kilometres.
    #[serde(rename = "km")]
    Kilometres,
    /// Feet.
    #[serde(rename = "ft")]
    Feet,
    /// Yards.
    #[serde(rename = "yd")]
    Yards,
    /// Statute miles.
    #[serde(rename = "mi")]
    Miles,
}

impl LengthUnit {
    /// Every unit.
    pub(crate) const ALL: [LengthUnit; 5] =
        [LengthUnit::Metres, LengthUnit::Kilometres, LengthUnit::Feet, LengthUnit::Yards, LengthUnit::Miles];
    /// The word in the study file.
    pub(crate) fn word(self) -> &'static str {
        match self {
            LengthUnit::Metres => "m",
            LengthUnit::Kilometres => "km",
            LengthUnit::Feet => "ft",
            LengthUnit::Yards => "yd",
            LengthUnit::Miles => "mi",
        }
    }
}

/// A quarter of the globe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Hemisphere {
    /// North of the equator, east of Greenwich.
    #[serde(rename = "north east")]
    NorthEast,
    /// North of the equator, west of Greenwich.
    #[serde(rename = "north west")]
    NorthWest,
    /// South of the equator, east of Greenwich.
    #[serde(rename = "south east")]
    SouthEast,
    /// South of the equator, west of Greenwich.
    #[serde(rename = "south west")]
    SouthWest,
}

impl Hemisphere {
    /// Signs of longitude and latitude.
    pub(crate) fn signs(self) -> (f64, f64) {
        match self {
            Hemisphere::NorthEast => (1.0, 1.0),
            Hemisphere::NorthWest => (-1.0, 1.0),
            Hemisphere::SouthEast => (1.0, -1.0),
            Hemisphere::SouthWest => (-1.0, -1.0),
        }
    }
}

/// One text or a list of texts: paths, names, words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum OneOrMany {
    /// One.
    One(String),
    /// Several.
    Many(Vec<String>),
}

impl From<&str> for OneOrMany {
    fn from(one: &str) -> OneOrMany {
        OneOrMany::One(one.to_string())
    }
}

impl OneOrMany {
    /// All of them as a list.
    pub fn all(&self) -> Vec<String> {
        match self {
            OneOrMany::One(p) => vec![p.clone()],
            OneOrMany::Many(v) => v.clone(),
        }
    }
}

/// Areas, blocks, cover and operations.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct AreaFiles {
    /// GeoJSON or GeoPackage polygons of movement-control areas; in a GeoPackage of several layers the one
    /// called `zones`.
    pub zones: Option<String>,
    /// GeoJSON or GeoPackage polygons of control blocks; in a GeoPackage of several layers the one called
    /// `blocks`.
    pub blocks: Option<String>,
    /// GeoJSON or GeoPackage polygons of land cover; in a GeoPackage of several layers the one called
    /// `cover`.
    pub cover: Option<String>,
    /// Table of past operations (CSV, XLSX, Parquet, or a GeoPackage's table called `operations`).
    pub operations: Option<String>,
}

/// Keys that had another name: table, name then, name today.
const RENAMED: [(&str, &str, &str); 8] = [
    ("recent", "hazard_threshold", "force_of_infection_threshold"),
    ("coverage", "design_hazard", "design_force_of_infection"),
    ("freedom", "design_hazard_range", "design_force_of_infection_range"),
    ("detection", "fix_radius_m", "position_radius_m"),
    ("priorities", "possum_aerial_kill", "possum_aerial_efficacy"),
    ("priorities", "possum_ground_kill", "possum_ground_efficacy"),
    ("priorities", "ferret_trapping_kill", "ferret_trapping_efficacy"),
    ("priorities", "best_set_draws", "best_set_samples"),
];

/// The first key of a study file under a former name, and its name today.
fn renamed(text: &str) -> Option<(String, String)> {
    let file: toml::Table = text.parse().ok()?;
    let there = |table: &str, key: &str| file.get(table).and_then(|t| t.get(key)).is_some();
    let (table, then, now) = RENAMED.iter().find(|(table, then, _)| there(table, then))?;
    Some((format!("{table}.{then}"), format!("{table}.{now}")))
}

fn one() -> u64 {
    1
}

impl Study {
    /// Reads and checks a study file; relative paths in it start at its folder.
    ///
    /// # Errors
    /// [`StudyError`]: unreadable, malformed (unknown key, wrong kind), or out of range.
    pub fn read(path: &Path) -> Result<Study, StudyError> {
        let shown = || path.display().to_string();
        let bytes = std::fs::read(path)
            .map_err(|e| StudyError::Unreadable { path: shown(), reason: e.to_string() })?;
        let text = String::from_utf8(bytes).map_err(|_| StudyError::NotText { path: shown() })?;
        let mut study = Study::parse(&text, &path.display().to_string())?;
        study.folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
        study.file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        Ok(study)
    }

    /// Parses and checks the text of a study file; `path` is used in messages only.
    ///
    /// # Errors
    /// As [`Study::read`].
    pub fn parse(text: &str, path: &str) -> Result<Study, StudyError> {
        if let Some((key, now)) = renamed(text) {
            return Err(StudyError::Renamed { path: path.to_string(), key, now });
        }
        let study: Study = toml::from_str(text).map_err(|e| StudyError::Malformed {
            path: path.to_string(),
            message: e.to_string().trim_end().to_string(),
        })?;
        study.check(path)?;
        Ok(study)
    }

    /// The smallest study: name, system and one file of pigs, all else by default.
    pub fn minimal(name: &str, crs: &str, pigs: &str) -> Study {
        Study {
            study: StudyKeys { name: name.into(), crs: crs.into(), as_of: None, seed: 1 },
            records: RecordFiles::of(pigs),
            areas: AreaFiles::default(),
            grid: GridKeys::default(),
            recent: Recent::default(),
            home_range: HomeRange::default(),
            dispersal: Dispersal::default(),
            exposure: Exposure::default(),
            ageing: Ageing::default(),
            detection: Detection::default(),
            field: FieldPrior::default(),
            coverage: Coverage::default(),
            freedom: Freedom::default(),
            sampling: Sampling::default(),
            priorities: Priorities::default(),
            run: RunKeys::default(),
            folder: PathBuf::new(),
            file: String::new(),
        }
    }

    /// A path of the study file, made absolute against the study's folder.
    pub fn path(&self, relative: &str) -> PathBuf {
        self.folder.join(relative)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_under_its_former_name_is_refused_with_the_name_of_today() {
        let least = "[study]\nname = \"A\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"pigs.csv\"\n";
        for (table, then, now) in RENAMED {
            let said = Study::parse(&format!("{least}[{table}]\n{then} = 0.5\n"), "study.toml").unwrap_err();
            let wanted =
                format!("study.toml: {table}.{then} is called {table}.{now}; write {table}.{now} instead");
            assert!(said.to_string().starts_with(&wanted), "{said}");
            // The name of today is a key.
            let said = Study::parse(&format!("{least}[{table}]\n{now} = \"?\"\n"), "study.toml").unwrap_err();
            assert!(!said.to_string().contains("unknown field"), "{said}");
        }
    }
}
