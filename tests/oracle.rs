//! Every fast routine of the kernel against the slow obvious one.

mod dispersal;
mod exposure;
mod field;
mod gradient;
mod likelihood;
mod nuts;
pub mod small;
