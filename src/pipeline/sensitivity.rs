//! Which conclusions hold under other inputs: those that these data cannot tell, changed one at a time.

use crate::assess::odds::times_odds;
use crate::assess::{Assessment, assess};
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::pipeline::conclusions::{Conclusion, conclusions, holds};
use crate::pipeline::progress::AnalysisError;
use crate::pipeline::rerun_steps::{RERUN_ESS, RerunSteps, lightened};
use crate::pipeline::sample_and_assess::{pool, sample_and_assess};
use crate::study::study_file::Study;

/// Rate at which lesions resolve or carriers die in the re-run with waning, per year: 30 % of the deaths of
/// adult boar at an annual mortality of 45 % were of tuberculosis, 0.3 × −ln(1 − 0.4548) = 0.18 (Barasona
/// 2016); prevalence falls after the third year of life (Nugent 2012).
pub(crate) const WANING_PER_YEAR: f64 = 0.2;

/// One change of inputs.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Change {
    /// Name in tables: `home_range_halved`.
    pub name: &'static str,
    /// Name for people: `home range halved`.
    pub label: &'static str,
    /// The study with the change.
    pub study: Study,
    /// Whether it needs sampling again; otherwise the same samples are assessed anew.
    pub again: bool,
    /// Keys changed: (key, value before, value now).
    pub keys: Vec<(String, String, String)>,
}

/// One re-run.
#[derive(Debug, Clone, PartialEq)]
pub struct Rerun {
    /// Name in tables.
    pub name: &'static str,
    /// Name for people.
    pub label: &'static str,
    /// Whether only the random numbers differ: what changes here is chance.
    pub chance_only: bool,
    /// Whether it was sampled again.
    pub again: bool,
    /// Keys changed: (key, value before, value now).
    pub keys: Vec<(String, String, String)>,
    /// Criteria the re-run missed: (quantity, what is missed).
    pub missed: Vec<(String, String)>,
    /// Mean mass of the displacement kernels off the grid.
    pub mass_off_grid: f64,
    /// What it says, in the order of [`Sensitivity::base`].
    pub conclusions: Vec<Conclusion>,
    /// Whether each conclusion of the run holds here.
    pub holds: Vec<bool>,
}

/// Headline conclusions of a run, and what becomes of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// What the run itself says.
    pub base: Vec<Conclusion>,
    /// The re-runs.
    pub runs: Vec<Rerun>,
    /// Changes that would change nothing in this study, and why.
    pub left_out: Vec<(&'static str, &'static str)>,
    /// Warm-up and further trajectories of each chain of a re-run.
    pub effort: [usize; 2],
    /// Further trajectories of each chain of the run itself.
    pub full_trajectories: usize,
}

impl Sensitivity {
    /// Re-runs whose inputs differ.
    pub fn changed(&self) -> impl Iterator<Item = &Rerun> {
        self.runs.iter().filter(|r| !r.chance_only)
    }
    /// Whether conclusion `i` holds in every re-run whose inputs differ.
    pub fn holds_in_all(&self, i: usize) -> bool {
        self.changed().all(|r| r.holds[i])
    }

    pub(crate) fn of(
        layout: &Layout,
        posterior: &Posterior,
        assessment: &Assessment,
        steps: &RerunSteps,
    ) -> Result<Sensitivity, AnalysisError> {
        let taken = posterior.trajectories();
        let (changes, left_out) = changes(&layout.study, taken);
        let base = conclusions(layout, assessment, None);
        let light = lightened(&layout.study, taken).run;
        let effort = [light.warmup, light.trajectories];
        let mut runs = Vec::with_capacity(changes.len());
        for change in changes {
            let said = |a: &Assessment| conclusions(layout, a, Some(assessment));
            let (conclusions, missed, mass_off_grid) = if change.again {
                let other = Layout { study: change.study, ..layout.clone() };
                let other = sample_and_assess(&other, &|step| steps.trajectory(step))?;
                let missed = other.posterior.shortfalls_from(&other.watches, RERUN_ESS);
                (said(&other.assessment), missed, other.posterior.mass_off_grid)
            } else {
                let other = Layout { study: change.study, ..layout.clone() };
                let assessment = pool(&other.study)?.install(|| assess(&other, posterior, &|_| ()));
                (said(&assessment), Vec::new(), posterior.mass_off_grid)
            };
            steps.assessed();
            let holds = base.iter().zip(&conclusions).map(|(a, b)| holds(a, b)).collect();
            runs.push(Rerun {
                name: change.name,
                label: change.label,
                chance_only: change.name == SAME,
                again: change.again,
                keys: change.keys,
                missed,
                mass_off_grid,
                conclusions,
                holds,
            });
        }
        Ok(Sensitivity { base, runs, left_out, effort, full_trajectories: taken })
    }
}

