//! How far a run can be trusted: predictive checks, re-runs under other inputs, areas held out.
//!
//! Records are drawn here from the model itself at a known hazard, so that what must be found is known; what
//! makes them misfit is then done to them on purpose.

mod checks;
mod holding_out;
mod program;
mod world;
