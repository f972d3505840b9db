//! Proper scores against published examples.

use crate::studies::proper_scores::{brier, log_score};

#[test]
fn scores_are_those_of_published_examples() {
    // scikit-learn documentation, brier_score_loss, first example: 0.0375.
    let b = brier(&[false, true, true, false], &[0.1, 0.9, 0.8, 0.3]);
    assert!((b.unwrap() - 0.0375).abs() < 1e-12);
    // scikit-learn documentation, log_loss, first example: 0.21616...
    let l = log_score(&[true, false, false, true], &[0.9, 0.1, 0.2, 0.65], 1e-3);
    assert!((l.unwrap() - 0.21616187468057912).abs() < 1e-12);
}
