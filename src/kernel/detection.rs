//! How well an inspection sees infection, and how a lesion becomes visible with time.

use crate::records::{DAYS_PER_MONTH, DAYS_PER_YEAR, Inspection, LabMethod, LabResult, NodePair, Pig};
use crate::study::model_keys::Detection;

/// Sensitivity and false-positive probability of what was done to one pig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Protocol {
    /// P(reads positive | infected, lesion fully developed).
    pub sensitivity: f64,
    /// P(reads positive | not infected).
    pub false_positive: f64,
}

/// Share of the all-pairs sensitivity that a set of node pairs keeps.
///
/// # Formula
/// ```text
/// (1 − Π_{opened}(1 − o_j s_j)) / (1 − Π_{all}(1 − s_j))
/// ```
/// s_j the study's share for pair j, pairs taken as independent (own choice: published studies give
/// single-pair counts only); o_j = 1, or `one_side_share` for a pair in `one_sided`. Not recorded:
/// `unrecorded_share`.
/// # Example
/// ```
/// use pignut::internals::kernel::detection::pair_share;
/// use pignut::internals::records::NodePair::*;
/// use pignut::internals::study::model_keys::Detection;
/// let d = Detection::default();
/// assert_eq!(pair_share(&d, Some(&[Parotid, Mandibular, Retropharyngeal]), &[]), 1.0);
/// let all = 1.0 - 0.1 * 0.55 * 0.85;
/// assert!((pair_share(&d, Some(&[Mandibular]), &[]) - 0.9 / all).abs() < 1e-12);
/// assert!((pair_share(&d, Some(&[Mandibular]), &[Mandibular]) - 0.75 * 0.9 / all).abs() < 1e-12);
/// ```
pub fn pair_share(d: &Detection, pairs: Option<&[NodePair]>, one_sided: &[NodePair]) -> f64 {
    let Some(pairs) = pairs else {
        return d.unrecorded_share;
    };
    let share = |p: &NodePair| match p {
        NodePair::Mandibular => d.mandibular_share,
        NodePair::Retropharyngeal => d.retropharyngeal_share,
        NodePair::Parotid => d.parotid_share,
    };
    let all = [NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal];
    let sides = |p: &NodePair| if one_sided.contains(p) { d.one_side_share } else { 1.0 };
    let best = 1.0 - all.iter().map(|p| 1.0 - share(p)).product::<f64>();
    let opened = all.iter().filter(|p| pairs.contains(p));
    let seen = 1.0 - opened.map(|p| 1.0 - sides(p) * share(p)).product::<f64>();
    if best > 0.0 { seen / best } else { 0.0 }
}

/// Sensitivity and false-positive probability of an inspection.
///
/// # Formula
/// ```text
/// gross only:            Se = Se_gross · share(pairs),             f = false_lesion
/// laboratory on lesion:  Se = Se_gross · share · Se_lab,           f = false_lab
/// laboratory, gross not recorded: Se = Se_lab · share,    f = false_lab
/// laboratory, no lesion: Se = 1 − (1 − Se_gross · share)(1 − Se_lab · share), f = false_lab
/// ```
/// A pending test counts as not done. Inputs, never fitted: they scale the hazard.
/// # Source
/// Series and parallel combination of tests, common practice; values in [`Detection`]. Gross inspection and
/// laboratory are taken to err independently given the lesion (own choice: small lesions escape both,
/// so the parallel figure is an upper one).
pub fn protocol(d: &Detection, inspection: &Inspection) -> Protocol {
    let share = pair_share(d, inspection.node_pairs.as_deref(), &inspection.one_sided);
    let gross = d.gross_sensitivity * share;
    let answered = matches!(inspection.lab_result, Some(LabResult::Positive | LabResult::Negative));
    if !answered {
        return Protocol { sensitivity: gross, false_positive: d.false_lesion };
    }
    let lab = lab_sensitivity(d, inspection.lab_method);
    let sensitivity = match inspection.gross_lesion {
        Some(false) => 1.0 - (1.0 - gross) * (1.0 - lab * share),
        Some(true) => gross * lab,
        None => lab * share,
    };
    Protocol { sensitivity, false_positive: d.false_lab }
}

/// Sensitivity of the laboratory given a sample that holds infection, by the method used.
pub fn lab_sensitivity(d: &Detection, method: Option<LabMethod>) -> f64 {
    match method {
        Some(LabMethod::Culture) | None => d.culture_sensitivity,
        Some(LabMethod::Pcr) => d.pcr_sensitivity,
        Some(LabMethod::Histology) => d.histology_sensitivity,
    }
}

