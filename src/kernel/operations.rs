//! Past control operations as covariates of the latent hazard.

use crate::geography::grid::Grid;
use crate::records::{DAYS_PER_YEAR, Operation, WildlifeHost, day_number};
use crate::study::model_keys::FieldPrior;

/// The effect of one type of operation over cells and periods.
#[derive(Debug, Clone, PartialEq)]
pub struct Covariate {
    /// Host the operations were aimed at.
    pub host: WildlifeHost,
    /// X(c, t) in [0, 1], laid out `[row][period][column]`.
    pub x: Vec<f64>,
}

/// Covariates of all past operations, one for each vector that was treated.
///
/// # Formula
/// ```text
/// X(c, t) = 1 − Π_ops (1 − inside(c) · mean over period t of 2^(−(time since end)/half-life))
/// ```
/// 0 before the operation ends. `inside[b][c]` is the share of cell c in block b.
/// # Source
/// Step with exponential recovery, method note §4; half-lives in [`FieldPrior`].
pub fn covariates(
    prior: &FieldPrior,
    grid: &Grid,
    operations: &[Operation],
    inside: &[Vec<f64>],
) -> Vec<Covariate> {
    [WildlifeHost::Possum, WildlifeHost::Ferret]
        .into_iter()
        .filter_map(|host| {
            let of_type: Vec<&Operation> = operations.iter().filter(|o| o.host == host).collect();
            if of_type.is_empty() {
                return None;
            }
            let half_life = match host {
                WildlifeHost::Possum => prior.possum_half_life_years,
                WildlifeHost::Ferret => prior.ferret_half_life_years,
            };
            let mut untouched = vec![1.0; grid.field_len()];
            for op in of_type {
                let strength: Vec<f64> = grid
                    .period_edges
                    .windows(2)
                    .map(|e| mean_fading(day_number(op.end) + 1.0, half_life, e[0], e[1]))
                    .collect();
                for (cell, share) in inside[op.block].iter().enumerate().filter(|(_, s)| **s > 0.0) {
                    let (row, col) = grid.row_col(cell);
                    for (period, s) in strength.iter().enumerate() {
                        untouched[grid.at(row, period, col)] *= 1.0 - share * s;
                    }
                }
            }
            Some(Covariate { host, x: untouched.into_iter().map(|u| 1.0 - u).collect() })
        })
        .collect()
}

/// Mean over `[from, to)` of 2^(−(t − end)/half-life), 0 before `end`; day numbers and years.
fn mean_fading(end: f64, half_life_years: f64, from: f64, to: f64) -> f64 {
    let rate = std::f64::consts::LN_2 / (half_life_years * DAYS_PER_YEAR);
    let start = from.max(end);
    if start >= to {
        return 0.0;
    }
    ((-rate * (start - end)).exp() - (-rate * (to - end)).exp()) / (rate * (to - from))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_is_left_after_a_half_life() {
        let year = DAYS_PER_YEAR;
        assert_eq!(mean_fading(100.0, 5.0, 0.0, 100.0), 0.0);
        let late = mean_fading(0.0, 5.0, 5.0 * year - 0.5, 5.0 * year + 0.5);
        assert!((late - 0.5).abs() < 1e-6);
        assert!((mean_fading(50.0, 1000.0, 0.0, 100.0) - 0.5).abs() < 1e-3);
    }
}
