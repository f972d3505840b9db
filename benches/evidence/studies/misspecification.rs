//! Study `wrong_assumptions`: study areas that are not as the study file assumes, and what then stays right.
//!
//! Every assumption is broken alone, on the same seeds as the neutral study area: land, foci, effort and
//! the streams of chance are those of the seed; pigs' lives differ from where the broken assumption first
//! tells. Only the study area is changed: each is analysed with the default study file.
//!
//! A share takes (assumption, seed) pairs. It writes `wrong-assumptions-<share>.csv` (measures as sums),
//! `wrong-areas-<share>.csv` and `wrong-foci-<share>.csv`; merging writes `wrong-assumptions.md` and
//! `.csv`, the rows of all shares as `wrong-areas.csv` and `wrong-foci.csv`, and what the evidence page
//! shows of them as `wrong-headlines.md` and `wrong-areas.md`. Study areas with their answers stay under
//! `study-areas`.

use crate::studies::measures::{SHOWN, Shown, measures};
use crate::studies::paired::Difference;
use crate::studies::shard::Shard;
use crate::studies::study_areas::{Scored, Size, scored};
use crate::studies::tables::{Rows, markdown, read_shares, write_csv, write_text};
use pignut::internals::score::areas::{AreaStated, area_bins};
use pignut::internals::score::foci::{FOCUS_CLASSES, FocusFound};
use pignut::internals::simulate::scenario::Scenario;
use std::collections::BTreeMap;
use std::path::Path;

/// Seeds of the study; none of them is on the evidence page's list of study areas.
pub const SEEDS: [u64; 3] = [201, 202, 203];
/// Name of the study area that is as assumed.
pub const NEUTRAL: &str = "neutral";

/// One broken assumption.
pub struct Assumption {
    /// Name in tables and folders.
    pub name: &'static str,
    /// What is so in the study area, in words.
    pub told: &'static str,
    /// Makes it so.
    pub change: fn(&mut Scenario),
}

/// The neutral study area, then every broken assumption.
pub const ASSUMPTIONS: &[Assumption] = &[
    Assumption { name: NEUTRAL, told: "as the study file assumes", change: |_| () },
    Assumption { name: "range-half", told: "home ranges half as wide", change: |s| s.home_range_scale = 0.5 },
    Assumption {
        name: "range-double",
        told: "home ranges twice as wide",
        change: |s| s.home_range_scale = 2.0,
    },
    Assumption {
        name: "dispersal-double",
        told: "natal dispersal twice as far (mean 8 km)",
        change: |s| s.dispersal_scale = 2.0,
    },
    Assumption {
        name: "dispersal-tail",
        told: "heavier-tailed dispersal of the same mean (Weibull, shape 0.5)",
        change: |s| s.dispersal_shape = 0.5,
    },
    Assumption {
        name: "ramp-later",
        told: "lesions show 3 months later",
        change: |s| s.ramp_shift_months = 3.0,
    },
    Assumption { name: "ages-low", told: "ages 3 months too low", change: |s| s.age_bias_months = -3.0 },
    Assumption { name: "ages-high", told: "ages 3 months too high", change: |s| s.age_bias_months = 3.0 },
    Assumption {
        name: "effort-clustered",
        told: "six times the effort within 3 km of a lesioned pig, for a year",
        change: |s| s.effort_on_past_positives = 5.0,
    },
    Assumption {
        name: "litters",
        told: "litters share their lot, in infection and under the gun",
        change: |s| s.litter_correlation = 1.0,
    },
    Assumption {
        name: "pig-to-pig",
        told: "pigs infect pigs: 0.1 a year from each infected pig in the square kilometre",
        change: |s| s.pig_to_pig = 0.1,
    },
    Assumption {
        name: "foci-small",
        told: "foci half as wide and four times as strong",
        change: |s| s.focus_radius_scale = 0.5,
    },
];

/// Measures that the evidence page shows.
const HEADLINES: [&str; 8] =
    ["auc", "brier", "p_active_excess", "hot_ratio", "window_90", "origin_90", "p_free_excess", "removed"];

const RAW: [&str; 5] = ["assumption", "seed", "measure", "above", "below"];
const AREAS: [&str; 5] = ["assumption", "seed", "zone_id", "p_active_any", "active"];
const FOCI: [&str; 12] = [
    "assumption",
    "seed",
    "focus",
    "age_years",
    "radius_m",
    "hazard_at_end_per_year",
    "pigs",
    "positives",
    "cells",
    "p_active_mean",
    "p_active_most",
    "above_inactive",
];

