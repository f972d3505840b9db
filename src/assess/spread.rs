//! A distribution in a mean and seven quantiles.

/// Probabilities at which distributions are reported, in order.
pub(crate) const QUANTILES: [f64; 7] = [0.025, 0.05, 0.25, 0.5, 0.75, 0.95, 0.975];

/// A mean and seven quantiles.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Spread {
    /// Posterior mean.
    pub mean: f64,
    /// Quantiles at [`QUANTILES`].
    pub q: [f64; 7],
}

impl Spread {
    /// Of a set of samples, which is reordered in place.
    pub fn of(samples: &mut [f32]) -> Spread {
        let n = samples.len();
        let mean = samples.iter().map(|v| f64::from(*v)).sum::<f64>() / n as f64;
        let at = QUANTILES.map(|p| (n - 1) as f64 * p);
        let below = |h: f64| (h.floor() as usize, (h.floor() as usize + 1).min(n - 1));
        let mut ranks: Vec<usize> = at.iter().flat_map(|h| <[usize; 2]>::from(below(*h))).collect();
        ranks.sort_unstable();
        ranks.dedup();
        put_in_rank(samples, 0, &ranks);
        let q = at.map(|h| {
            let (i, j) = below(h);
            let (a, b) = (f64::from(samples[i]), f64::from(samples[j]));
            a + (h - i as f64) * (b - a)
        });
        Spread { mean, q }
    }
    /// Median.
    pub fn median(&self) -> f64 {
        self.q[3]
    }
    /// 5 % quantile.
    pub fn q05(&self) -> f64 {
        self.q[1]
    }
    /// 95 % quantile.
    pub fn q95(&self) -> f64 {
        self.q[5]
    }
}

/// Reorders samples so that those of some ranks (rising, counted from `first`) stand where sorting would put
/// them.
pub(crate) fn put_in_rank(samples: &mut [f32], first: usize, ranks: &[usize]) {
    let Some(&middle) = ranks.get(ranks.len() / 2) else { return };
    let (low, _, high) = samples.select_nth_unstable_by(middle - first, f32::total_cmp);
    let (before, after) = ranks.split_at(ranks.len() / 2);
    put_in_rank(low, first, before);
    put_in_rank(high, middle + 1, &after[1..]);
}

/// A quantile of a piecewise-uniform distribution over days.
///
/// `pieces`: (from, to, mass) in any order, day numbers; `None` when there is no mass.
pub(crate) fn day_quantile(pieces: &[(f64, f64, f64)], p: f64) -> Option<f64> {
    let mut edges: Vec<f64> = pieces.iter().flat_map(|(a, b, _)| [*a, *b]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let total: f64 = pieces.iter().map(|(_, _, m)| m).sum();
    if !(total > 0.0) {
        return None;
    }
    // Mass between neighbouring edges; pieces may overlap (several lives of one pig).
    let mut between = vec![0.0; edges.len().saturating_sub(1)];
    for (a, b, m) in pieces {
        let first = edges.partition_point(|e| e < a);
        for k in first..between.len() {
            if edges[k] >= *b {
                break;
            }
            between[k] += m * (edges[k + 1] - edges[k]) / (b - a);
        }
    }
    let mut left = p * total;
    for (k, m) in between.iter().enumerate() {
        if left <= *m && *m > 0.0 {
            return Some(edges[k] + (edges[k + 1] - edges[k]) * (left / m));
        }
        left -= m;
    }
    edges.last().copied()
}

/// Pieces, which may overlap, as neighbouring steps: (from day, to day, probability per day).
pub(crate) fn steps(pieces: &[(f64, f64, f64)]) -> Vec<(f64, f64, f64)> {
    let mut edges: Vec<f64> = pieces.iter().flat_map(|(a, b, _)| [*a, *b]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    edges
        .windows(2)
        .map(|e| {
            let mid = 0.5 * (e[0] + e[1]);
            let height =
                pieces.iter().filter(|(a, b, _)| *a < mid && mid < *b).map(|(a, b, m)| m / (b - a)).sum();
            (e[0], e[1], height)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_overlapping_pieces() {
        let pieces = [(0.0, 10.0, 1.0), (5.0, 10.0, 1.0)];
        assert_eq!(day_quantile(&pieces, 0.0), Some(0.0));
        assert_eq!(day_quantile(&pieces, 0.25), Some(5.0));
        assert!((day_quantile(&pieces, 1.0).unwrap() - 10.0).abs() < 1e-12);
        assert_eq!(day_quantile(&[], 0.5), None);
        let mut samples: Vec<f32> = (0..101).map(|i| i as f32).rev().collect();
        let s = Spread::of(&mut samples);
        assert_eq!((s.mean, s.median(), s.q05()), (50.0, 50.0, 5.0));
    }

    /// The seven quantiles of a list put in order by the standard library.
    #[test]
    fn quantiles_do_not_ask_for_sorted_samples() {
        for n in [1usize, 2, 3, 7, 40, 801] {
            // Repeated values and negative ones among them.
            let mut samples: Vec<f32> = (0..n).map(|i| ((i * 7919) % 101) as f32 * 0.25 - 3.0).collect();
            let mut sorted = samples.clone();
            sorted.sort_unstable_by(f32::total_cmp);
            let s = Spread::of(&mut samples);
            for (q, p) in s.q.iter().zip(QUANTILES) {
                let h = (n - 1) as f64 * p;
                let (i, part) = (h.floor() as usize, h.fract());
                let (a, b) = (f64::from(sorted[i]), f64::from(sorted[(i + 1).min(n - 1)]));
                assert_eq!(*q, a + part * (b - a), "{n} {p}");
            }
        }
    }
}
