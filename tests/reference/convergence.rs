//! R̂ and effective sample sizes against ArviZ on chains both sides can make.

use super::cases;
use super::reader::Case;
use pignut::internals::sampler::diagnostics::{Convergence, convergence, ess_mean};

/// Knuth's MMIX generator, as in scripts/regenerate-references.
struct Lcg(u64);

impl Lcg {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn chains(case: &Case) -> Vec<Vec<f64>> {
    let mut lcg = Lcg(case.number("seed") as u64);
    let (count, length) = (case.number("chains") as usize, case.number("length") as usize);
    let (rho, step) = (case.number("rho"), case.number("rounding"));
    let (shift, stretch) = (case.number("shift_of_last"), case.number("stretch_of_last"));
    let mut out = Vec::new();
    for c in 0..count {
        let mut x = 0.0;
        let mut chain = Vec::with_capacity(length);
        for _ in 0..length {
            let noise = ((lcg.uniform() + lcg.uniform()) + lcg.uniform()) - 1.5;
            x = rho * x + noise;
            let mut y = x;
            if c == count - 1 {
                y = y * stretch + shift;
            }
            if step > 0.0 {
                y = (y / step + 0.5).floor() * step;
            }
            chain.push(y);
        }
        out.push(chain);
    }
    out
}

#[test]
fn diagnostics_agree_with_arviz() {
    let all = cases("convergence.ref");
    assert_eq!(all.len(), 13);
    for case in all {
        let x = chains(&case);
        case.check("first_draw", &[x[0][0]]);
        case.check("last_draw", &[*x.last().and_then(|c| c.last()).expect("chains are not empty")]);
        let Convergence { r_hat, ess_bulk, ess_tail } = convergence(&x);
        case.check("r_hat", &[r_hat.expect("the draws vary")]);
        case.check("ess_bulk", &[ess_bulk.expect("the draws vary")]);
        case.check("ess_tail", &[ess_tail.expect("the draws vary")]);
        case.check("ess_mean", &[ess_mean(&x).expect("the draws vary")]);
        case.finish();
    }
}

#[test]
fn draws_that_do_not_vary_have_no_diagnostics() {
    let still = Convergence { r_hat: None, ess_bulk: None, ess_tail: None };
    assert_eq!(convergence(&vec![vec![0.25; 100]; 4]), still);
    let mut broken = vec![vec![0.0, 1.0, 0.5, 0.25, 0.75, 0.1]; 4];
    broken[2][3] = f64::NAN;
    assert_eq!(convergence(&broken), still);
}
