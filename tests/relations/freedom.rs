//! Coverage, freedom and next samples: what must hold between answers, whatever the parameters.

use crate::common::freedom_arithmetic::{p_free, pigs_needed};
use crate::common::random::stream;
use crate::common::small::{SOUTH_M, WEST_M, confirmed, grid, pig, pigs, study};
use geo::{Coord, MultiPolygon, Rect};
use jiff::civil::date;
use pignut::internals::assess::attribution::attribute;
use pignut::internals::assess::coverage::{coverage_between, coverages};
use pignut::internals::assess::freedom::freedom;
use pignut::internals::assess::freedom_figures::{PigsNeeded, ZoneFreedom};
use pignut::internals::assess::gaps::gaps;
use pignut::internals::assess::next_samples::{NextPig, SampleAim, judged_land, next_spots, pigs_to_target};
use pignut::internals::geography::grid::Grid;
use pignut::internals::geography::habitat::Habitat;
use pignut::internals::geography::layout::{Layout, shares_of};
use pignut::internals::inference::posterior::Posterior;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::records::{Age, Pig, Records, Zone, day_number};
use pignut::internals::sampler::mode::Info;
use pignut::internals::study::study_file::Study;

/// Two areas of 9 × 18 km side by side on a grid of 20 × 20 km, over five years.
struct Land {
    study: Study,
    grid: Grid,
    records: Records,
    shares: Vec<Vec<f64>>,
    habitat: Habitat,
}

impl Land {
    fn new(pigs: Vec<Pig>) -> Land {
        let area = |id: &str, west: f64| {
            let low = Coord { x: WEST_M + west, y: SOUTH_M + 1000.0 };
            let boundary = MultiPolygon(vec![
                Rect::new(low, Coord { x: low.x + 9000.0, y: low.y + 18_000.0 }).to_polygon(),
            ]);
            Zone { id: id.into(), name: id.into(), boundary, prior_free: None, introduction_per_year: None }
        };
        let records =
            Records { pigs, zones: vec![area("West", 1000.0), area("East", 10_000.0)], ..Records::default() };
        let grid = grid(20, 20, 10);
        let shares = shares_of(&grid, records.zones.iter().map(|z| &z.boundary));
        Land { study: study(), grid, records, shares, habitat: Habitat::default() }
    }
    fn layout(&self) -> Layout {
        let as_of = date(2022, 12, 31);
        Layout {
            study: self.study.clone(),
            records: self.records.clone(),
            grid: self.grid.clone(),
            as_of,
            zone_shares: self.shares.clone(),
            block_shares: Vec::new(),
            habitat: self.habitat.clone(),
        }
    }
    /// Samples of a hazard in the west and in the east of the grid.
    fn posterior(&self, west: f32, east: f32) -> Posterior {
        let cols = self.grid.cols;
        let field: Vec<f32> =
            (0..self.grid.field_len()).map(|i| if i % cols < cols / 2 { west } else { east }).collect();
        Posterior {
            hazard: vec![field; 8],
            hyper: (0..8).map(|_| Hyper::start(&self.study.field, 0)).collect(),
            log_likelihood: vec![0.0; 8],
            watched: vec![],
            chains: vec![],
            mode: Info { converged: true, steps: 0, cg_iterations: 0, relative_gradient: 0.0 },
            mass_off_grid: 0.0,
        }
    }
    fn freedom(&self, west: f32, east: f32) -> Vec<ZoneFreedom> {
        let (s, p) = (self.layout(), self.posterior(west, east));
        freedom(&s, &p, &attribute(&s, &p), &coverages(&s))
    }
}

/// Pigs with no visible lesion here and there, five a year and area, in an order that does not follow place.
fn clear_pigs() -> Vec<Pig> {
    let mut out = Vec::new();
    for k in 0..50usize {
        let (x, y) = (1500.0 + ((k * 7919) % 17_000) as f64, 1500.0 + ((k * 104_729) % 17_000) as f64);
        let mut p = pig(WEST_M + x, SOUTH_M + y, date(2018 + (k % 5) as i16, 1 + (k % 12) as i8, 15));
        p.id = format!("C{k}");
        let months = 6.0 + 9.0 * (k % 7) as f64;
        p.age = Age::Interval { min_months: months, max_months: months + 6.0 };
        out.push(p);
    }
    out
}

