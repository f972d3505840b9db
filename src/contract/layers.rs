//! The layers: GeoJSON, RFC 7946.

use crate::contract::ColumnKind::{Interval, Rows, Whole, Year};
use crate::contract::columns::*;
use crate::contract::{ColumnSpec, FileKind, FileSpec, Written};

/// Layers of a result.
pub(crate) static RESULT: [&FileSpec; 6] = [&CELLS, &POSITIVES, &ORIGINS, &ZONES, &GAPS, &BLOCKS];

/// Layers that other commands write.
pub(crate) static ASIDE: [&FileSpec; 1] = [&SAMPLES];

const fn layer(
    path: &'static str,
    row: &'static str,
    written: Written,
    meaning: &'static str,
    columns: &'static [ColumnSpec],
) -> FileSpec {
    FileSpec { path, kind: FileKind::Layer, row, written, meaning, columns }
}

const RECENT: ColumnSpec = column(
    "force_of_infection",
    Interval,
    "per pig-year",
    "Force of infection that a resident pig meets, mean of the recent months.",
);
const ACTIVE_HA: ColumnSpec =
    column("active_ha", Interval, "ha", "Land where the recent force of infection exceeds the threshold.");

/// Cells of the grid.
pub(crate) static CELLS: FileSpec = layer(
    "cells.geojson",
    "cell of the grid",
    Written::Always,
    "Where transmission is active, and where examined pigs would have shown it.",
    &[
        CELL_ID,
        column("row", Whole, "", "Row of the grid, counted from 0 in the south."),
        column("col", Whole, "", "Column of the grid, counted from 0 in the west."),
        RECENT,
        P_ACTIVE,
        EXPOSURE,
        CELL_SENSITIVITY,
        EXPECTED_INFECTIONS,
        WINDOW[0],
        WINDOW[1],
        WINDOW[2],
        STANDING,
    ],
);

/// Positive and suspect pigs.
pub(crate) static POSITIVES: FileSpec = layer(
    "positives.geojson",
    "positive or suspect pig, at the place where it was killed",
    Written::Always,
    "When and how near each positive or suspect pig was infected.",
    &[
        OCCURRENCE_ID,
        text("reading", "Whether the laboratory confirmed it: confirmed or suspect."),
        date("killed", "Date killed, the last possible day where it is an interval."),
        WINDOW[0],
        WINDOW[1],
        WINDOW[2],
        date("window50_start", "Start of the 50 % credible interval.").or_absent(),
        date("window50_end", "End of the 50 % credible interval.").or_absent(),
        P_RECENT,
        P_LOCAL,
        chance(
            "p_zone",
            "Probability that it was infected, at any time, inside the area where it was killed.",
        )
        .or_absent(),
        text("zone_id", "Movement-control area where it was killed.").or_absent(),
        P_TRUE,
        number(
            "origin_distance_m_median",
            "m",
            "Median distance from where it was killed to where it was infected.",
        )
        .or_absent(),
    ],
);

/// Likely origins.
pub(crate) static ORIGINS: FileSpec = layer(
    "origins.geojson",
    "positive or suspect pig and level",
    Written::Always,
    "The smallest areas that hold 50 % and 90 % of the likely place of infection of each pig.",
    &[OCCURRENCE_ID, chance("level", "Share of the likely origin held: 0.5 or 0.9."), AREA_HA, P_TRUE],
);

/// One year of an area.
const HISTORY: [ColumnSpec; 14] = [
    column("year", Year, "", "Calendar year, the last one up to the analysis date."),
    chance("p_free", "Probability that the area was free of a design focus that year."),
    BOUNDS[0],
    BOUNDS[1],
    chance("p_free_by_clear_pigs", "Probability of freedom by the pigs with no visible lesion alone."),
    chance("p_free_before", "Probability of freedom before the evidence of the year."),
    chance("p_no_case_inside", "Probability that no positive or suspect pig was infected inside that year."),
    ZONE_SENSITIVITY,
    chance(
        "surveillance_sensitivity_given_earlier",
        "The same for a design focus that earlier years had not shown.",
    ),
    chance("surveillance_sensitivity_low", "The same with the inputs at the low end of their ranges."),
    chance("surveillance_sensitivity_high", "The same with the inputs at the high end of their ranges."),
    chance(
        "mean_cell_sensitivity",
        "Mean over the land of the surveillance sensitivity of its cells, by all examined pigs.",
    ),
    SHARE_AT_TARGET,
    P_UNDER_THRESHOLD,
];
/// Bounds of the probability of freedom.
const BOUNDS: [ColumnSpec; 2] = [
    chance("p_free_low", "Lower end of its 90 % credible interval."),
    chance("p_free_high", "Upper end of its 90 % credible interval."),
];
const ZONE_SENSITIVITY: ColumnSpec = chance(
    "surveillance_sensitivity",
    "Probability that pigs with no visible lesion would have shown a design focus somewhere in the area.",
);
const SHARE_AT_TARGET: ColumnSpec = number(
    "share_at_target",
    "share",
    "Share of the land whose surveillance sensitivity is at the coverage target.",
);
const P_UNDER_THRESHOLD: ColumnSpec = chance(
    "p_under_threshold",
    "Probability that the force of infection lies under the threshold everywhere in the area.",
);

