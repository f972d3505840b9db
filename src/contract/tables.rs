//! The tables for analysis: Parquet, in `tables/`.

use crate::contract::ColumnKind::{DateQuantiles, Distribution, Geometry, Single, Whole, Year};
use crate::contract::columns::*;
use crate::contract::{ColumnSpec, FileKind, FileSpec, Written};

/// Tables of a result.
pub(crate) static RESULT: [&FileSpec; 13] = [
    &CELLS,
    &FORCE_OF_INFECTION,
    &COVERAGE,
    &POSITIVES,
    &ORIGINS,
    &PRIORITIES,
    &FRONTIER,
    &BLOCK_SAMPLES,
    &BLOCK_AREAS,
    &MODEL_CHECKS,
    &RECORD_CHECKS,
    &SENSITIVITY,
    &HELD_OUT,
];

const fn table(
    path: &'static str,
    row: &'static str,
    written: Written,
    meaning: &'static str,
    columns: &'static [ColumnSpec],
) -> FileSpec {
    FileSpec { path, kind: FileKind::Table, row, written, meaning, columns }
}

const EASTING: ColumnSpec = number("easting", "m", "Centre, metres east in the study's coordinate system.");
const NORTHING: ColumnSpec =
    number("northing", "m", "Centre, metres north in the study's coordinate system.");
const HOST: ColumnSpec = text("host", "Wildlife host that the operation is against: possum or ferret.");

/// Cells of the grid.
pub(crate) static CELLS: FileSpec = table(
    "tables/cells.parquet",
    "cell of the grid",
    Written::Always,
    "The figures of cells.geojson with whole distributions; GeoParquet in the study's coordinate system.",
    &[
        CELL_ID,
        EASTING,
        NORTHING,
        column(
            "force_of_infection",
            Distribution,
            "per pig-year",
            "Force of infection that a resident pig meets, mean of the recent months.",
        ),
        P_ACTIVE,
        EXPOSURE,
        CELL_SENSITIVITY,
        EXPECTED_INFECTIONS,
        WINDOW[0],
        WINDOW[1],
        WINDOW[2],
        number("share", "share", "Share of transmission in the cell that the host carries, by its cover.")
            .by_host(),
        STANDING,
        column("geometry", Geometry, "", "Square of the cell, easting before northing."),
    ],
);

/// Force of infection over time.
pub(crate) static FORCE_OF_INFECTION: FileSpec = table(
    "tables/force_of_infection.parquet",
    "cell and period",
    Written::Always,
    "How the force of infection went over time, cell by cell.",
    &[
        CELL_ID,
        EASTING,
        NORTHING,
        date("period_start", "First day of the period."),
        column(
            "force_of_infection",
            Distribution,
            "per pig-year",
            "Force of infection in the cell itself, mean of the period.",
        ),
    ],
);

/// Coverage by year.
pub(crate) static COVERAGE: FileSpec = table(
    "tables/coverage.parquet",
    "cell and calendar year",
    Written::Always,
    "How well each cell was covered, had a focus been there through that one year.",
    &[
        CELL_ID,
        EASTING,
        NORTHING,
        column("year", Year, "", "Calendar year."),
        number("exposure_pig_years", "pig-years", "Time that examined pigs lived there in the year."),
        CELL_SENSITIVITY,
        number(
            "short_of_target",
            "probability",
            "How far that is below the coverage target; 0 at the target.",
        ),
    ],
);

/// Positive and suspect pigs.
pub(crate) static POSITIVES: FileSpec = table(
    "tables/positives.parquet",
    "positive or suspect pig",
    Written::Always,
    "When each positive or suspect pig was infected.",
    &[
        OCCURRENCE_ID,
        P_TRUE,
        column("infection", DateQuantiles, "", "Infection date, given that the pig was infected.")
            .or_absent(),
        P_RECENT,
        P_LOCAL,
    ],
);

/// Likely origins, cell by cell.
pub(crate) static ORIGINS: FileSpec = table(
    "tables/origins.parquet",
    "positive or suspect pig and cell where it may have been infected",
    Written::Always,
    "Where each positive or suspect pig was infected.",
    &[
        OCCURRENCE_ID,
        CELL_ID,
        EASTING,
        NORTHING,
        chance(
            "probability",
            "Probability that it was infected in the cell; the sum is p_true less what lies off the grid.",
        ),
    ],
);

/// Operations.
pub(crate) static PRIORITIES: FileSpec = table(
    "tables/priorities.parquet",
    "operation: block and wildlife host",
    Written::Always,
    "What each operation costs and removes, and which belong to the best set.",
    &[
        BLOCK_ID,
        NAME,
        HOST,
        text("method", "Method of the operation: aerial, ground or trapping."),
        number("easting", "m", "Centre of the active land expected there, metres east."),
        number("northing", "m", "Centre of the active land expected there, metres north."),
        AREA_HA,
        COST,
        flag("cost_given", "Whether the study gives the cost; otherwise it is the default per hectare."),
        number("efficacy", "share", "Share of the host population that the operation removes."),
        flag("feasible", "Whether the study says that the block can be treated."),
        number("expected_active_ha", "ha", "Expected land with active transmission that the host carries."),
        ALLOWED,
        EXPECTED_REMOVED_HA,
        SCORE,
        RANK,
        CHOSEN,
        P_IN_BEST_SET,
        column("tie_group", Whole, "", "Group of operations that cannot be told apart, from 1.").or_absent(),
        VALUE_OF_SAMPLE,
        NET_VALUE_OF_SAMPLE,
        VALUE_OF_PERFECT_INFORMATION,
        P_BETTER_ELSEWHERE,
        ADVICE,
    ],
);