/// The likelihood of what was found in a pig as a + b·Q, Q the probability of infection with a visible
/// lesion.
///
/// # Formula
/// ```text
/// lesion, no answer            f_K + (1 − f_K) g Q
/// lesion, laboratory positive  g l Q + (1 − g Q) f_L
/// lesion, laboratory negative  g (1 − l) Q + (1 − g Q) (f_K − f_L)
/// no lesion, no answer         (1 − f_K) (1 − g Q)
/// no lesion, positive          (1 − f_K) [(1 − g) l s Q + (1 − Q) f_L]
/// no lesion, negative          (1 − f_K) [1 − g Q − (1 − g) l s Q − (1 − Q) f_L]
/// laboratory alone, positive   f_L + (1 − f_L) l s Q;   negative: the rest
/// ```
/// g = gross inspection, s = share of the pairs opened, l = laboratory, f_K = `false_lesion`, f_L =
/// `false_lab`. What can be found in a head of which one thing or another is done adds up to 1; whether a
/// head is sent depends on the lesion alone, so that chance drops out. A lesion that the laboratory does not
/// confirm is an outcome of its own, and may support infection: the laboratory misses some.
/// # Source
/// The law of total probability on the terms of [`protocol`]; gross inspection and laboratory err
/// independently given the lesion.
pub fn reading_terms(d: &Detection, pig: &Pig) -> (f64, f64) {
    let i = &pig.inspection;
    let share = pair_share(d, i.node_pairs.as_deref(), &i.one_sided);
    let gross = d.gross_sensitivity * share;
    let (lesion, false_lab) = (d.false_lesion, d.false_lab);
    let lab = lab_sensitivity(d, i.lab_method);
    let answer = match i.lab_result {
        Some(LabResult::Positive) => Some(true),
        Some(LabResult::Negative) => Some(false),
        Some(LabResult::Pending) | None => None,
    };
    match (i.gross_lesion, answer) {
        (Some(true), Some(true)) => (false_lab, gross * (lab - false_lab)),
        (Some(true), Some(false)) => {
            let other = (lesion - false_lab).max(0.0);
            (other, gross * (1.0 - lab - other))
        }
        (Some(true), None) => (lesion, (1.0 - lesion) * gross),
        (Some(false), Some(positive)) => {
            let (a, b) = (false_lab, (1.0 - gross) * lab * share - false_lab);
            let (a, b) = if positive { (a, b) } else { (1.0 - a, -gross - b) };
            ((1.0 - lesion) * a, (1.0 - lesion) * b)
        }
        (None, Some(positive)) => {
            let (a, b) = (false_lab, (1.0 - false_lab) * lab * share);
            if positive { (a, b) } else { (1.0 - a, -b) }
        }
        (Some(false) | None, None) => (1.0 - lesion, -(1.0 - lesion) * gross),
    }
}

/// Probability that a pig whose lesion the laboratory did not confirm is infected all the same.
///
/// # Formula
/// g (1 − l) Q over the likelihood of that outcome ([`reading_terms`]).
/// # Example
/// ```
/// use pignut::internals::kernel::detection::unconfirmed_p_true;
/// use pignut::internals::records::{Inspection, NodePair::*};
/// use pignut::internals::study::model_keys::Detection;
/// let all = Some(vec![Parotid, Mandibular, Retropharyngeal]);
/// let head = Inspection { node_pairs: all, ..Inspection::default() };
/// // All pairs, culture: 0.76·0.18·0.05 = 0.00684 against (1 − 0.038)·0.0057 = 0.00548 of another cause.
/// let p = unconfirmed_p_true(&Detection::default(), &head, 0.05);
/// assert!((p - 0.00684 / (0.00684 + 0.962 * 0.0057)).abs() < 1e-12);
/// ```
pub fn unconfirmed_p_true(d: &Detection, inspection: &Inspection, visible: f64) -> f64 {
    let gross = d.gross_sensitivity * pair_share(d, inspection.node_pairs.as_deref(), &inspection.one_sided);
    let missed = gross * (1.0 - lab_sensitivity(d, inspection.lab_method)) * visible;
    let other = (1.0 - gross * visible) * (d.false_lesion - d.false_lab).max(0.0);
    if missed > 0.0 { missed / (missed + other) } else { 0.0 }
}

/// The lesion ramp R(τ) and its integral.
///
/// # Formula
/// ```text
/// R(τ) = 0 before lag_start, linear to 1 at lag_full, then exp(−ω(τ − lag_full))
/// ```
/// # Shapes and units
/// τ days since infection; ω per day, from `resolution_per_year`.
/// # Source
/// Nugent, Whitford & Young (2002): one of two at two months, thirteen of thirteen later.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    start: f64,
    full: f64,
    omega: f64,
}

impl Ramp {
    /// The ramp of a study.
    pub fn new(d: &Detection) -> Ramp {
        Ramp {
            start: d.lag_start_months * DAYS_PER_MONTH,
            full: d.lag_full_months * DAYS_PER_MONTH,
            omega: d.resolution_per_year / DAYS_PER_YEAR,
        }
    }

