//! Nodes of the head in one cell of text, with their sides.

use crate::ingest::memory::{self, Answers};
use crate::ingest::phrase;
use crate::ingest::translate::verdict::not_done;
use crate::ingest::vocabulary::{self, Side};
use crate::records::NodePair;
use std::collections::BTreeMap;

/// Sides of a pair that were examined: bit 1 left, bit 2 right.
pub(crate) type Sides = BTreeMap<NodePair, u8>;

/// The bits of a side; a column that names none stands for the pair.
pub(crate) fn bits(side: Option<Side>) -> u8 {
    match side {
        Some(Side::Left) => 1,
        Some(Side::Right) => 2,
        Some(Side::Both) | None => 3,
    }
}

/// Reads nodes in one cell of text: `SM, RP both; PA L`, `submand L+R, parotid L`, `all`, `none`.
pub(crate) fn node_list(text: &str) -> Option<Sides> {
    thread_local! { static KEPT: Answers<Option<Sides>> = Answers::default(); }
    memory::answer(&KEPT, text, nodes_of_list)
}

fn nodes_of_list(text: &str) -> Option<Sides> {
    #[rustfmt::skip]
    const ALL: [&str; 21] = [
        "all", "cabeza completa", "complete head", "whole head", "all three", "all three pairs",
        "all pairs", "all nodes", "all head nodes", "todos", "todas", "tous", "toutes", "alle", "tutti",
        "tutte", "complete", "all 3", "all heads", "todos os linfonodos", "todos los ganglios",
    ];
    #[rustfmt::skip]
    const NONE: [&str; 13] = [
        "none", "nil", "not examined", "ninguno", "ninguna", "aucun", "aucune", "keine", "nessuno",
        "nenhum", "no", "0", "not cut",
    ];
    // "nodes cut: both mand, left RP".
    let text = text.rsplit(':').next().unwrap_or(text);
    let mut cell = format!(" {} ", phrase::cell(text));
    for (l, r) in
        [("l", "r"), ("r", "l"), ("d", "e"), ("e", "d"), ("d", "i"), ("g", "d"), ("d", "g"), ("sx", "dx")]
    {
        for sign in ["+", "/", " & ", "&", " and ", " + "] {
            for end in [" ", ",", ";", ")"] {
                let both = format!(" {l}{sign}{r}{end}");
                cell = cell.replace(&both, &format!(" both{end}"));
            }
        }
    }
    let mut sides = Sides::new();
    // "SM, RP L / PA both": with groups, a side at the end of one holds for its list.
    let grouped = cell.contains([';', '/', '|']);
    for group in cell.split([';', '/', '|']).filter(|g| !phrase::words(g).is_empty()) {
        let parts: Vec<String> = group
            .split([',', '+', '&'])
            .flat_map(|s| s.split(" and "))
            .flat_map(|s| s.split(" y "))
            .flat_map(|s| s.split(" et "))
            .flat_map(|s| s.split(" und "))
            .map(|s| s.trim().to_string())
            .filter(|s| !phrase::words(s).is_empty())
            .collect();
        let first = phrase::words(parts.first()?);
        if NONE.contains(&first.as_str()) || not_done(&first) {
            return Some(sides);
        }
        // A side that is said once at the end holds for the pairs listed before it: "SM, RP both".
        let mut waiting: Vec<NodePair> = Vec::new();
        for part in &parts {
            if ALL.contains(&phrase::words(part).as_str()) {
                waiting.extend([NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal]);
                continue;
            }
            let (pairs, side) = part_of(&phrase::words(part))?;
            // A side in brackets, or in a list without groups, belongs to its own pair only.
            let alone = side.is_some_and(|s| s != Side::Both) && (!grouped || part.contains('('));
            if alone && !pairs.is_empty() {
                for pair in waiting.drain(..) {
                    sides.insert(pair, 3);
                }
            }
            // "mandibular L, R": a side alone belongs to the pair before it.
            let last = sides.keys().next_back().copied().filter(|_| pairs.is_empty() && waiting.is_empty());
            waiting.extend(pairs);
            waiting.extend(last);
            if let Some(side) = side {
                for pair in waiting.drain(..) {
                    *sides.entry(pair).or_insert(0) |= bits(Some(side));
                }
            }
        }
        // A pair without a side stands for both of its nodes.
        for pair in waiting {
            sides.insert(pair, 3);
        }
    }
    // Sides without a node, or nodes elsewhere, say nothing of the pairs of the head.
    (!sides.is_empty()).then_some(sides)
}

/// The pairs and the side that a few words name; `None` when a word says something else.
fn part_of(segment: &str) -> Option<(Vec<NodePair>, Option<Side>)> {
    let words: Vec<&str> = segment.split(' ').collect();
    let (mut pairs, mut side, mut at) = (Vec::new(), None, 0);
    while at < words.len() {
        let longest = (1..=words.len() - at).rev().find_map(|n| {
            let phrase = words[at..at + n].join(" ");
            vocabulary::gland(&phrase).map(|pair| (n, Some(pair), None)).or_else(|| {
                vocabulary::side(&phrase)
                    .map(|side| (n, None, Some(side)))
                    .or_else(|| vocabulary::other_gland(&phrase).then_some((n, None, None)))
            })
        });
        match longest {
            Some((n, pair, named)) => {
                pairs.extend(pair);
                side = match (side, named) {
                    (Some(held), Some(new)) if held != new => Some(Side::Both),
                    (held, new) => held.or(new),
                };
                at += n;
            }
            None if vocabulary::node_filler(words[at]) => at += 1,
            None => return None,
        }
    }
    Some((pairs, side))
}

/// Whether a text lists nodes of the head, at least one by its name.
pub(crate) fn names_nodes(text: &str) -> bool {
    let named = |w: &str| vocabulary::gland(w).is_some();
    phrase::words(text).split(' ').any(named) && node_list(text).is_some_and(|sides| !sides.is_empty())
}

/// The list of nodes as our own column has it.
pub(crate) fn node_text(sides: &Sides) -> String {
    let name = crate::ingest::translate::plan::word_of;
    let one = |(pair, side): (&NodePair, &u8)| match side {
        1 => format!("{} left", name(*pair)),
        2 => format!("{} right", name(*pair)),
        _ => name(*pair).to_string(),
    };
    if sides.is_empty() { "none".into() } else { sides.iter().map(one).collect::<Vec<_>>().join("; ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_in_a_cell_of_text() {
        for (text, nodes) in [
            ("submand L, parotid L+R", "parotid; mandibular left"),
            ("submand L+R, parotid R", "parotid right; mandibular"),
            ("SM, RP both; PA L", "parotid left; mandibular; retropharyngeal"),
            ("NL mandibulaire G", "mandibular left"),
            ("all", "parotid; mandibular; retropharyngeal"),
            ("none, head spoilt", "none"),
            ("mandibular; retropharyngeal one", ""),
        ] {
            let read = node_list(text).map(|s| node_text(&s)).unwrap_or_default();
            assert_eq!(read, nodes, "{text}");
        }
    }
}