/// Budgets.
pub(crate) static FRONTIER: FileSpec = table(
    "tables/frontier.parquet",
    "budget",
    Written::Always,
    "What each budget would buy.",
    &[
        number("budget", "money", "Budget, in the study's currency."),
        number("cost", "money", "Cost of the best set within it."),
        column("removed_ha", Distribution, "ha", "Land with active transmission that the set removes."),
        column("residual_ha", Distribution, "ha", "Land with active transmission that the set leaves."),
        text("operations", "The set, as block and host: B03:possum;B07:ferret."),
    ],
);

/// Operations, posterior sample by posterior sample.
pub(crate) static BLOCK_SAMPLES: FileSpec = table(
    "tables/block_samples.parquet",
    "operation and posterior sample",
    Written::Always,
    "What `pignut choose` needs to answer other budgets without sampling again.",
    &[
        BLOCK_ID,
        HOST,
        column("sample", Whole, "", "Number of the posterior sample, from 0."),
        column("active_ha", Single, "ha", "Land with active transmission that the host carries."),
        column(
            "sample_positive_prob",
            Single,
            "probability",
            "Probability that a pig taken in the block before deciding would read positive.",
        ),
    ],
);

/// Blocks in areas.
pub(crate) static BLOCK_AREAS: FileSpec = table(
    "tables/block_areas.parquet",
    "movement-control area and block with land in it",
    Written::Always,
    "How much land each block has in each area.",
    &[ZONE_ID, BLOCK_ID, number("area_ha", "ha", "Land of the block in the area.")],
);

/// Counts against the model.
pub(crate) static MODEL_CHECKS: FileSpec = table(
    "tables/model_checks.parquet",
    "group of pigs",
    Written::Always,
    "Whether the model fits: positives counted in each group against the number predicted.",
    &[
        text("kind", "What the group is made by: all, age, area or year."),
        text("group", "The group."),
        text("zone_id", "Number of the area, where the group is one.").or_absent(),
        pigs("pigs", "Pigs in it."),
        pigs("observed", "Positive and suspect pigs among them."),
        number("predicted_mean", "pigs", "Number predicted, mean."),
        pigs("predicted_q05", "Number predicted, lower end of the 90 % interval."),
        pigs("predicted_q95", "Number predicted, upper end of the 90 % interval."),
        chance("p", "Probability of more positives than observed, plus half that of as many."),
        chance("p_all_comparisons", "Two-sided p value after Holm's allowance for all comparisons."),
        flag("misfit", "Whether that is under 0.05: the model does not fit here."),
    ],
);

/// Records against the model.
pub(crate) static RECORD_CHECKS: FileSpec = table(
    "tables/record_checks.parquet",
    "pig",
    Written::Always,
    "Which records surprise the model.",
    &[
        OCCURRENCE_ID,
        flag("positive", "Whether it reads positive or suspect."),
        chance("p_positive", "Probability that it reads so, given all records."),
        chance("p_positive_others", "The same, given the other records."),
        chance("p_reading_others", "Probability of what was read, given the other records."),
        chance(
            "p_true_unconfirmed",
            "Probability of infection, for a pig whose lesion the laboratory did not confirm.",
        )
        .or_absent(),
    ],
);

/// Conclusions under other inputs.
pub(crate) static SENSITIVITY: FileSpec = table(
    "tables/sensitivity.parquet",
    "re-run and conclusion",
    Written::WithSensitivity,
    "Which conclusions hold under other inputs.",
    &[
        text("run", "Name of the re-run."),
        text("changes", "Keys that were changed, from what to what."),
        flag("sampled_again", "Whether the posterior was sampled again; otherwise it was assessed anew."),
        column("criteria_missed", Whole, "", "Criteria of convergence that the re-run missed."),
        text("about", "What the conclusion is about."),
        text("zone_id", "Number of the area, where it is about one.").or_absent(),
        text("question", "What is asked, in one word."),
        text("answer", "Answer of the re-run."),
        number("value", "", "Figure behind the answer, in the unit of the question.").or_absent(),
        text("answer_of_the_run", "Answer of the run itself."),
        number("value_of_the_run", "", "Figure behind that.").or_absent(),
        flag("holds", "Whether the conclusion holds in the re-run."),
    ],
);

/// Areas predicted without their pigs.
pub(crate) static HELD_OUT: FileSpec = table(
    "tables/held_out.parquet",
    "movement-control area held out",
    Written::WithHoldOut,
    "Whether the map predicts pigs that it has not seen.",
    &[
        ZONE_ID,
        pigs("pigs", "Pigs killed inside, all held out."),
        POSITIVE_PIGS,
        number("positives_expected", "pigs", "Positives that the map of the other pigs expects."),
        number("log_score", "", "Sum of the log probabilities of what was read, by that map.").or_absent(),
        number(
            "log_score_constant_force_of_infection",
            "",
            "The same by one force of infection everywhere and always.",
        )
        .or_absent(),
        number("gain", "", "What the map gains over that, in log score.").or_absent(),
        number("gain_standard_error", "", "Standard error of the gain, from its spread over pigs.")
            .or_absent(),
        text("verdict", "Whether the map predicts better, worse, or alike."),
        number("joint_log_score", "", "Log probability of all readings together.").or_absent(),
        number("joint_effective_samples", "", "Effective number of posterior samples behind that.")
            .or_absent(),
        number(
            "constant_force_of_infection_per_year",
            "per pig-year",
            "The one force of infection fitted to the other pigs.",
        ),
        column("criteria_missed", Whole, "", "Criteria of convergence that the run without them missed."),
    ],
);
