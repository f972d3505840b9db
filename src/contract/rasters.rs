//! The rasters: one figure of every cell as GeoTIFF, in `rasters/`.

use crate::contract::columns::number;
use crate::contract::{ColumnSpec, FileKind, FileSpec, Written};

/// Rasters of a result.
pub(crate) static RESULT: [&FileSpec; 10] = [
    &FORCE_OF_INFECTION_MEDIAN,
    &FORCE_OF_INFECTION_Q05,
    &FORCE_OF_INFECTION_Q95,
    &P_ACTIVE,
    &EXPOSURE_PIG_YEARS,
    &SURVEILLANCE_SENSITIVITY,
    &EXPECTED_INFECTIONS,
    &WINDOW_START_YEAR,
    &WINDOW_MEDIAN_YEAR,
    &WINDOW_END_YEAR,
];

const fn raster(path: &'static str, figure: &'static [ColumnSpec; 1]) -> FileSpec {
    FileSpec {
        path,
        kind: FileKind::Raster,
        row: "cell of the grid",
        written: Written::Always,
        meaning: figure[0].meaning,
        columns: figure,
    }
}

/// Median.
pub(crate) static FORCE_OF_INFECTION_MEDIAN: FileSpec = raster(
    "rasters/force_of_infection_median.tif",
    &[number("force_of_infection_median", "per pig-year", "Recent force of infection, median.")],
);
/// 5 % quantile.
pub(crate) static FORCE_OF_INFECTION_Q05: FileSpec = raster(
    "rasters/force_of_infection_q05.tif",
    &[number("force_of_infection_q05", "per pig-year", "Recent force of infection, 5 % quantile.")],
);
/// 95 % quantile.
pub(crate) static FORCE_OF_INFECTION_Q95: FileSpec = raster(
    "rasters/force_of_infection_q95.tif",
    &[number("force_of_infection_q95", "per pig-year", "Recent force of infection, 95 % quantile.")],
);
/// Activity.
pub(crate) static P_ACTIVE: FileSpec = raster(
    "rasters/p_active.tif",
    &[number("p_active", "probability", "Probability of active transmission in the cell.")],
);
/// Exposure.
pub(crate) static EXPOSURE_PIG_YEARS: FileSpec = raster(
    "rasters/exposure_pig_years.tif",
    &[number("exposure_pig_years", "pig-years", "Time that examined pigs lived there.")],
);
/// Sensitivity.
pub(crate) static SURVEILLANCE_SENSITIVITY: FileSpec = raster(
    "rasters/surveillance_sensitivity.tif",
    &[number(
        "surveillance_sensitivity",
        "probability",
        "Probability that the examined pigs would have shown a design focus about the cell.",
    )],
);
/// Infections.
pub(crate) static EXPECTED_INFECTIONS: FileSpec = raster(
    "rasters/expected_infections.tif",
    &[number("expected_infections", "pigs", "Expected number of positives infected in the cell.")],
);
/// First infections.
pub(crate) static WINDOW_START_YEAR: FileSpec = raster(
    "rasters/window_start_year.tif",
    &[number("window_start_year", "year", "Start of the 90 % credible interval of infection dates.")
        .or_absent()],
);
/// Median infection.
pub(crate) static WINDOW_MEDIAN_YEAR: FileSpec = raster(
    "rasters/window_median_year.tif",
    &[number("window_median_year", "year", "Median infection date.").or_absent()],
);
/// Last infections.
pub(crate) static WINDOW_END_YEAR: FileSpec = raster(
    "rasters/window_end_year.tif",
    &[number("window_end_year", "year", "End of the 90 % credible interval of infection dates.").or_absent()],
);
