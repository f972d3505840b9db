//! Small parts of the studies: paired differences and shares.

use crate::studies::paired::Difference;
use crate::studies::shard::Shard;
use crate::studies::uniformity::rank;
use rand::SeedableRng;

/// R 4.2.2, t.test of its data set `sleep` (Student 1908, Biometrika 6:1-25), paired: t = 4.0621, mean 1.58.
#[test]
fn a_paired_difference_is_that_of_a_published_test() {
    let d = Difference::of(&[1.2, 2.4, 1.3, 1.3, 0.0, 1.0, 1.8, 0.8, 4.6, 1.4]).unwrap();
    assert!((d.mean - 1.58).abs() < 1e-12);
    assert!((d.mean / d.standard_error.unwrap() - 4.0621).abs() < 5e-5);
    assert!(d.is_clear());
}

#[test]
fn a_share_takes_every_nth_part_and_no_other() {
    let second: Shard = "2/3".parse().unwrap();
    assert_eq!((0..7).filter(|k| second.takes(*k)).collect::<Vec<_>>(), [1, 4]);
    assert!("0/3".parse::<Shard>().is_err() && "4/3".parse::<Shard>().is_err());
}

#[test]
fn a_rank_counts_the_samples_below() {
    let mut rng = rand_chacha::ChaCha12Rng::seed_from_u64(1);
    let r = rank(2.5, &[1.0, 2.0, 3.0], &mut rng);
    assert_eq!((r.below, r.of), (2, 3));
    assert!(r.place >= 0.5 && r.place < 0.75);
}
