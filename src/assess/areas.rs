//! Figures of areas: hazard over time, activity, what their positives say.

use crate::assess::area_coverage::area_coverage;
use crate::assess::attribution::Attributed;
use crate::assess::cells::{CellFigures, within_periods};
use crate::assess::freedom_figures::ZoneFreedom;
use crate::assess::spread::{Spread, day_quantile};
use crate::assess::verdict::{AreaEvidence, Verdict};
use crate::geography::area_shares::area_of;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use crate::records::{Reading, date_of_day};
use jiff::civil::Date;
use rayon::prelude::*;

/// Figures of one zone, or of the whole study area.
#[derive(Debug, Clone)]
pub struct ZoneFigures {
    /// Zone id; `whole_grid` for the whole.
    pub id: String,
    /// Display name.
    pub name: String,
    /// Area on the grid, hectares.
    pub area_ha: f64,
    /// Probability that the resident hazard exceeds the threshold in some cell of the zone.
    pub p_active_any: f64,
    /// Area that pigs' ranges reach and whose resident hazard exceeds the threshold, hectares.
    pub active_ha: Spread,
    /// Mean hazard in the zone over the recent months, per pig-year.
    pub hazard: Spread,
    /// Mean hazard in the zone, period by period, per pig-year.
    pub by_period: Vec<Spread>,
    /// Pigs killed inside.
    pub pigs: usize,
    /// Positives and suspects killed inside.
    pub positives: usize,
    /// Of those, how many are laboratory-confirmed.
    pub confirmed: usize,
    /// Last day a positive or suspect was killed inside.
    pub last_positive: Option<Date>,
    /// Expected number of the study's positives that were infected inside.
    pub infected_inside_expected: f64,
    /// Expected number of positives killed inside that were infected inside.
    pub positives_local_expected: f64,
    /// Expected number of positives killed inside that were infected elsewhere.
    pub positives_imported_expected: f64,
    /// Day numbers of the 5, 50 and 95 % points of infections attributed to the zone.
    pub window: Option<[f64; 3]>,
    /// Expected number infected inside within the recent months.
    pub infected_recently_expected: f64,
    /// Pigs by calendar year of death: (year, pigs, positives).
    pub by_year: Vec<(i16, usize, usize)>,
}

/// What is said of an area, and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// What is known of it.
    pub evidence: AreaEvidence,
    /// The verdict on that.
    pub verdict: Verdict,
}

/// Judgements of every zone, and of the whole: the land that pigs' ranges reach.
pub(crate) fn judgements(
    layout: &Layout,
    zones: &[ZoneFigures],
    study_area: &ZoneFigures,
    freedom: &[ZoneFreedom],
    cells: &[CellFigures],
    reached: &[bool],
) -> (Vec<Judgement>, Judgement) {
    let target = layout.study.freedom.target;
    let judge = |z: &ZoneFigures, land_ha: f64, p_free: Option<f64>, coverage: Option<f64>| {
        let share = |ha: f64| if land_ha > 0.0 { ha / land_ha } else { 0.0 };
        let evidence = AreaEvidence {
            infected_recently: z.infected_recently_expected,
            infected: z.infected_inside_expected,
            active_share: [z.active_ha.q05(), z.active_ha.median(), z.active_ha.q95()].map(share),
            p_free,
            target,
            coverage,
        };
        Judgement { evidence, verdict: Verdict::of(&evidence) }
    };
    let looked = area_coverage(layout, cells);
    let of_zones = zones.iter().zip(freedom).zip(&looked);
    let zones = of_zones
        .map(|((z, f), l)| judge(z, z.area_ha, f.last().map(|y| y.p_free), l.mean_sensitivity))
        .collect();
    let land: Vec<&CellFigures> = cells.iter().zip(reached).filter(|(_, r)| **r).map(|(c, _)| c).collect();
    let seen: f64 = land.iter().map(|c| c.surveillance_sensitivity).sum();
    let coverage = (!land.is_empty()).then(|| seen / land.len() as f64);
    (zones, judge(study_area, land.len() as f64 * layout.grid.cell_area_ha(), None, coverage))
}

/// Figures of every zone.
pub(crate) fn figures(
    layout: &Layout,
    posterior: &Posterior,
    resident: &[Vec<f32>],
    positives: &[Attributed],
    reached: &[bool],
) -> Vec<ZoneFigures> {
    let boundaries = || layout.records.zones.iter().map(|z| &z.boundary);
    let at: Vec<Option<usize>> =
        layout.records.pigs.iter().map(|p| area_of(boundaries(), p.easting_m, p.northing_m)).collect();
    layout
        .records
        .zones
        .iter()
        .enumerate()
        .map(|(z, zone)| {
            let inside: Vec<usize> = (0..at.len()).filter(|i| at[*i] == Some(z)).collect();
            let shares = &layout.zone_shares[z];
            one(layout, posterior, resident, positives, reached, &zone.id, &zone.name, shares, &inside)
        })
        .collect()
}

