//! The run that most tests look at, done once.

use crate::common::program::run_in;
use crate::common::result::parquet;
use crate::common::simulated::write_study_with_effort;
use pignut::internals::simulate::scenario::Scenario;
use polars::prelude::DataFrame;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Seed of the study area.
const SEED: u64 = 3;
/// Properties carry six significant digits: relative rounding of one, with room for a sum of a few.
pub const ROUNDING_REL: f64 = 2e-5;
pub const LAYERS: [&str; 6] = [
    "cells.geojson",
    "positives.geojson",
    "origins.geojson",
    "zones.geojson",
    "gaps.geojson",
    "blocks.geojson",
];
pub const RASTERS: [&str; 10] = [
    "rasters/force_of_infection_median.tif",
    "rasters/force_of_infection_q05.tif",
    "rasters/force_of_infection_q95.tif",
    "rasters/p_active.tif",
    "rasters/exposure_pig_years.tif",
    "rasters/surveillance_sensitivity.tif",
    "rasters/expected_infections.tif",
    "rasters/window_start_year.tif",
    "rasters/window_median_year.tif",
    "rasters/window_end_year.tif",
];
pub const QUANTILES: [&str; 7] = ["q025", "q05", "q25", "q50", "q75", "q95", "q975"];

/// One finished run.
pub struct Run {
    /// Holds `study` and `result`.
    pub folder: tempfile::TempDir,
    pub said: String,
}

impl Run {
    pub fn result(&self) -> PathBuf {
        self.folder.path().join("result")
    }
    pub fn bytes(&self, name: &str) -> Vec<u8> {
        let path = self.result().join(name);
        fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
    }
    pub fn json(&self, name: &str) -> Value {
        serde_json::from_slice(&self.bytes(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }
    /// Features of a layer.
    pub fn features(&self, name: &str) -> Vec<Value> {
        self.json(name)["features"].as_array().unwrap().clone()
    }
    pub fn table(&self, name: &str) -> DataFrame {
        parquet(&self.result().join(name))
    }
}

/// Writes the study area's study, with the effort cut down.
fn study(folder: &Path) {
    let scenario = Scenario { pigs_target: 150, extent_km: 13.0, ..Scenario::fresh(SEED) };
    let effort = "chains = 2\nwarmup = 60\ntrajectories = 60\nposterior_samples = 100\n";
    write_study_with_effort(&scenario, folder, effort);
}

fn run_on(folder: tempfile::TempDir, more: &[&str]) -> Run {
    let args = [&["run", "study/study.toml", "--out", "result"], more].concat();
    let out = run_in(folder.path(), &args);
    let messages = String::from_utf8_lossy(&out.stderr);
    // So short a run ends with warnings: 1, not 2.
    assert_eq!(out.status.code(), Some(1), "{messages}");
    Run { folder, said: String::from_utf8(out.stdout).unwrap() }
}

pub fn fresh(change: impl Fn(&Path), more: &[&str]) -> Run {
    let folder = tempfile::tempdir().unwrap();
    study(folder.path());
    change(folder.path());
    run_on(folder, more)
}

/// The run that most tests look at.
pub fn base() -> &'static Run {
    static RUN: OnceLock<Run> = OnceLock::new();
    RUN.get_or_init(|| fresh(|_| (), &["--threads", "2"]))
}

pub fn files_below(folder: &Path) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            out.extend(files_below(&path).into_iter().map(|f| format!("{name}/{f}")));
        } else {
            out.insert(name);
        }
    }
    out
}
