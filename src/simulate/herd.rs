//! Pigs' lives: birth, range, drift, dispersal, infection, death from other causes.
//!
//! Every pig is followed in steps of a week. Assumed:
//! - Ranges: position in a step is normal about the range centre, s.d. per axis 0.6 km
//!   (sows) and 0.9 km (boars), varied between pigs by a lognormal factor of s.d. 0.25;
//!   positions at sea are drawn again. The centre wanders about its anchor (an
//!   Ornstein-Uhlenbeck walk, s.d. 0.3 km, correlation time one year).
//! - Dispersal: 10 % of females and 40 % of males leave at an age uniform over 8 to 18
//!   months, in a random direction, by an exponential distance of mean 4 km; directions
//!   that end in the sea are drawn again with the distance kept.
//! - Births all the year, most from July to November and in March (Dzieciolowski 1992);
//!   a litter lives where its mother does; litters shrink as the herd outgrows its room.
//! - Deaths other than recorded kills: 0.9 a year below one year of age, 0.18 after, 0.8
//!   past ten years (own choices: they give the age structure of hunted pigs, 60 to 80 %
//!   below 48 months).
//! - Exposure starts at an age uniform over 2 to 3 months (a sentinel: at its release);
//!   in each step a pig with no visible lesion is infected with probability 1 − exp(−λ(place, time) dt);
//!   infection is for life and changes neither movement nor survival.
//! - Litters (knob `litter_correlation`, off by default): a piglet that shares its litter's lot
//!   is infected when its own ∫λ dt passes a bound, exponential with mean 1, that it has in
//!   common with the others that share it. Each pig's chance of infection along its path stays
//!   1 − exp(−∫λ dt); what litter mates go through becomes alike.

use crate::records::{DAYS_PER_MONTH, DAYS_PER_YEAR, Sex, date_of_day};
use crate::simulate::force_of_infection::{Focus, hazard_per_year};
use crate::simulate::land::Land;
use crate::simulate::noise::{Stream, normal, pick, stream};
use crate::simulate::scenario::Scenario;
use geo::Coord;
use rand::RngExt;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, Exp1, Poisson};
use statrs::function::gamma::gamma;
use std::f64::consts::TAU;

/// Relative farrowing by month, January first.
const FARROWING: [f64; 12] = [0.5, 0.6, 1.5, 0.7, 0.5, 0.6, 1.3, 1.6, 1.8, 1.6, 1.3, 0.7];
/// S.d. per axis of the wandering range centre, metres.
const DRIFT_M: f64 = 300.0;
/// Time over which the wandering centre forgets where it was, years.
const DRIFT_YEARS: f64 = 1.0;
/// Distance within which litter mates keep company, metres.
const COMPANY_M: f64 = 2_000.0;
/// Mean natal dispersal distance, metres.
const DISPERSAL_M: f64 = 4_000.0;

/// Time and place of an infection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Infection {
    /// Day number with its fraction, days since 1970-01-01.
    pub day: f64,
    /// Metres east.
    pub easting_m: f64,
    /// Metres north.
    pub northing_m: f64,
}

/// A pig released to be recovered.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Release {
    pub(crate) day: f64,
    pub(crate) recovery_day: f64,
}

/// A living pig.
#[derive(Debug, Clone)]
pub(crate) struct Animal {
    pub(crate) sex: Sex,
    pub(crate) born_day: f64,
    pub(crate) exposed_from_day: f64,
    pub(crate) place: Coord<f64>,
    pub(crate) infection: Option<Infection>,
    pub(crate) release: Option<Release>,
    anchor: Coord<f64>,
    centre: Coord<f64>,
    range_sd_m: f64,
    disperses_day: Option<f64>,
    last_litter_day: f64,
    litter: Option<Litter>,
}

/// The lot that a piglet has in common with its litter.
#[derive(Debug, Clone, Copy)]
struct Litter {
    number: u64,
    /// What is left of the bound on ∫λ dt.
    left: f64,
}

/// The living pigs of a study area.
pub(crate) struct Herd<'a> {
    pub(crate) animals: Vec<Animal>,
    /// Natal dispersals since the first day of the study, metres.
    pub(crate) dispersals_m: Vec<f64>,
    land: &'a Land,
    foci: &'a [Focus],
    scenario: &'a Scenario,
    room: f64,
    record_from_day: f64,
    litter_rng: ChaCha12Rng,
    litters: u64,
}

