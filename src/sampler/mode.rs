//! Newton's method with conjugate gradients, for the mode of a whitened posterior.
//!
//! Used for starting points only. The Hessian of the likelihood is indefinite away from the
//! mode, so the curvature is Fisher's: identity (the prior) plus a positive semidefinite
//! product that the problem supplies.

use crate::numerics::real::dot;
use serde::Serialize;

/// A negative log posterior −ℓ(z) + ½|z|² with Fisher curvature.
pub trait Problem {
    /// ℓ(z), and its gradient into `gradient`.
    fn log_likelihood(&mut self, z: &[f64], gradient: &mut [f64]) -> f64;
    /// out = F(z) v for the z of the last call to [`Problem::log_likelihood`]; F is positive semidefinite.
    fn fisher(&mut self, v: &[f64], out: &mut [f64]);
}

/// When to stop.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Params {
    /// Norm of the gradient, relative to its first value, at which the mode counts as found.
    pub relative_gradient: f64,
    /// Most Newton steps.
    pub max_steps: usize,
    /// Most conjugate-gradient iterations in a step.
    pub max_cg: usize,
}

/// How it ended, with the evidence.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Info {
    /// Whether the gradient met its tolerance.
    pub converged: bool,
    /// Newton steps taken.
    pub steps: usize,
    /// Conjugate-gradient iterations over all steps.
    pub cg_iterations: usize,
    /// Final gradient norm relative to the first.
    pub relative_gradient: f64,
}

/// Climbs from `z` to the mode, in place.
///
/// # Formula
/// ```text
/// (I + F) d = ∇ℓ − z;   z += α d with α halved until −ℓ + ½|z|² falls enough (Armijo, 1e-4)
/// ```
/// # Source
/// Nocedal & Wright, Numerical Optimization, §7.1 (inexact Newton, forcing term min(½, √|g|)).
pub(crate) fn maximise(problem: &mut dyn Problem, z: &mut [f64], params: &Params) -> Info {
    let n = z.len();
    let (mut g, mut trial, mut trial_g) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
    let (mut d, mut r, mut s, mut fs) = (vec![0.0; n], vec![0.0; n], vec![0.0; n], vec![0.0; n]);
    let mut info = Info { converged: false, steps: 0, cg_iterations: 0, relative_gradient: 1.0 };
    let mut value = problem.log_likelihood(z, &mut g) - 0.5 * dot(z, z);
    g.iter_mut().zip(&*z).for_each(|(g, z)| *g -= z);
    let first = dot(&g, &g).sqrt().max(f64::MIN_POSITIVE);
    while info.steps < params.max_steps {
        let norm = dot(&g, &g).sqrt();
        info.relative_gradient = norm / first;
        if info.relative_gradient <= params.relative_gradient {
            info.converged = true;
            break;
        }
        // Conjugate gradients on (I + F) d = g from d = 0.
        d.fill(0.0);
        r.copy_from_slice(&g);
        s.copy_from_slice(&g);
        let mut rr = dot(&r, &r);
        let stop = (0.5f64.min(info.relative_gradient.sqrt()) * norm).powi(2);
        for _ in 0..params.max_cg {
            problem.fisher(&s, &mut fs);
            fs.iter_mut().zip(&s).for_each(|(f, s)| *f += s);
            info.cg_iterations += 1;
            let alpha = rr / dot(&s, &fs);
            for (((d, r), s), fs) in d.iter_mut().zip(&mut r).zip(&s).zip(&fs) {
                *d += alpha * s;
                *r -= alpha * fs;
            }
            let next = dot(&r, &r);
            if next <= stop {
                break;
            }
            let beta = next / rr;
            rr = next;
            s.iter_mut().zip(&r).for_each(|(s, r)| *s = r + beta * *s);
        }
        let slope = dot(&g, &d);
        let mut alpha = 1.0;
        let improved = loop {
            trial.iter_mut().zip(&*z).zip(&d).for_each(|((t, z), d)| *t = z + alpha * d);
            let v = problem.log_likelihood(&trial, &mut trial_g) - 0.5 * dot(&trial, &trial);
            if v >= value + 1e-4 * alpha * slope {
                value = v;
                break true;
            }
            alpha *= 0.5;
            if alpha < 1e-6 {
                break false;
            }
        };
        info.steps += 1;
        if !improved {
            break;
        }
        z.copy_from_slice(&trial);
        g.iter_mut().zip(&trial_g).zip(&*z).for_each(|((g, t), z)| *g = t - z);
    }
    info
}
