//! Numerical routines: transforms, special functions, small linear algebra. Nothing of the study.

pub(crate) mod autoregression;
pub(crate) mod cosine_transform;
pub(crate) mod density;
pub(crate) mod elementary;
pub(crate) mod lanczos;
pub(crate) mod normal;
pub(crate) mod packed_matmul;
pub(crate) mod poisson_binomial;
pub(crate) mod real;
pub(crate) mod sliced_matrix;
pub(crate) mod window;
