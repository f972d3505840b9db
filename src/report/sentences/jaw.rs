//! The age of one jaw, as plain text.

use crate::ageing::estimate::Estimate;
use crate::ageing::schedule::Schedule;

fn months(v: f64) -> String {
    format!("{}", (v * 10.0).round() / 10.0)
}

/// The age, why, and by which table.
pub(crate) fn age(age: &Estimate, table: &Schedule, seasonal: bool) -> String {
    let mut out = format!(
        "age {} to {} months ({:.0} % likely), most likely {} to {}\n",
        months(age.min_months),
        months(age.max_months),
        100.0 * age.probability,
        months(age.likeliest_months[0]),
        months(age.likeliest_months[1]),
    );
    out.push_str(&format!("because {}\n", age.reason()));
    let others: Vec<String> = age.reasons.iter().filter(|r| !r.decides).map(ToString::to_string).collect();
    if !others.is_empty() {
        out.push_str(&format!("also seen: {}\n", others.join("; ")));
    }
    if age.open_top {
        out.push_str(
            "no tooth sets an upper bound: the interval leaves out one in ten of the pigs that old; \
             add the wear class\n",
        );
    }
    if seasonal {
        out.push_str("narrowed by the birth season\n");
    }
    out.push_str(&format!("by {}: {}\n", table.name, table.source));
    out
}
