//! `sample`: where the next pigs should come from.

use crate::assess::coverage::{coverage, study_window};
use crate::assess::next_samples::{NextPig, SampleAim, SampleSpot, judged_land, next_spots};
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::geography::coordinates::projector::Projector;
use crate::geography::layout::{Layout, shares_of};
use crate::ingest::findings::Severity;
use crate::ingest::read_reach;
use crate::pipeline::analysis::Prepared;
use crate::report::layers::samples;
use crate::report::sentences::next_pigs;
use crate::report::sentences::next_pigs::LandNow;
use crate::study::study_file::Study;
use clap::{Args as ClapArgs, ValueEnum};
use std::path::{Path, PathBuf};

const AFTER: &str = "\
Places are chosen one after another, each where one more negative pig adds most, given those
before it. Only the records are read; nothing is sampled again. To raise coverage that is all it
takes. To settle standing, a result of the same study must say how likely each cell is to be
active: run it first.

Examples:
  pignut sample study.toml --pigs 30                           where 30 more raise coverage most
  pignut sample study.toml --reach tracks.geojson --age 8      young pigs, where hunters get
  pignut sample study.toml --aim standing --result result      what would settle open land";

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum AimChoice {
    /// Raise the probability of finding a focus, averaged over the land.
    Coverage,
    /// Settle whether open land is active.
    Standing,
}

#[derive(Debug, ClapArgs)]
#[command(after_long_help = AFTER)]
pub(crate) struct SampleArgs {
    /// Study file.
    #[arg(value_name = "STUDY.toml")]
    pub study: PathBuf,
    /// Pigs to place [default: the study's sampling.pigs, 20].
    #[arg(long, value_name = "COUNT", help_heading = "Pigs")]
    pub pigs: Option<usize>,
    /// Their age, months [default: the study's sampling.age_months, 24]; an older pig says something about
    /// more years.
    #[arg(long, value_name = "MONTHS", help_heading = "Pigs")]
    pub age: Option<f64>,
    /// Polygons (GeoJSON or GeoPackage) of the land where a pig can be had [default: all land considered].
    #[arg(long, value_name = "FILE", help_heading = "Land")]
    pub reach: Option<PathBuf>,
    /// Consider one area alone, by its zoneID [default: all areas].
    #[arg(long, value_name = "ID", help_heading = "Land")]
    pub zone: Option<String>,
    /// What the pigs are for.
    #[arg(long, value_enum, default_value_t = AimChoice::Coverage, help_heading = "Aim")]
    aim: AimChoice,
    /// Folder of a finished run of this study; needed for --aim standing, not otherwise read.
    #[arg(long, value_name = "FOLDER", help_heading = "Aim")]
    pub result: Option<PathBuf>,
    /// Layer to write.
    #[arg(long, value_name = "FILE", default_value = "samples.geojson", help_heading = "Output")]
    pub out: PathBuf,
    /// Print as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
}

pub(crate) fn sample(args: &SampleArgs) -> Result<Ending, CliError> {
    let mut study = Study::read(&args.study)?;
    study.sampling.pigs = args.pigs.unwrap_or(study.sampling.pigs);
    study.sampling.age_months = args.age.unwrap_or(study.sampling.age_months);
    study.check("command line")?;
    if args.aim == AimChoice::Standing && args.result.is_none() {
        return Err("--aim standing needs --result: the folder of a finished run of this study".into());
    }
    refuse_foreign(&args.out)?;
    let layout = Prepared::read(study)?.layout;
    let (land, what) = match &args.zone {
        None => judged_land(&layout),
        Some(id) => (land_of(&layout, id)?, "that area"),
    };
    if !land.iter().any(|s| *s > 0.0) {
        return Err(format!("{what} has no land on the grid; nothing can be placed").into());
    }
    let reachable: Vec<bool> = match &args.reach {
        // A pig is had in a cell that lies at least half within reach.
        None => land.iter().map(|s| *s >= 0.5).collect(),
        Some(file) => within_reach(&layout, file)?.iter().map(|s| *s >= 0.5).collect(),
    };
    if !reachable.contains(&true) {
        let suggested_correction = "draw it larger, or make grid.cell_m smaller";
        return Err(format!(
            "no cell of {} m lies at least half within reach; {suggested_correction}",
            layout.grid.cell_m
        )
        .into());
    }
    let aim = match (args.aim, &args.result) {
        (AimChoice::Standing, Some(folder)) => SampleAim::Standing(chances(&layout, folder)?),
        _ => SampleAim::Coverage,
    };
    let (study, sampling) = (&layout.study, &layout.study.sampling);
    let next = NextPig::new(&layout, sampling.age_months, &[study_window(&layout)]);
    let seen = coverage(&layout).sensitivity;
    let spots = next_spots(&layout, &seen, &land, &reachable, &next, sampling.pigs, &aim);
    let projector = Projector::new(&study.study.crs)?;
    let layer = samples::samples(&layout, &spots, &aim, sampling.age_months, &projector)?;
    write_whole(&args.out, &layer)?;
    let now = land_now(&layout, &land, &seen, what);
    if args.json {
        return print_out(&serde_json::to_string_pretty(&json(&layout, &spots, &aim, &now))?);
    }
    let said = next_pigs::text(&layout, &spots, &aim, &now, &next);
    print_out(&format!("{said}written: {}", args.out.display()))
}

