//! The studies behind the evidence page: knobs that break assumptions, scores of areas and foci, merging.

mod attribution;
mod knobs;
mod merging;
mod page;
mod paired;
mod prior_draw;
mod priors;
mod proper_scores;
mod shares;
mod shown;
mod tiny;
mod uniformity;
mod verdicts;
mod whole_studies;
