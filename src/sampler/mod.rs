//! Hamiltonian Monte Carlo as a reader of a textbook expects it.
//!
//! | file | what |
//! | --- | --- |
//! | `mode` | the place of highest density, where chains begin |
//! | `hmc`, `phase_point` | trajectories, and the chains made of them |
//! | `adaptation`, `low_rank_metric` | the step and the scale that chains find in warm-up |
//! | `diagnostics` | whether chains agree, and how many independent samples they are equal to |

pub(crate) mod adaptation;
pub(crate) mod chains;
pub(crate) mod diagnostics;
pub(crate) mod hmc;
pub(crate) mod low_rank_metric;
pub(crate) mod mode;
pub(crate) mod phase_point;
