//! Makes the plan of a table from its column names, its values and the keys of the study file.

use crate::ingest::columns::Column;
use crate::ingest::errors::IngestError;
use crate::ingest::header_words::{Meaning, meaning, nearly};
use crate::ingest::phrase;
use crate::ingest::table::{Table, headed};
use crate::ingest::translate::findings::{labs, yes_no};
use crate::ingest::translate::legend::Legend;
use crate::ingest::translate::node_list::{names_nodes, node_list};
use crate::ingest::translate::plan::{
    Given, LOOKED_AT, NodeColumn, TablePlan, column_of, field_named, field_of, filled, key_of, name_of,
    word_of,
};
use crate::ingest::translate::{animal, settle_places, settle_values};
use crate::ingest::values::date::date_span;
use crate::ingest::values::written_date::{lacks_year, order_vote};
use crate::ingest::vocabulary::{self, Field, Side};
use crate::study::study_file::{OneOrMany, RecordFiles};
use itertools::Itertools as _;
use std::collections::BTreeMap;

/// Makes the plan of a table.
///
/// # Errors
/// [`IngestError::DoubleHeading`], [`IngestError::MissingColumns`], or a key that cannot be read.
pub(crate) fn plan(table: &Table, given: &Given) -> Result<TablePlan, IngestError> {
    let mut plan = TablePlan { legend: Legend::of(table), ..TablePlan::default() };
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
                        name_of(field),
                        format!("one letter from \"{phrase}\""),
                        key_of(field, name),
                    );
                }
            }
        }
    }
    by_their_values(&mut plan, table, &mapped);
    dates_by_their_values(&mut plan, table);
    nodes_by_their_values(&mut plan, table);
    answers(&mut plan, table, &mapped);
    number_again(&mut plan, table);
    naming_the_animal(&mut plan, table);
    explain_words(&mut plan, table, given.keys)?;
    plan.sex_names_species = plan
        .index(Field::Sex)
        .is_some_and(|i| filled(table, i, LOOKED_AT).any(|v| animal::read(v).pig == Some(false)));
    let of_names =
        |name: &String| matches!(meaning(name), Some(Meaning::Field(Field::Person | Field::Place, _)));
    plan.names = (0..table.column_names.len()).filter(|i| of_names(&table.column_names[*i])).collect();
    say_what_names_mean(&mut plan, table, &mapped);
    settle_values::settle(&mut plan, table, given);
    settle_places::settle(&mut plan, table, given)?;
    Ok(plan)
}

/// A number of a sample names an animal only where nothing else does.
fn sampled(name: &str) -> bool {
    #[rustfmt::skip]
    const WORDS: [&str; 12] = [
        "sample", "specimen", "muestra", "amostra", "campione", "echantillon", "prelevement", "probe",
        "probennr", "probennummer", "proben", "isolate",
    ];
    phrase::header(name).split(' ').any(|w| WORDS.contains(&w))
}

/// Gives a field its column; of two the surer name wins.
fn take(plan: &mut TablePlan, ranks: &mut BTreeMap<Field, usize>, field: Field, index: usize, rank: usize) {
    if ranks.get(&field).is_none_or(|held| rank < *held) {
        ranks.insert(field, rank);
        plan.fields.insert(field, index);
    }
}

/// The columns that `[records.columns]` names, with their fields.
fn mapped(table: &Table, map: &BTreeMap<String, OneOrMany>) -> Result<Vec<(usize, Field)>, IngestError> {
    let mut out = Vec::new();
    for (ours, theirs) in map {
        let Some(field) = field_named(ours) else { continue };
        let named: Vec<usize> =
            theirs.all().iter().flat_map(|theirs| headed(table, theirs)).unique().collect();
        match &named[..] {
            // Answers of a laboratory may stand in several columns.
            [first, further @ ..] if ANSWERS.contains(&field) && theirs.all().len() > further.len() => {
                out.extend([first].into_iter().chain(further).map(|i| (*i, field)));
            }
            [] => {}
            [one] => out.push((*one, field)),
            [first, second, ..] => {
                return Err(IngestError::DoubleHeading {
                    file: table.file.clone(),
                    column: name_of(field),
                    first: table.column_names[*first].clone(),
                    second: table.column_names[*second].clone(),
                });
            }
        }
    }
    Ok(out)
}

/// Corrects what a name alone would say: a column called "Pig" may hold sow and boar.
fn by_their_values(plan: &mut TablePlan, table: &Table, mapped: &[(usize, Field)]) {
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
        if values < 3 || animals * 2 < values {
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
                key_of(field, &table.column_names[index]),
            );
        }
    }
}

/// What is said where no line of the study file pins a reading: words of the cells can be explained.
const NO_KEY: &str = "[records.words] of the column explains its words";

/// Fields that hold answers of the laboratory.
const ANSWERS: [Field; 5] = [Field::LabResult, Field::Result, Field::Culture, Field::Pcr, Field::Histology];