/// A confirmed pig of six months, shot in the middle of one of the areas.
fn young_positive(west: bool, year: i16) -> Pig {
    let x = if west { 5500.0 } else { 14_500.0 };
    let mut p = confirmed(pig(WEST_M + x, SOUTH_M + 10_000.0, date(year, 11, 20)));
    p.id = format!("{west}{year}");
    p.age = Age::Interval { min_months: 6.0, max_months: 6.0 };
    p
}

#[test]
fn a_clear_pig_never_lowers_coverage_or_freedom() {
    let before = Land::new(clear_pigs());
    let mut more = clear_pigs();
    more.push(pig(WEST_M + 4000.0, SOUTH_M + 6000.0, date(2022, 9, 9)));
    let after = Land::new(more);
    let (a, b) = (coverages(&before.layout()), coverages(&after.layout()));
    let mut rose = 0.0f64;
    for (x, y) in std::iter::once((&a.recent, &b.recent))
        .chain(a.years.iter().map(|y| &y.cells).zip(b.years.iter().map(|y| &y.cells)))
    {
        for (p, q) in x.sensitivity.iter().zip(&y.sensitivity) {
            assert!(q >= p, "{p} fell to {q}");
            rose = rose.max(q - p);
        }
    }
    assert!(rose > 0.01, "the pig does count: {rose}");
    let (a, b) = (before.freedom(0.001, 0.001), after.freedom(0.001, 0.001));
    for (x, y) in a.iter().zip(&b).flat_map(|(x, y)| x.years.iter().zip(&y.years)) {
        assert!(y.p_free >= x.p_free && y.sensitivity >= x.sensitivity, "{}", x.year);
    }
    let gain = b[0].years[4].p_free - a[0].years[4].p_free;
    assert!(gain > 1e-4, "it lived in the west: {gain}");
}

/// Years from one pass are the windows computed one by one.
#[test]
fn one_pass_over_all_years_is_each_year_alone() {
    let land = Land::new(pigs(&mut stream(5), &grid(20, 20, 10), 80));
    let s = land.layout();
    let all = coverages(&s);
    assert_eq!(all.years.iter().map(|y| y.year).collect::<Vec<_>>(), [2018, 2019, 2020, 2021, 2022]);
    for y in &all.years {
        assert_eq!(y.cells, coverage_between(&s, y.window.from, y.window.to), "{}", y.year);
    }
    // A longer window sees at least what either year sees.
    let two = coverage_between(&s, day_number(date(2020, 1, 1)), day_number(date(2022, 1, 1)));
    for (c, s) in two.sensitivity.iter().enumerate() {
        assert!(*s + 1e-9 >= all.years[2].cells.sensitivity[c].max(all.years[3].cells.sensitivity[c]));
    }
}

/// Without positives, and with foci placed anew each year, the recursion is the published one.
#[test]
fn all_clear_records_reduce_to_the_published_recursion() {
    let mut land = Land::new(clear_pigs());
    let stays = land.freedom(0.05, 0.05);
    land.study.freedom.focus_stays = false;
    for f in land.freedom(0.05, 0.05) {
        let mut prior = land.study.freedom.prior;
        for y in &f.years {
            assert_eq!(y.no_case, 1.0);
            assert!((y.prior - prior).abs() < 1e-12);
            assert!((y.p_free - p_free(prior, y.sensitivity)).abs() < 1e-12);
            assert!(y.bounds[0] <= y.p_free && y.p_free <= y.bounds[1] && y.bounds[0] < y.bounds[1]);
            assert!(y.sensitivity_range[0] < y.sensitivity && y.sensitivity < y.sensitivity_range[1]);
            // A year of 365 days is 0.9993 of a mean year long, and so is its introduction.
            prior = y.p_free * (1.0 - land.study.freedom.introduction_per_year);
            if y.year < 2022 {
                let next = f.years.iter().find(|n| n.year == y.year + 1).expect("years follow one another");
                assert!((next.prior - prior).abs() < 2e-5, "{} {prior}", next.prior);
                prior = next.prior;
            }
        }
    }
    // A focus that stays in a corner nobody looks at keeps its chance: never more free than if placed anew.
    let anew = land.freedom(0.05, 0.05);
    for (a, b) in stays.iter().zip(&anew).flat_map(|(a, b)| a.years.iter().zip(&b.years)) {
        assert_eq!(a.sensitivity, b.sensitivity);
        assert!(a.p_free <= b.p_free + 1e-12, "{} {} {}", a.year, a.p_free, b.p_free);
    }
    assert!(
        stays[0].last().unwrap().p_free < anew[0].last().unwrap().p_free - 1e-4,
        "coverage is uneven here"
    );
}

