//! Counts, histories of areas and gaps add up across the files.

use super::study_run::{ROUNDING_REL, base};
use crate::common::geojson::rings;
use crate::common::result::{close, num, numbers, word};
use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use pignut::internals::geography::coordinates::projector::Projector;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;

#[test]
fn counts_add_up_across_the_files() {
    let run = base();
    let (summary, manifest) = (run.json("summary.json"), run.json("manifest.json"));
    let rows =
        fs::read_to_string(run.folder.path().join("study/pigs.csv")).unwrap().lines().count() as f64 - 1.0;
    let records = &summary["records"];
    assert_eq!(records, &manifest["records"]);
    let [read, used, warned, refused] =
        ["read", "used", "used_with_warning", "refused"].map(|n| num(records, n));
    assert_eq!((read, read), (rows, used + warned + refused));
    let input = manifest["inputs"].as_array().unwrap().iter().find(|i| i["path"] == "pigs.csv").unwrap();
    assert_eq!(num(input, "rows"), rows);
    let pigs = &summary["pigs"];
    let [all, confirmed, suspect, negative] =
        ["used", "confirmed", "suspect", "negative"].map(|n| num(pigs, n));
    assert_eq!((all, all), (used + warned, confirmed + suspect + negative));
    // Findings, row by row.
    let mut reader = csv::Reader::from_reader(run.bytes("findings.csv").as_slice())
        .into_records()
        .map(Result::unwrap)
        .collect::<Vec<_>>();
    reader.retain(|r| &r[2] == "pigs.csv" && !r[3].is_empty());
    let rows_with = |severity: &str| {
        reader.iter().filter(|r| &r[0] == severity).map(|r| r[3].to_string()).collect::<BTreeSet<_>>()
    };
    let refused_rows = rows_with("refused");
    assert_eq!(refused_rows.len() as f64, refused);
    assert_eq!(rows_with("warning").difference(&refused_rows).count() as f64, warned);
    // Positives.
    let positives = run.features("positives.geojson");
    assert_eq!(positives.len() as f64, confirmed + suspect);
    let of =
        |reading: &str| positives.iter().filter(|f| f["properties"]["reading"] == reading).count() as f64;
    assert_eq!((of("confirmed"), of("suspect")), (confirmed, suspect));
    assert!(confirmed + suspect >= 3.0, "a district with something to say: {confirmed} {suspect}");
    let truly: f64 = positives.iter().map(|f| num(&f["properties"], "p_true")).sum();
    assert!(close(num(pigs, "truly_infected_expected"), truly, ROUNDING_REL));
    // Cells.
    let cells = run.features("cells.geojson");
    for standing in ["active", "possible", "quiet", "unseen"] {
        let n = cells.iter().filter(|f| f["properties"]["standing"] == standing).count() as f64;
        assert_eq!(num(&summary["cells"], standing), n, "{standing}");
    }
    let total = |name: &str| cells.iter().map(|f| num(&f["properties"], name)).sum::<f64>();
    assert!(close(num(&summary, "exposure_pig_years"), total("exposure_pig_years"), ROUNDING_REL));
    let grid = &summary["whole_grid"];
    assert!(close(num(grid, "infected_inside_expected"), total("expected_infections"), ROUNDING_REL));
    assert_eq!((num(grid, "pigs"), num(grid, "confirmed")), (all, confirmed));
    // Zones: the layer and the summary say the same; pigs are in one zone at most.
    let zones = run.features("zones.geojson");
    let told = summary["zones"].as_array().unwrap();
    assert_eq!(zones.len(), told.len());
    for (f, t) in zones.iter().zip(told) {
        let p = &f["properties"];
        assert_eq!((word(p, "zone_id"), word(p, "name")), (word(t, "id"), word(t, "name")));
        assert_eq!(word(p, "verdict"), word(t, "verdict"));
        for name in [
            "p_active_any",
            "pigs",
            "positives",
            "positives_local_expected",
            "positives_imported_expected",
            "infected_inside_expected",
        ] {
            assert!(close(num(p, name), num(t, name), ROUNDING_REL), "{name}");
        }
        let periods = num(&manifest["grid"], "periods") as usize;
        assert_eq!(p["force_of_infection_history"].as_array().unwrap().len(), periods);
        let freedom = &t["freedom"];
        for name in ["p_free", "p_free_low", "p_free_high", "surveillance_sensitivity", "p_under_threshold"] {
            assert!(close(num(p, name), num(freedom, name), ROUNDING_REL), "{name}");
        }
        let mine: Vec<&Value> = positives
            .iter()
            .map(|f| &f["properties"])
            .filter(|q| q.get("zone_id") == p.get("zone_id"))
            .collect();
        assert_eq!(mine.len() as f64, num(p, "positives"));
        let truly: f64 = mine.iter().map(|q| num(q, "p_true")).sum();
        let split = num(p, "positives_local_expected") + num(p, "positives_imported_expected");
        assert!(close(split, truly, ROUNDING_REL), "{split} {truly}");
        let local: f64 = mine.iter().map(|q| num(q, "p_zone")).sum();
        assert!(close(num(p, "positives_local_expected"), local, ROUNDING_REL), "{local}");
        assert_eq!(
            p["last_positive"].as_str(),
            mine.iter().map(|q| word(q, "killed")).max(),
            "{}",
            p["zone_id"]
        );
    }
    let inside: f64 = zones.iter().map(|f| num(&f["properties"], "pigs")).sum();
    assert!(inside <= all && inside > 0.0);
    assert!(word(&summary, "caution").contains("do not replace"));
}

