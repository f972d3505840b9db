//! Published age–infection tables through the pig likelihood, read as a catalytic model.

use super::cases;
use super::flat::solve;
use super::reader::Case;
use pignut::internals::assess::model_checks::constant::constant_hazard;
use pignut::internals::kernel::exposure::{LagBin, Life};
use pignut::internals::kernel::home_range::AxisMass;
use pignut::internals::kernel::likelihood::{Likelihood, PigTerms};

/// Days in a year as the references count.
const DAYS_PER_YEAR: f64 = 365.0;

/// Upper 95 % point of χ² on one degree of freedom (Abramowitz & Stegun, table 26.8).
const CHI2_95: f64 = 3.841_458_8;

/// Groups of pigs that read positive or clear without error, on a field of 2 × 2 cells.
struct Table {
    likelihood: Likelihood,
    periods: usize,
    positive: Vec<f64>,
    tested: Vec<f64>,
}

impl Table {
    /// `exposure[g]`: years in each period, newest period first.
    fn new(exposure: &[Vec<f64>], positive: &[f64], tested: &[f64]) -> Table {
        let periods = exposure[0].len();
        let mut parts = Vec::new();
        for ((years, k), n) in exposure.iter().zip(positive).zip(tested) {
            let terms = |reading| PigTerms {
                rows: AxisMass { start: 0, mass: vec![0.3, 0.7], off_grid: 0.0 },
                cols: AxisMass { start: 1, mass: vec![1.0], off_grid: 0.0 },
                lives: vec![Life { weight: 1.0, death: 0.0, bins: bins(years) }],
                reading,
            };
            for i in 0..*n as usize {
                parts.push(terms(if i < *k as usize { (0.0, 1.0) } else { (1.0, -1.0) }));
            }
        }
        let likelihood = Likelihood::from_terms(parts, 2, periods, 2);
        Table { likelihood, periods, positive: positive.to_vec(), tested: tested.to_vec() }
    }

    /// A field that is constant over cells, `[row][period][column]`.
    fn field(&self, by_period: &[f64]) -> Vec<f64> {
        (0..2 * self.periods * 2).map(|i| by_period[(i / 2) % self.periods]).collect()
    }

    /// Sum over cells of a field, by period.
    fn by_period(&self, field: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.periods];
        field.iter().enumerate().for_each(|(i, v)| out[(i / 2) % self.periods] += v);
        out
    }

    /// Log likelihood, gradient and Fisher's information by the hazard of each period.
    fn at(&mut self, lambda: &[f64]) -> (f64, Vec<f64>, Vec<Vec<f64>>) {
        let field = self.field(lambda);
        let (mut g, mut d) = (vec![f64::NAN; field.len()], vec![f64::NAN; field.len()]);
        let value = self.likelihood.value_gradient(&field, &field, &mut g, &mut d);
        let gradient = self.by_period(&g);
        let information = (0..self.periods)
            .map(|p| {
                let unit: Vec<f64> = (0..self.periods).map(|k| f64::from(u8::from(k == p))).collect();
                let change = self.field(&unit);
                self.likelihood.fisher(&change, &vec![0.0; change.len()], &mut g, &mut d);
                self.by_period(&g)
            })
            .collect();
        (value, gradient, information)
    }

    /// Climbs to the maximum by Fisher scoring; returns hazards, log likelihood and information.
    fn fit(&mut self, start: f64) -> (Vec<f64>, f64, Vec<Vec<f64>>) {
        let mut lambda = vec![start; self.periods];
        for _ in 0..200 {
            let (_, g, information) = self.at(&lambda);
            let step = solve(information, g.clone());
            for (l, s) in lambda.iter_mut().zip(&step) {
                *l = (*l + s).clamp(*l * 0.5, *l * 2.0);
            }
            if step.iter().zip(&lambda).all(|(s, l)| s.abs() < 1e-12 * l) {
                break;
            }
        }
        let (value, g, information) = self.at(&lambda);
        assert!(g.iter().all(|g| g.abs() < 1e-6 * self.tested.len() as f64), "not at the maximum: {g:?}");
        (lambda, value, information)
    }

    /// The program's own constant hazard, the baseline of the map.
    fn constant_hazard(&mut self) -> f64 {
        constant_hazard(&mut self.likelihood, 2 * self.periods * 2)
    }

    /// Twice the distance from the saturated log likelihood.
    fn deviance(&self, value: f64) -> f64 {
        let part = |k: f64, n: f64| if k > 0.0 { k * (k / n).ln() } else { 0.0 };
        let groups = self.positive.iter().zip(&self.tested);
        2.0 * (groups.map(|(k, n)| part(*k, *n) + part(n - k, *n)).sum::<f64>() - value)
    }

    /// Hazard beyond `best`, towards `far`, at which the likelihood ratio reaches its 95 % point.
    fn limit(&mut self, best: f64, far: f64) -> f64 {
        let top = self.at(&[best]).0;
        let (mut near, mut far) = (best, far);
        for _ in 0..80 {
            let mid = 0.5 * (near + far);
            if 2.0 * (top - self.at(&[mid]).0) < CHI2_95 { near = mid } else { far = mid }
        }
        near
    }
}

