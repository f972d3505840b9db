//! Simulated study areas, written as studies that a run can read.

use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use std::fs;
use std::path::Path;

/// Simulates a scenario and writes its study into `study` of a folder.
pub fn write_study(scenario: &Scenario, folder: &Path) {
    write(&simulate(scenario).unwrap(), &folder.join("study")).unwrap();
}

/// The same, with the effort of a run cut down: lines of the table `run`.
pub fn write_study_with_effort(scenario: &Scenario, folder: &Path, effort: &str) {
    write_study(scenario, folder);
    let path = folder.join("study/study.toml");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, format!("{text}\n[run]\n{effort}")).unwrap();
}
