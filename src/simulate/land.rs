//! The island: land units, cover, areas, blocks, and how pigs and hunters are spread over it.
//!
//! The land is a lattice of hexagons of 0.42 km² whose corners are shaken, so that the
//! boundaries look like ridges and streams and neighbouring polygons share their corners
//! exactly. Assumed, without a source, because only contrast matters here: pasture near
//! the coast and on dry ground, tussock inland and high, forest and scrub between;
//! pigs use forest and scrub four times as much as pasture; effort falls off over 3.5 km
//! from roads and huts and varies about fivefold (10th to 90th percentile) besides.

use crate::simulate::noise::{Stream, Surface, stream};
use crate::simulate::scenario::{AreaPattern, Scenario, ScenarioError};
use crate::simulate::shape::{Coast, HEX_SIDE_M, HEX_WIDTH_M, lattice, round_to_cm, shaken};
use geo::{BoundingRect, Coord, LineString, MultiPolygon, Polygon, unary_union};
use rand::RngExt;
use rand_chacha::ChaCha12Rng;

/// South-west corner of the demo's square in EPSG:2193: open sea.
const ORIGIN: Coord<f64> = Coord { x: 1_303_000.0, y: 5_703_000.0 };

/// Land cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum LandCover {
    Forest,
    Scrub,
    Tussock,
    Pasture,
}

impl LandCover {
    pub(crate) const ALL: [LandCover; 4] =
        [LandCover::Forest, LandCover::Scrub, LandCover::Tussock, LandCover::Pasture];

    /// The word in the cover layer.
    pub(crate) fn word(self) -> &'static str {
        match self {
            LandCover::Forest => "forest",
            LandCover::Scrub => "scrub",
            LandCover::Tussock => "tussock",
            LandCover::Pasture => "pasture",
        }
    }

    /// Relative use by pigs.
    fn pigs(self) -> f64 {
        match self {
            LandCover::Forest | LandCover::Scrub => 1.0,
            LandCover::Tussock => 0.5,
            LandCover::Pasture => 0.25,
        }
    }

    /// Relative chance of an infected focus.
    pub(crate) fn focus_weight(self) -> f64 {
        match self {
            LandCover::Forest => 1.0,
            LandCover::Scrub => 1.2,
            LandCover::Tussock => 0.4,
            LandCover::Pasture => 0.3,
        }
    }
}

/// One unit of land.
#[derive(Debug, Clone)]
pub(crate) struct Hex {
    pub(crate) centre: Coord<f64>,
    pub(crate) cover: LandCover,
    pub(crate) zone: usize,
    pub(crate) block: usize,
    /// Relative density of pigs.
    pub(crate) suitability: f64,
    /// Relative hunting effort.
    pub(crate) effort: f64,
    corners: [Coord<f64>; 6],
}

/// The island.
#[derive(Debug, Clone)]
pub(crate) struct Land {
    pub(crate) hexes: Vec<Hex>,
    pub(crate) zones: usize,
    pub(crate) blocks: usize,
    pub(crate) south_west: Coord<f64>,
    pub(crate) extent_m: f64,
    rows: usize,
    cols: usize,
    lookup: Vec<Option<usize>>,
}

impl Land {
    /// Draws the island of a scenario.
    pub(crate) fn draw(s: &Scenario) -> Result<Land, ScenarioError> {
        let mut rng = stream(s.seed, Stream::Land);
        let extent_m = s.extent_km * 1000.0;
        let south_west = ORIGIN;
        let middle = Coord { x: south_west.x + 0.5 * extent_m, y: south_west.y + 0.5 * extent_m };
        let coast = Coast::draw(&mut rng);
        let relief = Surface::draw(&mut rng, 4_000.0);
        let wetness = Surface::draw(&mut rng, 4_500.0);
        let rows = (extent_m / (1.5 * HEX_SIDE_M)) as usize;
        let cols = (extent_m / HEX_WIDTH_M) as usize;
        let shake: u64 = rng.random();
        let mut hexes = Vec::new();
        let mut lookup = vec![None; rows * cols];
        for row in 0..rows {
            for col in 0..cols {
                let (ix, iy) = (2 * col as i64 + 1 + (row as i64 & 1), 3 * row as i64 + 2);
                let centre = lattice(south_west, ix, iy);
                let inland = coast.inland((centre.x - middle.x) / extent_m, (centre.y - middle.y) / extent_m);
                if inland <= 0.0 {
                    continue;
                }
                let height = inland + 0.18 * relief.at(centre.x - middle.x, centre.y - middle.y);
                let wet = wetness.at(centre.x - middle.x, centre.y - middle.y);
                let cover = if height < 0.15 || (height < 0.35 && wet < -0.5) {
                    LandCover::Pasture
                } else if height > 0.70 {
                    LandCover::Tussock
                } else if wet > -0.1 {
                    LandCover::Forest
                } else {
                    LandCover::Scrub
                };
                let steps = [(0, -2), (1, -1), (1, 1), (0, 2), (-1, 1), (-1, -1)];
                let corners = steps.map(|(a, b)| shaken(south_west, ix + a, iy + b, shake));
                lookup[row * cols + col] = Some(hexes.len());
                hexes.push(Hex { centre, cover, zone: 0, block: 0, suitability: 0.0, effort: 0.0, corners });
            }
        }
        let needed = 120;
        if hexes.len() < needed {
            return Err(ScenarioError::TooSmall { extent_km: s.extent_km, hexes: hexes.len(), needed });
        }
        let mut land = Land { hexes, zones: 3, blocks: 0, south_west, extent_m, rows, cols, lookup };
        land.divide_into_zones(s.layout, middle, &mut rng);
        land.divide_into_blocks(&mut rng);
        land.spread_pigs_and_hunters(s.layout, middle, &mut rng);
        Ok(land)
    }

