//! The plan of one table: what each column holds, and how its values are read.

use crate::ingest::account::Inference;
use crate::ingest::columns::Column;
use crate::ingest::table::Table;
use crate::ingest::translate::legend::Legend;
use crate::ingest::translate::place_setting::PlaceSetting;
use crate::ingest::values::date_setting::DateSetting;
use crate::ingest::vocabulary::{self, Field, Side};
use crate::records::NodePair;
use crate::study::study_file::RecordFiles;
use std::collections::{BTreeMap, BTreeSet};

/// A column of one node of the head, or of a node elsewhere.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NodeColumn {
    pub index: usize,
    /// `None`: a node outside the three pairs of the head.
    pub pair: Option<NodePair>,
    pub side: Option<Side>,
}

/// How the cells of node columns are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum NodeCells {
    /// A score or a word for a lesion or none.
    #[default]
    Lesions,
    /// A tick or a yes where the node was examined.
    Examined,
    /// Yes and no, and nothing tells whether of the lesion or of the examination.
    Undecided,
}

/// What is settled for one table.
#[derive(Debug, Clone, Default)]
pub(crate) struct TablePlan {
    pub fields: BTreeMap<Field, usize>,
    pub nodes: Vec<NodeColumn>,
    pub node_cells: NodeCells,
    /// Whether nodes are ticked with a check mark, so that a cross beside it is none.
    pub checked: bool,
    /// Columns of the laboratory's answers in the order of the sheet, with their fields.
    pub labs: Vec<(usize, Field)>,
    pub teeth: Vec<(usize, String)>,
    pub date: DateSetting,
    pub release: DateSetting,
    /// Months per unit of bare numbers, for age, lower and upper bound.
    pub age_unit: BTreeMap<Field, f64>,
    /// Metres per unit of a bare radius; `None`: not known, and the radius is not used.
    pub radius_unit: Option<f64>,
    pub places: PlaceSetting,
    /// Columns in which a `-` is a negative, because a `+` stands in them too.
    pub signed: BTreeSet<usize>,
    /// Words the study file or a legend explains, by column.
    pub words: BTreeMap<usize, BTreeMap<String, String>>,
    pub constants: BTreeMap<Column, String>,
    /// Values of rows that count, by column.
    pub only: BTreeMap<usize, BTreeSet<String>>,
    pub legend: Legend,
    /// Whether the column of the sex names species as well.
    pub sex_names_species: bool,
    /// Columns of persons and places, in which no word withdraws a row.
    pub names: BTreeSet<usize>,
    /// Whether rows are numbered by their place in the file, for want of a column that names the animal.
    pub numbered: bool,
    pub inferences: Vec<Inference>,
}

impl TablePlan {
    /// The column of a field.
    pub(crate) fn index(&self, field: Field) -> Option<usize> {
        self.fields.get(&field).copied()
    }

    /// Whether the table says when or where an animal was killed; a laboratory's list does not.
    pub(crate) fn is_of_the_field(&self) -> bool {
        use Field as F;
        let any = |fields: &[Field]| fields.iter().any(|f| self.fields.contains_key(f));
        any(&[F::Date, F::Year, F::Season])
            || any(&[F::Latitude, F::LatitudeDegrees, F::Easting, F::X, F::Position])
    }

    /// Adds an inference on a column.
    pub(crate) fn infer(
        &mut self,
        table: &Table,
        index: usize,
        read_as: impl Into<String>,
        evidence: impl Into<String>,
        key: impl Into<String>,
    ) {
        self.inferences.push(Inference {
            file: table.file.clone(),
            column: table.column_names.get(index).cloned().unwrap_or_default(),
            read_as: read_as.into(),
            evidence: evidence.into(),
            key: key.into(),
            undecided: false,
        });
    }

    /// Adds what only a key can decide.
    pub(crate) fn ask(
        &mut self,
        table: &Table,
        index: usize,
        evidence: impl Into<String>,
        key: impl Into<String>,
    ) {
        self.infer(table, index, "", evidence, key);
        if let Some(last) = self.inferences.last_mut() {
            last.undecided = true;
        }
    }
}

/// What the plan of a table rests on besides the table.
pub(crate) struct Given<'a> {
    pub keys: &'a RecordFiles,
    /// The study's system; `None` while a study file is being proposed.
    pub projector: Option<&'a crate::geography::coordinates::projector::Projector>,
    /// The last year in which a pig can have been killed.
    pub latest_year: i16,
}

