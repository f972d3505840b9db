//! Probability of freedom of each area, year by year, with bounds, and what would raise it.

use super::Situation;
use super::attribution::Attributed;
use super::cells::{Smoother, recent_mean};
use super::coverage::{Coverages, Window};
use super::freedom::{YearEvidence, recursion, system_sensitivity, times_odds};
use super::sampling::{NextPig, place_until};
use crate::areas;
use crate::kernel::posterior::Posterior;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rayon::prelude::*;

/// Least number of draws of the inputs; draws of the posterior are used again in turn.
const LEAST_DRAWS: usize = 400;
/// Stream of the inputs' draws: far from those of the chains.
const STREAM: u64 = 1 << 40;

/// One year of one area.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneYear {
    /// Calendar year.
    pub year: i16,
    /// Its days within the study, day numbers.
    pub window: Window,
    /// Probability that clear pigs would have shown a design focus somewhere in the area: SSe.
    pub sensitivity: f64,
    /// The same with design hazard and pigs' sensitivity at the low, and at the high end of their ranges.
    pub sensitivity_range: [f64; 2],
    /// Mean over the land of the sensitivity by all examined pigs.
    pub mean_sensitivity: f64,
    /// Share of the land at the study's coverage target.
    pub share_at_target: f64,
    /// Probability of freedom before the year's evidence.
    pub prior: f64,
    /// P(free) by clear pigs alone.
    pub by_clear_pigs: f64,
    /// Probability that no positive was infected inside that year.
    pub no_case: f64,
    /// P(free).
    pub p_free: f64,
    /// 5 and 95 % bounds from the posterior and the ranges of the inputs.
    pub bounds: [f64; 2],
    /// The model's own statement: probability that the mean resident hazard of that year lies under the
    /// threshold everywhere in the area.
    pub p_under_threshold: f64,
}

/// What would raise P(free) of the last year to the target.
#[derive(Debug, Clone, PartialEq)]
pub enum Raise {
    /// It is there.
    Reached,
    /// So many more clear pigs of the study's next age, shot on `as_of` in these parts of the area.
    Pigs {
        /// Cell of each, in the order in which they add most.
        cells: Vec<usize>,
        /// Part of the area and pigs there, most first.
        parts: Vec<(&'static str, usize)>,
    },
    /// More than this many.
    MoreThan(usize),
    /// None would do this year: some positive was too probably infected inside.
    CaseInside,
    /// The area has no land on the grid, or a next pig shows nothing.
    Nothing,
}

/// Freedom of one area.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneFreedom {
    /// Probability of freedom before the first year, as used.
    pub prior: f64,
    /// Probability of introduction a year, as used.
    pub introduction_per_year: f64,
    /// Year by year, the last one that of `as_of`.
    pub years: Vec<ZoneYear>,
    /// What would raise it.
    pub raise: Raise,
}

impl ZoneFreedom {
    /// The year of `as_of`; `None` for an area without land on the grid.
    pub fn last(&self) -> Option<&ZoneYear> {
        self.years.last()
    }
}

/// Freedom of every area, in the order of the zones.
///
/// # Formula
/// ```text
/// SSe_y = 1 − (1 − Σ_j ρ_j Se_jy)^k,   ρ_j ∝ (share of cell j in the area) · (relative risk of its cover)
/// P_y as in [`recursion`];  q_y = mean over draws of Π_i (1 − P(pig i infected inside in y | draw))
/// ```
/// Se_jy by clear pigs, for a design focus about cell j present through year y; pigs shot later speak for
/// y too. Bounds: 5 and 95 % of P_y over draws of q together with inputs drawn log-uniformly from their
/// ranges (prior, introduction, design hazard, pigs' sensitivity), the last two through
/// A(u, v) = A₀ (A_u/A₀)(A_v/A₀), A = −ln(1 − Σ ρ Se), from the ends of each range.
/// # Assumes
/// Years speak independently: a missed infection is counted as if each year were looked at anew, which
/// matters little while a pig's chance to be infected in a design focus is small.
/// # Source
/// Martin, Cameron & Greiner (2007); method note §6.
pub fn freedom(
    situation: &Situation,
    posterior: &Posterior,
    positives: &[Attributed],
    coverages: &Coverages,
) -> Vec<ZoneFreedom> {
    let risk = relative_risk(situation);
    let under = under_threshold(situation, posterior, coverages);
    let inputs = Inputs::draw(situation, posterior.draws().max(LEAST_DRAWS));
    (0..situation.records.zones.len())
        .into_par_iter()
        .map(|z| one(situation, posterior.draws(), positives, coverages, &risk, &under[z], &inputs, z))
        .collect()
}

