//! Times known only to lie between two looks: rates and non-parametric maxima of other programs.

use super::cases;
use super::flat::{Flat, Hazard, Subjects, distinct, errors, integral, pieces};
use super::reader::Case;

/// Integrated hazard of a piece after which nobody is left: e^(−40) of them is.
const ALL_GONE: f64 = 40.0;

fn case(file: &str, name: &str) -> Case {
    cases(file).into_iter().find(|c| c.name == name).unwrap_or_else(|| panic!("no case {name}"))
}

/// Observations of one case: (from, to, count), and (clear at, count).
struct Data {
    between: Vec<(f64, f64, f64)>,
    clear: Vec<(f64, f64)>,
}

impl Data {
    fn of(case: &Case, counted: bool) -> Data {
        let count = |key: &str, n: usize| if counted { case.list(key).to_vec() } else { vec![1.0; n] };
        let (from, to, clear) = (case.list("between_from"), case.list("between_to"), case.list("clear_at"));
        assert_eq!(from.len(), to.len());
        let seen = count("between_count", from.len());
        let left = count("clear_count", clear.len());
        Data {
            between: from.iter().zip(to).zip(&seen).map(|((f, t), n)| (*f, *t, *n)).collect(),
            clear: clear.iter().zip(&left).map(|(t, n)| (*t, *n)).collect(),
        }
    }

    fn times(&self) -> Vec<f64> {
        let between = self.between.iter().flat_map(|(f, t, _)| [*f, *t]);
        between.chain(self.clear.iter().map(|(t, _)| *t)).collect()
    }

    fn add_to(&self, subjects: &mut Subjects, group: usize) {
        self.between.iter().for_each(|(f, t, n)| subjects.between(group, *f, *t, *n));
        self.clear.iter().for_each(|(t, n)| subjects.clear(group, *t, *n));
    }
}

/// The likelihood of several groups on the times that any of them names, and on those of `more`.
fn together(groups: &[&Data], more: &[f64]) -> Flat {
    let times = groups.iter().flat_map(|d| d.times()).chain(more.iter().copied()).chain([0.0]);
    let mut subjects = Subjects::new(&distinct(times));
    groups.iter().enumerate().for_each(|(g, d)| d.add_to(&mut subjects, g));
    subjects.likelihood()
}

/// The maximum over hazards of any shape: one parameter for each piece that has mass, log of its
/// integrated hazard; elsewhere the hazard is 0 and more of it must not help.
///
/// Returns what is left after each piece with mass.
pub fn nonparametric(case: &Case, flat: &mut Flat) -> Vec<f64> {
    let (from, to) = (case.list("support_from"), case.list("support_to"));
    let edges = flat.edges.clone();
    let widths = flat.widths();
    let inside = |k: usize| (0..from.len()).find(|s| edges[k] >= from[*s] && edges[k + 1] <= to[*s]);
    // All mass of a piece of support at its first period: where in it the data cannot say.
    let first: Vec<Option<usize>> =
        (0..widths.len()).map(|k| inside(k).filter(|s| edges[k] == from[*s])).collect();
    let n = widths.len();
    let hazard = move |theta: &[f64]| {
        let both = |f: &dyn Fn(usize, usize) -> f64| -> Vec<f64> {
            let one: Vec<f64> = first.iter().enumerate().map(|(k, s)| s.map_or(0.0, |s| f(k, s))).collect();
            [one.clone(), one].concat()
        };
        // Beyond ALL_GONE nothing changes: a last piece without survivors runs against it.
        let size = |s: usize| theta[s].exp().min(ALL_GONE);
        let slope = |s: usize| if theta[s].exp() < ALL_GONE { theta[s].exp() } else { 0.0 };
        let slopes =
            (0..theta.len()).map(|j| both(&|k, s| if s == j { slope(s) / widths[k] } else { 0.0 })).collect();
        (both(&|k, s| size(s) / widths[k]), slopes)
    };
    let (theta, value, _) = flat.maximum(&hazard, &vec![-2.0; from.len()]);
    let mut gone = 0.0;
    let survival: Vec<f64> = theta
        .iter()
        .map(|t| {
            gone += t.exp().min(ALL_GONE);
            (-gone).exp()
        })
        .collect();
    case.check("survival", &survival);
    case.check("nonparametric_log_likelihood", &[value]);
    // No other piece would take mass: Kuhn and Tucker's condition, which the maximum alone meets.
    let (_, gradient) = flat.at(&hazard(&theta).0);
    for k in 0..n {
        let by_integral = (gradient[k] + gradient[n + k]) / flat.widths()[k];
        assert!(
            by_integral < 1e-4,
            "{}: more hazard in ({}, {}] would help: {by_integral}",
            case.name,
            edges[k],
            edges[k + 1]
        );
    }
    survival
}

fn one_arm(name: &str) {
    let case = case("censored.ref", name);
    let data = Data::of(&case, false);
    let mut flat = together(&[&data], &[]);
    let constant = pieces(&flat.edges, &[0.0, f64::INFINITY]);
    let hazard: Hazard = &constant;
    let (rate, value, gradient) = flat.maximum(hazard, &[0.05]);
    assert!(gradient[0].abs() < 1e-6);
    case.check("rate", &rate);
    case.check("log_rate_error", &[errors(&flat.curvature(hazard, &rate))[0] / rate[0]]);
    case.check("exponential_log_likelihood", &[value]);
    nonparametric(&case, &mut flat);
    case.finish();
}

