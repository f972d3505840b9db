//! Geometries of GeoJSON layers (RFC 7946).

use super::result::word;
use geo::{Coord, LineString, MultiPolygon, Polygon};
use serde_json::Value;

/// Every position of a geometry, ring by ring: (exterior, ring).
pub fn rings(geometry: &Value) -> Vec<(bool, Vec<[f64; 2]>)> {
    let position = |p: &Value| {
        let p = p.as_array().unwrap();
        assert_eq!(p.len(), 2, "two numbers a position");
        [p[0].as_f64().unwrap(), p[1].as_f64().unwrap()]
    };
    let ring = |r: &Value| r.as_array().unwrap().iter().map(position).collect::<Vec<_>>();
    let polygon = |p: &Value| {
        let rings = p.as_array().unwrap();
        rings.iter().enumerate().map(|(i, r)| (i == 0, ring(r))).collect::<Vec<_>>()
    };
    let at = &geometry["coordinates"];
    match word(geometry, "type") {
        "Point" => vec![(true, vec![position(at)])],
        "Polygon" => polygon(at),
        "MultiPolygon" => at.as_array().unwrap().iter().flat_map(polygon).collect(),
        other => panic!("{other} is no geometry of the contract"),
    }
}

/// Twice the signed area, positive when anticlockwise.
pub fn signed(ring: &[[f64; 2]]) -> f64 {
    // About the first corner: degrees far from zero would cancel.
    let o = ring[0];
    ring.windows(2).map(|w| (w[0][0] - o[0]) * (w[1][1] - o[1]) - (w[1][0] - o[0]) * (w[0][1] - o[1])).sum()
}

pub fn boundary(geometry: &Value) -> MultiPolygon<f64> {
    let ring = |r: &[[f64; 2]]| LineString(r.iter().map(|p| Coord { x: p[0], y: p[1] }).collect());
    let mut parts: Vec<Polygon<f64>> = Vec::new();
    for (exterior, r) in rings(geometry) {
        match parts.last_mut() {
            Some(last) if !exterior => last.interiors_push(ring(&r)),
            _ => parts.push(Polygon::new(ring(&r), vec![])),
        }
    }
    MultiPolygon(parts)
}
