//! Reading small studies of a few files.

use crate::common::files::fixtures;
use jiff::civil::date;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::{Ingested, read_study_on};
use pignut::internals::records::Pig;
use pignut::internals::study::study_file::{OneOrMany, Study};
use std::path::{Path, PathBuf};

/// One millimetre: what the published points are printed to.
pub const MILLIMETRE: f64 = 0.001;

pub fn study_of(folder: &Path, files: &[&str]) -> Study {
    let mut study = Study::minimal("test", "EPSG:2193", files[0]);
    study.records.pigs = OneOrMany::Many(files.iter().map(|f| f.to_string()).collect());
    study.folder = folder.to_path_buf();
    study
}

pub fn read(study: &Study) -> Result<Ingested, IngestError> {
    read_study_on(study, date(2025, 1, 1))
}

pub fn without_source(pigs: &[Pig]) -> Vec<Pig> {
    let mut pigs = pigs.to_vec();
    for p in &mut pigs {
        p.source.file.clear();
        p.source.row = 0;
    }
    pigs
}

pub fn same_six() -> PathBuf {
    fixtures("studies/same-six")
}
