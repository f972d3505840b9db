//! Tables of the choice among blocks, written so that `choose` can answer from them without sampling again.
//!
//! | table | one row per |
//! | --- | --- |
//! | `tables/priorities.parquet` | operation: block × host |
//! | `tables/frontier.parquet` | budget |
//! | `tables/block_draws.parquet` | block × host × draw |
//! | `tables/block_areas.parquet` | block × area it has land in |

use crate::assess::priorities::candidates::Candidate;
use crate::assess::priorities::{CandidateFigures, Decision};
use crate::pipeline::analysis::Analysis;
use crate::report::tables::frame::{frame, numbers, perhaps, spreads, texts};
use itertools::Itertools as _;
use polars::prelude::*;

fn decided(analysis: &Analysis) -> Option<&Decision> {
    analysis.assessment.decision.as_ref().and_then(|d| d.as_ref().ok())
}

/// Operations with cost, effect, rank and whether they are chosen; figures of the choice are null where none was made.
pub(crate) fn priorities(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let c = &analysis.assessment.slate.candidates;
    let d = decided(analysis);
    let of = |get: fn(&CandidateFigures) -> Option<f64>| -> Vec<Option<f64>> {
        (0..c.len()).map(|i| d.and_then(|d| get(&d.figures[i]))).collect()
    };
    let flags = |name: &str, get: fn(&CandidateFigures) -> bool| {
        Column::new(
            name.into(),
            (0..c.len()).map(|i| d.map(|d| get(&d.figures[i]))).collect::<Vec<Option<bool>>>(),
        )
    };
    let number = |name: &str, get: fn(&Candidate) -> f64| numbers(name, c.iter().map(get));
    let flag = |name: &str, get: fn(&Candidate) -> bool| {
        Column::new(name.into(), c.iter().map(get).collect::<Vec<bool>>())
    };
    frame(vec![
        texts("block_id", c.iter().map(|c| c.block_id.clone())),
        texts("name", c.iter().map(|c| c.name.clone())),
        texts("vector", c.iter().map(|c| c.vector.word().to_string())),
        texts("method", c.iter().map(|c| c.method.word().to_string())),
        number("easting", |c| c.easting_m),
        number("northing", |c| c.northing_m),
        number("area_ha", |c| c.area_ha),
        number("cost", |c| c.cost),
        flag("cost_given", |c| c.cost_given),
        number("kill", |c| c.kill),
        flag("feasible", |c| c.feasible),
        numbers(
            "expected_active_ha",
            c.iter().map(|c| c.expected_removed_ha() / c.kill.max(f64::MIN_POSITIVE)),
        ),
        flags("allowed", |f| f.allowed),
        perhaps("expected_removed_ha", of(|f| Some(f.expected_removed_ha)).into_iter()),
        perhaps("score", of(|f| f.score).into_iter()),
        perhaps("rank", of(|f| f.rank.map(|r| r as f64)).into_iter()),
        flags("chosen", |f| f.chosen),
        perhaps("p_in_top", of(|f| f.p_in_best).into_iter()),
        perhaps("tie_group", of(|f| f.tie.map(|t| t as f64 + 1.0)).into_iter()),
        perhaps("sample_worth", of(|f| f.look.map(|l| l.sample_worth)).into_iter()),
        perhaps("sample_net", of(|f| f.look.map(|l| l.sample_net)).into_iter()),
        perhaps("truth_worth", of(|f| f.look.map(|l| l.truth_worth)).into_iter()),
        perhaps("p_below_par", of(|f| f.look.map(|l| l.p_below_par)).into_iter()),
        Column::new(
            "advice".into(),
            (0..c.len())
                .map(|i| d.and_then(|d| d.figures[i].look).map(|l| l.advice.word()))
                .collect::<Vec<Option<&str>>>(),
        ),
    ])
}

/// What each budget buys; `operations` lists them as `B03:possum;B07:ferret`.
pub(crate) fn frontier(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let points = decided(analysis).map(|d| d.frontier.as_slice()).unwrap_or_default();
    let c = &analysis.assessment.slate.candidates;
    let mut columns = vec![
        numbers("budget", points.iter().map(|p| p.budget)),
        numbers("cost", points.iter().map(|p| p.cost)),
    ];
    columns.extend(spreads("removed_ha", points.iter().map(|p| &p.removed_ha)));
    columns.extend(spreads("residual_ha", points.iter().map(|p| &p.residual_ha)));
    columns
        .push(texts("operations", points.iter().map(|p| p.operations.iter().map(|i| c[*i].id()).join(";"))));
    frame(columns)
}

/// Active area of every operation and chance of a positive sample, draw by draw.
pub(crate) fn block_draws(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let slate = &analysis.assessment.slate;
    let draws = slate.draws();
    let rows = || slate.candidates.iter().flat_map(|c| (0..draws).map(move |d| (c, d)));
    let single = |name: &str, values: Vec<f32>| Column::new(name.into(), values);
    frame(vec![
        texts("block_id", rows().map(|(c, _)| c.block_id.clone())),
        texts("vector", rows().map(|(c, _)| c.vector.word().to_string())),
        Column::new("draw".into(), rows().map(|(_, d)| d as i32).collect::<Vec<i32>>()),
        single("active_ha", rows().map(|(c, d)| c.active_ha[d]).collect()),
        single("sample_positive_prob", rows().map(|(c, d)| slate.sample_positive[c.block][d]).collect()),
    ])
}

/// Hectares of each block in each area.
pub(crate) fn block_areas(analysis: &Analysis) -> PolarsResult<DataFrame> {
    let slate = &analysis.assessment.slate;
    let rows = || slate.areas.iter().flat_map(|a| a.blocks.iter().map(move |(b, ha)| (a, *b, *ha)));
    frame(vec![
        texts("zone_id", rows().map(|(a, ..)| a.id.clone())),
        texts("block_id", rows().map(|(_, b, _)| slate.blocks[b].clone())),
        numbers("area_ha", rows().map(|(.., ha)| ha)),
    ])
}