/// One bin for each period, newest first.
fn bins(years: &[f64]) -> Vec<LagBin> {
    let mut lag = 0.0;
    let mut out = Vec::new();
    for (i, y) in years.iter().enumerate() {
        let end = lag + y * DAYS_PER_YEAR;
        if *y > 0.0 {
            out.push(LagBin {
                period: years.len() - 1 - i,
                lag_start: lag,
                lag_end: end,
                stay_years: *y,
                moved_years: 0.0,
                ramp: 1.0,
            });
        }
        lag = end;
    }
    out
}

fn one_period(case: &Case, years: Vec<f64>) -> Table {
    let exposure: Vec<Vec<f64>> = years.into_iter().map(|y| vec![y]).collect();
    Table::new(&exposure, case.list("positive"), case.list("tested"))
}

fn case(name: &str) -> Case {
    cases("catalytic.ref").into_iter().find(|c| c.name == name).unwrap_or_else(|| panic!("no case {name}"))
}

#[test]
fn every_catalytic_case_has_its_test() {
    let names: Vec<String> = cases("catalytic.ref").into_iter().map(|c| c.name).collect();
    let tested = [
        "hepatitis_a_bulgaria_constant_hazard",
        "hepatitis_a_bulgaria_three_pieces",
        "malaria_constant_hazard",
    ];
    assert_eq!(names, tested);
}

#[test]
fn hepatitis_a_gives_the_published_hazard_and_error() {
    let case = case("hepatitis_a_bulgaria_constant_hazard");
    let mut table = one_period(&case, case.list("age_years").to_vec());
    let (lambda, value, information) = table.fit(0.02);
    case.check("lambda_per_year", &lambda);
    case.check("lambda_per_year", &[table.constant_hazard()]);
    case.check("standard_error_per_year", &[information[0][0].sqrt().recip()]);
    case.check("deviance", &[table.deviance(value)]);
    case.check("interval_per_year", &[table.limit(lambda[0], 1e-4), table.limit(lambda[0], 1.0)]);
    case.check("log_likelihood", &[value]);
    let later = case.list("age_years").iter().map(|a| a + 0.5).collect();
    case.check("lambda_half_a_year_later", &one_period(&case, later).fit(0.02).0);
    case.finish();
}

#[test]
fn hepatitis_a_in_three_pieces_of_life() {
    let case = case("hepatitis_a_bulgaria_three_pieces");
    let breaks = case.list("breaks_years");
    let exposure: Vec<Vec<f64>> = case
        .list("age_years")
        .iter()
        .map(|a| vec![(a - breaks[1]).max(0.0), (a.min(breaks[1]) - breaks[0]).max(0.0), a.min(breaks[0])])
        .collect();
    let mut table = Table::new(&exposure, case.list("positive"), case.list("tested"));
    let (lambda, value, _) = table.fit(0.05);
    case.check("lambda_per_year", &lambda);
    case.check("log_likelihood", &[value]);
    case.finish();
}

#[test]
fn malaria_gives_the_complementary_log_log_fit() {
    let case = case("malaria_constant_hazard");
    let mut table = one_period(&case, case.list("age_years").to_vec());
    let (lambda, value, information) = table.fit(0.02);
    case.check("log_lambda", &[lambda[0].ln()]);
    case.check("log_lambda", &[table.constant_hazard().ln()]);
    // On the log scale the information is λ² times that of λ.
    case.check("log_standard_error", &[(lambda[0] * information[0][0].sqrt()).recip()]);
    case.check("interval_per_year", &[table.limit(lambda[0], 1e-4), table.limit(lambda[0], 1.0)]);
    case.check("one_year_risk", &[-(-lambda[0]).exp_m1()]);
    case.check("deviance", &[table.deviance(value)]);
    case.finish();
}

#[test]
fn released_and_resident_pigs_give_their_hazards() {
    let all = cases("sentinels.ref");
    assert_eq!(all.len(), 4);
    for case in all {
        let mut table = one_period(&case, vec![case.number("exposure_days") / DAYS_PER_YEAR]);
        let (lambda, _, _) = table.fit(0.5);
        case.check("lambda_per_year", &lambda);
        case.check("lambda_per_year", &[table.constant_hazard()]);
        case.check("interval_per_year", &[table.limit(lambda[0], 1e-4), table.limit(lambda[0], 20.0)]);
        case.finish();
    }
}

/// The same recursion read as survival: 1 − Q is the share not yet struck.
#[test]
fn life_expectancy_is_the_area_under_what_the_recursion_leaves() {
    let all = cases("survival.ref");
    assert_eq!(all.len(), 4);
    for case in all {
        let hazard = case.list("hazard_per_year").to_vec();
        let cut = case.number("break_years");
        // Simpson's rule over 30 years in steps of 0.01: the remainder is below e^(−16).
        let n = 3000;
        let step = 30.0 / f64::from(n);
        let mut area = 0.0;
        for i in 0..=n {
            let age = f64::from(i) * step;
            let mut table = Table::new(&[vec![(age - cut).max(0.0), age.min(cut)]], &[0.0], &[1.0]);
            let survived = table.at(&hazard).0.exp();
            let weight = if i == 0 || i == n {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            };
            area += weight * survived * step / 3.0;
        }
        case.check("life_expectancy_years", &[area]);
        case.finish();
    }
}
