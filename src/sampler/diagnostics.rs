//! Convergence of several chains: rank-normalised split R̂ and effective sample sizes.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

/// R̂ and effective sample sizes of one scalar quantity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Convergence {
    /// Larger of the rank-normalised split R̂ and its folded version; `None` when the samples do not vary.
    pub r_hat: Option<f64>,
    /// Effective sample size of the bulk.
    pub ess_bulk: Option<f64>,
    /// Smaller effective sample size of the 5 % and 95 % quantiles.
    pub ess_tail: Option<f64>,
}

/// Convergence of one quantity over chains of equal length.
///
/// # Formula
/// Equations of Vehtari et al. (2021): each chain split in two halves, values replaced by normal
/// scores of their ranks, R̂ = √(var⁺/W); effective size from Geyer's initial monotone sequence
/// of the combined autocorrelations.
/// # Shapes and units
/// `chains[c][i]`: draw i of chain c, at least 4 samples a chain. Draws that are all equal, or not finite,
/// give `None`.
/// # Source
/// Vehtari, Gelman, Simpson, Carpenter & Bürkner (2021) Bayesian Analysis 16:667–718, §4.
pub fn convergence(chains: &[Vec<f64>]) -> Convergence {
    let halves = split(chains);
    let all: Vec<f64> = halves.iter().flatten().copied().collect();
    let varies = all.iter().any(|v| *v != all[0]);
    if halves.is_empty() || halves[0].len() < 2 || !varies || chains.iter().flatten().any(|v| !v.is_finite())
    {
        return Convergence { r_hat: None, ess_bulk: None, ess_tail: None };
    }
    let centre = quantile_sorted(&sorted(&all), 0.5);
    let folded: Vec<Vec<f64>> =
        halves.iter().map(|h| h.iter().map(|v| (v - centre).abs()).collect()).collect();
    let bulk = normal_scores(&halves);
    let r = r_hat(&bulk).max(r_hat(&normal_scores(&folded)));
    // Quantiles of all samples, the middle one of an odd chain with them, as ArviZ takes them.
    let sorted_all = sorted(&chains.concat());
    let tail = [0.05, 0.95].map(|p| {
        let cut = quantile_sorted(&sorted_all, p);
        let below: Vec<Vec<f64>> =
            halves.iter().map(|h| h.iter().map(|v| f64::from(u8::from(*v <= cut))).collect()).collect();
        effective_size(&below)
    });
    let finite = |v: f64| v.is_finite().then_some(v);
    Convergence {
        r_hat: finite(r),
        ess_bulk: finite(effective_size(&bulk)),
        ess_tail: finite(tail[0].min(tail[1])),
    }
}

/// Effective sample size of the mean of the values as they are, not of their ranks; `None` as in
/// [`convergence`].
///
/// It belongs to the standard error of a mean; where a rare visit far away decides the mean, it is far below
/// that of the bulk.
/// # Source
/// Vehtari et al. (2021) §4.3: the error of a mean by values without rank normalisation.
pub fn ess_mean(chains: &[Vec<f64>]) -> Option<f64> {
    convergence(chains).ess_bulk?;
    Some(effective_size(&split(chains))).filter(|v| v.is_finite())
}

fn sorted(x: &[f64]) -> Vec<f64> {
    let mut s = x.to_vec();
    s.sort_by(f64::total_cmp);
    s
}

/// Quantile of sorted values by linear interpolation (type 7 of Hyndman & Fan 1996).
///
/// # Example
/// ```
/// assert_eq!(pignut::internals::sampler::diagnostics::quantile_sorted(&[1.0, 2.0, 3.0, 4.0], 0.5), 2.5);
/// ```
pub fn quantile_sorted(x: &[f64], p: f64) -> f64 {
    let h = (x.len() - 1) as f64 * p;
    let i = (h.floor() as usize).min(x.len() - 1);
    let j = (i + 1).min(x.len() - 1);
    x[i] + (h - i as f64) * (x[j] - x[i])
}

/// Each chain cut in two halves; the middle sample of an odd chain is left out.
fn split(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    chains
        .iter()
        .flat_map(|c| {
            let h = c.len() / 2;
            [c[..h].to_vec(), c[c.len() - h..].to_vec()]
        })
        .collect()
}

