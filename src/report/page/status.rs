//! "Is it here?": what the areas and the pigs say about ongoing transmission.

use crate::assess::areas::{ZoneFigures, verdict};
use crate::assess::attribution::PositiveFigures;
use crate::pipeline::analysis::Analysis;
use crate::records::Reading;
use crate::report::sentences::pig::killed;
use crate::report::sentences::words;
use serde::Serialize;

/// One row of the table of areas.
#[derive(Serialize)]
pub(crate) struct AreaRow {
    name: String,
    /// Index among the zones; absent for the district.
    zone: Option<usize>,
    verdict: &'static str,
    chance: String,
    active_ha: String,
    area_ha: String,
    hazard: String,
    since: Option<[String; 3]>,
    inside: String,
    last_positive: String,
    pigs: String,
    speakers: Vec<Speaker>,
    freedom: String,
}

/// A pig that speaks for activity in an area.
#[derive(Serialize)]
struct Speaker {
    number: usize,
    id: String,
    chance: String,
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

/// Whether some cell that lies mostly in a zone is itself likely to be active.
fn any_cell_likely(analysis: &Analysis, zone: usize) -> bool {
    let shares = &analysis.layout.zone_shares[zone];
    analysis.assessment.cells.iter().zip(shares).any(|(c, s)| *s > 0.5 && verdict(c.p_active) == "likely")
}

/// [`verdict`] on a zone, but for `spread`: many cells, each a little likely, make an area that is likely to hold one. That
/// is no find, and most often says that nobody has looked.
fn stands(analysis: &Analysis, zone: usize, figures: &ZoneFigures) -> &'static str {
    match verdict(figures.p_active_any) {
        "likely" if !any_cell_likely(analysis, zone) => "spread",
        word => word,
    }
}

/// Opening sentences.
pub(crate) fn sentences(analysis: &Analysis) -> Vec<String> {
    let (a, study) = (&analysis.assessment, &analysis.layout.study);
    let d = &a.district;
    let recent = words::months(study.recent.months);
    let threshold = study.recent.force_of_infection_threshold;
    let mut out = Vec::new();
    if a.zones.is_empty() {
        out.push(format!(
            "Over the {recent} to {}, transmission somewhere on the grid is {}: the probability that the hazard exceeds {threshold} infections per pig-year in some cell is {}.",
            analysis.layout.as_of,
            verdict(d.p_active_any),
            words::prob(d.p_active_any)
        ));
    } else {
        let named = |word: &str| -> Vec<String> {
            let mut zones: Vec<(usize, &ZoneFigures)> =
                a.zones.iter().enumerate().filter(|(i, z)| stands(analysis, *i, z) == word).collect();
            zones.sort_by(|x, y| y.1.p_active_any.total_cmp(&x.1.p_active_any));
            let said =
                |(_, z): &(usize, &ZoneFigures)| format!("{} ({})", z.name, words::prob(z.p_active_any));
            zones.iter().map(said).collect()
        };
        let parts: Vec<String> = [
            ("likely", "likely"),
            ("spread", "not ruled out, though likely in no one cell,"),
            ("open", "an open question"),
            ("unlikely", "unlikely"),
        ]
        .into_iter()
        .filter_map(|(word, said)| {
            let names = named(word);
            (!names.is_empty()).then(|| format!("{said} in {}", words::list(&names, 4)))
        })
        .collect();
        out.push(format!(
            "Over the {recent} to {}, ongoing transmission is {}; in brackets, the probability that the hazard exceeds {threshold} infections per pig-year in some cell of the area.",
            analysis.layout.as_of,
            parts.join("; ")
        ));
    }
    out.extend(crate::report::sentences::freedom::sentence(analysis));
    // The grid reaches beyond the areas, where little more than the prior speaks: the sentence is about an area.
    let (place, f) = match a.zones.iter().max_by(|x, y| x.active_ha.median().total_cmp(&y.active_ha.median()))
    {
        Some(z) => (z.name.as_str(), z),
        None => ("the grid", d),
    };
    out.push(format!(
        "{} {place}: about {} of {} ha lie above {threshold} infections per pig-year (90 % interval {} to {} ha), and the mean hazard is put at {} per pig-year (90 % interval {} to {}).",
        if a.zones.len() > 1 { "Active land is widest in" } else { "Active land in" },
        words::hectares(f.active_ha.median()),
        words::hectares(f.area_ha),
        words::hectares(f.active_ha.q05()),
        words::hectares(f.active_ha.q95()),
        words::two_digits(f.hazard.median()),
        words::two_digits(f.hazard.q05()),
        words::two_digits(f.hazard.q95())
    ));
    if a.positives.is_empty() {
        out.push(
            "No positive or suspect pig is among the records, so no infection window is estimated.".into(),
        );
    } else {
        let infected: f64 = a.positives.iter().map(|p| p.p_true).sum();
        let lately: f64 = a.positives.iter().map(|p| p.p_recent).sum();
        out.push(format!(
            "Of {}, about {} are expected to have been truly infected, and about {} of them within the {recent} before that day.",
            words::count(a.positives.len(), "positive or suspect pig", "positive and suspect pigs"),
            words::two_digits(infected),
            words::two_digits(lately)
        ));
    }
    out
}

