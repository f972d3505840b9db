//! Which column name of a file is which column of ours.
//!
//! Column names are matched without regard to case, spaces, underscores, hyphens or a `dwc:`
//! prefix: `occurrenceID`, `Occurrence ID` and `occurrence_id` are one. A column name that
//! differs altogether is named in the study file:
//!
//! ```toml
//! [records.columns]
//! occurrenceID = "Ear tag"      # a name of ours = the column name in your file
//! eventDate = "Date shot"
//! ```
//!
//! The map wins over a column name that matches by itself. A map that names a column name no file
//! has is an error that lists the column names present. Columns that match nothing are kept out
//! of the computation and listed in one note per file (`columns-not-used`).

use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::table::Table;
use crate::ingest::translate::plan::{Plan, column_of, field_of};
use crate::ingest::translate::row::ReadRow;
use crate::study::study_file::RecordFiles;
use itertools::Itertools as _;
use std::collections::BTreeMap;

macro_rules! columns {
    ($($(#[$doc:meta])* $variant:ident = $name:literal,)*) => {
        /// A column of pig records.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Column { $($(#[$doc])* $variant,)* }
        impl Column {
            /// Every column, in the order of the data-preparation guide.
            pub(crate) const ALL: &'static [Column] = &[$(Column::$variant,)*];
            /// The column's name as written in the guide and in `[records.columns]`.
            pub(crate) fn name(self) -> &'static str {
                match self { $(Column::$variant => $name,)* }
            }
        }
    };
}

columns! {
    /// The specimen's number, unique in the study. Required.
    OccurrenceId = "occurrenceID",
    /// Date killed, ISO 8601. Required.
    EventDate = "eventDate",
    /// Latitude, decimal degrees.
    DecimalLatitude = "decimalLatitude",
    /// Longitude, decimal degrees.
    DecimalLongitude = "decimalLongitude",
    /// Datum of latitude and longitude, an EPSG code; blank means WGS 84.
    GeodeticDatum = "geodeticDatum",
    /// Metres east, in the study's system or the row's `crs`.
    Easting = "easting",
    /// Metres north, in the study's system or the row's `crs`.
    Northing = "northing",
    /// System of easting and northing, an EPSG code; blank means the study's.
    Crs = "crs",
    /// Degrees and minutes, or degrees, minutes and seconds, in one cell.
    VerbatimCoordinates = "verbatimCoordinates",
    /// Radius about the position that holds it with 95 % probability, metres.
    CoordinateUncertainty = "coordinateUncertaintyInMeters",
    /// Female or male.
    Sex = "sex",
    /// Youngest age the jaw allows, months.
    AgeMin = "ageMinMonths",
    /// Oldest age the jaw allows, months.
    AgeMax = "ageMaxMonths",
    /// What the jaw shows, turned into an age by the table of eruption.
    Dentition = "dentition",
    /// Node pairs of the head that were opened.
    NodePairs = "nodePairsExamined",
    /// Lesion seen by gross inspection: yes, no, blank when not inspected.
    GrossLesion = "grossLesion",
    /// culture, pcr, histology.
    LabMethod = "labMethod",
    /// positive, negative, pending.
    LabResult = "labResult",
    /// Day a sentinel pig was released.
    ReleasedOn = "releasedOn",
}

impl Column {
    /// The column that a column name names by itself.
    ///
    /// ```
    /// use pignut::internals::ingest::columns::Column;
    /// assert_eq!(Column::of_column_name(" Decimal_latitude "), Some(Column::DecimalLatitude));
    /// assert_eq!(Column::of_column_name("dwc:eventDate"), Some(Column::EventDate));
    /// assert_eq!(Column::of_column_name("remarks"), None);
    /// ```
    pub fn of_column_name(column_name: &str) -> Option<Column> {
        let wanted = plain(column_name);
        Column::ALL.iter().copied().find(|c| plain(c.name()) == wanted)
    }
}

/// Letters and digits of a column name in lower case, without a `dwc:` prefix.
pub(crate) fn plain(column_name: &str) -> String {
    let column_name = column_name.trim().trim_start_matches('\u{feff}');
    let column_name = column_name.strip_prefix("dwc:").unwrap_or(column_name);
    column_name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// A row among the first that reads like column names, where a title stands above them.
fn lower_heading_row(table: &Table) -> Option<usize> {
    let known = |row: &&crate::ingest::table::Row| {
        // A row that is longer than the title above it has been cut to one text.
        let cells = row.cells.iter().flat_map(|c| c.split([',', ';', '\t']));
        cells.filter(|c| Column::of_column_name(c.trim_matches('"')).is_some()).count() >= 3
    };
    table.rows.iter().take(10).find(known).map(|r| r.number)
}

/// The entries of `[records.columns]`, by column.
fn columns_of(map: &BTreeMap<String, String>) -> Result<Vec<(Column, &str)>, IngestError> {
    let column = |ours: &String| {
        let unknown = || IngestError::UnknownColumnName { name: ours.clone(), known: names(Column::ALL) };
        Column::of_column_name(ours).ok_or_else(unknown)
    };
    map.iter().map(|(ours, column_name)| Ok((column(ours)?, column_name.as_str()))).collect()
}

/// Where a column name stands in a file: as it is written, otherwise as column names are compared.
pub(crate) fn headed(table: &Table, column_name: &str) -> Vec<usize> {
    let all = |same: &dyn Fn(&str) -> bool| -> Vec<usize> {
        table.column_names.iter().enumerate().filter(|(_, h)| same(h)).map(|(i, _)| i).collect()
    };
    let exact = all(&|h| h.trim() == column_name.trim());
    if exact.is_empty() { all(&|h| plain(h) == plain(column_name)) } else { exact }
}

/// Checks `[records.columns]` against all files: each column name is in some file, and names one column of
/// ours.
///
/// # Errors
/// [`IngestError::UnknownColumnName`], [`IngestError::NoSuchHeading`], [`IngestError::SharedHeading`].
pub(crate) fn check_map(tables: &[Table], keys: &RecordFiles) -> Result<(), IngestError> {
    let entries = columns_of(&keys.columns)?;
    for (i, (column, column_name)) in entries.iter().enumerate() {
        if let Some((other, _)) = entries[..i].iter().find(|(_, h)| plain(h) == plain(column_name)) {
            return Err(IngestError::SharedHeading {
                column_name: column_name.to_string(),
                first: other.name().into(),
                second: column.name().into(),
            });
        }
        let mut read = tables.iter().filter(|t| !t.column_names.is_empty());
        if read.clone().all(|t| headed(t, column_name).is_empty())
            && let Some(first) = read.next()
        {
            return Err(IngestError::NoSuchHeading {
                file: first.file.clone(),
                column: column.name().into(),
                column_name: column_name.to_string(),
                present: first.column_names.join(", "),
            });
        }
    }
    Ok(())
}

fn names(columns: &[Column]) -> String {
    columns.iter().map(|c| c.name()).join(", ")
}

/// Whether a cell says that nothing is known: empty, or a word that statistics programs write
/// for a missing value (`NA`, `N/A`, `NULL`, `NaN`). A spreadsheet's `#N/A` is a look-up that failed and says
/// nothing
/// of the kind.
///
/// ```
/// use pignut::internals::ingest::columns::is_blank;
/// assert!(is_blank("  ") && is_blank("NA") && is_blank("null") && !is_blank("0") && !is_blank("#N/A"));
/// ```
pub fn is_blank(cell: &str) -> bool {
    let cell = cell.trim();
    cell.is_empty() || ["na", "n/a", "null", "nan"].iter().any(|w| cell.eq_ignore_ascii_case(w))
}

/// One row of pig records, seen by column.
pub(crate) struct RowView<'a> {
    pub tables: &'a [Table],
    pub plan: &'a Plan,
    pub read: &'a ReadRow,
}

impl<'a> RowView<'a> {
    /// The trimmed text of a cell of ours; `None` when blank or when the file has no such column.
    pub(crate) fn text(&self, column: Column) -> Option<&'a str> {
        let cell = self.read.cells.get(&column)?.text.trim();
        (!is_blank(cell)).then_some(cell)
    }

    /// The user's column name of a column, our name where the file has none.
    pub(crate) fn column_name(&self, column: Column) -> &'a str {
        let name = |table: usize, index: usize| {
            self.tables.get(table).and_then(|t| t.column_names.get(index)).map(String::as_str)
        };
        let cell = self.read.cells.get(&column).and_then(|c| name(c.table, c.column));
        let field = || name(self.read.table, self.plan.index(field_of(column))?);
        cell.or_else(field).unwrap_or(column.name())
    }

    /// The file of the row.
    pub(crate) fn file(&self) -> &'a str {
        &self.tables[self.read.table].file
    }

    /// A finding about one cell, quoting it as it is written.
    pub(crate) fn finding(
        &self,
        severity: Severity,
        code: &'static str,
        column: Column,
        message: impl Into<String>,
        suggested_correction: impl Into<String>,
    ) -> Finding {
        let cell = self.read.cells.get(&column);
        let written = cell.map(|c| c.written.as_str()).filter(|w| !w.is_empty()).or(self.text(column));
        self.place().cell(
            severity,
            code,
            Some(self.column_name(column)),
            written,
            message,
            suggested_correction,
        )
    }

    /// A finding about the row as a whole.
    pub(crate) fn row_finding(
        &self,
        severity: Severity,
        code: &'static str,
        message: impl Into<String>,
        suggested_correction: impl Into<String>,
    ) -> Finding {
        self.place().whole(severity, code, message, suggested_correction)
    }

    fn place(&self) -> Place<'a> {
        Place { file: self.file(), row: Some(self.read.number) }
    }
}

