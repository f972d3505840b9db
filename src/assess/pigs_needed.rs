//! What would raise an area's probability of freedom: how many more pigs with no visible lesion, and where.

use crate::assess::coverage::Coverages;
use crate::assess::focus_view::DayWindow;
use crate::assess::freedom_figures::{PigsNeeded, ZoneFreedom};
use crate::assess::missed_focus::{Missed, lengths};
use crate::assess::next_samples::{NextPig, place_until};
use crate::assess::odds::lasting;
use crate::geography::layout::Layout;

/// Pigs placed between two looks at P(free), as a share of those placed: the number told is too large by
/// at most this.
const STEP_SHARE: usize = 32;

/// What would raise P(free) of the last year: next pigs shot on `as_of`, who support the years they lived.
///
/// Each is placed where the chance of a focus that everybody missed is largest.
pub(crate) fn raise(
    layout: &Layout,
    coverages: &Coverages,
    weights: &[f64],
    no_case: &[f64],
    zone: &ZoneFreedom,
) -> PigsNeeded {
    let keys = &layout.study.freedom;
    let Some(last) = zone.last() else { return PigsNeeded::Nothing };
    if last.p_free >= keys.target {
        return PigsNeeded::Reached;
    }
    if last.no_case <= keys.target {
        return PigsNeeded::CaseInside;
    }
    let windows: Vec<DayWindow> = coverages.years.iter().map(|y| y.window).collect();
    let next = NextPig::new(layout, layout.study.sampling.age_months, &windows);
    let lengths = lengths(coverages);
    let before = |y: usize, c: usize| coverages.years[y].clear_log_missed[0][c];
    let unseen = |c: usize| -> f64 {
        let all = (0..windows.len()).map(|y| before(y, c));
        // A lasting focus was missed in all years; one placed anew, in some year.
        if keys.focus_stays { all.sum::<f64>().exp() } else { all.map(f64::exp).sum() }
    };
    let unseen: Vec<f64> =
        weights.iter().enumerate().map(|(c, w)| if *w > 0.0 { w * unseen(c) } else { 0.0 }).collect();
    let most = layout.study.sampling.most_pigs;
    let mut reached = false;
    let mut enough = |added: &[Vec<f64>], pigs: usize| {
        if pigs >= STEP_SHARE && pigs < most && !pigs.is_multiple_of(pigs / STEP_SHARE) {
            return false;
        }
        let years: Vec<Vec<f64>> = added
            .iter()
            .enumerate()
            .map(|(y, l)| l.iter().enumerate().map(|(c, l)| before(y, c) + l).collect())
            .collect();
        // The ranges of the inputs do not come into it.
        let stated: Vec<[&[f64]; 1]> = years.iter().map(|y| [y.as_slice()]).collect();
        let missed = Missed::new(weights, &stated, keys.design_foci, keys.focus_stays);
        let missed = |c: usize, y: usize| missed.stated(c, y);
        let (prior, introduction) = (zone.prior, zone.introduction_per_year);
        let p = lasting(prior, introduction, keys.prior_after_infection, &missed, no_case, &lengths);
        reached = p.last().is_some_and(|y| y.p_free >= keys.target);
        reached || pigs >= most
    };
    let taken = place_until(&layout.grid, &next, unseen, &mut enough);
    match taken.len() {
        0 => PigsNeeded::Nothing,
        _ if reached => {
            let parts = parts(layout, weights, &taken);
            PigsNeeded::Pigs { cells: taken, parts }
        }
        n if n >= most => PigsNeeded::MoreThan(most),
        _ => PigsNeeded::Nothing,
    }
}

/// Pigs by part of the area, most first: its middle, or a direction from it.
fn parts(layout: &Layout, weights: &[f64], taken: &[usize]) -> Vec<(&'static str, usize)> {
    const NAMES: [&str; 9] =
        ["east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east", "middle"];
    let centres =
        || weights.iter().enumerate().filter(|(_, w)| **w > 0.0).map(|(c, w)| (layout.grid.centre(c), w));
    let total: f64 = centres().map(|c| c.1).sum();
    let mean = |f: &dyn Fn(geo::Coord<f64>) -> f64| centres().map(|(p, w)| w * f(p)).sum::<f64>() / total;
    let (x, y) = (mean(&|p| p.x), mean(&|p| p.y));
    let radius = mean(&|p| (p.x - x).powi(2) + (p.y - y).powi(2)).sqrt();
    let mut counts = [0usize; 9];
    for cell in taken {
        let p = layout.grid.centre(*cell);
        let (dx, dy) = (p.x - x, p.y - y);
        // Within half of the r.m.s. distance from the middle is the middle.
        let part = if dx.hypot(dy) < 0.5 * radius {
            8
        } else {
            ((dy.atan2(dx) / std::f64::consts::FRAC_PI_4).round() as i64).rem_euclid(8) as usize
        };
        counts[part] += 1;
    }
    let mut out: Vec<(&'static str, usize)> = NAMES.into_iter().zip(counts).filter(|(_, n)| *n > 0).collect();
    out.sort_by_key(|p| std::cmp::Reverse(p.1));
    out
}
