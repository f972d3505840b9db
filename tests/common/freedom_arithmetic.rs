//! The arithmetic of freedom from disease as published, written apart from the program: surveillance
//! sensitivity, P(free) year by year, sample sizes. Tests hold the program to it, and it to published tables.

use pignut::internals::assess::odds::YearFreedom;

/// Sensitivity of one place that several animals look at.
///
/// # Formula
/// ```text
/// SeU = 1 − Π_i (1 − p_i)
/// ```
/// p_i the probability that animal i would have shown disease present there.
/// # Source
/// Independent looks, common practice; Martin, Cameron & Greiner (2007) Prev Vet Med 79:71-97.
pub fn unit_sensitivity(found: &[f64]) -> f64 {
    -found.iter().map(|p| (-p).ln_1p()).sum::<f64>().exp_m1()
}

/// Adjusted risks of strata, with mean 1 over the area.
///
/// # Formula
/// ```text
/// AR_k = RR_k / Σ_l RR_l s_l
/// ```
/// RR relative risk, s share of the area. `None` when no share has a risk.
/// # Source
/// Martin, Cameron & Greiner (2007).
pub fn adjusted_risks(relative_risk: &[f64], share: &[f64]) -> Option<Vec<f64>> {
    let mean: f64 = relative_risk.iter().zip(share).map(|(r, s)| r * s).sum();
    (mean > 0.0).then(|| relative_risk.iter().map(|r| r / mean).collect())
}

/// Sensitivity of surveillance of an area to `foci` foci, placed in proportion to risk.
///
/// # Formula
/// ```text
/// SSe = 1 − (1 − Σ_j ρ_j SeU_j)^k,   ρ_j = RR_j s_j / Σ RR s
/// ```
/// # Shapes and units
/// `weights`: RR_j s_j, any scale; `sensitivity`: SeU_j in [0, 1]. `None` when all weights are 0.
/// # Source
/// Martin, Cameron & Greiner (2007); the form with an integer number of foci.
pub fn system_sensitivity(weights: &[f64], sensitivity: &[f64], foci: u32) -> Option<f64> {
    let total: f64 = weights.iter().sum();
    let mean: f64 = weights.iter().zip(sensitivity).map(|(w, s)| w * s).sum::<f64>() / total;
    (total > 0.0).then(|| 1.0 - (1.0 - mean.clamp(0.0, 1.0)).powi(foci as i32))
}

/// Sensitivity of surveillance of many units of which each is infected with a small probability.
///
/// # Formula
/// ```text
/// SSe = 1 − Π_k (1 − AR_k P* SeU_k)^(n s_k)
/// ```
/// P* design prevalence of infected units, n units in all, s_k the share of stratum k.
/// # Source
/// Martin, Cameron & Greiner (2007).
pub fn stratified_sensitivity(
    adjusted_risk: &[f64],
    share: &[f64],
    sensitivity: &[f64],
    design_prevalence: f64,
    units: f64,
) -> f64 {
    let logs = adjusted_risk.iter().zip(share).zip(sensitivity);
    -logs.map(|((a, s), se)| units * s * (-a * design_prevalence * se).ln_1p()).sum::<f64>().exp_m1()
}

/// P(free) after a time with no finding.
///
/// # Formula
/// ```text
/// P = π / (π + (1 − π)(1 − SSe))
/// ```
/// # Source
/// Bayes' rule; Martin, Cameron & Greiner (2007).
pub fn p_free(prior: f64, sensitivity: f64) -> f64 {
    prior / (prior + (1.0 - prior) * (1.0 - sensitivity))
}

/// One year of an area's history, as evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearEvidence {
    /// Surveillance sensitivity of that year by pigs with no visible lesion.
    pub sensitivity: f64,
    /// Probability that no positive pig was infected inside that year.
    pub no_case: f64,
    /// Length of the year, 1 for a whole one: introduction between years is scaled by it.
    pub years: f64,
}

