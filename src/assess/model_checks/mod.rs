//! Does the model fit these records? Posterior predictive checks, and the records that surprise most.
//!
//! | question | file |
//! | --- | --- |
//! | how likely is an infection that shows, sample by sample? | [`visible`](mod@visible) |
//! | which heads go to the laboratory? | [`practice`] |
//! | what would one hazard everywhere say? | [`constant`] |

pub(crate) mod constant;
pub(crate) mod practice;
pub(crate) mod visible;

use crate::assess::model_checks::practice::Practice;
use crate::assess::model_checks::visible::visible;
use crate::geography::area_shares::area_of;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::kernel::detection::unconfirmed_p_true;
use crate::kernel::exposure::{AGE_CLASSES_MONTHS, age_class_weights};
use crate::numerics::poisson_binomial;
use crate::records::{Age, Pig};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Most draws used, spread evenly over all.
pub(crate) const MOST_SAMPLES: usize = 200;
/// Chance with which a model that fits would be called one that does not, over all comparisons together.
pub(crate) const FALSE_ALARM: f64 = 0.05;
/// Number of records named as the most surprising.
pub(crate) const MOST_SURPRISING: usize = 5;

/// Whose positives are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// All pigs.
    All,
    /// A class of [`AGE_CLASSES_MONTHS`] by the middle of the age interval, the last one open; `None`: age
    /// unknown.
    Age(Option<usize>),
    /// Killed in a zone, an index of the records; `None`: outside all zones.
    Area(Option<usize>),
    /// Killed in a calendar year.
    Year(i16),
}

/// Positives counted in one group against what the model predicts.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The group.
    pub group: Group,
    /// Pigs in it.
    pub pigs: usize,
    /// Positive or suspect among them.
    pub observed: usize,
    /// Predicted mean.
    pub mean: f64,
    /// 5 and 95 % points of the predicted number.
    pub interval: [usize; 2],
    /// P(more than observed) + ½ P(as many): near 0 there are too many positives, near 1 too few.
    pub p: f64,
    /// min(1, m · 2 min(p, 1 − p)), m the comparisons with as small a two-sided p or a larger one (Holm).
    pub p_all: f64,
}

impl Comparison {
    /// Two-sided p value by itself: 2 min(p, 1 − p).
    pub fn two_sided(&self) -> f64 {
        2.0 * self.p.min(1.0 - self.p)
    }
    /// Whether the model does not fit here, all comparisons allowed for.
    pub fn misfit(&self) -> bool {
        self.p_all < FALSE_ALARM
    }
}

/// One record against what the other records say of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecordFit {
    /// Probability that it reads positive, given all records.
    pub p_positive: f64,
    /// The same given the other records (by weights; approximate).
    pub p_positive_others: f64,
    /// Whether it does.
    pub positive: bool,
}

impl RecordFit {
    /// Probability of what was read, given the other records.
    pub fn p_reading(&self) -> f64 {
        if self.positive { self.p_positive_others } else { 1.0 - self.p_positive_others }
    }
}

/// A record among the most surprising.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surprise {
    /// Index among the study's pigs.
    pub pig: usize,
    /// Records that read the same and are as surprising or more, this one included.
    pub found: usize,
    /// How many of those are expected if the model holds.
    pub expected: f64,
}

/// How well the model fits the records.
#[derive(Debug, Clone, PartialEq)]
pub struct ModelChecks {
    /// Draws used.
    pub samples: usize,
    /// Counts compared: all, by age, by area, by year. Groups without pigs are left out.
    pub comparisons: Vec<Comparison>,
    /// One entry a pig.
    pub records: Vec<RecordFit>,
    /// The most surprising records, the most surprising first.
    pub surprising: Vec<Surprise>,
    /// Pigs whose lesion the laboratory did not confirm: index, probability of being infected all the same.
    pub unconfirmed: Vec<(usize, f64)>,
}

