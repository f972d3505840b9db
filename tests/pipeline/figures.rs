//! Figures of cells, positives and origins, held against one another across layers and tables.

use super::study_run::{QUANTILES, ROUNDING_REL, base};
use crate::common::geojson::{boundary, rings};
use crate::common::result::{close, dates, num, numbers, texts, word};
use geo::{Area, BooleanOps, Centroid, Coord};
use pignut::internals::assess::cells::Standing;
use pignut::internals::geography::coordinates::projector::Projector;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Origin masses of 1e-9 and less are left out of `origins.parquet`, cell by cell.
const LEFT_OUT: f64 = 1e-9;

#[test]
fn cells_agree_with_themselves_and_with_the_table() {
    let run = base();
    let features = run.features("cells.geojson");
    let manifest = run.json("manifest.json");
    let grid = &manifest["grid"];
    let (rows, cols, cell_m) = (num(grid, "rows") as usize, num(grid, "cols") as usize, num(grid, "cell_m"));
    let target = num(&manifest["parameters"]["coverage"], "target");
    assert_eq!(features.len(), rows * cols);
    let table = run.table("tables/cells.parquet");
    assert_eq!(table.height(), rows * cols);
    let column = |name: &str| numbers(&table, name);
    let (ids, standings) = (texts(&table, "cell_id"), texts(&table, "standing"));
    let (easting, northing) = (column("easting"), column("northing"));
    let pairs = [
        ("force_of_infection_median", column("force_of_infection_q50")),
        ("force_of_infection_q05", column("force_of_infection_q05")),
        ("force_of_infection_q95", column("force_of_infection_q95")),
        ("p_active", column("p_active")),
        ("exposure_pig_years", column("exposure_pig_years")),
        ("surveillance_sensitivity", column("surveillance_sensitivity")),
        ("expected_infections", column("expected_infections")),
    ];
    let windows = ["window_start", "window_median", "window_end"].map(|w| (w, dates(&table, w)));
    let projector = Projector::new(word(&manifest, "crs")).unwrap();
    let mut seen = BTreeSet::new();
    for (i, f) in features.iter().enumerate() {
        let p = &f["properties"];
        let (row, col) = (num(p, "row") as usize, num(p, "col") as usize);
        assert!(row < rows && col < cols && seen.insert((row, col)));
        assert_eq!(word(p, "cell_id"), ids[i]);
        for (name, values) in &pairs {
            assert!(close(num(p, name), values[i], ROUNDING_REL), "{name} of {}", ids[i]);
        }
        for (name, values) in &windows {
            assert_eq!(p[*name].as_str(), values[i].as_deref(), "{name} of {}", ids[i]);
        }
        let (p_active, sensitivity) = (num(p, "p_active"), num(p, "surveillance_sensitivity"));
        assert!((0.0..=1.0).contains(&p_active) && (0.0..=1.0).contains(&sensitivity));
        assert_eq!(word(p, "standing"), Standing::of(p_active, sensitivity, target).word(), "{p}");
        assert_eq!(word(p, "standing"), standings[i]);
        assert!(
            num(p, "force_of_infection_q05") >= 0.0
                && num(p, "force_of_infection_q05") <= num(p, "force_of_infection_median")
        );
        assert!(num(p, "force_of_infection_median") <= num(p, "force_of_infection_q95"));
        let [a, b, c] = ["window_start", "window_median", "window_end"].map(|n| p[n].as_str());
        assert!(a.is_some() == c.is_some() && a <= b && b <= c, "{p}");
        // The centre: by row and column, and by the boundary taken back into the study's system.
        let centre = |from: &str, k: usize| num(grid, from) + (k as f64 + 0.5) * cell_m;
        assert_eq!((easting[i], northing[i]), (centre("west_m", col), centre("south_m", row)));
        let corners: Vec<Coord> =
            rings(&f["geometry"])[0].1[..4].iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
        let back = projector.from_wgs84(&corners).unwrap();
        let mean = |of: &dyn Fn(&Coord) -> f64| back.iter().map(of).sum::<f64>() / 4.0;
        // 1e-7 of a degree is 11 mm; four corners.
        const CENTRE_M: f64 = 0.02;
        assert!(
            (mean(&|c| c.x) - easting[i]).abs() < CENTRE_M && (mean(&|c| c.y) - northing[i]).abs() < CENTRE_M
        );
        for (a, b) in back.iter().zip(back.iter().skip(1)) {
            assert!(((a.x - b.x).hypot(a.y - b.y) - cell_m).abs() < 2.0 * CENTRE_M, "a side of {}", ids[i]);
        }
    }
    // The study area is one in which it matters: not every cell has the same standing.
    assert!(standings.iter().collect::<BTreeSet<_>>().len() > 1);
}

