//! The GeoJSON layers: cells, positives, origins, zones.

pub(crate) mod antimeridian;
pub(crate) mod blocks;
pub(crate) mod builder;
pub(crate) mod gaps;
pub(crate) mod samples;

use crate::assess::freedom_figures::ZoneYear;
use crate::assess::spread::Spread;
use crate::geography::area_shares::dissolve;
use crate::geography::coordinates::projector::Projector;
use crate::pipeline::analysis::Analysis;
use crate::records::{Reading, date_of_day};
use crate::report::error::ReportError;
use crate::report::json::number;
use crate::report::layers::builder::{LayerBuilder, Properties};
use geo::Coord;
use serde_json::{Map, Value};

fn day(value: f64) -> String {
    date_of_day(value).to_string()
}

/// `cells.geojson`: one square a cell.
///
/// # Errors
/// [`ReportError::Projection`].
pub(crate) fn cells(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let grid = &analysis.layout.grid;
    let mut layer = LayerBuilder::new(projector);
    for (cell, f) in analysis.assessment.cells.iter().enumerate() {
        let (row, col) = grid.row_col(cell);
        let id = grid.cell_id(cell);
        let properties = Properties::new()
            .text("cell_id", id.clone())
            .number("row", row as f64)
            .number("col", col as f64)
            .number("hazard_median", f.hazard.median())
            .number("hazard_q05", f.hazard.q05())
            .number("hazard_q95", f.hazard.q95())
            .number("p_active", f.p_active)
            .number("exposure_pig_years", f.exposure_pig_years)
            .number("detection_sensitivity", f.detection_sensitivity)
            .number("expected_infections", f.expected_infections)
            .text_if("window_start", f.window.map(|w| day(w[0])))
            .text_if("window_median", f.window.map(|w| day(w[1])))
            .text_if("window_end", f.window.map(|w| day(w[2])))
            .text("standing", f.standing.word());
        layer.ring(&grid.corners(cell), &id, properties)?;
    }
    Ok(layer.finish())
}

/// `positives.geojson`: one point a positive or suspect pig, at its kill place.
///
/// # Errors
/// [`ReportError::Projection`].
pub(crate) fn positives(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let records = &analysis.layout.records;
    let mut layer = LayerBuilder::new(projector);
    for f in &analysis.assessment.positives {
        let pig = &records.pigs[f.pig];
        let q = f.infection_days;
        let reading = if pig.reading == Reading::Confirmed { "confirmed" } else { "suspect" };
        let properties = Properties::new()
            .text("occurrence_id", pig.id.clone())
            .text("reading", reading)
            .text("killed", pig.killed.last.to_string())
            .text_if("window_start", q.map(|q| day(q[1])))
            .text_if("window_median", q.map(|q| day(q[3])))
            .text_if("window_end", q.map(|q| day(q[5])))
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
/// [`ReportError::Projection`].
pub(crate) fn origins(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let (grid, records) = (&analysis.layout.grid, &analysis.layout.records);
    let mut layer = LayerBuilder::new(projector);
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

/// A spread as members with a prefix: `hazard_median`, `hazard_q05`, `hazard_q95`.
fn spread(p: Properties, name: &str, s: &Spread) -> Properties {
    p.number(&format!("{name}_median"), s.median())
        .number(&format!("{name}_q05"), s.q05())
        .number(&format!("{name}_q95"), s.q95())
}

/// Texts and numbers as one object; a number that is not finite is left out.
fn row<const N: usize, const M: usize>(texts: [(&str, Value); N], numbers: [(&str, f64); M]) -> Value {
    let mut row: Map<String, Value> = texts.into_iter().map(|(name, v)| (name.into(), v)).collect();
    row.extend(numbers.into_iter().filter_map(|(name, v)| Some((name.to_string(), number(v)?))));
    Value::Object(row)
}

/// One year of an area's freedom.
fn year(y: &ZoneYear) -> Value {
    row(
        [("year", Value::from(y.year))],
        [
            ("p_free", y.p_free),
            ("p_free_low", y.bounds[0]),
            ("p_free_high", y.bounds[1]),
            ("p_free_by_clear_pigs", y.by_clear_pigs),
            ("p_free_before", y.prior),
            ("p_no_case_inside", y.no_case),
            ("detection_sensitivity", y.sensitivity),
            ("detection_sensitivity_given_earlier", y.sensitivity_given_earlier),
            ("detection_sensitivity_low", y.sensitivity_range[0]),
            ("detection_sensitivity_high", y.sensitivity_range[1]),
            ("mean_cell_sensitivity", y.mean_sensitivity),
            ("share_at_target", y.share_at_target),
            ("p_under_threshold", y.p_under_threshold),
        ],
    )
}

/// `zones.geojson`: each movement-control area with what its pigs and the hazard say.
///
/// # Errors
/// [`ReportError::Projection`].
pub(crate) fn zones(analysis: &Analysis, projector: &Projector) -> Result<Vec<u8>, ReportError> {
    let (grid, records) = (&analysis.layout.grid, &analysis.layout.records);
    let mut layer = LayerBuilder::new(projector);
    let figures = analysis.assessment.zones.iter().zip(&analysis.assessment.freedom);
    for (zone, (f, freedom)) in records.zones.iter().zip(figures) {
        let hazard: Vec<Value> = f
            .by_period
            .iter()
            .enumerate()
            .map(|(t, s)| {
                let start = Value::String(grid.period_start(t).to_string());
                row(
                    [("period_start", start)],
                    [("hazard_median", s.median()), ("hazard_q05", s.q05()), ("hazard_q95", s.q95())],
                )
            })
            .collect();
        let history: Vec<Value> = freedom.years.iter().map(year).collect();
        let last = freedom.last();
        let mut properties = Properties::new()
            .text("zone_id", f.id.clone())
            .text("name", f.name.clone())
            .number("area_ha", f.area_ha.round())
            .number("p_active_any", f.p_active_any)
            .number_if("p_free", last.map(|y| y.p_free))
            .number_if("p_free_low", last.map(|y| y.bounds[0]))
            .number_if("p_free_high", last.map(|y| y.bounds[1]))
            .number_if("detection_sensitivity", last.map(|y| y.sensitivity))
            .number_if("p_under_threshold", last.map(|y| y.p_under_threshold))
            .number_if("share_at_target", last.map(|y| y.share_at_target));
        properties = spread(properties, "hazard", &f.hazard);
        properties = spread(properties, "active_ha", &f.active_ha);
        let properties = properties
            .number("pigs", f.pigs as f64)
            .number("positives", f.positives as f64)
            .text_if("last_positive", f.last_positive.map(|d| d.to_string()))
            .number("positives_local_expected", f.positives_local_expected)
            .number("positives_imported_expected", f.positives_imported_expected)
            .number("infected_inside_expected", f.infected_inside_expected)
            .text_if("window_start", f.window.map(|w| day(w[0])))
            .text_if("window_median", f.window.map(|w| day(w[1])))
            .text_if("window_end", f.window.map(|w| day(w[2])))
            .value("history", Value::Array(history))
            .value("hazard_history", Value::Array(hazard));
        layer.area(&zone.outline, &zone.id, properties)?;
    }
    Ok(layer.finish())
}
