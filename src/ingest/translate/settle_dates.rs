//! Settles the order, the year and the form of the dates of one table.

use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::plan::{Given, TablePlan, filled};
use crate::ingest::values::date_setting::{DateOrder, DateSetting};
use crate::ingest::values::written_date::{is_serial, lacks_year, order_vote};
use crate::ingest::vocabulary::Field;
use crate::study::study_file::DateOrderKey;
use itertools::Itertools as _;

/// Least share of a column's dates that must speak for an order where there are [`MANY`] or more. Own choice:
/// a single slip of the hand must not turn a whole column.
const LEAST_SHARE: f64 = 0.2;
/// Least number of dates that must speak for an order. Own choice: one may be a slip of the hand.
const LEAST: usize = 3;
/// Number of dates from which [`LEAST_SHARE`] is asked for.
const MANY: usize = 10;

fn key_order(key: DateOrderKey) -> DateOrder {
    match key {
        DateOrderKey::DayFirst => DateOrder::DayFirst,
        DateOrderKey::MonthFirst => DateOrder::MonthFirst,
        DateOrderKey::YearFirst => DateOrder::YearFirst,
    }
}

/// Settles how the day killed and the day of release are read.
pub(crate) fn dates(plan: &mut TablePlan, table: &Table, given: &Given) {
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
fn date_column(plan: &mut TablePlan, table: &Table, given: &Given, index: usize) -> DateSetting {
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
        _ if votes.open >= LEAST => {
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
        _ if votes.open == 0 => plan.infer(
            table,
            index,
            "dates",
            format!("{} of them are numbers that can be read in one order only", votes.numbers),
            "[records]\ndates = \"day first\"",
        ),
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
            [n, 0] if n >= LEAST => (DateOrder::DayFirst, n),
            [0, n] if n >= LEAST => (DateOrder::MonthFirst, n),
            _ => return None,
        };
        let enough = self.numbers < MANY || n as f64 >= LEAST_SHARE * self.numbers as f64;
        (enough && self.neither * 5 < self.numbers).then_some((order, n))
    }
}

/// The year of dates that are written without one.
fn year_of(plan: &mut TablePlan, table: &Table, given: &Given, index: usize) {
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
