//! Layers at 180° of longitude: polygons cut there, and a box that may run across it.

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon, Rect};

/// Polygons in degrees, cut where an edge crosses 180°; `None` when none does.
///
/// # Shapes and units
/// longitude, latitude, in degrees from −180 to 180. An edge that spans more than half the Earth goes the
/// other way round. The parts have vertices at 180 on one side and at −180 on the other.
/// # Source
/// RFC 7946 §3.1.9: cut, so that no part's representation crosses the antimeridian.
/// # Example
/// ```
/// use geo::{MultiPolygon, Rect, coord};
/// use pignut::internals::report::layers::antimeridian::cut;
/// let inland = Rect::new(coord! { x: 170.0, y: 40.0 }, coord! { x: 179.0, y: 50.0 }).to_polygon();
/// assert!(cut(&MultiPolygon(vec![inland])).is_none());
/// ```
pub fn cut(area: &MultiPolygon<f64>) -> Option<MultiPolygon<f64>> {
    let crosses = |ring: &LineString<f64>| ring.0.windows(2).any(|w| (w[0].x - w[1].x).abs() > 180.0);
    if !area.0.iter().any(|p| crosses(p.exterior())) {
        return None;
    }
    // East of 180° counted on, so that an boundary is of one piece.
    let onward = |ring: &LineString<f64>| -> LineString<f64> {
        ring.0.iter().map(|c| Coord { x: if c.x < 0.0 { c.x + 360.0 } else { c.x }, y: c.y }).collect()
    };
    let mut parts = Vec::new();
    for polygon in &area.0 {
        if !crosses(polygon.exterior()) {
            parts.push(polygon.clone());
            continue;
        }
        let whole =
            Polygon::new(onward(polygon.exterior()), polygon.interiors().iter().map(onward).collect());
        for (west, back) in [(0.0, 0.0), (180.0, 360.0)] {
            let half =
                Rect::new(Coord { x: west, y: -90.0 }, Coord { x: west + 180.0, y: 90.0 }).to_polygon();
            for part in whole.intersection(&half) {
                let shift = |ring: &LineString<f64>| -> LineString<f64> {
                    ring.0.iter().map(|c| Coord { x: c.x - back, y: c.y }).collect()
                };
                parts
                    .push(Polygon::new(shift(part.exterior()), part.interiors().iter().map(shift).collect()));
            }
        }
    }
    Some(MultiPolygon(parts))
}

/// Western and eastern edge of the narrowest box that holds all longitudes; `None` without any.
///
/// # Formula
/// The box leaves out the widest gap between neighbours on the circle: west > east when it crosses 180°.
/// # Source
/// RFC 7946 §5.2.
/// # Example
/// ```
/// use pignut::internals::report::layers::antimeridian::west_east;
/// assert_eq!(west_east(&[177.0, 179.0, -178.0]), Some((177.0, -178.0))); // Fiji, RFC 7946 §5.2
/// assert_eq!(west_east(&[172.0, 173.5]), Some((172.0, 173.5)));
/// ```
pub fn west_east(longitudes: &[f64]) -> Option<(f64, f64)> {
    let mut all = longitudes.to_vec();
    all.sort_by(f64::total_cmp);
    let (first, last) = (*all.first()?, *all.last()?);
    let (mut widest, mut edges) = (first + 360.0 - last, (first, last));
    for pair in all.windows(2) {
        if pair[1] - pair[0] > widest {
            (widest, edges) = (pair[1] - pair[0], (pair[1], pair[0]));
        }
    }
    Some(edges)
}
