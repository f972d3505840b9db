//! Tables of the choice among blocks, written so that `choose` can answer from them without sampling again.

use crate::assess::priorities::candidates::Candidate;
use crate::assess::priorities::value_of_information::Look;
use crate::assess::priorities::{CandidateFigures, Decision};
use crate::contract::error::ContractError;
use crate::contract::tables::{BLOCK_AREAS, BLOCK_SAMPLES, FRONTIER, PRIORITIES};
use crate::contract::write_table::TableBuilder;
use crate::pipeline::analysis::Analysis;
use crate::report::tables::figures;
use itertools::Itertools as _;

fn decided(analysis: &Analysis) -> Option<&Decision> {
    analysis.assessment.decision.as_ref().and_then(|d| d.as_ref().ok())
}

/// Operations with cost, effect, rank and whether they are chosen; figures of the choice are absent where
/// none was made.
pub(crate) fn priorities(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let c = &analysis.assessment.slate.candidates;
    let d = decided(analysis);
    let of = |i: usize| d.map(|d| &d.figures[i]);
    let figure = |get: fn(&CandidateFigures) -> Option<f64>| (0..c.len()).map(move |i| of(i).and_then(get));
    let whole = |get: fn(&CandidateFigures) -> Option<usize>| (0..c.len()).map(move |i| of(i).and_then(get));
    let flag = |get: fn(&CandidateFigures) -> bool| (0..c.len()).map(move |i| of(i).map(get));
    let look = |get: fn(Look) -> f64| (0..c.len()).map(move |i| of(i).and_then(|f| f.look).map(get));
    let given = |get: fn(&Candidate) -> f64| c.iter().map(get);
    TableBuilder::new(&PRIORITIES)
        .text("block_id", c.iter().map(|c| c.block_id.clone()))
        .text("name", c.iter().map(|c| c.name.clone()))
        .text("host", c.iter().map(|c| c.host.word().to_string()))
        .text("method", c.iter().map(|c| c.method.word().to_string()))
        .number("easting", given(|c| c.easting_m))
        .number("northing", given(|c| c.northing_m))
        .number("area_ha", given(|c| c.area_ha))
        .number("cost", given(|c| c.cost))
        .flag("cost_given", c.iter().map(|c| c.cost_given))
        .number("efficacy", given(|c| c.efficacy))
        .flag("feasible", c.iter().map(|c| c.feasible))
        .number("expected_active_ha", given(|c| c.expected_removed_ha() / c.efficacy.max(f64::MIN_POSITIVE)))
        .flag("allowed", flag(|f| f.allowed))
        .number("expected_removed_ha", figure(|f| Some(f.expected_removed_ha)))
        .number("score", figure(|f| f.score))
        .whole("rank", whole(|f| f.rank))
        .flag("chosen", flag(|f| f.chosen))
        .number("p_in_best_set", figure(|f| f.p_in_best_set))
        .whole("tie_group", whole(|f| f.tie.map(|t| t + 1)))
        .number("value_of_sample", look(|l| l.value_of_sample))
        .number("net_value_of_sample", look(|l| l.net_value_of_sample))
        .number("value_of_perfect_information", look(|l| l.value_of_perfect_information))
        .number("p_better_elsewhere", look(|l| l.p_better_elsewhere))
        .text("advice", (0..c.len()).map(|i| Some(of(i)?.look?.advice.word().to_string())))
        .finish(None)
}

/// What each budget buys; `operations` lists them as `B03:possum;B07:ferret`.
pub(crate) fn frontier(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let points = decided(analysis).map(|d| d.frontier.as_slice()).unwrap_or_default();
    let c = &analysis.assessment.slate.candidates;
    TableBuilder::new(&FRONTIER)
        .number("budget", points.iter().map(|p| p.budget))
        .number("cost", points.iter().map(|p| p.cost))
        .distribution("removed_ha", points.iter().map(|p| figures(&p.removed_ha)))
        .distribution("residual_ha", points.iter().map(|p| figures(&p.residual_ha)))
        .text("operations", points.iter().map(|p| p.operations.iter().map(|i| c[*i].id()).join(";")))
        .finish(None)
}

/// Active area of every operation and chance of a positive sample, posterior sample by posterior sample.
pub(crate) fn block_samples(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let slate = &analysis.assessment.slate;
    let rows = || slate.candidates.iter().flat_map(|c| (0..slate.samples()).map(move |d| (c, d)));
    TableBuilder::new(&BLOCK_SAMPLES)
        .text("block_id", rows().map(|(c, _)| c.block_id.clone()))
        .text("host", rows().map(|(c, _)| c.host.word().to_string()))
        .whole("sample", rows().map(|(_, d)| d))
        .single("active_ha", rows().map(|(c, d)| c.active_ha[d]))
        .single("sample_positive_prob", rows().map(|(c, d)| slate.sample_positive[c.block][d]))
        .finish(None)
}

/// Hectares of each block in each area.
pub(crate) fn block_areas(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let slate = &analysis.assessment.slate;
    let rows = || slate.areas.iter().flat_map(|a| a.blocks.iter().map(move |(b, ha)| (a, *b, *ha)));
    TableBuilder::new(&BLOCK_AREAS)
        .text("zone_id", rows().map(|(a, ..)| a.id.clone()))
        .text("block_id", rows().map(|(_, b, _)| slate.blocks[b].clone()))
        .number("area_ha", rows().map(|(.., ha)| ha))
        .finish(None)
}
