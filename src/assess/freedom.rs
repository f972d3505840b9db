//! Probability of freedom of each area, year by year, with bounds, and what would raise it.

use crate::assess::attribution::Attributed;
use crate::assess::cells::{Smoother, recent_mean};
use crate::assess::coverage::Coverages;
use crate::assess::freedom_figures::{PigsNeeded, ZoneFreedom, ZoneYear};
use crate::assess::missed_focus::{Missed, lengths};
use crate::assess::odds::{YearFreedom, lasting, times_odds};
use crate::assess::pigs_needed::raise;
use crate::geography::area_shares;
use crate::geography::layout::Layout;
use crate::inference::posterior::Posterior;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rayon::prelude::*;

/// Least number of samples of the inputs; samples of the posterior are used again in turn.
const LEAST_SAMPLES: usize = 400;
/// Stream of the inputs' draws: far from those of the chains.
const STREAM: u64 = 1 << 40;

/// Freedom of every area, in the order of the zones.
///
/// # Formula
/// ```text
/// SSe_y = 1 − (1 − Σ_j ρ_j Se_jy)^k,   ρ_j ∝ (share of cell j in the area) · (relative risk of its cover)
/// P_y as in [`lasting`];  q_y = mean over samples of Π_i (1 − P(pig i infected inside in y | sample))
/// ```
/// Se_jy by pigs with no visible lesion, for a design focus about cell j present through year y; pigs shot
/// later support y too. Bounds: 5 and 95 % of P_y over samples of q together with inputs drawn log-uniformly
/// from their ranges (prior, introduction, design hazard, pigs' sensitivity), the last two through A(u, v) =
/// A₀ (A_u/A₀)(A_v/A₀), A = −ln(1 − Σ ρ Se), from the ends of each range.
/// # Assumes
/// A pig's chances to have been infected in different years multiply, its sensitivity in each: too
/// hopeful by the square of its chance to be infected in a design focus, which is small.
/// # Source
/// Martin, Cameron & Greiner (2007); method note §6.
pub fn freedom(
    layout: &Layout,
    posterior: &Posterior,
    positives: &[Attributed],
    coverages: &Coverages,
) -> Vec<ZoneFreedom> {
    let risk = relative_risk(layout);
    let under = under_threshold(layout, posterior, coverages);
    let inputs = Inputs::draw(layout, posterior.samples().max(LEAST_SAMPLES));
    (0..layout.records.zones.len())
        .into_par_iter()
        .map(|z| one(layout, posterior.samples(), positives, coverages, &risk, &under[z], &inputs, z))
        .collect()
}

/// Relative risk of each cell by its cover: mean over the classes, 1 where no class is named.
fn relative_risk(layout: &Layout) -> Vec<f64> {
    let (grid, named) = (&layout.grid, &layout.study.freedom.relative_risk);
    let mut covered = vec![0.0; grid.cells()];
    let mut risk = vec![0.0; grid.cells()];
    for cover in &layout.records.cover {
        let Some(r) = named.get(&cover.class) else { continue };
        for ((s, c), k) in
            area_shares::cell_shares(grid, &cover.boundary).iter().zip(&mut covered).zip(&mut risk)
        {
            *c += s;
            *k += s * r;
        }
    }
    covered.iter().zip(&risk).map(|(c, r)| if *c > 1.0 { r / c } else { r + 1.0 - c }).collect()
}

/// Samples of the inputs: exponents in [−1, 1] of the ranges' factors.
struct Inputs(Vec<[f64; 4]>);

impl Inputs {
    fn draw(layout: &Layout, samples: usize) -> Inputs {
        let mut rng = ChaCha12Rng::seed_from_u64(layout.study.study.seed);
        rng.set_stream(STREAM);
        Inputs((0..samples).map(|_| std::array::from_fn(|_| 2.0 * rng.random::<f64>() - 1.0)).collect())
    }
}