    /// The land unit that holds a place, by the lattice before shaking; `None` at sea.
    ///
    /// The lattice point nearest to a place is in one of the three rows about it.
    pub(crate) fn hex_at(&self, x: f64, y: f64) -> Option<usize> {
        let (dx, dy) = (x - self.south_west.x, y - self.south_west.y);
        if dx < 0.0 || dy < 0.0 || dx > self.extent_m || dy > self.extent_m {
            return None;
        }
        // Casts cut towards 0, which is down here: all is at or above 0.
        let guess = (dy / (1.5 * HEX_SIDE_M)) as usize;
        let (mut nearest, mut nearest_d2) = (None, f64::INFINITY);
        for row in guess.saturating_sub(1)..=guess + 1 {
            let shift = 0.5 * (1 + (row & 1)) as f64;
            let col = (dx / HEX_WIDTH_M - shift + 0.5).max(0.0) as usize;
            let (cx, cy) = ((col as f64 + shift) * HEX_WIDTH_M, (1.5 * row as f64 + 1.0) * HEX_SIDE_M);
            let d2 = (dx - cx).powi(2) + (dy - cy).powi(2);
            if d2 < nearest_d2 {
                nearest_d2 = d2;
                let inside = row < self.rows && col < self.cols;
                nearest = inside.then(|| self.lookup[row * self.cols + col]).flatten();
            }
        }
        nearest
    }

    /// Boundary of the land units that `chosen` admits, corners to the centimetre.
    pub(crate) fn boundary(&self, chosen: impl Fn(&Hex) -> bool) -> MultiPolygon<f64> {
        let parts: Vec<Polygon<f64>> = self
            .hexes
            .iter()
            .filter(|h| chosen(h))
            .map(|h| Polygon::new(LineString::new(h.corners.to_vec()), vec![]))
            .collect();
        let mut merged = unary_union(&parts);
        for polygon in &mut merged.0 {
            // The overlay works on a lattice of its own, far finer than this.
            polygon.exterior_mut(|ring| ring.0.iter_mut().for_each(round_to_cm));
            polygon
                .interiors_mut(|rings| rings.iter_mut().flat_map(|r| r.0.iter_mut()).for_each(round_to_cm));
        }
        // South-west first, so that the order does not depend on the overlay's.
        merged.0.sort_by(|a, b| {
            let key = |p: &Polygon<f64>| p.bounding_rect().map_or((0.0, 0.0), |r| (r.min().y, r.min().x));
            key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
        });
        merged
    }

    /// Mean area of a land unit, m²: shaking moves land from one to the other.
    pub(crate) fn mean_hex_area_m2(&self) -> f64 {
        1.5 * HEX_SIDE_M * HEX_WIDTH_M
    }

    /// Nearest land unit of forest or scrub to a place (nearest of any cover where there is none).
    pub(crate) fn nearest_bush(&self, place: Coord<f64>) -> usize {
        let distance = |h: &Hex| (h.centre.x - place.x).powi(2) + (h.centre.y - place.y).powi(2);
        let nearest = |bush: bool| {
            (0..self.hexes.len())
                .filter(|&i| !bush || self.hexes[i].cover <= LandCover::Scrub)
                .min_by(|&a, &b| distance(&self.hexes[a]).total_cmp(&distance(&self.hexes[b])))
        };
        nearest(true).or_else(|| nearest(false)).unwrap_or(0)
    }

