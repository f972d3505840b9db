//! Numerical routines: transforms, special functions, small linear algebra. No place and no disease.

pub mod autoregression;
pub mod cosine_transform;
pub mod density;
pub mod elementary;
pub mod lanczos;
pub mod normal;
pub mod packed_matmul;
pub mod poisson_binomial;
pub mod real;
pub mod sliced_matrix;
pub mod uniformity;
pub mod window;
