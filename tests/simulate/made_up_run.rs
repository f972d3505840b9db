//! A result that knows the truth and tells it, or something beside it.

use pignut::internals::records::{DAYS_PER_YEAR, day_number};
use pignut::internals::simulate::examine::SimulatedPig;
use pignut::internals::simulate::force_of_infection::square_mean_per_year;
use polars::prelude::{Column, DataFrame, DataType, ParquetWriter};
use std::path::Path;

/// What a made-up run says of each thing; the truth, or something beside it.
pub struct Voice {
    pub hazard_factor: f64,
    pub days_late: i32,
    pub cells_east: f64,
    pub reverse_ranking: bool,
}

pub const HONEST: Voice = Voice { hazard_factor: 1.0, days_late: 0, cells_east: 0.0, reverse_ranking: false };
const QUANTILES: [(&str, f64); 7] = [
    ("q025", 0.94),
    ("q05", 0.95),
    ("q25", 0.98),
    ("q50", 1.0),
    ("q75", 1.02),
    ("q95", 1.05),
    ("q975", 1.06),
];

pub fn save(run: &Path, name: &str, columns: Vec<Column>) {
    let mut frame = DataFrame::new_infer_height(columns).unwrap();
    let file = std::fs::File::create(run.join("tables").join(name)).unwrap();
    ParquetWriter::new(file).finish(&mut frame).unwrap();
}

/// Writes a run that knows the truth and tells it in its own voice.
pub fn write_run(d: &pignut::internals::simulate::study_area::StudyArea, run: &Path, voice: &Voice) {
    const SIDE: f64 = 1_000.0;
    std::fs::create_dir_all(run.join("tables")).unwrap();
    let manifest = serde_json::json!({
        "as_of": d.as_of.to_string(), "cell_m": SIDE, "other": "ignored",
        "parameters": {
            "recent": {"months": 12.0, "force_of_infection_threshold": 0.05},
            "home_range": {"resident_sigma_m": 750.0},
        },
    });
    std::fs::write(run.join("manifest.json"), manifest.to_string()).unwrap();
    let box_ = geo::BoundingRect::bounding_rect(&d.land).unwrap();
    let end = day_number(d.as_of) + 1.0;
    let (mut ids, mut east, mut north, mut hazard, mut plain) = (vec![], vec![], vec![], vec![], vec![]);
    let snap = |v: f64| (v / SIDE).floor() * SIDE;
    let (mut y, year) = (snap(box_.min().y) - SIDE, DAYS_PER_YEAR);
    while y < box_.max().y + SIDE {
        let mut x = snap(box_.min().x) - SIDE;
        while x < box_.max().x + SIDE {
            ids.push(format!("c{x}-{y}"));
            east.push(x + 0.5 * SIDE);
            north.push(y + 0.5 * SIDE);
            hazard.push(square_mean_per_year(&d.foci, x, y, SIDE, 750.0, end - year, end));
            let first = day_number(d.first_day);
            plain.push(square_mean_per_year(&d.foci, x, y, SIDE, 0.0, first, first + 184.0));
            x += SIDE;
        }
        y += SIDE;
    }
    let p_active: Vec<f64> = hazard
        .iter()
        .map(|&h| {
            if voice.reverse_ranking { f64::from(u8::from(h <= 0.05)) } else { f64::from(u8::from(h > 0.05)) }
        })
        .collect();
    let quantiles = |of: &[f64]| -> Vec<Column> {
        QUANTILES
            .iter()
            .map(|(q, by)| {
                let values: Vec<f64> = of.iter().map(|h| h * by * voice.hazard_factor).collect();
                Column::new(format!("force_of_infection_{q}").as_str().into(), values)
            })
            .collect()
    };
    let stated: Vec<f64> = hazard.iter().map(|h| h * voice.hazard_factor).collect();
    let mut cells = vec![
        Column::new("cell_id".into(), &ids),
        Column::new("easting".into(), &east),
        Column::new("northing".into(), &north),
        Column::new("force_of_infection_mean".into(), &stated),
        Column::new("p_active".into(), p_active),
    ];
    cells.extend(quantiles(&hazard));
    save(run, "cells.parquet", cells);

    // Two periods: the first scored against the truth of its own 184 days, the second to show where it ends.
    let start = day_number(d.first_day) as i32;
    let two = |a: Vec<String>| a.iter().chain(&a).cloned().collect::<Vec<_>>();
    let starts: Vec<i32> = ids.iter().map(|_| start).chain(ids.iter().map(|_| start + 184)).collect();
    let first = day_number(d.first_day);
    let later = east.iter().zip(&north).map(|(x, y)| {
        let (west, south) = (x - 0.5 * SIDE, y - 0.5 * SIDE);
        square_mean_per_year(&d.foci, west, south, SIDE, 0.0, first + 184.0, first + 368.0)
    });
    let both: Vec<f64> = plain.iter().copied().chain(later).collect();
    let mut periods = vec![
        Column::new("cell_id".into(), two(ids.clone())),
        Column::new("period_start".into(), starts).cast(&DataType::Date).unwrap(),
    ];
    periods.extend(quantiles(&both));
    save(run, "force_of_infection.parquet", periods);

    let positives: Vec<&SimulatedPig> = d.pigs.iter().filter(|p| p.is_positive()).collect();
    let pig_ids: Vec<&str> = positives.iter().map(|p| p.occurrence_id.as_str()).collect();
    let p_true: Vec<f64> =
        positives.iter().map(|p| if p.truth.infection.is_some() { 0.8 } else { 0.1 }).collect();
    let mut columns =
        vec![Column::new("occurrence_id".into(), &pig_ids), Column::new("p_true".into(), &p_true)];
    for (k, (q, _)) in QUANTILES.iter().enumerate() {
        let days: Vec<i32> = positives
            .iter()
            .map(|p| {
                let day = p.truth.infection.map_or(day_number(p.killed), |i| i.day.floor());
                day as i32 + voice.days_late + (k as i32 - 3) * 5
            })
            .collect();
        columns
            .push(Column::new(format!("infection_{q}").as_str().into(), days).cast(&DataType::Date).unwrap());
    }
    save(run, "positives.parquet", columns);
    let at = |p: &&SimulatedPig| {
        p.truth.infection.map_or((p.easting_m, p.northing_m), |i| (i.easting_m, i.northing_m))
    };
    let x: Vec<f64> = positives.iter().map(|p| snap(at(p).0) + (0.5 + voice.cells_east) * SIDE).collect();
    let y: Vec<f64> = positives.iter().map(|p| snap(at(p).1) + 0.5 * SIDE).collect();
    let cell_ids: Vec<String> =
        x.iter().zip(&y).map(|(x, y)| format!("c{}-{}", x - 500.0, y - 500.0)).collect();
    save(
        run,
        "origins.parquet",
        vec![
            Column::new("occurrence_id".into(), &pig_ids),
            Column::new("cell_id".into(), cell_ids),
            Column::new("easting".into(), x),
            Column::new("northing".into(), y),
            Column::new("probability".into(), p_true),
        ],
    );
}
