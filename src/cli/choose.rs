//! `choose`: another budget or another list of musts, answered from a finished result.

use crate::assess::priorities::candidates::Candidates;
use crate::assess::priorities::{Decision, decide};
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::report::reread::{Reread, reread};
use crate::report::sentences::decisions::{OPERATORS, decision_json, money, without_nulls};
use clap::Args as ClapArgs;
use std::fmt::Write;
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
pub(crate) struct ChooseArgs {
    /// Result folder of a finished `run`.
    #[arg(value_name = "RESULT")]
    pub result: PathBuf,
    /// Money for the season's operations [default: the study's, or a share of all worthwhile ones].
    #[arg(long, value_name = "MONEY", allow_negative_numbers = true, help_heading = "What if")]
    pub budget: Option<f64>,
    /// Treat this block (B03), or this block against this host (B03:possum), whatever it gains. Repeatable.
    #[arg(long, value_name = "BLOCK", help_heading = "What if")]
    pub must: Vec<String>,
    /// Do not treat this block, or not against this host. Repeatable.
    #[arg(long, value_name = "BLOCK", help_heading = "What if")]
    pub never: Vec<String>,
    /// Take this block, or block and host, out of the study's own musts and nevers. Repeatable.
    #[arg(long, value_name = "BLOCK", help_heading = "What if")]
    pub free: Vec<String>,
    /// Print as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
}

pub(crate) fn choose(args: &ChooseArgs) -> Result<Ending, CliError> {
    let mut result = reread(&args.result)?;
    let keys = &mut result.priorities;
    for name in &args.free {
        let known = keys.must.len() + keys.never.len();
        keys.must.retain(|m| m != name);
        keys.never.retain(|m| m != name);
        if keys.must.len() + keys.never.len() == known {
            return Err(format!(
                "--free {name}: neither priorities.must nor priorities.never of the study names it"
            )
            .into());
        }
    }
    // What is typed now stands over what the study says of the same block.
    keys.never.retain(|n| !args.must.contains(n));
    keys.must.retain(|m| !args.never.contains(m));
    keys.must.extend(args.must.iter().cloned());
    keys.never.extend(args.never.iter().cloned());
    keys.budget = args.budget.or(keys.budget);
    if let Err((key, value, allowed)) = keys.check() {
        return Err(format!("{key} = {value} is not possible; {allowed}").into());
    }
    let decision = decide(&result.slate, &result.priorities)?;
    if args.json {
        let mut value = decision_json(&result.slate, &decision, &result.priorities.currency);
        let head = serde_json::json!({ "study": result.study, "as_of": result.as_of });
        if let (Some(all), Some(head)) = (value.as_object_mut(), head.as_object()) {
            for (at, (k, v)) in head.iter().enumerate() {
                all.shift_insert(at, k.clone(), v.clone());
            }
        }
        return print_out(&serde_json::to_string_pretty(&without_nulls(value))?);
    }
    print_out(&told(&result, &decision))
}

fn told(result: &Reread, d: &Decision) -> String {
    let currency = &result.priorities.currency;
    let mut out = String::new();
    let source = if d.budget_given { "" } else { ", assumed: none was given" };
    let _ = writeln!(
        out,
        "{} as of {}: budget {}{source}",
        result.study,
        result.as_of,
        money(currency, d.budget)
    );
    set(&mut out, &result.slate, d, currency);
    if let Some(own) = &result.chosen {
        against(&mut out, &result.slate, d, own, currency);
    }
    ties(&mut out, &result.slate, d);
    frontier(&mut out, &result.slate, d);
    let _ = writeln!(out, "\n{OPERATORS}");
    out
}

