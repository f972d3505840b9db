//! TODO formats.

pub mod csv;
pub mod geojson;
pub mod geopackage;
pub mod layer;
pub mod parquet;
pub mod spatial;
pub mod xlsx;
