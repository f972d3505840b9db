//! How often a study of a given size would find one focus: simulated study areas, counted.
//!
//! Each study area holds one focus of the asked force of infection and radius, at a place drawn in proportion
//! to how
//! likely its cover is to hold one, at full strength through the last years of the records. The largest
//! study is simulated; a smaller one is a random part of its pigs, and its chance of holding at least one
//! finding is exact (hypergeometric), so that one study area serves every size.

use crate::records::DAYS_PER_YEAR;
use crate::simulate::force_of_infection::Focus;
use crate::simulate::land::Land;
use crate::simulate::noise::{Stream, pick, stream};
use crate::simulate::scenario::{Scenario, ScenarioError, study_days};
use crate::simulate::study_area::simulate;
use rayon::prelude::*;
use serde::Serialize;
use std::fmt;

/// What is to be found, and in how many study areas it is tried.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct PowerQuestion {
    /// Force of infection at the focus's centre, infections per pig-year.
    pub force_of_infection_per_year: f64,
    /// S.d. of the focus per axis, metres.
    pub radius_m: f64,
    /// Years it has been there at the end of the records.
    pub present_years: f64,
    /// Years of records.
    pub years: u32,
    /// Side of the square that holds each island, km.
    pub extent_km: f64,
    /// Sizes asked for, pigs over all years; rising.
    pub sizes: Vec<usize>,
    /// Study areas simulated.
    pub study_areas: usize,
    /// Seed of the first study area.
    pub seed: u64,
}

/// One size of study.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct PowerRow {
    /// Pigs over all years.
    pub pigs: usize,
    /// Share of studies in which at least one infected pig is lesioned and seen to be.
    pub found: f64,
    /// Standard error of that share over study areas; `None` for a single one.
    pub found_se: Option<f64>,
    /// Share of studies in which the laboratory confirms at least one.
    pub confirmed: f64,
    /// Standard error of that.
    pub confirmed_se: Option<f64>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Power {
    /// What was asked.
    pub question: PowerQuestion,
    /// One row a size.
    pub rows: Vec<PowerRow>,
    /// Mean number of findings in the largest study.
    pub findings_mean: f64,
    /// Study areas whose largest study held none.
    pub study_areas_without_finding: usize,
}

/// Probability that a random part of a study holds at least one of its findings.
///
/// # Formula
/// ```text
/// 1 − C(N − m, k)/C(N, k) = 1 − Π_{i<m} (N − k − i)/(N − i)
/// ```
/// N pigs of which m are findings, k taken.
/// # Example
/// ```
/// // One finding among 100, 95 pigs taken: 0.95; the sample-size table's entry for 1 % of 100.
/// assert!((pignut::internals::score::power::part_finds(100, 1, 95) - 0.95).abs() < 1e-12);
/// assert_eq!(pignut::internals::score::power::part_finds(100, 0, 95), 0.0);
/// assert_eq!(pignut::internals::score::power::part_finds(100, 6, 95), 1.0);
/// ```
pub fn part_finds(pigs: usize, findings: usize, taken: usize) -> f64 {
    let left = pigs.saturating_sub(taken);
    let missed = |i: usize| left.saturating_sub(i) as f64 / (pigs - i) as f64;
    1.0 - (0..findings.min(pigs)).map(missed).product::<f64>()
}

