//! A target whose data inform a few directions of its noise far more than the rest.
//!
//! Steps of a sampler are as short as the narrowest direction asks. Where a few directions alone are narrow,
//! they are taken out of the noise and given to the learnt coordinates, whose reference follows the
//! posterior.

use crate::numerics::real::{Real, dot, wide};
use crate::sampler::hmc::Target;

/// Orthonormal directions of the noise, each zero outside a common support.
#[derive(Debug, Clone)]
pub(crate) struct Directions<R> {
    noise: usize,
    support: Vec<usize>,
    /// One row for each direction, as long as the support.
    rows: Vec<Vec<R>>,
}

/// Squared share of a direction's length that may fall outside the support.
const OUTSIDE: f64 = 0.01;

impl<R: Real> Directions<R> {
    /// From vectors of the noise's length, made orthonormal on the support that holds nearly all of each.
    pub(crate) fn of(noise: usize, vectors: &[Vec<R>]) -> Directions<R> {
        let mut wanted = vec![false; noise];
        for v in vectors {
            let mut order: Vec<usize> = (0..noise).filter(|i| v[*i] != R::zero()).collect();
            order.sort_by(|a, b| v[*b].f64().abs().total_cmp(&v[*a].f64().abs()));
            let mut left = dot(v, v) * (1.0 - OUTSIDE);
            for i in order {
                if left <= 0.0 {
                    break;
                }
                left -= v[i].f64().powi(2);
                wanted[i] = true;
            }
        }
        let support: Vec<usize> = (0..noise).filter(|i| wanted[*i]).collect();
        let mut rows: Vec<Vec<R>> = Vec::new();
        for v in vectors {
            let mut row: Vec<R> = support.iter().map(|&i| v[i]).collect();
            for _ in 0..2 {
                for other in &rows {
                    let along = R::of(dot(&row, other));
                    row.iter_mut().zip(other).for_each(|(x, o)| *x -= along * *o);
                }
            }
            let length = dot(&row, &row).sqrt();
            row.iter_mut().for_each(|x| *x = R::of(x.f64() / length));
            rows.push(row);
        }
        Directions { noise, support, rows }
    }
    /// Number of directions.
    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }
    /// Whether there are none.
    pub(crate) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
    /// Coordinates of noise along each direction.
    pub(crate) fn along(&self, noise: &[R]) -> Vec<f64> {
        let part: Vec<R> = self.support.iter().map(|&i| noise[i]).collect();
        self.rows.iter().map(|row| dot(row, &part)).collect()
    }
    /// noise += Σ_j by_j direction_j.
    pub(crate) fn add(&self, noise: &mut [R], by: &[f64]) {
        let mut part: Vec<R> = vec![R::zero(); self.support.len()];
        wide(
            #[inline(always)]
            || {
                for (row, by) in self.rows.iter().zip(by) {
                    let by = R::of(*by);
                    part.iter_mut().zip(row).for_each(|(p, x)| *p += by * *x);
                }
            },
        );
        self.support.iter().zip(&part).for_each(|(&i, p)| noise[i] += *p);
    }
    /// Takes what lies along the directions out of the noise, and returns it.
    pub(crate) fn take(&self, noise: &mut [R]) -> Vec<f64> {
        let along = self.along(noise);
        self.add(noise, &along.iter().map(|a| -a).collect::<Vec<_>>());
        along
    }
}

/// A target seen with its informed directions among the learnt coordinates, after the target's own.
///
/// # Formula
/// ```text
/// z = z̃ − V Vᵀ z̃ + V w,   ln ratio(z̃, η, w) = ln ratio(z, η)
/// ```
/// z̃ and w are N(0, I) apart, so z is: no Jacobian, and what lies along V in z̃ stays as the prior has it.
/// # Shapes and units
/// z̃ as long as the target's noise; η its learnt coordinates, w one for each direction.
pub(crate) struct LowRankMetric<T: Target> {
    /// The target itself.
    pub target: T,
    directions: Directions<T::Noise>,
    noise: Vec<T::Noise>,
}

