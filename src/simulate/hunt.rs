//! Who is shot, where and when: uneven effort in space, season and year.
//!
//! Each week the season's share of the pigs to be examined is drawn from the living,
//! without replacement, in proportion to the effort where each stands times how easily
//! its age is bailed. Assumed, without a source: effort peaks from April to August, varies
//! by 15 % between years, pigs below three months are left alone, those of three to six
//! months are taken at 0.8 and those of six to 24 months at 1.3 of the rate of older ones.
//! Litter mates that share their lot (`litter_correlation`) and keep company are taken together.
//! Hunting starts before the records do, so that the herd is a hunted one from the start.

use crate::records::{DAYS_PER_MONTH, DAYS_PER_YEAR, date_of_day};
use crate::simulate::herd::{Animal, Herd};
use crate::simulate::land::Land;
use crate::simulate::noise::normal;
use crate::simulate::scenario::Scenario;
use geo::Coord;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;

/// Relative effort by month, January first.
const SEASON: [f64; 12] = [0.7, 0.8, 1.0, 1.2, 1.3, 1.3, 1.2, 1.2, 1.0, 0.9, 0.7, 0.7];
/// Radius of extra effort about a past positive, metres.
const PULL_M: f64 = 3_000.0;

/// A pig just shot.
#[derive(Debug, Clone)]
pub(crate) struct Kill {
    pub(crate) animal: Animal,
    /// Whole day number.
    pub(crate) day: f64,
}

/// Effort over the years.
pub(crate) struct Hunt {
    /// Weeks as (first day, length, pigs due by the end of it).
    weeks: Vec<(f64, f64, f64)>,
    taken: usize,
    positives: Vec<(f64, Coord<f64>)>,
}

impl Hunt {
    /// Spreads `pigs` kills over `[first, end)`.
    pub(crate) fn plan(first: f64, end: f64, pigs: usize, rng: &mut ChaCha12Rng) -> Hunt {
        let years = ((end - first) / DAYS_PER_YEAR).ceil() as usize + 1;
        let mood: Vec<f64> = (0..years).map(|_| (0.15 * normal(rng)).exp()).collect();
        let mut weeks = Vec::new();
        let mut day = first;
        let mut sum = 0.0;
        while day < end {
            let length = (end - day).min(7.0);
            let year = ((day - first) / DAYS_PER_YEAR) as usize;
            sum += length * SEASON[date_of_day(day).month() as usize - 1] * mood[year];
            weeks.push((day, length, sum));
            day += length;
        }
        for w in &mut weeks {
            w.2 *= pigs as f64 / sum;
        }
        Hunt { weeks, taken: 0, positives: Vec::new() }
    }

    /// First day and length of each week.
    pub(crate) fn weeks(&self) -> Vec<(f64, f64)> {
        self.weeks.iter().map(|w| (w.0, w.1)).collect()
    }

    /// Remembers a lesioned pig, for scenarios in which hunters go back.
    pub(crate) fn remember(&mut self, day: f64, place: Coord<f64>) {
        self.positives.push((day, place));
    }

    /// Takes this week's pigs from the herd; recovers the sentinels that are due.
    pub(crate) fn take(
        &mut self,
        week: usize,
        herd: &mut Herd<'_>,
        land: &Land,
        scenario: &Scenario,
        rng: &mut ChaCha12Rng,
    ) -> Vec<Kill> {
        let (day, length, due) = self.weeks[week];
        let wanted = ((due + 1e-9).floor() as usize).saturating_sub(self.taken);
        self.positives.retain(|p| day - p.0 < DAYS_PER_YEAR);
        // Efraimidis & Spirakis 2006: the smallest −ln(u)/w are a weighted draw without replacement.
        let mut keys: Vec<(f64, usize)> = Vec::new();
        let mut recovered = Vec::new();
        for (i, a) in herd.animals.iter().enumerate() {
            if let Some(release) = a.release {
                if release.recovery_day < day + length {
                    recovered.push(i);
                }
                continue;
            }
            let w = self.rate(a, day, land, scenario);
            let u: f64 = rng.random();
            if w > 0.0 && u > 0.0 {
                keys.push((-u.ln() / w, i));
            }
        }
        keys.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut chosen: Vec<usize> = keys.into_iter().map(|k| k.1).collect();
        if scenario.litter_correlation > 0.0 {
            chosen = with_mates(&chosen, wanted, &herd.animals);
        }
        chosen.truncate(wanted);
        self.taken += chosen.len();
        chosen.extend(recovered);
        chosen.sort_unstable();
        let mut kills: Vec<Kill> = chosen
            .iter()
            .rev()
            .map(|&i| {
                let animal = herd.animals.swap_remove(i);
                Kill { day: (day + length * rng.random::<f64>()).floor(), animal }
            })
            .collect();
        for k in &mut kills {
            // The infection of the same week counts only if it came before the shot (at noon).
            if k.animal.infection.is_some_and(|i| i.day >= k.day + 0.5) {
                k.animal.infection = None;
            }
        }
        kills
    }

    fn rate(&self, a: &Animal, day: f64, land: &Land, scenario: &Scenario) -> f64 {
        let age_months = (day - a.born_day) / DAYS_PER_MONTH;
        let ease = if age_months < 3.0 {
            return 0.0;
        } else if age_months < 6.0 {
            0.8
        } else if age_months < 24.0 {
            1.3
        } else {
            1.0
        };
        let effort = land.hex_at(a.place.x, a.place.y).map_or(0.0, |h| land.hexes[h].effort);
        let back = scenario.effort_on_past_positives > 0.0
            && self.positives.iter().any(|(_, p)| (p.x - a.place.x).hypot(p.y - a.place.y) < PULL_M);
        ease * effort * if back { 1.0 + scenario.effort_on_past_positives } else { 1.0 }
    }
}

/// The first `wanted` of `order`, each followed at once by its mates.
fn with_mates(order: &[usize], wanted: usize, animals: &[Animal]) -> Vec<usize> {
    let mut chosen: Vec<usize> = Vec::with_capacity(wanted);
    for &i in order {
        if chosen.len() >= wanted {
            break;
        }
        if chosen.contains(&i) {
            continue;
        }
        chosen.push(i);
        let mates: Vec<usize> =
            order.iter().copied().filter(|&j| j != i && animals[j].is_mate_of(&animals[i])).collect();
        for j in mates {
            if !chosen.contains(&j) {
                chosen.push(j);
            }
        }
    }
    chosen
}
