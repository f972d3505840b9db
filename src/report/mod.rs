//! Writing an analysis down: layers, tables, findings, summary, manifest and page.
//!
//! One file a format; no format knows where it is written. Everything goes into a folder beside
//! the one asked for, which takes its name only when all is complete: a killed run leaves the
//! last complete result as it was.

pub(crate) mod error;
pub(crate) mod findings;
pub(crate) mod folder;
pub(crate) mod generalise;
pub(crate) mod json;
pub(crate) mod layers;
pub(crate) mod manifest;
pub(crate) mod page;
pub(crate) mod rasters;
pub(crate) mod reread;
pub(crate) mod sentences;
pub(crate) mod summary;
pub(crate) mod tables;

use crate::pipeline::analysis::Analysis;
use crate::report::error::ReportError;
use std::path::PathBuf;

/// What a run writes beside its own results, where it was asked for.
#[derive(Debug, Clone, Default)]
pub(crate) struct Extras {
    /// Truth folder of a simulated study area: the page then compares the stated probabilities with it.
    pub truth: Option<PathBuf>,
    /// Side of the squares to which the publishable layers are generalised, metres.
    pub generalise_m: Option<f64>,
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenFiles {
    /// Every file of the result.
    pub files: Vec<PathBuf>,
    /// Folder in which an earlier result is left, where it could not be removed.
    pub earlier: Option<PathBuf>,
}

/// Writes every output of an analysis into the folder opened for it, complete or not at all.
///
/// # Errors
/// [`ReportError`]: the folder is foreign or cannot be written, or a position has no place on Earth.
pub fn write(
    analysis: &Analysis,
    staging: crate::report::folder::Staging,
    times: &crate::report::manifest::Times,
) -> Result<WrittenFiles, ReportError> {
    write_with(analysis, staging, times, &Extras::default())
}

/// As [`write()`], and what was asked for beside it.
///
/// # Errors
/// As [`write()`], and [`ReportError::Truth`] or [`ReportError::Public`] where an extra cannot be made.
pub(crate) fn write_with(
    analysis: &Analysis,
    staging: crate::report::folder::Staging,
    times: &crate::report::manifest::Times,
    extras: &Extras,
) -> Result<WrittenFiles, ReportError> {
    let folder = staging.named().to_path_buf();
    let projector =
        crate::geography::coordinates::projector::Projector::new(&analysis.layout.study.study.crs)?;
    let mut names: Vec<(&str, Vec<u8>)> = vec![
        ("cells.geojson", crate::report::layers::cells(analysis, &projector)?),
        ("positives.geojson", crate::report::layers::positives(analysis, &projector)?),
        ("origins.geojson", crate::report::layers::origins(analysis, &projector)?),
        ("zones.geojson", crate::report::layers::zones(analysis, &projector)?),
        ("gaps.geojson", crate::report::layers::gaps::gaps(analysis, &projector)?),
        ("blocks.geojson", crate::report::layers::blocks::blocks(analysis, &projector)?),
        ("findings.csv", crate::report::findings::csv(&analysis.account.findings)),
        ("summary.json", crate::report::summary::json(analysis)),
    ];
    names.extend(crate::report::tables::all(analysis)?);
    names.extend(crate::report::rasters::all(analysis, projector.facts())?);
    if let Some(side_m) = extras.generalise_m {
        names.extend(crate::report::generalise::files(analysis, &projector, side_m)?);
    }
    let mut listed = Vec::new();
    for (name, bytes) in &names {
        staging.write(name, bytes)?;
        listed.push(crate::report::manifest::Output::of(name, bytes));
    }
    let score = match &extras.truth {
        None => None,
        Some(truth) => {
            // Scoring reads what was written, as anybody who is handed the result would.
            staging.write("manifest.json", &crate::report::manifest::json(analysis, times, &listed))?;
            Some(crate::score::score(staging.aside(), truth)?)
        }
    };
    let page = crate::report::page::render(analysis, score.as_ref())?.into_bytes();
    staging.write("report.html", &page)?;
    listed.push(crate::report::manifest::Output::of("report.html", &page));
    names.push(("report.html", page));
    staging.write("manifest.json", &crate::report::manifest::json(analysis, times, &listed))?;
    let earlier = staging.finish()?;
    let files = names.iter().map(|(n, _)| folder.join(n)).chain([folder.join("manifest.json")]).collect();
    Ok(WrittenFiles { files, earlier })
}