impl ModelChecks {
    /// Comparisons the model does not fit, the gravest first.
    pub fn misfits(&self) -> Vec<&Comparison> {
        let mut out: Vec<&Comparison> = self.comparisons.iter().filter(|c| c.misfit()).collect();
        out.sort_by(|a, b| a.two_sided().total_cmp(&b.two_sided()));
        out
    }
    /// Comparisons whose two-sided p lies under 0.05 by itself; one in twenty does by chance.
    pub fn small_by_itself(&self) -> usize {
        self.comparisons.iter().filter(|c| c.two_sided() < 0.05).count()
    }
}

/// Checks the fit.
///
/// # Formula
/// ```text
/// P(reads positive)_i = f_i + (1 − f_i) Se_i Q_i, draw by draw;  T = Σ_group, Poisson binomial in each draw
/// p = mean over samples of P(T > observed) + ½ P(T = observed)
/// ```
/// The replicated outcomes are not drawn but summed over exactly. Given the other records, a chance is the
/// mean over draws with weights 1/P(reading), each at most √n times their mean.
/// # Assumes
/// The records were used for the fit, so p values crowd about ½: an alarm is believed, its absence proves
/// little, least of all area by area, where the map bends to the records.
/// # Source
/// Posterior predictive p values: Gelman, Meng & Stern (1996), *Statistica Sinica* 6; mid-p: Lancaster
/// (1961); several comparisons: Holm (1979); weights: Gelfand, Dey & Chang (1992), truncated as in Ionides
/// (2008) (from memory).
pub(crate) fn fit(layout: &Layout, posterior: &Posterior) -> ModelChecks {
    let pigs = &layout.records.pigs;
    let samples = posterior.samples().min(MOST_SAMPLES);
    let fields: Vec<&[f32]> =
        (0..samples).map(|d| posterior.hazard[d * posterior.samples() / samples].as_slice()).collect();
    let practice = Practice::of(pigs, &layout.study.detection);
    let classes = age_class_weights(pigs);
    let mut chances = visible(&layout.study, &layout.grid, pigs, &classes, &fields);
    let unconfirmed = unconfirmed(layout, &chances);
    let terms: Vec<(f64, f64)> = pigs.iter().map(|p| practice.terms(p)).collect();
    for draw in &mut chances {
        draw.iter_mut().zip(&terms).for_each(|(q, t)| *q = reads_positive(*t, *q));
    }
    let positive: Vec<bool> = pigs.iter().map(Pig::is_positive).collect();
    let records = records(&positive, &chances);
    let surprising = surprising(&records);
    ModelChecks {
        samples,
        comparisons: compare(&groups(layout), &positive, &chances),
        records,
        surprising,
        unconfirmed,
    }
}

/// Every unconfirmed lesion with its probability of infection, mean over samples of `visible` `[draw][pig]`.
fn unconfirmed(layout: &Layout, visible: &[Vec<f64>]) -> Vec<(usize, f64)> {
    let d = &layout.study.detection;
    let pigs = layout.records.pigs.iter().enumerate().filter(|(_, p)| p.inspection.is_unconfirmed());
    pigs.map(|(i, pig)| {
        let sum: f64 = visible.iter().map(|draw| unconfirmed_p_true(d, &pig.inspection, draw[i])).sum();
        (i, sum / visible.len() as f64)
    })
    .collect()
}

/// f + (1 − f) Se Q.
pub fn reads_positive((sensitivity, false_positive): (f64, f64), visible: f64) -> f64 {
    (false_positive + (1.0 - false_positive) * sensitivity * visible).clamp(0.0, 1.0)
}

