//! "Is it here?": the rows of areas, of their freedom year by year, and of positive pigs.

use crate::assess::areas::ZoneFigures;
use crate::assess::attribution::PositiveFigures;
use crate::assess::verdict::Verdict;
use crate::pipeline::analysis::Analysis;
use crate::report::page::charts::course;
use crate::report::sentences::{areas, freedom, pigs, priorities, verdicts, words};
use serde::Serialize;

/// One row of the table of areas.
#[derive(Serialize)]
pub(crate) struct AreaRow {
    name: String,
    /// Index among the zones; absent for the whole grid.
    zone: Option<usize>,
    ongoing: String,
    chance: String,
    active_ha: String,
    area_ha: String,
    force: String,
    since: Option<[String; 3]>,
    inside: String,
    last_positive: String,
    pigs: String,
    supporters: Vec<Supporter>,
    freedom: String,
}

/// A pig that supports ongoing transmission in an area.
#[derive(Serialize)]
struct Supporter {
    number: usize,
    id: String,
    chance: String,
}

/// One area's card on the first screen.
#[derive(Serialize)]
pub(crate) struct AreaCard {
    name: String,
    zone: Option<usize>,
    /// The verdict as a name for styles.
    word: &'static str,
    verdict: String,
    said: String,
    course: Option<String>,
    free: Option<FreeFigure>,
    supporters: Vec<Supporter>,
    settles: Option<String>,
    before: String,
}

/// The probability of freedom of a card.
#[derive(Serialize)]
struct FreeFigure {
    said: String,
    drawing: String,
}

/// One area's freedom.
#[derive(Serialize)]
pub(crate) struct FreedomRow {
    zone: usize,
    name: String,
    needed: String,
    start: String,
    years: Vec<FreedomYearRow>,
}

/// One year of it.
#[derive(Serialize)]
struct FreedomYearRow {
    year: i16,
    seen: String,
    news: String,
    no_case: String,
    before: String,
    p_free: String,
    own: String,
}

/// One row of the table of pigs.
#[derive(Serialize)]
pub(crate) struct PositiveRow {
    number: usize,
    id: String,
    reading: &'static str,
    killed: String,
    about: String,
    window: Option<[String; 3]>,
    p_true: String,
    p_recent: String,
    p_local: String,
    zone: String,
}

/// Probability of a recent infection nearby under which a pig is not named.
pub(crate) const LEAST_SUPPORT: f64 = 0.05;

/// Opening paragraphs.
pub(crate) fn opening(analysis: &Analysis) -> Vec<String> {
    vec![verdicts::headline(analysis), pigs::positives(analysis)]
}

/// One card an area, the most urgent first; without areas one card for the land that pigs' ranges reach.
pub(crate) fn cards(analysis: &Analysis) -> Vec<AreaCard> {
    let a = &analysis.assessment;
    if a.zones.is_empty() {
        return vec![card(analysis, &a.study_area, None)];
    }
    let urgency = |i: &usize| {
        let place = Verdict::ALL.iter().position(|v| *v == a.judgements[*i].verdict);
        (place, std::cmp::Reverse((1e6 * a.zones[*i].infected_recently_expected) as u64))
    };
    let mut order: Vec<usize> = (0..a.zones.len()).collect();
    order.sort_by_key(urgency);
    order.into_iter().map(|i| card(analysis, &a.zones[i], Some(i))).collect()
}

fn card(analysis: &Analysis, z: &ZoneFigures, zone: Option<usize>) -> AreaCard {
    let a = &analysis.assessment;
    let target = analysis.layout.study.freedom.target;
    let year = zone.and_then(|i| a.freedom[i].last());
    AreaCard {
        name: if zone.is_some() { z.name.clone() } else { verdicts::REACHED_LAND.into() },
        zone,
        word: zone.map_or(a.whole, |i| a.judgements[i]).verdict.word(),
        verdict: verdicts::short(analysis, zone),
        said: verdicts::rests_on(analysis, zone),
        course: zone.map(|i| course::course(analysis, i, z)),
        free: zone.zip(year).map(|(i, y)| FreeFigure {
            said: verdicts::of_100_chances(y.p_free, y.bounds),
            drawing: course::free(i, &z.name, y.p_free, y.bounds, target),
        }),
        supporters: supporters(analysis, zone),
        settles: zone.map(|i| verdicts::settles(analysis, i)),
        before: verdicts::before_and_now(analysis, zone),
    }
}

/// The plan in short.
#[derive(Serialize)]
pub(crate) struct PlanInShort {
    budget: String,
    operations: Vec<PlannedRow>,
    said: String,
}

/// One operation of it.
#[derive(Serialize)]
struct PlannedRow {
    block: usize,
    name: String,
    host: &'static str,
    cost: String,
    best: String,
}

