//! What a study's records hold, as plain text tables.

use crate::ingest::Ingested;
use crate::kernel::inspections::MONTHS_SINCE;
use crate::pipeline::data_summary::DataSummary;
use crate::records::{Pig, Reading};
use crate::report::sentences::{run, words};
use crate::study::study_file::Study;
use std::fmt::Write;

/// Pigs used with a reading.
pub(crate) fn with_reading(pigs: &[Pig], reading: Reading) -> usize {
    pigs.iter().filter(|p| p.reading == reading).count()
}

/// Counts, areas, years, ages, ways of opening heads, what each problem costs, and the findings.
pub(crate) fn text(study: &Study, read: &Ingested, most: usize) -> String {
    let r = &read.records;
    let mut out = run::heading(&study.study.name, read.as_of);
    let _ = writeln!(out, "\n{}", run::counts(&read.account.counts));
    let of_them = match r.pigs.iter().filter(|p| p.inspection.is_unconfirmed()).count() {
        0 => String::new(),
        n => format!(" ({n} of them with a lesion that the laboratory did not confirm)"),
    };
    let _ = writeln!(
        out,
        "pigs: {} confirmed, {} suspect, {} negative{of_them}",
        with_reading(&r.pigs, Reading::Confirmed),
        with_reading(&r.pigs, Reading::Suspect),
        with_reading(&r.pigs, Reading::Clear)
    );
    let summary = DataSummary::of(study, read);
    if let (Some(first), Some(last)) = (summary.first_killed, summary.last_killed) {
        let _ = writeln!(out, "killed from {first} to {last}; {} without an age", summary.ages.unknown);
    }
    let _ = writeln!(
        out,
        "areas: {}, {}, {}, {}",
        words::count(r.zones.len(), "movement-control area", "movement-control areas"),
        words::count(r.blocks.len(), "block", "blocks"),
        words::count(r.cover.len(), "cover polygon", "cover polygons"),
        words::count(r.operations.len(), "past operation", "past operations")
    );
    let _ = writeln!(out, "positions: {}", read.account.projection_note);
    tables(&mut out, &summary);
    if !read.account.findings.is_empty() {
        out.push_str("\nfindings\n");
    }
    out.push_str(&run::findings(&read.account.findings, most));
    out.push_str(&run::what_to_do(&read.account.findings));
    out
}

fn tables(out: &mut String, h: &DataSummary) {
    years(out, h);
    let a = &h.ages;
    let width = a
        .median_width_months
        .map_or(String::new(), |w| format!("; median width of the known ages {w:.0} months"));
    let _ = writeln!(
        out,
        "ages: {} recorded, {} from the jaw, {} unknown{width}",
        a.recorded, a.from_jaw, a.unknown
    );
    let _ = writeln!(out, "sex not recorded: {}; released sentinels: {}", h.sex_unknown, h.sentinels);
    for (from, to, expected) in &h.silent {
        let _ = writeln!(out, "no records from {from} to {to}, where {expected:.0} would be expected");
    }
    opened(out, h);
    ways(out, h);
    costs(out, h);
}

fn years(out: &mut String, h: &DataSummary) {
    let _ = writeln!(
        out,
        "\n{:<6} {:>6} {:>10} {:>8} {:>13} {:>23}",
        "year", "pigs", "confirmed", "suspect", "awaiting lab", "months without records"
    );
    for y in &h.years {
        let _ = writeln!(
            out,
            "{:<6} {:>6} {:>10} {:>8} {:>13} {:>23}",
            y.year, y.pigs, y.confirmed, y.suspect, y.awaiting, y.months_without_records
        );
    }
}

fn opened(out: &mut String, h: &DataSummary) {
    let _ = writeln!(
        out,
        "\n{:<44} {:>6} {:>13} {:>21}",
        "node pairs opened", "pigs", "of all pairs", "complete records lost"
    );
    for o in &h.opened {
        let _ = writeln!(
            out,
            "{:<44} {:>6} {:>11.0} % {:>21.1}",
            o.way,
            o.pigs,
            100.0 * o.share_of_all,
            o.equivalent_complete_records_lost
        );
    }
}

fn ways(out: &mut String, h: &DataSummary) {
    let [a, b, c, d] = MONTHS_SINCE.map(|m| format!("{m} mo"));
    let _ = writeln!(
        out,
        "\nprobability of seeing infection, by what is opened (the study's [detection]); mo: months after \
         infection"
    );
    let _ = writeln!(
        out,
        "{:<38} {:<27} {:<26} {:<25}",
        "", "gross inspection", "lesion sent, 4 mo", "every head sent, 4 mo"
    );
    let _ = writeln!(
        out,
        "{:<38} {a:>6} {b:>6} {c:>6} {d:>6} {:>8} {:>6} {:>10} {:>8} {:>6} {:>10} {:>13}",
        "", "culture", "PCR", "histology", "culture", "PCR", "histology", "pigs for 100"
    );
    for w in &h.ways {
        let [k0, k1, k2, k3] = w.gross_inspection_by_months_since;
        let ([l0, l1, l2], [s0, s1, s2]) = (w.lesion_sent, w.all_sent);
        let needed = w.pigs_for_100.map_or("none will do".to_string(), |n| format!("{n:.0}"));
        let _ = writeln!(
            out,
            "{:<38} {k0:>6.2} {k1:>6.2} {k2:>6.2} {k3:>6.2} {l0:>8.2} {l1:>6.2} {l2:>10.2} \
             {s0:>8.2} {s1:>6.2} {s2:>10.2} {needed:>13}",
            w.words(),
        );
    }
    let _ = writeln!(
        out,
        "pigs for 100: pigs opened in this way that say as much about absence as 100 with all pairs opened"
    );
}

fn costs(out: &mut String, h: &DataSummary) {
    let pigs: usize = h.years.iter().map(|y| y.pigs).sum();
    let _ = writeln!(
        out,
        "\n{} say as much as {} complete records. What gaps and doubts cost:",
        words::count(pigs, "pig", "pigs"),
        words::grouped(h.equivalent_complete_records)
    );
    if h.costs.is_empty() {
        let _ = writeln!(out, "nothing");
        return;
    }
    let _ = writeln!(
        out,
        "{:<42} {:>8} {:>21}  suggested correction",
        "problem", "records", "complete records lost"
    );
    for c in &h.costs {
        let lost =
            format!("{}{:.1}", if c.at_most { "up to " } else { "" }, c.equivalent_complete_records_lost);
        let _ = writeln!(out, "{:<42} {:>8} {:>21}  {}", c.problem, c.records, lost, c.suggested_correction);
    }
}
