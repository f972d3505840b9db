//! Columns that several files share, and short ways to declare one.

use crate::contract::ColumnKind::{Date, Flag, Number, Text, Whole};
use crate::contract::{ColumnKind, ColumnSpec};

/// A column of which every row has a value.
pub(crate) const fn column(
    name: &'static str,
    kind: ColumnKind,
    unit: &'static str,
    meaning: &'static str,
) -> ColumnSpec {
    ColumnSpec { name, kind, unit, meaning, optional: false, by_host: false }
}
/// A text.
pub(crate) const fn text(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Text, "", meaning)
}
/// A number.
pub(crate) const fn number(name: &'static str, unit: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Number, unit, meaning)
}
/// A probability.
pub(crate) const fn chance(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Number, "probability", meaning)
}
/// A count of pigs.
pub(crate) const fn pigs(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Whole, "pigs", meaning)
}
/// True or false.
pub(crate) const fn flag(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Flag, "", meaning)
}
/// A date.
pub(crate) const fn date(name: &'static str, meaning: &'static str) -> ColumnSpec {
    column(name, Date, "", meaning)
}

/// Name of a cell.
pub(crate) const CELL_ID: ColumnSpec =
    text("cell_id", "Name of the cell by its row and column, such as r010c012.");
/// Force of infection over the recent months.
pub(crate) const P_ACTIVE: ColumnSpec = chance(
    "p_active",
    "Probability of active transmission in the cell: the recent force of infection exceeds the threshold.",
);
/// Time lived by examined pigs.
pub(crate) const EXPOSURE: ColumnSpec = number(
    "exposure_pig_years",
    "pig-years",
    "Time that examined pigs lived there within the coverage window.",
);
/// Sensitivity of surveillance of a cell.
pub(crate) const CELL_SENSITIVITY: ColumnSpec = chance(
    "surveillance_sensitivity",
    "Probability that the examined pigs would have shown a design focus about the cell.",
);
/// Positives infected in a cell.
pub(crate) const EXPECTED_INFECTIONS: ColumnSpec = number(
    "expected_infections",
    "pigs",
    "Expected number of the study's positive and suspect pigs that were infected in the cell.",
);
/// When the infections of a place or a pig happened.
pub(crate) const WINDOW: [ColumnSpec; 3] = [
    date("window_start", "Start of the 90 % credible interval of the infection date.").or_absent(),
    date("window_median", "Median infection date.").or_absent(),
    date("window_end", "End of the 90 % credible interval of the infection date.").or_absent(),
];
/// Standing of a cell.
pub(crate) const STANDING: ColumnSpec =
    text("standing", "What can be said of it: active, possible, quiet or unseen.");
/// Number of a pig.
pub(crate) const OCCURRENCE_ID: ColumnSpec =
    text("occurrence_id", "Specimen number of the pig, as in the records.");
/// Whether a pig was infected at all.
pub(crate) const P_TRUE: ColumnSpec = chance("p_true", "Probability that the pig was infected at all.");
/// Infection within the recent months.
pub(crate) const P_RECENT: ColumnSpec =
    chance("p_recent", "Probability that it was infected within the recent months.");
/// Infection nearby within the recent months.
pub(crate) const P_LOCAL: ColumnSpec =
    chance("p_local", "Probability that it was infected within the recent months and the local radius.");
/// Number of an area.
pub(crate) const ZONE_ID: ColumnSpec =
    text("zone_id", "Number of the movement-control area, as in the study.");
/// Number of a block.
pub(crate) const BLOCK_ID: ColumnSpec = text("block_id", "Number of the control block, as in the study.");
/// Display name.
pub(crate) const NAME: ColumnSpec = text("name", "Name, as in the study.");
/// Land.
pub(crate) const AREA_HA: ColumnSpec = number("area_ha", "ha", "Area.");
/// Pigs killed inside.
pub(crate) const PIGS: ColumnSpec = pigs("pigs", "Pigs killed inside.");
/// Positive among them.
pub(crate) const POSITIVE_PIGS: ColumnSpec = pigs("positives", "Positive and suspect pigs among them.");
/// Cost of an operation.
pub(crate) const COST: ColumnSpec =
    number("cost", "money", "Cost of the operation, in the study's currency.");
/// Whether an operation is allowed.
pub(crate) const ALLOWED: ColumnSpec =
    flag("allowed", "Whether the operation may be done this season.").or_absent();
/// What an operation removes.
pub(crate) const EXPECTED_REMOVED_HA: ColumnSpec =
    number("expected_removed_ha", "ha", "Expected land with active transmission that the operation removes.")
        .or_absent();
/// What its money buys.
pub(crate) const SCORE: ColumnSpec =
    number("score", "ha per 1000 of money", "Expected land removed for its cost.").or_absent();
/// Place by that.
pub(crate) const RANK: ColumnSpec =
    column("rank", Whole, "", "Place by score among the allowed operations against the same host, from 1.")
        .or_absent();
/// Whether it is in the best set.
pub(crate) const CHOSEN: ColumnSpec =
    flag("chosen", "Whether it belongs to the best set within the budget.").or_absent();
/// How sure that is.
pub(crate) const P_IN_BEST_SET: ColumnSpec =
    chance("p_in_best_set", "Share of the posterior samples in whose own best set it is.").or_absent();
/// Value of looking first.
pub(crate) const VALUE_OF_SAMPLE: ColumnSpec = number(
    "value_of_sample",
    "money",
    "Expected value of sample information: examining some pigs there before deciding.",
)
.or_absent();
/// The same less its cost.
pub(crate) const NET_VALUE_OF_SAMPLE: ColumnSpec =
    number("net_value_of_sample", "money", "The same less the cost of those pigs.").or_absent();
/// Value of knowing.
pub(crate) const VALUE_OF_PERFECT_INFORMATION: ColumnSpec = number(
    "value_of_perfect_information",
    "money",
    "Expected value of perfect information: no sample can be of more value.",
)
.or_absent();
/// Whether the money does more elsewhere.
pub(crate) const P_BETTER_ELSEWHERE: ColumnSpec =
    chance("p_better_elsewhere", "Probability that its money would remove more elsewhere.").or_absent();
/// What follows.
pub(crate) const ADVICE: ColumnSpec =
    text("advice", "What follows: treat, leave, or look_first, which is to sample before deciding.")
        .or_absent();