impl<'a> Herd<'a> {
    /// A herd of `room` pigs with ages of a settled population, where pigs like to live.
    pub(crate) fn settle(
        scenario: &'a Scenario,
        land: &'a Land,
        foci: &'a [Focus],
        room: f64,
        day: f64,
        record_from_day: f64,
        rng: &mut ChaCha12Rng,
    ) -> Herd<'a> {
        let mut herd = Herd {
            animals: Vec::new(),
            dispersals_m: Vec::new(),
            land,
            foci,
            scenario,
            room,
            record_from_day,
            litter_rng: stream(scenario.seed, Stream::Litter),
            litters: 0,
        };
        for _ in 0..room as usize {
            let weights = land.hexes.iter().map(|h| h.suitability);
            let home = land.hexes[pick(rng, weights).unwrap_or(0)].centre;
            let age_years: f64 = (2.0 * rng.sample::<f64, _>(Exp1)).min(10.0);
            let near = Coord { x: home.x + 200.0 * normal(rng), y: home.y + 200.0 * normal(rng) };
            let born = day - age_years * DAYS_PER_YEAR;
            let animal = herd.animal(near, born, None, rng);
            herd.animals.push(animal);
        }
        herd
    }

    /// A new pig with its own range and fate.
    fn animal(&self, home: Coord<f64>, born_day: f64, sex: Option<Sex>, rng: &mut ChaCha12Rng) -> Animal {
        let sex = sex.unwrap_or(if rng.random::<bool>() { Sex::Female } else { Sex::Male });
        let (typical_m, leave_share) = if sex == Sex::Female { (600.0, 0.10) } else { (900.0, 0.40) };
        let variation = (0.25 * normal(rng) - 0.5 * 0.25f64.powi(2)).exp();
        let leaves = rng.random::<f64>() < leave_share;
        let leave_age_months = rng.random_range(8.0..18.0);
        let exposure_age_months = rng.random_range(2.0..3.0);
        Animal {
            sex,
            born_day,
            exposed_from_day: born_day + exposure_age_months * DAYS_PER_MONTH,
            place: home,
            infection: None,
            release: None,
            anchor: home,
            centre: home,
            range_sd_m: typical_m * variation * self.scenario.home_range_scale,
            disperses_day: leaves.then_some(born_day + leave_age_months * DAYS_PER_MONTH),
            last_litter_day: f64::NEG_INFINITY,
            litter: None,
        }
    }

    /// Lets a sentinel go: 5 to 8 months old, exposed from its release, staying about the site.
    pub(crate) fn release(&mut self, site: Coord<f64>, release: Release, rng: &mut ChaCha12Rng) {
        let age_days = rng.random_range(5.0..8.0) * DAYS_PER_MONTH;
        let mut animal = self.animal(site, release.day - age_days, None, rng);
        animal.exposed_from_day = release.day;
        animal.disperses_day = None;
        animal.release = Some(release);
        self.animals.push(animal);
    }

    /// Births, deaths, movement and infection over `[day, day + dt)`.
    pub(crate) fn step(&mut self, day: f64, dt_days: f64, rng: &mut ChaCha12Rng) {
        self.die(day, dt_days, rng);
        self.farrow(day, dt_days, rng);
        let mut animals = std::mem::take(&mut self.animals);
        let keep = (-dt_days / DAYS_PER_YEAR / DRIFT_YEARS).exp();
        let kick_m = DRIFT_M * self.scenario.home_range_scale * (1.0 - keep * keep).sqrt();
        for a in &mut animals {
            self.wander(a, day, keep, kick_m, rng);
        }
        let company = (self.scenario.pig_to_pig > 0.0).then(|| Company::count(&animals, self.land));
        for a in &mut animals {
            let infectious = company.as_ref().map_or(0.0, |c| c.infected_near(a.place));
            self.expose(a, day, dt_days, infectious, rng);
        }
        self.animals = animals;
    }

    fn die(&mut self, day: f64, dt_days: f64, rng: &mut ChaCha12Rng) {
        let [young, grown, old] = [0.9, 0.18, 0.8].map(|rate: f64| (-rate * dt_days / DAYS_PER_YEAR).exp());
        self.animals.retain(|a| {
            let age_years = (day - a.born_day) / DAYS_PER_YEAR;
            let survival = if age_years < 1.0 {
                young
            } else if age_years < 10.0 {
                grown
            } else {
                old
            };
            let spared = rng.random::<f64>() < survival;
            // A sentinel is always recovered: it was tagged, and those lost never enter the records.
            spared || a.release.is_some()
        });
    }

    fn farrow(&mut self, day: f64, dt_days: f64, rng: &mut ChaCha12Rng) {
        let crowding = self.animals.len() as f64 / self.room;
        let success = (2.2 - 1.2 * crowding).clamp(0.0, 1.5);
        let month = date_of_day(day).month() as usize - 1;
        let rate = 1.1 * FARROWING[month] * success;
        let prob = 1.0 - (-rate * dt_days / DAYS_PER_YEAR).exp();
        let extra = Poisson::new(2.0).ok();
        let mut litters = Vec::new();
        for a in &mut self.animals {
            let ready = a.sex == Sex::Female
                && a.release.is_none()
                && day - a.born_day > 10.0 * DAYS_PER_MONTH
                && day - a.last_litter_day > 5.0 * DAYS_PER_MONTH;
            if ready && rng.random::<f64>() < prob {
                a.last_litter_day = day;
                litters.push(a.centre);
            }
        }
        for home in litters {
            let size = 2 + extra.as_ref().map_or(0, |p| p.sample(rng) as usize);
            let born = day + dt_days * rng.random::<f64>();
            self.litters += 1;
            let bound: f64 = self.litter_rng.sample(Exp1);
            for _ in 0..size {
                let scale = 100.0 * self.scenario.home_range_scale;
                let near = Coord { x: home.x + scale * normal(rng), y: home.y + scale * normal(rng) };
                let mut piglet = self.animal(near, born, None, rng);
                let shares = self.litter_rng.random::<f64>() < self.scenario.litter_correlation;
                piglet.litter = shares.then_some(Litter { number: self.litters, left: bound });
                self.animals.push(piglet);
            }
        }
    }

    fn wander(&mut self, a: &mut Animal, day: f64, keep: f64, kick_m: f64, rng: &mut ChaCha12Rng) {
        if a.disperses_day.is_some_and(|d| d < day) {
            a.disperses_day = None;
            self.disperse(a, day, rng);
        }
        let moved = Coord {
            x: a.anchor.x + keep * (a.centre.x - a.anchor.x) + kick_m * normal(rng),
            y: a.anchor.y + keep * (a.centre.y - a.anchor.y) + kick_m * normal(rng),
        };
        if self.land.hex_at(moved.x, moved.y).is_some() {
            a.centre = moved;
        }
        a.place = a.centre;
        for _ in 0..6 {
            let p = Coord {
                x: a.centre.x + a.range_sd_m * normal(rng),
                y: a.centre.y + a.range_sd_m * normal(rng),
            };
            if self.land.hex_at(p.x, p.y).is_some() {
                a.place = p;
                break;
            }
        }
    }

    fn disperse(&mut self, a: &mut Animal, day: f64, rng: &mut ChaCha12Rng) {
        let shape = self.scenario.dispersal_shape;
        // E^(1/k)/Γ(1 + 1/k): Weibull of mean 1; at k = 1 the plain exponential, to the last bit.
        let stretch: f64 = rng.sample::<f64, _>(Exp1);
        let stretch =
            if shape == 1.0 { stretch } else { stretch.powf(1.0 / shape) / gamma(1.0 + 1.0 / shape) };
        let distance_m = DISPERSAL_M * self.scenario.dispersal_scale * stretch;
        for _ in 0..40 {
            let angle = TAU * rng.random::<f64>();
            let to =
                Coord { x: a.centre.x + distance_m * angle.cos(), y: a.centre.y + distance_m * angle.sin() };
            if self.land.hex_at(to.x, to.y).is_some() {
                a.anchor = to;
                a.centre = to;
                break;
            }
        }
        if day >= self.record_from_day {
            self.dispersals_m.push(distance_m);
        }
    }

    fn expose(&self, a: &mut Animal, day: f64, dt_days: f64, infectious: f64, rng: &mut ChaCha12Rng) {
        let from = a.exposed_from_day.max(day);
        let span_days = day + dt_days - from;
        if a.infection.is_some() || span_days <= 0.0 {
            return;
        }
        let hazard = hazard_per_year(self.foci, a.place.x, a.place.y, from + 0.5 * span_days)
            + self.scenario.pig_to_pig * infectious;
        if hazard <= 0.0 {
            return;
        }
        let dose = hazard * span_days / DAYS_PER_YEAR;
        let share = match &mut a.litter {
            None => (rng.random::<f64>() < 1.0 - (-dose).exp()).then(|| rng.random::<f64>()),
            Some(litter) => {
                let share = litter.left / dose;
                litter.left -= dose;
                (share < 1.0).then_some(share.max(0.0))
            }
        };
        if let Some(share) = share {
            let day = from + span_days * share;
            a.infection = Some(Infection { day, easting_m: a.place.x, northing_m: a.place.y });
        }
    }
}

