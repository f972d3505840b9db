//! Study `verdicts`: how often each verdict on an area is true, in simulated study areas of every kind.
//!
//! A share takes (kind, seed) pairs and writes `verdicts-<share>.csv`: what was known of each area and what
//! was so. Merging writes all rows as `verdicts.csv`, and the table as `verdicts.md`. The verdicts themselves
//! are made in the merge, from what was known: another rule is judged without another run.

use crate::studies::shard::Shard;
use crate::studies::study_areas::{Size, scored};
use crate::studies::tables::{Rows, markdown, read_shares, write_csv, write_text};
use pignut::internals::assess::verdict::{AreaEvidence, LOOKED, Verdict};
use pignut::internals::score::areas::area_truths;
use pignut::internals::simulate::scenario::Scenario;
use serde_json::Value;
use std::path::Path;

/// A kind of study area.
pub struct Kind {
    /// Name in tables and folders.
    pub name: &'static str,
    /// What it is, in words.
    pub told: &'static str,
    /// Seeds.
    pub seeds: std::ops::RangeInclusive<u64>,
    /// Pigs examined.
    pub pigs: usize,
    /// Whether wildlife is infected.
    pub disease: bool,
}

/// Kinds, with other seeds than those on which the constants of the rule were chosen (301 to 394).
pub const KINDS: &[Kind] = &[
    Kind { name: "usual", told: "infected, 1 200 pigs", seeds: 401..=412, pigs: 1200, disease: true },
    Kind { name: "sparse", told: "infected, 300 pigs", seeds: 421..=428, pigs: 300, disease: true },
    Kind { name: "unseen", told: "infected, 40 pigs", seeds: 441..=448, pigs: 40, disease: true },
    Kind { name: "clean", told: "without disease, 1 200 pigs", seeds: 461..=466, pigs: 1200, disease: false },
    Kind {
        name: "clean-many",
        told: "without disease, 4 000 pigs",
        seeds: 481..=484,
        pigs: 4000,
        disease: false,
    },
    Kind {
        name: "clean-few",
        told: "without disease, 150 pigs",
        seeds: 491..=494,
        pigs: 150,
        disease: false,
    },
];

/// Size of a study area and effort of its run.
pub const SIZE: Size = Size { extent_km: 24.0, pigs: 0, warmup: 80, trajectories: 120 };

/// Column names of the raw table.
pub const RAW: [&str; 15] = [
    "kind",
    "seed",
    "zone_id",
    "infected_recently",
    "infected",
    "active_share_q05",
    "active_share_q50",
    "active_share_q95",
    "p_free",
    "target",
    "coverage",
    "pigs",
    "truly_active",
    "truly_design_focus",
    "truly_ever_active",
];

/// Runs a share.
///
/// # Errors
/// Whatever stopped it.
pub fn share(out: &Path, shard: Shard) -> Result<(), String> {
    let all = KINDS.iter().flat_map(|k| k.seeds.clone().map(move |s| (k, s)));
    let mut rows = Vec::new();
    for (kind, seed) in all.enumerate().filter(|(n, _)| shard.takes(*n)).map(|p| p.1) {
        let size = Size { pigs: kind.pigs, ..SIZE };
        let scenario = Scenario { disease: kind.disease, ..size.neutral(seed) };
        let run = scored(out, kind.name, &scenario, &size)?;
        rows.extend(rows_of(kind.name, seed, &run.result(), &run.truth())?);
        write_csv(&out.join(format!("verdicts-{}.csv", shard.name())), &RAW, &rows)?;
    }
    write_csv(&out.join(format!("verdicts-{}.csv", shard.name())), &RAW, &rows)
}

