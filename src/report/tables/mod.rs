//! The tables for analysis, as Parquet; the cells' table is GeoParquet. Names and order of columns:
//! [`crate::contract::tables`].
//!
//! GeoParquet 1.1.0: each cell's square is well-known binary in the study's own system, easting before
//! northing, and the key `geo` of the file says so.

pub(crate) mod model_checks;
pub(crate) mod priorities;

use crate::assess::spread::Spread;
use crate::contract::QUANTILE_NAMES;
use crate::contract::error::ContractError;
use crate::contract::tables::{CELLS, COVERAGE, FORCE_OF_INFECTION, ORIGINS, POSITIVES};
use crate::contract::write_table::TableBuilder;
use crate::pipeline::analysis::Analysis;
use crate::report::error::ReportError;
use geo::Rect;
use serde_json::json;
use wkb::writer::{WriteOptions, write_polygon};

/// Column of the cells' squares.
const GEOMETRY: &str = "geometry";

/// Mean and quantiles as a table takes them.
pub(crate) fn figures(spread: &Spread) -> (f64, [f64; 7]) {
    (spread.mean, spread.q)
}

/// What GeoParquet wants said of the geometry, as JSON.
fn geo_facts(analysis: &Analysis) -> Result<String, ReportError> {
    let grid = &analysis.layout.grid;
    let corner = grid.north_west();
    let east_m = grid.west_m + grid.cols as f64 * grid.cell_m;
    let facts = json!({
        "version": "1.1.0",
        "primary_column": GEOMETRY,
        "columns": { GEOMETRY: {
            "encoding": "WKB",
            "geometry_types": ["Polygon"],
            "crs": crate::geography::coordinates::register::projjson(&analysis.layout.study.study.crs)?,
            "orientation": "counterclockwise",
            "bbox": [grid.west_m, grid.south_m, east_m, corner.y],
        }},
    });
    Ok(facts.to_string())
}

/// Squares of all cells as well-known binary, anticlockwise.
fn squares(analysis: &Analysis) -> Result<Vec<Vec<u8>>, ReportError> {
    let grid = &analysis.layout.grid;
    let each = |cell: usize| {
        let [south_west, _, north_east, _] = grid.corners(cell);
        let mut binary = Vec::new();
        write_polygon(&mut binary, &Rect::new(south_west, north_east).to_polygon(), &WriteOptions::default())
            .map_err(|e| ReportError::Table { table: CELLS.path.into(), reason: e.to_string() })?;
        Ok(binary)
    };
    (0..grid.cells()).map(each).collect()
}

/// The three columns that name and place a cell.
fn places(table: TableBuilder, analysis: &Analysis, cells: &[usize]) -> TableBuilder {
    let grid = &analysis.layout.grid;
    table
        .text("cell_id", cells.iter().map(|c| grid.cell_id(*c)))
        .number("easting", cells.iter().map(|c| grid.centre(*c).x))
        .number("northing", cells.iter().map(|c| grid.centre(*c).y))
}

pub(crate) fn cells(analysis: &Analysis) -> Result<Vec<u8>, ReportError> {
    let f = &analysis.assessment.cells;
    let habitat = &analysis.layout.habitat;
    let order: Vec<usize> = (0..f.len()).collect();
    let window = |i: usize| f.iter().map(move |c| c.window.map(|w| w[i]));
    let table = places(TableBuilder::new(&CELLS), analysis, &order)
        .distribution("force_of_infection", f.iter().map(|c| figures(&c.hazard)))
        .number("p_active", f.iter().map(|c| c.p_active))
        .number("exposure_pig_years", f.iter().map(|c| c.exposure_pig_years))
        .number("surveillance_sensitivity", f.iter().map(|c| c.surveillance_sensitivity))
        .number("expected_infections", f.iter().map(|c| c.expected_infections))
        .date("window_start", window(0))
        .date("window_median", window(1))
        .date("window_end", window(2))
        .number("possum_share", habitat.possum.iter().copied())
        .number("ferret_share", habitat.ferret.iter().copied())
        .text("standing", f.iter().map(|c| c.standing.word().to_string()))
        .geometry(GEOMETRY, &squares(analysis)?);
    Ok(table.finish(Some(geo_facts(analysis)?))?)
}

pub(crate) fn force_of_infection(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let grid = &analysis.layout.grid;
    let order: Vec<(usize, usize)> =
        (0..grid.cells()).flat_map(|c| (0..grid.periods()).map(move |t| (c, t))).collect();
    let cells: Vec<usize> = order.iter().map(|o| o.0).collect();
    let values = order.iter().map(|(c, t)| {
        let (r, col) = grid.row_col(*c);
        figures(&analysis.assessment.hazard[grid.at(r, *t, col)])
    });
    places(TableBuilder::new(&FORCE_OF_INFECTION), analysis, &cells)
        .date("period_start", order.iter().map(|(_, t)| grid.period_edges[*t]))
        .distribution("force_of_infection", values)
        .finish(None)
}

pub(crate) fn coverage(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let years = &analysis.assessment.coverage_by_year;
    let target = analysis.layout.study.coverage.target;
    let n = analysis.layout.grid.cells();
    let order: Vec<usize> = (0..n).flat_map(|c| std::iter::repeat_n(c, years.len())).collect();
    let each = || (0..n).flat_map(|c| years.iter().map(move |y| (c, y)));
    places(TableBuilder::new(&COVERAGE), analysis, &order)
        .year("year", each().map(|(_, y)| y.year))
        .number("exposure_pig_years", each().map(|(c, y)| y.cells.exposure_pig_years[c]))
        .number("surveillance_sensitivity", each().map(|(c, y)| y.cells.sensitivity[c]))
        .number("short_of_target", each().map(|(c, y)| (target - y.cells.sensitivity[c]).max(0.0)))
        .finish(None)
}

pub(crate) fn positives(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let f = &analysis.assessment.positives;
    let table = TableBuilder::new(&POSITIVES)
        .text("occurrence_id", f.iter().map(|p| analysis.layout.records.pigs[p.pig].id.clone()))
        .number("p_true", f.iter().map(|p| p.p_true))
        .number("p_recent", f.iter().map(|p| p.p_recent))
        .number("p_local", f.iter().map(|p| p.p_local));
    let dated = QUANTILE_NAMES.iter().enumerate().fold(table, |table, (i, q)| {
        table.date(&format!("infection_{q}"), f.iter().map(|p| p.infection_days.map(|d| d[i])))
    });
    dated.finish(None)
}

pub(crate) fn origins(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let f = &analysis.assessment.positives;
    let rows: Vec<(usize, usize, f64)> =
        f.iter().flat_map(|p| p.origin.iter().map(move |(cell, mass)| (p.pig, *cell, *mass))).collect();
    let cells: Vec<usize> = rows.iter().map(|r| r.1).collect();
    places(TableBuilder::new(&ORIGINS), analysis, &cells)
        .text("occurrence_id", rows.iter().map(|r| analysis.layout.records.pigs[r.0].id.clone()))
        .number("probability", rows.iter().map(|r| r.2))
        .finish(None)
}
