//! Study `plain_practice`: the same records given to plain and to general-purpose methods, scored alike.
//!
//! A share takes seeds. For each neutral study area (shared with `wrong_assumptions` where both write to one
//! folder) it runs the main job and writes, under `study-areas/neutral-<seed>/plain`:
//!
//! | file | what |
//! | --- | --- |
//! | `records.csv` | the pigs, placed and timed, without the truth |
//! | `cells.csv` | cells to be judged, without the truth |
//! | `given.json` | threshold, recent months, ages and sensitivity that every method may use |
//! | `simple.csv` | answers of raw and of kernel-smoothed prevalence |
//! | `answers.csv` | answers of the general-purpose methods, written by `scripts/plain-practice` |
//!
//! Sentinels are left to the main job alone: their exposure is not that of a wild pig. A method that
//! states no probability of an active cell is ranked and not scored otherwise.
//! Merging writes `plain-practice.md` and `.csv`.

use crate::studies::paired::Difference;
use crate::studies::proper_scores::{brier, log_score};
use crate::studies::shard::Shard;
use crate::studies::study_areas::{Scored, Size, folder_of, scored, study_of};
use crate::studies::tables::{Rows, markdown, write_csv, write_text};
use pignut::internals::pipeline::analysis::Prepared;
use pignut::internals::records::{Age, DAYS_PER_YEAR, LabResult, Pig, Sex, day_number};
use pignut::internals::score::baselines::plain_scores;
use pignut::internals::score::cells::{ScoredCell, scored_cells};
use pignut::internals::score::tally::auc;
use serde_json::json;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Seeds of the study; the first are those of `wrong_assumptions`.
pub const SEEDS: [u64; 6] = [201, 202, 203, 204, 205, 206];
/// Age of the standard young pig for methods that predict prevalence, months.
const STANDARD_AGE_MONTHS: f64 = 12.0;
/// Window of methods that know no time, months.
const WINDOW_MONTHS: f64 = 24.0;
/// Shortest exposure given to a method, years: younger pigs cannot show a lesion yet.
const LEAST_EXPOSURE_YEARS: f64 = 1.0 / 24.0;
/// Probabilities nearer to 0 or 1 count as this in the log score: a share of 1000 draws says no less.
const LEAST_PROB: f64 = 1e-3;

/// Name of the main job in tables.
const OWN: &str = "p_active";
/// Column names of `simple.csv` and `answers.csv`.
pub const ANSWERS: [&str; 4] = ["method", "cell_id", "score", "p_active"];

/// Runs a share at the study's size.
///
/// # Errors
/// Whatever stopped it.
pub fn share(out: &Path, shard: Shard) -> Result<(), String> {
    share_of(out, shard, &Size::STUDY, &SEEDS)
}

/// Runs a share of some seeds.
///
/// # Errors
/// Whatever stopped it.
pub fn share_of(out: &Path, shard: Shard, size: &Size, seeds: &[u64]) -> Result<(), String> {
    for seed in seeds.iter().enumerate().filter(|(k, _)| shard.takes(*k)).map(|s| *s.1) {
        let run = scored(out, crate::studies::misspecification::NEUTRAL, &size.neutral(seed), size)?;
        hand_out(&run, size)?;
    }
    Ok(())
}