    /// Areas: the nearest of three seeds, by a warped distance so that borders wander.
    fn divide_into_zones(&mut self, layout: AreaPattern, middle: Coord<f64>, rng: &mut ChaCha12Rng) {
        let turn: f64 = rng.random::<f64>() * std::f64::consts::TAU;
        let seeds: Vec<(f64, f64)> = match layout {
            AreaPattern::Quillonby => vec![(-0.22, 0.17), (0.24, 0.13), (-0.02, -0.28)],
            AreaPattern::Random => (0..self.zones)
                .map(|k| {
                    let angle = turn + (k as f64 + 0.5 * rng.random::<f64>()) * std::f64::consts::TAU / 3.0;
                    (0.24 * angle.cos(), 0.24 * angle.sin())
                })
                .collect(),
        };
        let (warp_x, warp_y) = (Surface::draw(rng, 5_000.0), Surface::draw(rng, 5_000.0));
        for h in &mut self.hexes {
            let (x, y) = (h.centre.x - middle.x, h.centre.y - middle.y);
            let (wx, wy) = (x + 900.0 * warp_x.at(x, y), y + 900.0 * warp_y.at(x, y));
            let d2 = |s: &(f64, f64)| (wx - s.0 * self.extent_m).powi(2) + (wy - s.1 * self.extent_m).powi(2);
            h.zone = nearest_index(&seeds, d2);
        }
    }

    /// Blocks: land units of an area gathered about evenly spread centres (about 48 km² each).
    fn divide_into_blocks(&mut self, rng: &mut ChaCha12Rng) {
        let mut next = 0;
        for zone in 0..self.zones {
            let members: Vec<usize> = (0..self.hexes.len()).filter(|&i| self.hexes[i].zone == zone).collect();
            if members.is_empty() {
                continue;
            }
            let count = (members.len() / 115).clamp(1, members.len());
            let mut centres = vec![self.hexes[members[rng.random_range(0..members.len())]].centre];
            while centres.len() < count {
                let gap = |i: usize| {
                    let p = self.hexes[i].centre;
                    centres
                        .iter()
                        .map(|c| (p.x - c.x).powi(2) + (p.y - c.y).powi(2))
                        .fold(f64::INFINITY, f64::min)
                };
                let far =
                    members.iter().copied().max_by(|&a, &b| gap(a).total_cmp(&gap(b))).unwrap_or(members[0]);
                centres.push(self.hexes[far].centre);
            }
            for _round in 0..12 {
                let mut sums = vec![(0.0, 0.0, 0.0); count];
                for &i in &members {
                    let p = self.hexes[i].centre;
                    let k = nearest_index(&centres, |c| (p.x - c.x).powi(2) + (p.y - c.y).powi(2));
                    self.hexes[i].block = next + k;
                    sums[k].0 += p.x;
                    sums[k].1 += p.y;
                    sums[k].2 += 1.0;
                }
                for (c, s) in centres.iter_mut().zip(&sums).filter(|(_, s)| s.2 > 0.0) {
                    *c = Coord { x: s.0 / s.2, y: s.1 / s.2 };
                }
            }
            // A centre can end without land; ids stay dense.
            let used: Vec<usize> =
                (next..next + count).filter(|&b| members.iter().any(|&i| self.hexes[i].block == b)).collect();
            for &i in &members {
                let at = used.iter().position(|&b| b == self.hexes[i].block).unwrap_or(0);
                self.hexes[i].block = next + at;
            }
            next += used.len();
        }
        self.blocks = next;
    }

    /// Pig density by cover and a patchy surface; effort by access, a smooth surface and remoteness.
    fn spread_pigs_and_hunters(&mut self, layout: AreaPattern, middle: Coord<f64>, rng: &mut ChaCha12Rng) {
        let (patches, liking) = (Surface::draw(rng, 2_500.0), Surface::draw(rng, 6_000.0));
        let access_count = ((self.extent_m / 10_000.0).powi(2) as usize).max(3);
        let access: Vec<Coord<f64>> =
            (0..access_count).map(|_| self.hexes[rng.random_range(0..self.hexes.len())].centre).collect();
        let remote = match layout {
            AreaPattern::Quillonby => {
                Coord { x: middle.x - 0.40 * self.extent_m, y: middle.y + 0.20 * self.extent_m }
            }
            AreaPattern::Random => self.hexes[rng.random_range(0..self.hexes.len())].centre,
        };
        for h in &mut self.hexes {
            let (x, y) = (h.centre.x - middle.x, h.centre.y - middle.y);
            h.suitability = h.cover.pigs() * (0.5 * patches.at(x, y)).exp();
            let near = |c: &Coord<f64>| (h.centre.x - c.x).hypot(h.centre.y - c.y);
            let reach = access.iter().map(|c| (-near(c) / 3_500.0).exp()).fold(0.0, f64::max);
            let watched = if layout == AreaPattern::Quillonby && h.zone == 2 { 1.6 } else { 1.0 };
            let neglected = 1.0 - 0.97 * (-0.5 * (near(&remote) / 5_000.0).powi(2)).exp();
            h.effort = (0.15 + reach) * (0.6 * liking.at(x, y)).exp() * watched * neglected;
        }
    }
}

fn nearest_index<T>(items: &[T], distance: impl Fn(&T) -> f64) -> usize {
    (0..items.len()).min_by(|&a, &b| distance(&items[a]).total_cmp(&distance(&items[b]))).unwrap_or(0)
}
