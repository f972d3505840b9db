//! Shares of the calibration study and the whole.

use crate::studies::calibration::study_area::Design;
use crate::studies::calibration::table::{merge_of, share_of};
use crate::studies::shard::Shard;

/// Two shares of two and the whole in one give the same bytes; a share too few or too many is refused.
#[test]
fn shares_add_up_to_the_whole_and_gaps_are_refused() {
    let design = Design {
        replicates: 3,
        side: 3,
        pigs: 10,
        every_age: false,
        kill_months: 6,
        lookback_years: 0.5,
        warmup: 20,
        trajectories: 20,
        most_trajectories: 20,
        kept: 10,
        ..Design::STUDY
    };
    let (whole, halves) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    share_of(&design, whole.path(), Shard::ALL).unwrap();
    merge_of(&design, whole.path()).unwrap();
    share_of(&design, halves.path(), "2/2".parse().unwrap()).unwrap();
    let said = merge_of(&design, halves.path()).unwrap_err();
    assert!(said.contains("replicate 0 is there 0 times"), "{said}");
    share_of(&design, halves.path(), "1/2".parse().unwrap()).unwrap();
    merge_of(&design, halves.path()).unwrap();
    for name in [
        "calibration-ranks.csv",
        "calibration-events.csv",
        "calibration-runs.csv",
        "calibration.svg",
        "calibration-quantities.md",
        "calibration-events.md",
        "calibration-runs.md",
    ] {
        let read = |d: &tempfile::TempDir| std::fs::read_to_string(d.path().join(name)).unwrap();
        assert_eq!(read(&whole), read(&halves), "{name}");
    }
    share_of(&design, halves.path(), Shard::ALL).unwrap();
    assert!(merge_of(&design, halves.path()).unwrap_err().contains("2 times"));
}
