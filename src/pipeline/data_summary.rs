//! What a study's records hold, and what each gap in them costs.
//!
//! Costs are in *equivalent complete records*: how many completely recorded pigs the study would be the
//! poorer by
//! ([`RecordValue`]). They rank what to correct first; they are no part of the model.

use crate::ingest::{Ingested, cross_checks};
use crate::kernel::inspections;
use crate::kernel::inspections::{Way, ways};
use crate::pipeline::record_value::RecordValue;
use crate::records::{Age, LabResult, NodePair, Pig, Reading, Sex};
use crate::study::study_file::Study;
use itertools::Itertools as _;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Share of unconfirmed lesions that the laboratory confirms: about half (3.4 of 6.7 % of pigs, Di Marco
/// 2012). A suspect tells half as much as a pig whose laboratory answered.
pub(crate) const CONFIRMED_SHARE: f64 = 0.5;
/// Share of a litter-mate's information that its mate has told already. Own choice, no source.
pub(crate) const LITTER_SHARE: f64 = 0.5;

/// Records of one year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Year {
    /// Year in which the pigs were killed (the first day, where a date spans years).
    pub year: i16,
    /// Pigs used.
    pub pigs: usize,
    /// Confirmed by a laboratory.
    pub confirmed: usize,
    /// With a lesion that no laboratory has judged.
    pub suspect: usize,
    /// Waiting for a laboratory.
    pub awaiting: usize,
    /// Months of the year, within the span of the records, in which no pig is known to have been killed.
    pub months_without_records: usize,
}

/// How ages are known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Ages {
    /// From `ageMinMonths` and `ageMaxMonths`.
    pub recorded: usize,
    /// From the jaw.
    pub from_jaw: usize,
    /// Not at all.
    pub unknown: usize,
    /// Half of the known ages leave no more months open than this; absent when no age is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub median_width_months: Option<f64>,
}

/// Pigs whose heads were opened in one way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct WayOpened {
    /// The way in words.
    pub way: String,
    /// Pigs.
    pub pigs: usize,
    /// Of the chance of seeing infection with all pairs opened, what is left on average.
    pub share_of_all: f64,
    /// What the unopened pairs cost, in equivalent complete records.
    pub equivalent_complete_records_lost: f64,
}

/// One problem and what it costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Cost {
    /// The problem.
    pub problem: &'static str,
    /// Records that have it.
    pub records: usize,
    /// What it costs, in equivalent complete records.
    pub equivalent_complete_records_lost: f64,
    /// Whether that is the most it can cost, should the doubt prove right.
    pub at_most: bool,
    /// What would correct it.
    pub suggested_correction: &'static str,
}

/// What a study's records hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct DataSummary {
    /// First day on which a pig used may have been killed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_killed: Option<Date>,
    /// Last such day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_killed: Option<Date>,
    /// Year by year.
    pub years: Vec<Year>,
    /// How ages are known.
    pub ages: Ages,
    /// Pigs used whose sex was not recorded.
    pub sex_unknown: usize,
    /// Released sentinels.
    pub sentinels: usize,
    /// Stretches without a record that chance does not explain: first day, last day, records expected.
    pub silent: Vec<(Date, Date, f64)>,
    /// How heads were opened, the most frequent first.
    pub opened: Vec<WayOpened>,
    /// What each way of opening a head is worth by the study's `[detection]`.
    pub ways: Vec<Way>,
    /// Fully recorded pigs that would tell as much as all pigs used.
    pub equivalent_complete_records: f64,
    /// Problems, the dearest first.
    pub costs: Vec<Cost>,
}

impl DataSummary {
    /// Takes stock of what was read.
    pub(crate) fn of(study: &Study, read: &Ingested) -> DataSummary {
        let pigs = &read.records.pigs;
        let values: Vec<RecordValue> = pigs.iter().map(|p| RecordValue::of(study, p)).collect();
        let unknown = pigs.iter().filter(|p| p.age == Age::Unknown).count();
        DataSummary {
            first_killed: pigs.iter().map(|p| p.killed.first).min(),
            last_killed: pigs.iter().map(|p| p.killed.last).max(),
            years: years(pigs),
            ages: Ages {
                recorded: pigs.len() - unknown - read.account.ages_from_jaw,
                from_jaw: read.account.ages_from_jaw,
                unknown,
                median_width_months: median_width(pigs),
            },
            sex_unknown: pigs.iter().filter(|p| p.sex == Sex::Unknown).count(),
            sentinels: pigs.iter().filter(|p| p.released_on.is_some()).count(),
            silent: cross_checks::silences(pigs),
            opened: opened(pigs, &values),
            ways: ways(&study.detection),
            equivalent_complete_records: values.iter().map(RecordValue::whole).sum(),
            costs: costs(read, &values),
        }
    }
}

fn awaits(p: &Pig) -> bool {
    p.inspection.lab_result == Some(LabResult::Pending)
}

fn years(pigs: &[Pig]) -> Vec<Year> {
    let mut out: BTreeMap<i16, Year> = BTreeMap::new();
    let empty =
        |year| Year { year, pigs: 0, confirmed: 0, suspect: 0, awaiting: 0, months_without_records: 0 };
    let month = |d: Date| i32::from(d.year()) * 12 + i32::from(d.month()) - 1;
    let first = pigs.iter().map(|p| month(p.killed.first)).min();
    let last = pigs.iter().map(|p| month(p.killed.last)).max();
    let seen: BTreeSet<i32> =
        pigs.iter().flat_map(|p| month(p.killed.first)..=month(p.killed.last)).collect();
    for m in first.unwrap_or(0)..=last.unwrap_or(-1) {
        let year = m.div_euclid(12) as i16;
        let y = out.entry(year).or_insert_with(|| empty(year));
        y.months_without_records += usize::from(!seen.contains(&m));
    }
    for p in pigs {
        let year = p.killed.first.year();
        let y = out.entry(year).or_insert_with(|| empty(year));
        y.pigs += 1;
        y.confirmed += usize::from(p.reading == Reading::Confirmed);
        y.suspect += usize::from(p.reading == Reading::Suspect);
        y.awaiting += usize::from(awaits(p));
    }
    out.into_values().collect()
}

