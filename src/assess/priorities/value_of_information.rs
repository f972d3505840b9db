//! Treat now, or look first: what a sample of pigs is worth before an operation is paid for.

use crate::assess::priorities::candidates::{Candidate, Candidates, score};
use crate::assess::priorities::constraints::Constraints;
use crate::study::priorities::Priorities;
use serde::Serialize;

/// What is advised for one operation on its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// It is expected to remove more than its money would elsewhere, and a sample would hardly change that.
    Treat,
    /// A sample is worth more than it costs.
    LookFirst,
    /// It is expected to remove less than its money would elsewhere, and a sample would hardly change that.
    Leave,
}

impl Advice {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Advice::Treat => "treat",
            Advice::LookFirst => "look_first",
            Advice::Leave => "leave",
        }
    }
}

/// Value of looking before treating, in money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// What the sample is expected to gain before it is paid for.
    pub value_of_sample: f64,
    /// The same after paying for the pigs; above 0, looking first pays.
    pub net_value_of_sample: f64,
    /// What knowing the truth would be worth: no sample can be worth more.
    pub value_of_perfect_information: f64,
    /// Probability that the operation removes less than its money would elsewhere.
    pub p_better_elsewhere: f64,
    /// What follows.
    pub advice: Advice,
}

/// Active hectares that the last money at a budget removes, per unit of money.
///
/// Operations are taken in the order of their scores until one does not fit: its score is what money is worth
/// (the dual price of the budget in the relaxed program without other terms). Where the budget pays for all
/// of them it is the score of the last. `None` when nothing is worth doing.
/// # Source
/// Dantzig (1957), Operations Research 5:266-277: the fractional knapsack.
pub fn exchange(slate: &Candidates, terms: &Constraints, gain: &[f64], budget: f64) -> Option<f64> {
    let mut order: Vec<(f64, f64)> = slate
        .candidates
        .iter()
        .zip(gain)
        .zip(&terms.fixed)
        .filter(|((_, g), f)| f.allowed() && **g > 0.0)
        .filter_map(|((c, g), _)| Some((score(*g, c.cost)? / 1000.0, c.cost)))
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut left = budget;
    for (value, cost) in &order {
        if *cost > left {
            return Some(*value);
        }
        left -= cost;
    }
    order.last().map(|o| o.0)
}

/// Value of a sample of pigs in one block, by weighing the samples anew for each result it may have.
///
/// # Formula
/// ```text
/// net(d)   = efficacy A(d) − x cost                      hectares; x hectares per money
/// P(k | d) = C(n, k) q(d)^k (1 − q(d))^(n − k)           k positives among n pigs
/// sample   = [Σ_k max(0, mean_d P(k | d) net(d)) − max(0, mean_d net(d))] / x
/// perfect  = [mean_d max(0, net(d)) − max(0, mean_d net(d))] / x
/// ```
/// q(d) from [`crate::assess::blocks::samples`]. The operation stands alone here: whether it is done or its
/// money goes elsewhere. A sample costs the season nothing but its pigs.
/// # Source
/// Expected value of sample information (Raiffa & Schlaifer 1961, Applied Statistical Decision Theory; from
/// memory), over posterior samples by importance weights.
pub fn look(c: &Candidate, sample_positive: &[f32], exchange_ha_per_money: f64, keys: &Priorities) -> Look {
    let samples = c.active_ha.len().min(sample_positive.len()).max(1);
    let par = exchange_ha_per_money * c.cost;
    let net: Vec<f64> = (0..c.active_ha.len()).map(|d| c.removed_ha(d) - par).collect();
    let mean = |of: &dyn Fn(usize) -> f64| -> f64 { (0..net.len()).map(of).sum::<f64>() / samples as f64 };
    let now = mean(&|d| net[d]);
    let prior = now.max(0.0);
    let n = keys.sample_pigs;
    // P(k | d) by recursion over k: ratio of neighbours is (n − k + 1)/k · q/(1 − q).
    let odds: Vec<f64> =
        sample_positive.iter().map(|q| f64::from(q.clamp(1e-9, 1.0 - 1e-6))).map(|q| q / (1.0 - q)).collect();
    let mut weight: Vec<f64> = odds.iter().map(|o| (1.0 / (1.0 + o)).powi(n as i32)).collect();
    let mut after = 0.0;
    for k in 0..=n {
        if k > 0 {
            let ratio = (n - k + 1) as f64 / k as f64;
            weight.iter_mut().zip(&odds).for_each(|(w, o)| *w *= ratio * o);
        }
        after += mean(&|d| weight[d] * net[d]).max(0.0);
    }
    let truth = mean(&|d| net[d].max(0.0));
    let money = |ha: f64| if exchange_ha_per_money > 0.0 { ha.max(0.0) / exchange_ha_per_money } else { 0.0 };
    let value_of_sample = money(after - prior);
    let net_value_of_sample = value_of_sample - n as f64 * keys.sample_cost_per_pig;
    Look {
        value_of_sample,
        net_value_of_sample,
        value_of_perfect_information: money(truth - prior),
        p_better_elsewhere: net.iter().filter(|v| **v < 0.0).count() as f64 / samples as f64,
        advice: if net_value_of_sample > 0.0 {
            Advice::LookFirst
        } else if now >= 0.0 {
            Advice::Treat
        } else {
            Advice::Leave
        },
    }
}