impl<T: Target> LowRankMetric<T> {
    /// The noise z meant by z̃ and the learnt coordinates.
    pub(crate) fn place(&self, noise: &[T::Noise], learnt: &[f64]) -> Vec<T::Noise> {
        let mut out = noise.to_vec();
        self.directions.take(&mut out);
        self.directions.add(&mut out, &learnt[self.target.learnt_len()..]);
        out
    }
    /// A target with its directions.
    pub(crate) fn new(target: T, directions: Directions<T::Noise>) -> LowRankMetric<T> {
        assert!(
            directions.is_empty() || target.noise_len() == directions.noise,
            "directions of another noise"
        );
        let noise = vec![T::Noise::of(0.0); target.noise_len()];
        LowRankMetric { target, directions, noise }
    }
}

impl<T: Target> Target for LowRankMetric<T> {
    type Noise = T::Noise;

    fn noise_len(&self) -> usize {
        self.target.noise_len()
    }
    fn learnt_len(&self) -> usize {
        self.target.learnt_len() + self.directions.len()
    }
    fn log_ratio(
        &mut self,
        noise: &[T::Noise],
        learnt: &[f64],
        by_noise: &mut [T::Noise],
        by_learnt: &mut [f64],
    ) -> f64 {
        let own = self.target.learnt_len();
        let (eta, w) = learnt.split_at(own);
        let (by_eta, by_w) = by_learnt.split_at_mut(own);
        self.noise.copy_from_slice(noise);
        let along = self.directions.along(noise);
        self.directions.add(&mut self.noise, &w.iter().zip(along).map(|(w, a)| w - a).collect::<Vec<_>>());
        let value = self.target.log_ratio(&self.noise, eta, by_noise, by_eta);
        by_w.copy_from_slice(&self.directions.take(by_noise));
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ln ratio = −½ (a·z)² with a narrow direction a, and one learnt coordinate that shifts it.
    struct Slab;
    const A: [f64; 4] = [8.0, -4.0, 0.0, 1.0];
    impl Target for Slab {
        type Noise = f64;
        fn noise_len(&self) -> usize {
            4
        }
        fn learnt_len(&self) -> usize {
            1
        }
        fn log_ratio(&mut self, z: &[f64], q: &[f64], by_z: &mut [f64], by_q: &mut [f64]) -> f64 {
            let s = dot(z, &A) - q[0];
            by_z.iter_mut().zip(A).for_each(|(g, a)| *g = -s * a);
            by_q[0] = s;
            -0.5 * s * s
        }
    }

    #[test]
    fn value_and_slope_are_those_of_the_target_at_the_place_meant() {
        let vectors = [A.to_vec(), vec![0.0, 0.0, 1.0, 0.0]];
        let d = Directions::of(4, &vectors);
        let mut t = LowRankMetric::new(Slab, d.clone());
        let at = |x: &[f64], t: &mut LowRankMetric<Slab>| {
            let (mut g, mut q) = (vec![0.0; 4], vec![0.0; 3]);
            let v = t.log_ratio(&x[..4], &x[4..], &mut g, &mut q);
            (v, [g, q].concat())
        };
        let x = [0.3, -1.1, 0.4, 2.0, 0.7, -0.2, 1.3];
        let (value, slope) = at(&x, &mut t);
        // The place: along A (made a unit vector) −0.2, along the third axis 1.3, else as the noise has it.
        let length = dot(&A, &A).sqrt();
        assert!((value - -0.5 * (length * -0.2 - 0.7).powi(2)).abs() < 1e-10);
        for i in 0..7 {
            let moved = |h: f64, t: &mut LowRankMetric<Slab>| {
                let mut y = x;
                y[i] += h;
                at(&y, t).0
            };
            let fd = (moved(1e-5, &mut t) - moved(-1e-5, &mut t)) / 2e-5;
            assert!((fd - slope[i]).abs() < 1e-6, "{i}: {fd} {}", slope[i]);
        }
        let mut noise = x[..4].to_vec();
        let along = d.take(&mut noise);
        assert!(d.along(&noise).iter().all(|a| a.abs() < 1e-12));
        d.add(&mut noise, &along);
        assert!(noise.iter().zip(&x).all(|(a, b)| (a - b).abs() < 1e-12));
    }
}