/// Each area's history tells one story: years follow one another, the prior of a year is what the year
/// before left, bounds hold the figure, and the layer's headline is its last year.
#[test]
fn the_history_of_each_area_hangs_together() {
    let run = base();
    let keys = &run.json("manifest.json")["parameters"]["freedom"];
    let (introduction, again) = (num(keys, "introduction_per_year"), num(keys, "prior_after_infection"));
    for f in run.features("zones.geojson") {
        let p = &f["properties"];
        let history = p["history"].as_array().unwrap();
        assert!(history.len() > 1);
        let mut before: Option<&Value> = None;
        for y in history {
            let [low, free, high] = ["p_free_low", "p_free", "p_free_high"].map(|n| num(y, n));
            assert!(0.0 <= low && low <= free && free <= high && high <= 1.0, "{y}");
            let [low, seen, high] =
                ["surveillance_sensitivity_low", "surveillance_sensitivity", "surveillance_sensitivity_high"]
                    .map(|n| num(y, n));
            assert!(low <= seen && seen <= high, "{y}");
            let seen = num(y, "surveillance_sensitivity_given_earlier");
            let (prior, clear, q) =
                (num(y, "p_free_before"), num(y, "p_free_by_clear_pigs"), num(y, "p_no_case_inside"));
            // Bayes' rule, then the positives.
            assert!(close(clear, prior / (prior + (1.0 - prior) * (1.0 - seen)), 10.0 * ROUNDING_REL), "{y}");
            assert!(close(free, clear * q, ROUNDING_REL), "{y}");
            match before {
                None => assert!(close(prior, num(keys, "prior"), ROUNDING_REL)),
                Some(last) => {
                    assert_eq!(num(y, "year"), num(last, "year") + 1.0);
                    let carried = num(last, "p_free") + (1.0 - num(last, "p_no_case_inside")) * again;
                    // A year of 365 days is a little less than a mean year: 1.4e-5 of the introduction.
                    assert!(close(prior, carried * (1.0 - introduction), 10.0 * ROUNDING_REL), "{y}");
                }
            }
            before = Some(y);
        }
        let last = before.unwrap();
        for name in ["p_free", "p_free_low", "p_free_high", "surveillance_sensitivity", "share_at_target"] {
            assert_eq!(p[name], last[name], "{name}");
        }
    }
}

