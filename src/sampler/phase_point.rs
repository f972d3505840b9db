//! Places and directions of a trajectory: many coordinates of noise, a few that are learnt.

use crate::numerics::real::{Real, dot, wide};

/// A place or a direction: noise, then learnt coordinates in reference units.
#[derive(Clone)]
pub(crate) struct Point<R> {
    pub noise: Vec<R>,
    pub learnt: Vec<f64>,
}

impl<R: Real> Point<R> {
    pub(crate) fn zero(noise: usize, learnt: usize) -> Point<R> {
        Point { noise: vec![R::zero(); noise], learnt: vec![0.0; learnt] }
    }
    pub(crate) fn copy_from(&mut self, other: &Point<R>) {
        self.noise.copy_from_slice(&other.noise);
        self.learnt.copy_from_slice(&other.learnt);
    }
    /// |self|².
    pub(crate) fn square(&self) -> f64 {
        dot(&self.noise, &self.noise) + dot(&self.learnt, &self.learnt)
    }
    /// −self: a direction to go back by.
    pub(crate) fn turn_round(&mut self) {
        self.noise.iter_mut().for_each(|p| *p = -*p);
        self.learnt.iter_mut().for_each(|p| *p = -*p);
    }
    /// self += h · g.
    pub(crate) fn kick(&mut self, g: &Point<R>, h: f64) {
        let step = R::of(h);
        wide(
            #[inline(always)]
            || self.noise.iter_mut().zip(&g.noise).for_each(|(p, g)| *p += step * *g),
        );
        self.learnt.iter_mut().zip(&g.learnt).for_each(|(p, g)| *p += h * g);
    }
}

/// p += h g, then (u, p) turned by the angle whose sine and cosine are given.
pub(crate) fn kick_rotate<R: Real>(
    u: &mut Point<R>,
    p: &mut Point<R>,
    g: &Point<R>,
    h: f64,
    (sin, cos): (f64, f64),
) {
    turn(&mut u.noise, &mut p.noise, &g.noise, R::of(h), R::of(sin), R::of(cos));
    turn(&mut u.learnt, &mut p.learnt, &g.learnt, h, sin, cos);
}

fn turn<R: Real>(u: &mut [R], p: &mut [R], g: &[R], h: R, sin: R, cos: R) {
    wide(
        #[inline(always)]
        || {
            for ((u, p), g) in u.iter_mut().zip(p.iter_mut()).zip(g) {
                let v = *p + h * *g;
                let x = *u;
                *u = cos * x + sin * v;
                *p = cos * v - sin * x;
            }
        },
    );
}
