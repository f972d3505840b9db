//! Square cells × periods: where and when the hazard is modelled.
//!
//! Row 0 is the southernmost row, column 0 the westernmost; period 0 the earliest.
//! Fields over cells and periods are stored `[row][period][column]`: both axes of
//! the cosine transform are then one large matrix product each.

use crate::records::{date_of_day, day_number};
use geo::Coord;
use jiff::civil::{Date, date};

/// Cells × periods of one study.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// West edge, metres.
    pub west_m: f64,
    /// South edge, metres.
    pub south_m: f64,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Number of rows (south to north).
    pub rows: usize,
    /// Number of columns (west to east).
    pub cols: usize,
    /// Length of a period, months (divides 12).
    pub period_months: u32,
    /// First day of each period, and after them the day that ends the last: `periods + 1` day numbers.
    pub period_edges: Vec<f64>,
}

impl Grid {
    /// A grid that covers a rectangle plus a margin, and the periods from `first` to `last`.
    ///
    /// Cell edges fall on whole multiples of `cell_m`, period edges on civil months
    /// counted from January, so that two studies of one study area share their cells.
    pub fn covering(
        min: Coord<f64>,
        max: Coord<f64>,
        margin_m: f64,
        cell_m: f64,
        first: Date,
        last: Date,
        period_months: u32,
    ) -> Grid {
        let west = ((min.x - margin_m) / cell_m).floor() * cell_m;
        let south = ((min.y - margin_m) / cell_m).floor() * cell_m;
        let east = ((max.x + margin_m) / cell_m).ceil() * cell_m;
        let north = ((max.y + margin_m) / cell_m).ceil() * cell_m;
        Grid {
            west_m: west,
            south_m: south,
            cell_m,
            rows: (((north - south) / cell_m).round() as usize).max(2),
            cols: (((east - west) / cell_m).round() as usize).max(2),
            period_months,
            period_edges: period_edges(first, last, period_months),
        }
    }

    /// Number of periods.
    pub fn periods(&self) -> usize {
        self.period_edges.len() - 1
    }
    /// Number of cells.
    pub fn cells(&self) -> usize {
        self.rows * self.cols
    }
    /// Length of a field over cells and periods.
    pub fn field_len(&self) -> usize {
        self.cells() * self.periods()
    }
    /// Area of a cell, hectares.
    pub fn cell_area_ha(&self) -> f64 {
        self.cell_m * self.cell_m / 10_000.0
    }
    /// Index of a cell among cells: `row · cols + col`.
    pub fn cell(&self, row: usize, col: usize) -> usize {
        row * self.cols + col
    }
    /// Index into a field stored `[row][period][column]`.
    #[inline]
    pub fn at(&self, row: usize, period: usize, col: usize) -> usize {
        (row * self.periods() + period) * self.cols + col
    }
    /// Row and column of a cell index.
    pub fn row_col(&self, cell: usize) -> (usize, usize) {
        (cell / self.cols, cell % self.cols)
    }
    /// Name of a cell: `r012c034`, from the south-west.
    pub fn cell_id(&self, cell: usize) -> String {
        let (r, c) = self.row_col(cell);
        format!("r{r:03}c{c:03}")
    }
    /// Centre of a cell, metres.
    pub fn centre(&self, cell: usize) -> Coord<f64> {
        let (r, c) = self.row_col(cell);
        Coord {
            x: self.west_m + (c as f64 + 0.5) * self.cell_m,
            y: self.south_m + (r as f64 + 0.5) * self.cell_m,
        }
    }
    /// The four corners of a cell, anticlockwise from the south-west, metres.
    pub fn corners(&self, cell: usize) -> [Coord<f64>; 4] {
        let (r, c) = self.row_col(cell);
        let x = self.west_m + c as f64 * self.cell_m;
        let y = self.south_m + r as f64 * self.cell_m;
        let s = self.cell_m;
        [Coord { x, y }, Coord { x: x + s, y }, Coord { x: x + s, y: y + s }, Coord { x, y: y + s }]
    }
    /// The north-west corner of the grid, metres.
    pub fn north_west(&self) -> Coord<f64> {
        Coord { x: self.west_m, y: self.south_m + self.rows as f64 * self.cell_m }
    }
    /// The cell that holds a place, if it lies on the grid.
    pub fn cell_of(&self, easting_m: f64, northing_m: f64) -> Option<usize> {
        let c = ((easting_m - self.west_m) / self.cell_m).floor();
        let r = ((northing_m - self.south_m) / self.cell_m).floor();
        let inside = c >= 0.0 && r >= 0.0 && (c as usize) < self.cols && (r as usize) < self.rows;
        inside.then(|| self.cell(r as usize, c as usize))
    }
    /// The period that holds a day; days before the first period count in it, days after the last in the
    /// last.
    pub fn period_of(&self, day: f64) -> usize {
        let later = self.period_edges.partition_point(|&e| e <= day);
        later.saturating_sub(1).min(self.periods() - 1)
    }
    /// First day of a period.
    pub fn period_start(&self, period: usize) -> Date {
        date_of_day(self.period_edges[period])
    }
    /// Share of `[first, last)` (day numbers) that falls in each period; sums to 1 when the span lies on the
    /// periods.
    pub fn period_shares(&self, first: f64, last: f64) -> Vec<f64> {
        let length = (last - first).max(f64::MIN_POSITIVE);
        self.period_edges.windows(2).map(|e| (last.min(e[1]) - first.max(e[0])).max(0.0) / length).collect()
    }
    /// Whether the sizes and edges are sound: checked in tests and wherever a grid is made by hand.
    pub fn check(&self) -> Result<(), String> {
        if self.rows < 2 || self.cols < 2 {
            return Err(format!("a grid of {} × {} cells is too small", self.rows, self.cols));
        }
        if self.period_edges.len() < 2 || self.period_edges.windows(2).any(|e| e[1] <= e[0]) {
            return Err("period edges do not rise".into());
        }
        if !(self.cell_m > 0.0) || !self.west_m.is_finite() || !self.south_m.is_finite() {
            return Err("cell size or origin is not a number".into());
        }
        Ok(())
    }
}