#[expect(clippy::too_many_arguments, reason = "one area of many: what they share is made once, outside")]
fn one(
    layout: &Layout,
    posterior_samples_of: usize,
    positives: &[Attributed],
    coverages: &Coverages,
    risk: &[f64],
    under: &[f64],
    inputs: &Inputs,
    zone: usize,
) -> ZoneFreedom {
    let (study, keys) = (&layout.study, &layout.study.freedom);
    let record = &layout.records.zones[zone];
    let prior = record.prior_free.unwrap_or(keys.prior);
    let introduction = record.introduction_per_year.unwrap_or(keys.introduction_per_year);
    let shares = &layout.zone_shares[zone];
    let weights: Vec<f64> = shares.iter().zip(risk).map(|(s, r)| s * r).collect();
    let land: f64 = shares.iter().sum();
    let total: f64 = weights.iter().sum();
    let mut out = ZoneFreedom {
        prior,
        introduction_per_year: introduction,
        years: Vec::new(),
        raise: PigsNeeded::Nothing,
    };
    if !(total > 0.0) {
        return out;
    }
    let by_input: Vec<[&[f64]; 5]> =
        coverages.years.iter().map(|y| y.clear_log_missed.each_ref().map(Vec::as_slice)).collect();
    let missed = Missed::new(&weights, &by_input, keys.design_foci, keys.focus_stays);
    let lengths = lengths(coverages);
    let no_case = no_case(positives, zone, posterior_samples_of, missed.years());
    let mean_no_case: Vec<f64> = (0..missed.years())
        .map(|y| no_case.iter().map(|d| d[y]).sum::<f64>() / no_case.len() as f64)
        .collect();
    let again = keys.prior_after_infection;
    let history = lasting(prior, introduction, again, &|c, y| missed.stated(c, y), &mean_no_case, &lengths);
    let mut samples: Vec<Vec<f32>> = vec![Vec::with_capacity(inputs.0.len()); missed.years()];
    for (k, [u, v, w, x]) in inputs.0.iter().enumerate() {
        let prior = times_odds(prior, keys.prior_range.powf(*w));
        let introduction = times_odds(introduction, keys.introduction_range.powf(*x));
        let q = &no_case[k % no_case.len()];
        let drawn: Vec<YearFreedom> =
            lasting(prior, introduction, again, &|c, y| missed.at(c, y, *u, *v), q, &lengths);
        samples.iter_mut().zip(drawn).for_each(|(list, y)| list.push(y.p_free as f32));
    }
    for (y, of_year) in coverages.years.iter().enumerate() {
        let spread = crate::assess::spread::Spread::of(&mut samples[y]);
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
            // The mean over samples may lie outside of a very lopsided interval: the bounds then reach it.
            bounds: [spread.q05().min(h.p_free), spread.q95().max(h.p_free)],
            p_under_threshold: under[y],
        });
    }
    out.raise = raise(layout, coverages, &weights, &mean_no_case, &out);
    out
}

/// Probability that no positive was infected inside, by sample and year.
fn no_case(positives: &[Attributed], zone: usize, samples: usize, years: usize) -> Vec<Vec<f64>> {
    let mut log = vec![vec![0.0f64; years]; samples.max(1)];
    for inside in positives.iter().flat_map(|p| &p.inside).filter(|i| i.zone == zone) {
        for (row, by_year) in log.iter_mut().zip(inside.by_sample.chunks(years)) {
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
fn under_threshold(layout: &Layout, posterior: &Posterior, coverages: &Coverages) -> Vec<Vec<f64>> {
    let (grid, zones) = (&layout.grid, &layout.zone_shares);
    let threshold = layout.study.recent.force_of_infection_threshold;
    let smooth = Smoother::new(grid, &layout.study);
    let inside: Vec<Vec<usize>> =
        zones.iter().map(|s| (0..s.len()).filter(|c| s[*c] >= 0.5).collect()).collect();
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
