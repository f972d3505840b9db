//! The arithmetic of freedom from disease: surveillance sensitivity, P(free) year by year, sample sizes.
//!
//! Pure functions of numbers; what an area of a study makes of them stands in [`crate::assess::freedom`].

/// Sensitivity of one place that several animals look at.
///
/// # Formula
/// ```text
/// SeU = 1 − Π_i (1 − p_i)
/// ```
/// p_i the probability that animal i would have shown disease present there.
/// # Source
/// Independent looks, common practice; Martin, Cameron & Greiner (2007) Prev Vet Med 79:71-97.
/// # Example
/// ```
/// // Three animals 0, 1 and 2 km away, g0 0.6, σ 1 km, Se 0.722 (derived by hand from the formula).
/// let p = [0.0f64, 1.0, 2.0].map(|d| 0.722 * 0.6 * (-0.5 * d * d).exp());
/// assert!((pignut::assess::freedom::unit_sensitivity(&p) - 0.606625).abs() < 1e-6);
/// ```
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
/// # Example
/// ```
/// let ar = pignut::assess::freedom::adjusted_risks(&[3.0, 1.0, 1.0], &[0.2, 0.5, 0.3]).unwrap();
/// assert!((ar[0] - 2.142857).abs() < 1e-6 && (ar[1] - 0.714286).abs() < 1e-6);
/// ```
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
/// # Example
/// ```
/// use pignut::assess::freedom::system_sensitivity;
/// let (weights, sensitivity) = ([3.0 * 0.2, 0.5, 0.3], [0.8, 0.5, 0.0]);
/// assert!((system_sensitivity(&weights, &sensitivity, 1).unwrap() - 0.5214286).abs() < 1e-6);
/// assert!((system_sensitivity(&weights, &sensitivity, 2).unwrap() - 0.770969).abs() < 1e-6);
/// ```
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
/// # Example
/// ```
/// use pignut::assess::freedom::{adjusted_risks, stratified_sensitivity};
/// let shares = [0.2, 0.5, 0.3];
/// let ar = adjusted_risks(&[3.0, 1.0, 1.0], &shares).unwrap();
/// let sse = stratified_sensitivity(&ar, &shares, &[0.8, 0.5, 0.0], 0.01, 100.0);
/// assert!((sse - 0.408280).abs() < 1e-6);
/// ```
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
/// # Example
/// ```
/// assert_eq!(pignut::assess::freedom::p_free(0.5, 0.4), 0.625);
/// ```
pub fn p_free(prior: f64, sensitivity: f64) -> f64 {
    prior / (prior + (1.0 - prior) * (1.0 - sensitivity))
}

/// The surveillance sensitivity that lifts a prior to a target; `None` when the prior is there already.
///
/// # Formula
/// ```text
/// SSe = 1 − π(1 − P)/(P(1 − π))
/// ```
/// # Example
/// ```
/// use pignut::assess::freedom::{p_free, sensitivity_for};
/// let sse = sensitivity_for(0.5, 0.95).unwrap();
/// assert!((p_free(0.5, sse) - 0.95).abs() < 1e-12);
/// assert_eq!(sensitivity_for(0.97, 0.95), None);
/// ```
pub fn sensitivity_for(prior: f64, target: f64) -> Option<f64> {
    (prior < target).then(|| 1.0 - prior * (1.0 - target) / (target * (1.0 - prior)))
}

/// One year of an area's history, as evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearEvidence {
    /// Surveillance sensitivity of that year by clear pigs.
    pub sensitivity: f64,
    /// Probability that no positive pig was infected inside that year.
    pub no_case: f64,
    /// Length of the year, 1 for a whole one: introduction between years is scaled by it.
    pub years: f64,
}

/// What a year leaves behind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearFreedom {
    /// Probability of freedom before the year's evidence.
    pub prior: f64,
    /// Sensitivity of the year for what earlier years had not found.
    pub sensitivity: f64,
    /// P(free) by the clear pigs alone.
    pub by_clear_pigs: f64,
    /// P(free): that times the probability that no positive was infected inside.
    pub p_free: f64,
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
/// # Example
/// ```
/// use pignut::assess::freedom::{YearEvidence, recursion};
/// let year = YearEvidence { sensitivity: 0.4, no_case: 1.0, years: 1.0 };
/// let p: Vec<f64> = recursion(0.5, 0.02, 0.2, &[year; 6]).iter().map(|y| y.p_free).collect();
/// for (a, b) in p.iter().zip([0.625, 0.724852, 0.803440, 0.860563, 0.899728, 0.925517]) {
///     assert!((a - b).abs() < 1e-6);
/// }
/// ```
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

