//! The studies behind the evidence page: knobs that break assumptions, scores of areas and pockets, merging.

mod attribution;
mod page;
mod prior_draw;
mod shares;

use crate::studies::misspecification::{ASSUMPTIONS, Assumption, NEUTRAL};
use crate::studies::plain_practice::{read_answers, score_method};
use crate::studies::priors::{FORMER, PRESENT, PRIORS};
use crate::studies::shard::Shard;
use crate::studies::study_areas::{Scored, Size, scored};
use crate::studies::{misspecification, page as evidence_page, plain_practice, priors};
use geo::{Contains, Coord};
use pignut::internals::records::{DAYS_PER_MONTH, DAYS_PER_YEAR, day_number};
use pignut::internals::score::Score;
use pignut::internals::score::cells::scored_cells;
use pignut::internals::score::pool::pool;
use pignut::internals::simulate::examine::SimulatedPig;
use pignut::internals::simulate::force_of_infection::square_mean_per_year;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::study::study_file::Study;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// As small as a district can be and still hold areas, pockets and positives; chains far too short to be right.
const TINY: Size = Size { extent_km: 16.0, pigs: 260, warmup: 20, trajectories: 20 };
const SEED: u64 = 5;

/// Litters of the records: pigs born at the same moment.
fn litters(pigs: &[SimulatedPig]) -> Vec<Vec<&SimulatedPig>> {
    let mut by_birth: BTreeMap<i64, Vec<&SimulatedPig>> = BTreeMap::new();
    for p in pigs {
        let born = day_number(p.killed) + 0.5 - p.truth.age_months * DAYS_PER_MONTH;
        by_birth.entry((born * 1e6).round() as i64).or_default().push(p);
    }
    by_birth.into_values().filter(|l| l.len() > 1).collect()
}

/// Pairs of litter mates in the records, those with the same end, and those shot in one week.
fn mates(pigs: &[SimulatedPig]) -> (f64, f64, f64) {
    let (mut pairs, mut alike, mut together) = (0.0, 0.0, 0.0);
    for litter in litters(pigs) {
        for (i, a) in litter.iter().enumerate() {
            for b in &litter[i + 1..] {
                pairs += 1.0;
                alike += f64::from(u8::from(a.truth.infection.is_some() == b.truth.infection.is_some()));
                let apart = (day_number(a.killed) - day_number(b.killed)).abs();
                together += f64::from(u8::from(apart < 7.0));
            }
        }
    }
    (pairs, alike, together)
}

/// Along its own path a pig's chance of infection is that of the catalytic model whether or not it shares its
/// litter's lot; what mates go through becomes alike. One strong pocket fills the land, so that place hardly matters.
#[test]
fn litters_share_their_lot_and_no_pig_is_the_more_at_risk() {
    let with = |correlation: f64| {
        let (mut infected, mut n, mut expected) = (0.0, 0.0, 0.0);
        let (mut pairs, mut alike, mut together) = (0.0, 0.0, 0.0);
        for seed in [61, 62] {
            let mut s = Scenario {
                extent_km: 16.0,
                pigs_target: 1_000,
                years: 4,
                sentinels: 0,
                ..Scenario::fresh(seed)
            };
            // The land hangs on the seed alone.
            let d = simulate(&Scenario { pigs_target: 10, ..s.clone() }).unwrap();
            let middle = geo::BoundingRect::bounding_rect(&d.land).unwrap().center();
            s.foci = Some(vec![pignut::internals::simulate::force_of_infection::Focus {
                id: "F1".into(),
                easting_m: middle.x.round(),
                northing_m: middle.y.round(),
                radius_m: 1e6,
                peak_per_year: 0.5,
                start_day: day_number(d.first_day) - 40.0 * DAYS_PER_YEAR,
                growth_years: 1.0,
                decline: None,
            }]);
            s.litter_correlation = correlation;
            let d = simulate(&s).unwrap();
            for p in &d.pigs {
                let exposed =
                    (day_number(p.killed) + 0.5 - p.truth.exposed_from_day).max(0.0) / DAYS_PER_YEAR;
                expected += 1.0 - (-0.5 * exposed).exp();
                infected += f64::from(u8::from(p.truth.infection.is_some()));
                n += 1.0;
            }
            let (a, b, c) = mates(&d.pigs);
            (pairs, alike, together) = (pairs + a, alike + b, together + c);
        }
        (infected / n, expected / n, alike / pairs, together / pairs, pairs)
    };
    let (alone, shared) = (with(0.0), with(1.0));
    // Four standard errors of a share of 2000; litters of up to five or so as good as one pig: times √3.
    for (infected, expected, ..) in [alone, shared] {
        assert!(
            (infected - expected).abs() < 4.0 * 3f64.sqrt() * 0.5 / 2000f64.sqrt(),
            "{infected}, {expected}"
        );
    }
    assert!(alone.4 > 100.0 && shared.4 > 100.0, "pairs of mates: {} and {}", alone.4, shared.4);
    assert!(shared.2 > alone.2 + 0.2, "alike: {} alone, {} with a shared lot", alone.2, shared.2);
    assert!(shared.3 > 2.0 * alone.3, "shot together: {} alone, {} with a shared lot", alone.3, shared.3);
}

