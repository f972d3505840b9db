//! `gaps.geojson`: land below the coverage target, dissolved, with what would close it.

use crate::assess::gaps::Gap;
use crate::contract::layers::GAPS;
use crate::geography::area_shares::dissolve;
use crate::geography::coordinates::projector::Projector;
use crate::geography::layout::Layout;
use crate::pipeline::analysis::Analysis;
use crate::report::error::ReportError;
use crate::report::layers::builder::{LayerBuilder, Properties};
use geo::{Area, BooleanOps, MultiPolygon};

/// One feature a gap: those below the target, then those below half of it, each the largest first.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn gaps(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let layout = &analysis.layout;
    let records = &layout.records;
    let coverage = &layout.study.coverage;
    let mut layer = LayerBuilder::new(&GAPS, projector);
    for (k, gap) in analysis.assessment.gaps.iter().enumerate() {
        let zone = gap.zone.map(|z| &records.zones[z]);
        let id = gap_id(k);
        let properties = Properties::new()
            .text("gap_id", id.clone())
            .text_if("zone_id", zone.map(|z| z.id.clone()))
            .text_if("zone_name", zone.map(|z| z.name.clone()))
            .number("area_ha", gap.area_ha.round())
            .number("sensitivity", gap.sensitivity)
            .number("sensitivity_lowest", gap.sensitivity_lowest)
            .number("below", gap.below)
            .number("target", coverage.target)
            .number("window_months", coverage.window_months)
            .number("exposure_pig_years", gap.exposure_pig_years)
            .number_if("pigs_needed", gap.pigs_needed.map(|n| n as f64))
            .number_if(
                "pigs_needed_more_than",
                gap.pigs_needed.is_none().then_some(layout.study.sampling.most_pigs as f64),
            )
            .number("pigs_age_months", gap.age_months);
        layer.area(&boundary(layout, gap), &id, properties)?;
    }
    Ok(layer.finish())
}

/// Name of the gap at a place in the list: `G001`.
pub(crate) fn gap_id(place: usize) -> String {
    format!("G{:03}", place + 1)
}

/// A gap's cells merged, cut to its area; study's system.
///
/// # Numerics
/// Where cutting leaves nothing (an boundary so thin that only its sub-points met a cell) the cells stand
/// as they are.
pub(crate) fn boundary(layout: &Layout, gap: &Gap) -> MultiPolygon<f64> {
    let cells = dissolve(&layout.grid, &gap.cells);
    let Some(zone) = gap.zone else { return cells };
    let cut = cells.intersection(&layout.records.zones[zone].boundary);
    if cut.unsigned_area() > 0.0 { cut } else { cells }
}
