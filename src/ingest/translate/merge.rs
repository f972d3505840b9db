//! The rows of one animal put together: samples of one list, a field sheet and a laboratory's list.
//!
//! Rows with one number are one animal, unless both the day and the place differ. A laboratory's list has
//! neither; its tags are compared by letters and digits only (`P-012`, `P 012`), and without leading zeros
//! where that keeps the animals apart. A positive answer outweighs one still open, and that a negative.

use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::plan::TablePlan;
use crate::ingest::translate::read_row::ReadRow;
use crate::ingest::values::date::date_span;
use std::collections::{BTreeMap, HashMap, HashSet};

/// What became of all rows.
#[derive(Debug, Default)]
pub(crate) struct Merged {
    /// One row per animal, and rows that stand for none.
    pub rows: Vec<ReadRow>,
    /// Rows left out.
    pub left_out: Vec<ReadRow>,
    /// Rows that became part of another.
    pub joined: Vec<ReadRow>,
    /// Findings on files as a whole.
    pub notes: Vec<Finding>,
}

const PLACES: [Column; 5] = [
    Column::DecimalLatitude,
    Column::DecimalLongitude,
    Column::Easting,
    Column::Northing,
    Column::VerbatimCoordinates,
];

fn text(row: &ReadRow, column: Column) -> Option<&str> {
    row.cells.get(&column).map(|c| c.text.as_str()).filter(|t| !t.is_empty())
}

fn id(row: &ReadRow) -> Option<&str> {
    text(row, Column::OccurrenceId)
}

/// Letters and digits of a tag in lower case.
fn tag(id: &str) -> String {
    phrase::cell(id).chars().filter(|c| c.is_alphanumeric()).collect()
}

/// The words and numbers of a tag, without the zeros that lead a number: `wd.22.2` for `WD22-002`.
fn loose(id: &str) -> String {
    let cell = phrase::cell(id);
    let mut runs: Vec<String> = Vec::new();
    let mut last = None;
    for c in cell.chars() {
        let kind = c.is_alphanumeric().then(|| c.is_ascii_digit());
        match (kind, runs.last_mut()) {
            (Some(_), Some(run)) if kind == last => run.push(c),
            (Some(_), _) => runs.push(c.to_string()),
            (None, _) => {}
        }
        last = kind;
    }
    let figures = |run: &String| run.chars().all(|c| c.is_ascii_digit());
    let bare = |run: String| if figures(&run) { run.trim_start_matches('0').to_string() } else { run };
    runs.into_iter().map(bare).collect::<Vec<_>>().join(".")
}

/// The numbers of a tag alone, without the zeros that lead them: `22.7` for `WD22-007`.
fn digits(id: &str) -> String {
    let runs = loose(id);
    runs.split('.').filter(|r| r.starts_with(|c: char| c.is_ascii_digit())).collect::<Vec<_>>().join(".")
}

/// Puts rows together.
pub(crate) fn merge(rows: Vec<ReadRow>, tables: &[Table], plans: &[TablePlan]) -> Merged {
    let mut out = Merged::default();
    let (left, mut rows): (Vec<ReadRow>, Vec<ReadRow>) = rows.into_iter().partition(|r| r.left_out.is_some());
    out.left_out = left;
    let complete = complete_tables(plans);
    apart(&mut rows, tables, &complete, &mut out.notes);
    let mut first: HashMap<String, usize> = HashMap::new();
    let mut partial = Vec::new();
    for row in rows {
        if !complete[row.table] && row.problem.is_none() {
            partial.push(row);
            continue;
        }
        let Some(id) = id(&row).filter(|_| row.problem.is_none()).map(str::to_string) else {
            out.rows.push(row);
            continue;
        };
        match first.get(&id).copied() {
            Some(k) if one_animal(&out.rows[k], &row) => {
                out.joined.push(row.clone());
                join(&mut out.rows[k], row, tables);
            }
            Some(_) => out.rows.push(row),
            None => {
                first.insert(id, out.rows.len());
                out.rows.push(row);
            }
        }
    }
    by_tag(partial, tables, &mut out);
    out
}

