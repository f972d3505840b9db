//! Study `priors`: other priors of the hazard field, judged by pigs that were held out and by the known
//! truth.
//!
//! Of every study area a fifth of the pigs, drawn by lot, is held out; each prior is fitted to the others, on
//! the same study areas and the same lots. What is held out tells which prior predicts better; the truth
//! tells what became of foci, small foci and intervals.
//!
//! A share takes (prior, seed) pairs and writes `priors-<share>.csv` (measures as sums) and
//! `priors-pigs-<share>.csv` (log score of each pig held out); merging writes `priors.md` and `priors.csv`.
//! What the first seeds suggest is asked again on fresh ones (`fresh-priors`): of seven priors one or the
//! other looks better by chance. What did best there, and had not been asked about by itself, once more
//! against the present default (`again-priors`).

use crate::studies::measures::measures;
use crate::studies::paired::Difference;
use crate::studies::shard::Shard;
use crate::studies::study_areas::{Scored, Size, folder_of, study_of};
use crate::studies::tables::{markdown, read_shares, write_csv, write_text};
use pignut::internals::pipeline::analysis::{Analysis, Prepared};
use pignut::internals::pipeline::held_out::predicted;
use pignut::internals::records::Pig;
use pignut::internals::report;
use pignut::internals::report::folder::Staging;
use pignut::internals::report::manifest::Times;
use pignut::internals::score::score;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use pignut::internals::study::model_keys::Link;
use pignut::internals::study::study_file::Study;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use std::collections::BTreeMap;
use std::path::Path;

/// Seeds of the study; none of them is on the evidence page's list of study areas.
pub const SEEDS: [u64; 8] = [301, 302, 303, 304, 305, 306, 307, 308];
/// Seeds on which the choice made after seeing the others is asked again.
pub const FRESH: [u64; 8] = [311, 312, 313, 314, 315, 316, 317, 318];
/// Seeds on which what did best on those is asked once more, against the present default.
pub const AGAIN: [u64; 8] = [321, 322, 323, 324, 325, 326, 327, 328];
/// Share of the pigs held out.
const HELD_OUT: f64 = 0.2;
/// Stream of the lots.
const STREAM: u64 = 1 << 41;
/// Name of the priors that were the default before this study.
pub const FORMER: &str = "former";
/// Name of those that are the default since.
pub const PRESENT: &str = "wide-sd";

/// One choice of priors.
pub struct Prior {
    /// Name in tables and folders.
    pub name: &'static str,
    /// What it is, in words.
    pub told: &'static str,
    /// What it has other than the former default.
    change: fn(&mut Study),
}

impl Prior {
    /// Gives a study this choice, and all else as by the former default.
    pub fn apply(&self, study: &mut Study) {
        (study.field.sd_upper, study.field.persistence_lower) = (1.5, 0.75);
        (self.change)(study);
    }
}

/// The default before this study, then the others. The wider s.d. is the default since.
pub const PRIORS: &[Prior] = &[
    Prior { name: FORMER, told: "former default (P(s.d. > 1.5) = 0.05)", change: |_| () },
    Prior {
        name: "focus-fifth",
        told: "a fifth of the variance at a range of 1.5 km (`field.focus_share = 0.2`)",
        change: |s| s.field.focus_share = 0.2,
    },
    Prior {
        name: "focus-half",
        told: "half of the variance at a range of 1.5 km (`field.focus_share = 0.5`)",
        change: |s| s.field.focus_share = 0.5,
    },
    Prior {
        name: "resident-scale",
        told: "ranges down to a resident's (start 3 km, P(< 0.5 km) = 0.05)",
        change: |s| (s.field.range_m, s.field.range_lower_m) = (3000.0, 500.0),
    },
    Prior {
        name: "heavy-tail",
        told: "heavier tail of the force of infection (`link = \"exp\"`, level −4)",
        change: |s| (s.field.link, s.field.level_mean, s.field.sd) = (Link::Exp, -4.0, 1.5),
    },
    Prior { name: "wide-sd", told: "wider s.d. (P(> 3) = 0.05)", change: |s| s.field.sd_upper = 3.0 },
    Prior { name: "quarters", told: "periods of three months", change: |s| s.grid.period_months = 3 },
    Prior {
        name: "quick-change",
        told: "quicker change allowed (P(half-year correlation < 0.4) = 0.05)",
        change: |s| s.field.persistence_lower = 0.4,
    },
];

