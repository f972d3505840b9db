//! `init`: a study file for record files, proposed from the records themselves.

use crate::cli::args::InitArgs;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::ingest::errors::IngestError;
use crate::ingest::propose::propose;
use crate::ingest::read_study;
use crate::report::sentences::{records, run};
use crate::study::study_file::Study;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Most rows that are read once more to list words that are not known; `check` reads any number.
const MOST_READ: usize = 20_000;

pub(crate) fn init(args: &InitArgs) -> Result<Ending, CliError> {
    if args.out.exists() {
        let out = args.out.display();
        return Err(
            format!("{out}: is there already and is not overwritten; name another file with --out").into()
        );
    }
    let folder = args.out.parent().unwrap_or(Path::new("")).to_path_buf();
    let files: Vec<(PathBuf, String)> =
        args.records.iter().map(|path| (path.clone(), relative(path, &folder))).collect();
    let proposal = propose(&files, jiff::ZonedDateTime::now().date())?;
    let name = args.records[0].file_stem().map_or("study".into(), |s| s.to_string_lossy().into_owned());
    let names: Vec<String> = files.into_iter().map(|(_, name)| name).collect();
    let text = records::study_file(&name, &names, &proposal, &[]);
    // The proposed study is read at once: what it does not understand is listed in it.
    let rows: usize = proposal.tables.iter().map(|t| t.1).sum();
    let proposed = Study::parse(&text, "the proposed study").ok().filter(|_| rows <= MOST_READ);
    let account = proposed.and_then(|mut study| {
        study.folder.clone_from(&folder);
        match read_study(&study) {
            Ok(read) => Some(read.account),
            Err(IngestError::NoUsablePig { account }) => Some(*account),
            Err(_) => None,
        }
    });
    let unknown = account.as_ref().map(|a| records::unknown_words(&a.findings)).unwrap_or_default();
    let text = records::study_file(&name, &names, &proposal, &unknown);
    let mut file = std::fs::OpenOptions::new().write(true).create_new(true).open(&args.out)?;
    file.write_all(text.as_bytes())?;
    let mut said = Vec::new();
    for (table, rows, passed) in &proposal.tables {
        let aside = if *passed > 0 { format!(", and {passed} that are no records") } else { String::new() };
        said.push(format!("{table}: a table of {rows} rows{aside}"));
    }
    if let Some(account) = &account {
        said.push(run::counts(&account.counts));
    }
    if rows > MOST_READ {
        said.push("many rows: what becomes of each is said by the next command".into());
    }
    let mut undecided = records::undecided(&proposal);
    if !unknown.is_empty() {
        undecided.push(format!(
            "{} words that are not known: they are listed at the end of the file",
            unknown.len()
        ));
    }
    if let Some(cause) = account.as_ref().and_then(|a| crate::ingest::findings::main_cause(&a.findings)) {
        undecided.push(cause);
    }
    if !undecided.is_empty() {
        said.push("not settled:".into());
        said.extend(undecided.iter().map(|u| format!("  {u}")));
    }
    said.push(format!("written: {}", args.out.display()));
    said.push(format!("next: pignut check {}", args.out.display()));
    print_out(&said.join("\n"))?;
    Ok(if undecided.is_empty() { Ending::Done } else { Ending::Warnings })
}

/// A path as the study file in a folder names it: from the folder where it lies in it, otherwise whole.
fn relative(path: &Path, folder: &Path) -> String {
    let whole = |p: &Path| {
        let p = if p.as_os_str().is_empty() { Path::new(".") } else { p };
        std::path::absolute(p).unwrap_or_else(|_| p.to_path_buf())
    };
    let (path_whole, folder_whole) = (whole(path), whole(folder));
    let inside = path_whole.strip_prefix(&folder_whole).map(Path::to_path_buf);
    // TOML and every system read forward slashes.
    inside.unwrap_or(path_whole).to_string_lossy().replace('\\', "/")
}
