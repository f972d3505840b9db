//! What records say of one another: repeated fixes, a record far from its day's others, silent months,
//! litter-mates.
//!
//! These are doubts, not faults: each is a note, and the row is used as it stands.

use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::pig_row::Draft;
use crate::records::{Age, DAYS_PER_MONTH, Pig, day_number};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Pigs at one GPS position from which it is doubted. Own choice.
pub(crate) const REPEATED_FIX_PIGS: usize = 4;
/// Different days among them from which it is doubted: a good day at one place is no fault. Own choice.
pub(crate) const REPEATED_FIX_DAYS: usize = 3;
/// Fixes that round to the same multiple of this are one place, metres.
const SAME_FIX_M: f64 = 1.0;
/// Distance from the nearest other record of its day beyond which a record is doubted, metres. Own choice:
/// over the longest movement known of a released pig, 35 km (Nugent 2002), and more than a day's hunting.
pub(crate) const FAR_SAME_DAY_M: f64 = 40_000.0;
/// Records of a day from which the odd one out can be told.
const DAY_RECORDS: usize = 3;
/// Records that a silent stretch would have been expected to hold before it is noted: by chance alone so
/// long a silence then comes in less than one of a hundred (e⁻⁵).
pub(crate) const SILENT_EXPECTED: f64 = 5.0;
/// Pigs of one day and age closer than this may be litter-mates, metres. Own choice: the error of two fixes.
pub(crate) const LITTER_REACH_M: f64 = 100.0;

/// Adds every finding to the draft it is about; `used[k]` is the draft of pig k. What concerns no single row
/// is returned.
pub(crate) fn look(pigs: &[Pig], used: &[usize], drafts: &mut [Draft], first_file: &str) -> Vec<Finding> {
    litter_mates(pigs, used, drafts);
    repeated_fixes(pigs, used, drafts);
    far_from_their_day(pigs, used, drafts);
    silent_months(pigs, first_file).into_iter().collect()
}

fn note(draft: &mut Draft, code: &'static str, message: String, suggested_correction: &str) {
    let finding = Place { file: &draft.source.file, row: Some(draft.source.row) }.cell(
        Severity::Note,
        code,
        Some(&draft.id_column),
        draft.id.as_deref(),
        message,
        suggested_correction,
    );
    draft.findings.push(finding);
}

/// Notes pigs of one place, day and age: litter-mates, or one pig entered twice.
fn litter_mates(pigs: &[Pig], used: &[usize], drafts: &mut [Draft]) {
    type Key = (Date, Date, Option<(u64, u64)>);
    let key = |p: &Pig| -> Key {
        let age = match p.age {
            Age::Interval { min_months, max_months } => Some((min_months.to_bits(), max_months.to_bits())),
            Age::Unknown => None,
        };
        (p.killed.first, p.killed.last, age)
    };
    let mut earlier: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
    for (k, pig) in pigs.iter().enumerate() {
        let others = earlier.entry(key(pig)).or_default();
        let apart = |o: usize| (pig.easting_m - pigs[o].easting_m).hypot(pig.northing_m - pigs[o].northing_m);
        // Without ages, or with a coarse date, only the very same place says anything.
        let fine = pig.age != Age::Unknown && pig.killed.days() <= 1.0;
        let reach = if fine { LITTER_REACH_M } else { 0.0 };
        if let Some(&twin) = others.iter().find(|o| apart(**o) <= reach) {
            let mate = &pigs[twin];
            let message = format!(
                "has the place, date and age of \"{}\" ({} row {})",
                mate.id, mate.source.file, mate.source.row
            );
            note(
                &mut drafts[used[k]],
                "same-place-date-age",
                message,
                "nothing to do if they are litter-mates; delete one if it is the same pig",
            );
        }
        others.push(k);
    }
}

/// Groups of pigs of several days at one GPS position, as indices.
pub(crate) fn repeated_fix_groups(pigs: &[Pig]) -> Vec<Vec<usize>> {
    let mut at: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (k, p) in pigs.iter().enumerate() {
        let step = |v: f64| (v / SAME_FIX_M).round() as i64;
        at.entry((step(p.easting_m), step(p.northing_m))).or_default().push(k);
    }
    at.into_values()
        .filter(|g| g.len() >= REPEATED_FIX_PIGS && days_of(pigs, g) >= REPEATED_FIX_DAYS)
        .collect()
}

