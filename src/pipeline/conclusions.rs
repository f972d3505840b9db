//! The headline conclusions of a run, in a form in which two runs can be compared.

use crate::assess::Assessment;
use crate::assess::areas::{Judgement, ZoneFigures};
use crate::assess::cells::Standing;
use crate::geography::layout::Layout;
use crate::records::date_of_day;

/// Days by which the latest infection may move for the conclusion to hold: half a year, the default period.
pub(crate) const DAYS_APART: f64 = 183.0;
/// Factor by which the number of active cells may change for the conclusion to hold (own choice).
pub(crate) const CELLS_FACTOR: f64 = 2.0;

/// What a conclusion is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// A zone, an index of the records.
    Zone(usize),
    /// The whole grid.
    WholeGrid,
    /// The choice among blocks.
    Blocks,
}

/// What it answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// The verdict on an area; the value is the median share of its land that is active.
    Transmission,
    /// Whether the probability of freedom is at its target; the value is that probability.
    Freedom,
    /// When the latest infection attributed to it happened (95 % point); the value is a day number.
    LatestInfection,
    /// Whether positives killed there were mostly infected inside; the value is the share expected.
    Origin,
    /// How many cells are active; the value is their number.
    ActiveCells,
    /// Which operation removes most for its money; the value is hectares per 1000 of money.
    FirstOperation,
    /// Which operations are chosen; the value is the share of the run's own set that is chosen.
    ChosenSet,
}

impl Question {
    /// The word used in tables.
    pub fn word(self) -> &'static str {
        match self {
            Question::Transmission => "transmission",
            Question::Freedom => "freedom",
            Question::LatestInfection => "latest_infection",
            Question::Origin => "origin",
            Question::ActiveCells => "active_cells",
            Question::FirstOperation => "first_operation",
            Question::ChosenSet => "chosen_set",
        }
    }
}

/// One conclusion of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Conclusion {
    /// What it is about.
    pub about: About,
    /// What it answers.
    pub question: Question,
    /// The answer in a word or two: `active now`, `under its target`, `2021-06`, `B03:possum`.
    pub answer: String,
    /// The number behind it.
    pub value: Option<f64>,
}

/// The conclusions of an assessment; of one study and its re-runs always the same ones in the same order.
///
/// `base`: the assessment of the run itself, against whose chosen set that of a re-run is held; `None` for
/// the run.
pub(crate) fn conclusions(layout: &Layout, a: &Assessment, base: Option<&Assessment>) -> Vec<Conclusion> {
    let mut out = Vec::new();
    for (i, z) in a.zones.iter().enumerate() {
        of_area(&mut out, About::Zone(i), z, &a.judgements[i]);
        if let Some(y) = a.freedom[i].last() {
            let reached = y.p_free >= layout.study.freedom.target;
            let answer = if reached { "at its target" } else { "under its target" };
            out.push(new(About::Zone(i), Question::Freedom, answer, Some(y.p_free)));
        }
    }
    if a.zones.is_empty() {
        of_area(&mut out, About::WholeGrid, &a.study_area, &a.whole);
    }
    let active = a.cells.iter().filter(|c| c.standing == Standing::Active).count();
    out.push(new(About::WholeGrid, Question::ActiveCells, &active.to_string(), Some(active as f64)));
    if a.decision.is_some() {
        of_blocks(&mut out, a, base.unwrap_or(a));
    }
    out
}

fn new(about: About, question: Question, answer: &str, value: Option<f64>) -> Conclusion {
    Conclusion { about, question, answer: answer.into(), value }
}

fn of_area(out: &mut Vec<Conclusion>, about: About, z: &ZoneFigures, j: &Judgement) {
    let word = j.verdict.word().replace('_', " ");
    out.push(new(about, Question::Transmission, &word, Some(j.evidence.active_share[1])));
    let latest = z.window.map(|w| w[2]);
    let month = latest.map(date_of_day).map(|d| format!("{:04}-{:02}", d.year(), d.month()));
    out.push(new(about, Question::LatestInfection, month.as_deref().unwrap_or("not dated"), latest));
    if z.positives > 0 {
        let infected = z.positives_local_expected + z.positives_imported_expected;
        let share = z.positives_local_expected / infected.max(f64::MIN_POSITIVE);
        let answer = if share >= 0.5 { "mostly inside" } else { "mostly elsewhere" };
        out.push(new(about, Question::Origin, answer, Some(share)));
    }
}

