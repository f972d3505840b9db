//! `manifest.json`: what a result was made from, with what, and how it went.

use crate::contract::documents::MANIFEST;
use crate::contract::error::ContractError;
use crate::inference::posterior::{LARGEST_R_HAT, SMALLEST_ESS};
use crate::pipeline::analysis::Analysis;
use crate::report::json::document;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// Clock readings of a run; the only part of an output that two runs of one study need not share.
#[derive(Debug, Clone, Default)]
pub struct Times {
    /// When the run started, RFC 3339.
    pub started: String,
    /// When its results were written.
    pub finished: String,
}

/// One output file.
pub(crate) struct Output {
    name: String,
    bytes: usize,
    sha256: String,
}

impl Output {
    /// Size and fingerprint of a file's content.
    pub(crate) fn of(name: &str, bytes: &[u8]) -> Output {
        Output { name: name.into(), bytes: bytes.len(), sha256: hex(&Sha256::digest(bytes)) }
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// The manifest as indented JSON.
///
/// # Errors
/// [`ContractError`] where its keys are not as declared.
pub(crate) fn json(analysis: &Analysis, times: &Times, outputs: &[Output]) -> Result<Vec<u8>, ContractError> {
    let layout = &analysis.layout;
    let (grid, posterior) = (&layout.grid, &analysis.posterior);
    let inputs: Vec<Value> = analysis
        .account
        .inputs
        .iter()
        .map(|i| {
            let (size, digest) = (i.bytes, &i.sha256);
            json!({ "path": i.path, "role": i.role, "bytes": size, "sha256": digest, "rows": i.rows })
        })
        .collect();
    let outputs: Vec<Value> =
        outputs.iter().map(|o| json!({ "name": o.name, "bytes": o.bytes, "sha256": o.sha256 })).collect();
    let value = json!({
        "program": "pignut",
        "version": env!("CARGO_PKG_VERSION"),
        "study": layout.study.study.name,
        "as_of": layout.as_of.to_string(),
        "seed": layout.study.study.seed,
        "crs": layout.study.study.crs,
        "projection": analysis.account.projection_note,
        "cell_m": grid.cell_m,
        "grid": {
            "west_m": grid.west_m, "south_m": grid.south_m, "cell_m": grid.cell_m,
            "rows": grid.rows, "cols": grid.cols, "periods": grid.periods(),
            "first_period": grid.period_start(0).to_string(), "period_months": grid.period_months,
        },
        "parameters": layout.study,
        "inputs": inputs,
        "records": analysis.account.counts,
        "read_as": analysis.account.inferences,
        "corrections": analysis.account.corrections,
        "diagnostics": {
            "criteria": {
                "split_r_hat_below": LARGEST_R_HAT,
                "effective_sample_size_of_areas_at_least": SMALLEST_ESS,
                "divergent_trajectories_at_most": 0,
            },
            "posterior_samples_kept": posterior.samples(),
            "watched": posterior.watched,
            "chains": posterior.chains,
            "mode": posterior.mode,
            "mass_off_grid": posterior.mass_off_grid,
        },
        "outputs": outputs,
        "started": times.started,
        "finished": times.finished,
        "seconds": {
            "read": analysis.seconds[0],
            "sample": analysis.seconds[1],
            "assess": analysis.seconds[2],
        },
    });
    document(&MANIFEST, value)
}