/// Relative risk of each cell by its cover: mean over the classes, 1 where no class is named.
fn relative_risk(situation: &Situation) -> Vec<f64> {
    let (grid, named) = (situation.grid, &situation.study.freedom.relative_risk);
    let mut covered = vec![0.0; grid.cells()];
    let mut risk = vec![0.0; grid.cells()];
    for cover in &situation.records.cover {
        let Some(r) = named.get(&cover.class) else { continue };
        for ((s, c), k) in areas::cell_shares(grid, &cover.outline).iter().zip(&mut covered).zip(&mut risk) {
            *c += s;
            *k += s * r;
        }
    }
    covered.iter().zip(&risk).map(|(c, r)| if *c > 1.0 { r / c } else { r + 1.0 - c }).collect()
}

/// Draws of the inputs: exponents in [−1, 1] of the ranges' factors.
struct Inputs(Vec<[f64; 4]>);

impl Inputs {
    fn draw(situation: &Situation, draws: usize) -> Inputs {
        let mut rng = ChaCha12Rng::seed_from_u64(situation.study.study.seed);
        rng.set_stream(STREAM);
        Inputs((0..draws).map(|_| std::array::from_fn(|_| 2.0 * rng.random::<f64>() - 1.0)).collect())
    }
}

/// Evidence of one year before inputs are chosen: A = −ln(1 − Σ ρ Se) at each of the inputs.
struct Surveyed {
    a: [f64; 5],
    years: f64,
}

impl Surveyed {
    /// SSe with design hazard and sensitivity at an exponent of their ranges.
    fn at(&self, hazard: f64, sensitivity: f64, foci: u32) -> f64 {
        let [a, h_low, h_high, s_low, s_high] = self.a;
        if a <= 0.0 {
            return 0.0;
        }
        let turn = |t: f64, low: f64, high: f64| if t < 0.0 { (low / a).powf(-t) } else { (high / a).powf(t) };
        -(-a * turn(hazard, h_low, h_high) * turn(sensitivity, s_low, s_high) * f64::from(foci)).exp_m1()
    }
}

