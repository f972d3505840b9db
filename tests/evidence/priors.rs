//! Priors compared on the same pigs.

use super::tiny::{SEED, TINY, fixture, table};
use crate::studies::priors;
use crate::studies::priors::{FORMER, PRESENT, PRIORS};
use crate::studies::shard::Shard;
use pignut::internals::study::study_file::Study;

/// By hand: log scores −0.1 and −0.5 against −0.2 and −0.3, so +0.1 over two pigs, differences −0.1 and 0.2;
/// their mean 0.05 has the standard error 0.15, their sum 0.3. Brier (1 + 3)/(10 + 30).
#[test]
fn merging_priors_pairs_pigs() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put(
        "priors-1-of-1.csv",
        "prior,seed,measure,above,below\nformer,1,brier,1,20\n\
         focus-fifth,1,brier,1,10\nfocus-fifth,2,brier,3,30\n",
    );
    put(
        "priors-pigs-1-of-1.csv",
        "prior,seed,pig,log_score\nformer,1,a,-0.1\nformer,2,a,-0.5\n\
         focus-fifth,2,a,-0.3\nfocus-fifth,1,a,-0.2\n",
    );
    priors::merge_table(folder.path(), "priors", FORMER).unwrap();
    let page = std::fs::read_to_string(folder.path().join("priors.md")).unwrap();
    for line in [
        "| former default (P(s.d. > 1.5) = 0.05) | 2 | -0.6 |  | no case | 0.050 |",
        "| 2 | -0.5 | +0.1 ± 0.3 | no case | 0.100 |",
    ] {
        assert!(page.contains(line), "{line}\nin\n{page}");
    }
    put("priors-pigs-1-of-1.csv", "prior,seed,pig,log_score\nfocus-fifth,1,a,-0.2\n");
    assert!(
        priors::merge_table(folder.path(), "priors", FORMER)
            .unwrap_err()
            .contains("no share of priors holds \"former\"")
    );
}

/// What is asked anew of fresh study areas: each prior once, every change reaches the study, and the page
/// shows them.
#[test]
fn what_is_asked_again_is_what_the_page_shows() {
    let least = "[study]\nname = \"A\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"p.csv\"\n";
    let bounds = |priors: &[&priors::Prior]| -> Vec<(f64, f64)> {
        let of = |p: &&priors::Prior| {
            let mut study = Study::parse(least, "study.toml").unwrap();
            p.apply(&mut study);
            (study.field.sd_upper, study.field.persistence_lower)
        };
        priors.iter().map(of).collect()
    };
    let (afresh, again) = (priors::asked_afresh(), priors::asked_again());
    assert_eq!(bounds(&afresh), [(1.5, 0.75), (3.0, 0.75), (1.5, 0.4), (2.0, 0.4), (3.0, 0.4)]);
    assert_eq!(bounds(&again), [(3.0, 0.75), (3.0, 0.4)]);
    // What the last question compares with is what a study has by default.
    let field = Study::parse(least, "study.toml").unwrap().field;
    assert_eq!((again[0].name, bounds(&again)[0]), (PRESENT, (field.sd_upper, field.persistence_lower)));
    for (stem, asked) in [("fresh-priors", afresh), ("again-priors", again)] {
        let shown = std::fs::read_to_string(fixture(&format!("{stem}.csv"))).unwrap();
        for prior in &asked {
            assert_eq!(shown.matches(&format!("\n{},", prior.told)).count(), 1, "{stem}: {}", prior.told);
        }
        assert_eq!(shown.lines().count(), 1 + asked.len(), "{stem}");
    }
}

/// The same fifth of the pigs is held out under every prior, and told by a map made without them.
#[test]
fn priors_are_compared_on_the_same_pigs() {
    let folder = tempfile::tempdir().unwrap();
    priors::share_of(folder.path(), "priors", Shard::ALL, &TINY, &[SEED], &[&PRIORS[0], &PRIORS[1]]).unwrap();
    let rows = table(&folder.path().join("priors-pigs-1-of-1.csv"));
    let of = |name: &str| rows.iter().filter(|r| r[0] == *name).map(|r| r[2].to_string()).collect::<Vec<_>>();
    let (former, other) = (of(PRIORS[0].name), of(PRIORS[1].name));
    assert_eq!(former, other);
    // A fifth of some 260 by lot: 52, within four standard deviations of 6.4.
    assert!((26..=78).contains(&former.len()), "{}", former.len());
    assert!(rows.iter().all(|r| r[3].parse::<f64>().unwrap() < 0.0));
    let score =
        |name: &str| rows.iter().filter(|r| r[0] == *name).map(|r| r[3].parse::<f64>().unwrap()).sum::<f64>();
    assert_ne!(score(PRIORS[0].name), score(PRIORS[1].name), "the prior reaches the sampler");
    priors::merge_table(folder.path(), "priors", FORMER).unwrap();
}