/// Weibull of mean 4 km and shape 0.5: P(beyond 20 km) = exp(−√(20·Γ(3)/4)) = 0.0423; exponential: 0.0067.
#[test]
fn heavier_tailed_dispersal_keeps_its_mean() {
    let mut all = Vec::new();
    for seed in 71..75 {
        all.extend(
            simulate(&Scenario { dispersal_shape: 0.5, ..Scenario::fresh(seed) }).unwrap().dispersals_m,
        );
    }
    let n = all.len() as f64;
    assert!(n > 4_000.0);
    let beyond = all.iter().filter(|d| **d > 20_000.0).count() as f64 / n;
    assert!((beyond - 0.0423).abs() < 4.0 * (0.0423 * 0.9577 / n).sqrt(), "{beyond} beyond 20 km");
    // S.d. of a Weibull of shape 0.5 is √5 times its mean.
    let mean = all.iter().sum::<f64>() / n;
    assert!((mean - 4_000.0).abs() < 4.0 * 5f64.sqrt() * 4_000.0 / n.sqrt(), "mean {mean}");
}

#[test]
fn smaller_pockets_keep_their_places_and_totals() {
    let (a, b) = (Scenario::fresh(81), Scenario { pocket_radius_scale: 0.5, ..Scenario::fresh(81) });
    let (a, b) = (simulate(&a).unwrap(), simulate(&b).unwrap());
    assert_eq!(a.foci.len(), b.foci.len());
    for (x, y) in a.foci.iter().zip(&b.foci) {
        assert_eq!((x.easting_m, x.northing_m, x.start_day), (y.easting_m, y.northing_m, y.start_day));
        assert!((y.radius_m - 0.5 * x.radius_m).abs() <= 0.5);
        let total =
            |f: &pignut::internals::simulate::force_of_infection::Focus| f.peak_per_year * f.radius_m.powi(2);
        // The radius is whole metres, the peak thousandths.
        assert!((total(y) / total(x) - 1.0).abs() < 0.01);
    }
    assert_eq!(a.operations.len(), b.operations.len());
}

#[test]
fn a_scenario_written_before_a_knob_was_there_is_neutral_in_it() {
    let mut old = serde_json::to_value(Scenario::fresh(3)).unwrap();
    for knob in ["dispersal_shape", "litter_correlation", "pocket_radius_scale"] {
        assert!(old.as_object_mut().unwrap().remove(knob).is_some());
    }
    assert_eq!(serde_json::from_value::<Scenario>(old).unwrap(), Scenario::fresh(3));
    let message =
        simulate(&Scenario { litter_correlation: 1.5, ..Scenario::fresh(3) }).unwrap_err().to_string();
    assert_eq!(message, "scenario key litter_correlation = 1.5 is not possible; write 0 to 1");
}

#[test]
fn each_assumption_is_broken_alone() {
    let neutral = TINY.neutral(SEED);
    for a in ASSUMPTIONS {
        let mut s = neutral.clone();
        (a.change)(&mut s);
        let (x, y) = (serde_json::to_value(&neutral).unwrap(), serde_json::to_value(&s).unwrap());
        let changed = x.as_object().unwrap().iter().filter(|(k, v)| y[k.as_str()] != **v).count();
        assert_eq!(changed, usize::from(a.name != NEUTRAL), "{}", a.name);
        s.check().unwrap();
    }
}