#[expect(clippy::too_many_arguments, reason = "one area of many: what they share is made once, outside")]
fn one(
    situation: &Situation,
    posterior_draws: usize,
    positives: &[Attributed],
    coverages: &Coverages,
    risk: &[f64],
    under: &[f64],
    inputs: &Inputs,
    zone: usize,
) -> ZoneFreedom {
    let (study, keys) = (situation.study, &situation.study.freedom);
    let record = &situation.records.zones[zone];
    let prior = record.prior_free.unwrap_or(keys.prior);
    let introduction = record.introduction_per_year.unwrap_or(keys.introduction_per_year);
    let shares = &situation.zone_shares[zone];
    let weights: Vec<f64> = shares.iter().zip(risk).map(|(s, r)| s * r).collect();
    let land: f64 = shares.iter().sum();
    let total: f64 = weights.iter().sum();
    let mut out = ZoneFreedom { prior, introduction_per_year: introduction, years: Vec::new(), raise: Raise::Nothing };
    if !(total > 0.0) {
        return out;
    }
    let foci = keys.design_foci;
    let surveyed: Vec<Surveyed> = coverages
        .years
        .iter()
        .map(|y| {
            let a = |log_missed: &Vec<f64>| {
                let missed: f64 = weights.iter().zip(log_missed).map(|(w, l)| w * l.exp()).sum::<f64>() / total;
                -missed.max(f64::MIN_POSITIVE).ln()
            };
            let length = (y.window.to - y.window.from) / crate::record::DAYS_PER_YEAR;
            Surveyed { a: y.clear_log_missed.each_ref().map(a), years: length.min(1.0) }
        })
        .collect();
    let no_case = no_case(positives, zone, posterior_draws, surveyed.len());
    let mean_no_case: Vec<f64> =
        (0..surveyed.len()).map(|y| no_case.iter().map(|d| d[y]).sum::<f64>() / no_case.len() as f64).collect();
    let evidence = |hazard: f64, sensitivity: f64, q: &[f64]| -> Vec<YearEvidence> {
        let of = |(s, q): (&Surveyed, &f64)| YearEvidence {
            sensitivity: s.at(hazard, sensitivity, foci),
            no_case: *q,
            years: s.years,
        };
        surveyed.iter().zip(q).map(of).collect()
    };
    let stated = evidence(0.0, 0.0, &mean_no_case);
    let history = recursion(prior, introduction, keys.prior_after_infection, &stated);
    let mut draws: Vec<Vec<f32>> = vec![Vec::with_capacity(inputs.0.len()); surveyed.len()];
    for (k, [u, v, w, x]) in inputs.0.iter().enumerate() {
        let evidence = evidence(*u, *v, &no_case[k % no_case.len()]);
        let prior = times_odds(prior, keys.prior_range.powf(*w));
        let introduction = times_odds(introduction, keys.introduction_range.powf(*x));
        for (list, y) in draws.iter_mut().zip(recursion(prior, introduction, keys.prior_after_infection, &evidence)) {
            list.push(y.p_free as f32);
        }
    }
    for (y, of_year) in coverages.years.iter().enumerate() {
        let spread = super::Spread::of(&mut draws[y]);
        let seen = &of_year.cells.sensitivity;
        let at_target = shares.iter().zip(seen).filter(|(_, s)| **s >= study.coverage.target).map(|(w, _)| w);
        // 0 + the sum: an empty sum of floats is −0.
        let at_target = 0.0 + at_target.sum::<f64>();
        let h = history[y];
        out.years.push(ZoneYear {
            year: of_year.year,
            window: of_year.window,
            sensitivity: stated[y].sensitivity,
            sensitivity_range: [surveyed[y].at(-1.0, -1.0, foci), surveyed[y].at(1.0, 1.0, foci)],
            mean_sensitivity: shares.iter().zip(seen).map(|(w, s)| w * s).sum::<f64>() / land,
            share_at_target: at_target / land,
            prior: h.prior,
            by_clear_pigs: h.by_clear_pigs,
            no_case: mean_no_case[y],
            p_free: h.p_free,
            // The mean over draws may lie outside of a very lopsided interval: the bounds then reach it.
            bounds: [spread.q05().min(h.p_free), spread.q95().max(h.p_free)],
            p_under_threshold: under[y],
        });
    }
    out.raise = raise(situation, coverages, &weights, &stated, &out);
    out
}

/// Probability that no positive was infected inside, by draw and year.
fn no_case(positives: &[Attributed], zone: usize, draws: usize, years: usize) -> Vec<Vec<f64>> {
    let mut log = vec![vec![0.0f64; years]; draws.max(1)];
    for inside in positives.iter().flat_map(|p| &p.inside).filter(|i| i.zone == zone) {
        for (row, by_year) in log.iter_mut().zip(inside.by_draw.chunks(years)) {
            for (l, m) in row.iter_mut().zip(by_year) {
                *l += (-f64::from(*m).min(1.0)).ln_1p();
            }
        }
    }
    log.iter_mut().for_each(|row| row.iter_mut().for_each(|l| *l = l.exp()));
    log
}

/// Probability that the resident hazard of a year lies under the threshold in every cell that lies at
/// least half in an area: `[zone][year]`.
fn under_threshold(situation: &Situation, posterior: &Posterior, coverages: &Coverages) -> Vec<Vec<f64>> {
    let (grid, zones) = (situation.grid, situation.zone_shares);
    let threshold = situation.study.recent.hazard_threshold;
    let smooth = Smoother::new(grid, situation.study);
    let inside: Vec<Vec<usize>> = zones.iter().map(|s| (0..s.len()).filter(|c| s[*c] >= 0.5).collect()).collect();
    let weights: Vec<Vec<f64>> = coverages
        .years
        .iter()
        .map(|y| {
            let mut w = grid.period_shares(y.window.from, y.window.to);
            let sum: f64 = w.iter().sum();
            w.iter_mut().for_each(|v| *v /= sum.max(f64::MIN_POSITIVE));
            w
        })
        .collect();
    let counts: Vec<Vec<u32>> = posterior
        .hazard
        .par_iter()
        .map(|field| {
            let mut under = vec![0; zones.len() * weights.len()];
            for (y, w) in weights.iter().enumerate() {
                let resident = smooth.apply(&recent_mean(grid, field, w));
                for (z, cells) in inside.iter().enumerate() {
                    under[z * weights.len() + y] =
                        u32::from(cells.iter().all(|c| f64::from(resident[*c]) <= threshold));
                }
            }
            under
        })
        .collect();
    let n = counts.len().max(1) as f64;
    let share = |k: usize| f64::from(counts.iter().map(|c| c[k]).sum::<u32>()) / n;
    (0..zones.len()).map(|z| (0..weights.len()).map(|y| share(z * weights.len() + y)).collect()).collect()
}