/// Runs a share at the study's size.
///
/// # Errors
/// Whatever stopped it.
pub fn share(out: &Path, shard: Shard) -> Result<(), String> {
    share_of(out, shard, &Size::STUDY, &SEEDS, ASSUMPTIONS)
}

/// Runs a share of some assumptions on some seeds.
///
/// # Errors
/// Whatever stopped it.
pub fn share_of(
    out: &Path,
    shard: Shard,
    size: &Size,
    seeds: &[u64],
    assumptions: &[Assumption],
) -> Result<(), String> {
    let (mut raw, mut areas, mut foci) = (Vec::new(), Vec::new(), Vec::new());
    let pairs = seeds.iter().flat_map(|s| assumptions.iter().map(move |a| (*s, a)));
    for (_, (seed, a)) in pairs.enumerate().filter(|(k, _)| shard.takes(*k)) {
        let mut scenario = size.neutral(seed);
        (a.change)(&mut scenario);
        let run = scored(out, a.name, &scenario, size)?;
        let key = [a.name.to_string(), seed.to_string()];
        let row = |fields: Vec<String>| key.iter().cloned().chain(fields).collect::<Vec<_>>();
        raw.extend(
            measures(&run).into_iter().map(|m| row(vec![m.name, m.above.to_string(), m.below.to_string()])),
        );
        areas.extend(area_rows(&run).into_iter().map(row));
        foci.extend(focus_rows(&run).into_iter().map(row));
    }
    let name = |stem: &str| out.join(format!("{stem}-{}.csv", shard.name()));
    write_csv(&name("wrong-assumptions"), &RAW, &raw)?;
    write_csv(&name("wrong-areas"), &AREAS, &areas)?;
    write_csv(&name("wrong-foci"), &FOCI, &foci)
}

fn area_rows(run: &Scored) -> Vec<Vec<String>> {
    let row = |a: &AreaStated| vec![a.zone_id.clone(), a.p_active_any.to_string(), a.active.to_string()];
    run.score.areas.iter().map(row).collect()
}

fn focus_rows(run: &Scored) -> Vec<Vec<String>> {
    let row = |f: &FocusFound| {
        let numbers = [f.age_years, f.radius_m, f.hazard_at_end_per_year];
        let counts = [f.pigs, f.positives, f.cells];
        let stated = [f.p_active_mean, f.p_active_most];
        std::iter::once(f.id.clone())
            .chain(numbers.map(|v| v.to_string()))
            .chain(counts.map(|v| v.to_string()))
            .chain(stated.map(|v| v.to_string()))
            .chain([f.above_inactive.map(|v| v.to_string()).unwrap_or_default()])
            .collect()
    };
    run.score.foci.iter().map(row).collect()
}

/// Measure → seed → (above, below) of one assumption.
type Sums = BTreeMap<String, BTreeMap<u64, (f64, f64)>>;

/// Merges all shares to `wrong-assumptions.md` and `.csv`, `wrong-headlines.md`, `wrong-areas.md` and `.csv`,
/// and `wrong-foci.csv`.
///
/// # Errors
/// A share cannot be read, or the neutral study area is missing.
pub fn merge(out: &Path) -> Result<(), String> {
    let sums = read_sums(out)?;
    let neutral = sums.get(NEUTRAL).ok_or("no share holds the neutral study area; run all shares first")?;
    let rows: Vec<Row> = ASSUMPTIONS
        .iter()
        .filter_map(|a| Some((a, sums.get(a.name)?)))
        .flat_map(|(a, own)| SHOWN.iter().filter_map(|s| Row::of(a, s, own, neutral)))
        .collect();
    let column_names = [
        "assumption",
        "measure",
        "ideal",
        "pooled",
        "cases",
        "pairs",
        "difference",
        "standard_error",
        "clear",
    ];
    write_csv(
        &out.join("wrong-assumptions.csv"),
        &column_names,
        &rows.iter().map(Row::fields).collect::<Vec<_>>(),
    )?;
    let (areas, foci) = (read_shares(out, "wrong-areas", &AREAS)?, read_shares(out, "wrong-foci", &FOCI)?);
    let together = |t: &[Rows]| t.iter().flat_map(|t| t.rows.iter().cloned()).collect::<Vec<_>>();
    write_csv(&out.join("wrong-areas.csv"), &AREAS, &together(&areas))?;
    write_csv(&out.join("wrong-foci.csv"), &FOCI, &together(&foci))?;

    let column_names = ["stated p_active_any", "areas", "mean stated", "truly active"].map(String::from);
    let [assumed, all] = both(&areas, area)?.map(|(name, areas)| (name, area_bins_in_words(&areas)));
    write_text(&out.join("wrong-areas.md"), &markdown(&column_names, &all.1))?;
    let headlines: Vec<&Shown> =
        HEADLINES.iter().filter_map(|name| SHOWN.iter().find(|s| s.name == *name)).collect();
    write_text(&out.join("wrong-headlines.md"), &table_of(&rows, &headlines))?;

    let named = |(name, rows): (&str, Vec<Vec<String>>)| {
        rows.into_iter()
            .map(|r| std::iter::once(name.to_string()).chain(r).collect::<Vec<_>>())
            .collect::<Vec<_>>()
    };
    let column_names: Vec<String> = std::iter::once("study areas".into()).chain(column_names).collect();
    let mut text = page(&rows);
    let areas = markdown(&column_names, &[named(assumed), named(all)].concat());
    text.push_str(&format!("\n## Chance that an area is active\n\n{areas}"));
    text.push_str(&foci_page(&foci)?);
    write_text(&out.join("wrong-assumptions.md"), &text)
}

