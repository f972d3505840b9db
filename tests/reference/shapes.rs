//! Ranges, masses, correlations and priors against published rules and standard functions.

use super::cases;
use crate::common::home_range::range_sd_m;
use pignut::internals::kernel::field::{HazardField, Shape};
use pignut::internals::kernel::home_range::axis_mass;
use pignut::internals::kernel::prior::{Hyper, log_range_density, log_sd_density};
use pignut::internals::numerics::normal::mass;
use pignut::internals::study::model_keys::Link;

#[test]
fn range_areas_give_their_standard_deviations() {
    let all = cases("ranges.ref");
    assert_eq!(all.len(), 2);
    for case in all {
        let areas: Vec<f64> = match case.name.as_str() {
            "sigma_from_area" => case.list("area_km2").to_vec(),
            _ => case.list("radius_km").iter().map(|r| std::f64::consts::PI * r * r).collect(),
        };
        let sigma: Vec<f64> = areas.iter().map(|a| range_sd_m(*a) / 1000.0).collect();
        case.check("sigma_km", &sigma);
        case.finish();
    }
}

#[test]
fn a_circular_normal_falls_into_its_cells() {
    let case = cases("normal.ref").remove(1);
    let cell = case.number("cell_m");
    // Eleven cells, centred on the middle one.
    let axis = axis_mass(0.0, case.number("sigma_m"), -5.5 * cell, cell, 11);
    let at = |j: usize| axis.mass[j - axis.start];
    case.check("centre", &[at(5) * at(5)]);
    // The outermost cell kept holds the tail beyond 4 s.d. too, here the next cell but one: these are exact.
    case.check("side", &[at(5) * at(6)]);
    case.check("corner", &[at(4) * at(6)]);
    case.check("nine_cells", &[(at(4) + at(5) + at(6)).powi(2)]);
    case.finish();
}

#[test]
fn masses_of_intervals_have_every_digit() {
    let case = cases("normal.ref").remove(2);
    let ends = case.list("from").iter().zip(case.list("to"));
    case.check("mass", &ends.map(|(a, b)| mass(*a, *b)).collect::<Vec<f64>>());
    case.finish();
}

/// Covariance of the latent field with that of its middle cell, along a row: C⁻¹ s² C e by the
/// model's own pass back and forth.
fn covariance(cells: usize, range_cells: f64) -> Vec<f64> {
    let shape = Shape {
        rows: cells,
        periods: 1,
        cols: cells,
        cell_m: 1000.0,
        period_months: 6.0,
        dispersal_mean_m: 4000.0,
        link: Link::Exp,
        focus_share: 0.0,
        focus_range_m: 1500.0,
    };
    let hyper = Hyper {
        level: 0.0,
        log_range: (1000.0 * range_cells).ln(),
        log_sd: 0.0,
        persistence_logit: 3.0,
        operation: vec![],
    };
    let n = shape.len();
    let mut field = HazardField::new(shape, vec![]);
    let z = vec![0.0; n];
    // At z = 0, level 0 and the exponential link both λ and dλ/dx are 1: J is the latent map itself.
    field.forward(&z, &hyper);
    let middle = cells / 2;
    let mut by_hazard = vec![0.0; n];
    by_hazard[middle * cells + middle] = 1.0;
    let (mut by_z, mut by_hyper) = (vec![0.0; n], vec![0.0; 4]);
    field.backward(&by_hazard, &mut vec![0.0; n], &z, &hyper, &mut by_z, &mut by_hyper);
    let (mut out, mut dispersed) = (vec![0.0; n], vec![0.0; n]);
    field.push_forward(&by_z, &hyper, &mut out, &mut dispersed);
    out[middle * cells + middle..(middle + 1) * cells].to_vec()
}

#[test]
fn the_field_has_the_matern_correlation() {
    let case = cases("normal.ref").remove(0);
    let at = |range: f64| -> Vec<f64> {
        let c = covariance(160, range);
        // The average variance is 1. Reflecting edges take more: per axis the mode without waves counts
        // in full where the middle has half of it, π/(2κL) of the whole.
        let excess = std::f64::consts::PI * range / (2.0 * 8f64.sqrt() * 160.0);
        assert!((c[0] * (1.0 + excess).powi(2) - 1.0).abs() < 0.01, "variance in the middle {}", c[0]);
        case.list("distance_over_range").iter().map(|d| c[(d * range) as usize] / c[0]).collect()
    };
    let (coarse, fine) = (at(8.0), at(16.0));
    case.check("correlation", &coarse);
    case.check("correlation", &fine);
    // Cells half the size: the variance of the missing short waves falls by four. Read at one range.
    let exact = 0.139_667_5;
    assert!((fine[2] - exact).abs() < 0.5 * (coarse[2] - exact).abs() + 1e-4, "{} {}", fine[2], coarse[2]);
    case.finish();
}

