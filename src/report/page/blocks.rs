//! Control blocks: what is expected to be active inside, draw by draw.

use crate::analysis::Analysis;
use crate::areas::area_of;
use crate::assess::Spread;
use crate::assess::cells::resident_draws;
use jiff::civil::Date;

/// What is known of one block.
pub(super) struct BlockFigures {
    /// Index among the study's blocks.
    pub block: usize,
    /// Area on the grid, hectares.
    pub area_ha: f64,
    /// Expected active area Σ share × cell area × p_active, hectares.
    pub expected_active_ha: f64,
    /// Active area over the draws, hectares.
    pub active_ha: Spread,
    /// Hectares active, possible, quiet, unseen.
    pub standing_ha: [f64; 4],
    /// Pigs killed inside, and how many of them are positive or suspect.
    pub pigs: (usize, usize),
    /// Last day of the latest operation, with the host it was aimed at.
    pub last_operation: Option<(Date, &'static str)>,
}

/// Figures of every block, largest expected active area first.
pub(super) fn figures(analysis: &Analysis) -> Vec<BlockFigures> {
    let layout = &analysis.layout;
    let (grid, records) = (&layout.grid, &layout.ingested.records);
    if records.blocks.is_empty() {
        return Vec::new();
    }
    let threshold = layout.study.recent.hazard_threshold;
    let resident = resident_draws(&layout.situation(), &analysis.posterior);
    let outlines = || records.blocks.iter().map(|b| &b.outline);
    let of: Vec<Option<usize>> = records.pigs.iter().map(|p| area_of(outlines(), p.easting_m, p.northing_m)).collect();
    let cells = &analysis.assessment.cells;
    let mut out: Vec<BlockFigures> = layout
        .block_shares
        .iter()
        .enumerate()
        .map(|(block, shares)| {
            let inside: Vec<(usize, f64)> = shares
                .iter()
                .enumerate()
                .filter(|(_, s)| **s > 0.0)
                .map(|(c, s)| (c, s * grid.cell_area_ha()))
                .collect();
            let mut draws: Vec<f32> = resident
                .iter()
                .map(|d| {
                    inside.iter().filter(|(c, _)| f64::from(d[*c]) > threshold).map(|(_, ha)| ha).sum::<f64>() as f32
                })
                .collect();
            let mut standing_ha = [0.0; 4];
            for (c, ha) in &inside {
                standing_ha[super::palette::standing_number(cells[*c].standing)] += ha;
            }
            let killed = || of.iter().enumerate().filter(|(_, b)| **b == Some(block)).map(|(i, _)| &records.pigs[i]);
            BlockFigures {
                block,
                area_ha: inside.iter().map(|c| c.1).sum(),
                expected_active_ha: inside.iter().map(|(c, ha)| ha * cells[*c].p_active).sum(),
                active_ha: Spread::of(&mut draws),
                standing_ha,
                pigs: (killed().count(), killed().filter(|p| p.is_positive()).count()),
                last_operation: records
                    .operations
                    .iter()
                    .filter(|o| o.block == block)
                    .map(|o| (o.end, o.vector.word()))
                    .max_by_key(|o| o.0),
            }
        })
        .collect();
    out.sort_by(|a, b| b.expected_active_ha.total_cmp(&a.expected_active_ha));
    out
}
