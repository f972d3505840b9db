//! How a jaw becomes an age.

use crate::study::error::StudyError;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

keys! {
    /// How a jaw becomes an age.
    Ageing {
        /// Table of tooth eruption (TOML) instead of the built-in one; a path beside the study file. Default:
        /// none.
        table: Option<String> = None,
        /// Births in each month from January, in any unit: narrows ages from the jaw by the day killed.
        /// Default: not used.
        births_by_month: Option<Vec<f64>> = None,
    }
}

impl Ageing {
    /// Births by month, when they are used.
    pub fn births(&self) -> Option<[f64; 12]> {
        self.births_by_month.as_ref().and_then(|b| b.as_slice().try_into().ok())
    }

    /// Checks the values; `path` is used in messages only.
    ///
    /// # Errors
    /// [`StudyError::OutOfRange`].
    pub(crate) fn check(&self, path: &str) -> Result<(), StudyError> {
        let Some(births) = &self.births_by_month else { return Ok(()) };
        let sound = births.iter().all(|b| *b >= 0.0 && b.is_finite());
        if births.len() == 12 && sound && births.iter().any(|b| *b > 0.0) {
            return Ok(());
        }
        Err(StudyError::OutOfRange {
            path: path.into(),
            key: "ageing.births_by_month".into(),
            value: format!("{births:?}"),
            allowed: "write twelve numbers from January, none below 0 and not all 0".into(),
        })
    }
}
