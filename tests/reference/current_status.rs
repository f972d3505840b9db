//! One look at each: generalised linear models and non-parametric maxima of other programs.

use super::cases;
use super::censored::nonparametric;
use super::flat::{Flat, Hazard, Subjects, distinct, errors, integral};
use super::reader::Case;

fn case(name: &str) -> Case {
    cases("current-status.ref")
        .into_iter()
        .find(|c| c.name == name)
        .unwrap_or_else(|| panic!("no case {name}"))
}

/// Counts by age, on periods from one age to the next.
struct Table {
    flat: Flat,
    saturated: f64,
}

fn table(case: &Case) -> Table {
    let (at, positive, tested) = (case.list("at"), case.list("positive"), case.list("tested"));
    let mut subjects = Subjects::new(&distinct(at.iter().copied().chain([0.0])));
    let mut saturated = 0.0;
    for ((t, k), n) in at.iter().zip(positive).zip(tested) {
        subjects.between(0, 0.0, *t, *k);
        subjects.clear(0, *t, n - k);
        let part = |x: f64| if x > 0.0 { x * (x / n).ln() } else { 0.0 };
        saturated += part(*k) + part(n - k);
    }
    Table { flat: subjects.likelihood(), saturated }
}

/// The coefficients, errors and deviance that a program gives for a model are those of our maximum.
fn check_model(
    case: &Case,
    name: &str,
    flat: &mut Flat,
    saturated: f64,
    hazard: Hazard,
    start: &[f64],
) -> f64 {
    let (theta, value, _) = flat.maximum(hazard, start);
    case.check(&format!("{name}_coefficients"), &theta);
    flat.by(hazard, &theta);
    case.check(&format!("{name}_errors"), &errors(&flat.information(hazard, &theta)));
    let deviance = 2.0 * (saturated - value);
    case.check(&format!("{name}_deviance"), &[deviance]);
    deviance
}

#[test]
fn every_case_has_its_test() {
    let names: Vec<String> = cases("current-status.ref").into_iter().map(|c| c.name).collect();
    assert_eq!(names, ["menarche", "turbine_wheels", "hepatitis_a_bulgaria", "lung_tumours_of_mice"]);
}

#[test]
fn menarche_by_age() {
    let case = case("menarche");
    let Table { mut flat, saturated } = table(&case);
    // p = 1/(1 + e^(−η)): Λ = ln(1 + e^η), which begins at ln(1 + e^a) and not at 0. What lies before the
    // first age is put into the first period, none before birth.
    let edges = flat.edges.clone();
    let logit = integral(&edges, |t, theta| {
        if t == 0.0 {
            return (0.0, vec![0.0, 0.0]);
        }
        let eta = theta[0] + theta[1] * t;
        let p = 1.0 / (1.0 + (-eta).exp());
        (eta.exp().ln_1p(), vec![p, p * t])
    });
    let deviance = check_model(&case, "logit", &mut flat, saturated, &logit, &[-20.0, 1.5]);
    case.check("logit_deviance_printed", &[deviance]);
    // p = 1 − exp(−e^η): Λ = e^η, a hazard that grows by the same share each year.
    let gompertz = integral(&edges, |t, theta| {
        if t == 0.0 {
            return (0.0, vec![0.0, 0.0]);
        }
        let size = (theta[0] + theta[1] * t).exp();
        (size, vec![size, size * t])
    });
    check_model(&case, "gompertz", &mut flat, saturated, &gompertz, &[-12.0, 0.9]);
    nonparametric(&case, &mut flat);
    case.finish();
}

#[test]
fn cracks_of_turbine_wheels() {
    let case = case("turbine_wheels");
    let Table { mut flat, saturated } = table(&case);
    let edges = flat.edges.clone();
    let weibull = integral(&edges, |t, theta| {
        if t == 0.0 {
            return (0.0, vec![0.0, 0.0]);
        }
        let size = (theta[0] + theta[1] * t.ln()).exp();
        (size, vec![size, size * t.ln()])
    });
    check_model(&case, "weibull", &mut flat, saturated, &weibull, &[-8.0, 2.0]);
    nonparametric(&case, &mut flat);
    case.finish();
}

#[test]
fn hepatitis_a_without_a_shape() {
    let case = case("hepatitis_a_bulgaria");
    let survival = nonparametric(&case, &mut table(&case).flat);
    // The same as shares by age: what is left after the last piece of support at or before an age.
    let to = case.list("support_to");
    let share = case
        .list("read_at")
        .iter()
        .map(|t| 1.0 - to.iter().zip(&survival).rfind(|(e, _)| *e <= t).map_or(1.0, |(_, s)| *s));
    case.check("positive_share", &share.collect::<Vec<f64>>());
    case.finish();
}

/// Two groups, one in each column of the grid, the second with a hazard of its own ratio.
#[test]
fn lung_tumours_of_mice_in_two_environments() {
    let case = case("lung_tumours_of_mice");
    let keys = [("conventional_with", "conventional_without"), ("germfree_with", "germfree_without")];
    let days = |key: &str| case.list(key).to_vec();
    let all: Vec<f64> = keys.iter().flat_map(|(w, o)| [days(w), days(o)].concat()).collect();
    assert_eq!(all.len(), 144);
    let mut subjects = Subjects::new(&distinct(all.into_iter().chain([0.0])));
    for (group, (with, without)) in keys.iter().enumerate() {
        days(with).iter().for_each(|t| subjects.between(group, 0.0, *t, 1.0));
        days(without).iter().for_each(|t| subjects.clear(group, *t, 1.0));
    }
    let mut flat = subjects.likelihood();
    let edges = flat.edges.clone();
    let n = flat.periods();
    // ln Λ = θ₀ + θ₁ [second group] + shape ln t; θ₂, where there is one, is the shape.
    let hazard = |shaped: bool| {
        let edges = edges.clone();
        move |theta: &[f64]| {
            let shape = if shaped { theta[2] } else { 1.0 };
            let size = |t: f64| if t == 0.0 { 0.0 } else { (theta[0] + shape * t.ln()).exp() };
            let by_shape = |t: f64| if t == 0.0 { 0.0 } else { size(t) * t.ln() };
            let over = |f: &dyn Fn(f64) -> f64| -> Vec<f64> {
                edges.windows(2).map(|e| (f(e[1]) - f(e[0])) / (e[1] - e[0])).collect()
            };
            let ratio = theta[1].exp();
            let groups = |one: Vec<f64>, first: f64| -> Vec<f64> {
                let second: Vec<f64> = one.iter().map(|x| x * ratio).collect();
                [one.into_iter().map(|x| x * first).collect(), second].concat()
            };
            let mut slopes = vec![groups(over(&size), 1.0), groups(over(&size), 0.0)];
            if shaped {
                slopes.push(groups(over(&by_shape), 1.0));
            }
            (groups(over(&size), 1.0), slopes)
        }
    };
    assert_eq!(hazard(true)(&[-7.0, 0.0, 1.0]).0.len(), 2 * n);
    // Each animal is a case of its own: the saturated log likelihood is 0.
    check_model(&case, "constant", &mut flat, 0.0, &hazard(false), &[-7.0, 0.5]);
    check_model(&case, "weibull", &mut flat, 0.0, &hazard(true), &[-10.0, 0.5, 1.5]);
    case.finish();
}
