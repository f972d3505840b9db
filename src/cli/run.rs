//! `run`: the main job.

use crate::cli::args::RunArgs;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::cli::progress::Bars;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::{Ingested, read_study};
use crate::pipeline::analysis::{Analysis, Prepared};
use crate::pipeline::reruns::Reruns;
use crate::records::Age;
use crate::report;
use crate::report::folder::{Staging, refuse_foreign};
use crate::report::manifest::Times;
use crate::report::sentences::{pigs, run as sentences};
use crate::report::{Extras, generalise};
use crate::score::check_truth;
use crate::study::study_file::Study;
use std::path::Path;

pub(crate) fn run(args: &RunArgs) -> Result<Ending, CliError> {
    let mut study = Study::read(&args.study)?;
    args.effort.apply(&mut study)?;
    refuse_foreign(&args.out)?;
    let mut ingested = read_study(&study)?;
    for what_if in &args.ages {
        override_age(&study, &mut ingested, what_if)?;
    }
    let prepared = Prepared::new(study, ingested)?;
    let layout = &prepared.layout;
    // What the long work would end in vain for is said before it.
    if let Some(side_m) = args.generalise {
        generalise::check_side(side_m, layout.grid.cell_m)?;
    }
    if let Some(truth) = &args.truth {
        let ids = layout.records.pigs.iter().map(|p| p.id.as_str());
        check_truth(truth, &layout.study.study.crs, ids).map_err(|e| format!("--truth: {e}"))?;
    }
    if args.plan {
        return print_out(&sentences::plan(&prepared, &args.out));
    }
    let extras = Extras { truth: args.truth.clone(), generalise_m: args.generalise };
    let reruns = Reruns { inputs: args.sensitivity, areas: args.hold_out };
    let ending = analyse_and_write(prepared, &args.out, &extras, reruns)?;
    Ok(ending.0)
}

/// Samples, assesses, writes and says how it went.
pub(crate) fn analyse_and_write(
    prepared: Prepared,
    out: &Path,
    extras: &Extras,
    reruns: Reruns,
) -> Result<(Ending, Analysis), CliError> {
    // Opened before the long work: a folder that cannot be written is said at once.
    let staging = Staging::begin(out)?;
    let started = now();
    eprintln!("{}", sentences::counts(&prepared.account.counts));
    eprintln!("{}", sentences::grid(&prepared.layout));
    let bars = Bars::default();
    let mut analysis = prepared.analyse(&|step| bars.show(step))?;
    if let Some(said) = sentences::reruns(&analysis.plan_reruns(reruns)) {
        eprintln!("{said}");
        analysis.run_again(reruns, &|step| bars.show(step))?;
    }
    let times = Times { started, finished: now() };
    let written = report::write_with(&analysis, staging, &times, extras)?;
    print_out(&sentences::headline(&analysis))?;
    let mut lines = String::from("written:\n");
    for f in written.files {
        lines.push_str(&format!("  {}\n", f.display()));
    }
    print_out(&lines)?;
    if let Some(earlier) = written.earlier {
        eprintln!(
            "pignut: the earlier result could not be removed and is now {}; delete that folder",
            earlier.display()
        );
    }
    let warnings = sentences::warnings(&analysis);
    for w in &warnings {
        eprintln!("pignut: warning: {w}");
    }
    let ending = if warnings.is_empty() { Ending::Done } else { Ending::Warnings };
    Ok((ending, analysis))
}

fn now() -> String {
    jiff::Timestamp::now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// Applies `ID=MIN-MAX` months to one record.
fn override_age(study: &Study, ingested: &mut Ingested, what_if: &str) -> Result<(), CliError> {
    let wrong =
        || format!("--age {what_if}: write the record's id, =, and two ages in months, such as AB-17=40-48");
    let (id, ages) = what_if.rsplit_once('=').ok_or_else(wrong)?;
    let (min, max) = ages.split_once('-').ok_or_else(wrong)?;
    let min_months: f64 = min.trim().parse().map_err(|_| wrong())?;
    let max_months: f64 = max.trim().parse().map_err(|_| wrong())?;
    if !(min_months >= 0.0 && max_months >= min_months && max_months <= study.exposure.max_age_months) {
        return Err(wrong().into());
    }
    let pig = ingested.records.pigs.iter_mut().find(|p| p.id == id);
    let pig = pig.ok_or_else(|| format!("--age {what_if}: no record has the id \"{id}\""))?;
    let message = format!(
        "was analysed at {min_months} to {max_months} months, as asked for with --age, instead of {}",
        pigs::age(pig.age)
    );
    pig.age = Age::Interval { min_months, max_months };
    let (file, row) = (pig.source.file.clone(), pig.source.row);
    ingested.account.findings.push(Finding {
        severity: Severity::Note,
        code: "age-what-if",
        file,
        row: Some(row),
        column: Some("occurrenceID".into()),
        value: Some(id.into()),
        message,
        suggested_correction: "leave out --age to use the recorded age".into(),
    });
    Ok(())
}
