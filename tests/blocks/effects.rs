//! Past operations: the stated fall against one worked by hand, and what the covariate does to an eliminated
//! study area.

use crate::common::small::{grid, study};
use geo::{Centroid, Contains, MultiPolygon, Point, polygon};
use jiff::civil::date;
use pignut::internals::assess::operations::effects;
use pignut::internals::geography::habitat::Habitat;
use pignut::internals::geography::layout::Layout;
use pignut::internals::inference::posterior::Posterior;
use pignut::internals::kernel::operations::covariates;
use pignut::internals::kernel::prior::Hyper;
use pignut::internals::pipeline::analysis::Prepared;
use pignut::internals::records::{Block, Operation, Records, Source, WildlifeHost};
use pignut::internals::sampler::mode::Info;
use pignut::internals::simulate::force_of_infection::{Cause, Decline, Focus};
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::write::write;
use pignut::internals::study::model_keys::Link;
use pignut::internals::study::study_file::Study;

fn records(west: f64, south: f64) -> Records {
    let boundary = MultiPolygon(vec![polygon![
        (x: west + 1000.0, y: south + 1000.0), (x: west + 4000.0, y: south + 1000.0),
        (x: west + 4000.0, y: south + 3000.0), (x: west + 1000.0, y: south + 3000.0),
    ]]);
    let block = Block {
        id: "K1".into(),
        name: "K1".into(),
        boundary,
        possum_cost_per_ha: None,
        ferret_cost_per_ha: None,
        possum_method: None,
        feasible: true,
    };
    let operation = Operation {
        source: Source { file: "operations.csv".into(), row: 2 },
        block: 0,
        host: WildlifeHost::Possum,
        start: date(2019, 6, 1),
        end: date(2019, 6, 30),
        efficacy: None,
    };
    Records { blocks: vec![block], operations: vec![operation], ..Records::default() }
}

/// With the exponential link, one latent level x everywhere and half-lives so long that X = 1 from the first
/// full period on, the hazard with the operation over that without is e^β: a fall of 1 − e^β, by hand.
#[test]
fn the_fall_is_that_of_the_hazard_with_and_without_the_operation() {
    let mut study = study();
    study.field.link = Link::Exp;
    study.field.possum_half_life_years = 100.0;
    let g = grid(8, 8, 10);
    let records = records(g.west_m, g.south_m);
    let shares =
        vec![pignut::internals::geography::area_shares::cell_shares(&g, &records.blocks[0].boundary)];
    let x = covariates(&study.field, &g, &records.operations, &shares);
    let posterior = |beta: f64| {
        let mut hyper = Hyper::start(&study.field, 1);
        hyper.operation[0] = beta;
        Posterior {
            hazard: vec![x[0].x.iter().map(|x| (-3.0 + beta * x).exp() as f32).collect()],
            hyper: vec![hyper],
            log_likelihood: vec![0.0],
            watched: vec![],
            chains: vec![],
            mode: Info { converged: true, steps: 0, cg_iterations: 0, relative_gradient: 0.0 },
            mass_off_grid: 0.0,
        }
    };
    let habitat = Habitat::default();
    let layout = |as_of| Layout {
        study: study.clone(),
        records: records.clone(),
        grid: g.clone(),
        as_of,
        zone_shares: Vec::new(),
        block_shares: shares.clone(),
        habitat: habitat.clone(),
    };
    // The operation ends where a half-year ends, so X is the mean fading only, 2^(-1/200) or so: above 0.99.
    for beta in [-1.0f64, -0.2, 0.3] {
        let told = effects(&layout(date(2021, 12, 31)), &posterior(beta));
        assert_eq!(told.len(), 1);
        let e = &told[0];
        assert_eq!((e.host, e.operations, e.blocks), (WildlifeHost::Possum, 1, 1));
        let exact = 1.0 - f64::exp(beta * 0.9965);
        assert!((e.fall.mean - exact).abs() < 1e-3, "{} {exact}", e.fall.mean);
        let normal = 1.6448536269514722;
        for (got, z) in e.assumed.iter().zip([normal, 0.0, -normal]) {
            let step = study.field.operation_mean + z * study.field.operation_sd;
            assert!((got - (1.0 - (step * 0.9965).exp())).abs() < 2e-3, "{got} {step}");
        }
    }
    // An operation that has not ended by the study's day has shown nothing.
    assert!(effects(&layout(date(2019, 6, 30)), &posterior(-1.0)).is_empty());
}

/// The issue's own bound: where one operation ended the only disease, giving it to the run brings the mean
/// p_active of the land below a third of what it is without.
#[test]
fn an_eliminated_district_is_believed_clear_only_with_its_operation() {
    let plain = Scenario { pigs_target: 900, extent_km: 16.0, disease: false, ..Scenario::fresh(11) };
    let blank = simulate(&plain).unwrap();
    let block = blank
        .blocks
        .iter()
        .filter(|b| b.feasible)
        .min_by(|a, b| {
            let off = |b: &Block| {
                let (c, land) = (b.boundary.centroid().unwrap(), blank.land.centroid().unwrap());
                (c.x() - land.x()).hypot(c.y() - land.y())
            };
            off(a).total_cmp(&off(b))
        })
        .unwrap();
    let at = block.boundary.centroid().unwrap();
    let day = |y: i16, m: i8| pignut::internals::records::day_number(date(y, m, 1));
    let focus = Focus {
        id: "F1".into(),
        easting_m: at.x().round(),
        northing_m: at.y().round(),
        radius_m: 1500.0,
        peak_per_year: 0.8,
        start_day: day(2012, 1),
        growth_years: 1.0,
        decline: Some(Decline {
            start_day: day(2021, 7),
            remaining_share: 0.0,
            scale_months: 1.0,
            cause: Cause::Operation { block_id: block.id.clone() },
        }),
    };
    let scenario = Scenario { disease: true, foci: Some(vec![focus]), ..plain };
    let study_area = simulate(&scenario).unwrap();
    assert_eq!(study_area.operations.len(), 1);
    let folder = tempfile::tempdir().unwrap();
    write(&study_area, folder.path()).unwrap();
    let p_active = |with: bool| {
        let mut study = Study::read(&folder.path().join("study.toml")).unwrap();
        study.run.warmup = 120;
        study.run.trajectories = 250;
        let mut prepared = Prepared::read(study).unwrap();
        if !with {
            prepared.layout.records.operations.clear();
        }
        let analysis = prepared.analyse(&|_| ()).unwrap();
        let grid = &analysis.layout.grid;
        let on_land: Vec<f64> = (0..grid.cells())
            .filter(|c| study_area.land.contains(&Point::from(grid.centre(*c))))
            .map(|c| analysis.assessment.cells[c].p_active)
            .collect();
        if let Some(e) = analysis.assessment.operations.first() {
            println!("{}", pignut::internals::report::sentences::operations::effect(e));
        }
        on_land.iter().sum::<f64>() / on_land.len() as f64
    };
    let (with, without) = (p_active(true), p_active(false));
    println!("mean p_active of the land: {with:.4} with the operation, {without:.4} without");
    assert!(with < without / 3.0, "{with} {without}");
}