impl Animal {
    /// Whether the two share their litter's lot and still keep company.
    pub(crate) fn is_mate_of(&self, other: &Animal) -> bool {
        let same = |a: &Option<Litter>, b: &Option<Litter>| match (a, b) {
            (Some(a), Some(b)) => a.number == b.number,
            _ => false,
        };
        let apart_m = (self.place.x - other.place.x).hypot(self.place.y - other.place.y);
        same(&self.litter, &other.litter) && apart_m < COMPANY_M
    }
}

/// Infected pigs by square kilometre, for study areas with pig-to-pig infection.
struct Company {
    south_west: Coord<f64>,
    side: usize,
    infected: Vec<f64>,
}

impl Company {
    fn count(animals: &[Animal], land: &Land) -> Company {
        let side = (land.extent_m / 1000.0).ceil() as usize + 1;
        let mut company = Company { south_west: land.south_west, side, infected: vec![0.0; side * side] };
        for a in animals.iter().filter(|a| a.infection.is_some()) {
            if let Some(k) = company.square(a.place) {
                company.infected[k] += 1.0;
            }
        }
        company
    }

    fn square(&self, p: Coord<f64>) -> Option<usize> {
        let (c, r) = ((p.x - self.south_west.x) / 1000.0, (p.y - self.south_west.y) / 1000.0);
        let inside = c >= 0.0 && r >= 0.0 && (c as usize) < self.side && (r as usize) < self.side;
        inside.then(|| r as usize * self.side + c as usize)
    }

    fn infected_near(&self, p: Coord<f64>) -> f64 {
        self.square(p).map_or(0.0, |k| self.infected[k])
    }
}
