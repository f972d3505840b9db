//! `check`: what the records hold and what is wrong with them.

use crate::cli::args::CheckArgs;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::ingest::errors::IngestError;
use crate::ingest::read_study;
use crate::pipeline::analysis::Prepared;
use crate::pipeline::data_summary::DataSummary;
use crate::records::Reading;
use crate::report::sentences::{data_summary, run};
use crate::study::study_file::Study;

pub(crate) fn check(args: &CheckArgs) -> Result<Ending, CliError> {
    let study = Study::read(&args.study)?;
    let read = match read_study(&study) {
        Ok(read) => read,
        Err(IngestError::NoUsablePig { account }) => {
            if args.json {
                let value = serde_json::json!({
                    "study": study.study.name,
                    "records": account.counts,
                    "findings": account.findings,
                    "read_as": account.inferences,
                    "rows": account.rows,
                });
                print_out(&serde_json::to_string_pretty(&value)?)?;
            } else {
                let findings = run::findings(&account.findings, args.most);
                let end = run::what_to_do(&account.findings);
                print_out(&format!("{}\n{findings}{end}", run::counts(&account.counts)))?;
            }
            return Err(IngestError::NoUsablePig { account }.into());
        }
        Err(other) => return Err(other.into()),
    };
    let count = |reading| data_summary::with_reading(&read.records.pigs, reading);
    if args.json {
        print_out(&serde_json::to_string_pretty(&serde_json::json!({
            "study": study.study.name,
            "as_of": read.as_of.to_string(),
            "records": read.account.counts,
            "projection": read.account.projection_note,
            "pigs": read.records.pigs.len(),
            "confirmed": count(Reading::Confirmed),
            "suspect": count(Reading::Suspect),
            "negative": count(Reading::Clear),
            "unconfirmed_lesions": read.records.pigs.iter().filter(|p| p.inspection.is_unconfirmed()).count(),
            "data_summary": DataSummary::of(&study, &read),
            "findings": read.account.findings,
            "read_as": read.account.inferences,
            "corrections": read.account.corrections,
            "rows": read.account.rows,
        }))?)?;
    } else {
        print_out(&data_summary::text(&study, &read, args.most))?;
    }
    let refused = read.account.counts.refused + run::refused_areas(&study, &read.account.findings);
    // What would stop a run is said here too.
    Prepared::new(study, read)?;
    Ok(if refused > 0 { Ending::Warnings } else { Ending::Done })
}
