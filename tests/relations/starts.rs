//! Chains arrive where the posterior is, wherever they are thrown at the start.

use pignut::internals::pipeline::analysis::Prepared;
use pignut::internals::pipeline::sample_and_assess::sample;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use pignut::internals::study::study_file::Study;

/// Study area 109, in which the first trajectory thrown one chain of four to a field without variation where
/// its noise had not settled first: after this short a warm-up the ln s.d. had a spread of 2.9 (0.2 as it
/// is), and in a whole run the chain came back after a third of its thousand trajectories.
#[test]
fn no_chain_is_flung_off_to_a_flat_field() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let study_area = simulate(&Scenario::fresh(109)).expect("the scenario is possible");
    write(&study_area, folder.path()).expect("the district can be written");
    let mut study = Study::read(&folder.path().join("study.toml")).expect("the district is a study");
    // Too short for such a chain to come back.
    study.run.warmup = 60;
    study.run.trajectories = 20;
    study.run.posterior_samples = 80;
    study.run.end_early = false;
    let layout = Prepared::read(study).expect("the district can be read").layout;
    let (posterior, _) = sample(&layout, &|_| ()).expect("threads can be started");
    let log_sd = posterior.watched.iter().find(|w| w.name == "log_sd").expect("it is sampled");
    assert!(
        (0.0..2.0).contains(&log_sd.mean) && log_sd.sd > 0.05 && log_sd.sd < 0.8,
        "{} ± {}",
        log_sd.mean,
        log_sd.sd
    );
}