/// Rows of the areas, the district last.
pub(crate) fn area_rows(analysis: &Analysis) -> Vec<AreaRow> {
    let a = &analysis.assessment;
    let mut rows: Vec<AreaRow> =
        a.zones.iter().enumerate().map(|(i, z)| area_row(analysis, z, Some(i))).collect();
    rows.push(area_row(analysis, &a.district, None));
    rows
}

fn area_row(analysis: &Analysis, z: &ZoneFigures, zone: Option<usize>) -> AreaRow {
    let a = &analysis.assessment;
    let pigs = &analysis.layout.records.pigs;
    let mut speakers: Vec<(usize, &PositiveFigures)> = a
        .positives
        .iter()
        .enumerate()
        .filter(|(_, p)| zone.is_none() || p.zone == zone)
        .filter(|(_, p)| p.p_local >= 0.05)
        .collect();
    speakers.sort_by(|x, y| y.1.p_local.total_cmp(&x.1.p_local));
    AreaRow {
        name: if zone.is_some() { z.name.clone() } else { "Whole grid, sea and unvisited land too".into() },
        zone,
        verdict: verdict(z.p_active_any),
        chance: words::prob(z.p_active_any),
        active_ha: format!(
            "{} ({} to {})",
            words::hectares(z.active_ha.median()),
            words::hectares(z.active_ha.q05()),
            words::hectares(z.active_ha.q95())
        ),
        area_ha: words::hectares(z.area_ha),
        hazard: format!(
            "{} ({} to {})",
            words::two_digits(z.hazard.median()),
            words::two_digits(z.hazard.q05()),
            words::two_digits(z.hazard.q95())
        ),
        since: z.window.map(|w| w.map(words::year_month)),
        inside: format!(
            "{} ({})",
            words::two_digits(z.infected_inside_expected),
            words::two_digits(z.infected_recently_expected)
        ),
        last_positive: z.last_positive.map_or_else(|| "none".into(), |d| d.to_string()),
        pigs: format!("{}, {} ({})", words::grouped(z.pigs as f64), z.positives, z.confirmed),
        speakers: speakers
            .iter()
            .take(3)
            .map(|(i, p)| Speaker { number: *i, id: pigs[p.pig].id.clone(), chance: words::prob(p.p_local) })
            .collect(),
        freedom: crate::report::sentences::freedom::stated(analysis, zone),
    }
}

/// Indices of the positives by day of death, then by place in the records.
pub(crate) fn by_date(analysis: &Analysis) -> Vec<usize> {
    let pigs = &analysis.layout.records.pigs;
    let positives = &analysis.assessment.positives;
    let mut order: Vec<usize> = (0..positives.len()).collect();
    order.sort_by(|a, b| {
        let day = |i: usize| pigs[positives[i].pig].killed.mid_day();
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
                reading: if pig.reading == Reading::Confirmed { "confirmed" } else { "suspect" },
                killed: killed(pig),
                about: format!(
                    "{}, {}",
                    crate::report::sentences::pig::sex(pig.sex),
                    crate::report::sentences::pig::age(pig.age)
                ),
                window: p.infection_days.map(|q| [q[1], q[3], q[5]].map(words::year_month)),
                p_true: words::prob(p.p_true),
                p_recent: words::prob(p.p_recent),
                p_local: words::prob(p.p_local),
                zone: p.zone.map_or_else(|| "outside all areas".into(), |z| records.zones[z].name.clone()),
            }
        })
        .collect()
}
