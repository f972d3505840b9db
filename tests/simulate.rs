//! Simulated study areas and the scoring of answers against their truth.

mod made_up_run;
mod scoring;
mod small;
mod study_areas;
mod study_files;
