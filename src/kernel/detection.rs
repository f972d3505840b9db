//! How well an inspection sees infection, and how a lesion becomes visible with time.

use crate::record::{DAYS_PER_MONTH, DAYS_PER_YEAR, Inspection, LabMethod, LabResult, NodePair, Pig, Reading};
use crate::study::Detection;

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
/// use pignut::{kernel::detection::pair_share, record::NodePair::*, study::Detection};
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
/// knife only:            Se = Se_gross · share(pairs),             f = false_lesion
/// laboratory on lesion:  Se = Se_gross · share · Se_lab,           f = false_lab
/// laboratory, knife not recorded: Se = Se_lab · share,    f = false_lab
/// laboratory, no lesion: Se = 1 − (1 − Se_gross · share)(1 − Se_lab · share), f = false_lab
/// ```
/// A pending test counts as not done. Inputs, never fitted: they scale the hazard.
/// # Source
/// Series and parallel combination of tests, common practice; values in [`Detection`]. Knife and
/// laboratory are taken to err independently given the lesion (own choice: small lesions escape both,
/// so the parallel figure is an upper one).
pub fn protocol(d: &Detection, inspection: &Inspection) -> Protocol {
    let share = pair_share(d, inspection.node_pairs.as_deref(), &inspection.one_sided);
    let gross = d.gross_sensitivity * share;
    let answered = matches!(inspection.lab_result, Some(LabResult::Positive | LabResult::Negative));
    if !answered {
        return Protocol { sensitivity: gross, false_positive: d.false_lesion };
    }
    let lab = match inspection.lab_method {
        Some(LabMethod::Culture) | None => d.culture_sensitivity,
        Some(LabMethod::Pcr) => d.pcr_sensitivity,
        Some(LabMethod::Histology) => d.histology_sensitivity,
    };
    let sensitivity = match inspection.gross_lesion {
        Some(false) => 1.0 - (1.0 - gross) * (1.0 - lab * share),
        Some(true) => gross * lab,
        None => lab * share,
    };
    Protocol { sensitivity, false_positive: d.false_lab }
}

/// The likelihood of a pig's reading as a + b·Q, Q the probability of infection with a visible lesion.
///
/// # Formula
/// ```text
/// p = f + (1 − f) Se Q;   positive: (a, b) = (f, (1 − f) Se);   clear: (a, b) = (1 − f, −(1 − f) Se)
/// ```
pub fn reading_terms(d: &Detection, pig: &Pig) -> (f64, f64) {
    let Protocol { sensitivity, false_positive: f } = protocol(d, &pig.inspection);
    match pig.reading {
        Reading::Clear => (1.0 - f, -(1.0 - f) * sensitivity),
        Reading::Confirmed | Reading::Suspect => (f, (1.0 - f) * sensitivity),
    }
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
    /// use pignut::{kernel::detection::Ramp, record::DAYS_PER_MONTH, study::Detection};
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