/// Areas and pockets of a score, recounted from the truth with the district's own outlines.
fn recount(run: &Scored) {
    let scenario = TINY.neutral(SEED);
    let d = simulate(&scenario).unwrap();
    let end = day_number(d.as_of) + 1.0;
    let from = end - 12.0 * DAYS_PER_MONTH;
    let hazard = |foci: &[pignut::internals::simulate::force_of_infection::Focus], x: f64, y: f64| {
        square_mean_per_year(foci, x - 500.0, y - 500.0, 1_000.0, 750.0, from, end)
    };
    let cells = scored_cells(&run.result(), &run.truth()).unwrap();
    assert_eq!(cells.len() as u64, run.score.cells);
    assert_eq!(cells.iter().filter(|c| c.active).count() as u64, run.score.active_cells);
    assert_eq!(run.score.areas.len(), d.zones.len());
    for (area, zone) in run.score.areas.iter().zip(&d.zones) {
        assert_eq!(area.zone_id, zone.id);
        let inside =
            cells.iter().filter(|c| zone.outline.contains(&Coord { x: c.easting_m, y: c.northing_m }));
        let any = inside.clone().any(|c| hazard(&d.foci, c.easting_m, c.northing_m) > 0.05);
        assert_eq!(area.active, any, "{}", zone.id);
        // Some cell of the area is active at least as probably as any one of its cells.
        let most = inside.map(|c| c.p_active).fold(0.0, f64::max);
        assert!((0.0..=1.0).contains(&area.p_active_any) && most > 0.0);
    }
    assert!(!run.score.foci.is_empty(), "a district has a pocket that alone makes cells active");
    for f in &run.score.foci {
        let others: Vec<_> = d.foci.iter().filter(|x| x.id != f.id).cloned().collect();
        let own: Vec<f64> = cells
            .iter()
            .filter(|c| c.active && hazard(&others, c.easting_m, c.northing_m) <= 0.05)
            .map(|c| c.p_active)
            .collect();
        assert_eq!(f.cells, own.len() as u64);
        assert_eq!(f.p_active_most, own.iter().copied().fold(0.0, f64::max));
        assert!((f.p_active_mean - own.iter().sum::<f64>() / own.len() as f64).abs() < 1e-12);
    }
    let text = run.score.to_string();
    assert!(
        text.contains("Probability that some cell of an area is active") && text.contains("True foci"),
        "{text}"
    );
    let twice = pool(&[run.score.clone(), run.score.clone()]);
    assert_eq!((twice.areas.len(), twice.foci.len()), (2 * run.score.areas.len(), 2 * run.score.foci.len()));
    // A score written before areas and pockets were scored can still be read.
    let mut old = serde_json::to_value(&run.score).unwrap();
    old.as_object_mut().unwrap().retain(|k, _| k != "areas" && k != "foci");
    assert!(serde_json::from_value::<Score>(old).unwrap().areas.is_empty());
}

fn table(path: &Path) -> Vec<csv::StringRecord> {
    csv::Reader::from_path(path).unwrap().records().map(|r| r.unwrap()).collect()
}

