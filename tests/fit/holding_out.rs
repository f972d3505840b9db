//! Areas held out: the baseline by hand, the map where it should win.

use super::world::{SIDE_M, analysed, chances, examine, field, herd, lay_out, study, zone};
use pignut::internals::pipeline::reruns::Reruns;
use pignut::internals::records::{Age, DAYS_PER_MONTH, DAYS_PER_YEAR};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Half a head of "not sent to the laboratory" in all heads with a lesion, which the practice leans on, and
/// days of death counted from noon.
const NEAR_REL: f64 = 5e-3;

/// With lesions that show at once and one hazard λ̂, P = f + (1 − f) Se (1 − e^(−λ̂E)), E from two months of
/// age: the catalytic model (Muench 1934), computed here without the program.
#[test]
fn the_rival_is_the_catalytic_model_and_the_map_beats_it_where_the_hazard_varies() {
    let mut study = study();
    study.detection.lag_start_months = 0.0;
    study.detection.lag_full_months = 0.0;
    study.dispersal.share_female = 0.0;
    // Far enough that no range falls off the grid.
    study.grid.margin_m = 6000.0;
    let zones = vec![zone("middle", 3000.0, 5000.0), zone("sea", 40_000.0, 41_000.0)];
    let mut layout = lay_out(&study, herd(11, 900, 2018), zones);
    let truth = chances(&layout, &field(&layout, |x| if x < SIDE_M / 2.0 { 0.5 } else { 0.005 }));
    examine(&mut layout, &truth, 12);
    let mut a = analysed(layout);
    let before = a.assessment.cells.clone();
    let (steps, total) = (AtomicUsize::new(0), AtomicUsize::new(0));
    a.run_again(Reruns { inputs: false, areas: true }, &|p| {
        if let pignut::internals::pipeline::progress::Progress::Rerun { steps: s, of } = p {
            steps.fetch_add(s, Ordering::Relaxed);
            total.store(of, Ordering::Relaxed);
        }
    })
    .unwrap();
    assert_eq!(steps.into_inner(), total.into_inner(), "the bar ends where it should");
    assert_eq!(a.assessment.cells, before, "the run's own figures stay");
    let h = a.held_out.as_ref().unwrap();
    assert_eq!((h.areas.len(), h.left_out.len()), (1, 1));
    assert_eq!(h.left_out[0], (1, "no pig was killed in it"));
    let s = &h.areas[0];

    // By hand: the hazard of highest likelihood of the pigs outside, by a fine search, and the score of those
    // inside.
    let pigs = &a.layout.records.pigs;
    let inside = |p: &pignut::internals::records::Pig| {
        let x = p.easting_m - super::world::WEST_M;
        (3000.0..5000.0).contains(&x)
    };
    let years = |p: &pignut::internals::records::Pig| match p.age {
        Age::Interval { min_months, .. } => (min_months - 2.0) * DAYS_PER_MONTH / DAYS_PER_YEAR,
        Age::Unknown => unreachable!("all ages are known"),
    };
    let d = &study.detection;
    let score = |lambda: f64, held: bool| -> f64 {
        let pigs = pigs.iter().filter(|p| inside(p) == held);
        pigs.map(|p| {
            let q = 1.0 - (-lambda * years(p)).exp();
            let positive = d.false_lesion + (1.0 - d.false_lesion) * d.gross_sensitivity * q;
            if p.is_positive() { positive.ln() } else { (1.0 - positive).ln() }
        })
        .sum()
    };
    let best =
        (1..4000).map(|i| f64::from(i) * 2.5e-4).max_by(|a, b| score(*a, false).total_cmp(&score(*b, false)));
    let best = best.unwrap();
    assert!((s.constant_hazard / best - 1.0).abs() < 2.0 * NEAR_REL, "{} {best}", s.constant_hazard);
    assert!((s.log_score_constant / score(s.constant_hazard, true) - 1.0).abs() < NEAR_REL, "{s:?}");
    assert_eq!(s.pigs, pigs.iter().filter(|p| inside(p)).count());
    assert_eq!(s.positives, pigs.iter().filter(|p| inside(p) && p.is_positive()).count());

    // The held-out strip lies in the hot half, and the pigs about it say so.
    assert_eq!(s.verdict(), "better", "{s:?}");
    // By Jensen's inequality nothing more can be said in general of joint and pointwise, but both are of one
    // size.
    assert!(
        s.joint < 0.0 && (s.joint / s.log_score - 1.0).abs() < 0.2 && s.joint_effective_samples >= 1.0,
        "{s:?}"
    );
    assert!((s.expected - s.positives as f64).abs() < 0.35 * s.positives as f64, "{s:?}");
}
