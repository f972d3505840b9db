//! `simulate`: a study area with known truth.

use crate::cli::args::{SimulateArgs, StudyAreaPreset};
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::simulate::scenario::Scenario;
use crate::simulate::study_area::simulate as make;
use crate::simulate::write;

pub(crate) fn simulate(args: &SimulateArgs) -> Result<Ending, CliError> {
    let mut s = match args.study_area {
        StudyAreaPreset::Demo => Scenario::demo(),
        StudyAreaPreset::Diseased => Scenario::fresh(args.seed),
        StudyAreaPreset::Free => Scenario::disease_free(args.seed),
    };
    s.pigs_target = args.pigs.unwrap_or(s.pigs_target);
    s.years = args.years.unwrap_or(s.years);
    s.extent_km = args.extent_km.unwrap_or(s.extent_km);
    s.home_range_scale = args.home_range_scale.unwrap_or(s.home_range_scale);
    s.dispersal_scale = args.dispersal_scale.unwrap_or(s.dispersal_scale);
    s.ramp_shift_months = args.ramp_shift_months.unwrap_or(s.ramp_shift_months);
    s.age_bias_months = args.age_bias_months.unwrap_or(s.age_bias_months);
    s.effort_on_past_positives = args.effort_on_past_positives.unwrap_or(s.effort_on_past_positives);
    s.pig_to_pig = args.pig_to_pig.unwrap_or(s.pig_to_pig);
    s.dispersal_shape = args.dispersal_shape.unwrap_or(s.dispersal_shape);
    s.litter_correlation = args.litter_correlation.unwrap_or(s.litter_correlation);
    s.focus_radius_scale = args.focus_radius_scale.unwrap_or(s.focus_radius_scale);
    if args.out.join("study.toml").exists() {
        return Err(format!("{} already holds a study; name a new folder", args.out.display()).into());
    }
    let area = make(&s)?;
    write::write(&area, &args.out)?;
    print_out(&format!(
        "{}\n  study.toml, pigs.csv, areas\n  truth{}truth.json, truth{}pigs.parquet",
        args.out.display(),
        std::path::MAIN_SEPARATOR,
        std::path::MAIN_SEPARATOR
    ))
}