/// P(free) year by year.
///
/// # Formula
/// ```text
/// C_y = π_y / (π_y + (1 − π_y)(1 − SSe_y));   P_y = C_y q_y
/// π_{y+1} = (1 − PI)^t (q_y C_y + (1 − q_y) π_r)
/// ```
/// q_y the probability that no positive was infected inside in year y, PI introduction a year, t the
/// length of year y + 1, π_r the chance of being free again by the next year after an infection
/// (`prior_after_infection`). With q = 1 throughout it is the published recursion: prior of the next
/// year = P(1 − PI).
/// # Source
/// Martin, Cameron & Greiner (2007); the treatment of positives is method note §6, π_r an own choice.
pub fn recursion(
    prior: f64,
    introduction_per_year: f64,
    prior_after_infection: f64,
    years: &[YearEvidence],
) -> Vec<YearFreedom> {
    let mut prior = prior;
    let mut out = Vec::with_capacity(years.len());
    for (k, year) in years.iter().enumerate() {
        let by_clear_pigs = p_free(prior, year.sensitivity);
        let free = by_clear_pigs * year.no_case;
        out.push(YearFreedom { prior, sensitivity: year.sensitivity, by_clear_pigs, p_free: free });
        if let Some(next) = years.get(k + 1) {
            let carried = free + (1.0 - year.no_case) * prior_after_infection;
            prior = carried * (1.0 - introduction_per_year).powf(next.years);
        }
    }
    out
}

/// Pigs needed where each has the same chance to show disease; `None` when one pig shows nothing.
///
/// # Formula
/// ```text
/// n = ⌈ln((1 − target)/(1 − reached)) / ln(1 − p)⌉
/// ```
pub fn pigs_needed(target: f64, reached: f64, per_pig: f64) -> Option<u64> {
    if reached >= target {
        return Some(0);
    }
    if per_pig >= 1.0 {
        return Some(1);
    }
    let missing = (1.0 - target).ln() - (-reached).ln_1p();
    // A whole number that rounding pushed up by a hair stays that number.
    (per_pig > 0.0).then(|| (missing / (-per_pig).ln_1p() - 1e-9).ceil().max(0.0) as u64)
}

/// Probability that a random sample of a finite population holds a positive animal.
///
/// # Formula
/// ```text
/// Se = 1 − Σ_x C(D, x) C(N − D, n − x)/C(N, n) · (1 − Se_u)^x
/// ```
/// N animals of which D are diseased, n sampled, Se_u the sensitivity of one test: hypergeometric.
/// # Source
/// Cannon & Roe (1982), exact form; from memory.
pub fn finite_sensitivity(population: u64, diseased: u64, sample: u64, unit_sensitivity: f64) -> f64 {
    let (n_all, d, n) = (population, diseased.min(population), sample.min(population));
    // P(x = lowest), then by the ratio of neighbouring terms; logs of factorials would lose digits.
    let lowest = (n + d).saturating_sub(n_all);
    let highest = d.min(n);
    let mut term = log_hypergeometric(n_all, d, n, lowest).exp();
    let mut missed = 0.0;
    for x in lowest..=highest {
        missed += term * (1.0 - unit_sensitivity).powi(x as i32);
        let up = (d - x) as f64 * (n - x) as f64;
        let down = (x + 1) as f64 * (n_all + x + 1 - d - n) as f64;
        term *= up / down;
    }
    1.0 - missed
}

/// Smallest random sample that finds disease at a design prevalence with a given probability.
///
/// # Formula
/// ```text
/// infinite: n = ⌈ln(1 − C)/ln(1 − Se_u p)⌉;   finite: smallest n with finite_sensitivity(N, D, n) ≥ C
/// D = N p to the nearest whole number, halves to even, at least 1
/// ```
/// `None` when even the whole population would not do (or the test sees nothing).
/// # Source
/// Cannon & Roe (1982), exact hypergeometric form; from memory.
pub fn sample_size(
    population: Option<u64>,
    prevalence: f64,
    target: f64,
    unit_sensitivity: f64,
) -> Option<u64> {
    let Some(all) = population else {
        return pigs_needed(target, 0.0, prevalence * unit_sensitivity);
    };
    let diseased = ((all as f64 * prevalence).round_ties_even() as u64).clamp(1, all.max(1));
    // A sample that meets the target but for the last digits of a sum of products meets it.
    let enough = |n: u64| finite_sensitivity(all, diseased, n, unit_sensitivity) >= target - 1e-12;
    if all == 0 || !enough(all) {
        return None;
    }
    let (mut low, mut high) = (0, all);
    while low + 1 < high {
        let middle = low + (high - low) / 2;
        if enough(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// ln of the hypergeometric probability of x diseased in a sample, as a sum of logs of ratios.
fn log_hypergeometric(population: u64, diseased: u64, sample: u64, x: u64) -> f64 {
    let log_choose = |n: u64, k: u64| (0..k).map(|i| ((n - i) as f64 / (k - i) as f64).ln()).sum::<f64>();
    // C(n, k) with the smaller of k and n − k: fewer terms, less rounding.
    let choose = |n: u64, k: u64| log_choose(n, k.min(n - k));
    choose(diseased, x) + choose(population - diseased, sample - x) - choose(population, sample)
}