/// Writes what the other methods are given, and the answers of the simple ones.
fn hand_out(run: &Scored, size: &Size) -> Result<(), String> {
    let folder = run.folder.join("plain");
    let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", folder.display());
    std::fs::create_dir_all(&folder).map_err(|e| fault(&e))?;
    let layout = Prepared::read(study_of(&run.folder, size)?).map_err(|e| fault(&e))?.layout;
    let (study, end) = (&layout.study, day_number(layout.as_of) + 1.0);
    let detection = &study.detection;
    let pigs: Vec<&Pig> = layout.records.pigs.iter().filter(|p| p.released_on.is_none()).collect();

    let lag_months = 0.5 * (detection.lag_start_months + detection.lag_full_months);
    let records: Vec<Vec<String>> = pigs
        .iter()
        .map(|p| {
            let age = match p.age {
                Age::Interval { min_months, max_months } => Some(0.5 * (min_months + max_months)),
                Age::Unknown => None,
            };
            let exposure = age
                .map(|a| ((a - study.exposure.start_months - lag_months) / 12.0).max(LEAST_EXPOSURE_YEARS));
            let word = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
            let sex = match p.sex {
                Sex::Female => "female",
                Sex::Male => "male",
                Sex::Unknown => "",
            };
            vec![
                p.easting_m.to_string(),
                p.northing_m.to_string(),
                ((end - p.killed.mid_day()) / DAYS_PER_YEAR).to_string(),
                word(age),
                word(exposure),
                sex.into(),
                u8::from(p.is_positive()).to_string(),
            ]
        })
        .collect();
    let column_names =
        ["easting_m", "northing_m", "years_before_end", "age_months", "exposure_years", "sex", "positive"];
    write_csv(&folder.join("records.csv"), &column_names, &records)?;

    let cells = cells_of(run)?;
    let place = |c: &ScoredCell| vec![c.cell_id.clone(), c.easting_m.to_string(), c.northing_m.to_string()];
    let rows: Vec<Vec<String>> = cells.iter().map(place).collect();
    write_csv(&folder.join("cells.csv"), &["cell_id", "easting_m", "northing_m"], &rows)?;

    // Lesions that the laboratory judges are lost at its own sensitivity.
    let lesioned = || pigs.iter().filter(|p| p.inspection.gross_lesion == Some(true));
    let judged = lesioned()
        .filter(|p| matches!(p.inspection.lab_result, Some(LabResult::Positive | LabResult::Negative)))
        .count() as f64
        / lesioned().count().max(1) as f64;
    let standard = (STANDARD_AGE_MONTHS - study.exposure.start_months - lag_months) / 12.0;
    let given = json!({
        "hazard_threshold_per_year": study.recent.force_of_infection_threshold,
        "recent_months": study.recent.months,
        "window_months": WINDOW_MONTHS,
        "standard_age_months": STANDARD_AGE_MONTHS,
        "standard_exposure_years": standard,
        "sensitivity": detection.gross_sensitivity * (1.0 - judged * (1.0 - detection.culture_sensitivity)),
    });
    let path = folder.join("given.json");
    write_text(&path, &format!("{given:#}\n"))?;

    let simple = plain_scores(&run.result(), &run.truth()).map_err(|e| fault(&e))?;
    let mut rows = Vec::new();
    for (name, scores) in &simple {
        let row =
            |(c, s): (&ScoredCell, &f64)| vec![name.clone(), c.cell_id.clone(), s.to_string(), String::new()];
        rows.extend(cells.iter().zip(scores).map(row));
    }
    write_csv(&folder.join("simple.csv"), &ANSWERS, &rows)
}

fn cells_of(run: &Scored) -> Result<Vec<ScoredCell>, String> {
    scored_cells(&run.result(), &run.truth()).map_err(|e| format!("{}: {e}", run.folder.display()))
}

/// What a method said of every cell, in the order of the cells.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodAnswer {
    /// Method.
    pub name: String,
    /// By which cells are ranked.
    pub scores: Vec<f64>,
    /// Stated probabilities of being active, when it states them.
    pub probs: Option<Vec<f64>>,
}

/// Score and stated probability of one cell.
type Said = (f64, Option<f64>);

/// Reads answers; every method must speak of every cell once.
///
/// # Errors
/// The table cannot be read, a value is no number or no probability, a cell is unknown, missing or twice
/// there.
pub fn read_answers(path: &Path, cells: &[ScoredCell]) -> Result<Vec<MethodAnswer>, String> {
    let table = Rows::read(path, &ANSWERS)?;
    let at: BTreeMap<&str, usize> = cells.iter().enumerate().map(|(i, c)| (c.cell_id.as_str(), i)).collect();
    let mut methods: Vec<(String, Vec<Option<Said>>)> = Vec::new();
    for (i, row) in table.rows.iter().enumerate() {
        let fault = |what: String| {
            format!("{} row {}: {what}; run scripts/plain-practice again", path.display(), i + 2)
        };
        let cell = *at
            .get(row[1].as_str())
            .ok_or_else(|| fault(format!("{:?} is no cell of this study area", row[1])))?;
        let score = table.number(i, 2)?;
        let prob = (!row[3].is_empty()).then(|| table.number(i, 3)).transpose()?;
        if prob.is_some_and(|p| !(0.0..=1.0).contains(&p)) {
            return Err(fault(format!("p_active {} is no probability", row[3])));
        }
        let k = methods.iter().position(|m| m.0 == row[0]).unwrap_or_else(|| {
            methods.push((row[0].clone(), vec![None; cells.len()]));
            methods.len() - 1
        });
        if methods[k].1[cell].replace((score, prob)).is_some() {
            return Err(fault(format!("{} speaks twice of cell {}", row[0], row[1])));
        }
    }
    methods
        .into_iter()
        .map(|(name, said)| {
            let all: Option<Vec<Said>> = said.into_iter().collect();
            let path = path.display();
            let all = all.ok_or_else(|| {
                format!("{path}: {name} leaves out a cell; run scripts/plain-practice again")
            })?;
            let probs = all.iter().map(|a| a.1).collect();
            Ok(MethodAnswer { name, scores: all.iter().map(|a| a.0).collect(), probs })
        })
        .collect()
}

/// Scores of one method in one study area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MethodScore {
    /// Area under the curve.
    pub auc: Option<f64>,
    /// Brier score, where probabilities are stated.
    pub brier: Option<f64>,
    /// Mean −ln probability, where probabilities are stated.
    pub log_score: Option<f64>,
    /// Mean stated probability.
    pub mean_prob: Option<f64>,
}

