//! Reads the slate of a finished run back from its folder, with errors that name file and column.

use crate::assess::priorities::candidates::{AreaLand, Candidate, Candidates};
use crate::contract::documents::MANIFEST;
use crate::contract::read_table::{TableError, TableReader, read_json, unreadable};
use crate::contract::tables::{BLOCK_AREAS, BLOCK_SAMPLES, PRIORITIES};
use crate::records::{Method, WildlifeHost};
use crate::study::priorities::Priorities;
use std::path::Path;

/// Why a result folder cannot be read back.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RereadError {
    /// A file is missing, or not what `run` writes.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The study has no blocks to choose among.
    #[error(
        "{path}: the study names no control blocks, so there is nothing to choose; name them under \
         areas.blocks"
    )]
    NoBlocks {
        /// Folder.
        path: String,
    },
}

/// A run's slate with what it was decided by.
#[derive(Debug, Clone)]
pub struct Reread {
    /// Name of the study.
    pub study: String,
    /// Its day.
    pub as_of: String,
    /// The study's priorities.
    pub priorities: Priorities,
    /// What can be done, with its effect posterior sample by posterior sample.
    pub slate: Candidates,
    /// Whether the run chose each candidate; `None` where it chose none at all.
    pub chosen: Option<Vec<bool>>,
}

/// Reads a result folder.
///
/// # Errors
/// [`RereadError`].
pub fn reread(folder: &Path) -> Result<Reread, RereadError> {
    let manifest = folder.join(MANIFEST.path);
    let json: serde_json::Value = read_json(&manifest)?;
    let priorities: Priorities = serde_json::from_value(json["parameters"]["priorities"].clone())
        .map_err(|e| unreadable(&manifest, format!("parameters.priorities: {e}")))?;
    let word = |key: &str| json[key].as_str().unwrap_or_default().to_string();

    let t = TableReader::of(folder, &PRIORITIES)?;
    let (ids, names) = (t.texts("block_id")?, t.texts("name")?);
    if ids.is_empty() {
        return Err(RereadError::NoBlocks { path: folder.display().to_string() });
    }
    let hosts = t.texts("host")?;
    let methods = t.texts("method")?;
    let (east, north) = (t.numbers("easting")?, t.numbers("northing")?);
    let (area, cost, efficacy) = (t.numbers("area_ha")?, t.numbers("cost")?, t.numbers("efficacy")?);
    let (given, feasible) = (t.flags("cost_given")?, t.flags("feasible")?);
    let chosen: Option<Vec<bool>> = t.flags_or_absent("chosen")?.into_iter().collect();

    let d = TableReader::of(folder, &BLOCK_SAMPLES)?;
    let (active, positive) = (d.singles("active_ha")?, d.singles("sample_positive_prob")?);
    let (sample_block, sample_host) = (d.texts("block_id")?, d.texts("host")?);
    if active.len() % ids.len() != 0 {
        let found = format!("{} rows are not a whole number for {} operations", active.len(), ids.len());
        return Err(d.bad("sample", found, "the same number for each operation").into());
    }
    let samples = active.len() / ids.len();
    let mut slate = Candidates::default();
    for i in 0..ids.len() {
        let rows = i * samples..(i + 1) * samples;
        let host = if i.is_multiple_of(2) { WildlifeHost::Possum } else { WildlifeHost::Ferret };
        let mine = rows.clone().all(|r| sample_block[r] == ids[i] && sample_host[r] == hosts[i]);
        if hosts[i] != host.word() || !mine || ids[i] != ids[i - i % 2] {
            return Err(d.bad("block_id", "another order", "the order of tables/priorities.parquet").into());
        }
        if host == WildlifeHost::Possum {
            slate.blocks.push(ids[i].clone());
            slate.sample_positive.push(positive[rows.clone()].to_vec());
        }
        let method =
            [Method::Aerial, Method::Ground, Method::Trapping].into_iter().find(|m| m.word() == methods[i]);
        slate.candidates.push(Candidate {
            block: i / 2,
            block_id: ids[i].clone(),
            name: names[i].clone(),
            host,
            method: method.ok_or_else(|| {
                t.bad("method", format!("\"{}\"", methods[i]), "aerial, ground or trapping")
            })?,
            area_ha: area[i],
            cost: cost[i],
            cost_given: given[i],
            efficacy: efficacy[i],
            feasible: feasible[i],
            easting_m: east[i],
            northing_m: north[i],
            active_ha: active[rows].to_vec(),
        });
    }
    let a = TableReader::of(folder, &BLOCK_AREAS)?;
    let (zones, in_blocks, land) = (a.texts("zone_id")?, a.texts("block_id")?, a.numbers("area_ha")?);
    for i in 0..zones.len() {
        let block = slate.blocks.iter().position(|b| *b == in_blocks[i]);
        let block = block.ok_or_else(|| {
            a.bad("block_id", format!("\"{}\"", in_blocks[i]), "a block of tables/priorities.parquet")
        })?;
        match slate.areas.iter_mut().find(|x| x.id == zones[i]) {
            Some(x) => x.blocks.push((block, land[i])),
            None => slate.areas.push(AreaLand { id: zones[i].clone(), blocks: vec![(block, land[i])] }),
        }
    }
    Ok(Reread { study: word("study"), as_of: word("as_of"), priorities, slate, chosen })
}
