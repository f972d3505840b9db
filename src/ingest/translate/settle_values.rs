//! Settles how the dates, ages, radii and node cells of one table are read.
//!
//! A key of the study file decides first, then the column's name, then its values where they agree.

use crate::ingest::errors::IngestError;
use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::findings::{NodeSays, node_cell};
use crate::ingest::translate::plan::{Given, LOOKED_AT, NodeCells, Plan, filled};
use crate::ingest::values::length::{HeaderUnit, header_unit, metres_per};
use crate::ingest::values::written_age::{bare_number, months_per};
use crate::ingest::values::written_date::{DateOrder, DateSetting, is_serial, lacks_year, order_vote};
use crate::ingest::vocabulary::Field;
use crate::study::study_file::{AgeUnit, DateOrderKey, LengthUnit};
use itertools::Itertools as _;

/// Least share of a column's dates that must speak for an order where there are [`MANY`] or more. Own choice:
/// a single slip of the hand must not turn a whole column.
const LEAST_SHARE: f64 = 0.2;
/// Number of dates from which [`LEAST_SHARE`] is asked for.
const MANY: usize = 10;
/// A bare age above this is months: no pig lives so many years. See `OLDEST_AGE_MONTHS`.
const OLDEST_YEARS: f64 = 20.0;

/// Settles what the values of a table are.
///
/// # Errors
/// None today; a key that cannot be used would be one.
pub(crate) fn settle(plan: &mut Plan, table: &Table, given: &Given) -> Result<(), IngestError> {
    dates(plan, table, given);
    ages(plan, table, given);
    radius(plan, table, given);
    signs(plan, table);
    node_cells(plan, table);
    Ok(())
}

fn key_order(key: DateOrderKey) -> DateOrder {
    match key {
        DateOrderKey::DayFirst => DateOrder::DayFirst,
        DateOrderKey::MonthFirst => DateOrder::MonthFirst,
        DateOrderKey::YearFirst => DateOrder::YearFirst,
    }
}

fn dates(plan: &mut Plan, table: &Table, given: &Given) {
    let southern = given.projector.and_then(|p| p.area_of_use()).and_then(|area| {
        if area.north <= 0.0 {
            Some(true)
        } else if area.south >= 0.0 {
            Some(false)
        } else {
            None
        }
    });
    let base = DateSetting { latest_year: given.latest_year, southern, ..DateSetting::default() };
    plan.date = base.clone();
    plan.release = base;
    if let Some(index) = plan.index(Field::Date) {
        plan.date = date_column(plan, table, given, index);
        year_of(plan, table, given, index);
    } else if let Some(index) = plan.index(Field::Year) {
        let parts = [Field::Day, Field::Month, Field::Year].iter().filter_map(|f| plan.index(*f));
        let names = parts.map(|i| format!("\"{}\"", table.column_names[i])).join(", ");
        plan.infer(
            table,
            index,
            "eventDate, with day, month and year in columns of their own",
            format!("from the columns {names}"),
            "rename the columns",
        );
    }
    if let Some(index) = plan.index(Field::ReleasedOn) {
        plan.release = date_column(plan, table, given, index);
    }
}

/// How the dates of one column are read.
fn date_column(plan: &mut Plan, table: &Table, given: &Given, index: usize) -> DateSetting {
    let mut setting = plan.date.clone();
    let name = table.column_names[index].clone();
    let values: Vec<&str> = filled(table, index, usize::MAX).collect();
    let serials = values.iter().filter(|v| is_serial(v)).count();
    if serials >= 3 && serials * 2 >= values.len() {
        setting.serials = true;
        plan.infer(
            table,
            index,
            "day numbers of a spreadsheet, counted from 30 December 1899",
            format!("{serials} of {} values are such numbers", values.len()),
            "write the dates out to change it",
        );
    }
    if let Some(key) = given.keys.dates {
        setting.order = Some(key_order(key));
        return setting;
    }
    let unit = table.units.get(index).map_or("", String::as_str);
    let from_name = DateOrder::parse(&name).or_else(|| DateOrder::parse(unit));
    let votes = Votes::of(&values);
    if votes.numbers == 0 {
        return setting;
    }
    match (from_name, votes.decided()) {
        // The name and the values must not contradict each other.
        (Some(order), _) if votes.against(order) == 0 => {
            setting.order = Some(order);
            plan.infer(
                table,
                index,
                format!("dates, {}", order.word()),
                format!("its name says so, and none of {} dates contradicts it", votes.numbers),
                format!("[records]\ndates = {:?}", order.word()),
            );
        }
        (None, Some((order, n))) => {
            setting.order = Some(order);
            let why = match order {
                DateOrder::DayFirst => "can only be day first",
                DateOrder::MonthFirst => "can only be month first",
                DateOrder::YearFirst => "can only be year first",
            };
            plan.infer(
                table,
                index,
                format!("dates, {}", order.word()),
                format!("{n} of {} dates {why}, and none contradicts it", votes.numbers),
                format!("[records]\ndates = {:?}", order.word()),
            );
        }
        _ if votes.open > 0 => {
            let [d, m] = votes.only;
            plan.ask(
                table,
                index,
                format!(
                    "{} of {} dates may be day first or month first; {d} can only be day first, {m} only \
                     month first",
                    votes.open, votes.numbers
                ),
                "[records]\ndates = \"day first\"",
            );
        }
        _ => {}
    }
    setting
}

/// What the dates of a column say of their order.
#[derive(Debug, Default)]
struct Votes {
    /// Dates of three numbers of which the first is no year of four digits.
    numbers: usize,
    /// Those that can only be day first, only month first.
    only: [usize; 2],
    /// Those that can be neither, and those that can be year first.
    neither: usize,
    year: usize,
    /// Those that day first and month first read as different days.
    open: usize,
}