/// What was known of each area of a run, and what was so.
///
/// # Errors
/// A file of the run or of the truth cannot be read or lacks a figure.
pub fn rows_of(kind: &str, seed: u64, run: &Path, truth: &Path) -> Result<Vec<Vec<String>>, String> {
    let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", run.display());
    let text = std::fs::read(run.join("summary.json")).map_err(|e| fault(&e))?;
    let summary: Value = serde_json::from_slice(&text).map_err(|e| fault(&e))?;
    let text = std::fs::read(run.join("manifest.json")).map_err(|e| fault(&e))?;
    let manifest: Value = serde_json::from_slice(&text).map_err(|e| fault(&e))?;
    let target = &manifest["parameters"]["freedom"]["target"];
    let truths = area_truths(run, truth).map_err(|e| fault(&e))?;
    let zones = summary["zones"].as_array().ok_or_else(|| fault(&"the summary has no zones"))?;
    zones
        .iter()
        .map(|z| {
            let so = truths.iter().find(|t| Some(t.zone_id.as_str()) == z["id"].as_str());
            let so = so.ok_or_else(|| fault(&"an area has no truth"))?;
            let number = |v: &Value| v.as_f64().map(|v| v.to_string()).unwrap_or_default();
            let share = &z["active_share_q05_q50_q95"];
            let known = [
                &z["infected_inside_recently_expected"],
                &z["infected_inside_expected"],
                &share[0],
                &share[1],
                &share[2],
                &z["freedom"]["p_free"],
                target,
                &z["mean_coverage"],
                &z["pigs"],
            ];
            let mut row = vec![kind.to_string(), seed.to_string(), so.zone_id.clone()];
            row.extend(known.map(number));
            row.extend([so.active, so.design_focus, so.ever_active].map(|b| u8::from(b).to_string()));
            Ok(row)
        })
        .collect()
}

/// One area as it was known and as it was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// What was known.
    pub known: AreaEvidence,
    /// Whether some cell was active in the recent months.
    pub active: bool,
    /// Whether a design focus was there.
    pub design_focus: bool,
    /// Whether it was active at any time.
    pub ever_active: bool,
}

impl Judged {
    /// Whether a verdict on it is true.
    ///
    /// Active now: some cell is. Active before: some cell was, at some time. No sign, and free: no design
    /// focus is there. Too few pigs: coverage is under [`LOOKED`].
    pub fn is_right(&self) -> bool {
        match Verdict::of(&self.known) {
            Verdict::ActiveNow => self.active,
            Verdict::ActiveBefore => self.ever_active,
            Verdict::NoSign | Verdict::Free => !self.design_focus,
            Verdict::TooFewPigs => self.known.coverage.is_none_or(|c| c < LOOKED),
        }
    }
}

/// The areas of a raw table.
///
/// # Errors
/// A field is no number.
pub fn judged(table: &Rows) -> Result<Vec<Judged>, String> {
    (0..table.rows.len())
        .map(|i| {
            let number = |k: usize| table.number(i, k);
            let some = |k: usize| if table.rows[i][k].is_empty() { Ok(None) } else { number(k).map(Some) };
            Ok(Judged {
                known: AreaEvidence {
                    infected_recently: number(3)?,
                    infected: number(4)?,
                    active_share: [number(5)?, number(6)?, number(7)?],
                    p_free: some(8)?,
                    target: number(9)?,
                    coverage: some(10)?,
                },
                active: number(12)? > 0.5,
                design_focus: number(13)? > 0.5,
                ever_active: number(14)? > 0.5,
            })
        })
        .collect()
}

/// The table of the evidence page.
pub fn table(areas: &[Judged]) -> String {
    let names = ["verdict", "areas", "true", "share", "active now, truly", "design focus, truly"];
    let rows: Vec<Vec<String>> = Verdict::ALL
        .iter()
        .map(|verdict| {
            let of: Vec<&Judged> = areas.iter().filter(|a| Verdict::of(&a.known) == *verdict).collect();
            let count = |f: &dyn Fn(&Judged) -> bool| of.iter().filter(|a| f(a)).count();
            let right = count(&|a| a.is_right());
            let share = if of.is_empty() {
                "none".to_string()
            } else {
                format!("{:.2}", right as f64 / of.len() as f64)
            };
            vec![
                verdict.word().replace('_', " "),
                of.len().to_string(),
                right.to_string(),
                share,
                count(&|a| a.active).to_string(),
                count(&|a| a.design_focus).to_string(),
            ]
        })
        .collect();
    markdown(&names.map(String::from), &rows)
}

/// Merges the shares of a folder.
///
/// # Errors
/// A share is missing or cannot be read, or a file cannot be written.
pub fn merge(out: &Path) -> Result<(), String> {
    let shares = read_shares(out, "verdicts", &RAW)?;
    let mut rows: Vec<Vec<String>> = shares.iter().flat_map(|s| s.rows.clone()).collect();
    rows.sort();
    let path = out.join("verdicts.csv");
    write_csv(&path, &RAW, &rows)?;
    write_text(&out.join("verdicts.md"), &table(&judged(&Rows::read(&path, &RAW)?)?))
}
