//! What the project's own tests and benches reach inside: no part of the public face, no promise.
//!
//! The tree is that of the crate. A name goes when no test or bench uses it any more.

#![allow(missing_docs, reason = "the items carry their own documentation")]

#[rustfmt::skip]
pub mod ageing {
    pub mod chance { pub use crate::ageing::chance::{BirthSeason, SHARED_EARLINESS}; }
    pub mod estimate { pub use crate::ageing::estimate::{Estimate, estimate}; }
    pub mod faults { pub use crate::ageing::faults::ReadingError; }
    pub mod schedule { pub use crate::ageing::schedule::{Event, Schedule}; }
    pub mod statements { pub use crate::ageing::statements::Dentition; }
    pub mod teeth { pub use crate::ageing::teeth::{Claim, Jaw, ToothState}; }
}
#[rustfmt::skip]
pub mod assess {
    pub use crate::assess::watches;
    pub mod attribution { pub use crate::assess::attribution::{PositiveFigures, attribute, attribute_one}; }
    pub mod blocks { pub use crate::assess::blocks::standing_of; }
    pub mod cells { pub use crate::assess::cells::{Smoother, Standing, recent_mean, resident_samples}; }
    pub mod coverage { pub use crate::assess::coverage::{coverage_between, coverages, study_window}; }
    pub mod freedom { pub use crate::assess::freedom::freedom; }
    pub mod freedom_figures { pub use crate::assess::freedom_figures::{PigsNeeded, ZoneFreedom}; }
    pub mod gaps { pub use crate::assess::gaps::gaps; }
    pub mod missed_focus { pub use crate::assess::missed_focus::Missed; }
    pub mod model_checks {
        pub use crate::assess::model_checks::{Group, compare, groups, reads_positive};
        pub mod constant { pub use crate::assess::model_checks::constant::constant_hazard; }
        pub mod visible { pub use crate::assess::model_checks::visible::{visible, visible_at_constant}; }
    }
    pub mod next_samples {
        pub use crate::assess::next_samples::{
            NextPig, SampleAim, judged_land, next_spots, pigs_to_target, settled
        };
    }
    pub mod verdict { pub use crate::assess::verdict::{AreaEvidence, LOOKED, Verdict}; }
    pub mod odds { pub use crate::assess::odds::{YearFreedom, lasting, times_odds}; }
    pub mod operations { pub use crate::assess::operations::effects; }
    pub mod priorities {
        pub use crate::assess::priorities::decide;
        pub mod candidates {
            pub use crate::assess::priorities::candidates::{AreaLand, Candidate, Candidates};
        }
        pub mod choice_error { pub use crate::assess::priorities::choice_error::ChoiceError; }
        pub mod constraints { pub use crate::assess::priorities::constraints::Constraints; }
        pub mod program { pub use crate::assess::priorities::program::Program; }
        pub mod value_of_information {
            pub use crate::assess::priorities::value_of_information::{Advice, exchange, look};
        }
    }
}
#[rustfmt::skip]
pub mod contract {
    pub use crate::contract::{ColumnKind, ColumnSpec, FileKind, FileSpec, Written, members};
    pub mod files { pub use crate::contract::files::files; }
    pub mod guide_page { pub use crate::contract::guide_page::page; }
}
#[rustfmt::skip]
pub mod geography {
    pub mod area_shares { pub use crate::geography::area_shares::cell_shares; }
    pub mod coordinates {
        pub mod environment {
            pub use crate::geography::coordinates::environment::{clean_command, environment_is_clean};
        }
        pub mod held { pub use crate::geography::coordinates::held::ProjectionError; }
        pub mod projector { pub use crate::geography::coordinates::projector::{Projector, utm_zone}; }
        pub mod register { pub use crate::geography::coordinates::register::{AreaOfUse, facts}; }
        pub mod transform { pub use crate::geography::coordinates::transform::Transform; }
    }
    pub mod grid { pub use crate::geography::grid::Grid; }
    pub mod habitat { pub use crate::geography::habitat::Habitat; }
    pub mod layout { pub use crate::geography::layout::{Layout, LayoutError, shares_of}; }
}
#[rustfmt::skip]
pub mod inference {
    pub mod posterior { pub use crate::inference::posterior::{Posterior, Watch, sample}; }
}
#[rustfmt::skip]
pub mod ingest {
    pub use crate::ingest::account::RowAccount;
    pub use crate::ingest::{Account, Ingested, read_study_on};
    pub mod columns { pub use crate::ingest::columns::{Column, is_blank}; }
    pub mod errors { pub use crate::ingest::errors::IngestError; }
    pub mod findings { pub use crate::ingest::findings::{Finding, Severity, cut}; }
    pub mod phrase { pub use crate::ingest::phrase::{cell, header, words}; }
    pub mod table { pub use crate::ingest::table::number_text; }
    pub mod values {
        pub mod angle { pub use crate::ingest::values::angle::degrees_minutes_seconds; }
        pub mod date { pub use crate::ingest::values::date::{NotADate, date_span}; }
        pub mod number { pub use crate::ingest::values::number::{NotANumber, number}; }
    }
}
#[rustfmt::skip]
pub mod kernel {
    pub mod detection {
        pub use crate::kernel::detection::{
            Ramp, lab_sensitivity, pair_share, protocol, reading_terms, unconfirmed_p_true
        };
    }
    pub mod exposure {
        pub use crate::kernel::exposure::{
            AGE_CLASSES_MONTHS, LagBin, Life, WIDEST_INTERVAL_MONTHS, age_class_weights, lives
        };
    }
    pub mod field { pub use crate::kernel::field::{HazardField, Shape, dispersal_filter, shape_of}; }
    pub mod home_range {
        pub use crate::kernel::home_range::{AxisMass, axis_mass, displacement_sd_m, kernel_on_grid, pig_sd_m};
    }
    pub mod inspections { pub use crate::kernel::inspections::ways; }
    pub mod likelihood { pub use crate::kernel::likelihood::{Likelihood, PigTerms}; }
    pub mod link { pub use crate::kernel::link::hazard; }
    pub mod mean_parametrisation { pub use crate::kernel::mean_parametrisation::MeanParametrisation; }
    pub mod model { pub use crate::kernel::model::{AtStart, Model}; }
    pub mod operations { pub use crate::kernel::operations::{Covariate, covariates}; }
    pub mod prior {
        pub use crate::kernel::prior::{
            Hyper, LEVEL, OPERATION, PERSISTENCE, RANGE, SD, log_prior, log_range_density, log_sd_density
        };
    }
    pub mod prior_shape { pub use crate::kernel::prior_shape::range_density_per_km; }
}
#[rustfmt::skip]
pub mod numerics {
    pub mod cosine_transform { pub use crate::numerics::cosine_transform::CosineTransform; }
    pub mod density { pub use crate::numerics::density::kernel_density; }
    pub mod normal { pub use crate::numerics::normal::{mass, quantile}; }
    pub mod poisson_binomial { pub use crate::numerics::poisson_binomial::probabilities; }
    pub mod real { pub use crate::numerics::real::{Real, dot}; }
}
#[rustfmt::skip]
pub mod pipeline {
    pub mod analysis { pub use crate::pipeline::analysis::{Analysis, Prepared, analyse}; }
    pub mod held_out { pub use crate::pipeline::held_out::predicted; }
    pub mod progress { pub use crate::pipeline::progress::{AnalysisError, Progress}; }
    pub mod record_value { pub use crate::pipeline::record_value::age_share; }
    pub mod reruns { pub use crate::pipeline::reruns::Reruns; }
    pub mod sample_and_assess { pub use crate::pipeline::sample_and_assess::sample; }
}
pub mod records {
    pub use crate::records::{
        Age, Block, CIRCLE_95, DAYS_PER_MONTH, DAYS_PER_YEAR, DateSpan, Inspection, LabMethod, LabResult,
        Method, NodePair, Operation, Pig, Reading, Records, Sex, Source, WildlifeHost, Zone, day_number,
    };
}
#[rustfmt::skip]
pub mod report {
    pub use crate::report::write;
    pub mod folder { pub use crate::report::folder::Staging; }
    pub mod json {
        pub mod model_checks { pub use crate::report::json::model_checks::group_kind; }
    }
    pub mod layers {
        pub mod antimeridian { pub use crate::report::layers::antimeridian::{cut, west_east}; }
        pub mod builder { pub use crate::report::layers::builder::{LayerBuilder, Properties}; }
    }
    pub mod manifest { pub use crate::report::manifest::Times; }
    pub mod page { pub use crate::report::page::{render, render_with}; }
    pub mod reread { pub use crate::report::reread::reread; }
    pub mod sentences {
        pub mod verdicts { pub use crate::report::sentences::verdicts::STILL_ACTIVE; }
        pub mod model_checks { pub use crate::report::sentences::model_checks::{fit, surprise}; }
        pub mod operations { pub use crate::report::sentences::operations::effect; }
    }
}
#[rustfmt::skip]
pub mod sampler {
    pub mod chains { pub use crate::sampler::chains::run_chain; }
    pub mod diagnostics {
        pub use crate::sampler::diagnostics::{Convergence, convergence, ess_mean, quantile_sorted};
    }
    pub mod hmc { pub use crate::sampler::hmc::{Settings, Target}; }
    pub mod mode { pub use crate::sampler::mode::{Info, Problem}; }
}
#[rustfmt::skip]
pub mod score {
    pub use crate::score::{Score, score};
    pub mod areas { pub use crate::score::areas::{AreaStated, AreaTruth, area_bins, area_truths}; }
    pub mod baselines { pub use crate::score::baselines::{BaselineWindow, plain_scores}; }
    pub mod cells { pub use crate::score::cells::{ScoredCell, scored_cells}; }
    pub mod error { pub use crate::score::error::ScoreError; }
    pub mod foci { pub use crate::score::foci::{FOCUS_CLASSES, FocusFound}; }
    pub mod freedom { pub use crate::score::freedom::FreedomBin; }
    pub mod pool { pub use crate::score::pool::pool; }
    pub mod power { pub use crate::score::power::part_finds; }
    pub mod tally { pub use crate::score::tally::{Count, auc}; }
}
#[rustfmt::skip]
pub mod simulate {
    pub mod examine { pub use crate::simulate::examine::SimulatedPig; }
    pub mod force_of_infection {
        pub use crate::simulate::force_of_infection::{
            Cause, Decline, Focus, hazard_per_year, square_mean_per_year
        };
    }
    pub mod scenario { pub use crate::simulate::scenario::{Scenario, ScenarioError}; }
    pub mod study_area { pub use crate::simulate::study_area::{StudyArea, simulate}; }
    pub mod truth { pub use crate::simulate::truth::Truth; }
    pub mod write { pub use crate::simulate::write::write; }
}
#[rustfmt::skip]
pub mod study {
    pub mod model_keys {
        pub use crate::study::model_keys::{
            Coverage, Detection, Dispersal, Exposure, FieldPrior, HomeRange, Link, Recent
        };
    }
    pub mod priorities { pub use crate::study::priorities::Priorities; }
    pub mod study_file { pub use crate::study::study_file::{AreaFiles, OneOrMany, Study}; }
    pub mod surveillance { pub use crate::study::surveillance::Freedom; }
}