    /// R(τ), τ in days.
    pub fn at(&self, tau: f64) -> f64 {
        if tau < self.start {
            0.0
        } else if tau < self.full {
            (tau - self.start) / (self.full - self.start)
        } else {
            (-self.omega * (tau - self.full)).exp()
        }
    }

    /// ∫₀^τ R, days.
    ///
    /// # Example
    /// ```
    /// use pignut::internals::kernel::detection::Ramp;
    /// use pignut::internals::records::DAYS_PER_MONTH;
    /// use pignut::internals::study::model_keys::Detection;
    /// let r = Ramp::new(&Detection::default());
    /// // A triangle of base three months, then full: 1.5 + 2 months by month six.
    /// assert!((r.integral(6.0 * DAYS_PER_MONTH) / DAYS_PER_MONTH - 3.5).abs() < 1e-12);
    /// ```
    pub fn integral(&self, tau: f64) -> f64 {
        if tau <= self.start {
            return 0.0;
        }
        let width = self.full - self.start;
        if tau <= self.full {
            return 0.5 * (tau - self.start).powi(2) / width;
        }
        let beyond = tau - self.full;
        let tail = if self.omega > 0.0 { (1.0 - (-self.omega * beyond).exp()) / self.omega } else { beyond };
        0.5 * width + tail
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::{Age, DateSpan, Reading, Sex, Source};

    fn found(gross_lesion: Option<bool>, lab_result: Option<LabResult>) -> Pig {
        let inspection = Inspection {
            node_pairs: Some(vec![NodePair::Mandibular]),
            one_sided: Vec::new(),
            gross_lesion,
            lab_method: lab_result.map(|_| LabMethod::Pcr),
            lab_result,
        };
        Pig {
            id: "P".into(),
            source: Source { file: "p.csv".into(), row: 1 },
            easting_m: 0.0,
            northing_m: 0.0,
            position_sd_m: 40.0,
            sex: Sex::Female,
            killed: DateSpan::day(jiff::civil::date(2020, 5, 1)),
            age: Age::Unknown,
            released_on: None,
            reading: inspection.reading().unwrap_or(Reading::Clear),
            inspection,
        }
    }

    /// Whatever is done to heads, what may be found in one adds up to 1, infected or not; each is a
    /// probability.
    #[test]
    fn what_can_be_found_in_a_head_adds_up_to_one() {
        use LabResult::{Negative, Positive};
        let plans: [&[(Option<bool>, Option<LabResult>)]; 4] = [
            &[(Some(true), None), (Some(false), None)],
            &[(Some(true), Some(Positive)), (Some(true), Some(Negative)), (Some(false), None)],
            &[
                (Some(true), Some(Positive)),
                (Some(true), Some(Negative)),
                (Some(false), Some(Positive)),
                (Some(false), Some(Negative)),
            ],
            &[(None, Some(Positive)), (None, Some(Negative))],
        ];
        let d = Detection { false_lesion: 0.03, false_lab: 0.004, ..Detection::default() };
        for plan in plans {
            for q in [0.0, 0.02, 0.4, 1.0] {
                let chances: Vec<f64> = plan
                    .iter()
                    .map(|(lesion, lab)| {
                        let (a, b) = reading_terms(&d, &found(*lesion, *lab));
                        a + b * q
                    })
                    .collect();
                assert!(chances.iter().all(|p| (0.0..=1.0).contains(p)), "{plan:?} {q}: {chances:?}");
                assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-12, "{plan:?} {q}: {chances:?}");
            }
        }
    }

    /// A laboratory that misses nothing has the last word: only then is an unconfirmed lesion no sign of
    /// infection.
    #[test]
    fn an_unconfirmed_lesion_speaks_for_infection_as_far_as_the_laboratory_misses() {
        let pig = found(Some(true), Some(LabResult::Negative));
        let (a, b) = reading_terms(&Detection::default(), &pig);
        assert!(a > 0.0 && b / a > 10.0, "{a} {b}");
        let sure = Detection { pcr_sensitivity: 1.0, ..Detection::default() };
        let (a, b) = reading_terms(&sure, &pig);
        assert!(a > 0.0 && b < 0.0, "{a} {b}");
        assert_eq!(unconfirmed_p_true(&sure, &pig.inspection, 0.5), 0.0);
        // What is no lesion from another cause is infection: both add up to the likelihood.
        let d = Detection::default();
        let (a, b) = reading_terms(&d, &pig);
        let gross = d.gross_sensitivity * pair_share(&d, pig.inspection.node_pairs.as_deref(), &[]);
        for q in [0.001, 0.05, 0.9] {
            let other_cause = (1.0 - gross * q) * (d.false_lesion - d.false_lab);
            let infected = unconfirmed_p_true(&d, &pig.inspection, q) * (a + b * q);
            assert!((infected + other_cause - a - b * q).abs() < 1e-12, "{q}");
        }
    }
}
