//! What is said of each area: the verdict, one sentence of what it rests on, and what would settle it.

use crate::assess::areas::{Judgement, ZoneFigures};
use crate::assess::verdict::{SHOWN_NOW, Verdict};
use crate::pipeline::analysis::Analysis;
use crate::report::sentences::{freedom, words};

/// Mean coverage of all areas under which the page opens with a warning.
const LITTLE_LOOKED: f64 = 0.1;
/// What a study without areas is judged on.
pub(crate) const REACHED_LAND: &str = "Land that pigs' ranges reach";
/// Of ten simulated areas said to have been active before, those that still were (evidence page; a test holds
/// it against the recorded table).
pub const STILL_ACTIVE: u32 = 8;
/// Names in one list.
const MOST_NAMES: usize = 8;

/// Figures and judgement of an area, or of all land that pigs' ranges reach.
fn of(analysis: &Analysis, zone: Option<usize>) -> (&ZoneFigures, &Judgement) {
    let a = &analysis.assessment;
    zone.map_or((&a.study_area, &a.whole), |z| (&a.zones[z], &a.judgements[z]))
}

/// Month and year in which an area's attributed infections end (95 % point).
fn until(z: &ZoneFigures) -> Option<String> {
    z.window.map(|w| words::month(w[2]))
}

/// The recent months: `12 months to 2024-12-31`.
fn recent(analysis: &Analysis) -> String {
    format!("{} to {}", words::months(analysis.layout.study.recent.months), analysis.layout.as_of)
}

/// The verdict in a few words: `active now`.
pub(crate) fn short(analysis: &Analysis, zone: Option<usize>) -> String {
    let (z, j) = of(analysis, zone);
    match j.verdict {
        Verdict::ActiveNow => "active now".into(),
        Verdict::ActiveBefore => match until(z) {
            Some(month) => format!("active until about {month}; not shown since, not ruled out"),
            None => "active earlier; not shown since, not ruled out".into(),
        },
        Verdict::NoSign if zone.is_none() => "no sign of it".into(),
        Verdict::NoSign => "no sign of it; not yet free".into(),
        Verdict::Free => format!("free at the target of {}", words::given(j.evidence.target)),
        Verdict::TooFewPigs => "too few pigs to say".into(),
    }
}

/// The verdict on an area as a label of the map.
pub(crate) fn on_the_map(analysis: &Analysis, zone: usize) -> String {
    let (z, j) = of(analysis, Some(zone));
    match (j.verdict, z.window) {
        (Verdict::ActiveBefore, Some(w)) => {
            format!(
                "active to {}, now unproven",
                words::year_month(w[2]).split('-').next().unwrap_or_default()
            )
        }
        (Verdict::ActiveBefore, None) => "active earlier, now unproven".into(),
        (Verdict::NoSign, _) => "no sign of it, not yet free".into(),
        (Verdict::Free, _) => "free at the target".into(),
        _ => short(analysis, Some(zone)),
    }
}

/// How often examined pigs would have shown a focus.
fn would_show(analysis: &Analysis, j: &Judgement) -> String {
    let months = words::months(analysis.layout.study.coverage.window_months);
    match j.evidence.coverage {
        Some(c) => format!(
            "A focus there in the {months} to {} would have been found in {} of 100 cases.",
            analysis.layout.as_of,
            words::per_cent(c)
        ),
        None => "No land of it lies on the grid.".into(),
    }
}

/// Infections of 100 pigs a year, with their range.
fn of_100(z: &ZoneFigures) -> String {
    format!(
        "Of 100 pigs living there for a year about {} would be infected ({}).",
        words::of_100_pigs(z.hazard.median()),
        words::range(z.hazard.q05(), z.hazard.q95(), words::of_100_pigs)
    )
}

/// Active land, with its range.
fn active_land(z: &ZoneFigures) -> String {
    format!(
        "About {} of its {} ha are active ({}).",
        words::hectares(z.active_ha.median()),
        words::hectares(z.area_ha),
        words::range(z.active_ha.q05(), z.active_ha.q95(), words::hectares)
    )
}

/// What the verdict on an area rests on, in natural frequencies.
pub(crate) fn rests_on(analysis: &Analysis, zone: Option<usize>) -> String {
    let (z, j) = of(analysis, zone);
    let recent = recent(analysis);
    let positives = words::count(z.positives, "positive", "positives");
    match j.verdict {
        Verdict::ActiveNow if j.evidence.infected_recently >= SHOWN_NOW => format!(
            "Examined pigs infected there in the {recent}: {}. {} {}",
            words::whole_pigs(z.infected_recently_expected),
            of_100(z),
            active_land(z)
        ),
        Verdict::ActiveNow => format!(
            "No examined pig was surely infected there in the {recent}, but earlier ones and its neighbours \
             leave little doubt. {} {}",
            of_100(z),
            active_land(z)
        ),
        Verdict::ActiveBefore => {
            let when = z.window.map_or(String::new(), |w| {
                format!(" (9 in 10 of them from {} to {})", words::month(w[0]), words::month(w[2]))
            });
            format!(
                "Examined pigs infected there: {}{when}; in the {recent}: {}. {} Of simulated areas of which \
                 this was said, {STILL_ACTIVE} in 10 were still active somewhere.",
                words::whole_pigs(z.infected_inside_expected),
                words::whole_pigs(z.infected_recently_expected),
                of_100(z)
            )
        }
        Verdict::NoSign | Verdict::Free | Verdict::TooFewPigs => {
            let found = match z.positives {
                0 => "no positive".to_string(),
                _ => format!(
                    "{positives}, probably infected there: {}",
                    words::whole_pigs(z.positives_local_expected)
                ),
            };
            format!(
                "{} examined, {found}. {}",
                words::count(z.pigs, "pig was", "pigs were"),
                would_show(analysis, j)
            )
        }
    }
}

