//! From records of hunted feral pigs to infection windows and a map of local transmission of bovine
//! tuberculosis.
//!
//! A pig that scavenges possums and ferrets samples the disease in the wildlife about it. Its head tells
//! whether it was infected, its jaw how long it lived, the fix where it died. One joint model reads all
//! pigs, positive and clear, as draws from one hazard of infection:
//!
//! ```text
//! p_i = f_i + (1 − f_i) Σ_k Se_i R̄_k exp(−Σ_{older j} h_j)(1 − exp(−h_k))
//! h_k = E_k Σ_c [(1 − m_k) w_c + m_k (D w)_c] λ(c, t_k)
//! λ   = 0.2·softplus(x)²,  x = μ + Xβ + L z,  z ~ N(0, I)
//! ```
//!
//! λ (rows × periods × columns, infections per pig-year) is sampled by Hamiltonian Monte Carlo; from the
//! draws come each positive's infection window and likely origin, each cell's hazard, probability of
//! activity and standing, and each area's history.
//!
//! | module | what it holds |
//! | --- | --- |
//! | [`study`], [`record`], [`grid`] | parameters, the words every layer shares, cells and periods |
//! | [`ingest`], [`projection`], [`areas`] | files to records; coordinate systems; polygons on the grid |
//! | [`ageing`], [`holdings`], [`sheet`] | age from the jaw; what records hold and what gaps cost; forms for the field |
//! | [`num`], [`kernel`] | numerics without geography; the model |
//! | [`assess`], [`analysis`] | from draws to figures; one study from records to assessment |
//! | [`simulate`] | districts with known truth, and the scoring of answers |
//! | [`evidence`] | studies that put the answers to the test |
//! | [`report`], [`cli`] | layers, tables and page; the command line |
//! | [`guide`] | pages for readers |
//!
//! # Example
//! ```no_run
//! let study = pignut::study::study_file::Study::read("study.toml".as_ref())?;
//! let analysis = pignut::pipeline::analysis::analyse(study, &|_| ())?;
//! println!("{:.2}", analysis.assessment.district.p_active_any);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod ageing;
pub mod assess;
pub mod cli;
pub mod forms;
pub mod geography;
pub mod guide;
pub mod inference;
pub mod ingest;
pub mod kernel;
pub mod numerics;
pub mod pipeline;
pub mod records;
pub mod report;
pub mod sampler;
pub mod score;
pub mod simulate;
pub mod study;

pub use crate::geography::layout::Layout;
pub use crate::pipeline::analysis::{Analysis, analyse};
pub use crate::study::study_file::Study;
