//! What the pigs of an area say of a map made without them, against one hazard for everywhere.

use crate::assess::model_checks::constant::constant_hazard;
use crate::assess::model_checks::practice::Practice;
use crate::assess::model_checks::reads_positive;
use crate::assess::model_checks::visible::{visible, visible_at_constant};
use crate::geography::area_shares::area_of;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::kernel::exposure::age_class_weights;
use crate::kernel::likelihood::Likelihood;
use crate::pipeline::progress::AnalysisError;
use crate::pipeline::rerun_steps::{RERUN_ESS, RerunSteps, lightened};
use crate::pipeline::sample_and_assess::{pool, sample};
use crate::records::Pig;

/// One area predicted from the pigs of all other land.
#[derive(Debug, Clone, PartialEq)]
pub struct AreaScore {
    /// Index among the zones.
    pub zone: usize,
    /// Pigs killed inside, all held out.
    pub pigs: usize,
    /// Positive or suspect among them.
    pub positives: usize,
    /// Positives the map of the others expects.
    pub expected: f64,
    /// Σ_i ln P(reading i | the others).
    pub log_score: f64,
    /// The same by the constant hazard.
    pub log_score_constant: f64,
    /// Standard error of the difference of the two, from its spread over pigs; 0 for one pig.
    pub difference_se: f64,
    /// ln P(all readings together | the others).
    pub joint: f64,
    /// Number of samples of equal weight that would carry as much of that: near 1 it is a poor estimate.
    pub joint_effective_samples: f64,
    /// The constant hazard fitted to the other pigs, per year.
    pub constant_hazard: f64,
    /// Criteria the run missed: (quantity, what is missed).
    pub missed: Vec<(String, String)>,
}

impl AreaScore {
    /// What the map gains over the constant hazard, in log score; negative when it loses.
    pub fn gain(&self) -> f64 {
        self.log_score - self.log_score_constant
    }
    /// `better`, `worse`, or `alike` where the gain lies within twice its standard error.
    pub fn verdict(&self) -> &'static str {
        match self.gain() {
            g if g > 2.0 * self.difference_se => "better",
            g if g < -2.0 * self.difference_se => "worse",
            _ => "alike",
        }
    }
}

/// Every area held out in turn.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldOut {
    /// Areas with pigs, in the order of the zones.
    pub areas: Vec<AreaScore>,
    /// Areas that cannot be held out: (zone, why).
    pub left_out: Vec<(usize, &'static str)>,
    /// Warm-up and further trajectories of each chain.
    pub effort: [usize; 2],
}

