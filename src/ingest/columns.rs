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
