//! `samples.geojson`: places for the next pigs, in the order in which they should be filled.

use crate::assess::next_samples::{SampleAim, SampleSpot};
use crate::contract::layers::SAMPLES;
use crate::geography::area_shares::area_of;
use crate::geography::coordinates::projector::Projector;
use crate::geography::layout::Layout;
use crate::report::error::ReportError;
use crate::report::layers::builder::{LayerBuilder, Properties};

/// One point a pig, at the centre of the cell it should come from.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn samples(
    layout: &Layout,
    spots: &[SampleSpot],
    aim: &SampleAim,
    age_months: f64,
    projector: &Projector,
) -> Result<Vec<u8>, ReportError> {
    let mut layer = LayerBuilder::new(&SAMPLES, projector);
    for (k, spot) in spots.iter().enumerate() {
        let properties = Properties::new()
            .number("rank", (k + 1) as f64)
            .text("cell_id", layout.grid.cell_id(spot.cell))
            .text_if("zone_id", zone_of(layout, spot).map(|z| layout.records.zones[z].id.clone()))
            .number("age_months", age_months)
            .number(gain_name(aim), spot.gain_ha)
            .number("mean_sensitivity_with", spot.mean_sensitivity)
            .number("at_target_ha_with", spot.at_target_ha);
        layer.point(layout.grid.centre(spot.cell), &format!("{}", k + 1), properties)?;
    }
    Ok(layer.finish())
}

/// Whether a file holds such a layer: what may be written over.
pub(crate) fn is_samples(bytes: &[u8]) -> bool {
    let layer: serde_json::Value = serde_json::from_slice(bytes).unwrap_or_default();
    let ours = |f: &serde_json::Value| {
        ["rank", "cell_id", "mean_sensitivity_with", "at_target_ha_with"]
            .iter()
            .all(|k| !f["properties"][k].is_null())
    };
    layer["features"].as_array().is_some_and(|features| features.iter().all(ours))
}

/// Property that holds what a pig adds.
pub(crate) fn gain_name(aim: &SampleAim) -> &'static str {
    match aim {
        SampleAim::Coverage => "adds_looked_at_ha",
        SampleAim::Standing(_) => "adds_settled_ha",
    }
}

/// Area that holds the middle of a spot's cell.
pub(crate) fn zone_of(layout: &Layout, spot: &SampleSpot) -> Option<usize> {
    let centre = layout.grid.centre(spot.cell);
    area_of(layout.records.zones.iter().map(|z| &z.boundary), centre.x, centre.y)
}
