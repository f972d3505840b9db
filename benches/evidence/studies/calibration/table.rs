//! Shares of the calibration study as tables, and what all of them say together.

use crate::studies::calibration::study_area::Design;
use crate::studies::calibration::{Replicate, picture, replicate};
use crate::studies::shard::Shard;
use crate::studies::tables::{markdown, write_text};
use crate::studies::uniformity::{EventTally, Uniformity};
use rayon::prelude::*;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Steps at which empirical distributions are looked at.
const POINTS: usize = 100;
/// Uniform samples behind a p-value: the least that can be said of thirteen quantities together is 0.0005.
const ROUNDS: usize = 30_000;
/// Seed of those samples.
const SEED: u64 = 97;
/// Edges of the classes of stated probability.
const CLASSES: [f64; 8] = [0.0, 0.05, 0.1, 0.25, 0.5, 0.75, 0.95, 1.0];

/// A rank as a row.
#[derive(Debug, Serialize, Deserialize)]
struct RankRow {
    replicate: u64,
    quantity: String,
    truth: f64,
    below: usize,
    of: usize,
    place: f64,
}

/// An event as a row.
#[derive(Debug, Serialize, Deserialize)]
struct EventRow {
    replicate: u64,
    event: String,
    above: usize,
    of: usize,
    happened: bool,
}

/// A run as a row.
#[derive(Debug, Serialize, Deserialize)]
struct RunRow {
    replicate: u64,
    positives: usize,
    trajectories: usize,
    least_ess: f64,
    largest_r_hat: f64,
    divergences: usize,
}

/// What the ranks of one quantity say.
#[derive(Debug, Clone, PartialEq)]
pub struct QuantityLine {
    /// Name.
    pub quantity: String,
    /// Places of the truth in (0, 1), in the order of the replicates.
    pub places: Vec<f64>,
    /// P(uniform places are at least as strange): see [`Uniformity::p_value`].
    pub p_value: f64,
}

impl QuantityLine {
    /// Mean place: 0.5, with standard error 0.289/√n, for a calibrated quantity.
    pub fn mean(&self) -> f64 {
        self.places.iter().sum::<f64>() / self.places.len() as f64
    }
    /// Share of truths within the central share of the samples: that share, for a calibrated quantity.
    pub fn within(&self, central: f64) -> f64 {
        let half = 0.5 * central;
        self.places.iter().filter(|u| (**u - 0.5).abs() < half).count() as f64 / self.places.len() as f64
    }
}

/// What all replicates say.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// Quantities, in the order of their first rank.
    pub quantities: Vec<QuantityLine>,
    /// Events: name, all cases, cases by class of stated probability.
    pub events: Vec<(String, EventTally, Vec<EventTally>)>,
}

impl Calibration {
    /// From replicates.
    pub fn of(replicates: &[Replicate]) -> Calibration {
        let ranks =
            replicates.iter().flat_map(|r| r.ranks.iter().map(|k| (k.quantity.as_str(), k.rank.place)));
        let events = replicates
            .iter()
            .flat_map(|r| r.events.iter().map(|e| (e.event.as_str(), e.above, e.of, e.happened)));
        Calibration::from_rows(ranks, events)
    }