/// Every group with its pigs, in the order of [`Group`].
pub fn groups(layout: &Layout) -> Vec<(Group, Vec<usize>)> {
    let boundaries = || layout.records.zones.iter().map(|z| &z.boundary);
    let mut out: BTreeMap<Group, Vec<usize>> = BTreeMap::new();
    for (i, pig) in layout.records.pigs.iter().enumerate() {
        let mut mine = vec![
            Group::All,
            Group::Age(age_class(pig)),
            Group::Year(crate::assess::model_checks::practice::year(pig)),
        ];
        if !layout.records.zones.is_empty() {
            mine.push(Group::Area(area_of(boundaries(), pig.easting_m, pig.northing_m)));
        }
        for group in mine {
            out.entry(group).or_default().push(i);
        }
    }
    out.into_iter().collect()
}

/// Class of a pig's age, by the middle of its interval; `None` when unknown.
pub(crate) fn age_class(pig: &Pig) -> Option<usize> {
    match pig.age {
        Age::Unknown => None,
        Age::Interval { min_months, max_months } => {
            let middle = 0.5 * (min_months + max_months);
            Some(
                AGE_CLASSES_MONTHS
                    .iter()
                    .position(|(_, high)| middle < *high)
                    .unwrap_or(AGE_CLASSES_MONTHS.len() - 1),
            )
        }
    }
}

/// Compares counts of positives with chances, group by group.
///
/// # Shapes and units
/// `positive`: one a pig; `chances`: `[draw][pig]`, at least one draw.
pub fn compare(groups: &[(Group, Vec<usize>)], positive: &[bool], chances: &[Vec<f64>]) -> Vec<Comparison> {
    let mut out: Vec<Comparison> = groups
        .par_iter()
        .filter(|(_, pigs)| !pigs.is_empty())
        .map(|(group, pigs)| {
            let observed = pigs.iter().filter(|i| positive[**i]).count();
            let by_sample: Vec<Vec<f64>> =
                chances.iter().map(|d| pigs.iter().map(|i| d[*i]).collect()).collect();
            let likely = by_sample.iter().map(|d| poisson_binomial::largest_likely(d)).max().unwrap_or(0);
            let most = likely.max(observed);
            let mut mixed = vec![0.0; most + 1];
            let mut mean = 0.0;
            let n = by_sample.len() as f64;
            for draw in &by_sample {
                mean += poisson_binomial::moments(draw).0 / n;
                for (m, p) in mixed.iter_mut().zip(poisson_binomial::probabilities(draw, most)) {
                    *m += p / n;
                }
            }
            let more: f64 = mixed[observed + 1..].iter().sum();
            let p = (more + 0.5 * mixed[observed]).clamp(0.0, 1.0);
            Comparison {
                group: *group,
                pigs: pigs.len(),
                observed,
                mean,
                interval: [quantile(&mixed, 0.05), quantile(&mixed, 0.95)],
                p,
                p_all: 1.0,
            }
        })
        .collect();
    allow_for_all(&mut out);
    out
}

/// Least k with P(T ≤ k) of at least `share`.
fn quantile(probabilities: &[f64], share: f64) -> usize {
    let mut sum = 0.0;
    probabilities
        .iter()
        .position(|p| {
            sum += p;
            sum >= share
        })
        .unwrap_or(probabilities.len() - 1)
}

/// Holm's adjusted p values over all comparisons.
fn allow_for_all(list: &mut [Comparison]) {
    let mut order: Vec<usize> = (0..list.len()).collect();
    order.sort_by(|a, b| list[*a].two_sided().total_cmp(&list[*b].two_sided()));
    let mut largest = 0.0f64;
    for (place, i) in order.iter().enumerate() {
        largest = largest.max((list.len() - place) as f64 * list[*i].two_sided()).min(1.0);
        list[*i].p_all = largest;
    }
}

/// Each record against all records, and against the others.
fn records(positive: &[bool], chances: &[Vec<f64>]) -> Vec<RecordFit> {
    let n = chances.len() as f64;
    (0..positive.len())
        .map(|i| {
            let weight = |p: f64| 1.0 / if positive[i] { p } else { 1.0 - p }.max(f64::MIN_POSITIVE);
            let mean_weight = chances.iter().map(|d| weight(d[i])).sum::<f64>() / n;
            let (mut sum, mut weights) = (0.0, 0.0);
            for draw in chances {
                let w = weight(draw[i]).min(n.sqrt() * mean_weight);
                sum += w * draw[i];
                weights += w;
            }
            RecordFit {
                p_positive: chances.iter().map(|d| d[i]).sum::<f64>() / n,
                p_positive_others: sum / weights,
                positive: positive[i],
            }
        })
        .collect()
}