#[test]
fn positives_have_ordered_windows_and_nested_probabilities() {
    let run = base();
    let features = run.features("positives.geojson");
    let table = run.table("tables/positives.parquet");
    assert_eq!(texts(&table, "occurrence_id").len(), features.len());
    let columns = QUANTILES.map(|q| dates(&table, &format!("infection_{q}")));
    for (i, f) in features.iter().enumerate() {
        let p = &f["properties"];
        let [local, recent, truly] = ["p_local", "p_recent", "p_true"].map(|n| num(p, n));
        let slack = |v: f64| v * (1.0 + ROUNDING_REL) + 1e-12;
        assert!(local <= slack(recent) && recent <= slack(truly) && truly <= 1.0, "{p}");
        assert!(p["p_zone"].as_f64().is_none_or(|z| z <= slack(truly) && z >= 0.0), "{p}");
        assert_eq!(p.get("p_zone").is_some(), p.get("zone_id").is_some());
        let names =
            ["window_start", "window50_start", "window_median", "window50_end", "window_end", "killed"];
        let days = names.map(|n| word(p, n).parse::<jiff::civil::Date>().expect("ISO 8601"));
        assert!(days.is_sorted(), "{p}");
        for (name, q) in [
            ("window_start", 1),
            ("window50_start", 2),
            ("window_median", 3),
            ("window50_end", 4),
            ("window_end", 5),
        ] {
            assert_eq!(Some(word(p, name)), columns[q][i].as_deref(), "{name}");
        }
        let all: Vec<&Option<String>> = columns.iter().map(|c| &c[i]).collect();
        assert!(all.is_sorted() && all[0].is_some());
        for (name, column) in [("p_true", "p_true"), ("p_recent", "p_recent"), ("p_local", "p_local")] {
            assert!(close(num(p, name), numbers(&table, column)[i], ROUNDING_REL));
        }
    }
    let readings: BTreeSet<&str> = features.iter().map(|f| word(&f["properties"], "reading")).collect();
    assert!(readings.is_subset(&BTreeSet::from(["confirmed", "suspect"])), "{readings:?}");
    // More was recent for some than for others: the figures are not all one number.
    let recent: Vec<f64> = numbers(&table, "p_recent");
    assert!(recent.iter().any(|v| (v - recent[0]).abs() > 1e-3), "{recent:?}");
}

/// A window cannot start before the pig was born, nor an infection be older than its exposure.
#[test]
fn windows_lie_within_lives() {
    let run = base();
    let mut reader = csv::Reader::from_path(run.folder.path().join("study/pigs.csv")).unwrap();
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    let manifest = run.json("manifest.json");
    let oldest = num(&manifest["parameters"]["exposure"], "max_age_months");
    for f in run.features("positives.geojson") {
        let p = &f["properties"];
        let row = rows.iter().find(|r| r["occurrenceID"] == word(p, "occurrence_id")).unwrap();
        let months: f64 = row["ageMaxMonths"].parse().unwrap_or(oldest);
        let killed: jiff::civil::Date = row["eventDate"].parse().unwrap();
        assert_eq!(word(p, "killed"), killed.to_string());
        let released = row["releasedOn"].parse::<jiff::civil::Date>().ok();
        // A month is the mean month, 365.25/12 days; a day of rounding.
        let born = killed - jiff::Span::new().days((months * 30.4375).ceil() as i64 + 1);
        let earliest = released.map_or(born, |r| r.max(born) - jiff::Span::new().days(1));
        let start: jiff::civil::Date = word(p, "window_start").parse().unwrap();
        assert!(start >= earliest, "{p}: born or released on {earliest}");
    }
}

