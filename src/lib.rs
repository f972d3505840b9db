//! From records of hunted feral pigs to infection windows and a map of local transmission of bovine
//! tuberculosis.
//!
//! A pig that scavenges possums and ferrets samples the disease in the wildlife about it. Its head tells
//! whether it was infected, its jaw how long it lived, the GPS position where it died. One joint model reads
//! all pigs, with lesions and without, as outcomes of one force of infection:
//!
//! ```text
//! p_i = f_i + (1 − f_i) Σ_k Se_i R̄_k exp(−Σ_{older j} h_j)(1 − exp(−h_k))
//! h_k = E_k Σ_c [(1 − m_k) w_c + m_k (D w)_c] λ(c, t_k)
//! λ   = 0.2·softplus(x)²,  x = μ + Xβ + L z,  z ~ N(0, I)
//! ```
//!
//! λ (rows × periods × columns, infections per pig-year) is sampled by Hamiltonian Monte Carlo. From the
//! posterior samples come each positive's infection window and likely origin, each cell's force of infection,
//! probability of active transmission and standing, and each area's history.
//!
//! # The rooms, in the order of the job
//!
//! | room | what it holds |
//! | --- | --- |
//! | `study` | the study file: each parameter once, with unit, default, range, source |
//! | `records` | the words every layer shares: pigs, inspections, areas, blocks, operations |
//! | `geography` | grid, polygons on the grid, coordinate systems, and the layout of one study |
//! | `ageing` | from a jaw to an age |
//! | `ingest` | files to records: formats, columns, values, findings |
//! | `numerics`, `sampler` | transforms, special functions; Hamiltonian Monte Carlo: no place, no disease |
//! | `kernel` | the model: ranges, exposure, detection, field, likelihood, priors |
//! | `inference` | one study's posterior: warm start, chains, convergence |
//! | `assess` | from posterior samples to figures: a file for each question a user asks |
//! | `pipeline` | study to assessment; the same again under other inputs or without an area's pigs |
//! | `contract` | every file, column and unit of a result, stated once |
//! | `report` | layers, tables, page, sentences |
//! | `simulate`, `score` | a study area with known truth; an answer against a truth |
//! | `forms` | the officer's record forms |
//! | `cli` | what was typed, what is done, what is printed |
//! | [`guide`] | pages for readers |
//!
//! # Example
//! ```no_run
//! let study = pignut::Study::read("study.toml".as_ref())?;
//! let analysis = pignut::analyse(study, &|_| ())?;
//! println!("{:.2}", analysis.assessment.study_area.p_active_any);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![warn(unreachable_pub)]

mod ageing;
mod assess;
mod cli;
mod contract;
mod forms;
mod geography;
pub mod guide;
mod inference;
mod ingest;
mod kernel;
mod numerics;
mod pipeline;
mod records;
mod report;
mod sampler;
mod score;
mod simulate;
mod study;

#[doc(hidden)]
pub mod internals;

pub use crate::assess::Assessment;
pub use crate::assess::spread::Spread;
pub use crate::cli::args::Args;
pub use crate::cli::outcome::Ending;
pub use crate::cli::run;
pub use crate::contract::error::ContractError;
pub use crate::contract::read_table::TableError;
pub use crate::geography::coordinates::environment::{clean_command, environment_is_clean};
pub use crate::geography::grid::Grid;
pub use crate::geography::layout::{Layout, LayoutError};
pub use crate::inference::posterior::Posterior;
pub use crate::ingest::errors::IngestError;
pub use crate::ingest::findings::{Finding, Severity};
pub use crate::ingest::{Account, Ingested, read_study};
pub use crate::pipeline::analysis::{Analysis, Prepared, analyse};
pub use crate::pipeline::progress::{AnalysisError, Progress};
pub use crate::records::{Age, Block, Inspection, Operation, Pig, Reading, Records, Sex, Zone};
pub use crate::report::error::ReportError;
pub use crate::report::folder::Staging;
pub use crate::report::manifest::Times;
pub use crate::report::write as write_result;
pub use crate::score::{Score, score};
pub use crate::simulate::scenario::Scenario;
pub use crate::simulate::study_area::simulate;
pub use crate::study::error::StudyError;
pub use crate::study::study_file::Study;
