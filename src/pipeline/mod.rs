//! Study → records → posterior samples → figures; and the same again under other inputs ([`sensitivity`]) or
//! without an area's pigs ([`held_out`]).

pub(crate) mod analysis;
pub(crate) mod conclusions;
pub(crate) mod data_summary;
pub(crate) mod held_out;
pub(crate) mod progress;
pub(crate) mod record_value;
pub(crate) mod rerun_steps;
pub(crate) mod reruns;
pub(crate) mod sample_and_assess;
pub(crate) mod sensitivity;
