//! Record files: the study file proposed for them, and words that are not known.

use crate::ingest::account::Inference;
use crate::ingest::findings::Finding;
use crate::ingest::propose::Proposal;
use crate::report::sentences::words;
use itertools::Itertools as _;
use std::fmt::Write as _;

/// Findings on a word of a cell that a map of words would settle.
const WORDS: [&str; 8] = [
    "lab-result-unknown",
    "lesion-word-unknown",
    "node-word-unknown",
    "age-not-read",
    "sex-unknown",
    "animal-unknown",
    "lab-method-unknown",
    "node-pair-unknown",
];

/// A word that is not known: column, word, how often, the kind of finding.
pub(crate) type UnknownWord = (String, String, usize, &'static str);

/// Words that are not known, the most frequent first.
pub(crate) fn unknown_words(findings: &[Finding]) -> Vec<UnknownWord> {
    let of_words = findings.iter().filter(|f| WORDS.contains(&f.code));
    let keyed = of_words.filter_map(|f| Some((f.column.clone()?, f.value.clone()?, f.code)));
    let mut all: Vec<UnknownWord> =
        keyed.counts().into_iter().map(|((column, value, code), n)| (column, value, n, code)).collect();
    all.sort_by(|a, b| b.2.cmp(&a.2).then_with(|| a.cmp(b)));
    all
}

/// What a word may be said to mean, by the kind of finding.
fn example(code: &str) -> &'static str {
    match code {
        "lab-result-unknown" => {
            "positive, negative, pending, not tested; a method before it, as PCR negative"
        }
        "lesion-word-unknown" => "lesion, no lesion, not examined",
        "node-word-unknown" => "lesion, no lesion, examined, not examined",
        "age-not-read" => "an age such as 12-24 months; nothing where it is unknown",
        "sex-unknown" => "female, male; nothing where it is unknown",
        "animal-unknown" => "pig, other",
        "lab-method-unknown" => "culture, PCR, histology",
        _ => "mandibular, parotid, retropharyngeal with left or right; all, none",
    }
}

/// Lines for the study file that explain words, each with how often it stands; `mark` before each.
pub(crate) fn word_lines(all: &[UnknownWord], mark: &str) -> String {
    let mut out = String::new();
    for (column, words) in &all.iter().into_group_map_by(|w| w.0.clone()).into_iter().sorted().collect_vec() {
        let _ = writeln!(out, "{mark}[records.words.{}]", key(column));
        for (_, word, n, code) in words {
            let cells = words::count(*n, "cell", "cells");
            let _ = writeln!(out, "{mark}{} = \"\"  # {cells}; {}", key(word), example(code));
        }
    }
    out
}

/// A key of TOML.
fn key(text: &str) -> String {
    toml::Value::String(text.to_string()).to_string()
}

/// The study file proposed for record files: what is inferred stands as lines with a mark before them.
pub(crate) fn study_file(name: &str, pigs: &[String], p: &Proposal, unknown: &[UnknownWord]) -> String {
    let mut out = String::from(
        "# A study file proposed from the records. Lines that begin with # say what is read and why;\n\
         # nothing needs them. Take the # away to pin a line, and change it to overrule what is read.\n\n\
         [study]\n",
    );
    let _ = writeln!(out, "name = {}", key(name));
    match &p.crs {
        Some((code, why)) => {
            let _ = writeln!(out, "crs = {}  # {why}", key(code));
        }
        None => {
            out += "# Not settled: the system of the positions. Write its EPSG code:\n# crs = \"EPSG:…\"\n"
        }
    }
    out += "# as_of = 2024-12-31  # analysis date; the last day on which a pig was killed\n\n[records]\n";
    let files = pigs.iter().map(|f| key(f)).join(", ");
    let _ = if pigs.len() == 1 { writeln!(out, "pigs = {files}") } else { writeln!(out, "pigs = [{files}]") };
    out += &pins(p, "[records]");
    out += "\n[records.columns]\n";
    out += &pins(p, "[records.columns]");
    let told = |i: &&Inference| {
        !i.undecided && lines_of(i, "[records]").or(lines_of(i, "[records.columns]")).is_none()
    };
    let others = p.inferences.iter().filter(told);
    let others = others.map(|i| format!("# {:?} is read as {} ({})\n", i.column, i.read_as, i.evidence));
    let asked = p.inferences.iter().filter(|i| i.undecided);
    let asked = asked.map(|i| {
        let key = i.key.lines().last().unwrap_or("");
        format!("# not settled, {:?}: {}; say it with {key}\n", i.column, i.evidence)
    });
    let further: Vec<String> = others.chain(asked).unique().collect();
    if !further.is_empty() {
        out.push('\n');
        out.extend(further);
    }
    if !unknown.is_empty() {
        out += "\n# Words that are not known: write what they mean between the quotation marks.\n";
        out += &word_lines(unknown, "# ");
    }
    out
}

/// The lines of a table of the study file that pin an inference.
fn lines_of<'a>(inference: &'a Inference, table: &str) -> Option<&'a str> {
    inference.key.strip_prefix(table)?.strip_prefix('\n')
}

/// Every line that pins what is read, once for a key: several sheets may call one thing by several names.
fn pins(p: &Proposal, table: &str) -> String {
    let settled = p.inferences.iter().filter(|i| !i.undecided);
    let lines = settled.filter_map(|i| Some((i, lines_of(i, table)?)));
    let pairs = lines.flat_map(|(i, lines)| {
        lines.lines().filter_map(move |l| l.split_once(" = ")).map(move |(key, value)| (key, (value, i)))
    });
    let pairs: Vec<(&str, (&str, &Inference))> = pairs.collect();
    let mut out = String::new();
    for key in pairs.iter().map(|(key, _)| *key).unique() {
        let all: Vec<(&str, &Inference)> = pairs.iter().filter(|(k, _)| *k == key).map(|(_, v)| *v).collect();
        let values: Vec<&str> = all.iter().map(|(value, _)| *value).unique().collect();
        let why = all.iter().map(|(_, i)| format!("\"{}\": {}", i.column, i.evidence)).unique().join("; ");
        let _ = match &values[..] {
            [one] => writeln!(out, "# {key} = {one}  # {why}"),
            // A key that holds for all sheets cannot say what differs between them.
            several if table == "[records]" => {
                writeln!(out, "# {key} differs: {} ({why})", several.join(", "))
            }
            several => writeln!(out, "# {key} = [{}]  # {why}", several.join(", ")),
        };
    }
    out
}

/// What could not be decided, a line each.
pub(crate) fn undecided(p: &Proposal) -> Vec<String> {
    let mut out = Vec::new();
    if p.crs.is_none() {
        out.push("the system of the positions: write the EPSG code of the grid under study.crs".into());
    }
    out.extend(p.missing.clone());
    for i in p.inferences.iter().filter(|i| i.undecided) {
        let key = i.key.lines().last().unwrap_or("");
        out.push(format!("{}, column \"{}\": {}; say it with {key}", i.file, i.column, i.evidence));
    }
    out
}
