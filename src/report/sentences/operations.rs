//! What past operations did, and the caution wherever operations are named.

use crate::assess::operations::OperationEffect;
use crate::report::sentences::words;

/// Operations are never described beyond block, host and money; shown wherever a set is named.
pub(crate) const OPERATORS: &str = "Operations are for licensed operators under local rules. \
They need the permission of landholders and the health agency. \
Nothing here states a method in the field, a bait or a dose.";

/// Ends of a fall; ends below 0 are told as a rise.
fn fall_range(low: f64, high: f64) -> String {
    match (low < 0.0, high < 0.0) {
        (false, _) => words::chances([low, high]),
        (true, false) => {
            format!("a rise of {} % to a fall of {} %", words::per_cent(-low), words::per_cent(high))
        }
        (true, true) => format!("a rise of {}", words::chances([-high, -low])),
    }
}

/// What a type of past operation did to the force of infection.
pub fn effect(e: &OperationEffect) -> String {
    let f = &e.fall;
    let moved = if f.mean < 0.0 {
        format!("rose by {} %", words::per_cent(-f.mean))
    } else {
        format!("fell by {} %", words::per_cent(f.mean))
    };
    let (before, after) = (e.assumed[2] - e.assumed[0], f.q95() - f.q05());
    let learnt = if after > 0.8 * before { " The records add little to that." } else { "" };
    format!(
        "In the year after {} against {}s, in {}, the force of infection {moved} (90 % CrI: {}). \
         That is compared with the same blocks without the operation. \
         Before the records were read, {} was assumed.{learnt}",
        words::count(e.operations, "operation", "operations"),
        e.host.word(),
        words::count(e.blocks, "block", "blocks"),
        fall_range(f.q05(), f.q95()),
        fall_range(e.assumed[0], e.assumed[2]),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::spread::Spread;
    use crate::records::WildlifeHost;

    #[test]
    fn a_fall_and_a_rise_read_as_such() {
        let spread =
            |mean: f64, low: f64, high: f64| Spread { mean, q: [low, low, low, mean, high, high, high] };
        let of = |fall| OperationEffect {
            host: WildlifeHost::Possum,
            operations: 2,
            blocks: 1,
            fall,
            falls: Vec::new(),
            assumed: [0.1, 0.8, 0.98],
        };
        let said = effect(&of(spread(0.71, 0.4, 0.88)));
        let wanted = "2 operations against possums, in 1 block, the force of infection fell by 71 % \
                      (90 % CrI: 40 to 88 %)";
        assert!(said.contains(wanted), "{said}");
        assert!(said.contains("10 to 98 % was assumed") && !said.contains("little"), "{said}");
        let said = effect(&of(spread(-0.2, -0.6, 0.3)));
        assert!(
            said.contains("rose by 20 % (90 % CrI: a rise of 60 % to a fall of 30 %)")
                && said.contains("add little"),
            "{said}"
        );
    }
}
