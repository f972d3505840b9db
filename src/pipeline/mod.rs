//! Study → records → posterior samples → figures; and the same again under other inputs ([`sensitivity`]) or without an
//! area's pigs ([`held_out`]).

pub mod analysis;
pub mod conclusions;
pub mod data_summary;
pub mod held_out;
pub mod progress;
pub mod record_value;
pub mod rerun_steps;
pub mod reruns;
pub mod sample_and_assess;
pub mod sensitivity;
