//! `power`: how often a study of a given size would find a focus.

use crate::cli::outcome::{CliError, Ending, print_out};
use crate::cli::progress::bar;
use crate::cli::renamed::{Renamed, renamed};
use crate::score::power::{PowerQuestion, power as simulate_power};
use clap::Args as ClapArgs;

#[derive(Debug, ClapArgs)]
pub(crate) struct PowerArgs {
    /// Sizes of study: pigs examined over all years.
    #[arg(
        long,
        value_name = "COUNT,COUNT",
        value_delimiter = ',',
        default_values_t = [100usize, 200, 400, 800, 1600],
        help_heading = "Study"
    )]
    pub sizes: Vec<usize>,
    /// Years of records.
    #[arg(long, value_name = "COUNT", default_value_t = 4, help_heading = "Study")]
    pub years: u32,
    /// Side of the square that holds each island, km; pigs are spread over it as hunters go.
    #[arg(long, value_name = "KM", default_value_t = 34.0, help_heading = "Study")]
    pub extent_km: f64,
    /// Force of infection at the focus's centre, infections per pig-year.
    #[arg(long, value_name = "RATE", default_value_t = 0.2, help_heading = "Focus")]
    pub force_of_infection: f64,
    #[arg(long, hide = true, value_parser = renamed("--force-of-infection"))]
    pub hazard: Option<Renamed>,
    /// Radius of the focus: s.d. per axis of its force of infection, metres.
    #[arg(long, value_name = "METRES", default_value_t = 1500.0, help_heading = "Focus")]
    pub radius: f64,
    /// Years it has been there at the end of the records.
    #[arg(long, value_name = "YEARS", default_value_t = 2.0, help_heading = "Focus")]
    pub present_years: f64,
    /// Study areas simulated, each with a focus elsewhere; about a second each on one core at 2000 pigs.
    #[arg(long, value_name = "COUNT", default_value_t = 24, help_heading = "Computation")]
    pub study_areas: usize,
    #[arg(long, hide = true, value_parser = renamed("--study-areas"))]
    pub districts: Option<Renamed>,
    /// Seed of the first study area.
    #[arg(long, value_name = "NUMBER", default_value_t = 1, help_heading = "Computation")]
    pub seed: u64,
    /// Print as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
}

pub(crate) fn power(args: &PowerArgs) -> Result<Ending, CliError> {
    let mut sizes = args.sizes.clone();
    sizes.sort_unstable();
    sizes.dedup();
    let in_range = |name: &str, v: f64, lo: f64, hi: f64| -> Result<(), CliError> {
        if v >= lo && v <= hi {
            Ok(())
        } else {
            Err(format!("--{name} {v} is not possible; write {lo} to {hi}").into())
        }
    };
    in_range("force-of-infection", args.force_of_infection, 1e-6, 100.0)?;
    in_range("radius", args.radius, 10.0, 100_000.0)?;
    in_range("present-years", args.present_years, 0.01, 100.0)?;
    in_range("study-areas", args.study_areas as f64, 1.0, 100_000.0)?;
    let question = PowerQuestion {
        force_of_infection_per_year: args.force_of_infection,
        radius_m: args.radius,
        present_years: args.present_years,
        years: args.years,
        extent_km: args.extent_km,
        sizes,
        study_areas: args.study_areas,
        seed: args.seed,
    };
    let bar = bar(args.study_areas as u64, "study areas");
    let answer = simulate_power(&question, &|| bar.inc(1))?;
    bar.finish_and_clear();
    if args.json {
        return print_out(&serde_json::to_string_pretty(&answer)?);
    }
    print_out(&answer.to_string())
}