/// The records of lowest probability given the others, each with how many such there are and should be.
fn surprising(records: &[RecordFit]) -> Vec<Surprise> {
    let mut order: Vec<usize> = (0..records.len()).collect();
    order.sort_by(|a, b| records[*a].p_reading().total_cmp(&records[*b].p_reading()).then(a.cmp(b)));
    order.truncate(MOST_SURPRISING);
    order
        .into_iter()
        .map(|pig| {
            let r = &records[pig];
            // Chance of the same reading, of every pig of which it would surprise as much.
            let chance =
                |x: &RecordFit| if r.positive { x.p_positive_others } else { 1.0 - x.p_positive_others };
            let alike = records.iter().filter(|x| chance(x) <= r.p_reading());
            let found = alike.clone().filter(|x| x.positive == r.positive).count();
            Surprise { pig, found, expected: alike.map(chance).sum() }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(p: f64) -> Comparison {
        Comparison { group: Group::All, pigs: 1, observed: 0, mean: 0.0, interval: [0, 0], p, p_all: 1.0 }
    }

    /// Holm (1979) by hand: p = 0.01, 0.02, 0.04, 0.5 become 0.04, 0.06, 0.08, 0.5.
    #[test]
    fn several_comparisons_are_allowed_for_as_holm_does() {
        let mut list = [one(0.25), one(0.005), one(0.98), one(0.99)];
        allow_for_all(&mut list);
        let found: Vec<f64> = list.iter().map(|c| c.p_all).collect();
        for (a, b) in found.iter().zip([0.5, 0.04, 0.08, 0.06]) {
            assert!((a - b).abs() < 1e-12, "{found:?}");
        }
    }

    /// Two draws, three pigs, by hand.
    #[test]
    fn a_count_is_compared_with_the_mixture_over_samples() {
        let chances = [vec![0.5, 0.5, 0.0], vec![0.0, 1.0, 0.0]];
        let c = &compare(&[(Group::All, vec![0, 1, 2])], &[true, true, false], &chances)[0];
        // P(T = 2) is 1/4 in the first draw and 0 in the second.
        assert_eq!((c.observed, c.mean, c.p, c.interval), (2, 1.0, 0.0625, [0, 2]));
        let c = &compare(&[(Group::All, vec![0, 1, 2])], &[false, true, false], &chances)[0];
        // P(T = 1) is ½ and 1.
        assert_eq!(c.p, 0.125 + 0.375);
    }

    /// With one draw nothing is left out: both chances are the draw's own.
    #[test]
    fn a_surprising_record_is_named_with_how_many_such_are_expected() {
        let chances = [vec![0.01, 0.02, 0.5, 0.9]];
        let found = records(&[false, true, true, true], &chances);
        let named = surprising(&found);
        assert_eq!(named[0].pig, 1);
        assert!((named[0].expected - 0.03).abs() < 1e-12 && named[0].found == 1, "{named:?}");
        // Weights by hand: 1/0.1 and 1/0.2 give (0.1·10 + 0.2·5)/15.
        let others = |chances: [f64; 2]| records(&[true], &chances.map(|c| vec![c]))[0].p_positive_others;
        assert!((others([0.1, 0.2]) - 2.0 / 15.0).abs() < 1e-12);
        // 1/0.1 is more than √2 times the mean of 10 and 2.5: 8.8388 stands in its place.
        assert!((others([0.1, 0.4]) - 0.166_144_36).abs() < 1e-8, "{}", others([0.1, 0.4]));
    }
}
