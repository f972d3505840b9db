//! What the map says of each block: how often it is in the best set, and for which host it is chosen.

use crate::pipeline::analysis::Analysis;

/// The choice as one block sees it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BlockChoice {
    /// Larger of its two operations' shares of posterior samples; `None` when neither may be done.
    pub best: Option<f64>,
    /// Hosts it is to be treated against.
    pub chosen: Vec<&'static str>,
}

/// One entry a block, in the order of the records.
pub(crate) fn by_block(analysis: &Analysis) -> Vec<BlockChoice> {
    let a = &analysis.assessment;
    let named = crate::report::sentences::priorities::names_blocks(analysis);
    let decision = a.decision.as_ref().and_then(|d| d.as_ref().ok());
    (0..a.blocks.len())
        .map(|block| {
            let mine = || a.slate.candidates.iter().enumerate().filter(move |(_, c)| c.block == block);
            let figures = |i: usize| decision.map(|d| &d.figures[i]);
            BlockChoice {
                best: mine().filter_map(|(i, _)| figures(i)?.p_in_best_set).reduce(f64::max),
                chosen: mine()
                    .filter(|(i, _)| figures(*i).is_some_and(|f| named && f.chosen))
                    .map(|(_, c)| c.host.word())
                    .collect(),
            }
        })
        .collect()
}
