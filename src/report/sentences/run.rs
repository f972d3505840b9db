//! A run: what it reads, what it will do, its headline and its warnings.

use crate::geography::layout::Layout;
use crate::inference::posterior::{LARGEST_R_HAT, SMALLEST_ESS};
use crate::ingest::findings::{Counts, Finding, Severity};
use crate::pipeline::analysis::{Analysis, Prepared};
use crate::pipeline::reruns::Plan;
use crate::report::sentences::{
    areas, freedom, model_checks, operations, pigs, priorities, records, verdicts, words,
};
use crate::study::study_file::Study;
use std::fmt::Write;
use std::path::Path;

/// What estimates are for; shown wherever figures are.
pub(crate) const CAUTION: &str = "Estimates support judgement; they do not replace it. \
Suspect animals, samples, toxins and traps are matters for veterinarians and licensed operators \
under local rules.";

/// Study and day, as a heading.
pub(crate) fn heading(study: &str, as_of: impl std::fmt::Display) -> String {
    format!("{study}, analysis date {as_of}")
}

/// The counts of pig rows, which add up.
pub(crate) fn counts(c: &Counts) -> String {
    let mut text = format!(
        "{}: {} used, {} used with a warning, {} refused",
        words::count(c.read, "row read", "rows read"),
        words::grouped(c.used as f64),
        words::grouped(c.used_with_warning as f64),
        words::grouped(c.refused as f64)
    );
    // A sheet of one row per pig has neither.
    if c.left_out > 0 {
        text += &format!(", {} left out", words::grouped(c.left_out as f64));
    }
    if c.joined > 0 {
        text += &format!(", {} joined to the row of the same animal", words::grouped(c.joined as f64));
    }
    text
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
        // The most frequent kind first; of equals, the one found first.
        codes.sort_by_key(|code| std::cmp::Reverse(all.iter().filter(|f| f.code == *code).count()));
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

/// How the findings end: words to explain in the study file, and the cause that keeps most rows out.
pub(crate) fn what_to_do(all: &[Finding]) -> String {
    let mut out = String::new();
    let unknown = records::unknown_words(all);
    if !unknown.is_empty() {
        out += "words not known; lines for the study file, with their meaning between the marks:\n";
        out += &records::word_lines(&unknown, "  ");
    }
    if let Some(cause) = crate::ingest::findings::main_cause(all) {
        let _ = writeln!(out, "most rows that are not used: {cause}");
    }
    out
}

/// The grid and its periods.
pub(crate) fn grid(layout: &Layout) -> String {
    let g = &layout.grid;
    format!(
        "grid: {} × {} cells of {} m, {} periods of {} months from {}",
        g.rows,
        g.cols,
        g.cell_m,
        g.periods(),
        g.period_months,
        g.period_start(0)
    )
}

/// What a run would do, with every parameter.
pub(crate) fn plan(prepared: &Prepared, out: &Path) -> String {
    let layout = &prepared.layout;
    let run = &layout.study.run;
    format!(
        "{}\n{}\n{} chains of {} + {} trajectories{}, {} posterior samples kept, seed {}\n\
         would write {}\nparameters:\n{}",
        counts(&prepared.account.counts),
        grid(layout),
        run.chains,
        run.warmup,
        run.trajectories,
        if run.end_early { " at most" } else { "" },
        run.posterior_samples,
        layout.study.study.seed,
        out.display(),
        toml::to_string(&layout.study).unwrap_or_default(),
    )
}

/// What the re-runs will take, before they start; `None` when there are none.
pub(crate) fn reruns(p: &Plan) -> Option<String> {
    let mut parts = Vec::new();
    if p.inputs + p.assessed > 0 {
        parts.push(format!(
            "{} with other inputs or another seed, {} assessed anew from the same posterior samples",
            p.inputs, p.assessed
        ));
    }
    if p.areas > 0 {
        parts.push(format!("{} without the pigs of an area", p.areas));
    }
    (!parts.is_empty()).then(|| {
        format!(
            "running again: {}; {} × {} chains of {} + {} trajectories",
            parts.join(", "),
            p.runs(),
            p.chains,
            p.warmup,
            p.trajectories
        )
    })
}

/// Each area in a line, then the sentences of the page.
pub(crate) fn headline(analysis: &Analysis) -> String {
    let a = &analysis.assessment;
    let d = &a.study_area;
    let mut out = heading(&d.name, analysis.layout.as_of);
    let _ = writeln!(
        out,
        ": {}, {} positive or suspect ({} confirmed)",
        words::count(d.pigs, "pig", "pigs"),
        d.positives,
        d.confirmed
    );
    let _ =
        writeln!(out, "{:<28} {:>6} {:>9} {:>24}  verdict", "area", "pigs", "positive", "force of infection");
    let zones = a.zones.iter().enumerate().map(|(i, z)| (z, z.name.as_str(), Some(i)));
    for (z, name, zone) in zones.chain([(d, verdicts::REACHED_LAND, None)]) {
        let _ = writeln!(
            out,
            "{:<28} {:>6} {:>9} {:>24}  {}",
            name,
            words::grouped(z.pigs as f64),
            z.positives,
            areas::force_of_infection(z),
            verdicts::short(analysis, zone)
        );
    }
    let _ = writeln!(out, "Force of infection: infections per pig-year, median and 90 % CrI.");
    let mut lines: Vec<String> = verdicts::nearly_assumed(analysis).into_iter().collect();
    if a.zones.is_empty() {
        lines.push(verdicts::headline(analysis));
    }
    for (i, z) in a.zones.iter().enumerate() {
        lines.push(format!("{}: {}", z.name, verdicts::rests_on(analysis, Some(i))));
    }
    lines.push(verdicts::meanings(analysis));
    lines.extend(freedom::areas(analysis));
    lines.push(areas::active_land(analysis));
    lines.push(pigs::positives(analysis));
    lines.extend(a.operations.iter().map(operations::effect));
    match &a.decision {
        None => {}
        Some(Err(e)) => lines.push(priorities::no_set(e)),
        Some(Ok(d)) => {
            lines.push(priorities::plan(analysis, d));
        }
    }
    lines.extend(model_checks::lines(analysis));
    for line in lines {
        let _ = writeln!(out, "{line}");
    }
    out
}

/// Whether the computation settled.
pub(crate) fn settled(analysis: &Analysis) -> String {
    match analysis.posterior.shortfalls(&analysis.watches).len() {
        0 => "The computation settled: all checks passed.".into(),
        n => format!(
            "The computation missed {n} of its checks. Treat every figure as provisional until a longer run \
             passes them."
        ),
    }
}

/// What is asked of the computation.
pub(crate) fn checks_asked() -> String {
    format!(
        "Checks: split R-hat below {LARGEST_R_HAT} for every quantity; \
         an effective sample size (ESS) of {SMALLEST_ESS:.0} for the total force of infection and that of \
         each area; no divergent trajectory."
    )
}

/// A watched quantity's name for people.
pub(crate) fn quantity(analysis: &Analysis, name: &str) -> String {
    match name.split_once(':') {
        Some((kind, id)) if kind.starts_with("zone_") => {
            let zone = analysis.layout.records.zones.iter().find(|z| z.id == id);
            format!("recent force of infection of {}", zone.map_or(id, |z| &z.name))
        }
        Some((kind, id)) if kind.starts_with("cell_") => format!("recent force of infection of cell {id}"),
        None if name.starts_with("total_") => "total force of infection".into(),
        _ => name.replace('_', " "),
    }
}

/// What the run's own checks missed.
pub(crate) fn warnings(analysis: &Analysis) -> Vec<String> {
    let mut out: Vec<String> = analysis
        .posterior
        .shortfalls(&analysis.watches)
        .into_iter()
        .map(|(what, why)| {
            format!("{}: {why}; raise run.warmup and run.trajectories", quantity(analysis, &what))
        })
        .collect();
    let run = &analysis.layout.study.run;
    let (wanted, made) = (run.posterior_samples, run.chains * analysis.trajectories());
    let kept = analysis.posterior.samples();
    if kept < wanted {
        let why = if made <= kept {
            "there are only that many trajectories"
        } else {
            "more would not fit in memory"
        };
        out.push(format!("{kept} posterior samples of the field were kept, not {wanted}: {why}"));
    }
    if let Some(Err(e)) = &analysis.assessment.decision {
        out.push(format!("no set of blocks is named: {e}"));
    }
    let refused = analysis.account.counts.refused;
    if refused > 0 {
        let rows = words::count(refused, "row was", "rows were");
        out.push(format!("{rows} refused; findings.csv says which, why, and how to correct it"));
    }
    let areas = refused_areas(&analysis.layout.study, &analysis.account.findings);
    if areas > 0 {
        let said = words::count(areas, "area or operation was", "areas or operations were");
        out.push(format!(
            "{said} refused and missing from the result; findings.csv says which, why, and how to correct it"
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
