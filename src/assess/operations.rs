//! Did past operations work? The fall of the hazard where and when they were done.

use crate::assess::spread::Spread;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::kernel::link::{SOFT_SCALE_PER_YEAR, hazard};
use crate::kernel::operations::covariates;
use crate::records::{DAYS_PER_YEAR, WildlifeHost, day_number};
use crate::study::model_keys::Link;
use rayon::prelude::*;

/// Effect of one type of operation.
#[derive(Debug, Clone, PartialEq)]
pub struct OperationEffect {
    /// Host the operations were aimed at.
    pub host: WildlifeHost,
    /// Operations of the type that ended before the study's day.
    pub operations: usize,
    /// Blocks they treated.
    pub blocks: usize,
    /// Share by which the hazard fell in the treated blocks over the year after the operation; below 0 it
    /// rose.
    pub fall: Spread,
    /// That share in every sample, in ascending order.
    pub falls: Vec<f32>,
    /// The same as it was assumed before the records were read: 5, 50 and 95 % points of the step's prior.
    pub assumed: [f64; 3],
}

/// Years after an operation over which its effect is stated.
pub(crate) const YEARS_AFTER: f64 = 1.0;

/// Effect of every type of operation.
///
/// # Formula
/// ```text
/// fall(d) = 1 − Σ w(c,t) λ_d(c,t) / Σ w(c,t) link(x_d(c,t) − β_d X(c,t)),   x_d = link⁻¹(λ_d)
/// w(c,t)  = Σ_ops share of cell c in the block · share of the year after the operation's end in period t
/// ```
/// λ_d the hazard of sample d, X the operation's covariate ([`covariates`]): the hazard of the treated blocks
/// with the operation over that without it. Stating β itself would mislead: what a step does to the hazard
/// depends on where the latent field stands. The year is cut at the study's day. `assumed` is the fall that
/// the 5, 50 and 95 % points of β's prior would have made of the same fields without operation.
/// # Shapes and units
/// One entry a host that was treated, possum first; falls are shares, 0.7 for a fall of 70 %.
pub fn effects(layout: &Layout, posterior: &Posterior) -> Vec<OperationEffect> {
    let (grid, records, prior) = (&layout.grid, &layout.records, &layout.study.field);
    let end = day_number(layout.as_of) + 1.0;
    // The step's place among the hyperparameters is that of its covariate.
    let all = covariates(prior, grid, &records.operations, &layout.block_shares);
    all.iter()
        .enumerate()
        .filter_map(|(j, covariate)| {
            let done =
                |o: &&crate::records::Operation| o.host == covariate.host && day_number(o.end) + 1.0 < end;
            let done: Vec<_> = records.operations.iter().filter(done).collect();
            let mut weight = vec![0.0; grid.field_len()];
            for o in &done {
                let first = day_number(o.end) + 1.0;
                let last = (first + YEARS_AFTER * DAYS_PER_YEAR).min(end);
                let periods = grid.period_shares(first, last);
                for (cell, share) in
                    layout.block_shares[o.block].iter().enumerate().filter(|(_, s)| **s > 0.0)
                {
                    let (row, col) = grid.row_col(cell);
                    for (t, p) in periods.iter().enumerate().filter(|(_, p)| **p > 0.0) {
                        weight[grid.at(row, t, col)] += share * p;
                    }
                }
            }
            let where_when: Vec<(usize, f64)> =
                weight.into_iter().enumerate().filter(|(i, w)| *w > 0.0 && covariate.x[*i] > 0.0).collect();
            if where_when.is_empty() {
                return None;
            }
            let normal = 1.6448536269514722;
            let prior_steps = [normal, 0.0, -normal].map(|z| prior.operation_mean + z * prior.operation_sd);
            let per_sample: Vec<[f64; 4]> = posterior
                .hazard
                .par_iter()
                .zip(&posterior.hyper)
                .map(|(field, hyper)| {
                    let beta = hyper.operation[j];
                    let with: f64 = where_when.iter().map(|(i, w)| w * f64::from(field[*i])).sum();
                    let bare: Vec<f64> = where_when
                        .iter()
                        .map(|(i, _)| latent(prior.link, f64::from(field[*i])) - beta * covariate.x[*i])
                        .collect();
                    let sum = |step: f64| -> f64 {
                        let mut h: Vec<f64> = bare
                            .iter()
                            .zip(&where_when)
                            .map(|(x, (i, _))| x + step * covariate.x[*i])
                            .collect();
                        let mut slope = vec![0.0; h.len()];
                        hazard(prior.link, &mut h, &mut slope);
                        h.iter().zip(&where_when).map(|(h, (_, w))| h * w).sum()
                    };
                    let without = sum(0.0).max(f64::MIN_POSITIVE);
                    let assumed = prior_steps.map(|s| 1.0 - sum(s) / without);
                    [1.0 - with / without, assumed[0], assumed[1], assumed[2]]
                })
                .collect();
            let n = per_sample.len().max(1) as f64;
            let mut falls: Vec<f32> = per_sample.iter().map(|d| d[0] as f32).collect();
            let mut blocks: Vec<usize> = done.iter().map(|o| o.block).collect();
            blocks.sort_unstable();
            blocks.dedup();
            Some(OperationEffect {
                host: covariate.host,
                operations: done.len(),
                blocks: blocks.len(),
                fall: Spread::of(&mut falls),
                falls,
                assumed: [1, 2, 3].map(|k| per_sample.iter().map(|d| d[k]).sum::<f64>() / n),
            })
        })
        .collect()
}

/// The latent value of a hazard per year: the inverse of the link.
///
/// # Formula
/// ```text
/// soft: x = ln(e^s − 1), s = √(λ/0.2);   exp: x = ln λ
/// ```
/// A hazard that single precision has rounded to 0 stands for the smallest it can hold.
pub(crate) fn latent(link: Link, hazard_per_year: f64) -> f64 {
    let lambda = hazard_per_year.max(f64::from(f32::MIN_POSITIVE));
    match link {
        Link::Exp => lambda.ln(),
        Link::SoftplusSquared => {
            let s = (lambda / SOFT_SCALE_PER_YEAR).sqrt();
            // For large s the subtraction vanishes: ln(e^s − 1) = s + ln(1 − e^(−s)).
            s + (-(-s).exp_m1()).ln()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latent_value_is_the_links_inverse() {
        for link in [Link::SoftplusSquared, Link::Exp] {
            let x = [-18.0, -6.0, -1.5, 0.0, 1.0, 7.0];
            let (mut h, mut slope) = (x, [0.0; 6]);
            hazard(link, &mut h, &mut slope);
            for (x, h) in x.iter().zip(h) {
                assert!((latent(link, h) - x).abs() < 1e-9 * x.abs().max(1.0), "{link:?} {x} {h}");
            }
        }
        assert!(latent(Link::SoftplusSquared, 0.0).is_finite());
    }
}