/// What would raise P(free) of the last year: next pigs shot on `as_of`, who speak for the years they lived.
fn raise(
    situation: &Situation,
    coverages: &Coverages,
    weights: &[f64],
    stated: &[YearEvidence],
    zone: &ZoneFreedom,
) -> Raise {
    let keys = &situation.study.freedom;
    let Some(last) = zone.last() else { return Raise::Nothing };
    if last.p_free >= keys.target {
        return Raise::Reached;
    }
    if last.no_case <= keys.target {
        return Raise::CaseInside;
    }
    let windows: Vec<Window> = coverages.years.iter().map(|y| y.window).collect();
    let next = NextPig::new(situation, situation.study.sampling.age_months, &windows);
    let mut missed: Vec<Vec<f64>> =
        coverages.years.iter().map(|y| y.clear_log_missed[0].iter().map(|l| l.exp()).collect()).collect();
    let total: f64 = weights.iter().sum();
    // A fall of the mean counts in proportion to what is left of it: that is what moves P(free).
    let left = |m: &[f64]| weights.iter().zip(m).map(|(w, m)| w * m).sum::<f64>() / total;
    let window_weights: Vec<f64> = missed.iter().map(|m| 1.0 / left(m).max(1e-9)).collect();
    let most = situation.study.sampling.most_pigs;
    let mut reached = false;
    let mut enough = |missed: &[Vec<f64>], pigs: usize| {
        let evidence: Vec<YearEvidence> = stated
            .iter()
            .zip(missed)
            .map(|(e, m)| {
                let seen: Vec<f64> = m.iter().map(|v| 1.0 - v).collect();
                let sensitivity = system_sensitivity(weights, &seen, keys.design_foci);
                YearEvidence { sensitivity: sensitivity.unwrap_or(e.sensitivity), ..*e }
            })
            .collect();
        let p = recursion(zone.prior, zone.introduction_per_year, keys.prior_after_infection, &evidence);
        reached = p.last().is_some_and(|y| y.p_free >= keys.target);
        reached || pigs >= most
    };
    let taken = place_until(situation.grid, &next, weights, &mut missed, &window_weights, &mut enough);
    match taken.len() {
        0 => Raise::Nothing,
        _ if reached => {
            let parts = parts(situation, weights, &taken);
            Raise::Pigs { cells: taken, parts }
        }
        n if n >= most => Raise::MoreThan(most),
        _ => Raise::Nothing,
    }
}

/// Pigs by part of the area, most first: its middle, or a direction from it.
fn parts(situation: &Situation, weights: &[f64], taken: &[usize]) -> Vec<(&'static str, usize)> {
    const NAMES: [&str; 9] =
        ["east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east", "middle"];
    let centres = || weights.iter().enumerate().filter(|(_, w)| **w > 0.0).map(|(c, w)| (situation.grid.centre(c), w));
    let total: f64 = centres().map(|c| c.1).sum();
    let mean = |f: &dyn Fn(geo::Coord<f64>) -> f64| centres().map(|(p, w)| w * f(p)).sum::<f64>() / total;
    let (x, y) = (mean(&|p| p.x), mean(&|p| p.y));
    let radius = mean(&|p| (p.x - x).powi(2) + (p.y - y).powi(2)).sqrt();
    let mut counts = [0usize; 9];
    for cell in taken {
        let p = situation.grid.centre(*cell);
        let (dx, dy) = (p.x - x, p.y - y);
        // Within half of the r.m.s. distance from the middle is the middle.
        let part = if dx.hypot(dy) < 0.5 * radius {
            8
        } else {
            ((dy.atan2(dx) / std::f64::consts::FRAC_PI_4).round() as i64).rem_euclid(8) as usize
        };
        counts[part] += 1;
    }
    let mut out: Vec<(&'static str, usize)> = NAMES.into_iter().zip(counts).filter(|(_, n)| *n > 0).collect();
    out.sort_by(|a, b| b.1.cmp(&a.1));
    out
}
