//! One study laid out: its cells and periods, and which share of each cell lies in each area and block.

use crate::geography::area_shares::cell_shares;
use crate::geography::grid::Grid;
use crate::geography::habitat::Habitat;
use crate::records::{Age, DAYS_PER_MONTH, DAYS_PER_YEAR, Pig, Records, date_of_day, day_number};
use crate::study::study_file::Study;
use geo::{BoundingRect, Coord};
use jiff::civil::Date;

/// Most unknowns of a field: beyond it a run would need more memory than a desk machine has.
pub(crate) const MOST_UNKNOWNS: usize = 60_000_000;

/// Why a study cannot be laid out on a grid.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LayoutError {
    /// The grid would be too large.
    #[error(
        "the grid would have {rows} × {cols} cells and {periods} periods, {unknowns} unknowns in all; \
         raise grid.cell_m or grid.period_months, or split the study; \
         farthest from the rest lies {farthest}"
    )]
    TooLarge {
        /// Rows.
        rows: usize,
        /// Columns.
        cols: usize,
        /// Periods.
        periods: usize,
        /// Their product.
        unknowns: usize,
        /// The record or area that lies farthest from the middle of the records, and how far.
        farthest: String,
    },
}

/// A study's records on its grid.
#[derive(Clone)]
pub struct Layout {
    /// The study.
    pub study: Study,
    /// Its records, in the study's projected system.
    pub records: Records,
    /// The analysis date.
    pub as_of: Date,
    /// Cells and periods.
    pub grid: Grid,
    /// Share of each cell in each zone.
    pub zone_shares: Vec<Vec<f64>>,
    /// Share of each cell in each block.
    pub block_shares: Vec<Vec<f64>>,
    /// Which wildlife host carries the disease in each cell.
    pub habitat: Habitat,
}

impl Layout {
    /// Lays records out on a grid.
    ///
    /// # Errors
    /// [`LayoutError::TooLarge`].
    pub fn new(study: Study, records: Records, as_of: Date) -> Result<Layout, LayoutError> {
        let grid = grid_for(&study, &records, as_of)?;
        let zone_shares = shares_of(&grid, records.zones.iter().map(|z| &z.boundary));
        let block_shares = shares_of(&grid, records.blocks.iter().map(|b| &b.boundary));
        let habitat = Habitat::of(&grid, &records.cover, &study.priorities);
        Ok(Layout { study, records, as_of, grid, zone_shares, block_shares, habitat })
    }

    /// The record with an id.
    pub fn pig(&self, id: &str) -> Option<&Pig> {
        self.records.pigs.iter().find(|p| p.id == id)
    }

    /// First and last day number of the recent months.
    pub fn recent_days(&self) -> (f64, f64) {
        let end = day_number(self.as_of) + 1.0;
        (end - self.study.recent.months * DAYS_PER_MONTH, end)
    }
    /// Weight of each period in the mean over the recent months; sums to 1.
    ///
    /// Periods after the last kill carry no data of their own: `as_of` may lie past the grid's last
    /// edge by less than a period, and its share then goes to the last period.
    pub fn recent_weights(&self) -> Vec<f64> {
        let (first, last) = self.recent_days();
        let mut w = self.grid.period_shares(first, last);
        let missing = 1.0 - w.iter().sum::<f64>();
        if let Some(end) = w.last_mut() {
            *end += missing;
        }
        w
    }
}

/// Shares of every cell in each of several boundaries.
pub fn shares_of<'a>(
    grid: &Grid,
    boundaries: impl Iterator<Item = &'a geo::MultiPolygon<f64>>,
) -> Vec<Vec<f64>> {
    boundaries.map(|o| cell_shares(grid, o)).collect()
}

