//! Runs the studies of the evidence page: slow, in shares, never part of the tests.
//!
//! ```text
//! cargo bench --bench evidence -- STUDY --out FOLDER [--shard i/n]   one share, written to FOLDER
//! cargo bench --bench evidence -- STUDY --out FOLDER --merge         all shares to tables and pictures
//!     --page FILE                                                    and the tables into this page
//! cargo bench --bench evidence -- --list                             the studies, one a line
//! ```

#[allow(dead_code, reason = "some of it serves the tests")]
mod studies;

use crate::studies::shard::Shard;
use crate::studies::{calibration, misspecification, page, plain_practice, priors, verdicts};
use std::path::{Path, PathBuf};

/// A study: its name, what runs a share, what merges all shares.
struct Study {
    name: &'static str,
    share: fn(&Path, Shard) -> Result<(), String>,
    merge: fn(&Path) -> Result<(), String>,
}

const STUDIES: &[Study] = &[
    Study { name: "calibration", share: calibration::table::share, merge: calibration::table::merge },
    Study { name: "wrong_assumptions", share: misspecification::share, merge: misspecification::merge },
    Study { name: "priors", share: priors::share, merge: priors::merge },
    Study { name: "verdicts", share: verdicts::share, merge: verdicts::merge },
    Study { name: "plain_practice", share: plain_practice::share, merge: plain_practice::merge },
];

fn main() {
    if let Err(fault) = run() {
        eprintln!("evidence: {fault}");
        std::process::exit(2);
    }
}

fn run() -> Result<(), String> {
    // Cargo passes `--bench` on.
    let mut words = std::env::args().skip(1).filter(|w| w != "--bench");
    let names = || STUDIES.iter().map(|s| s.name).collect::<Vec<_>>().join(", ");
    let name = words.next().ok_or_else(|| format!("name a study: {}", names()))?;
    if name == "--list" {
        STUDIES.iter().for_each(|s| println!("{}", s.name));
        return Ok(());
    }
    let study = STUDIES.iter().find(|s| s.name == name);
    let study = study.ok_or_else(|| format!("there is no study {name:?}; choose one of {}", names()))?;
    let (mut out, mut shard, mut merge, mut shown) = (None, Shard::ALL, false, None);
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or_else(|| format!("{word} needs a value"));
        match word.as_str() {
            "--out" => out = Some(PathBuf::from(value()?)),
            "--shard" => shard = value()?.parse()?,
            "--merge" => merge = true,
            "--page" => shown = Some(PathBuf::from(value()?)),
            _ => return Err(format!("{word:?} is not known here; write --out, --shard, --merge or --page")),
        }
    }
    let out = out.ok_or("name a folder with --out")?;
    std::fs::create_dir_all(&out).map_err(|e| format!("{}: {e}", out.display()))?;
    if !merge {
        return (study.share)(&out, shard);
    }
    (study.merge)(&out)?;
    shown.map_or(Ok(()), |file| page::fill(&file, &out))
}
