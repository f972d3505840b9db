//! Ranks, and the band that uniform ones keep to.

use crate::studies::uniformity::{EventTally, Uniformity, binomial_cdf, rank};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use statrs::distribution::{Binomial, DiscreteCDF};

#[test]
fn the_binomial_distribution_is_that_of_a_library() {
    for (n, z) in [(7, 0.3), (40, 0.025), (250, 0.5), (400, 0.99)] {
        let b = Binomial::new(z, n as u64).unwrap();
        for (c, p) in binomial_cdf(n, z).into_iter().enumerate() {
            assert!((p - b.cdf(c as u64)).abs() < 1e-10, "{n} {z} {c}: {p} {}", b.cdf(c as u64));
        }
    }
}

#[test]
fn the_band_holds_uniform_samples_as_often_as_it_says_and_others_seldom() {
    let test = Uniformity::new(100, 100, 4000, 1);
    let band = test.band(0.05);
    let mut rng = ChaCha12Rng::seed_from_u64(2);
    let inside = |u: &[f64]| {
        test.empirical(u).iter().zip(&band).all(|(e, b)| *e >= b.lower - 1e-9 && *e <= b.upper + 1e-9)
    };
    let held = (0..2000).filter(|_| inside(&(0..100).map(|_| rng.random()).collect::<Vec<_>>())).count();
    // 0.95 less what the steps of γ leave; four standard errors of 2000 samples are 0.02.
    assert!((1880..=1960).contains(&held), "{held} of 2000");
    // Squares and a narrowed distribution are seen.
    let squares: Vec<f64> = (0..100).map(|_| rng.random::<f64>().powi(2)).collect();
    let narrow: Vec<f64> = (0..100).map(|_| 0.25 + 0.5 * rng.random::<f64>()).collect();
    for u in [squares, narrow] {
        assert!(!inside(&u) && test.p_value(&u) < 0.001, "{}", test.p_value(&u));
    }
    // Inside the band is a p-value above its level.
    for _ in 0..200 {
        let u: Vec<f64> = (0..100).map(|_| rng.random::<f64>().powf(1.15)).collect();
        assert_eq!(inside(&u), test.p_value(&u) > 0.0502, "{}", test.p_value(&u));
    }
}

#[test]
fn ties_are_broken_evenly_and_events_counted_exactly() {
    let mut rng = ChaCha12Rng::seed_from_u64(3);
    let mut seen = [0; 4];
    for _ in 0..4000 {
        seen[rank(1.0, &[1.0, 1.0, 1.0], &mut rng).below] += 1;
    }
    // 1000 each; s.e. 27.
    assert!(seen.iter().all(|c| (880..1120).contains(c)), "{seen:?}");
    let mut t = EventTally::default();
    assert_eq!(t.errors(), None);
    t.add(3, 4, true);
    // T = 4 of 5: expected 0.8, variance 0.16.
    assert!((t.errors().unwrap() - 0.2 / 0.4).abs() < 1e-12 && t.stated == 0.75);
    t.add(0, 4, false);
    assert!((t.errors().unwrap() - 0.2 / 0.4).abs() < 1e-12 && t.cases == 2 && t.happened == 1);
}
