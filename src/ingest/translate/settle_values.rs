//! Settles how the ages, radii and node cells of one table are read.
//!
//! A key of the study file decides first, then the column's name, then its values where they agree.

use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::findings::{NodeSays, node_cell};
use crate::ingest::translate::plan::{Given, LOOKED_AT, NodeCells, TablePlan, filled};
use crate::ingest::translate::settle_dates;
use crate::ingest::values::length::{HeaderUnit, header_unit, metres_per};
use crate::ingest::values::written_age::{bare_number, months_per};
use crate::ingest::vocabulary::Field;
use crate::study::study_file::{AgeUnit, LengthUnit};

/// A bare age above this is months: no pig lives so many years. See `OLDEST_AGE_MONTHS`.
const OLDEST_YEARS: f64 = 20.0;

/// Settles what the values of a table are.
pub(crate) fn settle(plan: &mut TablePlan, table: &Table, given: &Given) {
    settle_dates::dates(plan, table, given);
    ages(plan, table, given);
    radius(plan, table, given);
    signs(plan, table);
    node_cells(plan, table);
}

fn ages(plan: &mut TablePlan, table: &Table, given: &Given) {
    for field in [Field::Age, Field::AgeMin, Field::AgeMax, Field::AgeClass] {
        let Some(index) = plan.index(field) else { continue };
        let name = table.column_names[index].clone();
        let values: Vec<&str> = filled(table, index, usize::MAX).collect();
        // A number that a legend explains is a class.
        let explained = |v: &&&str| plan.legend.ages.contains_key(&phrase::cell(v));
        let numbers: Vec<f64> =
            values.iter().filter(|v| !explained(v)).filter_map(|v| bare_number(v)).collect();
        let unit_row = table.units.get(index).map_or("", String::as_str);
        let (months, evidence) = match (given.keys.age_unit, header_unit(&name, true)) {
            (Some(unit), _) => (Some(months_of(unit)), "the key records.age_unit".to_string()),
            (None, HeaderUnit::Months(m)) => (Some(m), "its name gives the unit".into()),
            (None, HeaderUnit::Unknown(word)) => {
                if !numbers.is_empty() {
                    let n = numbers.len();
                    let why = format!("{n} ages are numbers in \"{word}\", a unit not known here");
                    plan.ask(table, index, why, "[records]\nage_unit = \"months\"");
                }
                continue;
            }
            (None, _) => match months_per(&phrase::words(unit_row)) {
                Some(m) if !unit_row.is_empty() => (Some(m), "the row of units gives it".into()),
                _ => {
                    let over = numbers.iter().filter(|n| **n > OLDEST_YEARS).count();
                    let why = format!("{over} of {} bare numbers are over 20, too many years", numbers.len());
                    ((over > 0).then_some(1.0), why)
                }
            },
        };
        match months {
            Some(m) => {
                plan.age_unit.insert(field, m);
                let own = crate::ingest::columns::Column::of_column_name(&name).is_some();
                if !numbers.is_empty() && !own {
                    let unit = unit_word(m);
                    plan.infer(
                        table,
                        index,
                        format!("ages in {unit} where a cell has no unit"),
                        evidence,
                        format!("[records]\nage_unit = {unit:?}"),
                    );
                }
            }
            None if !numbers.is_empty() => plan.ask(
                table,
                index,
                format!("{} ages are numbers without a unit", numbers.len()),
                "[records]\nage_unit = \"months\"",
            ),
            None => {}
        }
    }
}

fn months_of(unit: AgeUnit) -> f64 {
    months_per(unit.word()).unwrap_or(1.0)
}

fn unit_word(months: f64) -> &'static str {
    [AgeUnit::Months, AgeUnit::Years, AgeUnit::Weeks, AgeUnit::Days]
        .into_iter()
        .find(|u| (months_of(*u) - months).abs() < 1e-9)
        .map_or("months", AgeUnit::word)
}

