//! Pages for readers: preparing data, reading the result as one of three users, its files and columns,
//! the model, evidence, decisions, changes.

#[doc = include_str!("data.md")]
pub mod data {}

#[doc = include_str!("your_records.md")]
pub mod your_records {}

#[doc = include_str!("practice_sheets.md")]
pub mod practice_sheets {}

#[doc = include_str!("jaw.md")]
pub mod jaw {}

#[doc = include_str!("head.md")]
pub mod head {}

#[doc = include_str!("is_it_here.md")]
pub mod is_it_here {}

#[doc = include_str!("where_first.md")]
pub mod where_first {}

#[doc = include_str!("have_we_looked.md")]
pub mod have_we_looked {}

#[doc = include_str!("trust.md")]
pub mod trust {}

#[doc = include_str!("files_and_columns.md")]
pub mod files_and_columns {}

#[doc = include_str!("model.md")]
pub mod model {}

#[doc = include_str!("evidence.md")]
#[doc = include_str!("pictures/calibration.svg")]
pub mod evidence {}

#[doc = include_str!("decisions.md")]
pub mod decisions {}

#[doc = include_str!("changes.md")]
pub mod changes {}
