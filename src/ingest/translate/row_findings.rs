//! What was found in the head of a row: nodes, lesion, laboratory.

use crate::ingest::columns::Column;
use crate::ingest::findings::Severity;
use crate::ingest::translate::findings::{
    LabAnswer, NodeSays, labs, lesion, lesion_and_remark, node_cell, yes_no,
};
use crate::ingest::translate::node_list::{self, Sides, bits, node_list};
use crate::ingest::translate::plan::NodeCells;
use crate::ingest::translate::read_row::{ReadRow, Reader};
use crate::ingest::vocabulary::{self, Field, Says};
use crate::records::LabMethod;

/// Reads nodes, lesion and laboratory; words that are not read keep their cell, which is then refused.
pub(crate) fn read(reader: &Reader, out: &mut ReadRow) {
    nodes(reader, out);
    node_text(reader, out);
    lesions(reader, out);
    laboratory(reader, out);
}

fn nodes(reader: &Reader, out: &mut ReadRow) {
    let mut sides = Sides::new();
    let mut seen = false;
    for node in &reader.plan.nodes {
        let signed = reader.plan.signed.contains(&node.index);
        let map = reader.plan.words.get(&node.index);
        let raw = reader.raw(node.index);
        let text = map.and_then(|m| m.get(&crate::ingest::phrase::cell(raw))).map_or(raw, String::as_str);
        if text.is_empty() {
            continue;
        }
        // What a legend on the sheet says of a word comes before what it means elsewhere.
        let by_legend = || reader.meaning(raw).and_then(|meaning| node_cell(meaning, false));
        let says = match map.is_some_and(|m| m.contains_key(&crate::ingest::phrase::cell(raw))) {
            true => node_cell(text, signed),
            false => by_legend().or_else(|| node_cell(text, signed)),
        };
        let ticks = reader.plan.node_cells;
        // Where check marks stand for yes, a cross stands for no.
        let says =
            if reader.plan.checked && text.eq_ignore_ascii_case("x") { Some(NodeSays::No) } else { says };
        let (examined, found) = match says {
            Some(NodeSays::NotExamined) => continue,
            // A score of 1 in a column of ticks is a tick.
            Some(NodeSays::Lesion) if ticks == NodeCells::Examined && text == "1" => (true, None),
            Some(NodeSays::NoLesion) if ticks == NodeCells::Examined && text == "0" => continue,
            // The right side under the name of the left one says nothing that can be used.
            Some(NodeSays::Sides(said) | NodeSays::SidesFound(said, _)) if said & bits(node.side) == 0 => {
                unknown_word(reader, node.index, raw, out);
                continue;
            }
            Some(NodeSays::SidesFound(sides_said, found)) => {
                if let Some(pair) = node.pair {
                    *sides.entry(pair).or_insert(0) |= sides_said & bits(node.side);
                    seen = true;
                }
                out.lesion = Some(found || out.lesion == Some(true));
                continue;
            }
            Some(NodeSays::Sides(sides_said)) => {
                if let Some(pair) = node.pair {
                    *sides.entry(pair).or_insert(0) |= sides_said & bits(node.side);
                    seen = true;
                }
                continue;
            }
            Some(NodeSays::Lesion) => (true, Some(true)),
            Some(NodeSays::NoLesion) => (true, Some(false)),
            Some(NodeSays::Examined) => (true, None),
            Some(NodeSays::Yes) if ticks == NodeCells::Examined => (true, None),
            Some(NodeSays::No) if ticks == NodeCells::Examined => continue,
            // With a map that explains the other word, yes and no are what it says they are.
            Some(NodeSays::Yes | NodeSays::No) | None => {
                unknown_word(reader, node.index, raw, out);
                continue;
            }
        };
        if let Some(pair) = node.pair
            && examined
        {
            *sides.entry(pair).or_insert(0) |= bits(node.side);
            seen = true;
        }
        out.lesion = match (out.lesion, found) {
            (Some(true), _) | (_, Some(true)) => Some(true),
            // A node elsewhere without a lesion says nothing of the head.
            (held, Some(false)) if node.pair.is_some() => held.or(Some(false)),
            (held, _) => held,
        };
    }
    if seen {
        out.sides = Some(sides);
    }
}