/// Every column of answers: a sheet may have two PCRs of one animal.
fn answers(plan: &mut TablePlan, table: &Table, mapped: &[(usize, Field)]) {
    let named = plan.fields.iter().map(|(f, i)| (*i, *f)).chain(mapped.iter().copied());
    plan.labs = named.filter(|(_, f)| ANSWERS.contains(f)).unique().collect();
    for (index, name) in table.column_names.iter().enumerate() {
        let held = plan.fields.values().any(|i| *i == index) || plan.labs.iter().any(|(i, _)| *i == index);
        let further = [Field::Culture, Field::Pcr, Field::Histology];
        if let Some(Meaning::Field(field, _)) = meaning(name)
            && !held
            && further.contains(&field)
        {
            plan.labs.push((index, field));
            plan.infer(table, index, name_of(field), "by its name, beside another", NO_KEY);
        }
    }
    // A further column of answers must not be passed over in silence: it may hold the positive.
    for (index, name) in table.column_names.iter().enumerate() {
        let held = plan.fields.values().any(|i| *i == index)
            || plan.labs.iter().any(|(i, _)| *i == index)
            || plan.nodes.iter().any(|n| n.index == index);
        let words = phrase::header(name);
        let may_answer = match meaning(name) {
            None => true,
            Some(Meaning::Field(field, _)) => ANSWERS.contains(&field) || field == Field::LabMethod,
            Some(_) => false,
        };
        if held || name.is_empty() || !may_answer || vocabulary::of_another_disease(&words) {
            continue;
        }
        let values: Vec<&str> = filled(table, index, LOOKED_AT).collect();
        let read = values.iter().filter(|v| is_answer(v)).count();
        if read == 0 || read * 10 < values.len() * 8 {
            continue;
        }
        let evidence = format!("{read} of {} cells are answers of a laboratory", values.len());
        if vocabulary::of_an_analysis(&words) {
            plan.labs.push((index, Field::LabResult));
            plan.infer(table, index, name_of(Field::LabResult), evidence, NO_KEY);
        } else {
            let asked = format!("{evidence}, and its name does not say of which disease");
            plan.ask(table, index, asked, key_of(Field::LabResult, name));
        }
    }
    plan.labs.sort_unstable();
}

/// A column called day or datum may hold whole dates.
fn dates_by_their_values(plan: &mut TablePlan, table: &Table) {
    if plan.fields.contains_key(&Field::Date) {
        return;
    }
    let month = plan.fields.contains_key(&Field::Month);
    for field in [Field::Datum, Field::Day].into_iter().filter(|f| *f == Field::Datum || !month) {
        let Some(index) = plan.index(field) else { continue };
        let (mut values, mut dates) = (0, 0);
        for value in filled(table, index, LOOKED_AT) {
            let vote = order_vote(value);
            values += 1;
            dates += usize::from(
                vote.day_first
                    || vote.month_first
                    || vote.year_first
                    || lacks_year(value)
                    || date_span(value).is_ok_and(|s| s.first == s.last),
            );
        }
        if dates >= 3 && dates * 10 >= values * 7 {
            plan.fields.remove(&field);
            plan.fields.insert(Field::Date, index);
            return;
        }
    }
}

/// Whether a cell is an answer of a laboratory in words that mean nothing else.
fn is_answer(text: &str) -> bool {
    // A lone sign or a word for none stands in columns of any kind.
    text.chars().any(char::is_alphabetic)
        && yes_no(text).is_none()
        && labs(text, true).is_some_and(|answers| answers.iter().any(|a| a.result.is_some()))
}

/// A column with a name that is not known whose cells list nodes of the head.
fn nodes_by_their_values(plan: &mut TablePlan, table: &Table) {
    if !plan.nodes.is_empty() || plan.fields.contains_key(&Field::NodePairs) {
        return;
    }
    for (index, name) in table.column_names.iter().enumerate() {
        let held = plan.fields.values().any(|i| *i == index) || plan.teeth.iter().any(|t| t.0 == index);
        if held || name.is_empty() || meaning(name).is_some() {
            continue;
        }
        let (mut values, mut lists, mut nodes) = (0, 0, 0);
        for value in filled(table, index, LOOKED_AT) {
            values += 1;
            lists += usize::from(node_list(value).is_some());
            nodes += usize::from(names_nodes(value));
        }
        // "All" and "none" are lists too, but only names tell of what.
        if nodes >= 3 && nodes * 5 >= values && lists * 10 >= values * 8 {
            plan.fields.insert(Field::NodePairs, index);
            let evidence = format!("{nodes} of {values} cells name nodes of the head");
            plan.infer(table, index, name_of(Field::NodePairs), evidence, key_of(Field::NodePairs, name));
            return;
        }
    }
}

/// Gives the number of the animal back to a column that is called so, when the surer name held another thing.
fn number_again(plan: &mut TablePlan, table: &Table) {
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
fn naming_the_animal(plan: &mut TablePlan, table: &Table) {
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
fn explain_words(plan: &mut TablePlan, table: &Table, keys: &RecordFiles) -> Result<(), IngestError> {
    for (name, map) in &keys.words {
        for index in headed(table, name) {
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
        for index in headed(table, name) {
            plan.only.insert(index, values.all().iter().map(|v| phrase::cell(v)).collect());
        }
    }
    Ok(())
}

/// One line for each column that is not called by one of our own names.
fn say_what_names_mean(plan: &mut TablePlan, table: &Table, mapped: &[(usize, Field)]) {
    let named: Vec<(Field, usize)> = plan.fields.iter().map(|(f, i)| (*f, *i)).collect();
    for (field, index) in named {
        let name = &table.column_names[index];
        let said = plan.inferences.iter().any(|i| i.column == *name);
        let own = Column::of_column_name(name).is_some() || mapped.iter().any(|(i, _)| *i == index);
        let used = column_of(field).is_some() || matches!(field, Field::Species | Field::Status);
        if !own && !said && used {
            plan.infer(table, index, name_of(field), "by its name", key_of(field, name));
        }
    }
    for node in plan.nodes.clone() {
        let side = match node.side {
            Some(Side::Left) => " left",
            Some(Side::Right) => " right",
            _ => "",
        };
        let what = node.pair.map_or("a node elsewhere".to_string(), |p| format!("node {}{side}", word_of(p)));
        plan.infer(table, node.index, what, "by its name", NO_KEY);
    }
    for (index, tooth) in plan.teeth.clone() {
        plan.infer(table, index, format!("dentition, tooth {tooth}"), "by its name", NO_KEY);
    }
}
