//! Findings and headline figures as plain text.

use crate::ingest::findings::{Counts, Finding, Severity};
use crate::pipeline::analysis::Analysis;
use crate::records::date_of_day;
use crate::report::sentences::{decisions, trust};
use crate::study::study_file::Study;
use std::fmt::Write;

/// The counts of pig rows, which add up.
pub(crate) fn counts(c: &Counts) -> String {
    format!(
        "{} rows read: {} used, {} used with a warning, {} refused",
        c.read, c.used, c.used_with_warning, c.refused
    )
}

/// Findings grouped by kind, at most `most` of each.
pub(crate) fn findings(all: &[Finding], most: usize) -> String {
    let mut out = String::new();
    for severity in [Severity::Refused, Severity::Warning, Severity::Note] {
        let mut codes: Vec<&str> = Vec::new();
        for f in all.iter().filter(|f| f.severity == severity) {
            if !codes.contains(&f.code) {
                codes.push(f.code);
            }
        }
        for code in codes {
            let of_kind: Vec<&Finding> =
                all.iter().filter(|f| f.severity == severity && f.code == code).collect();
            let _ = writeln!(out, "{} {} ({})", severity.word(), code, of_kind.len());
            for f in of_kind.iter().take(most) {
                let _ = writeln!(out, "  {f}");
            }
            if of_kind.len() > most {
                let _ = writeln!(out, "  … and {} more", of_kind.len() - most);
            }
        }
    }
    out
}

/// Share of the grid that is active, and each zone in a line.
pub(crate) fn headline(analysis: &Analysis) -> String {
    let a = &analysis.assessment;
    let d = &a.district;
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{} as of {}: {} pigs, {} positive or suspect ({} confirmed), {:.1} expected truly infected",
        d.name,
        analysis.layout.as_of,
        d.pigs,
        d.positives,
        d.confirmed,
        // An empty sum is −0.
        a.positives.iter().map(|p| p.p_true).sum::<f64>() + 0.0,
    );
    let _ = writeln!(
        out,
        "{:<28} {:>6} {:>9} {:>9} {:>24}  attributed infections, 90 %",
        "area", "pigs", "positive", "p_active", "recent hazard (90 %)"
    );
    for (z, name) in a.zones.iter().map(|z| (z, z.name.as_str())).chain([(d, "whole grid, sea and all")]) {
        let window = z.window.map_or("too few to date".to_string(), |w| {
            format!("{} to {}", date_of_day(w[0]), date_of_day(w[2]))
        });
        let hazard = format!("{:.3} ({:.3} to {:.3})", z.hazard.median(), z.hazard.q05(), z.hazard.q95());
        let _ = writeln!(
            out,
            "{:<28} {:>6} {:>9} {:>9.2} {:>24}  {}",
            name, z.pigs, z.positives, z.p_active_any, hazard, window
        );
    }
    let _ = writeln!(
        out,
        "p_active: probability that the hazard a resident pig meets exceeds {} a year somewhere in the area; hazard: infections per pig-year.",
        analysis.layout.study.recent.hazard_threshold
    );
    if let Some(line) = crate::report::sentences::freedom::sentence(analysis) {
        let _ = writeln!(out, "{line}");
    }
    for effect in &a.operations {
        let _ = writeln!(out, "{}", decisions::effect(effect));
    }
    blocks(&mut out, analysis);
    for line in trust::lines(analysis) {
        let _ = writeln!(out, "{line}");
    }
    out
}

/// The blocks chosen, in a few lines.
fn blocks(out: &mut String, analysis: &Analysis) {
    let a = &analysis.assessment;
    let currency = &analysis.layout.study.priorities.currency;
    match &a.decision {
        None => {}
        Some(Err(e)) => {
            let _ = writeln!(out, "blocks: {e}");
        }
        Some(Ok(d)) => {
            let names: Vec<String> = d.chosen().iter().map(|i| a.slate.candidates[*i].id()).collect();
            let _ = writeln!(
                out,
                "blocks first, at {}{}: {}; removes {:.0} of {:.0} active ha expected (90 %: {:.0} to {:.0}), costs {}",
                decisions::money(currency, d.budget),
                if d.budget_given { "" } else { " (no budget given)" },
                if names.is_empty() { "none".into() } else { names.join(", ") },
                d.removed_ha.mean,
                d.active_ha.mean,
                d.removed_ha.q05(),
                d.removed_ha.q95(),
                decisions::money(currency, d.cost),
            );
        }
    }
}

/// What the run's own checks missed.
pub(crate) fn reservations(analysis: &Analysis) -> Vec<String> {
    let mut out: Vec<String> = analysis
        .posterior
        .shortfalls(&analysis.watches)
        .into_iter()
        .map(|(what, why)| format!("{what}: {why}; raise run.warmup and run.trajectories"))
        .collect();
    let run = &analysis.layout.study.run;
    let (wanted, made) = (run.posterior_samples, run.chains * analysis.trajectories());
    let kept = analysis.posterior.draws();
    if kept < wanted {
        let why = if made <= kept {
            "there are only that many trajectories"
        } else {
            "more would not fit in memory"
        };
        out.push(format!("{kept} draws of the field were kept, not {wanted}: {why}"));
    }
    if let Some(Err(e)) = &analysis.assessment.decision {
        out.push(format!("no set of blocks is named: {e}"));
    }
    let refused = analysis.account.counts.refused;
    if refused > 0 {
        let rows = if refused == 1 { "1 row was" } else { &format!("{refused} rows were") };
        out.push(format!("{rows} refused; findings.csv says which, why, and how to correct them"));
    }
    let areas = refused_areas(&analysis.layout.study, &analysis.account.findings);
    if areas > 0 {
        let said =
            if areas == 1 { "1 area or operation was" } else { &format!("{areas} areas or operations were") };
        out.push(format!(
            "{said} refused and is missing from the result; findings.csv says which, why, and how to correct it"
        ));
    }
    out
}

/// Zones, blocks, cover and operations that are not used.
pub(crate) fn refused_areas(study: &Study, findings: &[Finding]) -> usize {
    let a = &study.areas;
    let files: Vec<&String> = [&a.zones, &a.blocks, &a.cover, &a.operations].into_iter().flatten().collect();
    findings.iter().filter(|f| f.severity == Severity::Refused && files.contains(&&f.file)).count()
}