/// Day numbers of the period edges from the period that holds `first` to the end of the one that holds
/// `last`.
fn period_edges(first: Date, last: Date, months: u32) -> Vec<f64> {
    let m = months as i32;
    let index = |d: Date| (i32::from(d.year()) * 12 + i32::from(d.month()) - 1).div_euclid(m);
    let start = |i: i32| {
        let k = i * m;
        day_number(date(k.div_euclid(12) as i16, (k.rem_euclid(12) + 1) as i8, 1))
    };
    (index(first)..=index(last.max(first)) + 1).map(start).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Grid {
        Grid::covering(
            Coord { x: 1500.0, y: 2500.0 },
            Coord { x: 4200.0, y: 3100.0 },
            1000.0,
            1000.0,
            date(2019, 8, 20),
            date(2021, 2, 3),
            6,
        )
    }

    #[test]
    fn covers_the_rectangle_with_its_margin() {
        let g = grid();
        assert_eq!((g.west_m, g.south_m, g.rows, g.cols), (0.0, 1000.0, 4, 6));
        assert_eq!(g.cell_of(0.0, 1000.0), Some(0));
        assert_eq!(g.cell_of(5999.9, 4999.9), Some(23));
        assert_eq!(g.cell_of(-0.1, 1000.0), None);
        assert_eq!(g.cell_of(6000.0, 1000.0), None);
        assert_eq!(g.cell_id(g.cell(1, 2)), "r001c002");
        g.check().unwrap();
    }

    #[test]
    fn periods_start_on_civil_half_years() {
        let g = grid();
        let starts: Vec<_> = (0..g.periods()).map(|p| g.period_start(p)).collect();
        assert_eq!(starts, vec![date(2019, 7, 1), date(2020, 1, 1), date(2020, 7, 1), date(2021, 1, 1)]);
        assert_eq!(g.period_of(day_number(date(2020, 6, 30))), 1);
        assert_eq!(g.period_of(day_number(date(2020, 7, 1))), 2);
        assert_eq!(g.period_of(day_number(date(2001, 7, 1))), 0);
        assert_eq!(g.period_of(day_number(date(2031, 7, 1))), 3);
        let s = g.period_shares(day_number(date(2020, 4, 1)), day_number(date(2020, 10, 1)));
        assert!((s.iter().sum::<f64>() - 1.0).abs() < 1e-12 && s[1] > 0.49 && s[2] > 0.49);
    }
}