#[test]
fn origins_hold_the_mass_they_should_and_lie_within_one_another() {
    let run = base();
    let table = run.table("tables/origins.parquet");
    let (ids, cells, mass) =
        (texts(&table, "occurrence_id"), texts(&table, "cell_id"), numbers(&table, "probability"));
    let mut by_pig: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    let mut by_cell: BTreeMap<&str, f64> = BTreeMap::new();
    for ((id, cell), m) in ids.iter().zip(&cells).zip(&mass) {
        assert!(*m > 0.0 && *m <= 1.0);
        by_pig.entry(id).or_default().push(*m);
        *by_cell.entry(cell).or_default() += m;
    }
    let positives = run.features("positives.geojson");
    let cell_count = run.features("cells.geojson").len() as f64;
    let off_grid = num(&run.json("summary.json"), "mass_off_grid");
    for f in &positives {
        let p = &f["properties"];
        let sum: f64 = by_pig[word(p, "occurrence_id")].iter().sum();
        let truly = num(p, "p_true");
        assert!(sum <= truly * (1.0 + ROUNDING_REL), "{sum} {truly}");
        // The pig's kernel lies on the grid nearly whole: the margin is 4 s.d. or more.
        assert!(sum >= truly * (1.0 - 0.02 - off_grid) - cell_count * LEFT_OUT, "{sum} {truly}");
    }
    // What is attributed to a cell is the sum over pigs of what of each was attributed to it.
    for f in run.features("cells.geojson") {
        let p = &f["properties"];
        let (expected, sum) =
            (num(p, "expected_infections"), by_cell.get(word(p, "cell_id")).copied().unwrap_or(0.0));
        let left_out = positives.len() as f64 * LEFT_OUT;
        assert!((expected - sum).abs() <= left_out + ROUNDING_REL * expected, "{p} {sum}");
    }
    let cell_ha = num(&run.json("summary.json")["cells"], "cell_area_ha");
    let mut areas: BTreeMap<String, BTreeMap<String, Value>> = BTreeMap::new();
    for f in run.features("origins.geojson") {
        let p = &f["properties"];
        areas.entry(word(p, "occurrence_id").into()).or_default().insert(p["level"].to_string(), f.clone());
    }
    assert_eq!(areas.len(), positives.len(), "an origin for each");
    for (id, levels) in &areas {
        assert_eq!(levels.keys().map(String::as_str).collect::<Vec<_>>(), ["0.5", "0.9"], "{id}");
        let [inner, outer] = ["0.5", "0.9"].map(|l| boundary(&levels[l]["geometry"]));
        // Rounding of corners to 1e-7 degree along a boundary of some 100 km (1 degree).
        const SLIVER_DEG2: f64 = 1e-6;
        assert!(inner.difference(&outer).unsigned_area() < SLIVER_DEG2, "{id}");
        assert!(inner.unsigned_area() > 10.0 * SLIVER_DEG2 && inner.centroid().is_some(), "{id}");
        // The smallest area: cells by falling mass until the share is reached.
        let mut sorted = by_pig[id.as_str()].clone();
        sorted.sort_by(|a, b| b.total_cmp(a));
        let total: f64 = sorted.iter().sum();
        for (level, share) in [("0.5", 0.5), ("0.9", 0.9)] {
            let mut sum = 0.0;
            let needed = sorted
                .iter()
                .take_while(|m| {
                    let more = sum < share * total;
                    sum += **m;
                    more
                })
                .count();
            let ha = num(&levels[level]["properties"], "area_ha");
            // Mass left out of the table may move the limit by a cell.
            assert!((ha / cell_ha - needed as f64).abs() <= 1.0, "{id} {level}: {ha} ha, {needed} cells");
        }
    }
}

#[test]
fn the_hazard_table_has_a_row_for_each_cell_and_period() {
    let run = base();
    let table = run.table("tables/force_of_infection.parquet");
    let grid = &run.json("manifest.json")["grid"];
    let (cells, periods) = (num(grid, "rows") * num(grid, "cols"), num(grid, "periods"));
    assert_eq!(table.height() as f64, cells * periods);
    let starts: Vec<String> = dates(&table, "period_start").into_iter().map(Option::unwrap).collect();
    let distinct: BTreeSet<&String> = starts.iter().collect();
    assert_eq!(distinct.len() as f64, periods);
    assert_eq!(distinct.first().unwrap().as_str(), word(grid, "first_period"));
    // Half-years start in January and July (ISO 8601 dates).
    assert!(distinct.iter().all(|d| d.ends_with("-01-01") || d.ends_with("-07-01")), "{distinct:?}");
    let ids = texts(&table, "cell_id");
    let pairs: BTreeSet<(&String, &String)> = ids.iter().zip(&starts).collect();
    assert_eq!(pairs.len(), table.height(), "each cell and period once");
    let quantiles: Vec<Vec<f64>> =
        QUANTILES.iter().map(|q| numbers(&table, &format!("force_of_infection_{q}"))).collect();
    let mean = numbers(&table, "force_of_infection_mean");
    for i in 0..table.height() {
        let q: Vec<f64> = quantiles.iter().map(|c| c[i]).collect();
        assert!(q.is_sorted() && q[0] >= 0.0 && mean[i] > 0.0 && mean[i].is_finite(), "{} {q:?}", ids[i]);
    }
}