#[test]
fn a_positive_infected_outside_leaves_an_area_as_it_was_and_one_inside_takes_its_freedom() {
    let without = Land::new(clear_pigs()).freedom(0.0, 0.3);
    let mut with = clear_pigs();
    with.push(young_positive(false, 2021));
    let with = Land::new(with).freedom(0.0, 0.3);
    // The hazard lies in the east alone: that is where the pig was infected, with certainty.
    for (a, b) in without[0].years.iter().zip(&with[0].years) {
        assert_eq!(
            (a.p_free, a.bounds, a.no_case, a.sensitivity),
            (b.p_free, b.bounds, b.no_case, b.sensitivity)
        );
    }
    let east = &with[1].years;
    // A confirmed pig was truly infected with probability 0.987 at this hazard and age.
    assert!(east[3].no_case < 0.02 && east[3].p_free < 0.02, "{} {}", east[3].no_case, east[3].p_free);
    assert!(without[1].years[3].p_free > 0.5);
    assert_eq!(east[2].p_free, without[1].years[2].p_free);
    // The next year starts from the chance of being free again.
    assert!((east[4].prior - 0.2).abs() < 0.01, "{}", east[4].prior);
    // In the year of the positive itself no number of pigs with no visible lesion would do.
    let mut last = clear_pigs();
    last.push(young_positive(false, 2022));
    assert_eq!(Land::new(last).freedom(0.0, 0.3)[1].raise, PigsNeeded::CaseInside);
    // Shot a kilometre from the border, with the hazard on both sides of it: between.
    let mut near = clear_pigs();
    let mut p = young_positive(false, 2021);
    p.easting_m = WEST_M + 11_000.0;
    near.push(p);
    let both = Land::new(near).freedom(0.3, 0.3);
    assert!(both[0].years[3].no_case < 1.0 && both[0].years[3].no_case > both[1].years[3].no_case);
}

/// The pigs asked for, shot and found clear, do what was promised.
#[test]
fn the_pigs_that_would_raise_freedom_do() {
    let mut land = Land::new(clear_pigs());
    land.study.freedom.target = 0.9;
    let before = land.freedom(0.001, 0.001);
    let PigsNeeded::Pigs { cells, parts } = &before[0].raise else { panic!("{:?}", before[0].raise) };
    assert!(before[0].last().unwrap().p_free < 0.9 && !cells.is_empty());
    assert_eq!(parts.iter().map(|p| p.1).sum::<usize>(), cells.len());
    let with = |n: usize| {
        let s = land.layout();
        let next = cells[..n].iter().map(|c| NextPig::record(&s, 24.0, land.grid.centre(*c)));
        let mut after = Land::new(clear_pigs().into_iter().chain(next).collect());
        after.study.freedom.target = 0.9;
        after.freedom(0.001, 0.001)[0].clone()
    };
    let all = with(cells.len());
    assert!(all.last().unwrap().p_free >= 0.9, "{}", all.last().unwrap().p_free);
    assert_eq!(all.raise, PigsNeeded::Reached);
    // Not many more than needed: their time before dispersal, which was left out of the plan, is worth
    // little.
    assert!(with(cells.len() * 4 / 5).last().unwrap().p_free < 0.9);
}