/// Both studies end to end at a tiny size: shares, merging, resuming, recounting; figures are those of the score.
#[test]
fn both_studies_run_in_shares_and_merge() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path();
    let two: Vec<Assumption> = ASSUMPTIONS
        .iter()
        .filter(|a| [NEUTRAL, "ages-high"].contains(&a.name))
        .map(|a| Assumption { name: a.name, told: a.told, change: a.change })
        .collect();
    misspecification::share_of(out, "1/2".parse().unwrap(), &TINY, &[SEED], &two).unwrap();
    let early = misspecification::merge(out).unwrap_err();
    assert!(early.contains("wrong-assumptions there are the shares 1/2"), "{early}");
    misspecification::share_of(out, "2/2".parse().unwrap(), &TINY, &[SEED], &two).unwrap();
    misspecification::merge(out).unwrap();

    let run = scored(out, NEUTRAL, &TINY.neutral(SEED), &TINY).unwrap();
    recount(&run);
    let rows = table(&out.join("wrong-assumptions.csv"));
    let find = |name: &str, measure: &str| rows.iter().find(|r| &r[0] == name && &r[1] == measure).unwrap();
    let brier: f64 = find(NEUTRAL, "brier")[3].parse().unwrap();
    assert!((brier - run.score.brier_sum / run.score.cells as f64).abs() < 1e-12);
    let (own, difference) = (&find("ages-high", "brier")[3], &find("ages-high", "brier")[6]);
    let (own, difference): (f64, f64) = (own.parse().unwrap(), difference.parse().unwrap());
    assert!((own - brier - difference).abs() < 1e-12 && difference != 0.0);
    let page = std::fs::read_to_string(out.join("wrong-assumptions.md")).unwrap();
    for part in ["## Cells", "## Positive pigs", "## Chance that an area is active", "ages 3 months too high"]
    {
        assert!(page.contains(part), "{part} in {page}");
    }

    // The second study takes the neutral district as it stands.
    let manifest = run.result().join("manifest.json");
    let before = std::fs::metadata(&manifest).unwrap().modified().unwrap();
    plain_practice::share_of(out, Shard::ALL, &TINY, &[SEED]).unwrap();
    assert_eq!(std::fs::metadata(&manifest).unwrap().modified().unwrap(), before);
    let missing = plain_practice::merge_of(out, &TINY, &[SEED]).unwrap_err();
    assert!(missing.contains("answers.csv is missing; run scripts/plain-practice"), "{missing}");
    let plain_folder = run.folder.join("plain");
    let records = table(&plain_folder.join("records.csv"));
    let wild = simulate(&TINY.neutral(SEED)).unwrap().pigs.iter().filter(|p| p.released_on.is_none()).count();
    assert_eq!(records.len(), wild);

    let cells = scored_cells(&run.result(), &run.truth()).unwrap();
    let says = |of: &dyn Fn(usize) -> String| {
        let lines: Vec<String> =
            (0..cells.len()).map(|i| format!("knowing,{},{}\n", cells[i].cell_id, of(i))).collect();
        std::fs::write(
            plain_folder.join("answers.csv"),
            format!("method,cell_id,score,p_active\n{}", lines.concat()),
        )
        .unwrap();
    };
    says(&|i| format!("{0},{0}", u8::from(cells[i].active)));
    plain_practice::merge_of(out, &TINY, &[SEED]).unwrap();
    let rows = table(&out.join("plain-practice.csv"));
    let knowing = rows.iter().find(|r| &r[0] == "knowing").unwrap();
    assert_eq!((&knowing[2], &knowing[3]), ("1", "0"));
    let own = rows.iter().find(|r| &r[0] == "p_active").unwrap();
    let auc: f64 = own[2].parse().unwrap();
    assert!((auc - run.score.auc.unwrap()).abs() < 1e-12);
    // The simple rivals are those of the score, and state no probability.
    let smoothed = rows.iter().find(|r| &r[0] == "kernel-smoothed prevalence, all years").unwrap();
    let rival = run.score.rivals.iter().find(|r| {
        r.name.starts_with("kernel") && r.window == pignut::internals::score::baselines::BaselineWindow::All
    });
    assert_eq!((smoothed[2].parse().ok(), &smoothed[3]), (rival.unwrap().auc, ""));

    says(&|i| if i == 1 { "0.5,1.5".into() } else { "0.5,0.5".into() });
    let fault = read_answers(&plain_folder.join("answers.csv"), &cells).unwrap_err();
    assert!(fault.contains("answers.csv row 3: p_active 1.5 is no probability"), "{fault}");
    says(&|i| if i == 1 { "high,".into() } else { "0.5,".into() });
    let fault = read_answers(&plain_folder.join("answers.csv"), &cells).unwrap_err();
    assert!(fault.contains("answers.csv row 3, field 3: \"high\" is not a finite number"), "{fault}");
    says(&|_| "0.5,".into());
    let answers = read_answers(&plain_folder.join("answers.csv"), &cells).unwrap();
    let active: Vec<bool> = cells.iter().map(|c| c.active).collect();
    let ranked = score_method(&answers[0], &active);
    assert_eq!((ranked.auc, ranked.brier, ranked.log_score), (Some(0.5), None, None));
    assert!(read_answers(&plain_folder.join("answers.csv"), &cells[1..]).unwrap_err().contains("is no cell"));
    let mut more = cells.clone();
    more.push(pignut::internals::score::cells::ScoredCell { cell_id: "x".into(), ..cells[0].clone() });
    assert!(
        read_answers(&plain_folder.join("answers.csv"), &more).unwrap_err().contains("leaves out a cell")
    );
}

