//! Numerical routines that know no geography: transforms, samplers, diagnostics.

pub mod autoregression;
pub mod cosine;
pub mod density;
pub mod diagnostics;
pub mod hmc;
pub mod informed;
pub mod lanczos;
mod learning;
pub mod link;
pub mod newton_cg;
pub mod normal;
pub mod panel;
mod phase;
pub mod real;
pub mod sliced;
pub mod successes;
pub mod uniformity;

pub mod window;
