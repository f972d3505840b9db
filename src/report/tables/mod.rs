//! The tables for analysis, as Parquet; the cells' table is GeoParquet.
//!
//! GeoParquet 1.1.0: each cell's square is well-known binary in the study's own system, easting before
//! northing, and the key `geo` of the file says so.

pub(crate) mod frame;
pub(crate) mod model_checks;
pub(crate) mod priorities;

use crate::assess::spread::QUANTILE_NAMES;
use crate::pipeline::analysis::Analysis;
use crate::report::error::ReportError;
use crate::report::tables::frame::{frame, numbers, spreads};
use geo::Rect;
use polars::prelude::*;
use serde_json::json;
use wkb::writer::{WriteOptions, write_polygon};

/// Makes one table.
type TableMaker = fn(&Analysis) -> PolarsResult<DataFrame>;

/// Every table with its path in the output folder.
///
/// # Errors
/// [`ReportError::Table`].
pub(crate) fn all(analysis: &Analysis) -> Result<Vec<(&'static str, Vec<u8>)>, ReportError> {
    let mut tables: Vec<(&str, TableMaker)> = vec![
        ("tables/cells.parquet", cells),
        ("tables/hazard.parquet", hazard),
        ("tables/coverage.parquet", coverage),
        ("tables/positives.parquet", positives),
        ("tables/origins.parquet", origins),
        ("tables/priorities.parquet", priorities::priorities),
        ("tables/frontier.parquet", priorities::frontier),
        ("tables/block_draws.parquet", priorities::block_draws),
        ("tables/block_areas.parquet", priorities::block_areas),
        ("tables/fit.parquet", model_checks::fit),
        ("tables/record_fit.parquet", model_checks::record_fit),
    ];
    // What was not asked for has no file.
    if analysis.sensitivity.is_some() {
        tables.push(("tables/sensitivity.parquet", model_checks::sensitivity));
    }
    if analysis.held_out.is_some() {
        tables.push(("tables/held_out.parquet", model_checks::held_out));
    }
    tables
        .into_iter()
        .map(|(name, make)| {
            let failed = |e: PolarsError| ReportError::Table { table: name.into(), reason: e.to_string() };
            let mut frame = make(analysis).map_err(failed)?;
            let mut bytes = Vec::new();
            let mut writer = ParquetWriter::new(&mut bytes);
            if frame.column(GEOMETRY).is_ok() {
                let facts = KeyValueMetadata::from_static(vec![("geo".into(), geo_facts(analysis)?)]);
                writer = writer.with_key_value_metadata(Some(facts));
            }
            writer.finish(&mut frame).map_err(failed)?;
            Ok((name, bytes))
        })
        .collect()
}

/// Column of the cells' squares.
const GEOMETRY: &str = "geometry";

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

/// Squares of cells as well-known binary, anticlockwise.
fn squares(analysis: &Analysis, cells: &[usize]) -> PolarsResult<Column> {
    let grid = &analysis.layout.grid;
    let each = |cell: &usize| {
        let [south_west, _, north_east, _] = grid.corners(*cell);
        let mut binary = Vec::new();
        write_polygon(&mut binary, &Rect::new(south_west, north_east).to_polygon(), &WriteOptions::default())
            .map_err(|e| PolarsError::ComputeError(e.to_string().into()))?;
        Ok(binary)
    };
    let all: Vec<Vec<u8>> = cells.iter().map(each).collect::<PolarsResult<_>>()?;
    let slices: Vec<&[u8]> = all.iter().map(Vec::as_slice).collect();
    Ok(Column::new(GEOMETRY.into(), slices))
}

fn dates(name: &str, days: Vec<Option<f64>>) -> PolarsResult<Column> {
    let whole: Vec<Option<i32>> = days.into_iter().map(|d| d.map(|d| d.floor() as i32)).collect();
    Column::new(name.into(), whole).cast(&DataType::Date)
}

fn cell_places(analysis: &Analysis, cells: &[usize]) -> Vec<Column> {
    let grid = &analysis.layout.grid;
    let ids: Vec<String> = cells.iter().map(|c| grid.cell_id(*c)).collect();
    vec![
        Column::new("cell_id".into(), ids),
        numbers("easting", cells.iter().map(|c| grid.centre(*c).x)),
        numbers("northing", cells.iter().map(|c| grid.centre(*c).y)),
    ]
}