/// What the study of [`PRIORS`] suggested: the two that predicted better, together. Asked on [`FRESH`] seeds,
/// as each of the two alone.
pub const SUGGESTED: &[Prior] = &[
    Prior {
        name: "quick-and-wider",
        told: "quicker change and an s.d. a little wider (P(> 2) = 0.05)",
        change: |s| (s.field.sd_upper, s.field.persistence_lower) = (2.0, 0.4),
    },
    Prior {
        name: "loose",
        told: "quicker change and a wider s.d. (P(> 3) = 0.05)",
        change: |s| (s.field.sd_upper, s.field.persistence_lower) = (3.0, 0.4),
    },
];

/// Measures shown, with their column names; each is above ÷ below.
const SHOWN: [(&str, &str); 9] = [
    ("auc", "AUC"),
    ("brier", "Brier score"),
    ("hot_ratio", "foci: mean estimate over mean truth"),
    ("hazard_90_raised", "90 % intervals of the hazard, truth above 0.02"),
    ("window_90", "90 % windows hold"),
    ("origin_90", "90 % origin areas hold"),
    ("foci_found", "foci found"),
    ("foci_found_new_or_small", "new or small foci found"),
    ("seconds", "seconds"),
];

const RAW: [&str; 5] = ["prior", "seed", "measure", "above", "below"];
const PIGS: [&str; 4] = ["prior", "seed", "pig", "log_score"];

/// Runs the share of all pairs.
///
/// # Errors
/// Whatever stopped it.
pub fn share(out: &Path, shard: Shard) -> Result<(), String> {
    share_of(out, "priors", shard, &Size::STUDY, &SEEDS, &PRIORS.iter().collect::<Vec<_>>())?;
    share_of(out, "fresh-priors", shard, &Size::STUDY, &FRESH, &asked_afresh())?;
    share_of(out, "again-priors", shard, &Size::STUDY, &AGAIN, &asked_again())
}

fn named(names: &[&str]) -> Vec<&'static Prior> {
    PRIORS.iter().chain(SUGGESTED).filter(|p| names.contains(&p.name)).collect()
}

/// The former default, what predicted better than it, and that together.
pub fn asked_afresh() -> Vec<&'static Prior> {
    named(&[FORMER, PRESENT, "quick-change", "quick-and-wider", "loose"])
}

/// The present default, and what predicted best when it was asked afresh.
pub fn asked_again() -> Vec<&'static Prior> {
    named(&[PRESENT, "loose"])
}

/// Runs a share of some priors on some seeds, into tables of a stem.
///
/// # Errors
/// Whatever stopped it.
pub fn share_of(
    out: &Path,
    stem: &str,
    shard: Shard,
    size: &Size,
    seeds: &[u64],
    priors: &[&Prior],
) -> Result<(), String> {
    let (mut raw, mut pigs) = (Vec::new(), Vec::new());
    let pairs = seeds.iter().flat_map(|s| priors.iter().map(move |p| (*s, *p)));
    for (_, (seed, prior)) in pairs.enumerate().filter(|(k, _)| shard.takes(*k)) {
        let (run, scores) = one(out, prior, seed, size)?;
        let key = [prior.name.to_string(), seed.to_string()];
        let row = |fields: Vec<String>| key.iter().cloned().chain(fields).collect::<Vec<_>>();
        raw.extend(
            measures(&run).into_iter().map(|m| row(vec![m.name, m.above.to_string(), m.below.to_string()])),
        );
        pigs.extend(scores.into_iter().map(|(id, score)| row(vec![id, score.to_string()])));
    }
    write_csv(&out.join(format!("{stem}-{}.csv", shard.name())), &RAW, &raw)?;
    write_csv(&out.join(format!("{stem}-pigs-{}.csv", shard.name())), &PIGS, &pigs)
}

