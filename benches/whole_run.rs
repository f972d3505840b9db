//! Times a whole analysis of a simulated study area, from records to assessment, and its peak memory.
//!
//! ```text
//! cargo bench --bench whole_run
//! ```
//! First one analysis at the study's own effort, timed once, with the peak of resident memory; then
//! ten at a tenth of that effort, for comparing two states of the code. Before that, answers are
//! compared: the same figures on one thread and on all.

use criterion::{Criterion, SamplingMode};
use pignut::internals::pipeline::analysis::{Analysis, analyse};
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use pignut::internals::study::study_file::Study;
use std::hint::black_box;
use std::time::{Duration, Instant};

/// Seed of the study area.
const SEED: u64 = 1;
/// Part of the default effort in the repeated runs.
const TENTH: usize = 10;

fn finished(study: &Study) -> Analysis {
    analyse(study.clone(), &|_| ()).expect("a district just simulated can be analysed")
}

/// Peak of resident memory since the start of the process, MiB, where the system tells (Linux, proc(5)).
fn peak_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}

fn main() {
    let mut c = Criterion::default().configure_from_args();
    let folder = tempfile::tempdir().expect("a temporary folder");
    let study_area = simulate(&Scenario::fresh(SEED)).expect("the preset is possible");
    write(&study_area, folder.path()).expect("the folder can be written");
    let study = Study::read(&folder.path().join("study.toml")).expect("a study just written");

    let mut short = study.clone();
    short.run.warmup /= TENTH;
    short.run.trajectories /= TENTH;
    short.run.posterior_samples /= TENTH;
    let mut alone = short.clone();
    alone.run.threads = 1;
    let (a, b) = (finished(&short), finished(&alone));
    assert!(a.assessment.cells == b.assessment.cells, "figures do not depend on threads");
    assert!(a.assessment.cells.iter().all(|c| c.hazard.mean.is_finite() && c.hazard.mean > 0.0));
    drop((a, b));

    let start = Instant::now();
    let whole = finished(&study);
    let seconds = start.elapsed().as_secs_f64();
    let grid = &whole.layout.grid;
    println!(
        "whole analysis: {} pigs, {} × {} cells, {} periods, {} chains of {} + {} trajectories: \
         {seconds:.1} s \
         (read {:.1}, sample {:.1}, assess {:.1}), {} gradients",
        whole.layout.records.pigs.len(),
        grid.rows,
        grid.cols,
        grid.periods(),
        study.run.chains,
        study.run.warmup,
        study.run.trajectories,
        whole.seconds[0],
        whole.seconds[1],
        whole.seconds[2],
        whole.posterior.chains.iter().map(|c| c.gradients).sum::<usize>(),
    );
    match peak_mib() {
        Some(mib) => println!("peak resident memory: {mib:.0} MiB"),
        None => println!("peak resident memory: not told by this system"),
    }
    for (what, why) in whole.posterior.shortfalls(&whole.watches) {
        println!("missed: {what}: {why}");
    }
    drop(whole);

    let mut group = c.benchmark_group("whole run");
    group.sample_size(10).sampling_mode(SamplingMode::Flat).warm_up_time(Duration::from_millis(1));
    group.bench_function("analyse at a tenth of the effort", |b| b.iter(|| finished(black_box(&short))));
    group.finish();
    c.final_summary();
}
