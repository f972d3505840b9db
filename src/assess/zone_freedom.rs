//! Probability of freedom of each area, year by year, with bounds, and what would raise it.

use super::Situation;
use super::attribution::Attributed;
use super::cells::{Smoother, recent_mean};
use super::coverage::{Coverages, Window};
use super::freedom::{YearFreedom, lasting, times_odds};
use super::raise::{Raise, raise};
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
    /// Sensitivity of the year for what clear pigs of earlier years had not found.
    pub sensitivity_given_earlier: f64,
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
/// P_y as in [`lasting`];  q_y = mean over draws of Π_i (1 − P(pig i infected inside in y | draw))
/// ```
/// Se_jy by clear pigs, for a design focus about cell j present through year y; pigs shot later speak for
/// y too. Bounds: 5 and 95 % of P_y over draws of q together with inputs drawn log-uniformly from their
/// ranges (prior, introduction, design hazard, pigs' sensitivity), the last two through
/// A(u, v) = A₀ (A_u/A₀)(A_v/A₀), A = −ln(1 − Σ ρ Se), from the ends of each range.
/// # Assumes
/// A pig's chances to have been infected in different years multiply, its sensitivity in each: too
/// hopeful by the square of its chance to be infected in a design focus, which is small.
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

/// What clear pigs missed: A = −ln(1 − Σ ρ Se) at each of K inputs, for foci there since each year.
///
/// The first input is the stated one; with five, the others are the ends of the ranges of design hazard and sensitivity.
pub(super) struct Missed<const K: usize> {
    /// `[c][y − c]`: by the pigs of years c to y.
    a: Vec<Vec<[f64; K]>>,
    foci: f64,
}

impl<const K: usize> Missed<K> {
    /// From ρ of each cell (any scale) and each year's ln of the probability to miss, by input and cell.
    ///
    /// `stays`: a focus stays in its cell; otherwise it is placed anew each year.
    pub(super) fn new(weights: &[f64], years: &[[&[f64]; K]], foci: u32, stays: bool) -> Missed<K> {
        let total: f64 = weights.iter().sum();
        let cells: Vec<usize> = (0..weights.len()).filter(|c| weights[*c] > 0.0).collect();
        let a = |log_missed: &dyn Fn(usize) -> f64| -> f64 {
            let missed: f64 = cells.iter().map(|c| weights[*c] * log_missed(*c).exp()).sum();
            -(missed / total).max(f64::MIN_POSITIVE).ln()
        };
        let alone: Vec<[f64; K]> = years.iter().map(|y| std::array::from_fn(|k| a(&|c| y[k][c]))).collect();
        let since = |from: usize| -> Vec<[f64; K]> {
            let mut sums = vec![[0.0; K]; weights.len()];
            let mut anew = [0.0; K];
            years[from..]
                .iter()
                .zip(&alone[from..])
                .map(|(year, alone)| {
                    if !stays {
                        anew.iter_mut().zip(alone).for_each(|(s, a)| *s += a);
                        return anew;
                    }
                    for c in &cells {
                        (0..K).for_each(|k| sums[*c][k] += year[k][*c]);
                    }
                    std::array::from_fn(|k| a(&|c| sums[c][k]))
                })
                .collect()
        };
        Missed { a: (0..years.len()).map(since).collect(), foci: f64::from(foci) }
    }

    /// Number of years.
    pub(super) fn years(&self) -> usize {
        self.a.len()
    }

    /// Probability that the pigs of years c to y missed every focus there since c, by the stated inputs.
    pub(super) fn stated(&self, c: usize, y: usize) -> f64 {
        (-self.a[c][y - c][0].max(0.0) * self.foci).exp()
    }
}

impl Missed<5> {
    /// As [`Missed::stated`], with design hazard and sensitivity at an exponent of their ranges.
    pub(super) fn at(&self, c: usize, y: usize, hazard: f64, sensitivity: f64) -> f64 {
        let [a, h_low, h_high, s_low, s_high] = self.a[c][y - c];
        if a <= 0.0 {
            return 1.0;
        }
        let turn = |t: f64, low: f64, high: f64| match t {
            t if t < 0.0 => (low / a).powf(-t),
            t if t > 0.0 => (high / a).powf(t),
            _ => 1.0,
        };
        (-a * turn(hazard, h_low, h_high) * turn(sensitivity, s_low, s_high) * self.foci).exp()
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
    let by_input: Vec<[&[f64]; 5]> =
        coverages.years.iter().map(|y| y.clear_log_missed.each_ref().map(Vec::as_slice)).collect();
    let missed = Missed::new(&weights, &by_input, keys.design_foci, keys.focus_stays);
    let lengths = lengths(coverages);
    let no_case = no_case(positives, zone, posterior_draws, missed.years());
    let mean_no_case: Vec<f64> =
        (0..missed.years()).map(|y| no_case.iter().map(|d| d[y]).sum::<f64>() / no_case.len() as f64).collect();
    let again = keys.prior_after_infection;
    let history = lasting(prior, introduction, again, &|c, y| missed.stated(c, y), &mean_no_case, &lengths);
    let mut draws: Vec<Vec<f32>> = vec![Vec::with_capacity(inputs.0.len()); missed.years()];
    for (k, [u, v, w, x]) in inputs.0.iter().enumerate() {
        let prior = times_odds(prior, keys.prior_range.powf(*w));
        let introduction = times_odds(introduction, keys.introduction_range.powf(*x));
        let q = &no_case[k % no_case.len()];
        let drawn: Vec<YearFreedom> = lasting(prior, introduction, again, &|c, y| missed.at(c, y, *u, *v), q, &lengths);
        draws.iter_mut().zip(drawn).for_each(|(list, y)| list.push(y.p_free as f32));
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
            sensitivity: 1.0 - missed.stated(y, y),
            sensitivity_range: [1.0 - missed.at(y, y, -1.0, -1.0), 1.0 - missed.at(y, y, 1.0, 1.0)],
            sensitivity_given_earlier: h.sensitivity,
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
    out.raise = raise(situation, coverages, &weights, &mean_no_case, &out);
    out
}

/// Length of each year within the study, at most 1.
pub(super) fn lengths(coverages: &Coverages) -> Vec<f64> {
    let days = coverages.years.iter().map(|y| y.window.to - y.window.from);
    days.map(|d| (d / crate::record::DAYS_PER_YEAR).min(1.0)).collect()
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