/// By hand: log scores −0.1 and −0.5 against −0.2 and −0.3, so +0.1 over two pigs, differences −0.1 and 0.2; their mean
/// 0.05 has the standard error 0.15, their sum 0.3. Brier (1 + 3)/(10 + 30).
#[test]
fn merging_priors_pairs_pigs() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put(
        "priors-1-of-1.csv",
        "prior,seed,measure,above,below\nformer,1,brier,1,20\nfocus-fifth,1,brier,1,10\nfocus-fifth,2,brier,3,30\n",
    );
    put(
        "priors-pigs-1-of-1.csv",
        "prior,seed,pig,log_score\nformer,1,a,-0.1\nformer,2,a,-0.5\nfocus-fifth,2,a,-0.3\nfocus-fifth,1,a,-0.2\n",
    );
    priors::merge_table(folder.path(), "priors", FORMER).unwrap();
    let page = std::fs::read_to_string(folder.path().join("priors.md")).unwrap();
    for line in [
        "| former default (P(s.d. > 1.5) = 0.05) | 2 | -0.6 |  | no case | 0.050 |",
        "| 2 | -0.5 | +0.1 ± 0.3 | no case | 0.100 |",
    ] {
        assert!(page.contains(line), "{line}\nin\n{page}");
    }
    put("priors-pigs-1-of-1.csv", "prior,seed,pig,log_score\nfocus-fifth,1,a,-0.2\n");
    assert!(
        priors::merge_table(folder.path(), "priors", FORMER)
            .unwrap_err()
            .contains("no share of priors holds \"former\"")
    );
}

/// What is asked anew of fresh districts: each prior once, every change reaches the study, and the page shows them.
#[test]
fn what_is_asked_again_is_what_the_page_shows() {
    let least = "[study]\nname = \"A\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"p.csv\"\n";
    let bounds = |priors: &[&priors::Prior]| -> Vec<(f64, f64)> {
        let of = |p: &&priors::Prior| {
            let mut study = Study::parse(least, "study.toml").unwrap();
            p.apply(&mut study);
            (study.field.sd_upper, study.field.persistence_lower)
        };
        priors.iter().map(of).collect()
    };
    let (afresh, again) = (priors::asked_afresh(), priors::asked_again());
    assert_eq!(bounds(&afresh), [(1.5, 0.75), (3.0, 0.75), (1.5, 0.4), (2.0, 0.4), (3.0, 0.4)]);
    assert_eq!(bounds(&again), [(3.0, 0.75), (3.0, 0.4)]);
    // What the last question compares with is what a study has by default.
    let field = Study::parse(least, "study.toml").unwrap().field;
    assert_eq!((again[0].name, bounds(&again)[0]), (PRESENT, (field.sd_upper, field.persistence_lower)));
    for (stem, asked) in [("fresh-priors", afresh), ("again-priors", again)] {
        let shown = std::fs::read_to_string(fixture(&format!("{stem}.csv"))).unwrap();
        for prior in &asked {
            assert_eq!(shown.matches(&format!("\n{},", prior.told)).count(), 1, "{stem}: {}", prior.told);
        }
        assert_eq!(shown.lines().count(), 1 + asked.len(), "{stem}");
    }
}

fn fixture(name: &str) -> PathBuf {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/evidence")).join(name)
}

/// Nobody has typed a figure into a table of the page: each is what the merge of its study wrote.
#[test]
fn tables_of_the_page_are_those_of_the_studies() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/guide/evidence.md");
    let text = std::fs::read_to_string(path).unwrap();
    let shown = evidence_page::tables(&text).unwrap();
    let names: Vec<&str> = shown.iter().map(|t| t.name).collect();
    let every = [
        "calibration-quantities",
        "calibration-events",
        "calibration-runs",
        "wrong-headlines",
        "wrong-areas",
        "plain-practice",
        "priors",
        "fresh-priors",
        "again-priors",
    ];
    assert_eq!(names, every);
    for table in shown {
        let written = std::fs::read_to_string(fixture(&format!("{}.md", table.name))).unwrap();
        assert!(written.lines().filter(|l| !l.is_empty()).count() >= 1, "{}", table.name);
        assert_eq!(table.text.trim(), written.trim(), "{}: run scripts/evidence FOLDER --merge", table.name);
    }
}

/// The same fifth of the pigs is held out under every prior, and told by a map made without them.
#[test]
fn priors_are_compared_on_the_same_pigs() {
    let folder = tempfile::tempdir().unwrap();
    priors::share_of(folder.path(), "priors", Shard::ALL, &TINY, &[SEED], &[&PRIORS[0], &PRIORS[1]]).unwrap();
    let rows = table(&folder.path().join("priors-pigs-1-of-1.csv"));
    let of = |name: &str| rows.iter().filter(|r| r[0] == *name).map(|r| r[2].to_string()).collect::<Vec<_>>();
    let (former, other) = (of(PRIORS[0].name), of(PRIORS[1].name));
    assert_eq!(former, other);
    // A fifth of some 260 by lot: 52, within four standard deviations of 6.4.
    assert!((26..=78).contains(&former.len()), "{}", former.len());
    assert!(rows.iter().all(|r| r[3].parse::<f64>().unwrap() < 0.0));
    let score =
        |name: &str| rows.iter().filter(|r| r[0] == *name).map(|r| r[3].parse::<f64>().unwrap()).sum::<f64>();
    assert_ne!(score(PRIORS[0].name), score(PRIORS[1].name), "the prior reaches the sampler");
    priors::merge_table(folder.path(), "priors", FORMER).unwrap();
}

