//! P(free) year by year where a missed focus stays, and factors on odds.
//!
//! Pure functions of numbers; what an area of a study makes of them stands in [`crate::assess::freedom`].

/// What a year leaves behind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearFreedom {
    /// Probability of freedom before the year's evidence.
    pub prior: f64,
    /// Sensitivity of the year for what earlier years had not found.
    pub sensitivity: f64,
    /// P(free) by the pigs with no visible lesion alone.
    pub by_clear_pigs: f64,
    /// P(free): that times the probability that no positive was infected inside.
    pub p_free: f64,
}

/// P(free) year by year when a focus that is missed stays where it is.
///
/// # Formula
/// ```text
/// free_y = π_y;   infected since c: u_c ← u_c M(c, y)/M(c, y − 1);   C_y = free_y/(free_y + Σ_c u_c)
/// next year: free = (1 − PI)^t (q_y C_y + (1 − q_y) π_r); what is lost to it starts a new focus
/// ```
/// M(c, y) the probability that the pigs with no visible lesion of years c to y all missed a focus there
/// since the start of year c; PI the probability of introduction a year, q_y the probability that no positive
/// was infected inside in year y, t the length of year y + 1, π_r the chance of being free again by the next
/// year after an infection (`prior_after_infection`). Where the land is looked at evenly, M is a product over
/// years and this is the published recursion: with q = 1 the prior of the next year is P(1 − PI). Where some
/// of the land is never looked at, years of looking at the rest do not make up for it.
/// # Shapes and units
/// `missed(c, y)` for c ≤ y < years; `no_case` and `lengths` (years): one value a year.
/// # Source
/// Martin, Cameron & Greiner (2007) Prev Vet Med 79:71-97 for even looking; Bayes' rule over the place and
/// first year of a lasting focus, and π_r: own derivation.
/// # Example
/// ```
/// use pignut::internals::assess::odds::lasting;
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

/// A probability with its odds multiplied by a factor.
///
/// ```
/// assert_eq!(pignut::internals::assess::odds::times_odds(0.5, 3.0), 0.75);
/// ```
pub fn times_odds(p: f64, factor: f64) -> f64 {
    let up = p * factor;
    up / (up + 1.0 - p)
}