/// Simulates the study areas and counts.
///
/// # Errors
/// [`ScenarioError`] when a value is not possible.
///
/// # Cost
/// About a second a study area of 2000 pigs and a core.
pub(crate) fn power(question: &PowerQuestion, progress: &(dyn Fn() + Sync)) -> Result<Power, ScenarioError> {
    let most = question.sizes.iter().copied().max().unwrap_or(0);
    let counts: Vec<(usize, usize, usize)> = (0..question.study_areas as u64)
        .into_par_iter()
        .map(|k| {
            let counted = findings(question, most, question.seed.wrapping_add(k))?;
            progress();
            Ok(counted)
        })
        .collect::<Result<_, ScenarioError>>()?;
    let n = counts.len() as f64;
    let shares = |size: usize, findings: &dyn Fn(&(usize, usize, usize)) -> usize| -> (f64, Option<f64>) {
        let each: Vec<f64> = counts.iter().map(|c| part_finds(c.0, findings(c), size)).collect();
        let mean = each.iter().sum::<f64>() / n;
        let variance = each.iter().map(|p| (p - mean).powi(2)).sum::<f64>() / (n - 1.0);
        (mean, (counts.len() > 1).then(|| (variance / n).sqrt()))
    };
    let rows = question
        .sizes
        .iter()
        .map(|&pigs| {
            let (found, found_se) = shares(pigs, &|c| c.1);
            let (confirmed, confirmed_se) = shares(pigs, &|c| c.2);
            PowerRow { pigs, found, found_se, confirmed, confirmed_se }
        })
        .collect();
    Ok(Power {
        question: question.clone(),
        rows,
        findings_mean: counts.iter().map(|c| c.1 as f64).sum::<f64>() / n,
        study_areas_without_finding: counts.iter().filter(|c| c.1 == 0).count(),
    })
}

/// Pigs, lesioned infected ones, and confirmed ones of one study area.
fn findings(
    question: &PowerQuestion,
    pigs: usize,
    seed: u64,
) -> Result<(usize, usize, usize), ScenarioError> {
    let mut scenario = Scenario {
        pigs_target: pigs,
        sentinels: 0,
        years: question.years,
        extent_km: question.extent_km,
        ..Scenario::fresh(seed)
    };
    scenario.check()?;
    let land = Land::draw(&scenario)?;
    let mut rng = stream(seed, Stream::Foci);
    let weights = land.hexes.iter().map(|h| h.cover.focus_weight());
    let centre = land.hexes[pick(&mut rng, weights).unwrap_or(0)].centre;
    let (_, end) = study_days(&scenario);
    scenario.foci = Some(vec![Focus {
        id: "F1".into(),
        easting_m: centre.x,
        northing_m: centre.y,
        radius_m: question.radius_m,
        peak_per_year: question.force_of_infection_per_year,
        start_day: end - question.present_years * DAYS_PER_YEAR,
        // At full strength at once: the question is of a focus of that strength, present that long.
        growth_years: 1e-6,
        decline: None,
    }]);
    let area = simulate(&scenario)?;
    let seen = |p: &&crate::simulate::examine::SimulatedPig| {
        p.gross_lesion && !p.truth.other_cause && p.truth.infection.is_some()
    };
    let found = area.pigs.iter().filter(seen).count();
    let confirmed = area.pigs.iter().filter(seen).filter(|p| p.is_confirmed()).count();
    Ok((area.pigs.len(), found, confirmed))
}

impl fmt::Display for Power {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let q = &self.question;
        writeln!(
            f,
            "Probability that a study finds a focus of {} infections per pig-year at its centre, radius {} \
             m (s.d.), \
             there for the last {} of {} years of records",
            q.force_of_infection_per_year, q.radius_m, q.present_years, q.years
        )?;
        writeln!(
            f,
            "{} simulated study areas of {} km; the largest study found {:.1} infected pigs on average, \
             none in {}",
            q.study_areas, q.extent_km, self.findings_mean, self.study_areas_without_finding
        )?;
        writeln!(
            f,
            "  {:>8} {:>12} {:>18} {:>24}",
            "pigs", "pigs a year", "found (s.e.)", "and confirmed (s.e.)"
        )?;
        let figure = |p: f64, se: Option<f64>| match se {
            Some(se) => format!("{p:.2} ({se:.2})"),
            None => format!("{p:.2}"),
        };
        for r in &self.rows {
            let yearly = r.pigs as f64 / f64::from(q.years);
            let (found, confirmed) = (figure(r.found, r.found_se), figure(r.confirmed, r.confirmed_se));
            writeln!(f, "  {:>8} {yearly:>12.0} {found:>18} {confirmed:>24}", r.pigs)?;
        }
        Ok(())
    }
}
