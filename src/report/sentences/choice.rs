//! Another budget or other musts, as plain text: the set, what changed, the frontier.

use crate::assess::priorities::Decision;
use crate::assess::priorities::candidates::Candidates;
use crate::assess::spread::Spread;
use crate::report::sentences::operations::OPERATORS;
use crate::report::sentences::{priorities, words};
use std::fmt::Write;

/// Everything said of a choice made again; `own` is the set of the run itself.
pub(crate) fn text(slate: &Candidates, d: &Decision, own: Option<&[bool]>, currency: &str) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", priorities::chosen(d, slate, currency));
    set(&mut out, slate, d, currency);
    if !d.proven {
        let _ = writeln!(out, "The search was cut short: a better set may exist.");
    }
    if let Some(own) = own {
        let _ = writeln!(out, "{}", against(slate, d, own, currency));
    }
    for t in &d.ties {
        let ids: Vec<String> = t.iter().map(|i| slate.candidates[*i].id()).collect();
        let _ = writeln!(out, "Cannot be told apart: {}.", ids.join(", "));
    }
    frontier(&mut out, slate, d);
    let _ = writeln!(out, "\n{OPERATORS}");
    out
}

fn set(out: &mut String, slate: &Candidates, d: &Decision, currency: &str) {
    let chosen = d.chosen();
    if chosen.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "{:<18} {:<22} {:<9} {:>9} {:>14} {:>12} {:>11}  sample first?",
        "operation", "block", "method", "land, ha", "cost", "removes, ha", "in best set"
    );
    for i in chosen {
        let (c, f) = (&slate.candidates[i], &d.figures[i]);
        let _ = writeln!(
            out,
            "{:<18} {:<22} {:<9} {:>9} {:>14} {:>12} {:>11}  {}",
            c.id(),
            c.name,
            c.method.word(),
            words::grouped(c.area_ha),
            words::money(currency, c.cost),
            words::two_digits(f.expected_removed_ha),
            f.p_in_best_set.map_or("none".into(), words::chance),
            priorities::advice(f, currency),
        );
    }
}

/// What changed against the set of the run itself.
fn against(slate: &Candidates, d: &Decision, own: &[bool], currency: &str) -> String {
    let mut changes = Vec::new();
    for (i, c) in slate.candidates.iter().enumerate() {
        match (own[i], d.figures[i].chosen) {
            (false, true) => changes.push(format!("with {}", c.id())),
            (true, false) => changes.push(format!("without {}", c.id())),
            _ => {}
        }
    }
    if changes.is_empty() {
        return "This is the run's own set.".into();
    }
    let before: f64 =
        slate.candidates.iter().zip(own).filter(|(_, o)| **o).map(|(c, _)| c.expected_removed_ha()).sum();
    let (ha, cost) = (d.removed_ha.mean - before, d.cost - slate.cost_of(own));
    let way = |v: f64| if v < 0.0 { "less" } else { "more" };
    format!(
        "Compared with the run's own set: {}. It removes {} ha {} and costs {} {}.",
        changes.join(", "),
        words::two_digits(ha.abs()),
        way(ha),
        words::money(currency, cost.abs()),
        way(cost),
    )
}

fn frontier(out: &mut String, slate: &Candidates, d: &Decision) {
    let _ = writeln!(
        out,
        "\n{:>12} {:>12} {:>26} {:>26} {:>5}  changes to the set above it",
        "budget", "cost", "removed, ha (90 % CrI)", "left, ha (90 % CrI)", "done"
    );
    let range = |s: &Spread| {
        format!("{} ({})", words::grouped(s.mean), words::range(s.q05(), s.q95(), words::grouped))
    };
    let mut before: &[usize] = &[];
    for p in &d.frontier {
        let now = &p.operations;
        let ids: Vec<String> = (0..slate.candidates.len())
            .filter_map(|i| match (before.contains(&i), now.contains(&i)) {
                (false, true) => Some(format!("+{}", slate.candidates[i].id())),
                (true, false) => Some(format!("-{}", slate.candidates[i].id())),
                _ => None,
            })
            .collect();
        before = now;
        let _ = writeln!(
            out,
            "{:>12} {:>12} {:>26} {:>26} {:>5}  {}",
            words::grouped(p.budget),
            words::grouped(p.cost),
            range(&p.removed_ha),
            range(&p.residual_ha),
            now.len(),
            if ids.is_empty() { "none".into() } else { ids.join(" ") }
        );
    }
}
