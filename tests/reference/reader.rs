//! A strict reader of reference cases: what it does not understand it refuses.

use std::cell::RefCell;
use std::collections::BTreeSet;

/// How far a value may lie from its reference.
#[derive(Debug, Clone, PartialEq)]
pub enum Tolerance {
    /// |value − reference| ≤ size.
    Absolute(f64),
    /// |value − reference| ≤ size · |reference|.
    Relative(f64),
}

#[derive(Debug, Clone)]
struct Expectation {
    key: String,
    values: Vec<f64>,
    tolerance: Option<Tolerance>,
}

/// One case: inputs, expectations and where they come from.
#[derive(Debug, Clone)]
pub struct Case {
    /// Its name, unique in the file.
    pub name: String,
    sources: Vec<String>,
    given: Vec<(String, Vec<f64>)>,
    expect: Vec<Expectation>,
    used: RefCell<BTreeSet<String>>,
}

impl Case {
    /// The numbers of an input.
    pub fn list(&self, key: &str) -> &[f64] {
        self.used.borrow_mut().insert(format!("given {key}"));
        let found = self.given.iter().find(|(k, _)| k == key);
        &found.unwrap_or_else(|| panic!("{}: no input {key}", self.name)).1
    }
    /// An input of one number.
    pub fn number(&self, key: &str) -> f64 {
        let v = self.list(key);
        assert_eq!(v.len(), 1, "{}: {key} is not one number", self.name);
        v[0]
    }
    /// Compares computed values with an expectation.
    pub fn check(&self, key: &str, values: &[f64]) {
        self.used.borrow_mut().insert(format!("expect {key}"));
        let found = self.expect.iter().find(|e| e.key == key);
        let e = found.unwrap_or_else(|| panic!("{}: no expectation {key}", self.name));
        assert_eq!(e.values.len(), values.len(), "{}: {key} has another number of values", self.name);
        for (want, got) in e.values.iter().zip(values) {
            let allowed =
                match e.tolerance.as_ref().expect("the reader refuses an expectation without tolerance") {
                    Tolerance::Absolute(t) => *t,
                    Tolerance::Relative(t) => t * want.abs(),
                };
            assert!(
                (got - want).abs() <= allowed,
                "{}: {key} is {got}, should be {want} ± {allowed:e}",
                self.name
            );
        }
    }
    /// Fails when an input or expectation of the file was never asked for.
    pub fn finish(&self) {
        let given = self.given.iter().map(|(k, _)| format!("given {k}"));
        let all: BTreeSet<String> =
            given.chain(self.expect.iter().map(|e| format!("expect {}", e.key))).collect();
        assert_eq!(all, *self.used.borrow(), "{}: values the test does not use", self.name);
    }
}

/// Reads all cases of a text.
pub fn read(text: &str) -> Result<Vec<Case>, String> {
    let mut cases: Vec<Case> = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let at = |message: &str| format!("line {}: {message}: {line}", i + 1);
        let (word, rest) =
            line.split_once(char::is_whitespace).ok_or_else(|| at("nothing after the word"))?;
        let rest = rest.trim();
        if word == "case" {
            if let Some(last) = cases.last() {
                complete(last)?;
            }
            if rest.contains(char::is_whitespace) || cases.iter().any(|c| c.name == rest) {
                return Err(at("a case needs a name of one word, not used before"));
            }
            cases.push(Case {
                name: rest.into(),
                sources: Vec::new(),
                given: Vec::new(),
                expect: Vec::new(),
                used: RefCell::default(),
            });
            continue;
        }
        let case = cases.last_mut().ok_or_else(|| at("before the first case"))?;
        match word {
            "source" => case.sources.push(rest.into()),
            "given" => {
                let (key, values) = keyed(rest).ok_or_else(|| at("a key and numbers are needed"))?;
                match case.given.iter_mut().find(|(k, _)| *k == key) {
                    Some((_, v)) => v.extend(values),
                    None => case.given.push((key, values)),
                }
            }
            "expect" => {
                if case.sources.is_empty() {
                    return Err(at("no source before this expectation"));
                }
                let (key, values) = keyed(rest).ok_or_else(|| at("a key and numbers are needed"))?;
                if case.expect.iter().any(|e| e.key == key) {
                    return Err(at("expected twice"));
                }
                case.expect.push(Expectation { key, values, tolerance: None });
            }
            "tolerance" => {
                let tolerance = tolerance(rest)
                    .ok_or_else(|| at("write a size, then relative, or absolute and a unit"))?;
                let mut open = case.expect.iter_mut().filter(|e| e.tolerance.is_none()).peekable();
                if open.peek().is_none() {
                    return Err(at("no expectation for this tolerance"));
                }
                open.for_each(|e| e.tolerance = Some(tolerance.clone()));
            }
            _ => return Err(at("unknown word")),
        }
    }
    match cases.last() {
        Some(last) => complete(last)?,
        None => return Err("no case".into()),
    }
    Ok(cases)
}

