//! `age`: the age of one jaw.

use crate::ageing::chance::BirthSeason;
use crate::ageing::estimate::estimate;
use crate::ageing::schedule::Schedule;
use crate::ageing::statements::Dentition;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::records::DateSpan;
use crate::report::sentences::jaw;
use clap::Args as ClapArgs;
use jiff::civil::Date;
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
pub(crate) struct AgeArgs {
    /// What the jaw shows, as in the dentition column: "M1 M2 through; lower I2 milk", "class D",
    /// "complete; wear 2".
    #[arg(value_name = "DENTITION", required = true, num_args = 1.., trailing_var_arg = false)]
    pub dentition: Vec<String>,
    /// Table of tooth eruption (TOML) instead of the built-in one.
    #[arg(long, value_name = "FILE.toml", help_heading = "Ageing")]
    pub table: Option<PathBuf>,
    /// Day killed, ISO 8601; needed with --births.
    #[arg(long, value_name = "DATE", requires = "births", help_heading = "Ageing")]
    pub killed: Option<Date>,
    /// Births in each month from January, twelve numbers in any unit; they narrow the age by the day killed.
    #[arg(
        long,
        value_name = "JAN,FEB,…",
        value_delimiter = ',',
        requires = "killed",
        help_heading = "Ageing"
    )]
    pub births: Vec<f64>,
    /// Print as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
}

pub(crate) fn age(args: &AgeArgs) -> Result<Ending, CliError> {
    let own = args.table.as_deref().map(Schedule::read).transpose()?;
    let table = own.as_ref().unwrap_or_else(|| Schedule::built_in());
    let words = args.dentition.join(" ");
    let dentition = Dentition::read(&words, table)
        .map_err(|e| format!("dentition \"{words}\" {e}; {}", e.suggested_correction()))?;
    let season = season(args)?;
    let age = estimate(table, &dentition, season.as_ref()).map_err(|c| {
        format!(
            "dentition \"{words}\" contradicts itself: {c}; \
             look at the jaw again, and leave out a tooth in doubt"
        )
    })?;
    if args.json {
        let mut value = serde_json::to_value(&age)?;
        value["reason"] = age.reason().into();
        value["table"] = table.name.clone().into();
        value["table_source"] = table.source.clone().into();
        return print_out(&serde_json::to_string_pretty(&value)?);
    }
    print_out(&jaw::age(&age, table, season.is_some()))
}

fn season(args: &AgeArgs) -> Result<Option<BirthSeason>, CliError> {
    let Some(killed) = args.killed else { return Ok(None) };
    let births =
        crate::study::ageing::Ageing { births_by_month: Some(args.births.clone()), ..Default::default() };
    // The limits of the study file hold here too.
    births.check("--births")?;
    Ok(births
        .births()
        .map(|births_by_month| BirthSeason { births_by_month, killed_day: DateSpan::day(killed).mid_day() }))
}
