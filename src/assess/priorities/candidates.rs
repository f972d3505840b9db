//! Everything a choice needs: operations that could be done, their cost, and their effect sample by sample.

use crate::assess::blocks::BlockDraws;
use crate::geography::layout::Layout;
use crate::records::{Block, Method, WildlifeHost};
use geo::{Area, BoundingRect, Centroid};

/// One operation that could be done: a block and the host it is aimed at.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Index of the block.
    pub block: usize,
    /// Its id.
    pub block_id: String,
    /// Its name.
    pub name: String,
    /// Host aimed at.
    pub host: WildlifeHost,
    /// How it would be done.
    pub method: Method,
    /// Land treated, hectares: the block's boundary.
    pub area_ha: f64,
    /// Cost in whole money: hectares times cost per hectare, rounded.
    pub cost: f64,
    /// Whether the blocks file gave the cost per hectare; otherwise it is the study's figure for the method.
    pub cost_given: bool,
    /// Share of the host's hazard removed, 0 to 1.
    pub efficacy: f64,
    /// Whether the blocks file says that an operation can be done there.
    pub feasible: bool,
    /// Where the active area expected there has its centre, metres east; the block's centre where none is
    /// expected.
    pub easting_m: f64,
    /// The same, metres north.
    pub northing_m: f64,
    /// Active area in the block carried by the host, one value a draw, hectares.
    pub active_ha: Vec<f32>,
}

impl Candidate {
    /// Active area the operation removes in a draw, hectares.
    pub fn removed_ha(&self, draw: usize) -> f64 {
        self.efficacy * f64::from(self.active_ha[draw])
    }
    /// Active area it is expected to remove, hectares; 0 without draws.
    pub fn expected_removed_ha(&self) -> f64 {
        let n = self.active_ha.len().max(1) as f64;
        self.efficacy * self.active_ha.iter().map(|a| f64::from(*a)).sum::<f64>() / n
    }
    /// Name of the operation as it is written in `must` and `never`: `B03:possum`.
    pub fn id(&self) -> String {
        format!("{}:{}", self.block_id, self.host.word())
    }
}

/// An area with its land in blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct AreaLand {
    /// Zone id.
    pub id: String,
    /// Blocks with land in it: (index, hectares).
    pub blocks: Vec<(usize, f64)>,
}

/// All candidates of a study, two a block: possum, then ferret.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Candidates {
    /// Ids of the blocks, in the order of the records.
    pub blocks: Vec<String>,
    /// Candidates, block by block.
    pub candidates: Vec<Candidate>,
    /// Areas.
    pub areas: Vec<AreaLand>,
    /// Probability that a sampled pig living in the block reads positive: blocks × draws.
    pub sample_positive: Vec<Vec<f32>>,
}

impl Candidates {
    /// The slate of a study; `draws` may be empty, for checks made before sampling.
    pub fn of(layout: &Layout, samples: &[BlockDraws]) -> Candidates {
        let records = &layout.records;
        let candidates = records
            .blocks
            .iter()
            .enumerate()
            .flat_map(|(b, block)| {
                WildlifeHost::BOTH.into_iter().enumerate().map(move |(v, host)| {
                    let active = samples.get(b).map(|d| d.active_ha[v].clone()).unwrap_or_default();
                    let centre = samples.get(b).and_then(|d| d.centre_m[v]);
                    candidate(layout, b, block, host, active, centre)
                })
            })
            .collect();
        let ha = layout.grid.cell_area_ha();
        let areas = records
            .zones
            .iter()
            .zip(&layout.zone_shares)
            .map(|(zone, zone_share)| AreaLand {
                id: zone.id.clone(),
                blocks: layout
                    .block_shares
                    .iter()
                    .enumerate()
                    .map(|(b, s)| (b, ha * s.iter().zip(zone_share).map(|(x, y)| x.min(*y)).sum::<f64>()))
                    // Blocks that only touch the area along its edge share slivers of cells with it.
                    .filter(|(_, land)| *land >= ha)
                    .collect(),
            })
            .collect();
        Candidates {
            blocks: records.blocks.iter().map(|b| b.id.clone()).collect(),
            candidates,
            areas,
            sample_positive: samples.iter().map(|d| d.sample_positive.clone()).collect(),
        }
    }

    /// Number of samples.
    pub fn samples(&self) -> usize {
        self.candidates.first().map_or(0, |c| c.active_ha.len())
    }
    /// Cost of a set, money.
    pub fn cost_of(&self, chosen: &[bool]) -> f64 {
        self.candidates.iter().zip(chosen).filter(|(_, x)| **x).map(|(c, _)| c.cost).fold(0.0, |a, b| a + b)
    }
    /// Hectares of operations in a set.
    pub fn area_of(&self, chosen: &[bool]) -> f64 {
        self.candidates
            .iter()
            .zip(chosen)
            .filter(|(_, x)| **x)
            .map(|(c, _)| c.area_ha)
            .fold(0.0, |a, b| a + b)
    }
}

fn candidate(
    layout: &Layout,
    b: usize,
    block: &Block,
    host: WildlifeHost,
    active_ha: Vec<f32>,
    active_centre_m: Option<(f64, f64)>,
) -> Candidate {
    let keys = &layout.study.priorities;
    let shares = &layout.block_shares[b];
    let covered: f64 = shares.iter().zip(&layout.habitat.aerial).map(|(s, a)| s * a).sum();
    let by_air = covered >= keys.aerial_share * shares.iter().sum::<f64>() && covered > 0.0;
    let method = match host {
        WildlifeHost::Ferret => Method::Trapping,
        WildlifeHost::Possum => {
            block.possum_method.unwrap_or(if by_air { Method::Aerial } else { Method::Ground })
        }
    };
    let (default_cost, efficacy) = match method {
        Method::Aerial => (keys.possum_aerial_cost_per_ha, keys.possum_aerial_efficacy),
        Method::Ground => (keys.possum_ground_cost_per_ha, keys.possum_ground_efficacy),
        Method::Trapping => (keys.ferret_trapping_cost_per_ha, keys.ferret_trapping_efficacy),
    };
    let given = match host {
        WildlifeHost::Possum => block.possum_cost_per_ha,
        WildlifeHost::Ferret => block.ferret_cost_per_ha,
    };
    let area_ha = block.boundary.unsigned_area() / 10_000.0;
    // A valid boundary has a centre; its box stands in should the library find none.
    let centre =
        active_centre_m.or_else(|| block.boundary.centroid().map(|c| (c.x(), c.y()))).or_else(|| {
            let r = block.boundary.bounding_rect()?;
            Some((r.center().x, r.center().y))
        });
    let (easting_m, northing_m) = centre.unwrap_or_default();
    Candidate {
        block: b,
        block_id: block.id.clone(),
        name: block.name.clone(),
        host,
        method,
        area_ha,
        cost: (area_ha * given.unwrap_or(default_cost)).round(),
        cost_given: given.is_some(),
        efficacy,
        feasible: block.feasible,
        easting_m,
        northing_m,
        active_ha,
    }
}

/// Hectares per 1000 of money.
pub(crate) fn score(gain_ha: f64, cost: f64) -> Option<f64> {
    (cost > 0.0).then(|| 1000.0 * gain_ha / cost)
}