fn of_blocks(out: &mut Vec<Conclusion>, a: &Assessment, base: &Assessment) {
    let decided = |a: &Assessment| -> Vec<usize> {
        let figures = a.decision.iter().flatten().flat_map(|d| d.figures.iter().enumerate());
        figures.filter(|(_, f)| f.chosen && !f.fills).map(|(i, _)| i).collect()
    };
    let id = |i: &usize| a.slate.candidates[*i].id();
    let figures = a.decision.iter().flatten().flat_map(|d| d.figures.iter().enumerate());
    let best = figures
        .filter(|(_, f)| f.allowed)
        .filter_map(|(i, f)| Some((i, f.score.filter(|s| *s > 0.0)?)))
        // The first of equals, as in the ranks.
        .fold(
            None,
            |best: Option<(usize, f64)>, x| if best.is_none_or(|b| x.1 > b.1) { Some(x) } else { best },
        );
    let first = best.map_or_else(|| "none".to_string(), |(i, _)| id(&i));
    out.push(new(About::Blocks, Question::FirstOperation, &first, best.map(|b| b.1)));
    let (mine, theirs) = (decided(a), decided(base));
    let names: Vec<String> = mine.iter().map(id).collect();
    let kept = theirs.iter().filter(|i| mine.contains(i)).count();
    let share = if theirs.is_empty() {
        f64::from(u8::from(mine.is_empty()))
    } else {
        kept as f64 / theirs.len() as f64
    };
    let answer = if names.is_empty() { "none".to_string() } else { names.join(";") };
    out.push(new(About::Blocks, Question::ChosenSet, &answer, Some(share)));
}

/// Whether a conclusion of the run holds in a re-run.
///
/// # Formula
/// The answers are the same word; but the latest infection may move by [`DAYS_APART`], the number of active
/// cells change by a factor of [`CELLS_FACTOR`], and of the chosen operations all must be chosen again (those
/// that only fill the budget apart), whatever is chosen beside them.
pub(crate) fn holds(base: &Conclusion, other: &Conclusion) -> bool {
    debug_assert!((base.about, base.question) == (other.about, other.question));
    let (a, b) = (base.value, other.value);
    match base.question {
        Question::LatestInfection => match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= DAYS_APART,
            (None, None) => true,
            _ => false,
        },
        Question::ActiveCells => match (a, b) {
            (Some(a), Some(b)) => a == b || (a <= CELLS_FACTOR * b && b <= CELLS_FACTOR * a),
            _ => false,
        },
        Question::ChosenSet => b.is_some_and(|share| share >= 1.0),
        _ => base.answer == other.answer,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_holds_is_what_the_rule_says() {
        let of = |question, answer: &str, value| new(About::WholeGrid, question, answer, value);
        let q = Question::ActiveCells;
        for (a, b, held) in
            [(4.0, 8.0, true), (4.0, 9.0, false), (4.0, 1.0, false), (0.0, 0.0, true), (0.0, 1.0, false)]
        {
            assert_eq!(holds(&of(q, "a", Some(a)), &of(q, "b", Some(b))), held, "{a} {b}");
        }
        let q = Question::LatestInfection;
        assert!(holds(&of(q, "2020-01", Some(18_262.0)), &of(q, "2020-06", Some(18_440.0))));
        assert!(!holds(&of(q, "2020-01", Some(18_262.0)), &of(q, "2020-09", Some(18_506.0))));
        assert!(!holds(&of(q, "2020-01", Some(18_262.0)), &of(q, "not dated", None)));
        let q = Question::Transmission;
        assert!(holds(&of(q, "active now", Some(0.11)), &of(q, "active now", Some(0.49))));
        assert!(!holds(&of(q, "active before", Some(0.1)), &of(q, "active now", Some(0.1))));
        let q = Question::ChosenSet;
        assert!(!holds(&of(q, "A;B", Some(1.0)), &of(q, "A", Some(0.5))));
        assert!(holds(&of(q, "A", Some(1.0)), &of(q, "A;B", Some(1.0))));
    }
}