/// Which tables tell of each animal where and when it was killed; the first of the field where none does.
fn complete_tables(plans: &[TablePlan]) -> Vec<bool> {
    use crate::ingest::vocabulary::Field as F;
    let any = |plan: &TablePlan, fields: &[F]| fields.iter().any(|f| plan.fields.contains_key(f));
    let all: Vec<bool> = plans
        .iter()
        .map(|p| {
            any(p, &[F::Date, F::Year, F::Season])
                && any(p, &[F::Latitude, F::LatitudeDegrees, F::Easting, F::Position])
        })
        .collect();
    if all.contains(&true) {
        return all;
    }
    let first = plans.iter().position(TablePlan::is_of_the_field).unwrap_or(0);
    (0..plans.len()).map(|k| k == first).collect()
}

/// Gives numbers that start again in every sheet or file the name of theirs.
fn apart(rows: &mut [ReadRow], tables: &[Table], complete: &[bool], notes: &mut Vec<Finding>) {
    let mut by_table: BTreeMap<usize, HashMap<String, usize>> = BTreeMap::new();
    for (i, row) in rows.iter().enumerate().filter(|(_, r)| complete[r.table]) {
        if let Some(id) = id(row) {
            by_table.entry(row.table).or_default().entry(id.to_string()).or_insert(i);
        }
    }
    let mut again: HashSet<usize> = HashSet::new();
    let all: Vec<usize> = by_table.keys().copied().collect();
    for (n, a) in all.iter().enumerate() {
        for b in &all[n + 1..] {
            let (small, large) = if by_table[a].len() <= by_table[b].len() { (a, b) } else { (b, a) };
            let shared: Vec<(usize, usize)> =
                by_table[small].iter().filter_map(|(id, i)| Some((*i, *by_table[large].get(id)?))).collect();
            let others = shared.iter().filter(|(i, k)| !one_animal(&rows[*i], &rows[*k])).count();
            if shared.len() >= 3 && others * 2 > shared.len() {
                again.extend([*a, *b]);
            }
        }
    }
    if again.is_empty() {
        return;
    }
    let label = |k: usize| -> String {
        let file = tables[k].file.split(", sheet ").next().unwrap_or(&tables[k].file);
        let same_file = again.iter().filter(|o| tables[**o].file.starts_with(file)).count() > 1;
        if same_file && !tables[k].sheet.is_empty() {
            return tables[k].sheet.clone();
        }
        let stem = file.rsplit(['/', '\\']).next().unwrap_or(file);
        stem.rsplit_once('.').map_or(stem, |(stem, _)| stem).to_string()
    };
    for row in rows.iter_mut().filter(|r| again.contains(&r.table)) {
        let prefix = label(row.table);
        if let Some(cell) = row.cells.get_mut(&Column::OccurrenceId).filter(|c| !c.text.is_empty()) {
            cell.text = format!("{prefix}-{}", cell.text);
            cell.rule = "number with the name of its sheet or file";
        }
    }
    let mut first: Vec<usize> = again.iter().copied().collect();
    first.sort_unstable();
    if let Some(k) = first.first() {
        let names: Vec<String> = first.iter().map(|k| format!("\"{}-1\"", label(*k))).collect();
        notes.push(Place { file: &tables[*k].file, row: None }.whole(
            Severity::Note,
            "numbers-start-again",
            format!(
                "has numbers that another sheet uses for other animals; they are read as {}",
                names.join(", ")
            ),
            "give every specimen a number of its own if that is not meant",
        ));
    }
}

/// Whether two rows can be one animal: they may differ in the day or in the place, not in both.
fn one_animal(a: &ReadRow, b: &ReadRow) -> bool {
    let differ = |column: Column| match (text(a, column), text(b, column)) {
        (Some(x), Some(y)) => x != y,
        _ => false,
    };
    !(differ(Column::EventDate) && PLACES.iter().any(|c| differ(*c)))
}