/// Normal scores of the pooled average ranks: Φ⁻¹((r − 3/8)/(S + 1/4)), Blom (1958).
fn normal_scores(chains: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let n = chains[0].len();
    let mut order: Vec<(f64, usize)> =
        chains.iter().flatten().copied().enumerate().map(|(i, v)| (v, i)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let s = order.len() as f64;
    let normal = Normal::standard();
    let mut scores = vec![0.0; order.len()];
    let mut i = 0;
    while i < order.len() {
        let mut j = i;
        while j + 1 < order.len() && order[j + 1].0 == order[i].0 {
            j += 1;
        }
        let rank = 0.5 * (i + j) as f64 + 1.0;
        let score = normal.inverse_cdf((rank - 0.375) / (s + 0.25));
        for (_, k) in &order[i..=j] {
            scores[*k] = score;
        }
        i = j + 1;
    }
    scores.chunks(n).map(<[f64]>::to_vec).collect()
}

fn mean(x: &[f64]) -> f64 {
    x.iter().sum::<f64>() / x.len() as f64
}

/// Within-chain variance W and the pooled estimate var⁺.
fn variances(chains: &[Vec<f64>]) -> (f64, f64) {
    let n = chains[0].len() as f64;
    let m = chains.len() as f64;
    let means: Vec<f64> = chains.iter().map(|c| mean(c)).collect();
    let grand = mean(&means);
    let between = n / (m - 1.0) * means.iter().map(|v| (v - grand).powi(2)).sum::<f64>();
    let within = chains
        .iter()
        .zip(&means)
        .map(|(c, a)| c.iter().map(|v| (v - a).powi(2)).sum::<f64>() / (n - 1.0))
        .sum::<f64>()
        / m;
    (within, (n - 1.0) / n * within + between / n)
}

fn r_hat(chains: &[Vec<f64>]) -> f64 {
    let (within, pooled) = variances(chains);
    (pooled / within).sqrt()
}

/// Effective sample size of the mean over split chains.
///
/// # Formula
/// ```text
/// ρ_t = 1 − (W − c_t)/var⁺,  c_t mean over chains of Σ_i (x_i − x̄)(x_{i+t} − x̄)/n
/// τ = −1 + 2 Σ_k min_{j ≤ k} (ρ_{2j} + ρ_{2j+1}) + ρ_K,   n_eff = S/max(τ, 1/log₁₀ S)
/// ```
/// The sum runs over pairs before the first that is not positive, or before the last lags; ρ_K is the
/// even lag of that pair, when positive.
/// # Source
/// Geyer (1992) Stat Sci 7:473–483, initial monotone sequence; autocovariances divided by n and the term
/// ρ_K as in the code of Vehtari et al. (2021) and in ArviZ.
fn effective_size(chains: &[Vec<f64>]) -> f64 {
    let (n, m) = (chains[0].len(), chains.len() as f64);
    let total = n as f64 * m;
    let (within, pooled) = variances(chains);
    if !(pooled > 0.0) {
        return f64::NAN;
    }
    let centred: Vec<Vec<f64>> = chains
        .iter()
        .map(|c| {
            let a = mean(c);
            c.iter().map(|v| v - a).collect()
        })
        .collect();
    let autocovariance = |lag: usize| {
        centred
            .iter()
            .map(|c| c[..n - lag].iter().zip(&c[lag..]).map(|(a, b)| a * b).sum::<f64>() / n as f64)
            .sum::<f64>()
            / m
    };
    let rho = |lag: usize| 1.0 - (within - autocovariance(lag)) / pooled;
    let (mut even, mut odd) = (1.0, rho(1));
    let (mut sum, mut previous) = (0.0, f64::INFINITY);
    let mut lag = 1;
    while lag + 3 < n && even + odd > 0.0 {
        previous = previous.min(even + odd);
        sum += previous;
        (even, odd) = (rho(lag + 1), rho(lag + 2));
        lag += 2;
    }
    let rest = if even + odd >= 0.0 { even } else { even.max(0.0) };
    total / (-1.0 + 2.0 * sum + rest).max(1.0 / total.log10())
}