/// Two seeds by hand: pooled (1+3)/(10+30), differences 0.1 − 0.05 and 0.1 − 0.2; mean −0.025, s.e. 0.075.
#[test]
fn merging_pools_sums_and_pairs_seeds() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put(
        "wrong-assumptions-1-of-1.csv",
        "assumption,seed,measure,above,below\nneutral,1,brier,1,20\nneutral,2,brier,6,30\n\
         litters,1,brier,1,10\nlitters,2,brier,3,30\n",
    );
    put(
        "wrong-areas-1-of-1.csv",
        "assumption,seed,zone_id,p_active_any,active\nneutral,1,A1,0.9,true\nlitters,1,A1,0.95,false\n",
    );
    put(
        "wrong-pockets-1-of-1.csv",
        "assumption,seed,pocket,age_years,radius_m,hazard_at_end_per_year,pigs,positives,cells,p_active_mean,p_active_most,above_inactive\n\
         neutral,1,F1,1.5,900,0.4,12,2,9,0.3,0.6,0.9\nlitters,1,F1,5,2000,0.4,12,2,9,0.1,0.2,\n",
    );
    misspecification::merge(folder.path()).unwrap();
    let rows = table(&folder.path().join("wrong-assumptions.csv"));
    let litters: Vec<f64> = [3, 4, 5, 6, 7].iter().map(|k| rows[1][*k].parse().unwrap()).collect();
    for (got, wanted) in litters.iter().zip([0.1, 40.0, 2.0, -0.025, 0.075]) {
        assert!((got - wanted).abs() < 1e-12, "{litters:?}");
    }
    assert_eq!((&rows[1][0], &rows[1][8], &rows[0][5]), ("litters", "false", ""));
    let page = std::fs::read_to_string(folder.path().join("wrong-assumptions.md")).unwrap();
    for line in [
        "| litters share their lot, in infection and under the gun | no case | no case | 0.100 (-0.025 ± 0.075) |",
        "| as assumed | 0.80 to 1.00 | 1 | 0.900 | 1.000 |",
        "| all districts | 0.80 to 1.00 | 2 | 0.925 | 0.500 |",
        "| as assumed | new and small | 1 | 1 | 0.600 | 0.300 | 0.900 | 12 | 2.0 |",
        "| all districts | all | 2 | 1 | 0.400 | 0.200 | 0.900 | 12 | 2.0 |",
    ] {
        assert!(page.contains(line), "{line}\nin\n{page}");
    }
    // What the evidence page shows: the chosen measures, and areas of all districts; raw rows of all shares.
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    let headlines = read("wrong-headlines.md");
    assert!(
        headlines
            .starts_with("| district | AUC p_active | Brier score | mean p_active less true share (0) |")
    );
    assert!(headlines.contains(
        "| litters share their lot, in infection and under the gun | no case | 0.100 (-0.025 ± 0.075) |"
    ));
    assert!(read("wrong-areas.md").ends_with("| 0.80 to 1.00 | 2 | 0.925 | 0.500 |\n"));
    assert_eq!(read("wrong-areas.csv"), read("wrong-areas-1-of-1.csv"));
    assert_eq!(read("wrong-pockets.csv"), read("wrong-pockets-1-of-1.csv"));
    put("wrong-areas-1-of-2.csv", "assumption,seed,zone_id,p_active_any,active\n");
    let fault = misspecification::merge(folder.path()).unwrap_err();
    assert!(
        fault.contains("wrong-areas there are the shares 1/1, 1/2; all shares of one division are needed"),
        "{fault}"
    );
    std::fs::remove_file(folder.path().join("wrong-areas-1-of-2.csv")).unwrap();
    put("wrong-assumptions-1-of-1.csv", "assumption,seed,measure,above,below\nneutral,1,brier,one,20\n");
    let fault = misspecification::merge(folder.path()).unwrap_err();
    assert!(fault.contains("row 2, field 4: \"one\" is not a finite number"), "{fault}");
}
