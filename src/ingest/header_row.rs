//! The table in a sheet: its header row below titles and notes, and the rows that are no records.
//!
//! A header row is the one of the first [`SEARCHED`] rows in which most cells name a field, a node or a
//! tooth; at least [`LEAST_KNOWN`] must. What stands above it is kept as notes. Below it a second header
//! row, a row of units, headers that are repeated, totals and footers are passed over, and said once.

use crate::ingest::findings::{Place, Severity};
use crate::ingest::header_words::{ABOVE, Meaning, meaning};
use crate::ingest::phrase;
use crate::ingest::table::{PassedOver, Row, RowProblem, Table};
use crate::ingest::values::length::metres_per;
use crate::ingest::values::written_age::months_per;
use crate::ingest::vocabulary::{self, HARMLESS, NOTES, TOTALS};
use itertools::Itertools as _;

/// Rows at the top of a sheet among which its header row is looked for.
pub(crate) const SEARCHED: usize = 60;
/// Least number of cells of a header row that say something known.
pub(crate) const LEAST_KNOWN: usize = 3;

/// How many different things the cells of a row name as column names; 0 for a row that reads as data.
pub(crate) fn known_names(cells: &[String]) -> usize {
    let filled: Vec<&str> = cells.iter().map(|c| c.trim()).filter(|c| !c.is_empty()).collect();
    // A cell of a header row is a name: numbers, dates, tags and answers are data.
    let data = |c: &&&str| {
        let letters = c.chars().any(char::is_alphabetic);
        let unknown = meaning(c).is_none();
        // "met1" is a name; "q-3" is a tag.
        let figures = c.chars().filter(char::is_ascii_digit).count();
        let digits = figures > 0 && figures * 2 >= c.chars().filter(|c| c.is_alphanumeric()).count();
        !letters || (unknown && (digits || vocabulary::says(c).is_some() || vocabulary::is_pig(c).is_some()))
    };
    if filled.is_empty() || filled.iter().filter(data).count() * 5 > filled.len() {
        return 0;
    }
    let said = filled.iter().filter(|c| c.chars().count() <= 60).filter_map(|c| meaning(c));
    let keys: Vec<String> = said
        .map(|m| match m {
            Meaning::Ours(c) => c.name().to_string(),
            Meaning::Field(f, _) => format!("{f:?}"),
            other => format!("{other:?}"),
        })
        .collect();
    if keys.len() * 4 < filled.len() { 0 } else { keys.iter().unique().count() }
}

/// The header row among the first rows of a sheet: the one that names most, the upper one of equals.
pub(crate) fn find<'a>(rows: impl Iterator<Item = &'a Vec<String>>) -> Option<usize> {
    let mut best: Option<(usize, usize)> = None;
    for (i, cells) in rows.take(SEARCHED).enumerate() {
        let n = known_names(cells);
        if n >= LEAST_KNOWN && best.is_none_or(|(_, m)| n > m) {
            best = Some((i, n));
        }
    }
    best.map(|(i, _)| i)
}

/// The names of a header row with the names above it, where they need them: sides under the name of a node.
/// `None`: the row above says nothing about the columns.
pub(crate) fn with_row_above(names: &[String], above: &[String]) -> Option<Vec<String>> {
    let side = |c: &&String| vocabulary::side(&phrase::words(c)).is_some();
    let node = |c: &&String| matches!(meaning(c), Some(Meaning::Node(..) | Meaning::OtherNode));
    let filled = above.iter().filter(|c| !c.trim().is_empty()).count();
    if filled < 2 || names.iter().filter(side).count() < 2 || !above.iter().any(|c| node(&c)) {
        return None;
    }
    Some(joined_to(above, names))
}

/// As [`joined`], but a lower name that is known by itself stays as it is.
fn joined_to(upper: &[String], lower: &[String]) -> Vec<String> {
    let blanks = std::iter::repeat_n(String::new(), lower.len().saturating_sub(upper.len()));
    let upper: Vec<String> = upper.iter().cloned().chain(blanks).take(lower.len()).collect();
    let both = joined(&upper, lower);
    let sided = |l: &String| vocabulary::side(&phrase::words(l)).is_some();
    both.into_iter().zip(lower).map(|(b, l)| if sided(l) { b } else { l.clone() }).collect()
}