    fn from_rows<'a>(
        ranks: impl Iterator<Item = (&'a str, f64)>,
        events: impl Iterator<Item = (&'a str, usize, usize, bool)>,
    ) -> Calibration {
        let mut places: Vec<(String, Vec<f64>)> = Vec::new();
        for (name, place) in ranks {
            match places.iter_mut().find(|p| p.0 == name) {
                Some((_, list)) => list.push(place),
                None => places.push((name.into(), vec![place])),
            }
        }
        let mut tests: BTreeMap<usize, Uniformity> = BTreeMap::new();
        let quantities = places
            .into_iter()
            .map(|(quantity, places)| {
                let n = places.len();
                let test = tests.entry(n).or_insert_with(|| Uniformity::new(n, POINTS, ROUNDS, SEED));
                let p_value = test.p_value(&places);
                QuantityLine { quantity, places, p_value }
            })
            .collect();
        let mut tallies: Vec<(String, EventTally, Vec<EventTally>)> = Vec::new();
        for (name, above, of, happened) in events {
            let k = tallies.iter().position(|t| t.0 == name).unwrap_or_else(|| {
                tallies.push((
                    name.into(),
                    EventTally::default(),
                    vec![EventTally::default(); CLASSES.len() - 1],
                ));
                tallies.len() - 1
            });
            tallies[k].1.add(above, of, happened);
            let stated = above as f64 / of as f64;
            let class = CLASSES[1..CLASSES.len() - 1].partition_point(|edge| *edge <= stated);
            tallies[k].2[class].add(above, of, happened);
        }
        Calibration { quantities, events: tallies }
    }

    /// P(some quantity is at least as strange, were all calibrated), at most: the smallest p-value times
    /// their number.
    ///
    /// # Source
    /// Bonferroni's inequality: holds whatever the dependence between quantities.
    pub fn false_alarm(&self) -> f64 {
        let least = self.quantities.iter().map(|q| q.p_value).fold(1.0, f64::min);
        (least * self.quantities.len() as f64).min(1.0)
    }

    /// The strangest quantity.
    pub fn strangest(&self) -> Option<&QuantityLine> {
        self.quantities.iter().min_by(|a, b| a.p_value.total_cmp(&b.p_value))
    }
}

fn path(out: &Path, what: &str, share: &str) -> PathBuf {
    out.join(format!("calibration-{what}{share}.csv"))
}

/// Runs a share of the study and writes its ranks, events and runs.
///
/// # Errors
/// A study area that cannot be laid out, a file that cannot be written.
pub fn share(out: &Path, shard: Shard) -> Result<(), String> {
    share_of(&Design::STUDY, out, shard)
}

pub fn share_of(design: &Design, out: &Path, shard: Shard) -> Result<(), String> {
    let mine: Vec<u64> = (0..design.replicates).filter(|k| shard.takes(*k as usize)).collect();
    let share = format!("-{}", shard.name());
    let mut ranks = Writer::new(path(out, "ranks", &share))?;
    let mut events = Writer::new(path(out, "events", &share))?;
    let mut runs = Writer::new(path(out, "runs", &share))?;
    // A few at a time, so that what is done is on file.
    for some in mine.chunks(8) {
        let done: Result<Vec<Replicate>, _> =
            some.par_iter().map(|k| replicate(design, *k, &|_| ())).collect();
        for r in done.map_err(|e| e.to_string())? {
            for k in r.ranks {
                let rank = k.rank;
                ranks.row(RankRow {
                    replicate: r.number,
                    quantity: k.quantity,
                    truth: k.truth,
                    below: rank.below,
                    of: rank.of,
                    place: rank.place,
                })?;
            }
            for e in r.events {
                let (above, of, happened) = (e.above, e.of, e.happened);
                events.row(EventRow { replicate: r.number, event: e.event, above, of, happened })?;
            }
            runs.row(RunRow {
                replicate: r.number,
                positives: r.positives,
                trajectories: r.trajectories,
                least_ess: r.least_ess,
                largest_r_hat: r.largest_r_hat,
                divergences: r.divergences,
            })?;
        }
        ranks.flush()?;
        events.flush()?;
        runs.flush()?;
    }
    Ok(())
}

/// Merges all shares: three tables, what each says as the evidence page shows it, and the picture of ranks.
///
/// # Errors
/// A share or a replicate that is missing or there twice, a file that cannot be read or written.
pub fn merge(out: &Path) -> Result<(), String> {
    merge_of(&Design::STUDY, out)
}

pub fn merge_of(design: &Design, out: &Path) -> Result<(), String> {
    let (mut ranks, mut events, mut runs) =
        (Vec::<RankRow>::new(), Vec::<EventRow>::new(), Vec::<RunRow>::new());
    read_shares(out, "ranks", &mut ranks)?;
    read_shares(out, "events", &mut events)?;
    read_shares(out, "runs", &mut runs)?;
    // Stable sorts: within a replicate the order of the quantities stays.
    ranks.sort_by_key(|r| r.replicate);
    events.sort_by_key(|r| r.replicate);
    runs.sort_by_key(|r| r.replicate);
    for k in 0..design.replicates {
        let found = runs.iter().filter(|r| r.replicate == k).count();
        if found != 1 {
            let mend = "run every share of one i/n, and leave no share of another n in the folder";
            return Err(format!("{}: replicate {k} is there {found} times; {mend}", out.display()));
        }
    }
    write_all(&path(out, "ranks", ""), &ranks)?;
    write_all(&path(out, "events", ""), &events)?;
    write_all(&path(out, "runs", ""), &runs)?;
    let said = Calibration::from_rows(
        ranks.iter().map(|r| (r.quantity.as_str(), r.place)),
        events.iter().map(|e| (e.event.as_str(), e.above, e.of, e.happened)),
    );
    let write = |name: &str, text: String| write_text(&out.join(name), &text);
    write("calibration-quantities.md", quantities_in_words(&said))?;
    write("calibration-events.md", events_in_words(&said))?;
    write("calibration-runs.md", runs_in_words(design, &runs))?;
    write("calibration.svg", picture::picture(&said, POINTS, ROUNDS, SEED))
}

fn quantities_in_words(said: &Calibration) -> String {
    let rows: Vec<Vec<String>> = said
        .quantities
        .iter()
        .map(|q| {
            let held = format!("{:.3}; {:.3}", q.within(0.5), q.within(0.9));
            let (name, n) = (picture::words(&q.quantity), q.places.len().to_string());
            vec![name, n, format!("{:.3}", q.mean()), held, format!("{:.3}", q.p_value)]
        })
        .collect();
    let column_names =
        ["quantity", "ranks", "mean place", "within the central 50 %; 90 %", "p"].map(String::from);
    let (n, false_alarm) = (said.quantities.len(), said.false_alarm());
    format!("{}\nSmallest p times {n}: {false_alarm:.3}.\n", markdown(&column_names, &rows))
}

fn events_in_words(said: &Calibration) -> String {
    let mut rows = Vec::new();
    for (name, all, classes) in &said.events {
        let named = CLASSES.windows(2).map(|w| format!("{} to {}", w[0], w[1]));
        for (class, tally) in
            named.zip(classes).chain([("any".to_string(), all)]).filter(|(_, t)| t.cases > 0)
        {
            let n = tally.cases as f64;
            let errors = tally.errors().map_or(String::new(), |e| format!("{e:.2}"));
            let shares = [tally.stated / n, tally.happened as f64 / n].map(|v| format!("{v:.3}"));
            let [stated, happened] = shares;
            let name = picture::words(name);
            rows.push(vec![name, class, tally.cases.to_string(), stated, happened, errors]);
        }
    }
    let column_names = ["event", "stated probability", "cases", "mean stated", "happened", "standard errors"];
    markdown(&column_names.map(String::from), &rows)
}

fn runs_in_words(design: &Design, runs: &[RunRow]) -> String {
    let count = |f: &dyn Fn(&RunRow) -> bool| runs.iter().filter(|r| f(r)).count();
    format!(
        "{} replicates; {} without a positive, {:.1} positives on average; {} with fewer than {} effective \
         draws, \
         {} with R-hat of 1.05 or more, {} with a divergent trajectory.\n",
        runs.len(),
        count(&|r| r.positives == 0),
        runs.iter().map(|r| r.positives as f64).sum::<f64>() / runs.len() as f64,
        count(&|r| r.least_ess < design.kept as f64),
        design.kept,
        count(&|r| r.largest_r_hat >= 1.05),
        count(&|r| r.divergences > 0),
    )
}

struct Writer {
    file: PathBuf,
    csv: csv::Writer<std::fs::File>,
}

impl Writer {
    fn new(file: PathBuf) -> Result<Writer, String> {
        let csv = csv::Writer::from_path(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        Ok(Writer { file, csv })
    }
    fn row(&mut self, row: impl Serialize) -> Result<(), String> {
        self.csv.serialize(row).map_err(|e| format!("{}: {e}", self.file.display()))
    }
    fn flush(&mut self) -> Result<(), String> {
        self.csv.flush().map_err(|e| format!("{}: {e}", self.file.display()))
    }
}

fn write_all(file: &Path, rows: &[impl Serialize]) -> Result<(), String> {
    let mut out = Writer::new(file.to_path_buf())?;
    rows.iter().try_for_each(|r| out.row(r))?;
    out.flush()
}

/// All rows of `calibration-WHAT-i-of-n.csv` in a folder.
fn read_shares<T: DeserializeOwned>(out: &Path, what: &str, rows: &mut Vec<T>) -> Result<(), String> {
    let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", out.display());
    let mut files = Vec::new();
    for entry in std::fs::read_dir(out).map_err(|e| fault(&e))? {
        let file = entry.map_err(|e| fault(&e))?.path();
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if name.starts_with(&format!("calibration-{what}-"))
            && name.contains("-of-")
            && name.ends_with(".csv")
        {
            files.push(file);
        }
    }
    files.sort();
    for file in files {
        let fault = |e: csv::Error| format!("{}: {e}", file.display());
        for row in csv::Reader::from_path(&file).map_err(fault)?.deserialize() {
            rows.push(row.map_err(fault)?);
        }
    }
    Ok(())
}
