//! Ages from the `dentition` column, by the study's table of eruption.

use crate::ageing::chance::BirthSeason;
use crate::ageing::estimate::{Contradiction, Estimate, estimate};
use crate::ageing::faults::ReadingError;
use crate::ageing::schedule::Schedule;
use crate::ageing::statements::Dentition;
use crate::ingest::errors::IngestError;
use crate::ingest::input_file::InputFile;
use crate::ingest::table::read_bytes;
use crate::records::DateSpan;
use crate::study::study_file::Study;
use std::cell::RefCell;
use std::collections::HashMap;

/// Why a cell gives no age.
#[derive(Debug, Clone)]
pub(crate) enum Fault {
    /// Its words are not understood.
    Unreadable(ReadingError),
    /// Its teeth allow no age together.
    Contradictory(Contradiction),
}

/// The study's way from a jaw to an age.
pub(crate) struct Jaws {
    /// The study's own table; the one that comes along when `None`.
    own: Option<Schedule>,
    births: Option<[f64; 12]>,
    /// Answers by cell: officers write few different ones.
    known: RefCell<HashMap<String, Result<Estimate, Fault>>>,
}

impl Jaws {
    /// Reads the study's table, if it names one.
    ///
    /// # Errors
    /// [`IngestError::Ageing`] or [`IngestError::Unreadable`].
    pub(crate) fn of(study: &Study, inputs: &mut Vec<InputFile>) -> Result<Jaws, IngestError> {
        let own = match &study.ageing.table {
            None => None,
            Some(name) => {
                let (bytes, input) = read_bytes(&study.path(name), name, "ageing")?;
                inputs.push(input);
                Some(Schedule::parse(&String::from_utf8_lossy(&bytes), name)?)
            }
        };
        Ok(Jaws { own, births: study.ageing.births(), known: RefCell::default() })
    }

    /// The age a cell gives; the birth season counts where the day killed is known.
    pub(crate) fn age(&self, cell: &str, killed: Option<DateSpan>) -> Result<Estimate, Fault> {
        let table = self.own.as_ref().unwrap_or_else(|| Schedule::built_in());
        let season = self
            .births
            .zip(killed)
            .map(|(births_by_month, killed)| BirthSeason { births_by_month, killed_day: killed.mid_day() });
        let work = || {
            let jaw = Dentition::read(cell, table).map_err(Fault::Unreadable)?;
            estimate(table, &jaw, season.as_ref()).map_err(Fault::Contradictory)
        };
        if season.is_some() {
            return work();
        }
        self.known.borrow_mut().entry(cell.to_string()).or_insert_with(work).clone()
    }
}
