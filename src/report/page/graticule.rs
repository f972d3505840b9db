//! Meridians and parallels over the grid: the map has no other base.

use crate::geography::coordinates::held::ProjectionError;
use crate::geography::coordinates::projector::Projector;
use crate::geography::grid::Grid;
use geo::Coord;
use serde::Serialize;

/// One meridian or parallel.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Line {
    /// `174.5° E`.
    pub label: String,
    /// Whether it runs north to south.
    pub meridian: bool,
    /// Places along it, metres east and north of the grid's corner, alternating.
    pub points: Vec<i64>,
}

/// Steps between lines, degrees, finest first.
const STEPS_DEG: [f64; 11] = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
/// Places sampled along each line.
const SAMPLES: usize = 48;

/// Lines that cross the grid, three to six each way where the steps allow.
///
/// # Errors
/// [`ProjectionError::NoPlace`] when the grid's edge has no place on Earth.
pub(crate) fn lines(grid: &Grid, projector: &Projector) -> Result<Vec<Line>, ProjectionError> {
    let (w, h) = (grid.cols as f64 * grid.cell_m, grid.rows as f64 * grid.cell_m);
    let edge: Vec<Coord<f64>> = (0..=12)
        .flat_map(|i| {
            let s = f64::from(i) / 12.0;
            [(s * w, 0.0), (s * w, h), (0.0, s * h), (w, s * h)]
        })
        .map(|(x, y)| Coord { x: grid.west_m + x, y: grid.south_m + y })
        .collect();
    let degrees = projector.to_wgs84(&edge)?;
    let range = |f: fn(&Coord<f64>) -> f64| {
        degrees.iter().map(f).fold((f64::INFINITY, f64::NEG_INFINITY), |a, v| (a.0.min(v), a.1.max(v)))
    };
    let (lon, lat) = (range(|c| c.x), range(|c| c.y));
    // A grid astride the antimeridian would ask for lines all round the Earth: none is better.
    if lon.1 - lon.0 > 180.0 {
        return Ok(Vec::new());
    }
    let mut out = Vec::new();
    for (meridian, across, along) in [(true, lon, lat), (false, lat, lon)] {
        let step = STEPS_DEG.into_iter().find(|s| (across.1 - across.0) / s <= 6.0).unwrap_or(45.0);
        let first = (across.0 / step).ceil() as i64;
        let last = (across.1 / step).floor() as i64;
        for k in first..=last {
            let value = k as f64 * step;
            let places: Vec<Coord<f64>> = (0..=SAMPLES)
                .map(|i| along.0 + (along.1 - along.0) * i as f64 / SAMPLES as f64)
                .map(|v| if meridian { Coord { x: value, y: v } } else { Coord { x: v, y: value } })
                .collect();
            let points: Vec<i64> = projector
                .from_wgs84(&places)?
                .iter()
                .map(|c| (c.x - grid.west_m, c.y - grid.south_m))
                .filter(|(x, y)| *x >= -w * 0.03 && *x <= w * 1.03 && *y >= -h * 0.03 && *y <= h * 1.03)
                .flat_map(|(x, y)| [x.round() as i64, y.round() as i64])
                .collect();
            if points.len() >= 4 {
                out.push(Line { label: label(value, step, meridian), meridian, points });
            }
        }
    }
    Ok(out)
}

fn label(value: f64, step: f64, meridian: bool) -> String {
    let decimals = (-step.log10()).ceil().max(0.0) as usize;
    let side = match (meridian, value < 0.0) {
        (true, false) => "E",
        (true, true) => "W",
        (false, false) => "N",
        (false, true) => "S",
    };
    format!("{:.decimals$}° {side}", value.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// NZTM2000's central meridian is 173° E at 1 600 000 m E (LINZS25002): that line is straight north.
    #[test]
    fn the_central_meridian_is_a_straight_line_at_its_easting() {
        let grid = Grid::covering(
            Coord { x: 1_580_000.0, y: 5_400_000.0 },
            Coord { x: 1_620_000.0, y: 5_440_000.0 },
            0.0,
            1000.0,
            date(2020, 1, 1),
            date(2020, 7, 1),
            6,
        );
        let lines = lines(&grid, &Projector::new("EPSG:2193").unwrap()).unwrap();
        let middle = lines.iter().find(|l| l.label == "173.0° E").expect("173° E crosses the grid");
        assert!(middle.meridian && middle.points.chunks(2).all(|p| p[0] == 20_000), "{middle:?}");
        assert!(lines.iter().filter(|l| !l.meridian).all(|l| l.label.ends_with("° S")));
        assert!(lines.iter().filter(|l| !l.meridian).count() >= 2);
    }
}
