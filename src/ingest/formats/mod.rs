//! One file for each format that records and areas come in.

pub(crate) mod csv;
pub(crate) mod geojson;
pub(crate) mod geopackage;
pub(crate) mod layer;
pub(crate) mod parquet;
pub(crate) mod spatial;
pub(crate) mod workbook;