/// Checks that the tables together say when, where and what was found.
///
/// # Errors
/// [`IngestError::MissingColumns`].
pub(crate) fn check_required(tables: &[Table], plans: &[Plan]) -> Result<(), IngestError> {
    use crate::ingest::vocabulary::Field as F;
    let has = |f: F| plans.iter().any(|p| p.fields.contains_key(&f));
    let pair = |a, b| plans.iter().any(|p| p.fields.contains_key(&a) && p.fields.contains_key(&b));
    let constant = |c: Column| plans.iter().any(|p| p.constants.contains_key(&c));
    let mut missing: Vec<String> = Vec::new();
    if !has(F::Date) && !has(F::Year) && !constant(Column::EventDate) {
        missing.push(Column::EventDate.name().into());
    }
    if !(pair(F::Latitude, F::Longitude)
        || pair(F::LatitudeDegrees, F::LongitudeDegrees)
        || pair(F::Easting, F::Northing)
        || has(F::Position))
    {
        missing.push(
            "a position (decimalLatitude and decimalLongitude, easting and northing, or \
             verbatimCoordinates)"
                .into(),
        );
    }
    let nodes = plans.iter().any(|p| !p.nodes.is_empty());
    let results = [F::Lesion, F::LabResult, F::Result, F::Culture, F::Pcr, F::Histology];
    if !nodes && !results.into_iter().any(has) && !constant(Column::GrossLesion) {
        missing.push("a result (grossLesion or labResult)".into());
    }
    let Some(table) = tables.first().filter(|_| !missing.is_empty()) else { return Ok(()) };
    Err(IngestError::MissingColumns {
        file: table.file.clone(),
        missing: missing.join(", "),
        present: table.column_names.join(", "),
        suggested_correction: match lower_heading_row(table) {
            Some(row) => format!("the column names seem to be in row {row}: set records.header_row = {row}"),
            None => "name a column that is called otherwise under [records.columns]".into(),
        },
    })
}

/// Columns that are not used, in one note.
pub(crate) fn unused(table: &Table, plan: &Plan) -> Option<Finding> {
    let mut used: Vec<usize> = plan.fields.values().copied().collect();
    used.extend(plan.nodes.iter().map(|n| n.index));
    used.extend(plan.teeth.iter().map(|t| t.0));
    use crate::ingest::vocabulary::Field as F;
    let samples = plan.nodes.is_empty() && plan.is_of_the_field();
    let quiet = |f: &F| match f {
        F::Species | F::Status => false,
        F::Sample => !samples,
        other => column_of(*other).is_none(),
    };
    for (field, index) in &plan.fields {
        if quiet(field) {
            used.retain(|u| u != index);
        }
    }
    let unused: Vec<&str> = table
        .column_names
        .iter()
        .enumerate()
        .filter(|(i, h)| !h.is_empty() && !used.contains(i))
        .map(|(_, h)| h.as_str())
        .collect();
    if unused.is_empty() {
        return None;
    }
    Some(Place { file: &table.file, row: None }.whole(
        Severity::Note,
        "columns-not-used",
        format!("{} column(s) are not used: {}", unused.len(), unused.join(", ")),
        "if one of them is meant, name it under [records.columns] in the study file",
    ))
}
