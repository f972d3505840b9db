//! Simulates a study area, runs the main job on it and scores the answer, once a folder.

use pignut::internals::pipeline::analysis::Prepared;
use pignut::internals::report;
use pignut::internals::report::folder::Staging;
use pignut::internals::report::manifest::Times;
use pignut::internals::score::{Score, score};
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::truth::Truth;
use pignut::internals::simulate::write::write;
use pignut::internals::study::study_file::Study;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// How large the study areas of a study are and how long the chains run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Side of the square that holds the island, km.
    pub extent_km: f64,
    /// Pigs examined over all years.
    pub pigs: usize,
    /// Warm-up trajectories a chain.
    pub warmup: usize,
    /// Trajectories a chain after that.
    pub trajectories: usize,
}

impl Size {
    /// Size of the studies on the evidence page: about half of the demo in land, pigs and effort.
    pub const STUDY: Size = Size { extent_km: 24.0, pigs: 1200, warmup: 100, trajectories: 200 };

    /// The neutral scenario of a seed at this size.
    pub fn neutral(&self, seed: u64) -> Scenario {
        Scenario { extent_km: self.extent_km, pigs_target: self.pigs, ..Scenario::fresh(seed) }
    }
}

/// A study area with its answer, in a folder of its own.
pub struct Scored {
    /// Study folder.
    pub folder: PathBuf,
    /// Score of the answer.
    pub score: Score,
    /// Largest split R̂ of what was watched; `None` when no chain moved.
    pub largest_r_hat: Option<f64>,
    /// Divergent trajectories after warm-up.
    pub divergent: u64,
    /// Seconds spent in reading, sampling and assessing when it was run.
    pub seconds: f64,
}

impl Scored {
    /// Folder of the answer.
    pub fn result(&self) -> PathBuf {
        self.folder.join("result")
    }
    /// Folder of the truth.
    pub fn truth(&self) -> PathBuf {
        self.folder.join("truth")
    }
}

/// Folder of a study area within a study's output.
pub fn folder_of(out: &Path, name: &str, seed: u64) -> PathBuf {
    out.join("study-areas").join(format!("{name}-{seed}"))
}

/// The study area `name` with its answer: simulated and run, or taken as it stands when the folder already
/// holds an answer to this very scenario at this effort. Delete `study-areas` after a change of the program.
///
/// # Errors
/// Whatever stopped it, with the folder.
pub fn scored(out: &Path, name: &str, scenario: &Scenario, size: &Size) -> Result<Scored, String> {
    let folder = folder_of(out, name, scenario.seed);
    let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", folder.display());
    if !stands(&folder, scenario, size) {
        let study_area = simulate(scenario).map_err(|e| fault(&e))?;
        write(&study_area, &folder).map_err(|e| fault(&e))?;
        let study = study_of(&folder, size)?;
        let staging = Staging::begin(&folder.join("result")).map_err(|e| fault(&e))?;
        let layout = Prepared::read(study).map_err(|e| fault(&e))?;
        let analysis = layout.analyse(&|_| ()).map_err(|e| fault(&e))?;
        report::write(&analysis, staging, &Times::default()).map_err(|e| fault(&e))?;
    }
    let manifest =
        json(&folder.join("result/manifest.json")).ok_or_else(|| fault(&"the answer has no manifest"))?;
    let told = &manifest["diagnostics"];
    let watched = told["watched"].as_array().into_iter().flatten();
    let chains = told["chains"].as_array().into_iter().flatten();
    let seconds = ["read", "sample", "assess"].map(|part| manifest["seconds"][part].as_f64().unwrap_or(0.0));
    Ok(Scored {
        score: score(&folder.join("result"), &folder.join("truth")).map_err(|e| fault(&e))?,
        largest_r_hat: watched.filter_map(|w| w["convergence"]["r_hat"].as_f64()).reduce(f64::max),
        divergent: chains.filter_map(|c| c["divergences"].as_u64()).sum(),
        seconds: seconds.iter().sum(),
        folder,
    })
}

/// The study file of a study area folder, at the study's effort.
///
/// # Errors
/// The file cannot be read, or the effort is out of range.
pub fn study_of(folder: &Path, size: &Size) -> Result<Study, String> {
    let path = folder.join("study.toml");
    let mut study = Study::read(&path).map_err(|e| e.to_string())?;
    study.run.warmup = size.warmup;
    study.run.trajectories = size.trajectories;
    study.check("size of the study").map_err(|e| e.to_string())?;
    Ok(study)
}

/// Whether the folder holds a complete answer to this scenario at this effort.
fn stands(folder: &Path, scenario: &Scenario, size: &Size) -> bool {
    let truth = std::fs::read(folder.join("truth/truth.json"))
        .ok()
        .and_then(|b| serde_json::from_slice::<Truth>(&b).ok());
    let manifest = json(&folder.join("result/manifest.json"));
    let effort = |m: &Value| {
        let run = &m["parameters"]["run"];
        run["warmup"].as_u64() == Some(size.warmup as u64)
            && run["trajectories"].as_u64() == Some(size.trajectories as u64)
    };
    truth.is_some_and(|t| t.scenario == *scenario) && manifest.is_some_and(|m| effort(&m))
}

fn json(path: &Path) -> Option<Value> {
    serde_json::from_slice(&std::fs::read(path).ok()?).ok()
}
