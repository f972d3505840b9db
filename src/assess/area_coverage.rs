//! How well each area has been looked at: its land by standing, and its surveillance sensitivity.

use crate::assess::cells::{CellFigures, Standing};
use crate::geography::layout::Layout;

/// Coverage of one area, or of the whole grid.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AreaCoverage {
    /// Index among the zones; absent for the whole grid.
    pub zone: Option<usize>,
    /// Land on the grid, hectares.
    pub area_ha: f64,
    /// Land at or over the study's target, hectares.
    pub at_target_ha: f64,
    /// Hectares active, possible, quiet, unseen.
    pub standing_ha: [f64; 4],
    /// Mean surveillance sensitivity over the land; `None` where there is none.
    pub mean_sensitivity: Option<f64>,
    /// Pig-years lived there within the window.
    pub exposure_pig_years: f64,
}

/// Place of a standing in [`AreaCoverage::standing_ha`].
pub(crate) fn standing_number(s: Standing) -> usize {
    match s {
        Standing::Active => 0,
        Standing::Possible => 1,
        Standing::Quiet => 2,
        Standing::Unseen => 3,
    }
}

/// Coverage of every zone, then of the whole grid; cells count by the share of them in the area.
pub(crate) fn area_coverage(layout: &Layout, cells: &[CellFigures]) -> Vec<AreaCoverage> {
    let all = vec![1.0; layout.grid.cells()];
    let zones = layout.zone_shares.iter().enumerate().map(|(z, shares)| (Some(z), shares));
    zones.chain([(None, &all)]).map(|(zone, shares)| one(layout, cells, zone, shares)).collect()
}

fn one(layout: &Layout, cells: &[CellFigures], zone: Option<usize>, shares: &[f64]) -> AreaCoverage {
    let cell_ha = layout.grid.cell_area_ha();
    let mut out = AreaCoverage {
        zone,
        area_ha: 0.0,
        at_target_ha: 0.0,
        standing_ha: [0.0; 4],
        mean_sensitivity: None,
        exposure_pig_years: 0.0,
    };
    let mut sum = 0.0;
    for (cell, share) in cells.iter().zip(shares).filter(|(_, s)| **s > 0.0) {
        let ha = share * cell_ha;
        out.area_ha += ha;
        sum += ha * cell.surveillance_sensitivity;
        out.exposure_pig_years += share * cell.exposure_pig_years;
        out.standing_ha[standing_number(cell.standing)] += ha;
        if cell.surveillance_sensitivity >= layout.study.coverage.target {
            out.at_target_ha += ha;
        }
    }
    out.mean_sensitivity = (out.area_ha > 0.0).then(|| sum / out.area_ha);
    out
}
