//! The arithmetic of freedom against published results, worked examples and epiR.

use super::cases;
use super::reader::Case;
use crate::common::freedom_arithmetic::{
    YearEvidence, adjusted_risks, finite_sensitivity, p_free, recursion, sample_size, stratified_sensitivity,
    system_sensitivity, unit_sensitivity,
};
use pignut::internals::assess::missed_focus::Missed;
use pignut::internals::assess::odds::lasting;

fn year(sensitivity: f64) -> YearEvidence {
    YearEvidence { sensitivity, no_case: 1.0, years: 1.0 }
}

/// P(free) and prior of each of several times with nothing found: the program's, where all land is looked at
/// alike, and beside it the recursion as published.
fn course(prior: f64, introduction: f64, sensitivity: &[f64]) -> (Vec<f64>, Vec<f64>) {
    /// Largest difference of two ways to the same probability: rounding over some hundred years.
    const SAME: f64 = 1e-9;
    let years: Vec<YearEvidence> = sensitivity.iter().map(|s| year(*s)).collect();
    let published = recursion(prior, introduction, 0.2, &years);
    let missed = |c: usize, y: usize| sensitivity[c..=y].iter().map(|s| 1.0 - s).product::<f64>();
    let ones = vec![1.0; sensitivity.len()];
    let all = lasting(prior, introduction, 0.2, &missed, &ones, &ones);
    for (a, b) in all.iter().zip(&published) {
        assert!((a.p_free - b.p_free).abs() < SAME && (a.prior - b.prior).abs() < SAME, "{a:?} {b:?}");
    }
    (all.iter().map(|y| y.p_free).collect(), all.iter().map(|y| y.prior).collect())
}

/// Sensitivity of surveillance of an area as the program computes it, of one year.
fn program_sensitivity(weights: &[f64], sensitivity: &[f64], foci: u32) -> f64 {
    let missed: Vec<f64> = sensitivity.iter().map(|s| (1.0 - s).ln()).collect();
    1.0 - Missed::new(weights, &[[missed.as_slice()]], foci, false).stated(0, 0)
}

fn last(v: &[f64]) -> f64 {
    *v.last().expect("at least one time")
}

/// Periods after which the recursion has settled to rounding.
const LONG: usize = 500;

fn check(case: &Case) {
    match case.name.as_str() {
        "danish_surveillance" => {
            let months = vec![case.number("sensitivity"); case.number("months") as usize];
            // The reference takes the introduction off before the first month too.
            let at = |pi: &f64| last(&course(case.number("prior") * (1.0 - pi), *pi, &months).0);
            let p: Vec<f64> = case.list("introduction").iter().map(at).collect();
            case.check("p_free_published", &p[..1]);
            case.check("p_free", &p);
            case.check("cumulative_sensitivity", &[unit_sensitivity(&months)]);
        }
        "danish_surveillance_at_higher_prevalence" => {
            let months = case.number("months") as usize;
            let at = |s: &f64| last(&course(case.number("prior"), 0.0, &vec![*s; months]).0);
            case.check("p_free", &case.list("sensitivity").iter().map(at).collect::<Vec<f64>>());
        }
        "six_periods_with_introduction" => {
            let (sse, pi, prior) =
                (case.number("sensitivity"), case.number("introduction"), case.number("prior"));
            let (p, priors) = course(prior, pi, &[sse; 6]);
            case.check("p_free", &p);
            case.check("prior_from_second", &priors[1..]);
            let (p, priors) = course(prior, pi, &[sse; LONG]);
            case.check("limit_prior", &[last(&priors)]);
            case.check("limit_posterior", &[last(&p)]);
        }
        "three_animals_about_a_cell" => {
            let sigma = case.number("sigma_km");
            let found = |d: &f64| {
                case.number("unit_sensitivity") * case.number("g0") * (-0.5 * (d / sigma).powi(2)).exp()
            };
            let found: Vec<f64> = case.list("distance_km").iter().map(found).collect();
            case.check("found", &found);
            case.check("cell_sensitivity", &[unit_sensitivity(&found)]);
        }
        "three_strata" | "risk_strata" => {
            let (rr, share, se) = (case.list("relative_risk"), case.list("share"), case.list("sensitivity"));
            let ar = adjusted_risks(rr, share).expect("some risk");
            case.check("adjusted_risk", &ar);
            let units = case.number("units");
            let sse = stratified_sensitivity(&ar, share, se, case.number("design_prevalence"), units);
            case.check("system_sensitivity", &[sse]);
            if case.name == "three_strata" {
                let weights: Vec<f64> = rr.iter().zip(share).map(|(r, s)| r * s).collect();
                let foci = |k| system_sensitivity(&weights, se, k).expect("some weight");
                case.check("one_focus", &[program_sensitivity(&weights, se, 1)]);
                case.check("two_foci", &[program_sensitivity(&weights, se, 2)]);
                for k in [1, 2, 5] {
                    assert!((program_sensitivity(&weights, se, k) - foci(k)).abs() < 1e-12, "{k} foci");
                }
            }
        }
        "imperfect_test" => {
            let (se, p) = (case.number("unit_sensitivity"), case.number("prevalence"));
            let n = sample_size(None, p, 0.95, se).expect("a test that sees");
            case.check("sample", &[n as f64]);
            case.check("sensitivity", &[unit_sensitivity(&vec![se * p; n as usize])]);
        }
        "sample_size_95" => {
            let row = |n: Option<u64>| -> Vec<f64> {
                let size = |p: &f64| sample_size(n, *p, 0.95, 1.0).expect("a perfect test") as f64;
                case.list("prevalence").iter().map(size).collect()
            };
            for n in [10, 20, 50, 100, 200, 500, 1000, 10_000] {
                case.check(&format!("n_{n}"), &row(Some(n)));
            }
            case.check("infinite", &row(None));
        }
        "sample_size_other_levels" => {
            for (key, target) in [("at_90", 0.90), ("at_99", 0.99)] {
                let size = |p: &f64| sample_size(None, *p, target, 1.0).expect("a perfect test") as f64;
                case.check(key, &case.list("prevalence").iter().map(size).collect::<Vec<f64>>());
            }
        }
        "pfree_with_introduction" => {
            let (p, priors) =
                course(case.number("prior"), case.number("introduction"), case.list("sensitivity"));
            case.check("p_free", &p);
            case.check("prior_of_each", &priors);
        }
        "equilibrium" => {
            let sse = [case.number("sensitivity"); LONG];
            let (p, priors) = course(0.5, case.number("introduction"), &sse);
            case.check("prior", &[last(&priors)]);
            case.check("posterior", &[last(&p)]);
        }
        "sample_size_infinite" => {
            let (target, se) = (case.number("target"), case.number("unit_sensitivity"));
            let size = |p: &f64| sample_size(None, *p, target, se).expect("a test that sees") as f64;
            case.check("sample", &case.list("prevalence").iter().map(size).collect::<Vec<f64>>());
        }
        "found_by_a_sample" => {
            let one = case.number("prevalence") * case.number("unit_sensitivity");
            let found = |n: &f64| unit_sensitivity(&vec![one; *n as usize]);
            case.check("sensitivity", &case.list("sample").iter().map(found).collect::<Vec<f64>>());
        }
        other => panic!("no test knows the case {other}"),
    }
    case.finish();
}

