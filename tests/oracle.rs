//! Every fast routine of the kernel against the slow obvious one.

mod coverage;
mod dispersal;
mod exact;
mod exposure;
mod field;
mod gradient;
mod likelihood;
mod nuts;
mod reference_posteriors;