fn days_of(pigs: &[Pig], group: &[usize]) -> usize {
    group.iter().map(|k| (pigs[*k].killed.first, pigs[*k].killed.last)).collect::<BTreeSet<_>>().len()
}

/// Notes one GPS position used for pigs of several days: a hut, a map sheet's corner, a device's last place.
fn repeated_fixes(pigs: &[Pig], used: &[usize], drafts: &mut [Draft]) {
    for group in repeated_fix_groups(pigs) {
        let rows: Vec<String> =
            group.iter().skip(1).take(5).map(|k| pigs[*k].source.row.to_string()).collect();
        let more = if group.len() > 6 { " and others" } else { "" };
        let message = format!(
            "shares its position with {} other pig(s) of {} days (rows {}{more})",
            group.len() - 1,
            days_of(pigs, &group),
            rows.join(", ")
        );
        note(
            &mut drafts[used[group[0]]],
            "position-repeated",
            message,
            "if it stands for a hut, a gate or a whole area, give the true positions, \
             or raise coordinateUncertaintyInMeters to the distance it may be off",
        );
    }
}

/// Notes a record far from every other of its day, where those lie together.
fn far_from_their_day(pigs: &[Pig], used: &[usize], drafts: &mut [Draft]) {
    let mut days: BTreeMap<Date, Vec<usize>> = BTreeMap::new();
    for (k, p) in pigs.iter().enumerate().filter(|(_, p)| p.killed.first == p.killed.last) {
        days.entry(p.killed.first).or_default().push(k);
    }
    for (day, group) in days.iter().filter(|(_, g)| g.len() >= DAY_RECORDS) {
        let nearest = |k: usize| {
            let to = |o: usize| {
                (pigs[k].easting_m - pigs[o].easting_m).hypot(pigs[k].northing_m - pigs[o].northing_m)
            };
            group.iter().filter(|o| **o != k).map(|o| to(*o)).fold(f64::INFINITY, f64::min)
        };
        let far: Vec<(usize, f64)> =
            group.iter().map(|k| (*k, nearest(*k))).filter(|(_, d)| *d > FAR_SAME_DAY_M).collect();
        // Where all are far apart, several parties were out.
        if let [(k, distance)] = far.as_slice() {
            let message = format!(
                "lies {:.0} km from the nearest of the {} other record(s) of {day}: \
                 its position or its date may be wrong",
                distance / 1000.0,
                group.len() - 1
            );
            note(
                &mut drafts[used[*k]],
                "far-from-its-day",
                message,
                "check the position and the date against the field book",
            );
        }
    }
}

/// Months without a record between the first and the last, when chance does not explain them.
fn silent_months(pigs: &[Pig], file: &str) -> Option<Finding> {
    let gaps = silences(pigs);
    if gaps.is_empty() {
        return None;
    }
    let shown: Vec<String> = gaps.iter().take(4).map(|(a, b, _)| format!("{a} to {b}")).collect();
    let more = if gaps.len() > 4 { format!(" and {} more", gaps.len() - 4) } else { String::new() };
    let missing: f64 = gaps.iter().map(|g| g.2).sum();
    Some(Place { file, row: None }.whole(
        Severity::Note,
        "months-without-records",
        format!(
            "{} stretch(es) hold no record where {missing:.0} would be expected: {}{more}",
            gaps.len(),
            shown.join("; ")
        ),
        "nothing to do if no pig was examined then; otherwise add the records of those months",
    ))
}

/// Silent stretches: first and last silent day, and the records expected in them at the study's mean rate.
pub(crate) fn silences(pigs: &[Pig]) -> Vec<(Date, Date, f64)> {
    let mut spans: Vec<(Date, Date)> = pigs.iter().map(|p| (p.killed.first, p.killed.last)).collect();
    spans.sort();
    let (Some(first), Some(last)) = (spans.first().map(|s| s.0), spans.iter().map(|s| s.1).max()) else {
        return Vec::new();
    };
    let length = day_number(last) - day_number(first) + 1.0;
    let per_day = pigs.len() as f64 / length;
    let mut out = Vec::new();
    let mut seen_to = first;
    for (from, to) in spans {
        let silent = day_number(from) - day_number(seen_to) - 1.0;
        if silent >= DAYS_PER_MONTH && silent * per_day >= SILENT_EXPECTED {
            let day = |d: Date, by: i64| d.checked_add(jiff::Span::new().days(by)).unwrap_or(d);
            out.push((day(seen_to, 1), day(from, -1), silent * per_day));
        }
        seen_to = seen_to.max(to);
    }
    out
}
