//! Which blocks first: the program against exhaustive search, effects of past operations, `choose`.

mod answers;
mod effects;
mod looking;
mod program;

use pignut::internals::assess::priorities::candidates::{AreaLand, Candidate, Candidates};
use pignut::internals::records::{Method, WildlifeHost};

/// A slate of blocks given as (possum cost, possum hectares by draw, ferret cost, ferret hectares by draw),
/// 1000 ha each, in a row 4 km apart, kill 1.
fn slate(blocks: &[(f64, &[f32], f64, &[f32])]) -> Candidates {
    let mut out = Candidates::default();
    for (b, (possum_cost, possum, ferret_cost, ferret)) in blocks.iter().enumerate() {
        out.blocks.push(format!("B{b}"));
        out.sample_positive.push(vec![0.1; possum.len()]);
        for (host, cost, active) in
            [(WildlifeHost::Possum, *possum_cost, *possum), (WildlifeHost::Ferret, *ferret_cost, *ferret)]
        {
            out.candidates.push(Candidate {
                block: b,
                block_id: format!("B{b}"),
                name: format!("Block {b}"),
                host,
                method: if host == WildlifeHost::Possum { Method::Ground } else { Method::Trapping },
                area_ha: 1000.0,
                cost,
                cost_given: true,
                efficacy: 1.0,
                feasible: true,
                easting_m: 4000.0 * b as f64,
                northing_m: 0.0,
                active_ha: active.to_vec(),
            });
        }
    }
    let half = blocks.len().div_ceil(2);
    out.areas = vec![
        AreaLand { id: "west".into(), blocks: (0..half).map(|b| (b, 1000.0)).collect() },
        AreaLand { id: "east".into(), blocks: (half..blocks.len()).map(|b| (b, 1000.0)).collect() },
    ];
    out
}