fn median_width(pigs: &[Pig]) -> Option<f64> {
    let mut widths: Vec<f64> = pigs
        .iter()
        .filter_map(|p| match p.age {
            Age::Interval { min_months, max_months } => Some(max_months - min_months),
            Age::Unknown => None,
        })
        .collect();
    widths.sort_by(f64::total_cmp);
    widths.get(widths.len() / 2).copied()
}

fn opened(pigs: &[Pig], values: &[RecordValue]) -> Vec<WayOpened> {
    let mut out: BTreeMap<String, (usize, f64)> = BTreeMap::new();
    for (p, w) in pigs.iter().zip(values) {
        let entry = out.entry(way_words(p)).or_default();
        entry.0 += 1;
        entry.1 += w.gross_inspection;
    }
    let mut list: Vec<WayOpened> = out
        .into_iter()
        .map(|(way, (pigs, sum))| WayOpened {
            way,
            pigs,
            share_of_all: sum / pigs as f64,
            equivalent_complete_records_lost: pigs as f64 - sum,
        })
        .collect();
    list.sort_by(|a, b| b.pigs.cmp(&a.pigs).then_with(|| a.way.cmp(&b.way)));
    list
}

/// How a head was opened, in words.
fn way_words(p: &Pig) -> String {
    let Some(pairs) = &p.inspection.node_pairs else { return "not recorded".into() };
    if pairs.is_empty() {
        return "none".into();
    }
    let one = |n: &NodePair| p.inspection.one_sided.contains(n);
    if pairs.len() == 3 && !pairs.iter().any(one) {
        return "all three".into();
    }
    let side = |n: &NodePair| if one(n) { " (one side)" } else { "" };
    pairs.iter().map(|n| format!("{}{}", inspections::word(*n), side(n))).join(" + ")
}

fn costs(read: &Ingested, values: &[RecordValue]) -> Vec<Cost> {
    let pigs = &read.records.pigs;
    let found = |code: &str| read.account.findings.iter().filter(|f| f.code == code).count();
    let lost = |share: fn(&RecordValue) -> f64, fits: &dyn Fn(&Pig) -> bool| {
        let lost: Vec<f64> = pigs
            .iter()
            .zip(values)
            .filter(|(p, _)| fits(p))
            .map(|(_, w)| 1.0 - share(w))
            .filter(|l| *l > 1e-9)
            .collect();
        (lost.len(), lost.iter().sum::<f64>())
    };
    let each = |n: usize, cost: f64| (n, n as f64 * cost);
    let any = |_: &Pig| true;
    let no_age = |p: &Pig| p.age == Age::Unknown;
    let wide_age = |p: &Pig| p.age != Age::Unknown;
    let repeated: usize = cross_checks::repeated_fix_groups(pigs).iter().map(Vec::len).sum();
    let silent: f64 = cross_checks::silences(pigs).iter().map(|s| s.2).sum();
    let row = |problem, (records, lost): (usize, f64), at_most, suggested_correction| Cost {
        problem,
        records,
        equivalent_complete_records_lost: lost,
        at_most,
        suggested_correction,
    };
    let mut out = vec![
        row(
            "rows refused",
            each(read.account.counts.refused, 1.0),
            false,
            "correct the rows as their findings say",
        ),
        row(
            "node pairs not opened or not recorded",
            lost(|w| w.gross_inspection, &any),
            false,
            "open all three pairs, both sides",
        ),
        row("no age", lost(|w| w.age, &no_age), false, "look at the jaw; even the class of the teeth helps"),
        row(
            "wide age intervals",
            lost(|w| w.age, &wide_age),
            false,
            "record the teeth, and the wear of older pigs",
        ),
        row("dates without a day", lost(|w| w.date, &any), false, "give the day"),
        row(
            "imprecise GPS positions",
            lost(|w| w.position, &any),
            false,
            "take the position where the pig was killed",
        ),
        row(
            "lesions without a laboratory result",
            each(pigs.iter().filter(|p| p.reading == Reading::Suspect).count(), 1.0 - CONFIRMED_SHARE),
            false,
            "send samples, and fill in results when they come",
        ),
        row(
            "likely litter-mates",
            each(found("same-place-date-age"), LITTER_SHARE),
            false,
            "nothing, if they are; delete a pig entered twice",
        ),
        row(
            "one position used for pigs of several days",
            each(repeated, 1.0),
            true,
            "give the true positions",
        ),
        row(
            "far from the others of their day",
            each(found("far-from-its-day"), 1.0),
            true,
            "check position and date",
        ),
        row(
            "ages that contradict the dentition",
            each(found("age-against-dentition"), 0.5),
            true,
            "correct one of the two",
        ),
        row(
            "months without records",
            (cross_checks::silences(pigs).len(), silent),
            true,
            "add the records, if pigs were examined then",
        ),
    ];
    out.retain(|c| c.records > 0);
    out.sort_by(|a, b| b.equivalent_complete_records_lost.total_cmp(&a.equivalent_complete_records_lost));
    out
}