/// Refuses a cell of a node that says nothing known here.
fn unknown_word(reader: &Reader, index: usize, raw: &str, out: &mut ReadRow) {
    let name = &reader.table.column_names[index];
    let finding = reader.finding(
        Severity::Refused,
        "node-word-unknown",
        index,
        "says neither lesion nor none in a way known here",
        format!(
            "say what it means: [records.words.{name:?}] {raw:?} = \"no lesion\", \"lesion\", \
             \"examined\" or \"not examined\""
        ),
    );
    out.faults.push((Some(Column::GrossLesion), finding));
}

fn node_text(reader: &Reader, out: &mut ReadRow) {
    let from_sample = reader.plan.nodes.is_empty() && reader.plan.is_of_the_field();
    // A laboratory's list names the nodes that were sent, not all that were cut.
    if !reader.plan.is_of_the_field() {
        return;
    }
    let cell =
        reader.field(Field::NodePairs).or_else(|| from_sample.then(|| reader.field(Field::Sample)).flatten());
    let Some((index, text)) = cell else { return };
    let sample = reader.plan.index(Field::NodePairs) != Some(index);
    let read = node_list(text).or_else(|| node_list(reader.meaning(text)?));
    match read {
        Some(read) => {
            let sides = out.sides.get_or_insert_with(Sides::new);
            for (pair, bits) in read {
                *sides.entry(pair).or_insert(0) |= bits;
            }
            let cell = reader.cell(index, "", "nodes in one cell");
            out.cells.insert(Column::NodePairs, cell);
        }
        None if sample => {}
        None => {
            out.cells.insert(Column::NodePairs, reader.cell(index, text, "as written"));
        }
    }
}

fn lesions(reader: &Reader, out: &mut ReadRow) {
    for field in [Field::Lesion, Field::Result] {
        let Some((index, text)) = reader.field(field) else { continue };
        let signed = reader.plan.signed.contains(&index);
        let by_word = |text: &str| match lesion_or_none(text, signed, field) {
            Some(says) => Some(says),
            None => reader.meaning(text).and_then(|meaning| lesion_or_none(meaning, false, field)),
        };
        match by_word(text) {
            Some(Some(found)) => {
                if out.lesion == Some(true) && !found {
                    out.faults.push((
                        None,
                        reader.finding(
                            Severity::Warning,
                            "lesion-against-nodes",
                            index,
                            "stands beside a node with a lesion; the lesion is used",
                            "correct one of the two",
                        ),
                    ));
                }
                out.lesion = Some(found || out.lesion == Some(true));
                out.cells.entry(Column::GrossLesion).or_insert(reader.cell(index, "", "word for a lesion"));
            }
            Some(None) => {}
            None if field == Field::Lesion => {
                out.cells.insert(Column::GrossLesion, reader.cell(index, text, "as written"));
            }
            None => {}
        }
    }
}

/// Whether a text tells of a lesion (yes, no) or that none was looked for (`None` inside).
fn lesion_or_none(text: &str, signed: bool, field: Field) -> Option<Option<bool>> {
    if field == Field::Lesion {
        if let Some(yes) = yes_no(text) {
            return Some(Some(yes));
        }
        if let Ok(score) = text.parse::<u8>() {
            return (score < 10).then_some(Some(score > 0));
        }
        match text {
            "+" => return Some(Some(true)),
            "-" if signed => return Some(Some(false)),
            _ => {}
        }
        return match lesion_and_remark(text)? {
            Says::LesionYes => Some(Some(true)),
            Says::LesionNo => Some(Some(false)),
            _ => Some(None),
        };
    }
    // A column called "result" may hold the laboratory's answers as well.
    match vocabulary::says(text).or_else(|| lesion(text))? {
        Says::LesionYes => Some(Some(true)),
        Says::LesionNo => Some(Some(false)),
        Says::NotInspected => Some(None),
        _ => None,
    }
}