/// Joins a second header row to the first, takes out units, repeated headers, totals and notes.
pub(crate) fn settle(table: &mut Table) {
    let mut heads: Vec<Vec<String>> = vec![table.column_names.clone()];
    if table.rows.first().is_some_and(|r| is_second_header(&table.column_names, &r.cells)) {
        let second = table.rows.remove(0);
        table.passed_over.push(passed(&second, "header"));
        table.column_names = joined(&table.column_names, &second.cells);
        heads.push(second.cells);
    }
    table.units = vec![String::new(); table.column_names.len()];
    if table.rows.first().is_some_and(|r| is_units(&r.cells)) {
        let units = table.rows.remove(0);
        table.passed_over.push(passed(&units, "units"));
        for (unit, cell) in table.units.iter_mut().zip(&units.cells) {
            *unit = cell.trim().to_string();
        }
        heads.push(units.cells);
    }
    let names: Vec<String> = heads.iter().flatten().map(|c| phrase::cell(c)).collect();
    let names: std::collections::HashSet<&str> =
        names.iter().map(String::as_str).filter(|n| !n.is_empty()).collect();
    let mut after_header = false;
    let mut gone = Vec::new();
    table.rows.retain(|row| {
        let filled: Vec<String> =
            row.cells.iter().map(|c| phrase::cell(c)).filter(|c| !c.is_empty()).collect();
        let same = filled.iter().filter(|c| names.contains(c.as_str())).count();
        let repeated = same >= LEAST_KNOWN.min(heads[0].len()) && same * 5 >= filled.len() * 4
            || (after_header && !filled.is_empty() && same == filled.len());
        let what = if repeated { Some("header") } else { aside(row, heads[0].len()) };
        after_header = repeated;
        gone.extend(what.map(|what| passed(row, what)));
        what.is_none()
    });
    table.passed_over.append(&mut gone);
    table.notes.extend(said(table));
}

fn passed(row: &Row, what: &'static str) -> PassedOver {
    let text = row.cells.iter().map(|c| c.trim()).filter(|c| !c.is_empty()).join(" ");
    PassedOver { row: row.number, what, text }
}

/// One note that lists the rows passed over.
fn said(table: &Table) -> Option<crate::ingest::findings::Finding> {
    let rows = &table.passed_over;
    let first = rows.iter().map(|r| r.row).min()?;
    let list = rows
        .iter()
        .into_group_map_by(|r| r.what)
        .into_iter()
        .sorted()
        .map(|(what, rows)| {
            let all = rows.iter().map(|r| r.row.to_string()).take(12).join(", ");
            let more = if rows.len() > 12 { ", …" } else { "" };
            let what = match what {
                "header" => "further header rows",
                "units" => "row of units",
                "total" => "totals",
                _ => "notes or signatures",
            };
            format!("{what}: {all}{more}")
        })
        .join("; ");
    Some(Place { file: &table.file, row: Some(first) }.whole(
        Severity::Note,
        "rows-no-records",
        format!("{} row(s) are no records and are passed over ({list})", rows.len()),
        "nothing to do if so; a record among them needs its own number and date",
    ))
}

/// What a row is that holds no record: a total or a note.
fn aside(row: &Row, columns: usize) -> Option<&'static str> {
    // A row that cannot be read for another reason than its length may hold a record.
    if !matches!(row.problem, None | Some(RowProblem::Ragged { .. })) {
        return None;
    }
    let filled: Vec<&str> = row.cells.iter().map(|c| c.trim()).filter(|c| !c.is_empty()).collect();
    let first = phrase::words(filled.first()?);
    let starts = |list: &[&str]| {
        list.iter().any(|w| first == *w || first.strip_prefix(*w).is_some_and(|r| r.starts_with(' ')))
    };
    if columns < 3 || filled.len() > 3.min(columns / 2) {
        return None;
    }
    if starts(TOTALS) {
        return Some("total");
    }
    let written = filled[0].chars().any(char::is_alphabetic);
    let long = first.split(' ').count() >= 3 || filled[0].contains(['=', ':']);
    let signed = filled[0].contains(',') && first.split(' ').count() >= 2;
    match filled.len() {
        1 if written && (long || signed || starts(NOTES)) => Some("note"),
        2 | 3 if starts(NOTES) || filled[0].contains(" = ") => Some("note"),
        _ => None,
    }
}

