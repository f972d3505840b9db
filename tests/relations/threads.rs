//! The same seed gives the same samples, whatever the number of threads.

use crate::common::random::stream;
use crate::common::small::{grid, pigs, study};
use pignut::internals::inference::posterior::{Posterior, Watch, sample};
use pignut::internals::kernel::field::shape_of;
use pignut::internals::kernel::likelihood::Likelihood;
use pignut::internals::kernel::model::Model;
use pignut::internals::study::study_file::Study;
use std::sync::atomic::{AtomicUsize, Ordering};

fn samples(study: &Study, threads: usize) -> (Posterior, usize) {
    let g = grid(7, 6, 4);
    let list = pigs(&mut stream(51), &g, 60);
    let at_start = Model::new(&study.field, shape_of(study, &g), vec![], Likelihood::new(&list, study, &g));
    let build = || Model::new(&study.field, shape_of(study, &g), vec![], Likelihood::new(&list, study, &g));
    let watches = [Watch { name: "total_force_of_infection".into(), weights: None, needs_ess: true }];
    let done = AtomicUsize::new(0);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be started");
    let posterior = pool.install(|| {
        sample(study, at_start, &build, &watches, &|_| {
            done.fetch_add(1, Ordering::Relaxed);
        })
    });
    (posterior, done.into_inner())
}

#[test]
fn one_thread_and_two_give_the_same_draws() {
    let mut study = study();
    study.run.chains = 3;
    study.run.warmup = 40;
    study.run.trajectories = 60;
    study.run.posterior_samples = 90;
    let (one, trajectories) = samples(&study, 1);
    let (two, _) = samples(&study, 2);
    assert_eq!(trajectories, 300, "progress is called once a trajectory");
    assert_eq!((one.samples(), one.hyper.len(), one.log_likelihood.len()), (90, 90, 90));
    let bits = |p: &Posterior| p.hazard.iter().flatten().map(|v| v.to_bits()).collect::<Vec<u32>>();
    assert_eq!(bits(&one), bits(&two));
    assert_eq!(one.hyper, two.hyper);
    assert_eq!(one.log_likelihood, two.log_likelihood);
    assert_eq!(one.watched, two.watched);
    assert_eq!(one.chains, two.chains);
    // And the seed matters.
    study.study.seed = 2;
    assert_ne!(bits(&one), bits(&samples(&study, 2).0));
}