#[test]
fn priors_of_range_and_sd_have_the_stated_density() {
    let case = cases("priors.ref").remove(0);
    let l1 = -case.number("range_probability").ln() * case.number("range_bound");
    let l2 = -case.number("sd_probability").ln() / case.number("sd_bound");
    let (range, sd) = (case.number("range"), case.number("sd"));
    // Ours are densities of the logarithms: 1/r and 1/s take them back.
    let log_density =
        log_range_density(l1, range.ln()).0 - range.ln() + log_sd_density(l2, sd.ln()).0 - sd.ln();
    case.check("log_density", &[log_density]);
    case.finish();
}

/// RFC 7946 §3.1.9: the rectangle from 170° E to 170° W and 40° to 50° N, in two parts; §5.2: the box of
/// Fiji.
#[test]
fn layers_are_cut_at_the_antimeridian() {
    use geo::{Area, Coord, Rect};
    use pignut::internals::contract::{FileKind, FileSpec, Written};
    use pignut::internals::report::layers::antimeridian::{cut, west_east};
    use pignut::internals::report::layers::builder::{LayerBuilder, Properties};
    let corners = [(170.0, 40.0), (-170.0, 40.0), (-170.0, 50.0), (170.0, 50.0)];
    let whole = geo::Polygon::new(corners.map(Coord::from).to_vec().into(), vec![]);
    let parts = cut(&geo::MultiPolygon(vec![whole])).expect("it crosses");
    let boxes: Vec<Rect> =
        parts.0.iter().map(|p| geo::BoundingRect::bounding_rect(p).expect("corners")).collect();
    let part = |west: f64, east: f64| Rect::new(Coord { x: west, y: 40.0 }, Coord { x: east, y: 50.0 });
    assert_eq!(boxes, [part(170.0, 180.0), part(-180.0, -170.0)]);
    assert_eq!(parts.0.iter().map(Area::unsigned_area).collect::<Vec<f64>>(), [100.0, 100.0]);
    assert_eq!(west_east(&[-178.0, 180.0, -180.0, 177.0]), Some((177.0, -178.0)));
    assert_eq!(west_east(&[]), None);
    // A cell astride 180° in the Pacific Mercator of the EPSG register (central meridian 150° E).
    let projector = pignut::internals::geography::coordinates::projector::Projector::new("EPSG:3832")
        .expect("a system of the register");
    let at = projector.from_wgs84(&[Coord { x: 180.0, y: -17.0 }]).expect("on the map")[0];
    static BARE: FileSpec = FileSpec {
        path: "bare.geojson",
        kind: FileKind::Layer,
        row: "cell",
        written: Written::Always,
        meaning: "",
        columns: &[],
    };
    let mut layer = LayerBuilder::new(&BARE, &projector);
    let ring = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let ring = ring.map(|(x, y)| Coord { x: at.x + 1000.0 * x, y: at.y + 1000.0 * y });
    layer.ring(&ring, "C1", Properties::new()).expect("on the map");
    let layer: serde_json::Value = serde_json::from_slice(&layer.finish()).expect("JSON");
    let shape = &layer["features"][0]["geometry"];
    assert_eq!(shape["type"], "MultiPolygon");
    for polygon in shape["coordinates"].as_array().expect("parts") {
        let ring: Vec<(f64, f64)> = polygon[0]
            .as_array()
            .expect("a ring")
            .iter()
            .map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap()))
            .collect();
        let (low, high) = ring.iter().fold((f64::MAX, f64::MIN), |m, p| (m.0.min(p.0), m.1.max(p.0)));
        assert!(high - low < 0.02, "{ring:?}");
        let twice_area: f64 = ring.windows(2).map(|w| w[0].0 * w[1].1 - w[1].0 * w[0].1).sum();
        assert!(twice_area > 0.0, "outer rings run anticlockwise: {ring:?}");
    }
    let bbox: Vec<f64> =
        layer["bbox"].as_array().expect("a box").iter().map(|v| v.as_f64().unwrap()).collect();
    assert!(bbox[0] > 179.9 && bbox[2] < -179.9 && bbox[1] < bbox[3], "{bbox:?}");
}
