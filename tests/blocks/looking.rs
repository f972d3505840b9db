//! What a sample is worth before treating, against two-state cases worked by hand.

use super::slate;
use pignut::internals::assess::priorities::constraints::Constraints;
use pignut::internals::assess::priorities::value_of_information::{Advice, exchange, look};
use pignut::internals::study::priorities::Priorities;

/// Half of the samples hold 100 active ha and a positive in every pig, half hold nothing and none; money buys
/// 0.01 ha a unit elsewhere and the operation costs 4000, so par is 40 ha.
///
/// By hand: now, treat for 0.5·60 − 0.5·40 = 10 ha. Knowing, 0.5·60 = 30. So the truth is worth 20 ha, 2000
/// of money, and one pig tells it whole.
#[test]
fn a_pig_that_tells_all_is_worth_the_truth() {
    let active: Vec<f32> = (0..10).map(|d| if d < 5 { 100.0 } else { 0.0 }).collect();
    let positive: Vec<f32> = (0..10).map(|d| if d < 5 { 1.0 } else { 0.0 }).collect();
    let s = slate(&[(4000.0, &active, 9e6, &[0.0; 10])]);
    let keys = Priorities { sample_pigs: 1, sample_cost_per_pig: 150.0, ..Priorities::default() };
    let l = look(&s.candidates[0], &positive, 0.01, &keys);
    assert!((l.value_of_perfect_information - 2000.0).abs() < 1e-6, "{l:?}");
    // Probabilities are held 1e-6 off 0 and 1.
    assert!(
        (l.value_of_sample - 2000.0).abs() < 0.1 && (l.net_value_of_sample - 1850.0).abs() < 0.1,
        "{l:?}"
    );
    assert_eq!((l.p_better_elsewhere, l.advice), (0.5, Advice::LookFirst));
}

/// The same with q = 0.5 and 0: one pig, by hand. A positive (probability 0.25) means 100 ha: net 60. A clear
/// one (0.75) leaves a third: net 100/3 − 40 < 0, so leave. Worth 0.25·60 − 10 = 5 ha, 500 of money.
#[test]
fn a_pig_that_tells_something_is_worth_less() {
    let active: Vec<f32> = (0..10).map(|d| if d < 5 { 100.0 } else { 0.0 }).collect();
    let positive: Vec<f32> = (0..10).map(|d| if d < 5 { 0.5 } else { 0.0 }).collect();
    let s = slate(&[(4000.0, &active, 9e6, &[0.0; 10])]);
    let value = |pigs: usize| {
        let keys = Priorities { sample_pigs: pigs, ..Priorities::default() };
        look(&s.candidates[0], &positive, 0.01, &keys).value_of_sample
    };
    assert!((value(1) - 500.0).abs() < 0.1, "{}", value(1));
    // Two pigs: clear twice with probability 0.625, of which a fifth holds 100: 0.375·60 − 10 = 12.5 ha.
    assert!((value(2) - 1250.0).abs() < 0.1, "{}", value(2));
    let many: Vec<f64> = [1, 2, 5, 10, 40].map(value).to_vec();
    assert!(many.windows(2).all(|w| w[0] <= w[1] + 1e-9) && many[4] <= 2000.0 + 1e-6, "{many:?}");
    // A pig that says the same whatever is true is worth nothing.
    let l = look(&s.candidates[0], &[0.3; 10], 0.01, &Priorities::default());
    assert!(l.value_of_sample < 1e-6 && l.advice == Advice::Treat, "{l:?}");
}

/// An operation that is sure to pay, or sure not to, needs no sample.
#[test]
fn where_all_draws_agree_nothing_is_worth_looking_for() {
    let s = slate(&[(4000.0, &[100.0, 90.0], 9e6, &[0.0, 0.0]), (4000.0, &[10.0, 12.0], 9e6, &[0.0, 0.0])]);
    for (i, advice) in [(0, Advice::Treat), (2, Advice::Leave)] {
        let l = look(&s.candidates[i], &[0.2, 0.4], 0.01, &Priorities::default());
        assert_eq!(
            (l.value_of_perfect_information, l.value_of_sample.abs() < 1e-9, l.advice),
            (0.0, true, advice),
            "{l:?}"
        );
        assert_eq!(l.net_value_of_sample, l.value_of_sample - 1500.0);
    }
}

/// Dantzig's rule by hand: scores 0.03, 0.02 and 0.01 ha a unit, 1000 each; the one that does not fit sets
/// the price.
#[test]
fn the_price_of_money_is_that_of_the_first_operation_left_out() {
    let s = slate(&[
        (1000.0, &[30.0], 9e6, &[0.0]),
        (1000.0, &[10.0], 9e6, &[0.0]),
        (1000.0, &[20.0], 9e6, &[0.0]),
    ]);
    let terms = Constraints::resolve(&s, &Priorities::default()).unwrap();
    let gain: Vec<f64> = s.candidates.iter().map(|c| c.expected_removed_ha()).collect();
    let at = |budget: f64| exchange(&s, &terms, &gain, budget);
    assert_eq!([at(0.0), at(1500.0), at(2000.0), at(1e9)], [Some(0.03), Some(0.02), Some(0.01), Some(0.01)]);
    assert_eq!(exchange(&s, &terms, &[0.0; 6], 1000.0), None);
}
