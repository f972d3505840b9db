//! Boundaries of areas, and what their files say of them.

use super::reading::{read, same_six, study_of};
use geo::Coord;
use jiff::civil::date;
use pignut::internals::geography::coordinates::projector::Projector;

#[test]
fn areas_arrive_in_metres() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::copy(same_six().join("six.csv"), dir.path().join("pigs.csv")).unwrap();
    let mut study = study_of(dir.path(), &["pigs.csv"]);
    let p = Projector::new("EPSG:2193").unwrap();
    // A square of 10 km in the study's system, written out as RFC 7946 wants it.
    let corners = [
        (1_590_000.0, 5_570_000.0),
        (1_600_000.0, 5_570_000.0),
        (1_600_000.0, 5_580_000.0),
        (1_590_000.0, 5_580_000.0),
    ];
    let ring: Vec<String> = corners
        .iter()
        .chain(&corners[..1])
        .map(|&(x, y)| {
            let at = p.to_wgs84(&[Coord { x, y }]).unwrap()[0];
            format!("[{:.9},{:.9}]", at.x, at.y)
        })
        .collect();
    let square = format!("{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}", ring.join(","));
    let file = |name: &str, properties: &str, crs: &str, geometry: &str| {
        std::fs::write(
            dir.path().join(name),
            format!(
                "{{\"type\":\"FeatureCollection\",{crs}\"features\":[{{\
                 \"type\":\"Feature\",\"properties\":{properties},\"geometry\":{geometry}}}]}}"
            ),
        )
        .unwrap();
    };
    file("zones.geojson", r#"{"zone_id": 7, "priorFree": "0,9", "introductionPerYear": 0.05}"#, "", &square);
    let projected: Vec<String> =
        corners.iter().chain(&corners[..1]).map(|(x, y)| format!("[{x},{y}]")).collect();
    file(
        "blocks.geojson",
        r#"{"blockID": "K1", "name": "West", "possumCostPerHa": 25, "feasible": false}"#,
        r#""crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::2193"}},"#,
        &format!("{{\"type\":\"MultiPolygon\",\"coordinates\":[[[{}]]]}}", projected.join(",")),
    );
    file("cover.geojson", r#"{"cover": "forest"}"#, "", &square);
    std::fs::write(
        dir.path().join("operations.csv"),
        "blockID;vector;startDate;endDate;efficacy\nK1;Possum;2019-06;2019-07;85%\nK1;ferret;2020-02-03;;\n",
    )
    .unwrap();
    study.areas.zones = Some("zones.geojson".into());
    study.areas.blocks = Some("blocks.geojson".into());
    study.areas.cover = Some("cover.geojson".into());
    study.areas.operations = Some("operations.csv".into());
    let read = read(&study).unwrap();
    assert!(read.account.findings.iter().all(|f| f.file == "pigs.csv"), "{:?}", read.account.findings);
    use geo::Area;
    let r = &read.records;
    for boundary in [&r.zones[0].boundary, &r.blocks[0].boundary, &r.cover[0].boundary] {
        // 100 km² to a square metre per corner: nine decimals of a degree are 0.1 mm.
        assert!((boundary.unsigned_area() - 1e8).abs() < 10.0, "{}", boundary.unsigned_area());
    }
    assert_eq!((r.zones[0].id.as_str(), r.zones[0].name.as_str()), ("7", "7"));
    assert_eq!((r.zones[0].prior_free, r.zones[0].introduction_per_year), (Some(0.9), Some(0.05)));
    assert_eq!((r.blocks[0].name.as_str(), r.blocks[0].feasible), ("West", false));
    assert_eq!((r.blocks[0].possum_cost_per_ha, r.blocks[0].ferret_cost_per_ha), (Some(25.0), None));
    let o = &r.operations;
    assert_eq!((o[0].start, o[0].end, o[0].efficacy), (date(2019, 6, 1), date(2019, 7, 31), Some(0.85)));
    assert_eq!((o[1].start, o[1].end, o[1].efficacy), (date(2020, 2, 3), date(2020, 2, 3), None));
    let roles: Vec<_> = read.account.inputs.iter().map(|i| (i.role, i.rows)).collect();
    assert_eq!(
        roles,
        vec![
            ("pigs", Some(6)),
            ("zones", Some(1)),
            ("blocks", Some(1)),
            ("cover", Some(1)),
            ("operations", Some(2))
        ]
    );
}