/// The table of coverage and the areas' history tell the same mean, area by area and year by year.
#[test]
fn coverage_by_year_agrees_with_the_history() {
    let run = base();
    let table = run.table("tables/coverage.parquet");
    let years: Vec<i32> = table.column("year").unwrap().i32().unwrap().into_no_null_iter().collect();
    let column = |name: &str| numbers(&table, name);
    let (seen, short, lived) =
        (column("surveillance_sensitivity"), column("short_of_target"), column("exposure_pig_years"));
    let (easting, northing) = (column("easting"), column("northing"));
    let target = num(&run.json("manifest.json")["parameters"]["coverage"], "target");
    for (s, d) in seen.iter().zip(&short) {
        assert!((0.0..=1.0).contains(s) && close(*d, (target - s).max(0.0), 1e-9));
    }
    assert!(lived.iter().all(|v| *v >= 0.0) && lived.iter().sum::<f64>() > 0.0);
    let projector = Projector::new(word(&run.json("manifest.json"), "crs")).unwrap();
    for f in run.features("zones.geojson") {
        let ring = &rings(&f["geometry"])[0].1;
        let places: Vec<Coord> = ring.iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
        let boundary = Polygon::new(LineString(projector.from_wgs84(&places).unwrap()), vec![]);
        for y in f["properties"]["history"].as_array().unwrap() {
            let year = num(y, "year") as i32;
            let inside: Vec<f64> = (0..seen.len())
                .filter(|i| years[*i] == year)
                .filter(|i| geo::Contains::contains(&boundary, &Coord { x: easting[*i], y: northing[*i] }))
                .map(|i| seen[i])
                .collect();
            let mean = inside.iter().sum::<f64>() / inside.len() as f64;
            // The history weighs cells on the border by their share.
            assert!((mean - num(y, "mean_cell_sensitivity")).abs() < 0.05, "{year}: {mean} {y}");
        }
    }
}

/// Gaps are the cells below the target, dissolved and cut to their areas: no less land, no more.
#[test]
fn gaps_hold_the_land_below_the_target() {
    let run = base();
    let manifest = run.json("manifest.json");
    let projector = Projector::new(word(&manifest, "crs")).unwrap();
    let target = num(&manifest["parameters"]["coverage"], "target");
    let metres = |f: &Value| -> MultiPolygon<f64> {
        let mut parts: Vec<Polygon<f64>> = Vec::new();
        for (exterior, ring) in rings(&f["geometry"]) {
            let places: Vec<Coord> = ring.iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
            let line = LineString(projector.from_wgs84(&places).unwrap());
            match parts.last_mut() {
                Some(part) if !exterior => part.interiors_push(line),
                _ => parts.push(Polygon::new(line, vec![])),
            }
        }
        MultiPolygon(parts)
    };
    let gaps: Vec<(Value, MultiPolygon<f64>)> =
        run.features("gaps.geojson").into_iter().map(|f| (f["properties"].clone(), metres(&f))).collect();
    for (p, boundary) in &gaps {
        let ha = boundary.unsigned_area() / 10_000.0;
        // Land is counted by 25 sub-points a cell, the boundary exactly.
        let allowed = 0.05 * ha + 60.0;
        assert!((ha - num(p, "area_ha")).abs() < allowed, "{ha} {p}");
        assert!(num(p, "sensitivity") < num(p, "below") && num(p, "below") <= target);
    }
    let zones: Vec<MultiPolygon<f64>> = run.features("zones.geojson").iter().map(metres).collect();
    let level: Vec<&MultiPolygon<f64>> =
        gaps.iter().filter(|g| num(&g.0, "below") == target).map(|g| &g.1).collect();
    for f in run.features("cells.geojson") {
        let cell = metres(&f);
        let p = &f["properties"];
        let land: f64 = zones.iter().map(|z| cell.intersection(z).unsigned_area()).sum();
        let gap: f64 = level.iter().map(|g| cell.intersection(*g).unsigned_area()).sum();
        let area = cell.unsigned_area();
        if num(p, "surveillance_sensitivity") >= target {
            assert!(gap < 1e-4 * area, "{p}");
        } else if land > 0.999 * area {
            // A sliver of a second area that meets none of the cell's 25 sub-points is no land of it.
            assert!(gap > 0.95 * area, "{p}: {gap}");
        }
    }
}
