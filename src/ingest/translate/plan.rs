//! The plan of one table: what each column holds, and how its values are read.

use crate::ingest::columns::Column;
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::header_words::{Meaning, meaning, nearly};
use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::legend::Legend;
use crate::ingest::translate::{animal, settle_places, settle_values};
use crate::ingest::values::written_date::DateSetting;
use crate::ingest::vocabulary::{self, Field, Side};
use crate::records::NodePair;
use crate::study::study_file::RecordFiles;
use itertools::Itertools as _;
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

/// Something read otherwise than as our own columns are written, said once per column.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Inference {
    /// File, and sheet where a workbook has several.
    pub file: String,
    /// Column name in the file.
    pub column: String,
    /// What it is read as.
    pub read_as: String,
    /// What that rests on.
    pub evidence: String,
    /// The lines of the study file that pin it, or overrule it with another value.
    pub key: String,
    /// Whether nothing but a key can decide.
    pub undecided: bool,
}

impl Inference {
    /// As a finding on the file.
    pub(crate) fn finding(&self) -> Finding {
        let place = Place { file: &self.file, row: None };
        let (severity, code) = match self.undecided {
            true => (Severity::Warning, "column-undecided"),
            false => (Severity::Note, "column-read-as"),
        };
        let message = match self.undecided {
            true => format!("is not settled: {}", self.evidence),
            false => format!("is read as {} ({})", self.read_as, self.evidence),
        };
        let key = self.key.replace('\n', " ");
        let fix = if self.undecided { format!("say it with {key}") } else { format!("pin or change: {key}") };
        place.cell(severity, code, Some(&self.column), None, message, fix)
    }
}

/// What is settled for one table.
#[derive(Debug, Clone, Default)]
pub(crate) struct Plan {
    pub fields: BTreeMap<Field, usize>,
    pub nodes: Vec<NodeColumn>,
    pub node_cells: NodeCells,
    pub teeth: Vec<(usize, String)>,
    pub date: DateSetting,
    pub release: DateSetting,
    /// Months per unit of bare numbers, for age, lower and upper bound.
    pub age_unit: BTreeMap<Field, f64>,
    /// Metres per unit of a bare radius; `None`: not known, and the radius is not used.
    pub radius_unit: Option<f64>,
    pub places: settle_places::PlaceSetting,
    /// Columns in which a `-` is a negative, because a `+` stands in them too.
    pub signed: BTreeSet<usize>,
    /// Words the study file or a legend explains, by column; `usize::MAX` holds for every column.
    pub words: BTreeMap<usize, BTreeMap<String, String>>,
    pub constants: BTreeMap<Column, String>,
    /// Values of rows that count, by column.
    pub only: BTreeMap<usize, BTreeSet<String>>,
    pub legend: Legend,
    /// Whether the column of the sex names species as well.
    pub sex_names_species: bool,
    /// Whether rows are numbered by their place in the file, for want of a column that names the animal.
    pub numbered: bool,
    pub inferences: Vec<Inference>,
}