/// Figures of the whole grid.
pub(crate) fn study_area(
    layout: &Layout,
    posterior: &Posterior,
    resident: &[Vec<f32>],
    positives: &[Attributed],
    reached: &[bool],
) -> ZoneFigures {
    let shares = vec![1.0; layout.grid.cells()];
    let all: Vec<usize> = (0..layout.records.pigs.len()).collect();
    one(
        layout,
        posterior,
        resident,
        positives,
        reached,
        "whole_grid",
        &layout.study.study.name,
        &shares,
        &all,
    )
}

fn one(
    layout: &Layout,
    posterior: &Posterior,
    resident: &[Vec<f32>],
    positives: &[Attributed],
    reached: &[bool],
    id: &str,
    name: &str,
    shares: &[f64],
    inside: &[usize],
) -> ZoneFigures {
    let grid = &layout.grid;
    let threshold = layout.study.recent.force_of_infection_threshold;
    let cells: Vec<(usize, f64)> = shares.iter().copied().enumerate().filter(|(_, s)| *s > 0.0).collect();
    let total: f64 = cells.iter().map(|c| c.1).sum();
    let active: Vec<f64> = resident
        .iter()
        .map(|d| {
            let active = cells.iter().filter(|(c, _)| reached[*c] && f64::from(d[*c]) > threshold);
            active.map(|(_, s)| s).sum::<f64>()
        })
        .collect();
    // A sliver of a neighbour's cell does not make the zone active: half a cell inside counts.
    let any = resident
        .iter()
        .filter(|d| cells.iter().any(|(c, s)| *s >= 0.5 && f64::from(d[*c]) > threshold))
        .count();
    let mut active_ha: Vec<f32> = active.iter().map(|a| (a * grid.cell_area_ha()) as f32).collect();
    let by_period: Vec<Vec<f32>> = (0..grid.periods())
        .into_par_iter()
        .map(|t| {
            posterior
                .hazard
                .iter()
                .map(|field| {
                    let sum: f64 = cells
                        .iter()
                        .map(|(c, s)| {
                            let (r, col) = grid.row_col(*c);
                            s * f64::from(field[grid.at(r, t, col)])
                        })
                        .sum();
                    (sum / total.max(f64::MIN_POSITIVE)) as f32
                })
                .collect()
        })
        .collect();
    let weights = layout.recent_weights();
    let mut recent: Vec<f32> = (0..posterior.samples())
        .map(|d| weights.iter().zip(&by_period).map(|(w, p)| w * f64::from(p[d])).sum::<f64>() as f32)
        .collect();

    let span = layout.recent_days();
    let (mut infected, mut recently) = (0.0, 0.0);
    let (mut local, mut imported) = (0.0, 0.0);
    let mut pieces = Vec::new();
    for p in positives {
        let mut mine = 0.0;
        for (by_cell, split) in p.by_period.iter().zip(within_periods(grid, p)) {
            let mass: f64 = cells.iter().map(|(c, s)| s * by_cell[*c]).sum();
            mine += mass;
            pieces.extend(split.iter().map(|(a, b, share)| (*a, *b, share * mass)));
        }
        infected += mine;
        if inside.contains(&p.figures.pig) {
            local += mine;
            imported += p.figures.p_true - mine;
        }
    }
    for (a, b, m) in &pieces {
        recently += m * ((b.min(span.1) - a.max(span.0)) / (b - a)).clamp(0.0, 1.0);
    }
    let pigs = || inside.iter().map(|i| &layout.records.pigs[*i]);
    let window = (infected >= crate::assess::cells::LEAST_EXPECTED)
        .then(|| [0.05, 0.5, 0.95].map(|q| day_quantile(&pieces, q)));
    let mut by_year: Vec<(i16, usize, usize)> = Vec::new();
    for pig in pigs() {
        let year = date_of_day(pig.killed.mid_day()).year();
        match by_year.iter_mut().find(|y| y.0 == year) {
            Some(y) => {
                y.1 += 1;
                y.2 += usize::from(pig.is_positive());
            }
            None => by_year.push((year, 1, usize::from(pig.is_positive()))),
        }
    }
    by_year.sort_unstable();
    ZoneFigures {
        id: id.into(),
        name: name.into(),
        area_ha: total * grid.cell_area_ha(),
        p_active_any: any as f64 / resident.len() as f64,
        active_ha: Spread::of(&mut active_ha),
        hazard: Spread::of(&mut recent),
        by_period: by_period.into_iter().map(|mut d| Spread::of(&mut d)).collect(),
        pigs: inside.len(),
        positives: pigs().filter(|p| p.is_positive()).count(),
        confirmed: pigs().filter(|p| p.reading == Reading::Confirmed).count(),
        last_positive: pigs().filter(|p| p.is_positive()).map(|p| p.killed.last).max(),
        infected_inside_expected: infected,
        positives_local_expected: local,
        positives_imported_expected: imported.max(0.0),
        window: window.and_then(|w| Some([w[0]?, w[1]?, w[2]?])),
        infected_recently_expected: recently,
        by_year,
    }
}
