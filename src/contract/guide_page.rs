//! The declarations as a page of the guide, Markdown.

use crate::contract::files::files;
use crate::contract::{ColumnKind, ColumnSpec, FileKind, FileSpec, Written};
use itertools::Itertools as _;
use std::fmt::Write as _;

const OPENING: &str = "\
Every file of a result folder, and what each of its columns means. This page is made from the declarations
through which results are written and read back.

- Layers are GeoJSON after RFC 7946: WGS 84 degrees, longitude first. Tables are Parquet, rasters GeoTIFF.
- Absent means unknown or not applicable, never 0. The column *absent* says where that may be.
- Dates are ISO 8601 in text and dates in tables.
- A **distribution** is eight columns: the name with `_mean`, `_q025`, `_q05`, `_q25`, `_q50`, `_q75`, `_q95`
  and `_q975`, the posterior mean and quantiles. **Seven dates** are the same without the mean.
- An **interval** is three columns: the name with `_median`, `_q05` and `_q95`, a 90 % credible interval.
- *host* before a name stands for `possum` and `ferret`: there is one column for each.
- *Recent* means the months of the study's key `recent.months`, up to the analysis date.
- A *design focus* is the focus of transmission that the study's `[coverage]` describes.
- *Positives* are positive and suspect pigs, unless a column says otherwise.
";

/// The page.
pub fn page() -> String {
    let mut out = OPENING.to_string();
    for file in files().filter(|f| f.kind != FileKind::Raster) {
        section(&mut out, file);
    }
    out.push_str("\n# Rasters\n\nOne figure of every cell each. A cell without the figure holds −9999.\n\n");
    out.push_str("| file | unit | meaning |\n| --- | --- | --- |\n");
    for file in files().filter(|f| f.kind == FileKind::Raster) {
        let unit = file.columns.iter().map(|c| c.unit).join(", ");
        let _ = writeln!(out, "| `{}` | {unit} | {} |", file.path, file.meaning);
    }
    out
}

fn section(out: &mut String, file: &FileSpec) {
    let _ = writeln!(out, "\n# {}\n\n{}", file.path, file.meaning);
    let each = match file.kind {
        FileKind::Layer => format!("One feature for each {}. ", file.row),
        _ if file.row.is_empty() => String::new(),
        _ => format!("One row for each {}. ", file.row),
    };
    let when = match file.written {
        Written::Always => "Written by every run.",
        Written::WithSensitivity => "Written by `run --sensitivity`.",
        Written::WithHoldOut => "Written by `run --hold-out`.",
        Written::WithGeneralise => "Written by `run --generalise`.",
        Written::BySample => "Written by `sample`; no part of a result folder.",
    };
    let _ = writeln!(out, "{each}{when}");
    if !file.columns.is_empty() {
        rows(out, if file.kind == FileKind::Json { "key" } else { "column" }, file.columns);
    }
    for column in file.columns {
        if let ColumnKind::Rows(columns) = column.kind {
            let _ = writeln!(out, "\nMembers of each row of `{}`:", column.name);
            rows(out, "member", columns);
        }
    }
}

fn rows(out: &mut String, column_name: &str, columns: &[ColumnSpec]) {
    let _ = writeln!(
        out,
        "\n| {column_name} | type | unit | absent | meaning |\n| --- | --- | --- | --- | --- |"
    );
    for c in columns {
        let host = if c.by_host { "*host*`_`" } else { "" };
        let absent = if c.optional { "may be" } else { "" };
        let _ = writeln!(
            out,
            "| {host}`{}` | {} | {} | {absent} | {} |",
            c.name,
            c.kind.words(),
            c.unit,
            c.meaning
        );
    }
}