/// One study area under one prior: the score of its answer without the pigs held out, and their log scores by
/// id.
fn one(out: &Path, prior: &Prior, seed: u64, size: &Size) -> Result<(Scored, Vec<(String, f64)>), String> {
    let folder = folder_of(out, prior.name, seed);
    let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", folder.display());
    let study_area = simulate(&size.neutral(seed)).map_err(|e| fault(&e))?;
    write(&study_area, &folder).map_err(|e| fault(&e))?;
    let mut study = study_of(&folder, size)?;
    prior.apply(&mut study);
    study.check("the prior").map_err(|e| fault(&e))?;
    let mut others = Prepared::read(study).map_err(|e| fault(&e))?;
    // The grid is that of all pigs: every prior has the same cells, and those held out lie on it.
    let mut lots = ChaCha12Rng::seed_from_u64(seed);
    lots.set_stream(STREAM);
    let all = std::mem::take(&mut others.layout.records.pigs);
    let (held, kept): (Vec<Pig>, Vec<Pig>) = all.into_iter().partition(|_| lots.random::<f64>() < HELD_OUT);
    others.layout.records.pigs = kept;
    let staging = Staging::begin(&folder.join("result")).map_err(|e| fault(&e))?;
    let analysis: Analysis = others.analyse(&|_| ()).map_err(|e| fault(&e))?;
    report::write(&analysis, staging, &Times::default()).map_err(|e| fault(&e))?;
    let told = predicted(&held, &analysis.layout, &analysis.posterior).map_err(|e| fault(&e))?;
    let scores = held.iter().map(|p| p.id.clone()).zip(told.log_scores()).collect();
    let posterior = &analysis.posterior;
    let run = Scored {
        score: score(&folder.join("result"), &folder.join("truth")).map_err(|e| fault(&e))?,
        largest_r_hat: posterior.watched.iter().filter_map(|w| w.convergence.r_hat).reduce(f64::max),
        divergent: posterior.chains.iter().map(|c| c.divergences as u64).sum(),
        seconds: analysis.seconds.iter().sum(),
        folder,
    };
    Ok((run, scores))
}

/// Merges all shares to `priors`, `fresh-priors` and `again-priors`, `.md` and `.csv`.
///
/// # Errors
/// A share cannot be read, or the priors that the others are compared with are missing.
pub fn merge(out: &Path) -> Result<(), String> {
    merge_table(out, "priors", FORMER)?;
    merge_table(out, "fresh-priors", FORMER)?;
    merge_table(out, "again-priors", PRESENT)
}

/// Merges all shares of a stem to `STEM.md` and `STEM.csv`, each choice compared with the one named `base`.
///
/// # Errors
/// As [`merge`].
pub fn merge_table(out: &Path, stem: &str, base: &str) -> Result<(), String> {
    let mut sums: BTreeMap<(String, String), (f64, f64)> = BTreeMap::new();
    for table in read_shares(out, stem, &RAW)? {
        for (i, r) in table.rows.iter().enumerate() {
            let sum = sums.entry((r[0].clone(), r[2].clone())).or_default();
            *sum = (sum.0 + table.number(i, 3)?, sum.1 + table.number(i, 4)?);
        }
    }
    // Prior → (seed, pig) → log score.
    let mut scores: BTreeMap<String, BTreeMap<(String, String), f64>> = BTreeMap::new();
    for table in read_shares(out, &format!("{stem}-pigs"), &PIGS)? {
        for (i, r) in table.rows.iter().enumerate() {
            scores.entry(r[0].clone()).or_default().insert((r[1].clone(), r[2].clone()), table.number(i, 3)?);
        }
    }
    let usual =
        scores.get(base).ok_or_else(|| format!("no share of {stem} holds {base:?}; run all shares first"))?;
    let mut rows = Vec::new();
    for prior in PRIORS.iter().chain(SUGGESTED).filter(|p| scores.contains_key(p.name)) {
        let own = &scores[prior.name];
        let total: f64 = own.values().sum();
        let mut row = vec![prior.told.to_string(), own.len().to_string(), format!("{total:.1}")];
        let pairs: Vec<f64> = own.iter().filter_map(|(pig, s)| Some(s - usual.get(pig)?)).collect();
        row.push(match Difference::of(&pairs).filter(|_| prior.name != base) {
            None => String::new(),
            // Of the sum over pigs, not of their mean.
            Some(d) => {
                let n = pairs.len() as f64;
                let star = if d.is_clear() { "*" } else { "" };
                format!("{:+.1} ± {:.1}{star}", n * d.mean, n * d.standard_error.unwrap_or(f64::NAN))
            }
        });
        row.extend(SHOWN.iter().map(|(name, _)| {
            let sum = sums.get(&(prior.name.to_string(), name.to_string())).filter(|s| s.1 > 0.0);
            sum.map_or("no case".into(), |s| format!("{:.3}", s.0 / s.1))
        }));
        rows.push(row);
    }
    let column_names: Vec<&str> = ["prior", "pigs held out", "their log score", "gain on the first row"]
        .into_iter()
        .chain(SHOWN.iter().map(|s| s.1))
        .collect();
    write_csv(&out.join(format!("{stem}.csv")), &column_names, &rows)?;
    let column_names: Vec<String> = column_names.into_iter().map(String::from).collect();
    let path = out.join(format!("{stem}.md"));
    write_text(&path, &markdown(&column_names, &rows))
}