fn read_sums(out: &Path) -> Result<BTreeMap<String, Sums>, String> {
    let mut sums: BTreeMap<String, Sums> = BTreeMap::new();
    for table in read_shares(out, "wrong-assumptions", &RAW)? {
        for i in 0..table.rows.len() {
            let r = &table.rows[i];
            let seed = table.number(i, 1)? as u64;
            let value = (table.number(i, 3)?, table.number(i, 4)?);
            sums.entry(r[0].clone()).or_default().entry(r[2].clone()).or_default().insert(seed, value);
        }
    }
    Ok(sums)
}

/// One measure of one assumption, over the seeds.
struct Row<'a> {
    assumption: &'a Assumption,
    shown: &'a Shown,
    pooled: f64,
    cases: f64,
    /// From the neutral study area; `None` for the neutral study area itself.
    difference: Option<Difference>,
}

impl<'a> Row<'a> {
    /// `None` when the measure has no case.
    fn of(assumption: &'a Assumption, shown: &'a Shown, own: &Sums, neutral: &Sums) -> Option<Row<'a>> {
        let own = own.get(shown.name)?;
        let (above, below) = own.values().fold((0.0, 0.0), |(a, b), v| (a + v.0, b + v.1));
        let value = |v: &(f64, f64)| v.0 / v.1;
        let base = neutral.get(shown.name);
        let pairs: Vec<f64> =
            own.iter().filter_map(|(seed, v)| Some(value(v) - value(base?.get(seed)?))).collect();
        let difference = (assumption.name != NEUTRAL).then(|| Difference::of(&pairs)).flatten();
        Some(Row { assumption, shown, pooled: above / below, cases: below, difference })
    }

    fn fields(&self) -> Vec<String> {
        let word = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
        let d = self.difference;
        vec![
            self.assumption.name.into(),
            self.shown.name.into(),
            word(self.shown.ideal),
            self.pooled.to_string(),
            self.cases.to_string(),
            d.map(|d| d.pairs.to_string()).unwrap_or_default(),
            word(d.map(|d| d.mean)),
            word(d.and_then(|d| d.standard_error)),
            d.map(|d| d.is_clear().to_string()).unwrap_or_default(),
        ]
    }

    fn words(&self) -> String {
        match self.difference {
            None => format!("{:.3}", self.pooled),
            Some(d) => format!("{:.3} ({})", self.pooled, d.words()),
        }
    }
}

/// One table a group: a row an assumption, a column a measure.
fn page(rows: &[Row]) -> String {
    let mut out = String::from(
        "Figures are pooled over seeds; in brackets the mean difference from the neutral study area of the \
         same seed ± its \
         standard error, with a star where Student's test at 5 % tells it from 0 (of twenty that are not \
         there, one gets a star).\n",
    );
    let mut groups: Vec<&str> = SHOWN.iter().map(|s| s.group).collect();
    groups.dedup();
    for group in groups {
        let columns: Vec<&Shown> = SHOWN.iter().filter(|s| s.group == group).collect();
        out.push_str(&format!("\n## {group}\n\n{}", table_of(rows, &columns)));
    }
    out
}

