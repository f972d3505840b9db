//! The GeoJSON layers: cells, positives, origins, zones. Names and order of properties:
//! [`crate::contract::layers`].

pub(crate) mod antimeridian;
pub(crate) mod blocks;
pub(crate) mod builder;
pub(crate) mod gaps;
pub(crate) mod samples;

use crate::assess::freedom_figures::ZoneYear;
use crate::contract::layers::{CELLS, ORIGINS, POSITIVES, ZONES};
use crate::geography::area_shares::dissolve;
use crate::geography::coordinates::projector::Projector;
use crate::pipeline::analysis::Analysis;
use crate::records::{Reading, date_of_day};
use crate::report::error::ReportError;
use crate::report::layers::builder::{LayerBuilder, Properties};
use geo::Coord;
use serde_json::Value;

fn day(value: f64) -> String {
    date_of_day(value).to_string()
}

/// `cells.geojson`: one square a cell.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn cells(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let grid = &analysis.layout.grid;
    let mut layer = LayerBuilder::new(&CELLS, projector);
    for (cell, f) in analysis.assessment.cells.iter().enumerate() {
        let (row, col) = grid.row_col(cell);
        let id = grid.cell_id(cell);
        let properties = Properties::new()
            .text("cell_id", id.clone())
            .number("row", row as f64)
            .number("col", col as f64)
            .interval("force_of_infection", &f.hazard)
            .number("p_active", f.p_active)
            .number("exposure_pig_years", f.exposure_pig_years)
            .number("surveillance_sensitivity", f.surveillance_sensitivity)
            .number("expected_infections", f.expected_infections)
            .window(f.window)
            .text("standing", f.standing.word());
        layer.ring(&grid.corners(cell), &id, properties)?;
    }
    Ok(layer.finish())
}

/// `positives.geojson`: one point a positive or suspect pig, at its kill place.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn positives(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let records = &analysis.layout.records;
    let mut layer = LayerBuilder::new(&POSITIVES, projector);
    for f in &analysis.assessment.positives {
        let pig = &records.pigs[f.pig];
        let q = f.infection_days;
        let reading = if pig.reading == Reading::Confirmed { "confirmed" } else { "suspect" };
        let properties = Properties::new()
            .text("occurrence_id", pig.id.clone())
            .text("reading", reading)
            .text("killed", pig.killed.last.to_string())
            .window(q.map(|q| [q[1], q[3], q[5]]))
            .text_if("window50_start", q.map(|q| day(q[2])))
            .text_if("window50_end", q.map(|q| day(q[4])))
            .number("p_recent", f.p_recent)
            .number("p_local", f.p_local)
            .number_if("p_zone", f.p_zone)
            .text_if("zone_id", f.zone.map(|z| records.zones[z].id.clone()))
            .number("p_true", f.p_true)
            .number_if("origin_distance_m_median", f.origin_distance_m_median.map(f64::round));
        layer.point(Coord { x: pig.easting_m, y: pig.northing_m }, &pig.id, properties)?;
    }
    Ok(layer.finish())
}

/// `origins.geojson`: the smallest areas that hold 50 % and 90 % of each positive's likely origin.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn origins(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let (grid, records) = (&analysis.layout.grid, &analysis.layout.records);
    let mut layer = LayerBuilder::new(&ORIGINS, projector);
    for f in &analysis.assessment.positives {
        let pig = &records.pigs[f.pig];
        for (level, cells) in [(0.9, &f.area90), (0.5, &f.area50)] {
            if cells.is_empty() {
                continue;
            }
            let properties = Properties::new()
                .text("occurrence_id", pig.id.clone())
                .number("level", level)
                .number("area_ha", (cells.len() as f64 * grid.cell_area_ha()).round())
                .number("p_true", f.p_true);
            layer.area(&dissolve(grid, cells), &format!("{}@{level}", pig.id), properties)?;
        }
    }
    Ok(layer.finish())
}

/// One year of an area's freedom.
fn year(y: &ZoneYear) -> Value {
    Properties::new()
        .number("year", f64::from(y.year))
        .number("p_free", y.p_free)
        .number("p_free_low", y.bounds[0])
        .number("p_free_high", y.bounds[1])
        .number("p_free_by_clear_pigs", y.by_clear_pigs)
        .number("p_free_before", y.prior)
        .number("p_no_case_inside", y.no_case)
        .number("surveillance_sensitivity", y.sensitivity)
        .number("surveillance_sensitivity_given_earlier", y.sensitivity_given_earlier)
        .number("surveillance_sensitivity_low", y.sensitivity_range[0])
        .number("surveillance_sensitivity_high", y.sensitivity_range[1])
        .number("mean_cell_sensitivity", y.mean_sensitivity)
        .number("share_at_target", y.share_at_target)
        .number("p_under_threshold", y.p_under_threshold)
        .into_value()
}

/// `zones.geojson`: each movement-control area with what its pigs and the force of infection say.
///
/// # Errors
/// [`ReportError::Projection`], [`ReportError::Contract`].
pub(crate) fn zones(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let (grid, records) = (&analysis.layout.grid, &analysis.layout.records);
    let mut layer = LayerBuilder::new(&ZONES, projector);
    let a = &analysis.assessment;
    let figures = a.zones.iter().zip(&a.judgements).zip(&a.freedom);
    for (zone, ((f, judged), freedom)) in records.zones.iter().zip(figures) {
        let periods = f.by_period.iter().enumerate().map(|(t, s)| {
            let start = grid.period_start(t).to_string();
            Properties::new().text("period_start", start).interval("force_of_infection", s).into_value()
        });
        let history: Vec<Value> = freedom.years.iter().map(year).collect();
        let last = freedom.last();
        let properties = Properties::new()
            .text("zone_id", f.id.clone())
            .text("name", f.name.clone())
            .number("area_ha", f.area_ha.round())
            .text("verdict", judged.verdict.word())
            .number("p_active_any", f.p_active_any)
            .number_if("p_free", last.map(|y| y.p_free))
            .number_if("p_free_low", last.map(|y| y.bounds[0]))
            .number_if("p_free_high", last.map(|y| y.bounds[1]))
            .number_if("surveillance_sensitivity", last.map(|y| y.sensitivity))
            .number_if("p_under_threshold", last.map(|y| y.p_under_threshold))
            .number_if("share_at_target", last.map(|y| y.share_at_target))
            .interval("force_of_infection", &f.hazard)
            .interval("active_ha", &f.active_ha)
            .number("pigs", f.pigs as f64)
            .number("positives", f.positives as f64)
            .text_if("last_positive", f.last_positive.map(|d| d.to_string()))
            .number("positives_local_expected", f.positives_local_expected)
            .number("positives_imported_expected", f.positives_imported_expected)
            .number("infected_inside_expected", f.infected_inside_expected)
            .window(f.window)
            .value("history", Value::Array(history))
            .value("force_of_infection_history", Value::Array(periods.collect()));
        layer.area(&zone.boundary, &zone.id, properties)?;
    }
    Ok(layer.finish())
}
