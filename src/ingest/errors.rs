//! Why a study's files cannot be read at all: what no finding can correct.

use crate::geography::coordinates::held::ProjectionError;

/// Why a study's files cannot be read at all.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum IngestError {
    /// The file is absent or cannot be opened.
    #[error(
        "{file}: cannot be read: {reason}; check the path; one in the study file starts at its own folder"
    )]
    Unreadable {
        /// File as named in the study.
        file: String,
        /// What the system said.
        reason: String,
    },
    /// The extension says nothing.
    #[error(
        "{file}: files ending in \".{extension}\" are not known; \
         save it as .csv, .xlsx, .ods, .parquet, .geojson or .gpkg"
    )]
    UnknownFormat {
        /// File as named in the study.
        file: String,
        /// Its extension, lower case.
        extension: String,
    },
    /// The file is not what its extension says.
    #[error(
        "{file}: is not {format} that can be read: {reason}; save it again from the program that made it"
    )]
    Malformed {
        /// File as named in the study.
        file: String,
        /// What it should be.
        format: &'static str,
        /// What the reader said.
        reason: String,
    },
    /// A sheet reaches to a cell so far from the rest that it cannot be held.
    #[error(
        "{file}: sheet \"{sheet}\" reaches to row {row}, column {column}, {cells:.0e} cells in all; \
         delete what stands far from the records"
    )]
    SheetTooLarge {
        /// File as named in the study.
        file: String,
        /// Sheet.
        sheet: String,
        /// Last row.
        row: u32,
        /// Last column, from 1.
        column: u32,
        /// Cells in the rectangle.
        cells: f64,
    },
    /// The study's system stretches distances where the records are.
    #[error(
        "study.crs: {code} makes distances {scale:.2} times too long (or too short) at the records, \
         so ranges, areas and costs would be wrong; choose a system made for the region, such as {instead}"
    )]
    Stretched {
        /// The study's system.
        code: String,
        /// Largest of its scale factors there, or 1 over the smallest.
        scale: f64,
        /// A system that would do.
        instead: String,
    },
    /// A workbook has no such sheet.
    #[error("{file}: has no sheet \"{sheet}\"; its sheets are {present}; correct records.sheet")]
    NoSheet {
        /// File as named in the study.
        file: String,
        /// Sheet asked for.
        sheet: String,
        /// Sheets present.
        present: String,
    },
    /// A GeoPackage has no such layer, or several and none is named.
    #[error("{file}: has no layer \"{layer}\"; its layers are {present}; {suggested_correction}")]
    NoLayer {
        /// File as named in the study.
        file: String,
        /// Layer asked for: the study's, or the role.
        layer: String,
        /// Layers present.
        present: String,
        /// What to do.
        suggested_correction: &'static str,
    },
    /// A correction that cannot be made.
    #[error("{file} row {row}: {reason}")]
    Correction {
        /// Table of corrections.
        file: String,
        /// Its row.
        row: usize,
        /// What is wrong.
        reason: String,
    },
    /// A file without anything in it.
    #[error("{file}: holds nothing; save it again with column names and records")]
    HoldsNothing {
        /// File as named.
        file: String,
    },
    /// `[records.columns]` has a key that is no column of ours.
    #[error("records.columns: \"{name}\" is no column; the columns are {known}")]
    UnknownColumnName {
        /// Key given.
        name: String,
        /// Columns there are.
        known: String,
    },
    /// `[records.columns]` names a column name the file does not have.
    #[error(
        "{file}: has no column \"{column_name}\", which records.columns names for {column}; its columns are \
         {present}"
    )]
    NoSuchHeading {
        /// File as named in the study.
        file: String,
        /// Column of ours.
        column: String,
        /// Heading asked for.
        column_name: String,
        /// Column names present.
        present: String,
    },
    /// Two column names name one column.
    #[error(
        "{file}: columns \"{first}\" and \"{second}\" both stand for {column}; \
         rename one, or choose with records.columns"
    )]
    DoubleHeading {
        /// File as named in the study.
        file: String,
        /// Column of ours.
        column: String,
        /// First column name.
        first: String,
        /// Second column name.
        second: String,
    },
    /// A column without which nothing can be read is absent.
    #[error("{file}: has no column for {missing}; its columns are {present}; {suggested_correction}")]
    MissingColumns {
        /// File as named in the study.
        file: String,
        /// What is missing.
        missing: String,
        /// Column names present.
        present: String,
        /// What to do.
        suggested_correction: String,
    },
    /// `[records.columns]` names one column name for two columns.
    #[error(
        "records.columns: \"{column_name}\" is named for {first} and for {second}; each needs a column of \
         its own"
    )]
    SharedHeading {
        /// Heading named twice.
        column_name: String,
        /// First column of ours.
        first: String,
        /// Second column of ours.
        second: String,
    },
    /// The study's coordinate system cannot be used.
    #[error(transparent)]
    Projection(#[from] ProjectionError),
    /// The study's own table of eruption cannot be used.
    #[error("ageing.table: {0}")]
    Ageing(#[from] crate::ageing::schedule::ScheduleError),
    /// No row of any file can be used; the findings say why.
    #[error(
        "no pig record can be used: {} row(s) read, {} refused; {}",
        account.counts.read,
        account.counts.refused,
        crate::ingest::findings::main_cause(&account.findings)
            .unwrap_or_else(|| "the files hold no rows of records".to_string())
    )]
    NoUsablePig {
        /// What was read and found.
        account: Box<crate::ingest::account::Account>,
    },
}