/// The field that one of our own columns holds.
pub(crate) fn field_of(column: Column) -> Field {
    use Column as C;
    match column {
        C::OccurrenceId => Field::Id,
        C::EventDate => Field::Date,
        C::DecimalLatitude => Field::Latitude,
        C::DecimalLongitude => Field::Longitude,
        C::GeodeticDatum => Field::Datum,
        C::Easting => Field::Easting,
        C::Northing => Field::Northing,
        C::Crs => Field::Crs,
        C::VerbatimCoordinates => Field::Position,
        C::CoordinateUncertainty => Field::Radius,
        C::Sex => Field::Sex,
        C::AgeMin => Field::AgeMin,
        C::AgeMax => Field::AgeMax,
        C::Dentition => Field::Dentition,
        C::NodePairs => Field::NodePairs,
        C::GrossLesion => Field::Lesion,
        C::LabMethod => Field::LabMethod,
        C::LabResult => Field::LabResult,
        C::ReleasedOn => Field::ReleasedOn,
    }
}

/// Our own column that a field fills, where one does.
pub(crate) fn column_of(field: Field) -> Option<Column> {
    use Column as C;
    Some(match field {
        Field::Result | Field::Culture | Field::Pcr | Field::Histology => C::LabResult,
        Field::Age | Field::AgeClass => C::AgeMin,
        Field::RowNumber => C::OccurrenceId,
        Field::Year | Field::Month | Field::Day | Field::Season => C::EventDate,
        Field::LatitudeDegrees | Field::LatitudeMinutes | Field::LatitudeSeconds => C::DecimalLatitude,
        Field::LongitudeDegrees | Field::LongitudeMinutes | Field::LongitudeSeconds => C::DecimalLongitude,
        Field::X => C::Easting,
        Field::Y => C::Northing,
        Field::Zone => C::Crs,
        _ => return Column::ALL.iter().copied().find(|c| field_of(*c) == field),
    })
}

/// Up to `most` cells of a column that hold something.
pub(crate) fn filled(table: &Table, index: usize, most: usize) -> impl Iterator<Item = &str> {
    let rows = table.rows.iter().filter(|r| r.problem.is_none());
    let cells = rows.filter_map(move |r| r.cells.get(index)).map(|c| c.trim());
    cells.filter(|c| !vocabulary::is_blank_word(c)).take(most)
}

/// The name under which `[records.columns]` names a field: that of our own column, otherwise its own.
pub(crate) fn name_of(field: Field) -> String {
    match column_of(field) {
        Some(column) if field_of(column) == field => column.name().to_string(),
        _ => {
            let name = format!("{field:?}");
            let (first, rest) = name.split_at(1);
            format!("{}{rest}", first.to_lowercase())
        }
    }
}

/// Fields that `[records.columns]` names besides our own columns.
pub(crate) const FURTHER: [Field; 25] = [
    Field::LaboratoryNumber,
    Field::Age,
    Field::AgeClass,
    Field::Result,
    Field::Culture,
    Field::Pcr,
    Field::Histology,
    Field::Species,
    Field::Status,
    Field::Sample,
    Field::Year,
    Field::Month,
    Field::Day,
    Field::Season,
    Field::Zone,
    Field::LatitudeDegrees,
    Field::LatitudeMinutes,
    Field::LatitudeSeconds,
    Field::LongitudeDegrees,
    Field::LongitudeMinutes,
    Field::LongitudeSeconds,
    Field::LatitudeHemisphere,
    Field::LongitudeHemisphere,
    Field::X,
    Field::Y,
];

/// The field that a key of `[records.columns]` names.
pub(crate) fn field_named(key: &str) -> Option<Field> {
    let plain = crate::ingest::columns::plain(key);
    let further = || FURTHER.into_iter().find(|f| crate::ingest::columns::plain(&name_of(*f)) == plain);
    Column::of_column_name(key).map(field_of).or_else(further)
}

/// The key that names a column for a field.
pub(crate) fn key_of(field: Field, name: &str) -> String {
    let field = if field == Field::RowNumber { Field::Id } else { field };
    format!("[records.columns]\n{} = {name:?}", name_of(field))
}

/// The word for a node pair in our own column.
pub(crate) fn word_of(pair: NodePair) -> &'static str {
    match pair {
        NodePair::Parotid => "parotid",
        NodePair::Mandibular => "mandibular",
        NodePair::Retropharyngeal => "retropharyngeal",
    }
}

/// Rows looked at where a column's values say what it holds.
pub(crate) const LOOKED_AT: usize = 5000;
