//! Layers as RFC 7946 wants them.

use super::study_run::{LAYERS, base};
use crate::common::geojson::{rings, signed};
use crate::common::result::word;
use std::collections::BTreeSet;

/// Longitudes and latitudes in which the study area lies: its pigs, with the grid's margin.
fn district_degrees() -> [(f64, f64); 2] {
    let path = base().folder.path().join("study/pigs.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let column_names = reader.headers().unwrap().clone();
    let column = |name: &str| column_names.iter().position(|h| h == name).unwrap();
    let at = [column("decimalLongitude"), column("decimalLatitude")];
    let mut range = [(f64::INFINITY, f64::NEG_INFINITY); 2];
    for row in reader.records() {
        let row = row.unwrap();
        for (r, c) in range.iter_mut().zip(at) {
            let v: f64 = row[c].parse().unwrap();
            *r = (r.0.min(v), r.1.max(v));
        }
    }
    // Island of 13 km, margin of 6 km, a cell of 1 km: a fifth of a degree is 22 km of latitude and more
    // than 14 km of longitude south of 48° S; a third covers both.
    range.map(|(low, high)| (low - 0.33, high + 0.33))
}

#[test]
fn layers_obey_rfc_7946() {
    let [(west, east), (south, north)] = district_degrees();
    assert!(east < 180.0 && north < west, "longitude and latitude cannot be taken for one another here");
    for name in LAYERS {
        let layer = base().json(name);
        let members: BTreeSet<&str> = layer.as_object().unwrap().keys().map(String::as_str).collect();
        // §4: a crs member is no longer used; §3.3: type and features.
        assert_eq!(members, BTreeSet::from(["type", "bbox", "features"]), "{name}");
        assert_eq!(word(&layer, "type"), "FeatureCollection");
        let mut bbox = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let mut ids = BTreeSet::new();
        let features = base().features(name);
        assert!(!features.is_empty(), "{name} has features");
        for f in &features {
            assert_eq!(word(f, "type"), "Feature");
            assert!(ids.insert(f["id"].to_string()), "{name}: the id {} is unique", f["id"]);
            for (exterior, ring) in rings(&f["geometry"]) {
                for [lon, lat] in &ring {
                    // §3.1.1: longitude, then latitude.
                    assert!(*lon > west && *lon < east && *lat > south && *lat < north, "{name} {lon} {lat}");
                    bbox = [bbox[0].min(*lon), bbox[1].min(*lat), bbox[2].max(*lon), bbox[3].max(*lat)];
                }
                if ring.len() == 1 {
                    continue;
                }
                // §3.1.6: closed, four positions or more, exterior anticlockwise, holes clockwise.
                assert!(ring.len() >= 4 && ring.first() == ring.last(), "{name} {}", f["id"]);
                assert_eq!(signed(&ring) > 0.0, exterior, "{name} {}: winding", f["id"]);
            }
            for (key, value) in f["properties"].as_object().unwrap() {
                assert!(!value.is_null(), "{name} {}: {key} is null", f["id"]);
            }
        }
        // §5.
        let kept: Vec<f64> = layer["bbox"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert_eq!(kept, bbox, "{name}");
        // §11.2 asks for no more digits than are known; the contract for seven decimals. JSON has no NaN.
        let text = String::from_utf8(base().bytes(name)).unwrap();
        assert!(!text.contains("NaN") && !text.contains("inf,") && !text.contains("null"), "{name}");
        let places = text.split("\"coordinates\":").skip(1).map(|t| t.split('}').next().unwrap());
        for number in places.flat_map(|t| t.split(['[', ']', ',', '"'])).filter(|n| n.contains('.')) {
            let decimals = number.split('.').nth(1).unwrap();
            assert!(decimals.len() <= 7 && !decimals.contains(['e', 'E']), "{name}: {number}");
        }
    }
}
