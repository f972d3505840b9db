//! What was looked at and found in a head: node pairs, lesion, laboratory.
//!
//! | column | words read (any case) |
//! | --- | --- |
//! | nodePairsExamined | `parotid`, (`sub`)`mandibular`, `retropharyngeal`, by `;`; `all`, `none` |
//! | after a pair | `one side` (`left`, `right` likewise): only one of its two nodes was opened |
//! | grossLesion | `yes` `y` `true` `1` · `no` `n` `false` `0` · blank: not inspected |
//! | labMethod | `culture`, `pcr`, `histology` |
//! | labResult | `positive` `pos` · `negative` `neg` · `pending` |
//!
//! An unknown word for a *result* refuses the row, since guessing it could hide a positive; an
//! unknown word for *how* it was looked at costs that detail only, with a warning. A row must
//! hold a result: a lesion seen or not seen, or a laboratory answer.

use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::row_view::RowView;
use crate::records::{Inspection, LabMethod, LabResult, NodePair, Reading};

/// Reads the four columns; the findings say whether the row can be used.
pub(crate) fn read(row: &RowView) -> (Inspection, Option<Reading>, Vec<Finding>) {
    let mut findings = Vec::new();
    let (node_pairs, one_sided) = node_pairs(row, &mut findings).unzip();
    let inspection = Inspection {
        node_pairs,
        one_sided: one_sided.unwrap_or_default(),
        gross_lesion: gross_lesion(row, &mut findings),
        lab_method: lab_method(row, &mut findings),
        lab_result: lab_result(row, &mut findings),
    };
    let reading = inspection.reading();
    let refused = findings.iter().any(|f| f.severity == Severity::Refused);
    if !refused {
        findings.extend(contradictions(row, &inspection, reading));
    }
    (inspection, reading, findings)
}

/// Pairs opened, and those of them of which only one node was.
type PairsOpened = (Vec<NodePair>, Vec<NodePair>);

fn node_pairs(row: &RowView, findings: &mut Vec<Finding>) -> Option<PairsOpened> {
    const ALL: [NodePair; 3] = [NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal];
    let text = row.text(Column::NodePairs)?;
    // Sides opened of each pair: bit 1 left, bit 2 right, 0 none; one side without its name counts as left.
    let mut sides = [0u8; 3];
    for word in text.split([';', ',', '|', '+', '/', '&']).map(str::trim).filter(|w| !w.is_empty()) {
        let lower = word.to_lowercase();
        let mut opened = 3;
        let mut name = lower.as_str();
        for (side, bits) in [("one side", 1), ("left", 1), ("right", 2), ("both sides", 3), ("both", 3)] {
            if let Some(rest) = name.strip_suffix(side).or_else(|| name.strip_prefix(side)) {
                (opened, name) = (bits, rest.trim().trim_end_matches(':').trim());
                break;
            }
        }
        let found: &[usize] = match name {
            "parotid" => &[0],
            "mandibular" | "submandibular" => &[1],
            "retropharyngeal" => &[2],
            "all" => &[0, 1, 2],
            "none" => &[],
            "unknown" => return None,
            _ => {
                findings.push(row.finding(
                    Severity::Warning,
                    "node-pair-unknown",
                    Column::NodePairs,
                    format!(
                        "holds \"{}\", which is no node pair known here; counted as not recorded",
                        crate::ingest::findings::cut(word)
                    ),
                    "write parotid, mandibular, retropharyngeal (separated by ;), all or none",
                ));
                return None;
            }
        };
        found.iter().for_each(|i| sides[*i] |= opened);
    }
    // The order of the head, whatever the order written.
    let pairs =
        |fits: fn(u8) -> bool| ALL.into_iter().zip(sides).filter(|(_, s)| fits(*s)).map(|(p, _)| p).collect();
    Some((pairs(|s| s > 0), pairs(|s| s == 1 || s == 2)))
}

/// `yes` or `no` in the words people and programs use; `None` for anything else.
pub(crate) fn yes_or_no(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "t" | "1" => Some(true),
        "no" | "n" | "false" | "f" | "0" => Some(false),
        _ => None,
    }
}

fn gross_lesion(row: &RowView, findings: &mut Vec<Finding>) -> Option<bool> {
    let text = row.text(Column::GrossLesion)?;
    let read = yes_or_no(text);
    if read.is_none() {
        findings.push(row.finding(
            Severity::Refused,
            "lesion-word-unknown",
            Column::GrossLesion,
            "is neither yes nor no",
            "write yes or no, or leave it empty if the head was not inspected",
        ));
    }
    read
}

