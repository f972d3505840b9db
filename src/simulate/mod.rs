//! A simulated study area with known truth.
//!
//! The simulator follows individual pigs and is not the inference model run backwards:
//! its hazard is a sum of growing and dying foci, its pigs wander week by week about
//! drifting centres, leave home along rays, are shot where effort is, and are aged by a
//! jaw that is sometimes wrong. What each part assumes stands at the head of its file.
//!
//! | file | question it answers |
//! | --- | --- |
//! | `scenario` | what is asked for: parameters, limits, presets |
//! | `land`, `shape` | the island: cover, areas, blocks, pig density, hunting effort |
//! | `foci`, `force_of_infection` | the true force of infection; how foci and operations are drawn |
//! | `herd`, `hunt`, `examine` | pigs' lives; who is shot; what is written down |
//! | `study_area`, `write`, `truth` | the whole; its study folder; its truth folder |
//!
//! ```
//! use pignut::internals::simulate::scenario::Scenario;
//! use pignut::internals::simulate::study_area::simulate;
//! let small = Scenario { pigs_target: 200, extent_km: 16.0, ..Scenario::fresh(3) };
//! let study_area = simulate(&small)?;
//! assert_eq!(study_area.pigs.len(), 200);
//! # Ok::<(), pignut::internals::simulate::scenario::ScenarioError>(())
//! ```

pub(crate) mod error;
pub(crate) mod examine;
pub(crate) mod foci;
pub(crate) mod force_of_infection;
pub(crate) mod herd;
pub(crate) mod hunt;
pub(crate) mod land;
pub(crate) mod names;
pub(crate) mod noise;
pub(crate) mod scenario;
pub(crate) mod shape;
pub(crate) mod study_area;
pub(crate) mod truth;
pub(crate) mod write;
