//! Reads a truth folder: what was so in a simulated study area.

use crate::contract::read_table::{TableError, TableReader, read_json};
use crate::records::date_of_day;
use crate::simulate::truth::{PIGS_FILE, TRUTH_FILE, Truth};
use geo::Coord;
use jiff::civil::Date;
use std::path::Path;

/// The truth about one pig.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TruthPig {
    /// Specimen number.
    pub(crate) occurrence_id: String,
    /// Day of infection, for pigs infected when they died.
    pub(crate) infection_date: Option<Date>,
    /// Place of infection, metres.
    pub(crate) infection_place: Option<Coord<f64>>,
    /// Age at death, months.
    pub(crate) true_age_months: f64,
    /// Called lesioned for another cause.
    pub(crate) other_cause: bool,
}

/// Reads `truth.json` of a truth folder.
///
/// # Errors
/// [`TableError`] when it cannot be read or is not a truth file.
pub(crate) fn read_truth(folder: &Path) -> Result<Truth, TableError> {
    read_json(&folder.join(TRUTH_FILE))
}

/// Reads `pigs.parquet` of a truth folder.
///
/// # Errors
/// [`TableError`] when it cannot be read, or a column is missing or of another kind.
pub(crate) fn read_pigs(folder: &Path) -> Result<Vec<TruthPig>, TableError> {
    let t = TableReader::open(&folder.join(PIGS_FILE))?;
    let ids = t.texts("occurrence_id")?;
    let days = t.days_or_absent("infection_date")?;
    let east = t.numbers_or_absent("infection_easting")?;
    let north = t.numbers_or_absent("infection_northing")?;
    let ages = t.numbers("true_age_months")?;
    let other_cause = t.flags("look_alike")?;
    Ok((0..ids.len())
        .map(|i| TruthPig {
            occurrence_id: ids[i].clone(),
            infection_date: days[i].map(date_of_day),
            infection_place: east[i].zip(north[i]).map(|(x, y)| Coord { x, y }),
            true_age_months: ages[i],
            other_cause: other_cause[i],
        })
        .collect())
}
