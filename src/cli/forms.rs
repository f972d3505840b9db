//! `forms`: the officer's record forms.

use crate::cli::outcome::{CliError, Ending, print_out};
use crate::forms::{FormHeading, field_form, record_sheet};
use clap::Args as ClapArgs;
use std::path::{Path, PathBuf};

#[derive(Debug, ClapArgs)]
pub(crate) struct FormsArgs {
    /// Folder to write: record-sheet.html to print, field-form.html for a telephone.
    #[arg(long, value_name = "FOLDER", help_heading = "Output")]
    pub out: PathBuf,
    /// Title of both forms, such as the name of the place.
    #[arg(long, value_name = "TEXT", default_value = "Feral pig inspection", help_heading = "Output")]
    pub title: String,
    /// First letters of specimen numbers on the telephone; give every officer others, so that no two
    /// numbers are the same.
    #[arg(long, value_name = "TEXT", default_value = "PIG", help_heading = "Output")]
    pub prefix: String,
}

pub(crate) fn forms(args: &FormsArgs) -> Result<Ending, CliError> {
    let prefix = args.prefix.trim();
    if prefix.is_empty() || prefix.chars().count() > 20 || prefix.contains(char::is_control) {
        return Err(format!("--prefix \"{prefix}\": write 1 to 20 letters or digits, such as KT").into());
    }
    let heading = FormHeading { title: args.title.trim().into(), prefix: prefix.into() };
    let pages = [("record-sheet.html", record_sheet(&heading)?), ("field-form.html", field_form(&heading)?)];
    std::fs::create_dir_all(&args.out).map_err(|e| format!("{}: cannot be made: {e}", args.out.display()))?;
    // All is checked before anything is written.
    for (name, _) in &pages {
        refuse_foreign(&args.out.join(name))?;
    }
    let mut lines = String::from("written:\n");
    for (name, page) in &pages {
        let path = args.out.join(name);
        std::fs::write(&path, page).map_err(|e| format!("{}: cannot be written: {e}", path.display()))?;
        lines.push_str(&format!("  {}\n", path.display()));
    }
    print_out(&lines)
}

/// A file of that name is replaced only if this program wrote it.
fn refuse_foreign(path: &Path) -> Result<(), CliError> {
    match std::fs::read_to_string(path) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Ok(text) if text.contains("<meta name=\"generator\" content=\"pignut ") => Ok(()),
        _ => Err(format!(
            "{}: exists and was not written by this program; name another folder",
            path.display()
        )
        .into()),
    }
}