#[test]
fn wider_ranges_of_inputs_give_wider_bounds_and_risk_moves_weight() {
    let mut land = Land::new(clear_pigs());
    let width = |f: &ZoneFreedom| f.last().map(|y| y.bounds[1] - y.bounds[0]).unwrap();
    let stated = land.freedom(0.001, 0.001);
    let f = &mut land.study.freedom;
    (f.prior_range, f.introduction_range, f.design_force_of_infection_range, f.sensitivity_range) =
        (1.0, 1.0, 1.0, 1.0);
    let known = land.freedom(0.001, 0.001);
    assert!(
        width(&stated[0]) > 0.05 && width(&known[0]) < 1e-6,
        "{} {}",
        width(&stated[0]),
        width(&known[0])
    );
    // A prior of an area's own goes before the study's.
    land.records.zones[0].prior_free = Some(0.9);
    let own = land.freedom(0.001, 0.001);
    assert!(own[0].last().unwrap().p_free > known[0].last().unwrap().p_free);
    assert_eq!(own[1], known[1]);
}

#[test]
fn next_samples_add_what_they_say_and_gaps_close() {
    let land = Land::new(clear_pigs());
    let s = land.layout();
    let all = coverages(&s);
    let window = pignut::internals::assess::coverage::study_window(&s);
    let next = NextPig::new(&s, 24.0, &[window]);
    let (judged, _) = judged_land(&s);
    let reachable: Vec<bool> = judged.iter().map(|j| *j > 0.0).collect();
    let spots = next_spots(&s, &all.recent.sensitivity, &judged, &reachable, &next, 15, &SampleAim::Coverage);
    assert_eq!(spots.len(), 15);
    // Gains fall, and the mean sensitivity is the sum of what was added.
    assert!(spots.windows(2).all(|w| w[0].gain_ha >= w[1].gain_ha - 1e-9));
    let total: f64 = judged.iter().sum::<f64>() * land.grid.cell_area_ha();
    let start = judged.iter().zip(&all.recent.sensitivity).map(|(j, c)| j * c).sum::<f64>()
        * land.grid.cell_area_ha();
    let end = start + spots.iter().map(|p| p.gain_ha).sum::<f64>();
    assert!((end / total - spots[14].mean_sensitivity).abs() < 1e-9);
    // Shot and found clear they do it: the plan leaves out their time before dispersal only.
    let more = spots.iter().map(|p| NextPig::record(&s, 24.0, land.grid.centre(p.cell)));
    let after = Land::new(clear_pigs().into_iter().chain(more).collect());
    let seen = coverages(&after.layout()).recent.sensitivity;
    let reached = judged.iter().zip(&seen).map(|(j, c)| j * c).sum::<f64>() * land.grid.cell_area_ha();
    assert!(reached >= end - 1e-3 * total && reached < end + 0.02 * total, "{reached} {end} {total}");
    // Where active and clear are equally open, more is to be settled than where it is all but known.
    let mut chances = vec![0.01; land.grid.cells()];
    let open = land.grid.cell(10, 10);
    chances[open] = 0.4;
    let aim = SampleAim::Standing(chances);
    let settle = next_spots(&s, &all.recent.sensitivity, &judged, &reachable, &next, 1, &aim);
    let (r, c) = land.grid.row_col(settle[0].cell);
    assert!(r.abs_diff(10) <= 1 && c.abs_diff(10) <= 1, "{r} {c}");
    // One cell: the greedy count is the formula's.
    let nobody = vec![0.0; land.grid.cells()];
    let n = pigs_to_target(&land.grid, &next, &[open], &nobody, 0.95, 1000).map(|n| n as u64);
    assert_eq!(n, pigs_needed(0.95, 0.0, next.sensitivity(0)));
    assert_eq!(pigs_to_target(&land.grid, &next, &[open], &nobody, 0.95, 3), None);
    // Gaps hold every cell below the target, once a level, and no other.
    let found = gaps(&s, &all.recent);
    for below in [0.95, 0.5 * 0.95] {
        let mut cells: Vec<usize> =
            found.iter().filter(|g| g.below == below).flat_map(|g| g.cells.clone()).collect();
        cells.sort_unstable();
        let wanted: Vec<usize> = (0..land.grid.cells())
            .filter(|c| judged[*c] > 0.0 && all.recent.sensitivity[*c] < below)
            .collect();
        assert_eq!(cells, wanted);
    }
    let area: f64 = found.iter().filter(|g| g.below == 0.95).map(|g| g.area_ha).sum();
    assert!(
        area <= total
            && found.iter().all(|g| g.sensitivity < g.below && g.sensitivity_lowest <= g.sensitivity)
    );
}