#[test]
fn published_results_and_worked_examples() {
    cases("freedom.ref").iter().for_each(check);
}

#[test]
fn the_package_epir_agrees() {
    cases("freedom-epir.ref").iter().for_each(check);
}

/// The hypergeometric chance by exact fractions: sums of binomial coefficients that fit whole numbers.
#[test]
fn finite_sensitivity_is_the_sum_over_counts() {
    fn choose(n: u64, k: u64) -> f64 {
        if k > n { 0.0 } else { (0..k).fold(1u128, |c, i| c * u128::from(n - i) / u128::from(i + 1)) as f64 }
    }
    for (all, diseased, sample) in [(20, 3, 7), (30, 10, 25), (12, 12, 5), (40, 1, 39), (25, 20, 20)] {
        for se in [1.0, 0.76, 0.1] {
            let missed: f64 = (0..=diseased)
                .filter(|x| *x <= sample && sample - x <= all - diseased)
                .map(|x| {
                    choose(diseased, x) * choose(all - diseased, sample - x) * f64::powi(1.0 - se, x as i32)
                })
                .sum::<f64>()
                / choose(all, sample);
            let got = finite_sensitivity(all, diseased, sample, se);
            assert!((got - (1.0 - missed)).abs() < 1e-12, "{all} {diseased} {sample} {se}: {got}");
        }
    }
    assert!((p_free(0.5, finite_sensitivity(100, 1, 95, 1.0)) - 0.5 / 0.525).abs() < 1e-12);
}

#[test]
fn limits_and_certain_positives() {
    // Fixed points: prior 1 − PI/SSe, posterior (SSe − PI)/(SSe (1 − PI)), by algebra on the recursion.
    let one = year(0.4);
    let long = recursion(0.5, 0.02, 0.2, &[one; 400]);
    let last = long.last().unwrap();
    assert!((last.prior - 0.95).abs() < 1e-9 && (last.p_free - 0.38 / (0.4 * 0.98)).abs() < 1e-9);
    // A year with a case inside: nothing is left of it, and the next year starts from the chance of being
    // free again.
    let seen = YearEvidence { no_case: 0.0, ..one };
    let after = recursion(0.5, 0.02, 0.2, &[one, seen, one]);
    let missed = |c: usize, y: usize| 0.6f64.powi((y - c + 1) as i32);
    let program = lasting(0.5, 0.02, 0.2, &missed, &[1.0, 0.0, 1.0], &[1.0; 3]);
    for years in [&after, &program] {
        assert_eq!(years[1].p_free, 0.0);
        assert!((years[2].prior - 0.2 * 0.98).abs() < 1e-12);
    }
    assert_eq!(finite_sensitivity(10, 0, 10, 1.0), 0.0);
    assert_eq!(sample_size(Some(10), 0.3, 0.95, 0.3), None);
}
