//! `demo`: the invented district, from simulated records to the map page.

use super::args::DemoArgs;
use super::run::analyse_and_write;
use super::{CliError, Ending};
use crate::analysis::{Layout, reruns::Reruns};
use crate::report::{Extras, folder::refuse_foreign};
use crate::simulate::{Scenario, simulate, write};
use crate::study::Study;

pub(super) fn demo(args: &DemoArgs) -> Result<Ending, CliError> {
    let study_folder = args.out.join("study");
    let result = args.out.join("result");
    refuse_foreign(&result)?;
    let district = simulate(&Scenario::demo())?;
    write(&district, &study_folder)?;
    eprintln!("invented district written to {}", study_folder.display());
    let mut study = Study::read(&study_folder.join("study.toml"))?;
    args.effort.apply(&mut study)?;
    // The demo's truth is known: its page shows how the stated chances fared.
    let extras = Extras { truth: Some(study_folder.join("truth")), generalise_m: None };
    let (ending, _) = analyse_and_write(Layout::read(study)?, &result, &extras, Reruns::default())?;
    eprintln!("open {} in a browser", result.join("report.html").display());
    Ok(ending)
}