/// A zone, and which pigs were killed inside.
type Inside = (usize, Vec<bool>);
/// A zone, and why it cannot be held out.
type Why = (usize, &'static str);

/// Areas that can be held out, and those that cannot.
pub(crate) fn areas(layout: &Layout) -> (Vec<Inside>, Vec<Why>) {
    let records = &layout.records;
    let boundaries = || records.zones.iter().map(|z| &z.boundary);
    let at: Vec<Option<usize>> =
        records.pigs.iter().map(|p| area_of(boundaries(), p.easting_m, p.northing_m)).collect();
    let (mut out, mut left_out) = (Vec::new(), Vec::new());
    for zone in 0..records.zones.len() {
        let inside: Vec<bool> = at.iter().map(|a| *a == Some(zone)).collect();
        match inside.iter().filter(|i| **i).count() {
            0 => left_out.push((zone, "no pig was killed in it")),
            n if n == inside.len() => left_out.push((zone, "all pigs were killed in it")),
            _ => out.push((zone, inside)),
        }
    }
    (out, left_out)
}

impl HeldOut {
    /// Holds out one area after the other.
    ///
    /// # Formula
    /// ```text
    /// log score = Σ_i ln (1/n) Σ_d P(y_i | λ_d)
    /// joint = ln (1/n) Σ_d Π_i P(y_i | λ_d),   λ_d given the others
    /// ```
    /// P(y_i | λ) as in [`crate::assess::model_checks::fit`], laboratory practice and ages of unaged pigs
    /// learnt from the others. The baseline has λ̂ of [`constant_hazard`] in place of λ_d, all else alike.
    /// # Source
    /// Log score as a proper score: Gneiting & Raftery (2007); pointwise and joint, and the standard error of
    /// a difference: Vehtari, Gelman & Gabry (2017) (from memory).
    pub(crate) fn of(layout: &Layout, taken: usize, steps: &RerunSteps) -> Result<HeldOut, AnalysisError> {
        let light = lightened(&layout.study, taken);
        let (list, left_out) = areas(layout);
        let mut scores = Vec::with_capacity(list.len());
        for (zone, inside) in list {
            let part = |held: bool| -> Vec<Pig> {
                let pigs = layout.records.pigs.iter().zip(&inside);
                pigs.filter(|(_, i)| **i == held).map(|(p, _)| p.clone()).collect()
            };
            let held = part(true);
            let mut others = layout.clone();
            others.study = light.clone();
            others.records.pigs = part(false);
            scores.push(score(zone, &held, &others, steps)?);
        }
        Ok(HeldOut { areas: scores, left_out, effort: [light.run.warmup, light.run.trajectories] })
    }
}

/// What a posterior says of pigs it was made without, and what one hazard everywhere says of them.
pub struct Predicted {
    /// By pig and sample, P(reading | sample), practice and ages learnt from the others.
    pub chances: Vec<Vec<f64>>,
    /// By pig, P(reading) at the constant hazard.
    pub by_constant: Vec<f64>,
    /// Positives expected among them.
    pub expected: f64,
    /// The constant hazard fitted to the others, per year.
    pub constant_hazard: f64,
}

impl Predicted {
    /// By pig, ln P(reading | the others).
    pub fn log_scores(&self) -> Vec<f64> {
        self.chances.iter().map(|c| (c.iter().sum::<f64>() / c.len() as f64).ln()).collect()
    }
}

/// Pigs held out, told by the others' posterior.
///
/// # Errors
/// [`AnalysisError::Threads`].
pub fn predicted(held: &[Pig], others: &Layout, posterior: &Posterior) -> Result<Predicted, AnalysisError> {
    let (study, grid, known) = (&others.study, &others.grid, &others.records.pigs);
    let classes = age_class_weights(known);
    let practice = Practice::of(known, &study.detection);
    let terms: Vec<(f64, f64)> = held.iter().map(|p| practice.terms(p)).collect();
    let (by_sample, hazard, constant) = pool(study)?.install(|| {
        let fields: Vec<&[f32]> = posterior.hazard.iter().map(Vec::as_slice).collect();
        let by_sample = visible(study, grid, held, &classes, &fields);
        let hazard = constant_hazard(&mut Likelihood::<f64>::new(known, study, grid), grid.field_len());
        (by_sample, hazard, visible_at_constant(study, grid, held, &classes, hazard))
    });
    let chance = |i: usize, q: f64| {
        let p = reads_positive(terms[i], q);
        if held[i].is_positive() { p } else { 1.0 - p }.max(f64::MIN_POSITIVE)
    };
    let n = by_sample.len() as f64;
    let positive = |i: usize| by_sample.iter().map(|d| reads_positive(terms[i], d[i])).sum::<f64>() / n;
    Ok(Predicted {
        expected: (0..held.len()).map(positive).sum(),
        chances: (0..held.len()).map(|i| by_sample.iter().map(|d| chance(i, d[i])).collect()).collect(),
        by_constant: (0..held.len()).map(|i| chance(i, constant[i])).collect(),
        constant_hazard: hazard,
    })
}

fn score(zone: usize, held: &[Pig], others: &Layout, steps: &RerunSteps) -> Result<AreaScore, AnalysisError> {
    let (posterior, watches) = sample(others, &|step| steps.trajectory(step))?;
    let told = predicted(held, others, &posterior)?;
    let (mine, baseline) = (told.log_scores(), told.by_constant.iter().map(|p| p.ln()));
    let gains: Vec<f64> = mine.iter().zip(baseline.clone()).map(|(m, r)| m - r).collect();
    let together: Vec<f64> =
        (0..posterior.samples()).map(|d| told.chances.iter().map(|c| c[d].ln()).sum()).collect();
    let (joint, joint_effective_samples) = log_mean(&together);
    Ok(AreaScore {
        zone,
        pigs: held.len(),
        positives: held.iter().filter(|p| p.is_positive()).count(),
        expected: told.expected,
        log_score: mine.iter().sum(),
        log_score_constant: baseline.sum(),
        difference_se: standard_error_of_sum(&gains),
        joint,
        joint_effective_samples,
        constant_hazard: told.constant_hazard,
        missed: posterior.shortfalls_from(&watches, RERUN_ESS),
    })
}

/// ln of the mean of exponentials, and (Σw)²/Σw² of them.
fn log_mean(logs: &[f64]) -> (f64, f64) {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (sum, square) = logs.iter().fold((0.0, 0.0), |(s, q), l| {
        let w = (l - top).exp();
        (s + w, q + w * w)
    });
    (top + (sum / logs.len() as f64).ln(), sum * sum / square)
}

/// √(n Σ(x − x̄)²/(n − 1)): the standard error of Σx over independent pigs.
fn standard_error_of_sum(x: &[f64]) -> f64 {
    let n = x.len() as f64;
    if x.len() < 2 {
        return 0.0;
    }
    let mean = x.iter().sum::<f64>() / n;
    (n * x.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: mean of e^0 and e^(ln 3) is 2, weights 1 and 3 count as 16/10 samples.
    #[test]
    fn sums_over_samples_and_pigs_are_as_by_hand() {
        let (value, samples) = log_mean(&[-700.0, 3f64.ln() - 700.0]);
        assert!((value - (2f64.ln() - 700.0)).abs() < 1e-12 && (samples - 1.6).abs() < 1e-12);
        // 1, 2, 3: variance 1, times three pigs.
        assert!((standard_error_of_sum(&[1.0, 2.0, 3.0]) - 3f64.sqrt()).abs() < 1e-12);
    }
}
