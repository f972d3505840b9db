//! What a result folder holds: every file, its columns, their types, units and meanings, stated once.
//!
//! Results are written through these declarations and read back through them, and the guide's page
//! [`crate::guide::files_and_columns`] is made from them.
//!
//! | file | what it holds |
//! | --- | --- |
//! | `layers`, `tables`, `rasters`, `documents` | the declarations, one file a kind |
//! | `columns` | columns that several files share |
//! | `files` | all declared files, in order |
//! | `members` | objects of a layer or a JSON file checked and put in order |
//! | `write_table` | tables checked, put in order and written as Parquet |
//! | `read_table` | columns of a Parquet file, and JSON files, with errors that name the place |
//! | `guide_page` | the declarations as a page |

pub(crate) mod columns;
pub(crate) mod documents;
pub(crate) mod error;
pub(crate) mod files;
pub(crate) mod guide_page;
pub(crate) mod layers;
pub(crate) mod members;
pub(crate) mod rasters;
pub(crate) mod read_table;
pub(crate) mod tables;
pub(crate) mod write_table;

use crate::records::WildlifeHost;

/// Names of the quantiles of a distribution: 2.5, 5, 25, 50, 75, 95 and 97.5 %.
pub(crate) const QUANTILE_NAMES: [&str; 7] = ["q025", "q05", "q25", "q50", "q75", "q95", "q975"];

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ColumnKind {
    /// A text.
    Text,
    /// A number, double precision.
    Number,
    /// A number, single precision.
    Single,
    /// A whole number.
    Whole,
    /// A calendar year.
    Year,
    /// True or false.
    Flag,
    /// A day, ISO 8601 where it is written as text.
    Date,
    /// A polygon, well-known binary.
    Geometry,
    /// Eight numbers: `_mean` and [`QUANTILE_NAMES`].
    Distribution,
    /// Seven dates: [`QUANTILE_NAMES`].
    DateQuantiles,
    /// Three numbers: `_median`, `_q05`, `_q95`.
    Interval,
    /// A list of objects, each with these members.
    Rows(&'static [ColumnSpec]),
    /// A JSON object.
    Object,
    /// A JSON list.
    List,
}

impl ColumnKind {
    /// Endings of the columns that a kind stands for, and what each holds.
    fn parts(self) -> Vec<(String, ColumnKind)> {
        let quantiles = |kind| QUANTILE_NAMES.map(|q| (format!("_{q}"), kind)).to_vec();
        let number = |end: &str| (end.to_string(), ColumnKind::Number);
        match self {
            ColumnKind::Distribution => [vec![number("_mean")], quantiles(ColumnKind::Number)].concat(),
            ColumnKind::DateQuantiles => quantiles(ColumnKind::Date),
            ColumnKind::Interval => ["_median", "_q05", "_q95"].map(number).to_vec(),
            other => vec![(String::new(), other)],
        }
    }
    /// The kind as a reader says it.
    pub(crate) fn words(self) -> &'static str {
        match self {
            ColumnKind::Text => "text",
            ColumnKind::Number => "number",
            ColumnKind::Single => "number (single precision)",
            ColumnKind::Whole => "whole number",
            ColumnKind::Year => "calendar year",
            ColumnKind::Flag => "true or false",
            ColumnKind::Date => "date",
            ColumnKind::Geometry => "geometry",
            ColumnKind::Distribution => "distribution",
            ColumnKind::DateQuantiles => "seven dates",
            ColumnKind::Interval => "interval",
            ColumnKind::Rows(_) => "list of rows",
            ColumnKind::Object => "object",
            ColumnKind::List => "list",
        }
    }
}

/// One declared column, or a family of columns that share a meaning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColumnSpec {
    /// Name, without the endings of its kind and the host's name.
    pub name: &'static str,
    /// What it holds.
    pub kind: ColumnKind,
    /// Unit; empty where there is none.
    pub unit: &'static str,
    /// What it says, in one sentence.
    pub meaning: &'static str,
    /// Whether a value may be absent, which means unknown or not applicable, never 0.
    pub optional: bool,
    /// Whether there is one for each wildlife host: `possum_rank`, `ferret_rank`.
    pub by_host: bool,
}

impl ColumnSpec {
    /// The same, with values that may be absent.
    pub(crate) const fn or_absent(self) -> ColumnSpec {
        ColumnSpec { optional: true, ..self }
    }
    /// The same, one for each wildlife host.
    pub(crate) const fn by_host(self) -> ColumnSpec {
        ColumnSpec { by_host: true, ..self }
    }
}

/// One column as it stands in a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Name in the file.
    pub name: String,
    /// What it holds: one value, or rows.
    pub kind: ColumnKind,
    /// Whether a value may be absent.
    pub optional: bool,
}

/// The columns as they stand in a file, in order: families are written out.
pub fn members(columns: &[ColumnSpec]) -> Vec<Member> {
    let of = |c: &ColumnSpec| -> Vec<Member> {
        let hosts = WildlifeHost::BOTH.map(|h| format!("{}_", h.word()));
        let before = if c.by_host { hosts.to_vec() } else { vec![String::new()] };
        let one = |before: &String| {
            let parts = c.kind.parts().into_iter();
            parts
                .map(|(end, kind)| Member {
                    name: format!("{before}{}{end}", c.name),
                    kind,
                    optional: c.optional,
                })
                .collect::<Vec<_>>()
        };
        before.iter().flat_map(one).collect()
    };
    columns.iter().flat_map(of).collect()
}

/// The form of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// GeoJSON, RFC 7946.
    Layer,
    /// Parquet.
    Table,
    /// GeoTIFF.
    Raster,
    /// Comma-separated text, UTF-8.
    Csv,
    /// JSON, one object.
    Json,
    /// Anything that is read by people alone.
    Page,
}

/// When a file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// By every run.
    Always,
    /// By `run --sensitivity`.
    WithSensitivity,
    /// By `run --hold-out`.
    WithHoldOut,
    /// By `run --generalise`.
    WithGeneralise,
    /// By `sample`, where it is told to; no part of a result folder.
    BySample,
}

/// One declared file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FileSpec {
    /// Path in the result folder.
    pub path: &'static str,
    /// Its form.
    pub kind: FileKind,
    /// What one feature or row stands for; empty where the file has none.
    pub row: &'static str,
    /// When it is written.
    pub written: Written,
    /// What it answers, in one sentence.
    pub meaning: &'static str,
    /// Its columns, properties or top-level keys, in the order written.
    pub columns: &'static [ColumnSpec],
}
