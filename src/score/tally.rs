//! Counting how good probabilities and intervals are; counts add up over study areas.

use serde::{Deserialize, Serialize};

/// Area under the receiver operating characteristic: P(score of a case > score of a non-case), ties half.
///
/// `None` unless there is at least one case and one non-case.
///
/// # Source
/// The Mann-Whitney form, Hanley & McNeil 1982, Radiology 143:29-36.
///
/// ```
/// // scikit-learn documentation, roc_auc_score, first example: 0.75.
/// let auc = pignut::internals::score::tally::auc(&[false, false, true, true], &[0.1, 0.4, 0.35, 0.8]);
/// assert_eq!(auc, Some(0.75));
/// ```
pub fn auc(cases: &[bool], scores: &[f64]) -> Option<f64> {
    let mut order: Vec<usize> = (0..scores.len().min(cases.len())).collect();
    order.sort_by(|&a, &b| scores[a].total_cmp(&scores[b]));
    let (mut below, mut wins, mut positive) = (0.0, 0.0, 0.0);
    let mut i = 0;
    while i < order.len() {
        let mut j = i;
        while j < order.len() && scores[order[j]] == scores[order[i]] {
            j += 1;
        }
        let tied_cases = order[i..j].iter().filter(|&&k| cases[k]).count() as f64;
        let tied_others = (j - i) as f64 - tied_cases;
        wins += tied_cases * (below + 0.5 * tied_others);
        below += tied_others;
        positive += tied_cases;
        i = j;
    }
    (positive > 0.0 && below > 0.0).then(|| wins / (positive * below))
}

/// How often something held: a share with its counts.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Count {
    /// Nominal level, 0 to 1 (of an interval or an area).
    pub level: f64,
    /// How often the truth lay inside; a boundary cell counts by its share.
    pub inside: f64,
    /// Out of how many.
    pub of: u64,
}

impl Count {
    /// Nothing counted yet.
    pub fn at(level: f64) -> Count {
        Count { level, inside: 0.0, of: 0 }
    }
    /// Counts one case, inside by `share` (1 fully, 0 not).
    pub fn add(&mut self, share: f64) {
        self.inside += share;
        self.of += 1;
    }
    /// Observed share; `None` when nothing was counted.
    pub fn share(&self) -> Option<f64> {
        (self.of > 0).then(|| self.inside / self.of as f64)
    }
    /// Adds the counts of another study area.
    pub fn merge(&mut self, other: &Count) {
        self.inside += other.inside;
        self.of += other.of;
    }
}

/// IntervalCoverage of central intervals at 50, 90 and 95 %.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct IntervalCoverage {
    /// The 50 % interval.
    pub half: Count,
    /// The 90 % interval.
    pub ninety: Count,
    /// The 95 % interval.
    pub ninety_five: Count,
}

impl Default for IntervalCoverage {
    fn default() -> Self {
        IntervalCoverage { half: Count::at(0.5), ninety: Count::at(0.9), ninety_five: Count::at(0.95) }
    }
}

impl IntervalCoverage {
    /// Counts one truth against `[q025, q05, q25, q75, q95, q975]`, ends included.
    pub fn add(&mut self, truth: f64, quantiles: &[f64; 6]) {
        let inside = |low: usize, high: usize| {
            f64::from(u8::from(quantiles[low] <= truth && truth <= quantiles[high]))
        };
        self.half.add(inside(2, 3));
        self.ninety.add(inside(1, 4));
        self.ninety_five.add(inside(0, 5));
    }
    /// The three counts, narrowest first.
    pub fn levels(&self) -> [Count; 3] {
        [self.half, self.ninety, self.ninety_five]
    }
    /// Adds the counts of another study area.
    pub fn merge(&mut self, other: &IntervalCoverage) {
        self.half.merge(&other.half);
        self.ninety.merge(&other.ninety);
        self.ninety_five.merge(&other.ninety_five);
    }
}

/// Edges of the reliability bins; finer at the ends, where most cells lie.
pub(crate) const BIN_EDGES: [f64; 11] = [0.0, 0.01, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.0];

/// One bin of a reliability table.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct ReliabilityBin {
    /// Lower edge, included.
    pub from: f64,
    /// Upper edge, excluded (included in the last bin).
    pub to: f64,
    /// Cells in the bin.
    pub cells: u64,
    /// Sum of their probabilities.
    pub prob_sum: f64,
    /// How many of them were truly active.
    pub active: u64,
}

impl ReliabilityBin {
    /// Mean probability stated; `None` for an empty bin.
    pub fn mean_prob(&self) -> Option<f64> {
        (self.cells > 0).then(|| self.prob_sum / self.cells as f64)
    }
    /// Share truly active; `None` for an empty bin.
    pub fn active_share(&self) -> Option<f64> {
        (self.cells > 0).then(|| self.active as f64 / self.cells as f64)
    }
}

/// Sorts probabilities into the bins of [`BIN_EDGES`].
pub(crate) fn reliability(active: &[bool], probs: &[f64]) -> Vec<ReliabilityBin> {
    let mut bins: Vec<ReliabilityBin> = BIN_EDGES
        .windows(2)
        .map(|e| ReliabilityBin { from: e[0], to: e[1], ..ReliabilityBin::default() })
        .collect();
    for (&a, &p) in active.iter().zip(probs) {
        let k = BIN_EDGES[1..BIN_EDGES.len() - 1].partition_point(|&edge| edge <= p);
        bins[k].cells += 1;
        bins[k].prob_sum += p;
        bins[k].active += u64::from(a);
    }
    bins
}

/// Mean distance between stated probability and observed share over the bins, weighted by cells; `None`
/// without cells.
pub(crate) fn calibration_error(bins: &[ReliabilityBin]) -> Option<f64> {
    let cells: u64 = bins.iter().map(|b| b.cells).sum();
    let gap: f64 = bins.iter().map(|b| (b.prob_sum - b.active as f64).abs()).sum();
    (cells > 0).then(|| gap / cells as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slow obvious count over all pairs.
    #[test]
    fn auc_is_the_share_of_pairs() {
        let scores: Vec<f64> = (0..60).map(|i| f64::from(i * 37 % 23)).collect();
        let cases: Vec<bool> = (0..60).map(|i| i * 11 % 7 < 3).collect();
        let (mut wins, mut pairs) = (0.0, 0.0);
        for i in (0..60).filter(|&i| cases[i]) {
            for j in (0..60).filter(|&j| !cases[j]) {
                pairs += 1.0;
                wins += if scores[i] > scores[j] {
                    1.0
                } else if scores[i] == scores[j] {
                    0.5
                } else {
                    0.0
                };
            }
        }
        assert!((auc(&cases, &scores).unwrap() - wins / pairs).abs() < 1e-12);
        assert_eq!(auc(&[true, true], &[0.1, 0.2]), None);
    }

    #[test]
    fn bins_hold_every_cell_once() {
        let probs = [0.0, 0.01, 0.5, 0.95, 1.0, 0.049];
        let bins = reliability(&[false, false, true, true, true, false], &probs);
        assert_eq!(bins.iter().map(|b| b.cells).collect::<Vec<_>>(), [1, 2, 0, 0, 0, 0, 1, 0, 0, 2]);
        let gap = (0.0 + 0.059 + 0.5 + 0.05) / 6.0;
        assert!((calibration_error(&bins).unwrap() - gap).abs() < 1e-12);
    }
}
