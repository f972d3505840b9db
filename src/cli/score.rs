//! `score`: results against the truth.

use crate::cli::args::ScoreArgs;
use crate::cli::outcome::{CliError, Ending, print_out};
use crate::score::pool::pool;
use crate::score::{Score, score as compare};

pub(crate) fn score(args: &ScoreArgs) -> Result<Ending, CliError> {
    if !args.pairs.len().is_multiple_of(2) {
        return Err("score takes result and truth folders in turn; one truth folder is missing".into());
    }
    let scores: Vec<Score> = args.pairs.chunks(2).map(|p| compare(&p[0], &p[1])).collect::<Result<_, _>>()?;
    if args.json {
        let pooled = pool(&scores);
        return print_out(&serde_json::to_string_pretty(
            &serde_json::json!({ "study_areas": scores, "pooled": pooled }),
        )?);
    }
    match scores.as_slice() {
        [one] => print_out(&one.to_string()),
        many => print_out(&pool(many).to_string()),
    }
}
