//! What several tests share.

pub mod files;
pub mod freedom_arithmetic;
pub mod geojson;
pub mod home_range;
pub mod program;
pub mod random;
pub mod result;
pub mod simulated;
pub mod small;
