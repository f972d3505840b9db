//! Every sentence a person reads, for page and terminal: the only place where sentences are made.
//!
//! | about | file |
//! | --- | --- |
//! | areas: ongoing transmission, active land | `areas` |
//! | one pig | `pigs` |
//! | freedom of an area | `freedom` |
//! | surveillance coverage | `coverage` |
//! | which blocks first | `priorities` |
//! | another budget or other musts | `choice` |
//! | past operations | `operations` |
//! | fit, other inputs, areas held out | `model_checks` |
//! | a run: counts, headline, warnings | `run` |
//! | what the records hold | `data_summary` |
//! | a study file for records, words not known | `records` |
//! | where the next pigs should come from | `next_pigs` |
//! | the age of one jaw | `jaw` |
//! | what a drawing shows | `drawings` |
//! | numbers, chances, dates, lists | `words` |

pub(crate) mod areas;
pub(crate) mod choice;
pub(crate) mod coverage;
pub(crate) mod data_summary;
pub(crate) mod drawings;
pub(crate) mod freedom;
pub(crate) mod jaw;
pub(crate) mod model_checks;
pub(crate) mod next_pigs;
pub(crate) mod operations;
pub(crate) mod pigs;
pub(crate) mod priorities;
pub(crate) mod records;
pub(crate) mod run;
pub(crate) mod verdicts;
pub(crate) mod words;
