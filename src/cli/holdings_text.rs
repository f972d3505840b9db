//! What a study's records hold, as plain text tables.

use crate::holdings::Holdings;
use crate::kernel::inspections::MONTHS_SINCE;
use std::fmt::Write;

/// Years, ages, silent months, ways of opening heads, and what each problem costs.
pub fn describe(h: &Holdings) -> String {
    let mut out = String::new();
    years(&mut out, h);
    let a = &h.ages;
    let width = a.median_width_months.map_or(String::new(), |w| format!("; half leave {w:.0} months open or less"));
    let _ = writeln!(out, "ages: {} recorded, {} from the jaw, {} unknown{width}", a.recorded, a.from_jaw, a.unknown);
    let _ = writeln!(out, "sex not recorded: {}; released sentinels: {}", h.sex_unknown, h.sentinels);
    for (from, to, expected) in &h.silent {
        let _ = writeln!(out, "no records from {from} to {to}, where {expected:.0} would be expected");
    }
    opened(&mut out, h);
    ways(&mut out, h);
    costs(&mut out, h);
    out
}

fn years(out: &mut String, h: &Holdings) {
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

fn opened(out: &mut String, h: &Holdings) {
    let _ =
        writeln!(out, "\n{:<44} {:>6} {:>13} {:>12}", "node pairs opened", "pigs", "of all pairs", "pigs' worth lost");
    for o in &h.opened {
        let _ = writeln!(out, "{:<44} {:>6} {:>11.0} % {:>16.1}", o.way, o.pigs, 100.0 * o.share_of_all, o.cost_pigs);
    }
}

fn ways(out: &mut String, h: &Holdings) {
    let [a, b, c, d] = MONTHS_SINCE.map(|m| format!("{m} mo"));
    let _ = writeln!(
        out,
        "\nchance of seeing infection, by what is opened (the study's [detection])\n{:<36} {:>6} {:>6} {:>6} {:>6} {:>14} {:>14} {:>13}",
        "knife alone, months since infection:", a, b, c, d, "lesion cultured", "all cultured", "pigs for 100"
    );
    for w in &h.ways {
        let k = w.knife_by_months_since;
        let needed = w.pigs_for_100.map_or("none will do".to_string(), |n| format!("{n:.0}"));
        let _ = writeln!(
            out,
            "{:<36} {:>6.2} {:>6.2} {:>6.2} {:>6.2} {:>15.2} {:>14.2} {:>13}",
            w.words(),
            k[0],
            k[1],
            k[2],
            k[3],
            w.lesion_sent[0],
            w.all_sent[0],
            needed
        );
    }
    let _ = writeln!(out, "pigs for 100: pigs opened so that tell as much of absence as 100 with all pairs opened");
}

fn costs(out: &mut String, h: &Holdings) {
    let pigs: usize = h.years.iter().map(|y| y.pigs).sum();
    let _ =
        writeln!(out, "\n{pigs} pigs are worth {:.0} fully recorded ones. What gaps and doubts cost:", h.worth_pigs);
    if h.costs.is_empty() {
        let _ = writeln!(out, "nothing");
        return;
    }
    let _ = writeln!(out, "{:<42} {:>8} {:>16}  mend", "problem", "records", "pigs' worth lost");
    for c in &h.costs {
        let lost = format!("{}{:.1}", if c.at_most { "up to " } else { "" }, c.pigs);
        let _ = writeln!(out, "{:<42} {:>8} {:>16}  {}", c.problem, c.records, lost, c.mend);
    }
}