/// How many times as common lesions from another cause are taken to be: 0.006 becomes 0.03, which half of
/// lesions confirmed at 3.4 % culture prevalence would give (Di Marco 2012).
pub(crate) const LOOK_ALIKES: f64 = 5.0;

/// The re-run whose inputs are the same.
const SAME: &str = "same_inputs";

/// Every change of inputs for a study, and those left out because they would change nothing.
///
/// # Formula
/// Home range: the s.d. of sows, boars and pigs of unknown sex halved and doubled. Dispersal: shares 0 and
/// doubled (1 at most). Waning: `detection.resolution_per_year` [`WANING_PER_YEAR`], or 0 where the study has
/// it. Detection: odds of the sensitivities of gross inspection and laboratory divided and multiplied by
/// `freedom.sensitivity_range`: about 0.76 that is 0.68 and 0.83 (exact interval of the published counts 0.69
/// to 0.82, Martín-Hernando 2007). Lesions from another cause: lesions of something else [`LOOK_ALIKES`]
/// times as common. Threshold: halved and doubled. First of all the same inputs with another seed.
/// # Numerics
/// Re-runs have the effort of [`lightened`] for a run whose chains took so many trajectories. Values are held
/// within what the study file allows.
pub(crate) fn changes(study: &Study, taken: usize) -> (Vec<Change>, Vec<(&'static str, &'static str)>) {
    let ranges = |factor: f64| {
        move |s: &mut Study| {
            let h = &mut s.home_range;
            for v in [&mut h.sigma_female_m, &mut h.sigma_male_m, &mut h.sigma_unknown_m] {
                *v = (*v * factor).clamp(50.0, 50_000.0);
            }
        }
    };
    let dispersal = |factor: f64| {
        move |s: &mut Study| {
            let d = &mut s.dispersal;
            for v in [&mut d.share_female, &mut d.share_male, &mut d.share_unknown] {
                *v = (*v * factor).min(1.0);
            }
        }
    };
    let detection = |factor: f64| {
        move |s: &mut Study| {
            let d = &mut s.detection;
            for v in [
                &mut d.gross_sensitivity,
                &mut d.culture_sensitivity,
                &mut d.pcr_sensitivity,
                &mut d.histology_sensitivity,
            ] {
                // Rounding is no change.
                *v = if factor == 1.0 { *v } else { times_odds(*v, factor) };
            }
        }
    };
    let threshold = |factor: f64| {
        move |s: &mut Study| {
            s.recent.force_of_infection_threshold =
                (s.recent.force_of_infection_threshold * factor).clamp(1e-6, 10.0)
        }
    };
    let waned = study.detection.resolution_per_year > 0.0;
    let waning =
        move |s: &mut Study| s.detection.resolution_per_year = if waned { 0.0 } else { WANING_PER_YEAR };
    let range = study.freedom.sensitivity_range;
    let other_causes = |s: &mut Study| {
        let d = &mut s.detection;
        d.false_lesion = (d.false_lesion * LOOK_ALIKES).min(0.5).max(d.false_lesion);
    };
    type Apply = Box<dyn Fn(&mut Study)>;
    let list: [(&'static str, &'static str, bool, Apply, &'static str); 11] = [
        (
            SAME,
            "same inputs, another seed",
            true,
            Box::new(|s| s.study.seed = s.study.seed.wrapping_add(1)),
            "",
        ),
        ("home_range_halved", "home range halved", true, Box::new(ranges(0.5)), "it is as small as can be"),
        ("home_range_doubled", "home range doubled", true, Box::new(ranges(2.0)), "it is as large as can be"),
        ("dispersal_off", "no dispersal", true, Box::new(dispersal(0.0)), "the study has no dispersal"),
        (
            "dispersal_doubled",
            "twice as many disperse",
            true,
            Box::new(dispersal(2.0)),
            "none or all disperse",
        ),
        ("waning", if waned { "lesions not waning" } else { "lesions waning" }, true, Box::new(waning), ""),
        (
            "detection_lower",
            "detection lower",
            true,
            Box::new(detection(1.0 / range)),
            "freedom.sensitivity_range is 1",
        ),
        (
            "detection_higher",
            "detection higher",
            true,
            Box::new(detection(range)),
            "freedom.sensitivity_range is 1",
        ),
        (
            "other_causes",
            "five times the lesions from another cause",
            true,
            Box::new(other_causes),
            "half of all pigs or more have one",
        ),
        ("threshold_halved", "threshold halved", false, Box::new(threshold(0.5)), "it is as low as can be"),
        (
            "threshold_doubled",
            "threshold doubled",
            false,
            Box::new(threshold(2.0)),
            "it is as high as can be",
        ),
    ];
    let (mut out, mut left_out) = (Vec::new(), Vec::new());
    for (name, label, again, apply, why_not) in list {
        let mut changed = study.clone();
        apply(&mut changed);
        let keys = differences(study, &changed);
        if keys.is_empty() {
            left_out.push((label, why_not));
            continue;
        }
        let study = if again { lightened(&changed, taken) } else { changed };
        out.push(Change { name, label, study, again, keys });
    }
    (out, left_out)
}

/// Keys in which two studies differ, with both values.
fn differences(a: &Study, b: &Study) -> Vec<(String, String, String)> {
    let tables =
        |s: &Study| serde_json::to_value(s).ok().and_then(|v| v.as_object().cloned()).unwrap_or_default();
    let (a, b) = (tables(a), tables(b));
    let mut out = Vec::new();
    for (table, keys) in &a {
        for (key, before) in keys.as_object().into_iter().flatten() {
            let now = &b[table][key];
            if before != now {
                out.push((format!("{table}.{key}"), short(before), short(now)));
            }
        }
    }
    out
}

/// A value as text, numbers to three significant digits.
fn short(value: &serde_json::Value) -> String {
    match value.as_f64() {
        Some(v) if v != 0.0 && v.fract() != 0.0 => {
            let decimals = (2 - v.abs().log10().floor() as i32).clamp(0, 9) as usize;
            let text = format!("{v:.decimals$}");
            if text.contains('.') {
                text.trim_end_matches('0').trim_end_matches('.').to_string()
            } else {
                text
            }
        }
        _ => value.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_change_is_what_it_says_and_possible() {
        let study = Study::minimal("A", "EPSG:2193", "p.csv");
        let (list, left_out) = changes(&study, 350);
        assert!(left_out.is_empty() && list.len() == 11, "{left_out:?}");
        let of = |name: &str| list.iter().find(|c| c.name == name).unwrap();
        for change in &list {
            change.study.check("re-run").unwrap();
        }
        assert_eq!(of("home_range_halved").study.home_range.sigma_male_m, 450.0);
        assert_eq!(of("dispersal_doubled").study.dispersal.share_male, 0.8);
        assert_eq!(of("waning").study.detection.resolution_per_year, 0.2);
        assert!((of("other_causes").study.detection.false_lesion - 0.03).abs() < 1e-12);
        // Odds of 0.76 are 19/6: times 1.5, 4.75 = 0.826/0.174; divided by it, 2.111 = 0.6786/0.3214.
        assert!((of("detection_higher").study.detection.gross_sensitivity - 4.75 / 5.75).abs() < 1e-12);
        assert!((of("detection_lower").study.detection.gross_sensitivity - 19.0 / 28.0).abs() < 1e-12);
        assert_eq!(
            of("threshold_halved").keys,
            vec![(
                "recent.force_of_infection_threshold".to_string(),
                "0.05".to_string(),
                "0.025".to_string()
            )]
        );
        assert_eq!((of("waning").study.run.warmup, of("waning").study.run.trajectories), (150, 262));
        assert_eq!(of("same_inputs").study.study.seed, 2);
    }

    #[test]
    fn what_would_change_nothing_is_left_out_and_said() {
        let mut study = Study::minimal("A", "EPSG:2193", "p.csv");
        study.freedom.sensitivity_range = 1.0;
        study.dispersal.share_female = 0.0;
        study.dispersal.share_male = 0.0;
        study.dispersal.share_unknown = 0.0;
        study.detection.resolution_per_year = 0.3;
        let (list, left_out) = changes(&study, 350);
        assert_eq!((list.len(), left_out.len()), (7, 4), "{left_out:?}");
        let waning = list.iter().find(|c| c.name == "waning").unwrap();
        assert_eq!((waning.label, waning.study.detection.resolution_per_year), ("lesions not waning", 0.0));
    }
}