fn cells(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let f = &analysis.assessment.cells;
    let order: Vec<usize> = (0..f.len()).collect();
    let mut columns = cell_places(analysis, &order);
    columns.extend(spreads("hazard", f.iter().map(|c| &c.hazard)));
    columns.push(numbers("p_active", f.iter().map(|c| c.p_active)));
    columns.push(numbers("exposure_pig_years", f.iter().map(|c| c.exposure_pig_years)));
    columns.push(numbers("detection_sensitivity", f.iter().map(|c| c.detection_sensitivity)));
    columns.push(numbers("expected_infections", f.iter().map(|c| c.expected_infections)));
    for (i, name) in ["window_start", "window_median", "window_end"].into_iter().enumerate() {
        columns.push(dates(name, f.iter().map(|c| c.window.map(|w| w[i])).collect())?);
    }
    let habitat = &analysis.layout.habitat;
    columns.push(numbers("possum_share", habitat.possum.iter().copied()));
    columns.push(numbers("ferret_share", habitat.ferret.iter().copied()));
    let standing: Vec<&str> = f.iter().map(|c| c.standing.word()).collect();
    columns.push(Column::new("standing".into(), standing));
    columns.push(squares(analysis, &order)?);
    frame(columns)
}

fn hazard(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let grid = &analysis.layout.grid;
    let order: Vec<(usize, usize)> =
        (0..grid.cells()).flat_map(|c| (0..grid.periods()).map(move |t| (c, t))).collect();
    let cells: Vec<usize> = order.iter().map(|o| o.0).collect();
    let mut columns = cell_places(analysis, &cells);
    columns.push(dates("period_start", order.iter().map(|(_, t)| Some(grid.period_edges[*t])).collect())?);
    let values = order.iter().map(|(c, t)| {
        let (r, col) = grid.row_col(*c);
        &analysis.assessment.hazard[grid.at(r, *t, col)]
    });
    columns.extend(spreads("hazard", values));
    frame(columns)
}

fn coverage(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let years = &analysis.assessment.coverage_by_year;
    let target = analysis.layout.study.coverage.target;
    let n = analysis.layout.grid.cells();
    let order: Vec<usize> = (0..n).flat_map(|c| std::iter::repeat_n(c, years.len())).collect();
    let mut columns = cell_places(analysis, &order);
    let each = || (0..n).flat_map(|c| years.iter().map(move |y| (c, y)));
    columns.push(Column::new("year".into(), each().map(|(_, y)| i32::from(y.year)).collect::<Vec<i32>>()));
    columns.push(numbers("exposure_pig_years", each().map(|(c, y)| y.cells.exposure_pig_years[c])));
    columns.push(numbers("detection_sensitivity", each().map(|(c, y)| y.cells.sensitivity[c])));
    columns.push(numbers("short_of_target", each().map(|(c, y)| (target - y.cells.sensitivity[c]).max(0.0))));
    frame(columns)
}

fn positives(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let f = &analysis.assessment.positives;
    let ids: Vec<&str> = f.iter().map(|p| analysis.layout.records.pigs[p.pig].id.as_str()).collect();
    let mut columns =
        vec![Column::new("occurrence_id".into(), ids), numbers("p_true", f.iter().map(|p| p.p_true))];
    for (i, q) in QUANTILE_NAMES.iter().enumerate() {
        let days = f.iter().map(|p| p.infection_days.map(|d| d[i])).collect();
        columns.push(dates(&format!("infection_{q}"), days)?);
    }
    columns.push(numbers("p_recent", f.iter().map(|p| p.p_recent)));
    columns.push(numbers("p_local", f.iter().map(|p| p.p_local)));
    frame(columns)
}

fn origins(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let f = &analysis.assessment.positives;
    let rows: Vec<(usize, usize, f64)> =
        f.iter().flat_map(|p| p.origin.iter().map(move |(cell, mass)| (p.pig, *cell, *mass))).collect();
    let ids: Vec<&str> = rows.iter().map(|r| analysis.layout.records.pigs[r.0].id.as_str()).collect();
    let cells: Vec<usize> = rows.iter().map(|r| r.1).collect();
    let mut columns = vec![Column::new("occurrence_id".into(), ids)];
    columns.extend(cell_places(analysis, &cells));
    columns.push(numbers("probability", rows.iter().map(|r| r.2)));
    frame(columns)
}