fn radius(plan: &mut TablePlan, table: &Table, given: &Given) {
    let Some(index) = plan.index(Field::Radius) else { return };
    let name = table.column_names[index].clone();
    let unit_row = table.units.get(index).map_or("", String::as_str);
    let bare = filled(table, index, LOOKED_AT).filter(|v| v.chars().all(|c| !c.is_alphabetic())).count();
    let (metres, evidence) =
        match (given.keys.radius_unit, header_unit(&crate::ingest::header_words::plain_name(&name), false)) {
            (Some(unit), _) => (metres_per(unit.word()), "the key records.radius_unit"),
            (None, HeaderUnit::Metres(m)) => (Some(m), "its name gives the unit"),
            (None, HeaderUnit::Unknown(_)) => (None, ""),
            (None, _) => (metres_per(&phrase::words(unit_row)), "the row of units gives it"),
        };
    plan.radius_unit = metres;
    if crate::ingest::columns::Column::of_column_name(&name).is_some() {
        plan.radius_unit = metres.or(Some(1.0));
        return;
    }
    match metres {
        Some(m) if bare > 0 => {
            let unit = LengthUnit::ALL.into_iter().find(|u| metres_per(u.word()) == Some(m));
            let word = unit.map_or("m", LengthUnit::word);
            plan.infer(
                table,
                index,
                format!("coordinateUncertaintyInMeters, numbers in {word}"),
                evidence,
                format!("[records]\nradius_unit = {word:?}"),
            );
        }
        None if bare > 0 => plan.ask(
            table,
            index,
            format!("{bare} numbers have no unit known here, so the study's radius is used for them"),
            "[records]\nradius_unit = \"m\"",
        ),
        _ => {}
    }
}

/// Columns in which a minus is an answer, because a plus is one too.
fn signs(plan: &mut TablePlan, table: &Table) {
    let plus = |index: usize| filled(table, index, LOOKED_AT).any(|v| v.starts_with('+'));
    let nodes: Vec<usize> = plan.nodes.iter().map(|n| n.index).collect();
    if nodes.iter().any(|i| plus(*i)) {
        plan.signed.extend(&nodes);
        plan.infer(
            table,
            nodes[0],
            "node columns in which + is a lesion and - is none",
            "a + stands in them",
            "[records.words] with \"-\" = \"not examined\" to change it",
        );
    }
    let answers: Vec<usize> =
        plan.labs.iter().map(|(index, _)| *index).chain(plan.index(Field::Lesion)).collect();
    plan.signed.extend(answers.into_iter().filter(|i| plus(*i)));
}

/// Whether the cells of nodes tell of lesions or of the examination.
fn node_cells(plan: &mut TablePlan, table: &Table) {
    let own: Vec<usize> = plan.nodes.iter().filter(|n| n.pair.is_some()).map(|n| n.index).collect();
    let Some(first) = own.first().copied() else { return };
    let checks = |v: &str| v.starts_with(['✓', '✔', '√']);
    plan.checked = own.iter().any(|i| filled(table, *i, LOOKED_AT).any(checks));
    let (mut lesion_words, mut yes, mut no, mut ones, mut zeros, mut over) = (0, 0, 0, 0, 0, 0);
    let mut sides = 0;
    for index in &own {
        for value in filled(table, *index, LOOKED_AT) {
            if plan.words.get(index).is_some_and(|w| w.contains_key(&phrase::cell(value))) {
                continue;
            }
            match (value, node_cell(value, plan.signed.contains(index))) {
                ("0", _) => zeros += 1,
                ("1", _) => ones += 1,
                (v, Some(NodeSays::Lesion)) if v.parse::<u8>().is_ok() => over += 1,
                (_, Some(NodeSays::Lesion | NodeSays::NoLesion | NodeSays::SidesFound(..))) => {
                    lesion_words += 1;
                }
                (_, Some(NodeSays::Sides(_))) => sides += 1,
                (v, _) if plan.legend.meanings.contains_key(&phrase::cell(v)) => {}
                (_, Some(NodeSays::Yes)) => yes += 1,
                (_, Some(NodeSays::No)) => no += 1,
                _ => {}
            }
        }
    }
    let lesion_elsewhere = [Field::Lesion, Field::Result].iter().any(|f| plan.index(*f).is_some());
    let numbers = ones + zeros;
    plan.node_cells = if sides > 0 && lesion_words + over + yes == 0 {
        NodeCells::Examined
    } else if yes + no > 0 && lesion_words + over == 0 {
        // With a lesion column beside them, ticks say what was cut.
        if lesion_elsewhere { NodeCells::Examined } else { NodeCells::Undecided }
    } else if yes + no > 0 {
        NodeCells::Undecided
    } else if numbers > 0 && over + lesion_words == 0 && ones * 3 > numbers {
        // Lesions are rare; where a third of the cells is 1 they may be ticks.
        if lesion_elsewhere { NodeCells::Examined } else { NodeCells::Undecided }
    } else {
        NodeCells::Lesions
    };
    match plan.node_cells {
        NodeCells::Undecided => plan.ask(
            table,
            first,
            "nothing tells whether yes in the node columns is a lesion or an examination",
            format!("[records.words.{:?}]\nyes = \"lesion\"", table.column_names[first]),
        ),
        NodeCells::Examined => plan.infer(
            table,
            first,
            "node columns that tick what was examined",
            "the lesion has a column of its own",
            format!("[records.words.{:?}]\nyes = \"lesion\"", table.column_names[first]),
        ),
        NodeCells::Lesions => {}
    }
}