/// What to do first at the budget; `None` without blocks.
pub(crate) fn plan(analysis: &Analysis) -> Option<PlanInShort> {
    let a = &analysis.assessment;
    let currency = &analysis.layout.study.priorities.currency;
    match a.decision.as_ref()? {
        Err(e) => {
            Some(PlanInShort { budget: String::new(), operations: Vec::new(), said: priorities::no_set(e) })
        }
        Ok(d) => {
            let named = priorities::names_blocks(analysis);
            let row = |i: usize| {
                let c = &a.slate.candidates[i];
                PlannedRow {
                    block: c.block,
                    name: c.name.clone(),
                    host: c.host.word(),
                    cost: priorities::cost(c, currency),
                    best: d.figures[i].p_in_best_set.map_or_else(
                        || words::not_estimated("no posterior samples"),
                        |p| format!("{} of 100", words::per_cent(p)),
                    ),
                }
            };
            Some(PlanInShort {
                budget: format!("with {}", words::money(currency, d.budget)),
                operations: if named { d.chosen().into_iter().map(row).collect() } else { Vec::new() },
                said: if named { priorities::expected(d) } else { priorities::plan(analysis, d) },
            })
        }
    }
}

/// Pigs killed in an area that were probably infected near there lately, the surest first, at most three.
fn supporters(analysis: &Analysis, zone: Option<usize>) -> Vec<Supporter> {
    let a = &analysis.assessment;
    let all = a.positives.iter().enumerate();
    let mut found: Vec<(usize, &PositiveFigures)> = all
        .filter(|(_, p)| zone.is_none() || p.zone == zone)
        .filter(|(_, p)| p.p_local >= LEAST_SUPPORT)
        .collect();
    found.sort_by(|x, y| y.1.p_local.total_cmp(&x.1.p_local));
    let named = |(i, p): &(usize, &PositiveFigures)| Supporter {
        number: *i,
        id: analysis.layout.records.pigs[p.pig].id.clone(),
        chance: words::chance(p.p_local),
    };
    found.iter().take(3).map(named).collect()
}

/// Rows of the areas, the whole grid last.
pub(crate) fn area_rows(analysis: &Analysis) -> Vec<AreaRow> {
    let a = &analysis.assessment;
    let mut rows: Vec<AreaRow> =
        a.zones.iter().enumerate().map(|(i, z)| area_row(analysis, z, Some(i))).collect();
    rows.push(area_row(analysis, &a.study_area, None));
    rows
}

fn area_row(analysis: &Analysis, z: &ZoneFigures, zone: Option<usize>) -> AreaRow {
    AreaRow {
        name: if zone.is_some() { z.name.clone() } else { areas::WHOLE_GRID.into() },
        zone,
        ongoing: verdicts::short(analysis, zone),
        chance: words::chance(z.p_active_any),
        active_ha: areas::active_ha(z),
        area_ha: words::hectares(z.area_ha),
        force: areas::force_of_infection(z),
        since: z.window.map(|w| w.map(words::year_month)),
        inside: areas::infected_inside(z),
        last_positive: z.last_positive.map_or_else(|| "none".into(), |d| d.to_string()),
        pigs: areas::pigs(z),
        supporters: supporters(analysis, zone),
        freedom: freedom::of_area(analysis, zone),
    }
}

/// Rows of freedom, in the order of the areas, the latest year first.
pub(crate) fn freedom_rows(analysis: &Analysis) -> Vec<FreedomRow> {
    let zones = &analysis.layout.records.zones;
    let all = analysis.assessment.freedom.iter().enumerate();
    all.map(|(i, f)| FreedomRow {
        zone: i,
        name: zones[i].name.clone(),
        needed: freedom::needed(analysis, f),
        start: freedom::start(f),
        years: f
            .years
            .iter()
            .rev()
            .map(|y| FreedomYearRow {
                year: y.year,
                seen: freedom::with_bounds(y.sensitivity, y.sensitivity_range),
                news: words::chance(y.sensitivity_given_earlier),
                no_case: words::chance(y.no_case),
                before: words::chance(y.prior),
                p_free: freedom::with_bounds(y.p_free, y.bounds),
                own: words::chance(y.p_under_threshold),
            })
            .collect(),
    })
    .collect()
}

/// Indices of the positives by day of death, then by place in the records.
pub(crate) fn by_date(analysis: &Analysis) -> Vec<usize> {
    let records = &analysis.layout.records.pigs;
    let positives = &analysis.assessment.positives;
    let mut order: Vec<usize> = (0..positives.len()).collect();
    order.sort_by(|a, b| {
        let day = |i: usize| records[positives[i].pig].killed.mid_day();
        day(*a).total_cmp(&day(*b)).then(a.cmp(b))
    });
    order
}

/// Rows of the positives, the latest first.
pub(crate) fn pig_rows(analysis: &Analysis, order: &[usize]) -> Vec<PositiveRow> {
    let records = &analysis.layout.records;
    order
        .iter()
        .rev()
        .map(|i| {
            let p = &analysis.assessment.positives[*i];
            let pig = &records.pigs[p.pig];
            PositiveRow {
                number: *i,
                id: pig.id.clone(),
                reading: pigs::result_word(pig),
                killed: pigs::killed(pig),
                about: pigs::sex_and_age(pig),
                window: p.infection_days.map(|q| [q[1], q[3], q[5]].map(words::year_month)),
                p_true: words::chance(p.p_true),
                p_recent: words::chance(p.p_recent),
                p_local: words::chance(p.p_local),
                zone: p.zone.map_or_else(|| "outside all areas".into(), |z| records.zones[z].name.clone()),
            }
        })
        .collect()
}
