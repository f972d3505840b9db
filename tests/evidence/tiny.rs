//! The tiny study area of these tests, and reading the tables that studies write.

use crate::common::files::fixtures;
use crate::studies::study_areas::Size;
use std::path::{Path, PathBuf};

/// As small as a study area can be and still hold areas, foci and positives; chains far too short to be
/// right.
pub const TINY: Size = Size { extent_km: 16.0, pigs: 260, warmup: 20, trajectories: 20 };
pub const SEED: u64 = 5;

pub fn table(path: &Path) -> Vec<csv::StringRecord> {
    csv::Reader::from_path(path).unwrap().records().map(|r| r.unwrap()).collect()
}

pub fn fixture(name: &str) -> PathBuf {
    fixtures("evidence").join(name)
}