impl Votes {
    fn of(values: &[&str]) -> Votes {
        let mut votes = Votes::default();
        for value in values {
            let vote = order_vote(value);
            let four = value.bytes().take_while(u8::is_ascii_digit).count() == 4;
            // A year of four digits in front leaves nothing open.
            if four || !(vote.day_first || vote.month_first || vote.year_first) {
                continue;
            }
            votes.numbers += 1;
            votes.year += usize::from(vote.year_first);
            match (vote.day_first, vote.month_first) {
                (true, true) => votes.open += 1,
                (true, false) => votes.only[0] += 1,
                (false, true) => votes.only[1] += 1,
                (false, false) => votes.neither += 1,
            }
        }
        votes
    }

    /// How many dates an order cannot read.
    fn against(&self, order: DateOrder) -> usize {
        match order {
            DateOrder::DayFirst => self.only[1],
            DateOrder::MonthFirst => self.only[0],
            DateOrder::YearFirst => self.numbers - self.year,
        }
    }

    /// The order that some dates ask for and none contradicts, with their number.
    fn decided(&self) -> Option<(DateOrder, usize)> {
        // "98-11-25" can only be year first; a day that does not exist, such as 30.02.21, may seem so.
        if self.neither * 5 >= self.numbers && self.year == self.numbers {
            return Some((DateOrder::YearFirst, self.neither));
        }
        let (order, n) = match self.only {
            [n, 0] if n > 0 => (DateOrder::DayFirst, n),
            [0, n] if n > 0 => (DateOrder::MonthFirst, n),
            _ => return None,
        };
        let enough = self.numbers < MANY || n as f64 >= LEAST_SHARE * self.numbers as f64;
        (enough && self.neither * 5 < self.numbers).then_some((order, n))
    }
}

/// The year of dates that are written without one.
fn year_of(plan: &mut Plan, table: &Table, given: &Given, index: usize) {
    let values: Vec<&str> = filled(table, index, usize::MAX).collect();
    let lacking = values.iter().filter(|v| lacks_year(v)).count();
    if lacking == 0 || plan.index(Field::Year).is_some() {
        return;
    }
    let file = table.file.rsplit(['/', '\\']).next().unwrap_or(&table.file);
    let places = [
        ("the name of the sheet", table.sheet.clone()),
        ("its title", table.preamble.first().cloned().unwrap_or_default()),
        ("the name of the file", file.to_string()),
    ];
    let (year, from) = match given.keys.year {
        Some(year) => (Some(year), "the key records.year"),
        None => places
            .iter()
            .find_map(|(from, text)| Some((Some(only_year(text, given.latest_year)?), *from)))
            .unwrap_or((None, "")),
    };
    plan.date.year = year;
    match year {
        Some(year) => plan.infer(
            table,
            index,
            format!("dates of the year {year}"),
            format!("{lacking} of {} dates have no year; {from} gives it", values.len()),
            format!("[records]\nyear = {year}"),
        ),
        None => plan.ask(
            table,
            index,
            format!("{lacking} of {} dates have no year, and nothing gives it", values.len()),
            "[records]\nyear = 2021",
        ),
    }
    // A day and a month have an order as well.
    if plan.date.order.is_none() && given.keys.dates.is_none() {
        let mut can = [0usize; 2];
        for value in values.iter().filter(|v| lacks_year(v)) {
            let numbers: Vec<u32> =
                value.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok()).collect();
            if let [a, b] = numbers[..] {
                can[0] += usize::from(a > 12);
                can[1] += usize::from(b > 12);
            }
        }
        let name = phrase::header(&table.column_names[index]);
        let named = ["day month", "dia mes", "tag monat", "jour mois", "giorno mese"];
        let (order, why) = match can {
            [n, 0] if n > 0 => (DateOrder::DayFirst, format!("{n} of {lacking} have a first number over 12")),
            [0, n] if n > 0 => {
                (DateOrder::MonthFirst, format!("{n} of {lacking} have a second number over 12"))
            }
            [0, 0] if named.contains(&name.as_str()) => (DateOrder::DayFirst, "its name says so".into()),
            _ => return,
        };
        plan.date.order = Some(order);
        plan.infer(
            table,
            index,
            format!("dates, {}", order.word()),
            why,
            format!("[records]\ndates = {:?}", order.word()),
        );
    }
}

/// The one year that a text holds; `None` when it holds none or several.
fn only_year(text: &str, latest: i16) -> Option<i16> {
    let words = phrase::words(text);
    let years = words.split(' ').filter(|w| w.len() == 4).filter_map(|w| w.parse::<i16>().ok());
    years.filter(|y| (1950..=latest).contains(y)).unique().exactly_one().ok()
}

fn ages(plan: &mut Plan, table: &Table, given: &Given) {
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

fn radius(plan: &mut Plan, table: &Table, given: &Given) {
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
fn signs(plan: &mut Plan, table: &Table) {
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
    for field in
        [Field::LabResult, Field::Result, Field::Culture, Field::Pcr, Field::Histology, Field::Lesion]
    {
        if let Some(index) = plan.index(field).filter(|i| plus(*i)) {
            plan.signed.insert(index);
        }
    }
}

/// Whether the cells of nodes tell of lesions or of the examination.
fn node_cells(plan: &mut Plan, table: &Table) {
    let own: Vec<usize> = plan.nodes.iter().filter(|n| n.pair.is_some()).map(|n| n.index).collect();
    let Some(first) = own.first().copied() else { return };
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
                (_, Some(NodeSays::Lesion | NodeSays::NoLesion)) => lesion_words += 1,
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
