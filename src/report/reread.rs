//! Reads the slate of a finished run back from its folder, with errors that name file and column.

use crate::assess::priorities::candidates::{AreaLand, Candidate, Candidates};
use crate::records::{Method, WildlifeHost};
use crate::study::priorities::Priorities;
use polars::prelude::*;
use std::path::{Path, PathBuf};

/// Why a result folder cannot be read back.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RereadError {
    /// A file is missing or not readable.
    #[error("{path}: cannot be read: {reason}; name a folder that `run` has completed with this version")]
    Unreadable {
        /// File.
        path: String,
        /// What the system or the library said.
        reason: String,
    },
    /// A column or value is not what `run` writes.
    #[error("{path}, column \"{column}\": {found}; run the study again with this version")]
    BadColumn {
        /// File.
        path: String,
        /// Column.
        column: String,
        /// What is there.
        found: String,
    },
    /// The study has no blocks to choose among.
    #[error(
        "{path}: the study names no control blocks, so there is nothing to choose; name them under areas.blocks"
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
    /// What can be done, with its effect draw by draw.
    pub slate: Candidates,
    /// Whether the run chose each candidate; `None` where it chose none at all.
    pub chosen: Option<Vec<bool>>,
}

struct Table {
    path: PathBuf,
    frame: DataFrame,
}

impl Table {
    fn open(folder: &Path, name: &str) -> Result<Table, RereadError> {
        let path = folder.join("tables").join(name);
        let failed = |reason: String| RereadError::Unreadable { path: path.display().to_string(), reason };
        let file = std::fs::File::open(&path).map_err(|e| failed(e.to_string()))?;
        let frame = ParquetReader::new(file).finish().map_err(|e| failed(e.to_string()))?;
        Ok(Table { path, frame })
    }
    fn bad(&self, column: &str, found: impl Into<String>) -> RereadError {
        RereadError::BadColumn {
            path: self.path.display().to_string(),
            column: column.into(),
            found: found.into(),
        }
    }
    fn column(&self, name: &str) -> Result<&Column, RereadError> {
        self.frame.column(name).map_err(|_| self.bad(name, "is missing"))
    }
    fn texts(&self, name: &str) -> Result<Vec<String>, RereadError> {
        let column = self.column(name)?.str().map_err(|e| self.bad(name, e.to_string()))?;
        column
            .iter()
            .map(|v| v.map(str::to_string).ok_or_else(|| self.bad(name, "has no value somewhere")))
            .collect()
    }
    fn numbers(&self, name: &str) -> Result<Vec<f64>, RereadError> {
        let column = self.column(name)?.f64().map_err(|e| self.bad(name, e.to_string()))?;
        column.iter().map(|v| v.ok_or_else(|| self.bad(name, "has no value somewhere"))).collect()
    }
    fn singles(&self, name: &str) -> Result<Vec<f32>, RereadError> {
        let column = self.column(name)?.f32().map_err(|e| self.bad(name, e.to_string()))?;
        column.iter().map(|v| v.ok_or_else(|| self.bad(name, "has no value somewhere"))).collect()
    }
    fn flags(&self, name: &str) -> Result<Vec<Option<bool>>, RereadError> {
        let column = self.column(name)?.bool().map_err(|e| self.bad(name, e.to_string()))?;
        Ok(column.iter().collect())
    }
}

/// Reads a result folder.
///
/// # Errors
/// [`RereadError`].
pub fn reread(folder: &Path) -> Result<Reread, RereadError> {
    let manifest = folder.join("manifest.json");
    let failed = |reason: String| RereadError::Unreadable { path: manifest.display().to_string(), reason };
    let text = std::fs::read_to_string(&manifest).map_err(|e| failed(e.to_string()))?;
    let json: serde_json::Value = serde_json::from_str(&text).map_err(|e| failed(e.to_string()))?;
    let priorities: Priorities = serde_json::from_value(json["parameters"]["priorities"].clone())
        .map_err(|e| failed(format!("parameters.priorities: {e}")))?;
    let word = |key: &str| json[key].as_str().unwrap_or_default().to_string();

    let t = Table::open(folder, "priorities.parquet")?;
    let (ids, names) = (t.texts("block_id")?, t.texts("name")?);
    if ids.is_empty() {
        return Err(RereadError::NoBlocks { path: folder.display().to_string() });
    }
    let vectors = t.texts("vector")?;
    let methods = t.texts("method")?;
    let (east, north) = (t.numbers("easting")?, t.numbers("northing")?);
    let (area, cost, kill) = (t.numbers("area_ha")?, t.numbers("cost")?, t.numbers("kill")?);
    let (given, feasible) = (t.flags("cost_given")?, t.flags("feasible")?);
    let chosen: Option<Vec<bool>> = t.flags("chosen")?.into_iter().collect();

    let d = Table::open(folder, "block_draws.parquet")?;
    let (active, positive) = (d.singles("active_ha")?, d.singles("sample_positive_prob")?);
    let (draw_block, draw_vector) = (d.texts("block_id")?, d.texts("vector")?);
    if active.len() % ids.len() != 0 {
        return Err(d.bad(
            "draw",
            format!("{} rows are not a whole number for {} operations", active.len(), ids.len()),
        ));
    }
    let draws = active.len() / ids.len();
    let mut slate = Candidates::default();
    for i in 0..ids.len() {
        let rows = i * draws..(i + 1) * draws;
        let host = if i.is_multiple_of(2) { WildlifeHost::Possum } else { WildlifeHost::Ferret };
        let mine = rows.clone().all(|r| draw_block[r] == ids[i] && draw_vector[r] == vectors[i]);
        if vectors[i] != host.word() || !mine || ids[i] != ids[i - i % 2] {
            return Err(d.bad("block_id", "is not in the order of priorities.parquet"));
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
            vector: host,
            method: method.ok_or_else(|| t.bad("method", format!("\"{}\" is no method", methods[i])))?,
            area_ha: area[i],
            cost: cost[i],
            cost_given: given[i] == Some(true),
            kill: kill[i],
            feasible: feasible[i] == Some(true),
            easting_m: east[i],
            northing_m: north[i],
            active_ha: active[rows].to_vec(),
        });
    }
    let a = Table::open(folder, "block_areas.parquet")?;
    let (zones, in_blocks, land) = (a.texts("zone_id")?, a.texts("block_id")?, a.numbers("area_ha")?);
    for i in 0..zones.len() {
        let block = slate.blocks.iter().position(|b| *b == in_blocks[i]);
        let block = block.ok_or_else(|| a.bad("block_id", format!("\"{}\" is no block", in_blocks[i])))?;
        match slate.areas.iter_mut().find(|x| x.id == zones[i]) {
            Some(x) => x.blocks.push((block, land[i])),
            None => slate.areas.push(AreaLand { id: zones[i].clone(), blocks: vec![(block, land[i])] }),
        }
    }
    Ok(Reread { study: word("study"), as_of: word("as_of"), priorities, slate, chosen })
}