/// Adds the rows of lists without day and place to the animals they name.
fn by_tag(partial: Vec<ReadRow>, tables: &[Table], out: &mut Merged) {
    if partial.is_empty() {
        return;
    }
    let index = |key: &dyn Fn(&str) -> String| {
        let mut map: HashMap<String, Vec<usize>> = HashMap::new();
        for (k, row) in out.rows.iter().enumerate() {
            if let Some(id) = id(row) {
                map.entry(key(id)).or_default().push(k);
            }
        }
        map
    };
    let (strict, wide, bare) = (index(&tag), index(&loose), index(&digits));
    for row in partial {
        // A row that is named by its place in one list names nothing in another.
        let numbered = row.cells.get(&Column::OccurrenceId).is_some_and(|c| c.column == usize::MAX);
        let found = id(&row).filter(|_| !numbered).and_then(|id| {
            let one = |held: Option<&Vec<usize>>| held.filter(|k| k.len() == 1).map(|k| k[0]);
            // A list may leave out the letters that all tags share.
            let figures = !id.chars().any(char::is_alphabetic);
            one(strict.get(&tag(id)))
                .or_else(|| one(wide.get(&loose(id))))
                .or_else(|| one(bare.get(&digits(id))).filter(|_| figures))
        });
        match found {
            Some(k) => {
                out.joined.push(row.clone());
                join(&mut out.rows[k], row, tables);
            }
            None => {
                let place = Place { file: &tables[row.table].file, row: Some(row.number) };
                let name = row.cells.get(&Column::OccurrenceId);
                let column = name.and_then(|c| tables[row.table].column_names.get(c.column));
                let finding = place.cell(
                    Severity::Refused,
                    "animal-not-found",
                    column.map(String::as_str),
                    name.map(|c| c.written.as_str()),
                    "is the tag of no animal whose day and place are known; the row is not used",
                    "correct the tag, or add the animal to the field sheet",
                );
                let mut row = row;
                row.left_out = Some(finding);
                out.left_out.push(row);
            }
        }
    }
}

/// Adds a row to the one of the same animal.
fn join(into: &mut ReadRow, row: ReadRow, tables: &[Table]) {
    let from = (&tables[row.table].file, row.number);
    for (column, cell) in row.cells {
        // Findings are written once all rows are together; an id is the same by definition.
        if matches!(column, Column::OccurrenceId) {
            continue;
        }
        let held = into.cells.get(&column).filter(|c| !c.text.is_empty());
        match held {
            None => {
                if !cell.text.is_empty() || !into.cells.contains_key(&column) {
                    into.cells.insert(column, cell);
                }
            }
            Some(held) if cell.text.is_empty() || held.text == cell.text => {}
            Some(held) => {
                // A date that cannot be read gives way to one that can.
                if column == Column::EventDate
                    && date_span(&held.text).is_err()
                    && date_span(&cell.text).is_ok()
                {
                    into.cells.insert(column, cell);
                    continue;
                }
                if matches!(column, Column::LabMethod | Column::LabResult | Column::NodePairs) {
                    continue;
                }
                let name = tables[into.table].column_names.get(held.column).map(String::as_str);
                let place = Place { file: &tables[into.table].file, row: Some(into.number) };
                into.faults.push((
                    None,
                    place.cell(
                        Severity::Warning,
                        "rows-disagree",
                        Some(name.unwrap_or(column.name())),
                        Some(&held.written),
                        format!(
                            "is \"{}\" in {} row {}, which has the same number; the first is used",
                            cell.written, from.0, from.1
                        ),
                        "correct the row that is wrong, or give every specimen a number of its own",
                    ),
                ));
            }
        }
    }
    into.labs.extend(row.labs);
    if let Some(sides) = row.sides {
        let held = into.sides.get_or_insert_with(BTreeMap::new);
        for (pair, bits) in sides {
            *held.entry(pair).or_insert(0) |= bits;
        }
    }
    into.lesion = match (into.lesion, row.lesion) {
        (Some(a), Some(b)) => Some(a || b),
        (a, b) => a.or(b),
    };
    into.faults.extend(row.faults);
    into.joined.push((row.table, row.number));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_of_two_lists_are_compared_without_signs_and_zeros() {
        assert_eq!(loose("FP-007"), loose("fp7"));
        assert_eq!(loose("P 012"), loose("P012"));
        assert_eq!(loose("WD22-002"), loose("wd22-2"));
        assert_ne!(loose("WD22-002"), loose("WD2-2002"));
        assert_ne!(loose("P-012"), loose("P-0120"));
        assert_ne!(tag("A1"), tag("A01"));
    }
}