fn laboratory(reader: &Reader, out: &mut ReadRow) {
    let mut method = None;
    if let Some((index, text)) = reader.field(Field::LabMethod) {
        method = vocabulary::method_among(text).or_else(|| vocabulary::method(reader.meaning(text)?));
        let shown = match method.map(word_of) {
            Some(word) if !text.eq_ignore_ascii_case(word) => word.to_string(),
            _ => text.to_string(),
        };
        out.cells.insert(Column::LabMethod, reader.cell(index, shown, "word for a method"));
    }
    if let Some(constant) = reader.plan.constants.get(&Column::LabMethod) {
        method = method.or_else(|| vocabulary::method(constant));
        // It holds where there is an answer, and says nothing by itself.
        out.cells.retain(|c, cell| *c != Column::LabMethod || cell.column != usize::MAX);
    }
    // Answers keep the order in which the sheet has them.
    for (index, field) in reader.plan.labs.clone() {
        let Some(text) = reader.text(index) else { continue };
        let of_column = match field {
            Field::Culture => Some(LabMethod::Culture),
            Field::Pcr => Some(LabMethod::Pcr),
            Field::Histology => Some(LabMethod::Histology),
            _ => None,
        };
        let signed = reader.plan.signed.contains(&index);
        let by_legend = || reader.meaning(text).and_then(|meaning| labs(meaning, false));
        let read = by_legend().or_else(|| labs(text, signed));
        match read {
            Some(answers) => {
                for answer in answers.into_iter().filter(|a| a.result.is_some()) {
                    let method = answer.method.or(of_column).or(method);
                    out.labs.push(LabAnswer { method, ..answer });
                }
                if out.labs.is_empty() {
                    continue;
                }
                out.cells.entry(Column::LabResult).or_insert(reader.cell(index, "", "word of a laboratory"));
            }
            // A result that tells of a lesion has been read.
            None if field == Field::Result && lesion_or_none(text, signed, field).is_some() => {}
            None => {
                out.cells.insert(Column::LabResult, reader.cell(index, text, "as written"));
                // An unknown word beside a known answer must not be passed over.
                out.labs.clear();
                return;
            }
        }
    }
}

/// The word of our own column for a method.
pub(crate) fn word_of(method: LabMethod) -> &'static str {
    match method {
        LabMethod::Culture => "culture",
        LabMethod::Pcr => "pcr",
        LabMethod::Histology => "histology",
    }
}

/// Writes the cells of the findings, once all rows of an animal are together.
pub(crate) fn write(row: &mut ReadRow) {
    use crate::records::LabResult::{Negative, Pending, Positive};
    let unread = |row: &ReadRow, column: Column| row.cells.get(&column).is_some_and(|c| !c.text.is_empty());
    let row_table = row.table;
    let put = |row: &mut ReadRow, column: Column, text: String, rule: &'static str| {
        let blank = || crate::ingest::translate::read_row::ReadCell {
            text: String::new(),
            table: row_table,
            column: usize::MAX,
            written: String::new(),
            rule,
        };
        let cell = row.cells.entry(column).or_insert_with(blank);
        if cell.rule == "as written" {
            cell.rule = rule;
        }
        cell.text = text;
    };
    if let Some(sides) = row.sides.clone()
        && !unread(row, Column::NodePairs)
    {
        put(row, Column::NodePairs, node_list::node_text(&sides), "columns of nodes");
    }
    if let Some(lesion) = row.lesion
        && !unread(row, Column::GrossLesion)
    {
        put(row, Column::GrossLesion, if lesion { "yes" } else { "no" }.into(), "columns of nodes");
    }
    // A positive outweighs what is still open, and that a negative.
    let order = [Positive, Pending, Negative];
    let decides = order.into_iter().find_map(|r| row.labs.iter().find(|l| l.result == Some(r)).copied());
    if let Some(answer) = decides
        && !unread(row, Column::LabResult)
    {
        let word = match answer.result {
            Some(Positive) => "positive",
            Some(Negative) => "negative",
            _ => "pending",
        };
        put(row, Column::LabResult, word.into(), "word of a laboratory");
        match answer.method {
            Some(method) => put(row, Column::LabMethod, word_of(method).into(), "word for a method"),
            // The method of another sample is not that of the one that decides.
            None if row.labs.iter().any(|l| l.method.is_some()) => {
                row.cells.remove(&Column::LabMethod);
            }
            None => {}
        }
    }
}