fn lab_method(row: &RowView, findings: &mut Vec<Finding>) -> Option<LabMethod> {
    let text = row.text(Column::LabMethod)?;
    match text.to_lowercase().as_str() {
        "culture" => Some(LabMethod::Culture),
        "pcr" => Some(LabMethod::Pcr),
        "histology" | "histopathology" => Some(LabMethod::Histology),
        _ => {
            findings.push(row.finding(
                Severity::Warning,
                "lab-method-unknown",
                Column::LabMethod,
                "is no method known here; counted as not recorded",
                "write culture, pcr or histology",
            ));
            None
        }
    }
}

fn lab_result(row: &RowView, findings: &mut Vec<Finding>) -> Option<LabResult> {
    let text = row.text(Column::LabResult)?;
    let read = match text.to_lowercase().as_str() {
        "positive" | "pos" => Some(LabResult::Positive),
        "negative" | "neg" => Some(LabResult::Negative),
        "pending" => Some(LabResult::Pending),
        _ => None,
    };
    if read.is_none() {
        findings.push(row.finding(
            Severity::Refused,
            "lab-result-unknown",
            Column::LabResult,
            "is no result known here",
            "write positive, negative or pending, or leave it empty if no test was asked for",
        ));
    }
    read
}

/// What the four columns say together that they should not.
fn contradictions(row: &RowView, i: &Inspection, reading: Option<Reading>) -> Vec<Finding> {
    use Severity::{Note, Refused, Warning};
    let mut out = Vec::new();
    if reading.is_none() {
        out.push(match i.lab_result {
            Some(LabResult::Pending) => row.finding(
                Refused,
                "result-pending-only",
                Column::LabResult,
                "is the only entry: grossLesion is empty, so there is no result yet",
                "add the row again when the laboratory has answered, \
                 or fill in grossLesion if the head was inspected",
            ),
            _ => row.row_finding(
                Refused,
                "result-missing",
                format!(
                    "has no result: {} and {} are empty",
                    row.column_name(Column::GrossLesion),
                    row.column_name(Column::LabResult)
                ),
                "fill in grossLesion (yes or no) or labResult",
            ),
        });
        return out;
    }
    let method_given = row.text(Column::LabMethod).is_some();
    if i.lab_result.is_some() && !method_given {
        out.push(row.finding(
            Warning,
            "lab-method-missing",
            Column::LabResult,
            "has no method beside it; the sensitivity of an unknown method is assumed",
            "fill in labMethod: culture, pcr or histology",
        ));
    }
    if i.lab_result.is_none() && method_given {
        out.push(row.finding(
            Warning,
            "lab-result-missing",
            Column::LabMethod,
            "has no result beside it; the row is used as if no test had been asked for",
            "fill in labResult: positive, negative or pending",
        ));
    }
    if i.node_pairs.as_ref().is_some_and(Vec::is_empty) && i.gross_lesion.is_some() {
        out.push(row.finding(
            Warning,
            "lesion-without-nodes",
            Column::NodePairs,
            format!(
                "says that no node pair was opened, yet {} is filled in",
                row.column_name(Column::GrossLesion)
            ),
            "write which pairs were opened, or leave nodePairsExamined empty if unknown",
        ));
    }
    match (i.gross_lesion, i.lab_result) {
        (Some(true), Some(LabResult::Negative)) => out.push(row.finding(
            Note,
            "lesion-not-confirmed",
            Column::LabResult,
            "stands beside a lesion: the pig counts as no positive, \
             but as infected with the probability that the laboratory missed it",
            "nothing to do if both are right",
        )),
        (Some(false), Some(LabResult::Positive)) => out.push(row.finding(
            Note,
            "infection-without-lesion",
            Column::LabResult,
            "stands beside no lesion: the laboratory overrides gross inspection, and the pig counts as \
             positive",
            "nothing to do if both are right",
        )),
        (Some(true), Some(LabResult::Pending)) => out.push(row.finding(
            Note,
            "positive-awaits-laboratory",
            Column::LabResult,
            "stands beside a lesion: the pig counts as a suspect until the laboratory answers",
            "fill in the result when it is there",
        )),
        (Some(false), Some(LabResult::Pending)) => out.push(row.finding(
            Note,
            "negative-while-pending",
            Column::LabResult,
            "stands beside no lesion: the pig counts as negative until the laboratory answers",
            "fill in the result when it is there",
        )),
        _ => {}
    }
    out
}