impl Plan {
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

/// Makes the plan of a table.
///
/// # Errors
/// [`IngestError::DoubleHeading`], [`IngestError::MissingColumns`], or a key that cannot be read.
pub(crate) fn plan(table: &Table, given: &Given) -> Result<Plan, IngestError> {
    let mut plan = Plan { legend: Legend::of(table), ..Plan::default() };
    let mapped = mapped(table, &given.keys.columns)?;
    let mut ranks: BTreeMap<Field, usize> = mapped.iter().map(|(_, f)| (*f, 0)).collect();
    for (index, field) in &mapped {
        plan.fields.insert(*field, *index);
    }
    for (index, name) in table.column_names.iter().enumerate() {
        if mapped.iter().any(|(i, _)| *i == index) {
            continue;
        }
        match meaning(name) {
            Some(Meaning::Ours(column)) => {
                let field = field_of(column);
                match (ranks.get(&field), plan.fields.get(&field)) {
                    // A column that the map names, or another of our own name.
                    (Some(0), Some(other)) if !mapped.iter().any(|(i, _)| i == other) => {
                        return Err(IngestError::DoubleHeading {
                            file: table.file.clone(),
                            column: column.name().into(),
                            first: table.column_names[*other].clone(),
                            second: name.clone(),
                        });
                    }
                    (Some(0), _) => {}
                    _ => {
                        ranks.insert(field, 0);
                        plan.fields.insert(field, index);
                    }
                }
            }
            Some(Meaning::Field(field, rank)) => {
                let later = if field == Field::Id && sampled(name) { 4000 } else { 1 };
                take(&mut plan, &mut ranks, field, index, rank + later);
            }
            Some(Meaning::Node(pair, side)) => {
                plan.nodes.push(NodeColumn { index, pair: Some(pair), side });
            }
            Some(Meaning::OtherNode) => plan.nodes.push(NodeColumn { index, pair: None, side: None }),
            Some(Meaning::Tooth(tooth)) => plan.teeth.push((index, tooth)),
            None => {
                if let Some((field, phrase)) = nearly(name)
                    && !plan.fields.contains_key(&field)
                {
                    take(&mut plan, &mut ranks, field, index, 5000);
                    plan.infer(
                        table,
                        index,
                        words_of(field),
                        format!("one letter from \"{phrase}\""),
                        key_of(field, name),
                    );
                }
            }
        }
    }
    by_their_values(&mut plan, table, &mapped);
    number_again(&mut plan, table);
    naming_the_animal(&mut plan, table);
    explain_words(&mut plan, table, given.keys)?;
    plan.sex_names_species = plan
        .index(Field::Sex)
        .is_some_and(|i| filled(table, i, LOOKED_AT).any(|v| animal::read(v).pig == Some(false)));
    say_what_names_mean(&mut plan, table, &mapped);
    settle_values::settle(&mut plan, table, given)?;
    settle_places::settle(&mut plan, table, given)?;
    Ok(plan)
}

/// A number of a sample names an animal only where nothing else does.
fn sampled(name: &str) -> bool {
    const WORDS: [&str; 12] = [
        "sample",
        "specimen",
        "muestra",
        "amostra",
        "campione",
        "echantillon",
        "prelevement",
        "probe",
        "probennr",
        "probennummer",
        "proben",
        "isolate",
    ];
    phrase::header(name).split(' ').any(|w| WORDS.contains(&w))
}

/// Gives a field its column; of two the surer name wins.
fn take(plan: &mut Plan, ranks: &mut BTreeMap<Field, usize>, field: Field, index: usize, rank: usize) {
    if ranks.get(&field).is_none_or(|held| rank < *held) {
        ranks.insert(field, rank);
        plan.fields.insert(field, index);
    }
}

/// The columns that `[records.columns]` names, with their fields.
fn mapped(table: &Table, map: &BTreeMap<String, String>) -> Result<Vec<(usize, Field)>, IngestError> {
    let mut out = Vec::new();
    for (ours, theirs) in map {
        let Some(column) = Column::of_column_name(ours) else { continue };
        match &crate::ingest::columns::headed(table, theirs)[..] {
            [] => {}
            [one] => out.push((*one, field_of(column))),
            [first, second, ..] => {
                return Err(IngestError::DoubleHeading {
                    file: table.file.clone(),
                    column: column.name().into(),
                    first: table.column_names[*first].clone(),
                    second: table.column_names[*second].clone(),
                });
            }
        }
    }
    Ok(out)
}

/// Up to `most` cells of a column that hold something.
pub(crate) fn filled(table: &Table, index: usize, most: usize) -> impl Iterator<Item = &str> {
    let rows = table.rows.iter().filter(|r| r.problem.is_none());
    let cells = rows.filter_map(move |r| r.cells.get(index)).map(|c| c.trim());
    cells.filter(|c| !vocabulary::is_blank_word(c)).take(most)
}

/// Rows looked at where a column's values say what it holds.
pub(crate) const LOOKED_AT: usize = 5000;

/// Corrects what a name alone would say: a column called "Pig" may hold sow and boar.
fn by_their_values(plan: &mut Plan, table: &Table, mapped: &[(usize, Field)]) {
    let unsure = [Field::Id, Field::Person, Field::Place, Field::Sample, Field::RowNumber];
    for index in 0..table.column_names.len() {
        let held = plan.fields.iter().find(|(_, i)| **i == index).map(|(f, _)| *f);
        let taken = held.is_some_and(|f| !unsure.contains(&f))
            || mapped.iter().any(|(i, _)| *i == index)
            || plan.nodes.iter().any(|n| n.index == index)
            || plan.teeth.iter().any(|t| t.0 == index);
        let free = [Field::Species, Field::Sex].into_iter().any(|f| !plan.fields.contains_key(&f));
        if taken || !free || table.column_names[index].is_empty() {
            continue;
        }
        let (mut values, mut animals, mut sexes) = (0, 0, 0);
        for value in filled(table, index, LOOKED_AT) {
            let read = animal::read(value);
            values += 1;
            animals += usize::from(read.says_something());
            sexes += usize::from(read.sex.is_some());
        }
        // Remarks hold such words now and then; a column of them holds little else.
        if values < 3 || animals * 10 < values * 8 {
            continue;
        }
        if let Some(held) = held {
            plan.fields.remove(&held);
        }
        let sex = sexes * 2 >= values && !plan.fields.contains_key(&Field::Sex);
        let field =
            if sex || plan.fields.contains_key(&Field::Species) { Field::Sex } else { Field::Species };
        if let std::collections::btree_map::Entry::Vacant(entry) = plan.fields.entry(field) {
            entry.insert(index);
            plan.infer(
                table,
                index,
                if field == Field::Sex { "species and sex" } else { "species" },
                format!("{animals} of {values} cells name an animal or a sex"),
                key_of(Field::Sex, &table.column_names[index]),
            );
        }
    }
}

/// Gives the number of the animal back to a column that is called so, when the surer name held something else.
fn number_again(plan: &mut Plan, table: &Table) {
    if plan.fields.contains_key(&Field::Id) {
        return;
    }
    let free = |i: &usize| !plan.fields.values().any(|held| held == i);
    let called =
        (0..table.column_names.len()).filter(free).filter_map(|i| match meaning(&table.column_names[i])? {
            Meaning::Field(Field::Id, rank) => Some((rank, i)),
            _ => None,
        });
    if let Some((_, index)) = called.min() {
        plan.fields.insert(Field::Id, index);
    }
}

/// The column that names the animal, where none does by its own name.
fn naming_the_animal(plan: &mut Plan, table: &Table) {
    if plan.fields.contains_key(&Field::Id) {
        return;
    }
    let distinct = |index: usize| {
        let values: Vec<&str> = filled(table, index, usize::MAX).collect();
        let enough = values.len() * 10 >= table.rows.len() * 9;
        enough && !values.is_empty() && values.iter().unique().count() == values.len()
    };
    for instead in [Field::RowNumber, Field::LaboratoryNumber] {
        if let Some(index) = plan.index(instead).filter(|i| distinct(*i)) {
            plan.fields.insert(Field::Id, index);
            return;
        }
    }
    // A column with a name that is not known, and another short text in every row.
    let used: Vec<usize> = plan.fields.values().copied().chain(plan.nodes.iter().map(|n| n.index)).collect();
    let short = |index: usize| filled(table, index, LOOKED_AT).all(|v| v.chars().count() <= 24);
    let known = |index: usize| meaning(&table.column_names[index]).is_some();
    let tag = (0..table.column_names.len())
        .filter(|i| !used.contains(i) && !table.column_names[*i].is_empty() && !known(*i))
        .find(|i| table.rows.len() >= 3 && short(*i) && distinct(*i));
    match tag {
        Some(index) => {
            plan.fields.insert(Field::Id, index);
            plan.infer(
                table,
                index,
                "occurrenceID",
                "it is another in every row, and no column is called a number of the animal",
                key_of(Field::Id, &table.column_names[index]),
            );
        }
        None => plan.numbered = !table.rows.is_empty(),
    }
}

/// Words that the study file explains, constants and rows that count.
fn explain_words(plan: &mut Plan, table: &Table, keys: &RecordFiles) -> Result<(), IngestError> {
    for (name, map) in &keys.words {
        for index in crate::ingest::columns::headed(table, name) {
            let words = plan.words.entry(index).or_default();
            words.extend(map.iter().map(|(word, means)| (phrase::cell(word), means.clone())));
        }
    }
    for (name, value) in &keys.constants {
        let Some(column) = Column::of_column_name(name) else {
            return Err(IngestError::UnknownColumnName {
                name: name.clone(),
                known: Column::ALL.iter().map(|c| c.name()).join(", "),
            });
        };
        plan.constants.insert(column, value.clone());
    }
    for (name, values) in &keys.only {
        for index in crate::ingest::columns::headed(table, name) {
            plan.only.insert(index, values.paths().iter().map(|v| phrase::cell(v)).collect());
        }
    }
    Ok(())
}

/// The words for a field that stand in the list of inferences.
pub(crate) fn words_of(field: Field) -> String {
    match column_of(field) {
        Some(column) if field_of(column) == field => column.name().to_string(),
        Some(column) => format!("{} (in {})", phrase::header(&format!("{field:?}")), column.name()),
        None => phrase::header(&format!("{field:?}")),
    }
}

/// The key that names a column for a field.
pub(crate) fn key_of(field: Field, name: &str) -> String {
    match column_of(field) {
        Some(column) => format!("[records.columns]\n{} = {name:?}", column.name()),
        None => format!("[records.columns]\nanother column of ours = {name:?}"),
    }
}

/// One line for each column that is not called by one of our own names.
fn say_what_names_mean(plan: &mut Plan, table: &Table, mapped: &[(usize, Field)]) {
    let named: Vec<(Field, usize)> = plan.fields.iter().map(|(f, i)| (*f, *i)).collect();
    for (field, index) in named {
        let name = &table.column_names[index];
        let said = plan.inferences.iter().any(|i| i.column == *name);
        let own = Column::of_column_name(name).is_some() || mapped.iter().any(|(i, _)| *i == index);
        let used = column_of(field).is_some() || matches!(field, Field::Species | Field::Status);
        if !own && !said && used {
            plan.infer(table, index, words_of(field), "by its name", key_of(field, name));
        }
    }
    for node in plan.nodes.clone() {
        let side = match node.side {
            Some(Side::Left) => " left",
            Some(Side::Right) => " right",
            _ => "",
        };
        let what = node.pair.map_or("a node elsewhere".to_string(), |p| format!("node {}{side}", word_of(p)));
        plan.infer(table, node.index, what, "by its name", "[records.words] with the words of its cells");
    }
    for (index, tooth) in plan.teeth.clone() {
        plan.infer(table, index, format!("dentition, tooth {tooth}"), "by its name", "rename the column");
    }
}

/// The word for a node pair in our own column.
pub(crate) fn word_of(pair: NodePair) -> &'static str {
    match pair {
        NodePair::Parotid => "parotid",
        NodePair::Mandibular => "mandibular",
        NodePair::Retropharyngeal => "retropharyngeal",
    }
}
