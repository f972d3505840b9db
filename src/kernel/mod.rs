//! The model: a hazard of infection over cells and periods, seen through ranges, lives and inspections.
//!
//! | symbol | meaning | shape | unit |
//! | --- | --- | --- | --- |
//! | λ(c, t) | force of infection | rows × periods × cols | 1/yr |
//! | w_i | mass of pig i's displacement kernel per cell | window of rows × cols | 1 |
//! | D | dispersal filter, in cosine space | rows × cols | 1 |
//! | E_k, m_k | exposure in lag bin k; share of it before a change of range | bins | yr; 1 |
//! | h_k | hazard gathered in bin k | bins | 1 |
//! | R̄_k | mean visibility of a lesion that old | bins | 1 |
//! | p_i | probability that the pig reads positive | pigs | 1 |
//! | x, z | latent field, its white noise | rows × periods × cols | 1 |

pub(crate) mod detection;
pub(crate) mod exposure;
pub(crate) mod field;
pub(crate) mod home_range;
pub(crate) mod inspections;
pub(crate) mod kernel_window;
pub(crate) mod likelihood;
pub(crate) mod link;
pub(crate) mod mean_parametrisation;
pub(crate) mod model;
pub(crate) mod operations;
pub(crate) mod persistence;
pub(crate) mod prior;
pub(crate) mod prior_shape;
pub(crate) mod recursion;
