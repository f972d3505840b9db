//! From the words of a sheet to the cells of our own columns.
//!
//! A [`plan::TablePlan`] says for one table what each column holds and how its values are read; every choice
//! that the study file does not make stands in it with its evidence. [`row`] reads a row by the plan, and
//! [`merge`] puts the rows of one animal together. What no rule reads keeps its own text, so that the
//! readers of [`crate::ingest::pig_row`] refuse it with a reason.

pub(crate) mod animal;
pub(crate) mod findings;
pub(crate) mod legend;
pub(crate) mod make_plan;
pub(crate) mod merge;
pub(crate) mod node_list;
pub(crate) mod place;
pub(crate) mod place_setting;
pub(crate) mod plan;
pub(crate) mod read_row;
pub(crate) mod row;
pub(crate) mod row_ages;
pub(crate) mod row_dates;
pub(crate) mod row_findings;
pub(crate) mod settle_dates;
pub(crate) mod settle_places;
pub(crate) mod settle_values;
pub(crate) mod verdict;