#[test]
fn cosmesis_after_radiotherapy() {
    one_arm("cosmesis_radiotherapy");
}

#[test]
fn cosmesis_after_radiotherapy_and_chemotherapy() {
    one_arm("cosmesis_with_chemotherapy");
}

#[test]
fn microprocessors_without_a_shape() {
    let case = case("censored.ref", "microprocessors");
    let data = Data::of(&case, true);
    assert_eq!(data.between.iter().map(|b| b.2).chain(data.clear.iter().map(|c| c.1)).sum::<f64>(), 1423.0);
    nonparametric(&case, &mut together(&[&data], &[]));
    case.finish();
}

/// The first arm as another program fits it, in pieces and with a shape.
#[test]
fn lifelines_agrees_on_pieces_and_on_weibull() {
    let data = Data::of(&case("censored.ref", "cosmesis_radiotherapy"), false);
    let all = cases("lifelines.ref");
    assert_eq!(all.len(), 2);
    for case in all {
        if case.name == "cosmesis_weibull" {
            let mut flat = together(&[&data], &[]);
            // Λ = (t/scale)^shape, by the logarithms of both.
            let weibull = integral(&flat.edges, |t, theta| {
                let (scale, shape) = (theta[0].exp(), theta[1].exp());
                if t == 0.0 {
                    return (0.0, vec![0.0, 0.0]);
                }
                let size = (t / scale).powf(shape);
                (size, vec![-shape * size, size * shape * (t / scale).ln()])
            });
            let (theta, value, _) = flat.maximum(&weibull, &[4.0, 0.0]);
            case.check("scale", &[theta[0].exp()]);
            case.check("shape", &[theta[1].exp()]);
            case.check("log_likelihood", &[value]);
        } else {
            let breaks = case.list("breaks").to_vec();
            let mut flat = together(&[&data], &breaks);
            let hazard = pieces(&flat.edges, &breaks);
            let (rate, value, _) = flat.maximum(&hazard, &[0.02; 3]);
            case.check("rate", &rate);
            case.check("log_likelihood", &[value]);
        }
        case.finish();
    }
}

/// Hazard of both arms: pieces by `theta[1..]` (logarithms), the second arm exp(θ₀) times the first.
fn proportional(edges: &[f64], breaks: &[f64]) -> impl Fn(&[f64]) -> (Vec<f64>, Vec<Vec<f64>>) + use<> {
    let base = pieces(edges, breaks);
    let n = edges.len() - 1;
    move |theta: &[f64]| {
        let rates: Vec<f64> = theta[1..].iter().map(|t| t.exp()).collect();
        let (value, slopes) = base(&rates);
        let ratio = theta[0].exp();
        let arms = |v: &[f64], scale: f64| -> Vec<f64> {
            v.iter().enumerate().map(|(i, x)| x * scale * if i < n { 1.0 } else { ratio }).collect()
        };
        let all = arms(&value, 1.0);
        let by_ratio = all.iter().enumerate().map(|(i, x)| if i < n { 0.0 } else { *x }).collect();
        let by_rates = slopes.iter().zip(&rates).map(|(s, r)| arms(s, *r));
        (all, std::iter::once(by_ratio).chain(by_rates).collect())
    }
}

#[test]
fn two_arms_have_the_published_ratio() {
    let arms = ["cosmesis_radiotherapy", "cosmesis_with_chemotherapy"];
    let data = arms.map(|a| Data::of(&case("censored.ref", a), false));
    let case = case("censored.ref", "cosmesis_two_arms");
    let breaks = case.list("breaks").to_vec();
    let mut flat = together(&[&data[0], &data[1]], &breaks);
    let hazard = proportional(&flat.edges, &breaks);
    let (theta, _, _) = flat.maximum(&hazard, &[0.5, -4.0, -4.0, -4.0]);
    case.check("piecewise_rate", &theta[1..].iter().map(|t| t.exp()).collect::<Vec<f64>>());
    case.check("piecewise_log_ratio", &theta[..1]);
    // No shape: a piece for each time between two looks. Pieces without mass run to −∞ in the logarithm
    // and stop where they no longer matter.
    let edges = flat.edges.clone();
    let hazard = proportional(&edges, &edges);
    // High hazards to begin with: a piece that starts too low would have to come back from −∞.
    let mut start = vec![-2.0; edges.len()];
    start[0] = 0.0;
    let (theta, top, _) = flat.maximum(&hazard, &start);
    case.check("log_ratio", &theta[..1]);
    let (n, ratio) = (flat.periods(), theta[0].exp());
    let (_, gradient) = flat.at(&hazard(&theta).0);
    let more = |k: usize| (gradient[k] + ratio * gradient[n + k]) / (edges[k + 1] - edges[k]);
    assert!((0..n).all(|k| more(k) < 1e-4), "more hazard in a piece would help");
    // Error from the curvature of the profile: the others maximised anew on either side.
    let step = 0.1;
    let profile = |flat: &mut Flat, at: f64| {
        let fixed = |rest: &[f64]| {
            let all: Vec<f64> = std::iter::once(at).chain(rest.iter().copied()).collect();
            let (value, slopes) = hazard(&all);
            (value, slopes[1..].to_vec())
        };
        flat.maximum(&fixed, &theta[1..]).1
    };
    let (low, high) = (profile(&mut flat, theta[0] - step), profile(&mut flat, theta[0] + step));
    case.check("log_ratio_error", &[step / (2.0 * top - low - high).sqrt()]);
    case.finish();
}
