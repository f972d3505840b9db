//! What each budget buys: the active area removed against the money.

use crate::assess::priorities::Decision;
use crate::report::page::svg::{Anchor, Scale, Svg, ticks};
use crate::report::sentences::{drawings, words};

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 280.0;
const LEFT: f64 = 66.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 226.0;

/// The frontier with its 90 % band, the active area there is, and the budget.
pub(crate) fn draw(d: &Decision, currency: &str) -> String {
    let last = d.frontier.last().map_or(0.0, |p| p.budget).max(1.0);
    let most =
        d.active_ha.q95().max(d.frontier.iter().map(|p| p.removed_ha.q95()).fold(0.0, f64::max)).max(1.0);
    let mut svg = Svg::new(
        "frontier",
        "chart wide",
        WIDTH,
        HEIGHT,
        "Active area removed against the budget",
        &drawings::frontier(d, currency),
    );
    let x = Scale { from: 0.0, to: last, start: LEFT, end: WIDTH - 20.0, log: false };
    let y = Scale { from: 0.0, to: most, start: BOTTOM, end: TOP, log: false };
    svg.label(
        "axis",
        LEFT,
        14.0,
        Anchor::Start,
        "active area removed, ha; band: 90 % CrI; steps: the best set of each budget",
    );
    for v in ticks(0.0, most, 5) {
        svg.line("grid", LEFT, y.at(v), WIDTH - 20.0, y.at(v));
        svg.label("tick", LEFT - 6.0, y.at(v) + 4.0, Anchor::End, &words::grouped(v));
    }
    for v in ticks(0.0, last, 6) {
        svg.line("mark", x.at(v), BOTTOM, x.at(v), BOTTOM + 4.0);
        svg.label("tick", x.at(v), BOTTOM + 17.0, Anchor::Middle, &words::grouped(v));
    }
    svg.label("axis", WIDTH - 20.0, BOTTOM + 33.0, Anchor::End, &format!("budget, {currency}"));
    // A set serves every budget up to the next point's.
    let steps = |of: &dyn Fn(&crate::assess::priorities::frontier::FrontierPoint) -> f64| -> Vec<(f64, f64)> {
        let mut out = Vec::new();
        for (i, p) in d.frontier.iter().enumerate() {
            let until = d.frontier.get(i + 1).map_or(last, |n| n.budget);
            out.push((x.at(p.budget), y.at(of(p))));
            out.push((x.at(until), y.at(of(p))));
        }
        out
    };
    let mut band = steps(&|p| p.removed_ha.q95());
    band.extend(steps(&|p| p.removed_ha.q05()).into_iter().rev());
    svg.through("band90", &band, true);
    svg.through("middle", &steps(&|p| p.removed_ha.mean), false);
    svg.line("threshold", LEFT, y.at(d.active_ha.mean), WIDTH - 20.0, y.at(d.active_ha.mean));
    svg.label(
        "tick",
        LEFT + 4.0,
        y.at(d.active_ha.mean) - 5.0,
        Anchor::Start,
        "all that is expected to be active in the blocks",
    );
    svg.line("postmid", x.at(d.budget), TOP, x.at(d.budget), BOTTOM);
    let (at, anchor) = if d.budget > 0.6 * last { (-5.0, Anchor::End) } else { (5.0, Anchor::Start) };
    let label = if d.budget_given { "the budget" } else { "the assumed budget" };
    svg.label("tick", x.at(d.budget) + at, BOTTOM - 6.0, anchor, label);
    svg.line("mark", LEFT, BOTTOM, WIDTH - 20.0, BOTTOM);
    svg.finish()
}
