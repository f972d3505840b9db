//! Where the next pigs should come from, as plain text.

use crate::assess::next_samples::{NextPig, SampleAim, SampleSpot};
use crate::geography::layout::Layout;
use crate::report::layers::samples;
use crate::report::sentences::words;
use std::fmt::Write;

/// Where the land stands before the next pigs.
pub(crate) struct LandNow {
    /// What the land is: `the areas`.
    pub what: &'static str,
    /// Hectares of it.
    pub area_ha: f64,
    /// Mean surveillance sensitivity.
    pub mean_sensitivity: f64,
    /// Hectares at the study's target.
    pub at_target_ha: f64,
}

/// One line a pig, and what the figures mean.
pub(crate) fn text(
    layout: &Layout,
    spots: &[SampleSpot],
    aim: &SampleAim,
    now: &LandNow,
    next: &NextPig,
) -> String {
    let coverage = &layout.study.coverage;
    let mut t = String::new();
    let _ = writeln!(
        t,
        "Next pigs, {} months old, placed to {} {} ({} ha).",
        next.age_months,
        if *aim == SampleAim::Coverage { "raise coverage of" } else { "settle the standing of" },
        now.what,
        words::hectares(now.area_ha)
    );
    let _ = writeln!(
        t,
        "The focus to find: {} infections per pig-year, {} across, over {} months to {}.",
        coverage.design_force_of_infection,
        words::km(coverage.patch_m),
        coverage.window_months,
        layout.as_of
    );
    let _ = writeln!(
        t,
        "Now: mean probability of finding it {}; {} ha at {}. \
         One such pig finds a focus around its own cell with probability {}.",
        words::chance(now.mean_sensitivity),
        words::hectares(now.at_target_ha),
        words::given(coverage.target),
        words::chance(next.sensitivity(0))
    );
    let adds = if *aim == SampleAim::Coverage { "adds, ha looked at" } else { "adds, ha settled" };
    let _ = writeln!(
        t,
        "{:>5}  {:<10} {:>9} {:>9}  {:<22} {adds:>18} {:>17} {:>13}",
        "pig", "cell", "easting", "northing", "area", "mean sensitivity", "ha at target"
    );
    for (k, s) in spots.iter().enumerate() {
        let centre = layout.grid.centre(s.cell);
        let zone = samples::zone_of(layout, s).map_or("", |z| layout.records.zones[z].name.as_str());
        let _ = writeln!(
            t,
            "{:>5}  {:<10} {:>9.0} {:>9.0}  {zone:<22} {:>18.1} {:>17.4} {:>13.0}",
            k + 1,
            layout.grid.cell_id(s.cell),
            centre.x,
            centre.y,
            s.gain_ha,
            s.mean_sensitivity,
            s.at_target_ha
        );
    }
    if spots.len() < layout.study.sampling.pigs {
        let _ = writeln!(t, "No place within reach would add anything more.");
    }
    t
}
