//! Which host carries the disease where: cover classes on the grid.

use crate::geography::area_shares;
use crate::geography::grid::Grid;
use crate::records::{Cover, WildlifeHost};
use crate::study::priorities::{CoverClass, Priorities};
use geo::MultiPolygon;
use std::collections::BTreeMap;

/// Shares of every cell, in the grid's order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Habitat {
    /// Share of the transmission in the cell that possums carry.
    pub possum: Vec<f64>,
    /// Share that ferrets carry.
    pub ferret: Vec<f64>,
    /// Share of the cell under cover where possums are as a rule treated from the air.
    pub aerial: Vec<f64>,
}

impl Habitat {
    /// From the cover map.
    ///
    /// # Formula
    /// ```text
    /// share_v(c) = Σ_classes land(c, class) s_v(class) + (1 − Σ land) s_v(other)
    /// ```
    /// land the share of the cell under a class; where boundaries overlap and the shares add up to more than
    /// 1 they are scaled to 1. s_v from [`Priorities::cover_class`]; a class nobody has named counts as
    /// `other`.
    pub fn of(grid: &Grid, cover: &[Cover], keys: &Priorities) -> Habitat {
        let mut classes: BTreeMap<String, MultiPolygon<f64>> = BTreeMap::new();
        for c in cover {
            let boundary =
                classes.entry(c.class.trim().to_lowercase()).or_insert_with(|| MultiPolygon(Vec::new()));
            boundary.0.extend(c.boundary.0.iter().cloned());
        }
        let other = keys.other_cover();
        let layers: Vec<(CoverClass, Vec<f64>)> = classes
            .iter()
            .map(|(name, boundary)| {
                (keys.cover_class(name).unwrap_or(other), area_shares::cell_shares(grid, boundary))
            })
            .collect();
        let covered: Vec<f64> = (0..grid.cells()).map(|c| layers.iter().map(|l| l.1[c]).sum()).collect();
        let figure = |of: &dyn Fn(&CoverClass) -> f64| -> Vec<f64> {
            covered
                .iter()
                .enumerate()
                .map(|(cell, all)| {
                    let named: f64 = layers.iter().map(|(class, land)| of(class) * land[cell]).sum();
                    named / all.max(1.0) + (1.0 - all).max(0.0) * of(&other)
                })
                .collect()
        };
        Habitat {
            possum: figure(&|c| c.possum),
            ferret: figure(&|c| c.ferret),
            aerial: figure(&|c| f64::from(u8::from(c.aerial))),
        }
    }

    /// Shares carried by a host.
    pub fn share(&self, host: WildlifeHost) -> &[f64] {
        match host {
            WildlifeHost::Possum => &self.possum,
            WildlifeHost::Ferret => &self.ferret,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Coord, polygon};
    use jiff::civil::date;

    #[test]
    fn shares_follow_the_land_under_each_class() {
        let corner = Coord { x: 0.0, y: 0.0 };
        let grid = Grid::covering(
            corner,
            Coord { x: 3000.0, y: 2000.0 },
            0.0,
            1000.0,
            date(2020, 1, 1),
            date(2020, 2, 1),
            6,
        );
        let strip = |class: &str, from: f64, to: f64| Cover {
            class: class.into(),
            boundary: MultiPolygon(vec![
                polygon![(x: from, y: 0.0), (x: to, y: 0.0), (x: to, y: 2000.0), (x: from, y: 2000.0)],
            ]),
        };
        // Forest over the first cell and 0.6 of the second, tussock over the whole second: 1.6 there.
        let cover = [strip("Forest", 0.0, 1600.0), strip("tussock", 1000.0, 2000.0)];
        let h = Habitat::of(&grid, &cover, &Priorities::default());
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        close(h.possum[0], 1.0);
        close(h.possum[1], (0.6 * 1.0 + 1.0 * 0.2) / 1.6);
        close(h.ferret[1], 0.8 / 1.6);
        close(h.aerial[1], 0.6 / 1.6);
        close(h.possum[2], 0.5);
        close(h.aerial[2], 0.0);
    }
}
