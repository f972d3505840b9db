//! `check`: what the records hold and what is wrong with them.

use crate::cli::args::CheckArgs;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::cli::{holdings_text, text};
use crate::ingest::errors::IngestError;
use crate::ingest::{Ingested, read_study};
use crate::pipeline::analysis::Prepared;
use crate::pipeline::data_summary::DataSummary;
use crate::records::{Age, Reading};
use crate::study::study_file::Study;
use std::fmt::Write;

pub(crate) fn check(args: &CheckArgs) -> Result<Ending, CliError> {
    let study = Study::read(&args.study)?;
    let read = match read_study(&study) {
        Ok(read) => read,
        Err(IngestError::NoUsablePig { findings, counts }) => {
            if args.json {
                let value =
                    serde_json::json!({ "study": study.study.name, "records": counts, "findings": findings });
                print_out(&serde_json::to_string_pretty(&value)?)?;
            } else {
                print_out(&format!("{}\n{}", text::counts(&counts), text::findings(&findings, args.most)))?;
            }
            return Err(IngestError::NoUsablePig { findings, counts }.into());
        }
        Err(other) => return Err(other.into()),
    };
    if args.json {
        print_out(&serde_json::to_string_pretty(&serde_json::json!({
            "study": study.study.name,
            "as_of": read.as_of.to_string(),
            "records": read.account.counts,
            "projection": read.account.projection_note,
            "pigs": read.records.pigs.len(),
            "confirmed": count(&read, Reading::Confirmed),
            "suspect": count(&read, Reading::Suspect),
            "clear": count(&read, Reading::Clear),
            "unconfirmed_lesions": read.records.pigs.iter().filter(|p| p.inspection.is_unconfirmed()).count(),
            "data_summary": DataSummary::of(&study, &read),
            "findings": read.account.findings,
        }))?)?;
    } else {
        print_out(&describe(&study, &read, args.most))?;
    }
    let refused = read.account.counts.refused + text::refused_areas(&study, &read.account.findings);
    // What would stop a run is said here too.
    Prepared::new(study, read)?;
    Ok(if refused > 0 { Ending::Reservations } else { Ending::Done })
}

/// "1 block", "2 blocks".
fn counted(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

fn count(read: &Ingested, reading: Reading) -> usize {
    read.records.pigs.iter().filter(|p| p.reading == reading).count()
}

fn describe(study: &Study, read: &Ingested, most: usize) -> String {
    let r = &read.records;
    let mut out = String::new();
    let _ = writeln!(out, "{} as of {}", study.study.name, read.as_of);
    let _ = writeln!(out, "{}", text::counts(&read.account.counts));
    let unconfirmed = r.pigs.iter().filter(|p| p.inspection.is_unconfirmed()).count();
    let of_them = match unconfirmed {
        0 => String::new(),
        n => format!(" ({n} of them with a lesion that the laboratory did not confirm)"),
    };
    let _ = writeln!(
        out,
        "pigs: {} confirmed, {} suspect, {} clear{of_them}",
        count(read, Reading::Confirmed),
        count(read, Reading::Suspect),
        count(read, Reading::Clear)
    );
    let unaged = r.pigs.iter().filter(|p| p.age == Age::Unknown).count();
    let first = r.pigs.iter().map(|p| p.killed.first).min();
    let last = r.pigs.iter().map(|p| p.killed.last).max();
    if let (Some(first), Some(last)) = (first, last) {
        let _ = writeln!(out, "killed from {first} to {last}; {unaged} without an age");
    }
    let _ = writeln!(
        out,
        "areas: {}, {}, {}, {}",
        counted(r.zones.len(), "movement-control area"),
        counted(r.blocks.len(), "block"),
        counted(r.cover.len(), "cover polygon"),
        counted(r.operations.len(), "past operation")
    );
    let _ = writeln!(out, "positions: {}", read.account.projection_note);
    out.push_str(&holdings_text::describe(&DataSummary::of(study, read)));
    if !read.account.findings.is_empty() {
        out.push_str("\nfindings\n");
    }
    out.push_str(&text::findings(&read.account.findings, most));
    out
}
