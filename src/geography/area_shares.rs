//! Polygons on the grid: which share of each cell lies in an area.

use crate::geography::grid::Grid;
use geo::{BoundingRect, Contains, Coord, MultiPolygon, Point, Polygon, Rect};
use rstar::{AABB, RTree, RTreeObject};

/// Sub-points per axis by which a cell's share is counted: shares are multiples of 1/25.
pub(crate) const SUB_POINTS: usize = 5;

/// Share of every cell that lies in an area, by counting 5 × 5 sub-points.
///
/// # Shapes and units
/// `outline` in the grid's projected system; result: one share in [0, 1] a cell.
pub fn cell_shares(grid: &Grid, boundary: &MultiPolygon<f64>) -> Vec<f64> {
    let mut shares = vec![0.0; grid.cells()];
    let parts = Parts::new(std::iter::once(boundary));
    for (cell, share) in shares.iter_mut().enumerate() {
        let [low, _, high, _] = grid.corners(cell);
        let near = parts.near(low, high);
        if near.is_empty() {
            continue;
        }
        let inside =
            sub_points(grid, cell).filter(|p| near.iter().any(|k| boundary.0[*k].contains(p))).count();
        *share = inside as f64 / (SUB_POINTS * SUB_POINTS) as f64;
    }
    shares
}

/// The sub-points of a cell.
pub(crate) fn sub_points(grid: &Grid, cell: usize) -> impl Iterator<Item = Point<f64>> + use<> {
    let corner = grid.corners(cell)[0];
    let step = grid.cell_m / SUB_POINTS as f64;
    (0..SUB_POINTS * SUB_POINTS).map(move |k| {
        let (i, j) = (k / SUB_POINTS, k % SUB_POINTS);
        Point::new(corner.x + (j as f64 + 0.5) * step, corner.y + (i as f64 + 0.5) * step)
    })
}

/// Share of every cell within a radius of a place, by the same sub-points.
pub(crate) fn shares_within(grid: &Grid, centre: Coord<f64>, radius_m: f64) -> Vec<f64> {
    let reach = radius_m + grid.cell_m;
    (0..grid.cells())
        .map(|cell| {
            let c = grid.centre(cell);
            if (c.x - centre.x).abs() > reach || (c.y - centre.y).abs() > reach {
                return 0.0;
            }
            let inside = sub_points(grid, cell)
                .filter(|p| (p.x() - centre.x).hypot(p.y() - centre.y) <= radius_m)
                .count();
            inside as f64 / (SUB_POINTS * SUB_POINTS) as f64
        })
        .collect()
}

/// Which of several areas holds a place: the first that contains it.
pub(crate) fn area_of<'a>(
    boundaries: impl Iterator<Item = &'a MultiPolygon<f64>>,
    easting_m: f64,
    northing_m: f64,
) -> Option<usize> {
    let place = Point::new(easting_m, northing_m);
    boundaries.enumerate().find(|(_, o)| o.contains(&place)).map(|(i, _)| i)
}

/// Polygons' boxes in a search tree.
struct Parts(RTree<OutlinePart>);

struct OutlinePart {
    index: usize,
    envelope: AABB<[f64; 2]>,
}

impl RTreeObject for OutlinePart {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        self.envelope
    }
}

impl Parts {
    fn new<'a>(boundaries: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Parts {
        let parts = boundaries
            .flat_map(|o| &o.0)
            .enumerate()
            .filter_map(|(index, polygon)| {
                let r = polygon.bounding_rect()?;
                let envelope = AABB::from_corners([r.min().x, r.min().y], [r.max().x, r.max().y]);
                Some(OutlinePart { index, envelope })
            })
            .collect();
        Parts(RTree::bulk_load(parts))
    }
    fn near(&self, low: Coord<f64>, high: Coord<f64>) -> Vec<usize> {
        let query = AABB::from_corners([low.x, low.y], [high.x, high.y]);
        self.0.locate_in_envelope_intersecting(&query).map(|p| p.index).collect()
    }
}

/// Cells merged into as few polygons as possible, study's system.
pub(crate) fn dissolve(grid: &Grid, cells: &[usize]) -> MultiPolygon<f64> {
    // In whole grid steps, where the union is exact; then to metres.
    let squares: Vec<Polygon<f64>> = cells
        .iter()
        .map(|c| {
            let (r, c) = grid.row_col(*c);
            let low = Coord { x: c as f64, y: r as f64 };
            Rect::new(low, Coord { x: low.x + 1.0, y: low.y + 1.0 }).to_polygon()
        })
        .collect();
    use geo::MapCoords;
    geo::unary_union(&squares).map_coords(|c| Coord {
        x: grid.west_m + c.x.round() * grid.cell_m,
        y: grid.south_m + c.y.round() * grid.cell_m,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;
    use jiff::civil::date;

    #[test]
    fn shares_add_up_to_the_area() {
        let grid = Grid::covering(
            Coord { x: 0.0, y: 0.0 },
            Coord { x: 9000.0, y: 9000.0 },
            0.0,
            1000.0,
            date(2020, 1, 1),
            date(2020, 2, 1),
            6,
        );
        let square = MultiPolygon(vec![polygon![
            (x: 1400.0, y: 2000.0), (x: 4400.0, y: 2000.0), (x: 4400.0, y: 5000.0), (x: 1400.0, y: 5000.0)
        ]]);
        let shares = cell_shares(&grid, &square);
        assert!((shares.iter().sum::<f64>() - 9.0).abs() < 1e-12);
        assert_eq!(shares[grid.cell(3, 1)], 0.6);
        assert_eq!(shares[grid.cell(3, 2)], 1.0);
        assert_eq!(area_of([&square].into_iter(), 2000.0, 3000.0), Some(0));
        assert_eq!(area_of([&square].into_iter(), 200.0, 3000.0), None);
        let disc = shares_within(&grid, Coord { x: 4500.0, y: 4500.0 }, 3000.0).iter().sum::<f64>();
        // Area of the disc, km²: 25 points a cell resolve it to about 1 %.
        assert!((disc - std::f64::consts::PI * 9.0).abs() < 0.3, "{disc}");
    }
}
