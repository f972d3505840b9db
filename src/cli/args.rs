//! What can be typed.

use crate::cli::renamed::{Renamed, renamed};
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

const AFTER: &str = "\
Examples:
  pignut demo                            an invented study area, start to finish
  pignut init heads.xlsx                 a study file for a record sheet as it is kept
  pignut check study.toml                what the records hold and what is wrong with them
  pignut run study.toml --out result     windows, origins, force of infection; layers, tables, page

Exit codes: 0 done; 1 done with warnings (rows refused, checks missed); 2 could not run.

Estimates support judgement; they do not replace it. Suspect animals, samples, toxins and traps
are matters for veterinarians and licensed operators under local rules.";

const SHORT_AFTER: &str = "`--help` shows examples and exit codes.";

/// From records of hunted feral pigs to a map of local transmission of bovine tuberculosis.
#[derive(Debug, Parser)]
#[command(name = "pignut", version, after_long_help = AFTER, after_help = SHORT_AFTER)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(crate) job: Job,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Job {
    /// Simulate the demo study area and run the main job on it.
    Demo(DemoArgs),
    /// Propose a study file for record sheets as they are kept.
    Init(InitArgs),
    /// Read a study's records and say what they hold and what is wrong with them.
    Check(CheckArgs),
    /// Compute infection windows, origins and the force of infection, and write every output.
    Run(RunArgs),
    /// Choose blocks again from a finished result: another budget, a block more or less.
    Choose(crate::cli::choose::ChooseArgs),
    /// Write a simulated study area with known truth, as a study folder.
    Simulate(SimulateArgs),
    /// Compare results with the known truth of simulated study areas.
    Score(ScoreArgs),
    /// Say where the next pigs should come from, and what each would add.
    Sample(crate::cli::sample::SampleArgs),
    /// Say how often a study of a given size would find a focus, from simulated study areas.
    Power(crate::cli::power::PowerArgs),
    /// Turn what one jaw shows into an age, with its probability and reason.
    Age(crate::cli::age::AgeArgs),
    /// Write the officer's record forms: one to print, and one for a telephone, offline.
    Forms(crate::cli::forms::FormsArgs),
    /// Print the JSON Schema of the study file.
    Schema,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct DemoArgs {
    /// Folder to write: the study and, beside it, the result.
    #[arg(long, value_name = "FOLDER", default_value = "demo-output", help_heading = "Output")]
    pub out: PathBuf,
    #[command(flatten)]
    pub effort: Effort,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct InitArgs {
    /// Record files: CSV, text, XLSX, ODS, Parquet, GeoJSON points or a GeoPackage.
    #[arg(value_name = "FILE", required = true)]
    pub records: Vec<PathBuf>,
    /// Study file to write; an existing one is left as it is.
    #[arg(long, value_name = "STUDY.toml", default_value = "study.toml", help_heading = "Output")]
    pub out: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct CheckArgs {
    /// Study file.
    #[arg(value_name = "STUDY.toml")]
    pub study: PathBuf,
    /// Print everything as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
    /// Most findings of one kind shown in the text; all are in --json and in findings.csv.
    #[arg(long, value_name = "COUNT", default_value_t = 5, help_heading = "Output")]
    pub most: usize,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct RunArgs {
    /// Study file.
    #[arg(value_name = "STUDY.toml")]
    pub study: PathBuf,
    /// Folder to write; replaced as a whole when the new result is complete.
    #[arg(long, value_name = "FOLDER", help_heading = "Output")]
    pub out: PathBuf,
    #[command(flatten)]
    pub effort: Effort,
    /// Take one pig's age as this interval instead of the recorded one; noted among the findings. Repeatable.
    #[arg(long = "age", value_name = "ID=MIN-MAX", help_heading = "Model")]
    pub ages: Vec<String>,
    /// Run the study again with other inputs, one changed at a time, and say which conclusions hold; takes
    /// about five times as long again.
    #[arg(long, help_heading = "Model")]
    pub sensitivity: bool,
    /// Run the study again without the pigs of each area in turn, and say how well the others predict them.
    #[arg(long, help_heading = "Model")]
    pub hold_out: bool,
    /// Also write layers fit to publish, in the folder's `public`: places moved to squares of this side,
    /// small counts masked.
    #[arg(long, value_name = "METRES", help_heading = "Output")]
    pub generalise: Option<f64>,
    /// Truth folder of a simulated study area, as `simulate` writes it: the page then compares the stated
    /// probabilities with the truth.
    #[arg(long, value_name = "FOLDER", help_heading = "Output")]
    pub truth: Option<PathBuf>,
    /// Read the study and print what would be done, without doing it.
    #[arg(long, help_heading = "Messages")]
    pub plan: bool,
}

/// Overrides of the study's `[run]` and seed.
#[derive(Debug, Clone, Default, ClapArgs)]
pub(crate) struct Effort {
    /// Seed of every random number [default: the study's]; the same seed gives the same figures.
    #[arg(long, value_name = "NUMBER", help_heading = "Computation")]
    pub seed: Option<u64>,
    /// Worker threads, 0 for all [default: the study's, 0]; figures do not depend on it.
    #[arg(long, value_name = "COUNT", help_heading = "Computation")]
    pub threads: Option<usize>,
    /// Warm-up trajectories a chain [default: the study's, 150]; with too few the chains have not settled.
    #[arg(long, value_name = "COUNT", help_heading = "Computation")]
    pub warmup: Option<usize>,
    /// Most trajectories a chain after warm-up [default: the study's, 1000]; with too few the run ends with
    /// warnings.
    #[arg(long, value_name = "COUNT", help_heading = "Computation")]
    pub trajectories: Option<usize>,
}

impl Effort {
    /// Applies what was typed to a study, within the limits of the study file.
    ///
    /// # Errors
    /// A value the study file would refuse.
    pub(crate) fn apply(
        &self,
        study: &mut crate::study::study_file::Study,
    ) -> Result<(), crate::study::error::StudyError> {
        let run = &mut study.run;
        run.threads = self.threads.unwrap_or(run.threads);
        run.warmup = self.warmup.unwrap_or(run.warmup);
        run.trajectories = self.trajectories.unwrap_or(run.trajectories);
        study.study.seed = self.seed.unwrap_or(study.study.seed);
        study.check("command line")
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StudyAreaPreset {
    /// The demo study area.
    Demo,
    /// A random study area with disease.
    Diseased,
    /// A random study area without disease.
    Free,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct SimulateArgs {
    /// Folder to write: study.toml, records, areas, and the truth in truth/.
    #[arg(long, value_name = "FOLDER", help_heading = "Output")]
    pub out: PathBuf,
    /// Which study area.
    #[arg(long, value_enum, default_value_t = StudyAreaPreset::Diseased, help_heading = "Study area")]
    pub study_area: StudyAreaPreset,
    #[arg(long, hide = true, value_parser = renamed("--study-area"))]
    pub district: Option<Renamed>,
    /// Seed of the study area (the demo has its own).
    #[arg(long, value_name = "NUMBER", default_value_t = 1, help_heading = "Study area")]
    pub seed: u64,
    /// Pigs examined over all years [default: 2200; demo 2600].
    #[arg(long, value_name = "COUNT", help_heading = "Study area")]
    pub pigs: Option<usize>,
    /// Years of records [default: 8].
    #[arg(long, value_name = "COUNT", help_heading = "Study area")]
    pub years: Option<u32>,
    /// Side of the square that holds the island, km [default: 34].
    #[arg(long, value_name = "KM", help_heading = "Study area")]
    pub extent_km: Option<f64>,
    /// Home range and drift relative to the study's defaults: 0.5 halves them, and the study does not know.
    #[arg(long, value_name = "FACTOR", help_heading = "Wrong assumptions")]
    pub home_range_scale: Option<f64>,
    /// Natal dispersal distance relative to the default.
    #[arg(long, value_name = "FACTOR", help_heading = "Wrong assumptions")]
    pub dispersal_scale: Option<f64>,
    /// Months by which lesions show later than assumed.
    #[arg(long, value_name = "MONTHS", help_heading = "Wrong assumptions")]
    pub ramp_shift_months: Option<f64>,
    /// Months added to every estimated age.
    #[arg(long, value_name = "MONTHS", allow_hyphen_values = true, help_heading = "Wrong assumptions")]
    pub age_bias_months: Option<f64>,
    /// Extra hunting effort near lesioned pigs for a year, as a share.
    #[arg(long, value_name = "SHARE", help_heading = "Wrong assumptions")]
    pub effort_on_past_positives: Option<f64>,
    /// Force of infection on a pig from each infected pig sharing its square kilometre, per year.
    #[arg(long, value_name = "RATE", help_heading = "Wrong assumptions")]
    pub pig_to_pig: Option<f64>,
    /// Shape of natal dispersal distance with the same mean: 1 is exponential, below 1 heavier-tailed.
    #[arg(long, value_name = "SHAPE", help_heading = "Wrong assumptions")]
    pub dispersal_shape: Option<f64>,
    /// Probability that a piglet shares its litter's fate, in infection and in hunting.
    #[arg(long, value_name = "PROBABILITY", help_heading = "Wrong assumptions")]
    pub litter_correlation: Option<f64>,
    /// Radius of foci by this factor; each keeps its total, so that smaller ones are stronger.
    #[arg(long, value_name = "FACTOR", help_heading = "Wrong assumptions")]
    pub focus_radius_scale: Option<f64>,
    #[arg(long, hide = true, value_parser = renamed("--focus-radius-scale"))]
    pub pocket_radius_scale: Option<Renamed>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct ScoreArgs {
    /// Result folders and truth folders in turn: RESULT TRUTH [RESULT TRUTH …]; several pairs are pooled.
    #[arg(value_name = "RESULT TRUTH", num_args = 2.., required = true)]
    pub pairs: Vec<PathBuf>,
    /// Print as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
}
