//! What a study's records hold, as plain text tables.

use crate::kernel::inspections::MONTHS_SINCE;
use crate::pipeline::data_summary::DataSummary;
use std::fmt::Write;

/// Years, ages, silent months, ways of opening heads, and what each problem costs.
pub(crate) fn describe(h: &DataSummary) -> String {
    let mut out = String::new();
    years(&mut out, h);
    let a = &h.ages;
    let width =
        a.median_width_months.map_or(String::new(), |w| format!("; half leave {w:.0} months open or less"));
    let _ = writeln!(
        out,
        "ages: {} recorded, {} from the jaw, {} unknown{width}",
        a.recorded, a.from_jaw, a.unknown
    );
    let _ = writeln!(out, "sex not recorded: {}; released sentinels: {}", h.sex_unknown, h.sentinels);
    for (from, to, expected) in &h.silent {
        let _ = writeln!(out, "no records from {from} to {to}, where {expected:.0} would be expected");
    }
    opened(&mut out, h);
    ways(&mut out, h);
    costs(&mut out, h);
    out
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
        "\n{:<44} {:>6} {:>13} {:>12}",
        "node pairs opened", "pigs", "of all pairs", "pigs' worth lost"
    );
    for o in &h.opened {
        let _ = writeln!(
            out,
            "{:<44} {:>6} {:>11.0} % {:>16.1}",
            o.way,
            o.pigs,
            100.0 * o.share_of_all,
            o.cost_pigs
        );
    }
}

fn ways(out: &mut String, h: &DataSummary) {
    let [a, b, c, d] = MONTHS_SINCE.map(|m| format!("{m} mo"));
    let _ = writeln!(out, "\nchance of seeing infection, by what is opened (the study's [detection])");
    let _ = writeln!(
        out,
        "{:<38} {:<27} {:<26} {:<25}",
        "", "knife, months since it", "lesion sent, 4 mo on", "every head sent, 4 mo on"
    );
    let _ = writeln!(
        out,
        "{:<38} {a:>6} {b:>6} {c:>6} {d:>6} {:>8} {:>6} {:>10} {:>8} {:>6} {:>10} {:>13}",
        "", "culture", "PCR", "histology", "culture", "PCR", "histology", "pigs for 100"
    );
    for w in &h.ways {
        let [k0, k1, k2, k3] = w.knife_by_months_since;
        let ([l0, l1, l2], [s0, s1, s2]) = (w.lesion_sent, w.all_sent);
        let needed = w.pigs_for_100.map_or("none will do".to_string(), |n| format!("{n:.0}"));
        let _ = writeln!(
            out,
            "{:<38} {k0:>6.2} {k1:>6.2} {k2:>6.2} {k3:>6.2} {l0:>8.2} {l1:>6.2} {l2:>10.2} {s0:>8.2} {s1:>6.2} {s2:>10.2} {needed:>13}",
            w.words(),
        );
    }
    let _ = writeln!(
        out,
        "pigs for 100: pigs opened so that tell as much of absence as 100 with all pairs opened"
    );
}

fn costs(out: &mut String, h: &DataSummary) {
    let pigs: usize = h.years.iter().map(|y| y.pigs).sum();
    let _ = writeln!(
        out,
        "\n{pigs} pigs are worth {:.0} fully recorded ones. What gaps and doubts cost:",
        h.worth_pigs
    );
    if h.costs.is_empty() {
        let _ = writeln!(out, "nothing");
        return;
    }
    let _ =
        writeln!(out, "{:<42} {:>8} {:>16}  suggested correction", "problem", "records", "pigs' worth lost");
    for c in &h.costs {
        let lost = format!("{}{:.1}", if c.at_most { "up to " } else { "" }, c.pigs);
        let _ = writeln!(out, "{:<42} {:>8} {:>16}  {}", c.problem, c.records, lost, c.suggested_correction);
    }
}