/// P(free) year by year when a focus that is missed stays where it is.
///
/// # Formula
/// ```text
/// free_y = π_y;   infected since c: u_c ← u_c M(c, y)/M(c, y − 1);   C_y = free_y/(free_y + Σ_c u_c)
/// next year: free = (1 − PI)^t (q_y C_y + (1 − q_y) π_r); what is lost to it starts a new focus
/// ```
/// M(c, y) the probability that the clear pigs of years c to y all missed a focus there since the start of
/// year c; PI, q, π_r, t as in [`recursion`]. Where the land is looked at evenly, M is a product over years
/// and this is [`recursion`]; where some of it is never looked at, years of looking at the rest do not
/// make up for it.
/// # Shapes and units
/// `missed(c, y)` for c ≤ y < years; `no_case` and `lengths` (years): one value a year.
/// # Source
/// Bayes' rule over the place and first year of a lasting focus; own derivation.
/// # Example
/// ```
/// use pignut::assess::freedom::lasting;
/// // Half of the land is seen perfectly, half never: the half that is not seen stays half.
/// let p = lasting(0.5, 0.0, 0.2, &|_, _| 0.5, &[1.0; 5], &[1.0; 5]);
/// assert!(p.iter().all(|y| (y.p_free - 2.0 / 3.0).abs() < 1e-12));
/// assert_eq!((p[0].sensitivity, p[1].sensitivity), (0.5, 0.0));
/// // Evenly looked at: the published recursion.
/// let p = lasting(0.5, 0.02, 0.2, &|c, y| 0.6f64.powi((y - c + 1) as i32), &[1.0; 6], &[1.0; 6]);
/// assert!((p[5].p_free - 0.925517).abs() < 1e-6);
/// ```
pub fn lasting(
    prior: f64,
    introduction_per_year: f64,
    prior_after_infection: f64,
    missed: &dyn Fn(usize, usize) -> f64,
    no_case: &[f64],
    lengths: &[f64],
) -> Vec<YearFreedom> {
    let mut free = prior;
    // Probability of a focus there since the start of each year.
    let mut since = vec![1.0 - prior];
    let mut out: Vec<YearFreedom> = Vec::with_capacity(no_case.len());
    for (y, (q, length)) in no_case.iter().zip(lengths).enumerate() {
        if let Some(q_before) = y.checked_sub(1).map(|b| no_case[b]) {
            let still = q_before * free + (1.0 - q_before) * prior_after_infection;
            let kept = still * (1.0 - introduction_per_year).powf(*length);
            since.iter_mut().for_each(|u| *u *= q_before);
            since.push((1.0 - q_before) * (1.0 - prior_after_infection) + still - kept);
            free = kept;
        }
        let prior = free;
        let before: f64 = since.iter().sum();
        for (c, u) in since.iter_mut().enumerate() {
            let earlier = if c < y { missed(c, y - 1) } else { 1.0 };
            *u *= if earlier > 0.0 { missed(c, y) / earlier } else { 0.0 };
        }
        let after: f64 = since.iter().sum();
        let total = free + after;
        // A prior of 0 that certain looking contradicts: nothing is left, and nothing is known.
        if total > 0.0 {
            free /= total;
            since.iter_mut().for_each(|u| *u /= total);
        }
        let sensitivity = if before > 0.0 { 1.0 - after / before } else { 0.0 };
        out.push(YearFreedom { prior, sensitivity, by_clear_pigs: free, p_free: free * q });
    }
    out
}

/// Pigs needed where each has the same chance to show disease; `None` when one pig shows nothing.
///
/// # Formula
/// ```text
/// n = ⌈ln((1 − target)/(1 − reached)) / ln(1 − p)⌉
/// ```
/// # Example
/// ```
/// use pignut::assess::freedom::pigs_needed;
/// assert_eq!(pigs_needed(0.95, 0.0, 0.05), Some(59)); // the sample-size table at 5 %
/// assert_eq!(pigs_needed(0.95, 0.97, 0.05), Some(0));
/// assert_eq!(pigs_needed(0.95, 0.0, 0.0), None);
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
/// # Example
/// ```
/// // One diseased in 100: the chance to have it in a sample of 95 is 0.95.
/// let se = pignut::assess::freedom::finite_sensitivity(100, 1, 95, 1.0);
/// assert!((se - 0.95).abs() < 1e-12);
/// ```
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

/// ln of the hypergeometric probability of x diseased in a sample, as a sum of logs of ratios.
fn log_hypergeometric(population: u64, diseased: u64, sample: u64, x: u64) -> f64 {
    let log_choose = |n: u64, k: u64| (0..k).map(|i| ((n - i) as f64 / (k - i) as f64).ln()).sum::<f64>();
    // C(n, k) with the smaller of k and n − k: fewer terms, less rounding.
    let choose = |n: u64, k: u64| log_choose(n, k.min(n - k));
    choose(diseased, x) + choose(population - diseased, sample - x) - choose(population, sample)
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
/// # Example
/// ```
/// use pignut::assess::freedom::sample_size;
/// assert_eq!(sample_size(Some(100), 0.05, 0.95, 1.0), Some(45));
/// assert_eq!(sample_size(None, 0.001, 0.95, 1.0), Some(2995));
/// assert_eq!(sample_size(None, 0.01, 0.95, 0.8), Some(373));
/// ```
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

/// A probability with its odds multiplied by a factor.
///
/// ```
/// assert_eq!(pignut::assess::freedom::times_odds(0.5, 3.0), 0.75);
/// ```
pub fn times_odds(p: f64, factor: f64) -> f64 {
    let up = p * factor;
    up / (up + 1.0 - p)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_and_certain_positives() {
        // Fixed points: prior 1 − PI/SSe, posterior (SSe − PI)/(SSe (1 − PI)), by algebra on the recursion.
        let year = YearEvidence { sensitivity: 0.4, no_case: 1.0, years: 1.0 };
        let long = recursion(0.5, 0.02, 0.2, &[year; 400]);
        let last = long.last().unwrap();
        assert!((last.prior - 0.95).abs() < 1e-9 && (last.p_free - 0.38 / (0.4 * 0.98)).abs() < 1e-9);
        let seen = YearEvidence { no_case: 0.0, ..year };
        let after = recursion(0.5, 0.02, 0.2, &[year, seen, year]);
        assert_eq!(after[1].p_free, 0.0);
        assert!((after[2].prior - 0.2 * 0.98).abs() < 1e-12);
        assert_eq!(finite_sensitivity(10, 0, 10, 1.0), 0.0);
        assert_eq!(sample_size(Some(10), 0.3, 0.95, 0.3), None);
    }
}