fn complete(case: &Case) -> Result<(), String> {
    if case.sources.is_empty() {
        return Err(format!("case {}: no source", case.name));
    }
    if case.expect.is_empty() {
        return Err(format!("case {}: nothing expected", case.name));
    }
    match case.expect.iter().find(|e| e.tolerance.is_none()) {
        Some(e) => Err(format!("case {}: {} has no tolerance", case.name, e.key)),
        None => Ok(()),
    }
}

fn keyed(rest: &str) -> Option<(String, Vec<f64>)> {
    let mut words = rest.split_whitespace();
    let key = words.next()?.to_string();
    let values: Vec<f64> = words.map(number).collect::<Option<_>>()?;
    (!values.is_empty() && number(&key).is_none()).then_some((key, values))
}

fn number(word: &str) -> Option<f64> {
    word.parse().ok().filter(|v: &f64| v.is_finite())
}

fn tolerance(rest: &str) -> Option<Tolerance> {
    let words: Vec<&str> = rest.split_whitespace().collect();
    let size = number(words.first()?).filter(|s| *s >= 0.0)?;
    match words.get(1..)? {
        ["relative"] => Some(Tolerance::Relative(size)),
        ["absolute"] | ["absolute", _] => Some(Tolerance::Absolute(size)),
        _ => None,
    }
}

const GOOD: &str = "case a\nsource a book, p. 1\ngiven x 1 2\ngiven x 3\n\
     expect y 2\nexpect z 4\ntolerance 1e-3 absolute m\n";

#[test]
fn a_sound_case_is_read_and_compared() {
    let case = read(GOOD).unwrap().remove(0);
    assert_eq!(case.list("x"), [1.0, 2.0, 3.0]);
    case.check("y", &[2.0009]);
    case.check("z", &[4.0]);
    case.finish();
}

#[test]
fn a_value_outside_its_tolerance_fails() {
    let case = read(GOOD).unwrap().remove(0);
    assert!(std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| case.check("y", &[2.0011]))).is_err());
    let case = read(GOOD).unwrap().remove(0);
    assert!(std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| case.check("y", &[f64::NAN]))).is_err());
    let case = read(GOOD).unwrap().remove(0);
    case.check("y", &[2.0]);
    assert!(
        std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| case.finish())).is_err(),
        "z and x were never asked for"
    );
}

#[test]
fn what_is_not_understood_is_refused() {
    for (text, reason) in [
        ("", "no case"),
        ("given x 1\n", "before the first case"),
        ("case a\nsource s\nexpcet y 1\n", "unknown word"),
        ("case a\nexpect y 1\ntolerance 1 absolute\n", "no source"),
        ("case a\ngiven x 1\n", "no source"),
        ("case a\nsource s\ngiven x 1\n", "nothing expected"),
        ("case a\nsource s\nexpect y 1\n", "no tolerance"),
        ("case a\nsource s\nexpect y 1\ntolerance 1 percent\n", "relative"),
        ("case a\nsource s\nexpect y 1\ntolerance -1 relative\n", "relative"),
        ("case a\nsource s\nexpect y 1\ntolerance 1 relative m\n", "relative"),
        ("case a\nsource s\ntolerance 1 relative\n", "no expectation"),
        ("case a\nsource s\nexpect y one\n", "numbers"),
        ("case a\nsource s\nexpect y inf\n", "numbers"),
        ("case a\nsource s\nexpect y\n", "numbers"),
        ("case a\nsource s\nexpect y 1\nexpect y 2\n", "twice"),
        ("case a\nsource s\nexpect y 1\ntolerance 1 relative\ncase a\n", "not used before"),
        ("case a\nsource s\nexpect y 1\ncase b\n", "no tolerance"),
    ] {
        let said = read(text).expect_err(text);
        assert!(said.contains(reason), "{text:?} gives {said:?}, not {reason:?}");
    }
}
