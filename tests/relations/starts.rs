//! Chains arrive where the posterior is, wherever they are thrown at the start.

use pignut::analysis::Layout;
use pignut::simulate::{Scenario, simulate, write};
use pignut::study::Study;

/// District 109, in which one chain of four began where the field is flat (log s.d. ten units of 0.5 down), stayed there for a
/// thousand trajectories in one run and gave the log s.d. a posterior s.d. of 1.23. All four where they belong, it is 0.17.
#[test]
fn no_chain_is_flung_off_to_a_flat_field() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let district = simulate(&Scenario::fresh(109)).expect("the scenario is possible");
    write(&district, folder.path()).expect("the district can be written");
    let mut study = Study::read(&folder.path().join("study.toml")).expect("the district is a study");
    study.run.trajectories = 20;
    study.run.posterior_samples = 80;
    study.run.end_early = false;
    let layout = Layout::read(study).expect("the district can be read");
    let (posterior, _) = layout.sample(&|_| ()).expect("threads can be started");
    let log_sd = posterior.watched.iter().find(|w| w.name == "log_sd").expect("it is sampled");
    assert!(log_sd.mean.abs() < 1.0 && log_sd.sd > 0.05 && log_sd.sd < 0.4, "{} ± {}", log_sd.mean, log_sd.sd);
}
