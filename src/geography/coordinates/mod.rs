//! Coordinate systems: a safe, narrow door to the PROJ library.
//!
//! A study works in one projected system in metres ([`projector::Projector`]); positions come in
//! as WGS 84 longitude and latitude or in a system of their own ([`transform::Transform`]). Order is
//! always x before y: longitude, latitude in degrees; easting, northing in metres.

pub(crate) mod environment;
pub(crate) mod held;
pub(crate) mod projector;
pub(crate) mod register;
pub(crate) mod transform;
