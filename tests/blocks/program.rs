//! The integer program against exhaustive search, greedy choice and textbook knapsacks.

use super::slate;
use pignut::internals::assess::priorities::candidates::Candidates;
use pignut::internals::assess::priorities::choice_error::ChoiceError;
use pignut::internals::assess::priorities::constraints::Constraints;
use pignut::internals::assess::priorities::decide;
use pignut::internals::assess::priorities::program::Program;
use pignut::internals::study::priorities::Priorities;
use proptest::prelude::*;

/// The solver works to 1e-7 of the largest gain, and weighs cost at 1e-6 of it to settle equal gains.
const GAIN_REL: f64 = 3e-6;

fn gains(s: &Candidates) -> Vec<f64> {
    s.candidates.iter().map(|c| c.expected_removed_ha()).collect()
}

fn value(gain: &[f64], chosen: &[bool]) -> f64 {
    gain.iter().zip(chosen).filter(|(_, x)| **x).map(|(g, _)| g).sum()
}

/// Whether a set keeps to the study's table, read straight from the table.
fn keeps(s: &Candidates, keys: &Priorities, budget: f64, x: &[bool]) -> bool {
    let named = |name: &str| -> Vec<usize> {
        (0..s.candidates.len())
            .filter(|i| s.candidates[*i].id() == name || s.candidates[*i].block_id == name)
            .collect()
    };
    let block = |id: &str| s.blocks.iter().position(|b| b == id).unwrap();
    let treated = |b: usize| x[2 * b] || x[2 * b + 1];
    s.cost_of(x) <= budget
        && keys.season_area_ha.is_none_or(|a| s.area_of(x) <= a + 1e-9)
        && keys.never.iter().all(|n| named(n).iter().all(|i| !x[*i]))
        && keys.must.iter().all(|n| named(n).iter().any(|i| x[*i]))
        && (keys.season_blocks.is_empty()
            || (0..s.blocks.len()).all(|b| !treated(b) || keys.season_blocks.contains(&s.blocks[b])))
        && keys.together.iter().all(|g| {
            (0..2).all(|host| {
                let states: Vec<bool> = g.iter().map(|id| x[2 * block(id) + host]).collect();
                states.iter().all(|t| *t == states[0])
            })
        })
        && keys.min_treated_share.iter().all(|(zone, share)| {
            let area = s.areas.iter().find(|a| a.id == *zone).unwrap();
            let all: f64 = area.blocks.iter().map(|b| b.1).sum();
            let done: f64 = area.blocks.iter().filter(|b| treated(b.0)).map(|b| b.1).sum();
            done >= share * all - 1e-9
        })
}

/// Largest value of all 2^n sets that keep to the table; `None` when none does.
fn exhaustive(s: &Candidates, keys: &Priorities, budget: f64) -> Option<f64> {
    let gain = gains(s);
    let n = gain.len();
    (0..1usize << n)
        .map(|mask| (0..n).map(|i| mask >> i & 1 == 1).collect::<Vec<bool>>())
        .filter(|x| keeps(s, keys, budget, x))
        .map(|x| value(&gain, &x))
        .max_by(f64::total_cmp)
}

/// By score until the next does not fit, passing over what does not fit.
fn greedy(s: &Candidates, budget: f64) -> Vec<bool> {
    let gain = gains(s);
    let mut order: Vec<usize> = (0..gain.len()).collect();
    let score = |i: usize| gain[i] / s.candidates[i].cost.max(1e-9);
    order.sort_by(|a, b| score(*b).total_cmp(&score(*a)));
    let mut x = vec![false; gain.len()];
    let mut left = budget;
    for i in order {
        if s.candidates[i].cost <= left {
            left -= s.candidates[i].cost;
            x[i] = true;
        }
    }
    x
}

