//! Raw tables of shares, read and written; tables in Markdown.

use std::path::{Path, PathBuf};

/// Writes rows under column names.
///
/// # Errors
/// The file cannot be written.
pub fn write_csv(path: &Path, column_names: &[&str], rows: &[Vec<String>]) -> Result<(), String> {
    let fault = |e: csv::Error| format!("{}: {e}", path.display());
    let mut out = csv::Writer::from_path(path).map_err(fault)?;
    out.write_record(column_names).map_err(fault)?;
    rows.iter().try_for_each(|r| out.write_record(r)).map_err(fault)?;
    out.flush().map_err(|e| format!("{}: {e}", path.display()))
}

/// Writes a text.
///
/// # Errors
/// The file cannot be written.
pub fn write_text(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
}

/// A CSV table, with its column names checked.
pub struct Rows {
    path: PathBuf,
    /// Fields of each row, in the order of the column names asked for.
    pub rows: Vec<Vec<String>>,
}

impl Rows {
    /// Reads a table; its column names must be those named, in that order.
    ///
    /// # Errors
    /// The file cannot be read, or its column names are others.
    pub fn read(path: &Path, column_names: &[&str]) -> Result<Rows, String> {
        let fault = |e: csv::Error| format!("{}: {e}", path.display());
        let mut reader = csv::Reader::from_path(path).map_err(fault)?;
        let found: Vec<String> = reader.headers().map_err(fault)?.iter().map(str::to_string).collect();
        if found != column_names {
            let (found, asked) = (found.join(","), column_names.join(","));
            return Err(format!(
                "{}: the headings are {found}; {asked} are needed: make it again",
                path.display()
            ));
        }
        let rows = reader.records().map(|r| r.map(|r| r.iter().map(str::to_string).collect()).map_err(fault));
        Ok(Rows { path: path.to_path_buf(), rows: rows.collect::<Result<_, _>>()? })
    }

    /// Field `k` of row `i` (from 0) as a finite number.
    ///
    /// # Errors
    /// It is none: names file, row, value.
    pub fn number(&self, i: usize, k: usize) -> Result<f64, String> {
        let text = &self.rows[i][k];
        text.parse().ok().filter(|v: &f64| v.is_finite()).ok_or_else(|| {
            let path = self.path.display();
            format!(
                "{path} row {}, field {}: {text:?} is not a finite number; make the table again",
                i + 2,
                k + 1
            )
        })
    }
}

/// Reads the tables `STEM-i-of-n.csv` of a folder: all n shares of one division, no other.
///
/// # Errors
/// There is none, one is missing, shares of two divisions lie there, or one cannot be read.
pub fn read_shares(folder: &Path, stem: &str, column_names: &[&str]) -> Result<Vec<Rows>, String> {
    let entries = std::fs::read_dir(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let share = |name: &str| -> Option<(usize, usize)> {
        let (i, n) = name.strip_prefix(stem)?.strip_prefix('-')?.strip_suffix(".csv")?.split_once("-of-")?;
        Some((n.parse().ok()?, i.parse().ok()?))
    };
    let mut found: Vec<(usize, usize)> =
        entries.filter_map(|e| share(&e.ok()?.file_name().to_string_lossy())).collect();
    found.sort_unstable();
    let of = found.first().map_or(0, |f| f.0);
    if of == 0 || found != (1..=of).map(|i| (of, i)).collect::<Vec<_>>() {
        let told: Vec<String> = found.iter().map(|(n, i)| format!("{i}/{n}")).collect();
        let told = if told.is_empty() { "none".into() } else { told.join(", ") };
        let folder = folder.display();
        return Err(format!(
            "{folder}: of {stem} there are the shares {told}; all shares of one division are needed"
        ));
    }
    found
        .iter()
        .map(|(n, i)| Rows::read(&folder.join(format!("{stem}-{i}-of-{n}.csv")), column_names))
        .collect()
}

/// A table in Markdown.
pub fn markdown(column_names: &[String], rows: &[Vec<String>]) -> String {
    let line = |fields: &[String]| format!("| {} |\n", fields.join(" | "));
    let mut out = line(column_names);
    out.push_str(&format!("|{}\n", " --- |".repeat(column_names.len())));
    rows.iter().for_each(|r| out.push_str(&line(r)));
    out
}