/// What was assumed of any place before the first pig, beside what is estimated of this area now.
pub(crate) fn before_and_now(analysis: &Analysis, zone: Option<usize>) -> String {
    let (z, _) = of(analysis, zone);
    let force = analysis.assessment.before.force_of_infection;
    format!(
        "Infected of 100 pigs in a year, assumed of any place before the first pig: {} ({}); now: {} ({}).",
        words::of_100_pigs(force[1]),
        words::range(force[0], force[2], words::of_100_pigs),
        words::of_100_pigs(z.hazard.median()),
        words::range(z.hazard.q05(), z.hazard.q95(), words::of_100_pigs)
    )
}

/// A probability with its range as a natural frequency: `84 in 100 (64 to 94)`.
pub(crate) fn of_100_chances(p: f64, bounds: [f64; 2]) -> String {
    let [low, high] = bounds.map(words::per_cent);
    let middle = words::per_cent(p);
    if low == high && low == middle {
        return format!("{middle} in 100");
    }
    format!("{middle} in 100 ({low} to {high})")
}

/// What would settle the question of an area.
pub(crate) fn settles(analysis: &Analysis, zone: usize) -> String {
    let j = &analysis.assessment.judgements[zone];
    match j.verdict {
        Verdict::ActiveNow => {
            "Nothing more is needed to act. Where to begin stands under “Where first?”.".into()
        }
        _ => freedom::needed(analysis, &analysis.assessment.freedom[zone]),
    }
}

/// Every area by its verdict, the most urgent first.
pub(crate) fn headline(analysis: &Analysis) -> String {
    let a = &analysis.assessment;
    if a.zones.is_empty() {
        return format!("{REACHED_LAND}: {}. {}", short(analysis, None), rests_on(analysis, None));
    }
    let mut parts = Vec::new();
    for verdict in Verdict::ALL {
        let names: Vec<String> = (0..a.zones.len())
            .filter(|i| a.judgements[*i].verdict == verdict)
            .map(|i| match until(&a.zones[i]) {
                Some(month) if verdict == Verdict::ActiveBefore => {
                    format!("{} (until about {month})", a.zones[i].name)
                }
                _ => a.zones[i].name.clone(),
            })
            .collect();
        if names.is_empty() {
            continue;
        }
        let said = match verdict {
            Verdict::ActiveNow => "Active now",
            Verdict::ActiveBefore => "Active earlier; not shown since, not ruled out",
            Verdict::TooFewPigs => "Too few pigs to say",
            Verdict::NoSign => "No sign of it; not yet free",
            Verdict::Free => "Free at the target",
        };
        parts.push(format!("{said}: {}.", words::list(&names, MOST_NAMES)));
    }
    parts.join(" ")
}

/// A warning where so little was examined that the map shows the assumptions.
pub(crate) fn nearly_assumed(analysis: &Analysis) -> Option<String> {
    let a = &analysis.assessment;
    let land: Vec<(f64, f64)> = if a.zones.is_empty() {
        vec![(1.0, a.whole.evidence.coverage.unwrap_or(0.0))]
    } else {
        a.zones
            .iter()
            .zip(&a.judgements)
            .map(|(z, j)| (z.area_ha, j.evidence.coverage.unwrap_or(0.0)))
            .collect()
    };
    let all: f64 = land.iter().map(|l| l.0).sum();
    let mean = land.iter().map(|l| l.0 * l.1).sum::<f64>() / all.max(f64::MIN_POSITIVE);
    (mean < LITTLE_LOOKED).then(|| {
        let pigs = analysis.layout.records.pigs.len();
        format!(
            "{} examined: away from them the map is nearly what was assumed before the first. A focus would \
             have been found in {} of 100 cases.",
            words::count(pigs, "pig", "pigs"),
            words::per_cent(mean)
        )
    })
}

/// What "active" and "free" mean, in pigs.
pub(crate) fn meanings(analysis: &Analysis) -> String {
    let study = &analysis.layout.study;
    let (threshold, design) =
        (study.recent.force_of_infection_threshold, study.coverage.design_force_of_infection);
    format!(
        "Active: more than {} of 100 pigs living there for a year would be infected ({threshold} \
         infections per pig-year). A focus: a place {} across where {} of 100 would be ({design}). Free: no \
         focus is left; a weaker one could be. Ranges hold the truth 9 times in 10, if the inputs are right.",
        words::of_100_pigs(threshold),
        words::km(study.coverage.patch_m),
        words::of_100_pigs(design)
    )
}