/// Four or five blocks with costs and gains that often tie, and a table of terms.
fn cases() -> impl Strategy<Value = (Candidates, Priorities, f64)> {
    let block = (1u32..9, 0u32..12, 1u32..9, 0u32..12);
    let terms = (any::<u16>(), 0.0..1.0f64, 0usize..3);
    (prop::collection::vec(block, 4..6), terms, 0.0..1.2f64).prop_map(
        |(blocks, (bits, share, area), money)| {
            let samples: Vec<[Vec<f32>; 2]> =
                blocks.iter().map(|b| [vec![b.1 as f32 * 10.0], vec![b.3 as f32 * 10.0]]).collect();
            let rows: Vec<(f64, &[f32], f64, &[f32])> = blocks
                .iter()
                .zip(&samples)
                .map(|(b, d)| {
                    (1000.0 * f64::from(b.0), d[0].as_slice(), 1000.0 * f64::from(b.2), d[1].as_slice())
                })
                .collect();
            let s = slate(&rows);
            let n = s.blocks.len();
            let mut keys = Priorities::default();
            let bit = |k: usize| bits >> k & 1 == 1;
            if bit(0) {
                keys.must = vec![format!("B{}", (bits >> 8) as usize % n)];
            }
            if bit(1) {
                keys.never = vec![format!("B{}:ferret", (bits >> 9) as usize % n)];
            }
            if bit(2) && bit(3) {
                keys.together = vec![vec!["B0".into(), "B2".into()]];
            }
            if bit(4) {
                keys.min_treated_share.insert(if bit(5) { "west".into() } else { "east".into() }, share);
            }
            if bit(6) && bit(7) {
                keys.season_blocks = (0..n - 1).map(|b| format!("B{b}")).collect();
            }
            if area > 0 {
                keys.season_area_ha = Some(1000.0 * (area + 1) as f64);
            }
            let all: f64 = s.candidates.iter().map(|c| c.cost).sum();
            (s, keys, (money * all / 500.0).round() * 500.0)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// The known optimum: every set there is.
    #[test]
    fn the_program_finds_what_exhaustive_search_finds((s, keys, budget) in cases()) {
        let wanted = exhaustive(&s, &keys, budget);
        let found = Constraints::resolve(&s, &keys).and_then(|terms| {
            let gain = gains(&s);
            let set = Program { slate: &s, terms: &terms }.at(&gain, budget)?;
            Ok((value(&gain, &set.chosen), set))
        });
        match (wanted, found) {
            (Some(best), Ok((got, set))) => {
                prop_assert!(keeps(&s, &keys, budget, &set.chosen), "{keys:?} {budget} {:?}", set.chosen);
                prop_assert!(set.proven);
                let largest = gains(&s).iter().copied().fold(1.0, f64::max);
                prop_assert!((got - best).abs() <= GAIN_REL * largest, "{got} {best} {keys:?} {budget}");
            }
            (None, Err(e)) => prop_assert!(!matches!(e, ChoiceError::Solver(_)), "{e}"),
            (w, f) => prop_assert!(false, "exhaustive {w:?}, program {f:?}, {keys:?}, {budget}"),
        }
    }

    /// Greedy is a set like any other: it never beats the best.
    #[test]
    fn greedy_never_beats_the_program((s, _, budget) in cases()) {
        let keys = Priorities::default();
        let terms = Constraints::resolve(&s, &keys).unwrap();
        let gain = gains(&s);
        let best = Program { slate: &s, terms: &terms }.at(&gain, budget).unwrap();
        let simple = greedy(&s, budget);
        prop_assert!(s.cost_of(&simple) <= budget);
        prop_assert!(value(&gain, &simple) <= value(&gain, &best.chosen) + GAIN_REL * 120.0);
    }

    /// More money never removes less, whatever the terms; the frontier says so of itself.
    #[test]
    fn budgets_nest_and_the_frontier_never_falls((s, keys, budget) in cases()) {
        if exhaustive(&s, &keys, budget).is_none() {
            return Ok(());
        }
        let d = decide(&s, &Priorities { budget: Some(budget), ..keys.clone() }).unwrap();
        prop_assert!(d.frontier.iter().any(|p| p.budget == budget));
        for p in &d.frontier {
            prop_assert!(p.cost <= p.budget + 1e-9);
            let mut x = vec![false; s.candidates.len()];
            p.operations.iter().for_each(|i| x[*i] = true);
            prop_assert!(keeps(&s, &keys, p.budget, &x));
            prop_assert!((p.removed_ha.mean + p.residual_ha.mean - d.active_ha.mean).abs() < 1e-3);
        }
        for w in d.frontier.windows(2) {
            prop_assert!(w[0].budget < w[1].budget);
            prop_assert!(w[0].removed_ha.mean <= w[1].removed_ha.mean + 1e-9);
        }
        // Each point is the optimum of its budget, and the last is all that the terms allow.
        let at = d.frontier.iter().find(|p| p.budget == budget).unwrap();
        prop_assert!((at.removed_ha.mean - d.removed_ha.mean).abs() < 1e-3);
        let mut chosen = d.chosen();
        let score = |i: &usize| d.figures[*i].score.unwrap_or(f64::INFINITY);
        prop_assert!(chosen.windows(2).all(|w| score(&w[0]) >= score(&w[1])), "what buys most is done first");
        chosen.sort_unstable();
        prop_assert_eq!(&at.operations, &chosen);
    }
}

/// Martello & Toth's and Kreher & Stinson's small knapsacks as collected under the names P01 and P07 (figures
/// from memory; exhaustive search confirms the optimum of both in this test).
#[test]
fn textbook_knapsacks_have_their_known_optimum() {
    let p01 = (
        vec![23., 31., 29., 44., 53., 38., 63., 85., 89., 82.],
        vec![92., 57., 49., 68., 60., 43., 67., 84., 87., 72.],
        165.0,
        309.0,
    );
    let p07 = (
        vec![70., 73., 77., 80., 82., 87., 90., 94., 98., 106., 110., 113., 115., 118., 120.],
        vec![135., 139., 149., 150., 156., 163., 173., 184., 192., 201., 210., 214., 221., 229., 240.],
        750.0,
        1458.0,
    );
    for (weights, profits, room, optimum) in [p01, p07] {
        let active: Vec<[f32; 1]> = profits.iter().map(|p: &f64| [*p as f32]).collect();
        let nothing = [0.0f32];
        let rows: Vec<(f64, &[f32], f64, &[f32])> =
            weights.iter().zip(&active).map(|(w, a)| (*w, a.as_slice(), 1e6, nothing.as_slice())).collect();
        let s = slate(&rows);
        let d = decide(&s, &Priorities { budget: Some(room), ..Priorities::default() }).unwrap();
        assert!((d.removed_ha.mean - optimum).abs() < 1e-3, "{} {optimum}", d.removed_ha.mean);
        assert!(d.cost <= room && d.proven);
        let best = (0..1usize << weights.len())
            .filter(|m| {
                (0..weights.len()).filter(|i| m >> i & 1 == 1).map(|i| weights[i]).sum::<f64>() <= room
            })
            .map(|m| (0..weights.len()).filter(|i| m >> i & 1 == 1).map(|i| profits[i]).sum::<f64>())
            .fold(0.0, f64::max);
        assert_eq!(best, optimum);
    }
}

/// Of sets that remove the same the cheaper is taken; the budget may be spent to the last unit.
#[test]
fn equal_gains_go_to_the_cheaper_and_the_budget_can_be_spent_whole() {
    let s = slate(&[
        (5000.0, &[30.0], 9e6, &[0.0]),
        (4999.0, &[30.0], 9e6, &[0.0]),
        (7000.0, &[40.0], 9e6, &[0.0]),
    ]);
    let set = |budget: f64| {
        let d = decide(&s, &Priorities { budget: Some(budget), ..Priorities::default() }).unwrap();
        d.chosen().iter().map(|i| s.candidates[*i].id()).collect::<Vec<_>>()
    };
    assert_eq!(set(5000.0), ["B1:possum"]);
    // In the order of what their money buys: 30/4999 is more than 30/5000, and both are more than 40/7000.
    assert_eq!(set(11_999.0), ["B1:possum", "B2:possum"]);
    assert_eq!(set(11_998.0), ["B1:possum", "B0:possum"]);
    assert!(set(0.0).is_empty());
}

/// Money left over goes to whatever still fits; what removes next to nothing for it is said to fill the
/// budget.
#[test]
fn what_only_uses_up_money_is_said_to_fill_the_budget() {
    let s = slate(&[
        (1000.0, &[50.0], 9e6, &[0.0]),
        (1000.0, &[40.0], 9e6, &[0.0]),
        (900.0, &[1.0], 9e6, &[0.0]),
    ]);
    let fills = |budget: f64, must: &[&str]| {
        let must = must.iter().map(|m| m.to_string()).collect();
        let d = decide(&s, &Priorities { budget: Some(budget), must, ..Priorities::default() }).unwrap();
        [0, 2, 4].map(|i| (d.figures[i].chosen, d.figures[i].fills))
    };
    assert_eq!(fills(1900.0, &[]), [(true, false), (false, false), (true, true)]);
    assert_eq!(fills(1900.0, &["B2:possum"]), [(true, false), (false, false), (true, false)]);
    assert_eq!(fills(2000.0, &[]), [(true, false), (true, false), (false, false)]);
}

/// Draws that disagree leave the choice open; near blocks that change places are named together.
#[test]
fn disagreeing_draws_are_shown_and_near_blocks_are_named_together() {
    let alternating: Vec<f32> = (0..200).map(|d| if d % 2 == 0 { 60.0 } else { 0.0 }).collect();
    let opposite: Vec<f32> = alternating.iter().map(|a| 60.0 - a).collect();
    let (sure, none) = (vec![90.0f32; 200], vec![0.0f32; 200]);
    // Blocks lie 4 km apart in a row: 0 and 1 are near, 3 is far from both and sure.
    let s = slate(&[
        (1000.0, &alternating, 9e6, &none),
        (1000.0, &opposite, 9e6, &none),
        (1000.0, &none, 9e6, &none),
        (1000.0, &sure, 9e6, &none),
    ]);
    let d = decide(&s, &Priorities { budget: Some(2000.0), ..Priorities::default() }).unwrap();
    let p = |b: usize| d.figures[2 * b].p_in_best_set.unwrap();
    assert_eq!([p(0), p(1), p(2), p(3)], [0.5, 0.5, 0.0, 1.0]);
    assert_eq!(d.ties, vec![vec![0, 2]]);
    assert_eq!([d.figures[0].tie, d.figures[2].tie, d.figures[6].tie], [Some(0), Some(0), None]);
    assert_eq!([0, 2, 4, 6].map(|i| d.figures[i].rank), [Some(2), Some(3), Some(4), Some(1)]);
    // 2000 of 4000 money's worth: the second operation sets the price, 30 ha for 1000.
    assert!((d.exchange_ha_per_money.unwrap() - 0.03).abs() < 1e-12);
    let far = decide(&s, &Priorities { tie_distance_m: 3999.0, ..Priorities::default() }).unwrap();
    assert!(far.ties.is_empty(), "blocks further apart than the distance are never named together");
}

#[test]
fn terms_that_cannot_be_met_say_what_and_why() {
    let mut s = slate(&[(3000.0, &[10.0], 2000.0, &[5.0]), (4000.0, &[20.0], 2500.0, &[8.0])]);
    s.candidates[2].feasible = false;
    s.candidates[3].feasible = false;
    let said = |change: &dyn Fn(&mut Priorities)| {
        let mut keys = Priorities::default();
        change(&mut keys);
        decide(&s, &keys).expect_err("it cannot be met").to_string()
    };
    let text = said(&|k| k.must = vec!["B7".into()]);
    assert!(text.contains("priorities.must") && text.contains("\"B7\"") && text.contains("B0, B1"), "{text}");
    let text = said(&|k| k.never = vec!["B0:stoat".into()]);
    assert!(text.contains("priorities.never") && text.contains("B0:stoat"), "{text}");
    let text = said(&|k| k.must = vec!["B1".into()]);
    assert!(text.contains("blocks file says that no operation"), "{text}");
    let text = said(&|k| {
        k.must = vec!["B0:possum".into()];
        k.season_blocks = vec!["B1".into()];
    });
    assert!(text.contains("season_blocks"), "{text}");
    let text = said(&|k| {
        k.must = vec!["B0".into()];
        k.together = vec![vec!["B0".into(), "B1".into()]];
    });
    assert!(text.contains("together with B1"), "{text}");
    let text = said(&|k| {
        k.must = vec!["B0:possum".into()];
        k.budget = Some(2999.0);
    });
    assert!(text.contains("2999") && text.contains("3000"), "{text}");
    let text = said(&|k| {
        k.min_treated_share.insert("east".into(), 0.5);
    });
    assert!(text.contains("east is 0.5") && text.contains("0.00"), "{text}");
    let text = said(&|k| {
        k.min_treated_share.insert("north".into(), 0.5);
    });
    assert!(text.contains("north") && text.contains("west, east"), "{text}");
    let text = said(&|k| {
        k.must = vec!["B0:possum".into(), "B0:ferret".into()];
        k.season_area_ha = Some(1500.0);
    });
    assert!(text.contains("season_area_ha = 1500"), "{text}");
    // The cheapest way to meet a must without a host is found, and the budget assumed covers it.
    let d = decide(&s, &Priorities { must: vec!["B0".into()], budget_share: 0.0, ..Priorities::default() })
        .unwrap();
    assert_eq!((d.budget, d.cost), (2000.0, 2000.0));
}

/// The bound: 60 blocks, two hosts, 1000 draws, frontier and best sets in under two seconds on two
/// cores. Timed loosely here, since tests share the machine and may be built without optimisation.
#[test]
fn sixty_blocks_are_decided_in_seconds() {
    let mut state = 7u64;
    let mut random = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 40) as f32 / (1u64 << 24) as f32
    };
    let samples: Vec<[Vec<f32>; 2]> = (0..60)
        .map(|_| {
            let level = random();
            [0.8, 0.2].map(|share: f32| {
                (0..1000).map(|_| (random() < level) as u8 as f32 * 900.0 * share * random()).collect()
            })
        })
        .collect();
    let costs: Vec<(f64, f64)> = (0..60)
        .map(|_| {
            (
                f64::from(20_000.0 + 60_000.0 * random()).round(),
                f64::from(9_000.0 + 20_000.0 * random()).round(),
            )
        })
        .collect();
    let rows: Vec<(f64, &[f32], f64, &[f32])> =
        samples.iter().zip(&costs).map(|(d, c)| (c.0, d[0].as_slice(), c.1, d[1].as_slice())).collect();
    let s = slate(&rows);
    let start = std::time::Instant::now();
    let d = decide(&s, &Priorities::default()).unwrap();
    let seconds = start.elapsed().as_secs_f64();
    println!("60 blocks decided in {seconds:.2} s");
    assert!(d.proven && d.samples_solved == 200);
    assert!(seconds < 20.0, "{seconds} s");
}
