//! `choose`: another budget or another list of musts, answered from a finished result.

use crate::assess::priorities::decide;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::report::json::{priorities, without_nulls};
use crate::report::reread::reread;
use crate::report::sentences::{choice, run};
use clap::Args as ClapArgs;
use std::path::PathBuf;

#[derive(Debug, ClapArgs)]
pub(crate) struct ChooseArgs {
    /// Result folder of a finished `run`.
    #[arg(value_name = "RESULT")]
    pub result: PathBuf,
    /// Money for the season's operations [default: the study's, or a share of all worthwhile ones].
    #[arg(long, value_name = "MONEY", allow_negative_numbers = true, help_heading = "What if")]
    pub budget: Option<f64>,
    /// Treat this block (B03), or this block against this host (B03:possum), whatever it gains. Repeatable.
    #[arg(long, value_name = "BLOCK", help_heading = "What if")]
    pub must: Vec<String>,
    /// Do not treat this block, or not against this host. Repeatable.
    #[arg(long, value_name = "BLOCK", help_heading = "What if")]
    pub never: Vec<String>,
    /// Take this block, or block and host, out of the study's own musts and nevers. Repeatable.
    #[arg(long, value_name = "BLOCK", help_heading = "What if")]
    pub free: Vec<String>,
    /// Print as JSON instead of text.
    #[arg(long, help_heading = "Output")]
    pub json: bool,
}

pub(crate) fn choose(args: &ChooseArgs) -> Result<Ending, CliError> {
    let mut result = reread(&args.result)?;
    let keys = &mut result.priorities;
    for name in &args.free {
        let known = keys.must.len() + keys.never.len();
        keys.must.retain(|m| m != name);
        keys.never.retain(|m| m != name);
        if keys.must.len() + keys.never.len() == known {
            return Err(format!(
                "--free {name}: neither priorities.must nor priorities.never of the study names it"
            )
            .into());
        }
    }
    // What is typed now stands over what the study says of the same block.
    keys.never.retain(|n| !args.must.contains(n));
    keys.must.retain(|m| !args.never.contains(m));
    keys.must.extend(args.must.iter().cloned());
    keys.never.extend(args.never.iter().cloned());
    keys.budget = args.budget.or(keys.budget);
    if let Err((key, value, allowed)) = keys.check() {
        return Err(format!("{key} = {value} is not possible; {allowed}").into());
    }
    let decision = decide(&result.slate, &result.priorities)?;
    if args.json {
        let mut value = priorities::decision(&result.slate, &decision, &result.priorities.currency);
        let head = serde_json::json!({ "study": result.study, "as_of": result.as_of });
        if let (Some(all), Some(head)) = (value.as_object_mut(), head.as_object()) {
            for (at, (k, v)) in head.iter().enumerate() {
                all.shift_insert(at, k.clone(), v.clone());
            }
        }
        return print_out(&serde_json::to_string_pretty(&without_nulls(value))?);
    }
    let currency = &result.priorities.currency;
    let said = choice::text(&result.slate, &decision, result.chosen.as_deref(), currency);
    print_out(&format!("{}\n{said}", run::heading(&result.study, &result.as_of)))
}