/// A row an assumption, a column a measure.
fn table_of(rows: &[Row], columns: &[&Shown]) -> String {
    let column_name = |s: &&Shown| match s.ideal {
        Some(v) => format!("{} ({v})", s.column_name),
        None => s.column_name.to_string(),
    };
    let column_names: Vec<String> =
        std::iter::once("study area".into()).chain(columns.iter().map(column_name)).collect();
    let body: Vec<Vec<String>> = ASSUMPTIONS
        .iter()
        .filter(|a| rows.iter().any(|r| r.assumption.name == a.name))
        .map(|a| {
            let at = |s: &&Shown| {
                let row = rows.iter().find(|r| r.assumption.name == a.name && r.shown.name == s.name);
                row.map_or("no case".into(), Row::words)
            };
            std::iter::once(a.told.to_string()).chain(columns.iter().map(at)).collect()
        })
        .collect();
    markdown(&column_names, &body)
}

/// The chosen rows of all shares: those of the neutral study area, then all.
fn both<T>(
    tables: &[Rows],
    read: impl Fn(&Rows, usize) -> Result<T, String>,
) -> Result<[(&'static str, Vec<T>); 2], String> {
    let (mut neutral, mut all) = (Vec::new(), Vec::new());
    for t in tables {
        for i in 0..t.rows.len() {
            if t.rows[i][0] == NEUTRAL {
                neutral.push(read(t, i)?);
            }
            all.push(read(t, i)?);
        }
    }
    Ok([("as assumed", neutral), ("all study areas", all)])
}

fn area(t: &Rows, i: usize) -> Result<AreaStated, String> {
    let r = &t.rows[i];
    Ok(AreaStated { zone_id: r[2].clone(), p_active_any: t.number(i, 3)?, active: r[4] == "true" })
}

/// Classes of the stated probability, without those that hold no area.
fn area_bins_in_words(areas: &[AreaStated]) -> Vec<Vec<String>> {
    let figure = |v: Option<f64>| v.map_or("none".into(), |v| format!("{v:.3}"));
    area_bins(areas)
        .iter()
        .filter(|b| b.areas > 0)
        .map(|b| {
            let range = format!("{:.2} to {:.2}", b.from, b.to);
            vec![range, b.areas.to_string(), figure(b.mean_prob()), figure(b.active_share())]
        })
        .collect()
}

fn foci_page(tables: &[Rows]) -> Result<String, String> {
    let focus_at = |t: &Rows, i: usize| {
        Ok(FocusFound {
            id: t.rows[i][2].clone(),
            age_years: t.number(i, 3)?,
            radius_m: t.number(i, 4)?,
            hazard_at_end_per_year: t.number(i, 5)?,
            pigs: t.number(i, 6)? as u64,
            positives: t.number(i, 7)? as u64,
            cells: t.number(i, 8)? as u64,
            p_active_mean: t.number(i, 9)?,
            p_active_most: t.number(i, 10)?,
            above_inactive: (!t.rows[i][11].is_empty()).then(|| t.number(i, 11)).transpose()?,
        })
    };
    let mut rows = Vec::new();
    for (name, foci) in both(tables, focus_at)? {
        for (class, belongs) in FOCUS_CLASSES {
            let inside: Vec<&FocusFound> = foci.iter().filter(|f| belongs(f)).collect();
            let n = inside.len() as f64;
            if inside.is_empty() {
                continue;
            }
            let mean = |of: &dyn Fn(&FocusFound) -> f64| inside.iter().map(|f| of(f)).sum::<f64>() / n;
            let ranked: Vec<f64> = inside.iter().filter_map(|f| f.above_inactive).collect();
            let rank = (!ranked.is_empty()).then(|| ranked.iter().sum::<f64>() / ranked.len() as f64);
            rows.push(vec![
                name.into(),
                class.into(),
                inside.len().to_string(),
                inside.iter().filter(|f| f.is_found()).count().to_string(),
                format!("{:.3}", mean(&|f| f.p_active_most)),
                format!("{:.3}", mean(&|f| f.p_active_mean)),
                rank.map_or("none".into(), |r| format!("{r:.3}")),
                format!("{:.0}", mean(&|f| f.pigs as f64)),
                format!("{:.1}", mean(&|f| f.positives as f64)),
            ]);
        }
    }
    let column_names = [
        "study areas",
        "foci",
        "number",
        "found",
        "mean of the largest p_active",
        "mean p_active",
        "inactive cells below its best",
        "pigs near it",
        "positives near it",
    ];
    Ok(format!("\n## Foci found\n\n{}", markdown(&column_names.map(String::from), &rows)))
}
