//! What each drawing shows, for a reader who cannot see it.

use crate::assess::areas::ZoneFigures;
use crate::assess::priorities::Decision;
use crate::assess::spread::Spread;
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::{pigs, words};
use crate::score::Score;

/// Pigs examined by year in one area.
pub(crate) fn pigs_by_year(area: &ZoneFigures) -> String {
    let told: Vec<String> = area.by_year.iter().map(|(y, n, p)| format!("{y}: {n}, {p} positive")).collect();
    format!(
        "Pigs examined by year of death, and how many of them are positive or suspect. {}.",
        told.join("; ")
    )
}

/// Active area removed against the budget.
pub(crate) fn frontier(d: &Decision, currency: &str) -> String {
    let told: Vec<String> = d
        .frontier
        .iter()
        .map(|p| format!("{}: {} ha", words::money(currency, p.budget), words::hectares(p.removed_ha.mean)))
        .collect();
    format!(
        "Active area that the best set is expected to remove at each budget. {}. \
         All blocks are expected to hold {} active ha.",
        told.join("; "),
        words::hectares(d.active_ha.mean)
    )
}

/// Force of infection over time in one area.
pub(crate) fn force_of_infection(analysis: &Analysis, by_period: &[Spread]) -> String {
    let edges = &analysis.layout.grid.period_edges;
    let last = by_period.last().map_or_else(
        || words::not_estimated("no period"),
        |s| {
            format!(
                "median {} (90 % CrI {})",
                words::two_digits(s.median()),
                words::range(s.q05(), s.q95(), words::two_digits)
            )
        },
    );
    format!(
        "Mean force of infection, infections per pig-year, on a logarithmic scale, from {} to {}. \
         In the last period: {last}. Dashed: the threshold of {}.",
        words::month(edges[0]),
        words::month(edges[edges.len() - 1] - 1.0),
        analysis.layout.study.recent.force_of_infection_threshold,
    )
}

/// Land by standing; hectares are active, possible, quiet, unseen.
pub(crate) fn land(lands: &[(&str, [f64; 4])]) -> String {
    let told: Vec<String> = lands
        .iter()
        .map(|(name, ha)| {
            let [active, possible, quiet, unseen] = ha.map(words::hectares);
            format!("{name}: active {active}, possible {possible}, quiet {quiet}, unseen {unseen} ha")
        })
        .collect();
    format!("Share of the land by standing. {}.", told.join("; "))
}

/// What was learnt of one quantity: 5, 50 and 95 % points after the records, and before them.
pub(crate) fn learnt(after: [f64; 3], before: Option<[f64; 3]>) -> String {
    let said = |[lo, mid, hi]: [f64; 3]| {
        format!("median {}, 90 % from {}", words::two_digits(mid), words::range(lo, hi, words::two_digits))
    };
    format!(
        "Two densities on one scale. After the records: {}. Before them: {}.",
        said(after),
        before.map_or_else(|| FIXED.into(), said)
    )
}

/// A quantity without a prior.
pub(crate) const FIXED: &str = "fixed by the study";

/// Stated probability against the share truly active.
pub(crate) fn reliability(score: &Score) -> String {
    let told: Vec<String> = score
        .reliability
        .iter()
        .filter_map(|b| {
            Some(format!("{:.2} stated, {:.2} true ({} cells)", b.mean_prob()?, b.active_share()?, b.cells))
        })
        .collect();
    format!(
        "Mean stated probability against the share of cells truly active, in {} bins. {}.",
        told.len(),
        told.join("; ")
    )
}

/// Infection windows of some positives, an index each among the positives.
pub(crate) fn windows(analysis: &Analysis, order: &[usize]) -> String {
    let positives = &analysis.assessment.positives;
    let killed = |i: &usize| analysis.layout.records.pigs[positives[*i].pig].killed.last;
    let first_last = match (order.first(), order.last()) {
        (Some(a), Some(b)) => format!(" killed from {} to {}", killed(a), killed(b)),
        _ => String::new(),
    };
    format!(
        "{}{first_last}, one line each. The shape is the probability of the day of infection, if infected; \
         its whole width holds 95 % of it. The tick is its median; the diamond is the day of death. \
         The table of pigs holds the same dates.",
        words::count(order.len(), "positive or suspect pig", "positive and suspect pigs")
    )
}

/// Label of a pig without an infection window.
pub(crate) fn no_window() -> String {
    words::not_estimated(pigs::NO_WINDOW)
}

/// Title and content of a still map.
pub(crate) struct StillMap {
    /// Title.
    pub title: &'static str,
    /// What the colours show.
    pub shows: &'static str,
}

/// The map of the probability of being active.
pub(crate) const ACTIVE: StillMap = StillMap {
    title: "Map of the probability of being active",
    shows: "each cell in one of seven steps of the probability that its force of infection exceeds the \
     threshold",
};
/// The map of standings.
pub(crate) const STANDING: StillMap =
    StillMap { title: "Map of standings", shows: "each cell as active, possible, quiet or unseen" };
/// The map of coverage.
pub(crate) const COVERAGE: StillMap = StillMap {
    title: "Map of surveillance coverage",
    shows: "each cell in one of six steps of the probability that a focus there would have been found",
};
/// The map of blocks.
pub(crate) const BLOCKS: StillMap = StillMap {
    title: "Map of blocks to treat",
    shows: "each block in one of six steps of how often it is in the best set; those chosen with a thick \
     boundary",
};

/// What a still map shows.
pub(crate) fn still_map(analysis: &Analysis, map: &StillMap) -> String {
    let records = &analysis.layout.records;
    format!(
        "Still map, grid north up: {}. It has the boundaries of {} and {}, and {} as diamonds. \
         The tables below hold the same figures by area and block.",
        map.shows,
        words::count(records.zones.len(), "area", "areas"),
        words::count(records.blocks.len(), "block", "blocks"),
        words::count(
            analysis.assessment.positives.len(),
            "positive or suspect pig",
            "positive and suspect pigs"
        )
    )
}
