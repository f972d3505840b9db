//! `demo`: the demo study area, from simulated records to the map page.

use crate::cli::args::DemoArgs;
use crate::cli::outcome::{CliError, Ending};
use crate::cli::run::analyse_and_write;
use crate::pipeline::analysis::Prepared;
use crate::pipeline::reruns::Reruns;
use crate::report::Extras;
use crate::report::folder::refuse_foreign;
use crate::simulate::scenario::Scenario;
use crate::simulate::study_area::{StudyArea, simulate};
use crate::simulate::write;
use crate::study::study_file::Study;
use std::path::{Path, PathBuf};

pub(crate) fn demo(args: &DemoArgs) -> Result<Ending, CliError> {
    let study_folder = args.out.join("study");
    let result = args.out.join("result");
    refuse_foreign(&result)?;
    let area = simulate(&Scenario::demo())?;
    write_unless_other(&area, &study_folder)?;
    eprintln!("simulated study area written to {}", study_folder.display());
    let mut study = Study::read(&study_folder.join("study.toml"))?;
    args.effort.apply(&mut study)?;
    // The demo's truth is known: its page compares the stated probabilities with it.
    let extras = Extras { truth: Some(study_folder.join("truth")), generalise_m: None };
    let (ending, _) = analyse_and_write(Prepared::read(study)?, &result, &extras, Reruns::default())?;
    eprintln!("open {} in a browser", result.join("report.html").display());
    Ok(ending)
}

/// Writes the study area, unless that would change a file that is there: somebody's own study, or the
/// demo's, edited.
fn write_unless_other(area: &StudyArea, folder: &Path) -> Result<(), CliError> {
    let aside = folder.with_file_name(format!(".study.partial-{}", std::process::id()));
    let done = write::write(area, &aside).map_err(CliError::from).and_then(|()| put(&aside, folder));
    let _ = std::fs::remove_dir_all(&aside);
    done
}

/// Puts every file of one folder into another; nothing is put where one of them is there and says something
/// else.
fn put(from: &Path, to: &Path) -> Result<(), CliError> {
    let files = files(from)?;
    for file in &files {
        let there = to.join(file);
        if there.exists() && std::fs::read(&there).ok() != std::fs::read(from.join(file)).ok() {
            let there = there.display();
            return Err(format!(
                "{there} is not as the demo writes it and would be lost; \
                 move it, or name another folder with --out"
            )
            .into());
        }
    }
    for file in &files {
        let there = to.join(file);
        if !there.exists() {
            std::fs::create_dir_all(there.parent().unwrap_or(to))?;
            std::fs::rename(from.join(file), &there)
                .map_err(|e| format!("{}: cannot be written: {e}", there.display()))?;
        }
    }
    Ok(())
}

/// Files of a folder and of the folders in it.
fn files(folder: &Path) -> Result<Vec<PathBuf>, CliError> {
    let mut found = Vec::new();
    let mut open = vec![PathBuf::new()];
    while let Some(within) = open.pop() {
        for entry in std::fs::read_dir(folder.join(&within))? {
            let entry = entry?;
            let name = within.join(entry.file_name());
            if entry.file_type()?.is_dir() { open.push(name) } else { found.push(name) }
        }
    }
    Ok(found)
}
