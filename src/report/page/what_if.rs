//! What the page needs to answer "and with another budget?": operations, constraints, samples.

use crate::assess::priorities::candidates::Candidate;
use crate::assess::priorities::constraints::{Constraints, Fixed};
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::priorities;
use serde::Serialize;

/// Most numbers of operations × samples that are sent; samples are thinned evenly to keep to it.
const MOST_NUMBERS: usize = 40_000;
/// Most samples sent: those of a default run, so that intervals are those of the command line.
const MOST_SAMPLES: usize = 1_000;

/// Operations, constraints and samples.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(crate) struct WhatIf {
    budget: f64,
    currency: String,
    /// Whether blocks are named before anything is asked.
    named: bool,
    /// Active land in all blocks, expected, hectares.
    active: f64,
    season_area: Option<f64>,
    ops: Vec<PageOperation>,
    leader: Vec<usize>,
    any_of: Vec<Vec<usize>>,
    least_land: Vec<Least>,
    /// Hectares removed, operations × samples.
    samples: Vec<Vec<u32>>,
}

#[derive(Serialize)]
struct PageOperation {
    id: String,
    block: usize,
    name: String,
    host: &'static str,
    cost: f64,
    area: f64,
    /// Active land expected to be removed, hectares, over all samples.
    gain: f64,
    fixed: &'static str,
}

#[derive(Serialize)]
struct Least {
    least: f64,
    blocks: Vec<(usize, f64)>,
}

/// What the page needs; `None` where no set can be named at all.
pub(crate) fn what_if(analysis: &Analysis) -> Option<WhatIf> {
    let a = &analysis.assessment;
    let decision = a.decision.as_ref()?.as_ref().ok()?;
    let keys = &analysis.layout.study.priorities;
    let terms = Constraints::resolve(&a.slate, keys).ok()?;
    let (n, all) = (a.slate.candidates.len(), a.slate.samples());
    let kept = all.min(MOST_SAMPLES).min(MOST_NUMBERS / n.max(1)).max(1).min(all);
    let operation = |(c, fixed): (&Candidate, &Fixed)| PageOperation {
        id: c.id(),
        block: c.block,
        name: c.name.clone(),
        host: c.host.word(),
        cost: c.cost,
        area: c.area_ha,
        gain: c.expected_removed_ha(),
        fixed: match fixed {
            Fixed::In => "in",
            Fixed::Out => "out",
            Fixed::Free => "free",
        },
    };
    let samples = |c: &Candidate| (0..kept).map(|k| c.removed_ha(k * all / kept).round() as u32).collect();
    Some(WhatIf {
        budget: decision.budget,
        currency: keys.currency.clone(),
        named: priorities::names_blocks(analysis),
        active: decision.active_ha.mean,
        season_area: terms.season_area_ha,
        ops: a.slate.candidates.iter().zip(&terms.fixed).map(operation).collect(),
        samples: a.slate.candidates.iter().map(samples).collect(),
        leader: terms.leader,
        any_of: terms.any_of,
        least_land: terms
            .least_land
            .into_iter()
            .map(|l| Least { least: l.least_ha, blocks: l.blocks })
            .collect(),
    })
}