fn set(out: &mut String, slate: &Candidates, d: &Decision, currency: &str) {
    let chosen = d.chosen();
    if chosen.is_empty() {
        let _ = writeln!(out, "no operation is worth its money or fits the budget");
    } else {
        let _ = writeln!(
            out,
            "{:<18} {:<22} {:<9} {:>9} {:>14} {:>12} {:>9}  sample first?",
            "operation", "block", "method", "land, ha", "cost", "removes, ha", "in best"
        );
    }
    for i in chosen {
        let (c, f) = (&slate.candidates[i], &d.figures[i]);
        let look = f.look.map_or("not estimated".into(), |l| {
            if f.fills {
                "no; only fills the budget, may be left".into()
            } else if l.net_value_of_sample > 0.0 {
                format!("yes, worth {} after its cost", money(currency, l.net_value_of_sample))
            } else {
                "no".into()
            }
        });
        let _ = writeln!(
            out,
            "{:<18} {:<22} {:<9} {:>9.0} {:>14} {:>12.1} {:>9}  {look}",
            c.id(),
            c.name,
            c.method.word(),
            c.area_ha,
            money(currency, c.cost),
            f.expected_removed_ha,
            f.p_in_best_set.map_or("none".into(), |p| format!("{p:.2}")),
        );
    }
    let _ = writeln!(
        out,
        "removes {:.1} of {:.1} active ha expected (90 %: {:.1} to {:.1}), leaves {:.1} (90 %: {:.1} to {:.1}); costs {}",
        d.removed_ha.mean,
        d.active_ha.mean,
        d.removed_ha.q05(),
        d.removed_ha.q95(),
        d.residual_ha.mean,
        d.residual_ha.q05(),
        d.residual_ha.q95(),
        money(currency, d.cost),
    );
    if !d.proven {
        let _ = writeln!(out, "the search was cut short: a better set may exist");
    }
}

/// What changed against the set of the run itself.
fn against(out: &mut String, slate: &Candidates, d: &Decision, own: &[bool], currency: &str) {
    let mut changes = Vec::new();
    for (i, c) in slate.candidates.iter().enumerate() {
        match (own[i], d.figures[i].chosen) {
            (false, true) => changes.push(format!("with {}", c.id())),
            (true, false) => changes.push(format!("without {}", c.id())),
            _ => {}
        }
    }
    if changes.is_empty() {
        let _ = writeln!(out, "the same set as the run's own");
        return;
    }
    let before: f64 =
        slate.candidates.iter().zip(own).filter(|(_, o)| **o).map(|(c, _)| c.expected_removed_ha()).sum();
    let (ha, cost) = (d.removed_ha.mean - before, d.cost - slate.cost_of(own));
    let way = |v: f64, less: &'static str, more: &'static str| if v < 0.0 { less } else { more };
    let _ = writeln!(
        out,
        "against the run's own set: {}; removes {:.1} ha {}, costs {} {}",
        changes.join(", "),
        ha.abs(),
        way(ha, "less", "more"),
        money(currency, cost.abs()),
        way(cost, "less", "more"),
    );
}

fn ties(out: &mut String, slate: &Candidates, d: &Decision) {
    for t in &d.ties {
        let ids: Vec<String> = t.iter().map(|i| slate.candidates[*i].id()).collect();
        let _ = writeln!(out, "cannot be told apart: {}", ids.join(", "));
    }
}

fn frontier(out: &mut String, slate: &Candidates, d: &Decision) {
    let _ = writeln!(
        out,
        "\n{:>12} {:>12} {:>24} {:>24} {:>5}  changes to the set above it",
        "budget", "cost", "removed, ha (90 %)", "left, ha (90 %)", "done"
    );
    let range =
        |s: &crate::assess::spread::Spread| format!("{:.0} ({:.0} to {:.0})", s.mean, s.q05(), s.q95());
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
            "{:>12.0} {:>12.0} {:>24} {:>24} {:>5}  {}",
            p.budget,
            p.cost,
            range(&p.removed_ha),
            range(&p.residual_ha),
            now.len(),
            if ids.is_empty() { "none".into() } else { ids.join(" ") }
        );
    }
}
