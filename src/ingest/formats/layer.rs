//! One layer of a file of places.

use crate::ingest::findings::Finding;
use geojson::Feature;
use std::collections::BTreeMap;

/// What is asked of a GeoPackage.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ask<'a> {
    /// Name in findings.
    pub name: &'a str,
    /// Layer named in the study file.
    pub layer: Option<&'a str>,
    /// What the file holds.
    pub role: &'static str,
}

/// Features of one file.
#[derive(Debug, Default)]
pub(crate) struct Layer {
    /// In the file's order.
    pub features: Vec<Feature>,
    /// EPSG code of their positions; `None` for WGS 84 longitude and latitude.
    pub crs: Option<String>,
    /// Why the geometry of a feature, by its index, cannot be read.
    pub unreadable: BTreeMap<usize, String>,
    /// What was found about the file as a whole.
    pub notes: Vec<Finding>,
    /// Whether features can have a geometry at all.
    pub places: bool,
}