/// Scores a method's answer.
pub fn score_method(answer: &MethodAnswer, active: &[bool]) -> MethodScore {
    let probs = answer.probs.as_deref();
    MethodScore {
        auc: auc(active, &answer.scores),
        brier: probs.and_then(|p| brier(active, p)),
        log_score: probs.and_then(|p| log_score(active, p, LEAST_PROB)),
        mean_prob: probs.filter(|p| !p.is_empty()).map(|p| p.iter().sum::<f64>() / p.len() as f64),
    }
}

/// Merges all study areas to `plain-practice.md` and `plain-practice.csv`.
///
/// # Errors
/// A study area is missing, or was not answered by the general-purpose methods.
pub fn merge(out: &Path) -> Result<(), String> {
    merge_of(out, &Size::STUDY, &SEEDS)
}

/// Merges the study areas of some seeds.
///
/// # Errors
/// As [`merge`].
pub fn merge_of(out: &Path, size: &Size, seeds: &[u64]) -> Result<(), String> {
    // Method → seed → score, methods in the order in which they first speak.
    let mut order: Vec<String> = Vec::new();
    let mut scores: BTreeMap<(String, u64), MethodScore> = BTreeMap::new();
    for &seed in seeds {
        let folder = folder_of(out, crate::studies::misspecification::NEUTRAL, seed);
        if !folder.join("plain/simple.csv").is_file() {
            return Err(format!(
                "{}: is not complete; run the share that holds seed {seed} first",
                folder.display()
            ));
        }
        let run = scored(out, crate::studies::misspecification::NEUTRAL, &size.neutral(seed), size)?;
        let cells = cells_of(&run)?;
        let active: Vec<bool> = cells.iter().map(|c| c.active).collect();
        let share = active.iter().filter(|a| **a).count() as f64 / active.len() as f64;
        let probs: Vec<f64> = cells.iter().map(|c| c.p_active).collect();
        let constant = vec![share; cells.len()];
        let mut answers = vec![
            MethodAnswer { name: OWN.into(), scores: probs.clone(), probs: Some(probs) },
            MethodAnswer {
                name: "the true share everywhere".into(),
                scores: constant.clone(),
                probs: Some(constant),
            },
        ];
        answers.extend(read_answers(&folder.join("plain/simple.csv"), &cells)?);
        answers.extend(read_answers(&answered(&folder, out)?, &cells)?);
        for a in answers {
            if !order.contains(&a.name) {
                order.push(a.name.clone());
            }
            scores.insert((a.name.clone(), seed), score_method(&a, &active));
        }
    }
    let of = |name: &str, seed: u64| scores.get(&(name.to_string(), seed));
    let word = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
    let mut raw = Vec::new();
    let mut rows = Vec::new();
    for name in &order {
        for &seed in seeds {
            if let Some(s) = of(name, seed) {
                let figures = [s.auc, s.brier, s.log_score, s.mean_prob].map(word);
                raw.push([name.clone(), seed.to_string()].into_iter().chain(figures).collect());
            }
        }
        let mut row = vec![name.clone()];
        for get in [|s: &MethodScore| s.auc, |s: &MethodScore| s.brier, |s: &MethodScore| s.log_score] {
            let pairs: Vec<(f64, Option<f64>)> = seeds
                .iter()
                .filter_map(|&seed| Some((get(of(name, seed)?)?, of(OWN, seed).and_then(get))))
                .collect();
            row.push(match Difference::of(&pairs.iter().map(|p| p.0).collect::<Vec<_>>()) {
                None => "states none".into(),
                Some(own) => format!("{:.3}", own.mean),
            });
            let differences: Vec<f64> = pairs.iter().filter_map(|p| Some(p.1? - p.0)).collect();
            row.push(match Difference::of(&differences) {
                Some(d) if name != OWN => d.words(),
                _ => String::new(),
            });
        }
        rows.push(row);
    }
    write_csv(
        &out.join("plain-practice.csv"),
        &["method", "seed", "auc", "brier", "log_score", "mean_p_active"],
        &raw,
    )?;
    let column_names =
        ["method", "AUC", "own less this", "Brier score", "own less this", "log score", "own less this"];
    let text = format!(
        "Means over {} study areas; differences are paired by study area, ± standard error, with a star \
         where Student's test at 5 % tells them from 0. AUC: more is better; \
         Brier and log score: less is better.\n\n{}",
        seeds.len(),
        markdown(&column_names.map(String::from), &rows)
    );
    let path = out.join("plain-practice.md");
    write_text(&path, &text)
}

fn answered(folder: &Path, out: &Path) -> Result<PathBuf, String> {
    let path = folder.join("plain/answers.csv");
    if path.is_file() {
        return Ok(path);
    }
    Err(format!("{} is missing; run scripts/plain-practice {} first", path.display(), out.display()))
}
