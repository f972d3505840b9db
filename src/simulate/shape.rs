//! Where the coast runs, and where the corners of land units lie.

use geo::Coord;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;

/// Side of a hexagon before its corners are shaken, metres.
pub(crate) const HEX_SIDE_M: f64 = 400.0;
/// Distance between the centres of hexagons in one row, metres (√3 sides).
pub(crate) const HEX_WIDTH_M: f64 = HEX_SIDE_M * 1.732_050_807_568_877_2;
/// How far a corner is shaken along each axis, metres.
const SHAKE_M: f64 = 90.0;
/// Coastline as a radius by direction, fitted to the square.
pub(crate) struct Coast {
    terms: Vec<(f64, f64)>,
    low: (f64, f64),
    high: (f64, f64),
}

impl Coast {
    /// Draws a coast.
    pub(crate) fn draw(rng: &mut ChaCha12Rng) -> Coast {
        let terms = (2..8)
            .map(|k| {
                (
                    0.16 * (0.5 + rng.random::<f64>()) / f64::from(k),
                    std::f64::consts::TAU * rng.random::<f64>(),
                )
            })
            .collect();
        let mut coast = Coast { terms, low: (0.0, 0.0), high: (0.0, 0.0) };
        for step in 0..720 {
            let angle = f64::from(step).to_radians() / 2.0;
            let (x, y) = (coast.radius(angle) * angle.cos(), coast.radius(angle) * angle.sin());
            coast.low = (coast.low.0.min(x), coast.low.1.min(y));
            coast.high = (coast.high.0.max(x), coast.high.1.max(y));
        }
        coast
    }

    fn radius(&self, angle: f64) -> f64 {
        1.0 + self
            .terms
            .iter()
            .enumerate()
            .map(|(i, (a, phase))| a * ((i + 2) as f64 * angle + phase).cos())
            .sum::<f64>()
    }

    /// 0 at the coast, 1 at the heart; below 0 at sea. `u`, `v` run from −0.5 to 0.5 over the square.
    pub(crate) fn inland(&self, u: f64, v: f64) -> f64 {
        let x = 0.5 * (self.low.0 + self.high.0) + u * (self.high.0 - self.low.0);
        let y = 0.5 * (self.low.1 + self.high.1) + v * (self.high.1 - self.low.1);
        1.0 - x.hypot(y) / self.radius(y.atan2(x))
    }
}

/// A lattice point: half-widths east, half-sides north of the corner.
pub(crate) fn lattice(origin: Coord<f64>, ix: i64, iy: i64) -> Coord<f64> {
    Coord { x: origin.x + 0.5 * HEX_WIDTH_M * ix as f64, y: origin.y + 0.5 * HEX_SIDE_M * iy as f64 }
}

/// A corner, shaken by an amount that depends on its lattice point alone: neighbours agree on it.
pub(crate) fn shaken(origin: Coord<f64>, ix: i64, iy: i64, seed: u64) -> Coord<f64> {
    // SplitMix64 finaliser (Steele, Lea & Flood 2014) as a hash of the lattice point.
    let mix = |v: u64| {
        let v = (v ^ (v >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let v = (v ^ (v >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        v ^ (v >> 31)
    };
    let first = mix(seed ^ mix((ix as u64) << 32 ^ (iy as u64 & 0xffff_ffff)));
    let unit = |v: u64| (v >> 11) as f64 / (1u64 << 53) as f64 * 2.0 - 1.0;
    let mut c = lattice(origin, ix, iy);
    c.x += SHAKE_M * unit(first);
    c.y += SHAKE_M * unit(mix(first.wrapping_add(0x9e37_79b9_7f4a_7c15)));
    round_to_cm(&mut c);
    c
}

/// Rounds a corner to the centimetre.
pub(crate) fn round_to_cm(c: &mut Coord<f64>) {
    c.x = (c.x * 100.0).round() / 100.0;
    c.y = (c.y * 100.0).round() / 100.0;
}