/// Whether the row under the header row goes on with it: names under blank or merged cells, no value.
fn is_second_header(names: &[String], cells: &[String]) -> bool {
    let filled: Vec<(usize, &str)> =
        cells.iter().enumerate().map(|(i, c)| (i, c.trim())).filter(|(_, c)| !c.is_empty()).collect();
    let under_blank = filled.iter().any(|(i, _)| names.get(*i).is_none_or(|n| n.trim().is_empty()));
    let tells = |c: &str| {
        let words = phrase::words(c);
        meaning(c).is_some() || vocabulary::side(&words).is_some() || is_unit(c)
    };
    let known = filled.iter().filter(|(_, c)| tells(c)).count();
    let values = filled.iter().any(|(_, c)| c.chars().all(|c| !c.is_alphabetic()));
    under_blank && !values && !filled.is_empty() && known * 3 >= filled.len() * 2
}

/// The names of two header rows: the upper one is carried to the right over blank cells.
fn joined(upper: &[String], lower: &[String]) -> Vec<String> {
    let mut carried = "";
    upper
        .iter()
        .zip(lower.iter().map(|c| c.trim()).chain(std::iter::repeat("")))
        .map(|(name, below)| {
            let name = name.trim();
            if !name.is_empty() {
                carried = name;
            }
            match (name.is_empty(), below.is_empty()) {
                (true, true) => String::new(),
                (_, false) if !carried.is_empty() => format!("{carried}{ABOVE}{below}"),
                (_, false) => below.to_string(),
                (false, true) => name.to_string(),
            }
        })
        .collect()
}

/// Whether a cell is a unit, the pattern of a date, or another remark on how a column is written.
fn is_unit(cell: &str) -> bool {
    let words = phrase::words(cell);
    let known = |w: &str| months_per(w).is_some() || metres_per(w).is_some() || HARMLESS.contains(&w);
    known(&words) || (!words.is_empty() && words.split(' ').all(known))
}

/// Whether a row gives units only, at least one of them a unit of time or length or an angle.
fn is_units(cells: &[String]) -> bool {
    let filled: Vec<&str> = cells.iter().map(|c| c.trim()).filter(|c| !c.is_empty()).collect();
    let real = |c: &&&str| {
        let words = phrase::words(c);
        months_per(&words).is_some()
            || metres_per(&words).is_some()
            || words.contains("deg")
            || words.contains("dd mm")
    };
    !filled.is_empty() && filled.iter().all(|c| is_unit(c)) && filled.iter().filter(real).count() >= 1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(line: &str) -> Vec<String> {
        line.split('|').map(str::to_string).collect()
    }

    fn table(lines: &[&str]) -> Table {
        let mut lines = lines.iter();
        let column_names = cells(lines.next().unwrap());
        let rows = lines.enumerate().map(|(i, l)| Row { number: i + 2, cells: cells(l), problem: None });
        let mut table = Table { column_names, rows: rows.collect(), ..Table::default() };
        settle(&mut table);
        table
    }

    #[test]
    fn the_header_row_is_the_one_that_names_most() {
        let rows = [
            "Heads examined 2021||||",
            "NVL = no visible lesion||||",
            "Tag|Shot|Lat|Long|Sex",
            "1|2021-03-04|-41.5|172.1|sow",
        ]
        .map(cells);
        assert_eq!(find(rows.iter()), Some(2));
        assert_eq!(find([cells("1|2|3"), cells("a|b|c")].iter()), None);
    }

    #[test]
    fn a_second_header_row_and_units_are_joined() {
        let t = table(&["No|Shot|Site||Submand|", "||Lat S|Long E|L|R", "||deg|deg||", "1|x|2|3|0|0"]);
        assert_eq!(
            t.column_names,
            ["No", "Shot", "Site / Lat S", "Site / Long E", "Submand / L", "Submand / R"]
        );
        assert_eq!((t.units[2].as_str(), t.rows.len()), ("deg", 1));
    }

    #[test]
    fn headers_totals_and_notes_are_passed_over_and_records_are_not() {
        let t = table(&[
            "Tag|Shot|Lat|Long|Sex|Age",
            "A1|2021-03-04|-41.5|172.1|sow|2",
            "Tag|Shot|Lat|Long|Sex|Age",
            "A2|||||",
            "Total|2||||",
            "Signed: the ranger|||||",
            "A3|void||||",
        ]);
        let kept: Vec<&str> = t.rows.iter().map(|r| r.cells[0].as_str()).collect();
        assert_eq!(kept, ["A1", "A2", "A3"]);
        assert_eq!(t.passed_over.iter().map(|p| p.what).collect::<Vec<_>>(), ["header", "total", "note"]);
    }
}