/// The grid of a study: pigs, zones and treated blocks with a margin; from the earliest life worth
/// modelling to `as_of`.
fn grid_for(study: &Study, records: &Records, as_of: Date) -> Result<Grid, LayoutError> {
    let mut min = Coord { x: f64::INFINITY, y: f64::INFINITY };
    let mut max = Coord { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY };
    let mut stretch = |x: f64, y: f64| {
        min = Coord { x: min.x.min(x), y: min.y.min(y) };
        max = Coord { x: max.x.max(x), y: max.y.max(y) };
    };
    for pig in &records.pigs {
        stretch(pig.easting_m, pig.northing_m);
    }
    for boundary in
        records.zones.iter().map(|z| &z.boundary).chain(records.blocks.iter().map(|b| &b.boundary))
    {
        if let Some(r) = boundary.bounding_rect() {
            stretch(r.min().x, r.min().y);
            stretch(r.max().x, r.max().y);
        }
    }
    let death = |p: &Pig| day_number(p.killed.first);
    let first_kill = records.pigs.iter().map(death).fold(f64::INFINITY, f64::min);
    let earliest_life = records
        .pigs
        .iter()
        .map(|p| {
            let months = match p.age {
                Age::Interval { max_months, .. } => max_months.min(study.exposure.max_age_months),
                Age::Unknown => 96.0,
            };
            death(p) - months * DAYS_PER_MONTH
        })
        .fold(f64::INFINITY, f64::min);
    let first = earliest_life.max(first_kill - study.grid.lookback_years * DAYS_PER_YEAR);
    let first = if first.is_finite() { date_of_day(first) } else { as_of };
    let last_kill = records.pigs.iter().map(|p| p.killed.last).max().unwrap_or(as_of);
    let keys = &study.grid;
    // Sizes first: a stray record could ask for more memory than there is.
    let cells = |a: f64, b: f64| ((b - a + 2.0 * keys.margin_m) / keys.cell_m).ceil().max(2.0);
    let periods = 12.0 / f64::from(keys.period_months) * (day_number(last_kill) - day_number(first))
        / DAYS_PER_YEAR
        + 2.0;
    let (rows, cols) = (cells(min.y, max.y), cells(min.x, max.x));
    if rows * cols * periods > MOST_UNKNOWNS as f64 {
        return Err(LayoutError::TooLarge {
            rows: rows as usize,
            cols: cols as usize,
            periods: periods as usize,
            unknowns: (rows * cols * periods) as usize,
            farthest: farthest(study, records),
        });
    }
    Ok(Grid::covering(min, max, keys.margin_m, keys.cell_m, first, last_kill.max(as_of), keys.period_months))
}

/// What lies farthest from the middle of the records: a slip there is why a grid is too large.
fn farthest(study: &Study, records: &Records) -> String {
    let middle = |of: &dyn Fn(&Pig) -> f64| {
        let mut all: Vec<f64> = records.pigs.iter().map(of).collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).copied().unwrap_or(0.0)
    };
    let (x, y) = (middle(&|p| p.easting_m), middle(&|p| p.northing_m));
    let pigs = records.pigs.iter().map(|p| {
        let at = format!("{} row {}, {}", p.source.file, p.source.row, p.id);
        ((p.easting_m - x).hypot(p.northing_m - y), at)
    });
    let files = [&study.areas.zones, &study.areas.blocks].map(|f| f.clone().unwrap_or_default());
    let zones = records.zones.iter().map(|z| (&files[0], &z.id, &z.boundary));
    let areas = zones.chain(records.blocks.iter().map(|b| (&files[1], &b.id, &b.boundary)));
    let areas = areas.filter_map(|(file, id, boundary)| {
        let r = boundary.bounding_rect()?;
        let far = |low: f64, high: f64, at: f64| (at - low).abs().max((high - at).abs());
        let away = far(r.min().x, r.max().x, x).hypot(far(r.min().y, r.max().y, y));
        Some((away, format!("{file}, area {id}")))
    });
    let most = pigs.chain(areas).max_by(|a, b| a.0.total_cmp(&b.0));
    most.map_or("nothing".into(), |(metres, what)| format!("{what}, {:.0} km", metres / 1000.0))
}