/// Movement-control areas.
pub(crate) static ZONES: FileSpec = layer(
    "zones.geojson",
    "movement-control area",
    Written::Always,
    "Whether transmission goes on in each area, and how probable freedom is, year by year.",
    &[
        ZONE_ID,
        NAME,
        AREA_HA,
        text(
            "verdict",
            "What is said: active_now, active_before, no_sign, free or too_few_pigs (see *is it here?*).",
        ),
        chance("p_active_any", "Probability of active transmission anywhere in the area."),
        chance("p_free", "Probability that the area is free of a design focus, in the latest year.")
            .or_absent(),
        BOUNDS[0].or_absent(),
        BOUNDS[1].or_absent(),
        ZONE_SENSITIVITY.or_absent(),
        P_UNDER_THRESHOLD.or_absent(),
        SHARE_AT_TARGET.or_absent(),
        column(
            "force_of_infection",
            Interval,
            "per pig-year",
            "Force of infection, mean of the area and the recent months.",
        ),
        ACTIVE_HA,
        PIGS,
        POSITIVE_PIGS,
        date("last_positive", "Last day on which a positive or suspect pig was killed inside.").or_absent(),
        number(
            "positives_local_expected",
            "pigs",
            "Expected number of positives killed inside that were infected inside.",
        ),
        number(
            "positives_imported_expected",
            "pigs",
            "Expected number of positives killed inside that were infected elsewhere.",
        ),
        number(
            "infected_inside_expected",
            "pigs",
            "Expected number of the study's positives that were infected inside.",
        ),
        WINDOW[0],
        WINDOW[1],
        WINDOW[2],
        column("history", Rows(&HISTORY), "", "Freedom and coverage, one row a year."),
        column(
            "force_of_infection_history",
            Rows(&[
                date("period_start", "First day of the period."),
                column(
                    "force_of_infection",
                    Interval,
                    "per pig-year",
                    "Force of infection, mean of the area.",
                ),
            ]),
            "",
            "Force of infection, one row a period.",
        ),
    ],
);

/// Land below the coverage target.
pub(crate) static GAPS: FileSpec = layer(
    "gaps.geojson",
    "connected piece of land below the coverage target, or below half of it",
    Written::Always,
    "Where a focus could have been missed, and how many more pigs would close the gap.",
    &[
        text("gap_id", "Name of the gap in this result, such as G001."),
        text("zone_id", "Movement-control area that it lies in.").or_absent(),
        text("zone_name", "Name of that area.").or_absent(),
        AREA_HA,
        chance("sensitivity", "Mean surveillance sensitivity over its land."),
        chance("sensitivity_lowest", "Lowest surveillance sensitivity among its cells."),
        chance("below", "Sensitivity that all its cells lie below."),
        chance("target", "The study's coverage target."),
        number("window_months", "months", "Length of the coverage window."),
        EXPOSURE,
        pigs("pigs_needed", "Further pigs with no visible lesion that would bring all of it to the target.")
            .or_absent(),
        pigs("pigs_needed_more_than", "Number that would not be enough, where pigs_needed is absent.")
            .or_absent(),
        number("pigs_age_months", "months", "Age of those pigs."),
    ],
);

/// Control blocks.
pub(crate) static BLOCKS: FileSpec = layer(
    "blocks.geojson",
    "control block",
    Written::Always,
    "What is expected in each block, and what each operation there would gain and cost.",
    &[
        BLOCK_ID,
        NAME,
        AREA_HA,
        number("expected_active_ha", "ha", "Expected land with active transmission."),
        ACTIVE_HA,
        STANDING.or_absent(),
        flag("feasible", "Whether the study says that it can be treated."),
        PIGS,
        POSITIVE_PIGS,
        date("last_operation", "Last day of its latest past operation.").or_absent(),
        text("last_operation_host", "Wildlife host of that operation: possum or ferret.").or_absent(),
        number("expected_active_ha", "ha", "Expected land with active transmission that the host carries.")
            .by_host(),
        text("method", "Method of the operation: aerial, ground or trapping.").by_host(),
        COST.by_host(),
        ALLOWED.by_host(),
        EXPECTED_REMOVED_HA.by_host(),
        SCORE.by_host(),
        RANK.by_host(),
        CHOSEN.by_host(),
        P_IN_BEST_SET.by_host(),
        VALUE_OF_SAMPLE.by_host(),
        NET_VALUE_OF_SAMPLE.by_host(),
        VALUE_OF_PERFECT_INFORMATION.by_host(),
        P_BETTER_ELSEWHERE.by_host(),
        ADVICE.by_host(),
        text("not_told_from", "Blocks that cannot be told apart from it, separated by semicolons.")
            .by_host()
            .or_absent(),
    ],
);

/// Places for the next pigs.
pub(crate) static SAMPLES: FileSpec = layer(
    "samples.geojson",
    "pig to be taken next, at the centre of its cell",
    Written::BySample,
    "Where the next pigs should come from, in the order in which they add most.",
    &[
        column("rank", Whole, "", "Order in which the places should be filled, from 1."),
        CELL_ID,
        text("zone_id", "Movement-control area that holds the place.").or_absent(),
        number("age_months", "months", "Age of the pig."),
        number("adds_looked_at_ha", "ha", "Land that the pig adds to what is covered, with --aim coverage.")
            .or_absent(),
        number("adds_settled_ha", "ha", "Land that the pig is expected to settle, with --aim standing.")
            .or_absent(),
        chance(
            "mean_sensitivity_with",
            "Mean surveillance sensitivity of the land with this pig and those before it.",
        ),
        number("at_target_ha_with", "ha", "Land at the coverage target with them."),
    ],
);