/// Where the land stands before the next pigs.
fn land_now(layout: &Layout, land: &[f64], seen: &[f64], what: &'static str) -> LandNow {
    let total: f64 = land.iter().sum();
    let target = layout.study.coverage.target;
    let reached: f64 =
        land.iter().zip(seen).filter(|(_, s)| **s >= target).map(|(w, _)| *w).fold(0.0, |a, b| a + b);
    LandNow {
        what,
        area_ha: total * layout.grid.cell_area_ha(),
        mean_sensitivity: land.iter().zip(seen).map(|(w, s)| w * s).sum::<f64>() / total,
        at_target_ha: reached * layout.grid.cell_area_ha(),
    }
}

fn land_of(layout: &Layout, id: &str) -> Result<Vec<f64>, CliError> {
    let zones = &layout.records.zones;
    let found = zones.iter().position(|z| z.id == id);
    let known: Vec<&str> = zones.iter().map(|z| z.id.as_str()).collect();
    let unknown = || format!("--zone {id}: no area has that zoneID; the study has {}", known.join(", "));
    Ok(layout.zone_shares[found.ok_or_else(unknown)?].clone())
}

/// Share of every cell within reach.
fn within_reach(layout: &Layout, file: &Path) -> Result<Vec<f64>, CliError> {
    // What is typed starts at the present folder, not at the study's.
    let path = std::path::absolute(file)?;
    let (boundaries, findings) = read_reach(&layout.study, &path.display().to_string())?;
    for f in &findings {
        eprintln!("pignut: {f}");
    }
    if findings.iter().any(|f| f.severity == Severity::Refused) {
        return Err(format!("{}: {} of its features cannot be used", file.display(), findings.len()).into());
    }
    let mut all = vec![0.0f64; layout.grid.cells()];
    for shares in shares_of(&layout.grid, boundaries.iter()) {
        all.iter_mut().zip(shares).for_each(|(a, s)| *a = (*a + s).min(1.0));
    }
    Ok(all)
}

/// p_active of every cell, from a result's `cells.geojson`.
fn chances(layout: &Layout, folder: &Path) -> Result<Vec<f64>, CliError> {
    let path = folder.join("cells.geojson");
    let unusable =
        |why: String| format!("{}: {why}; name the folder of a finished run of this study", path.display());
    let bytes = std::fs::read(&path).map_err(|e| unusable(format!("cannot be read: {e}")))?;
    let layer: serde_json::Value =
        serde_json::from_slice(&bytes).map_err(|e| unusable(format!("is no GeoJSON: {e}")))?;
    let features = layer["features"].as_array().map(Vec::as_slice).unwrap_or_default();
    let grid = &layout.grid;
    if features.len() != grid.cells() {
        let why = format!("holds {} cells, this study has {}", features.len(), grid.cells());
        return Err(unusable(why).into());
    }
    let mut out = Vec::with_capacity(grid.cells());
    for (cell, f) in features.iter().enumerate() {
        let p = &f["properties"];
        let id = grid.cell_id(cell);
        match (p["cell_id"].as_str(), p["p_active"].as_f64()) {
            (Some(name), Some(chance)) if name == id => out.push(chance),
            _ => {
                return Err(
                    unusable(format!("feature {} is not cell {id} with its p_active", cell + 1)).into()
                );
            }
        }
    }
    Ok(out)
}

/// A file of that name is replaced only if it holds an earlier layer of samples.
fn refuse_foreign(path: &Path) -> Result<(), CliError> {
    match std::fs::read(path) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Ok(bytes) if samples::is_samples(&bytes) => Ok(()),
        _ => {
            let path = path.display();
            Err(format!(
                "{path}: exists and is no layer of samples by this program; name another file with --out"
            )
            .into())
        }
    }
}

/// Writes a file aside, then gives it its name.
fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), CliError> {
    let name = path.file_name().ok_or_else(|| format!("{} is no file name", path.display()))?;
    let aside = path.with_file_name(format!(".{}.partial-{}", name.to_string_lossy(), std::process::id()));
    let written = std::fs::write(&aside, bytes).and_then(|()| std::fs::rename(&aside, path));
    written.map_err(|e| {
        let _ = std::fs::remove_file(&aside);
        format!("{}: cannot be written: {e}", path.display()).into()
    })
}

fn json(layout: &Layout, spots: &[SampleSpot], aim: &SampleAim, now: &LandNow) -> serde_json::Value {
    let rows: Vec<serde_json::Value> = spots
        .iter()
        .enumerate()
        .map(|(k, s)| {
            let centre = layout.grid.centre(s.cell);
            serde_json::json!({
                "rank": k + 1,
                "cell_id": layout.grid.cell_id(s.cell),
                "easting": centre.x,
                "northing": centre.y,
                "zone_id": samples::zone_of(layout, s).map(|z| layout.records.zones[z].id.clone()),
                samples::gain_name(aim): s.gain_ha,
                "mean_sensitivity_with": s.mean_sensitivity,
                "at_target_ha_with": s.at_target_ha,
            })
        })
        .collect();
    serde_json::json!({
        "age_months": layout.study.sampling.age_months,
        "now": { "mean_sensitivity": now.mean_sensitivity, "at_target_ha": now.at_target_ha },
        "samples": rows,
    })
}
