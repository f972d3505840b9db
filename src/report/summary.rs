//! `summary.json`: the headline figures with their uncertainty, for people and programs.

use crate::assess::areas::{Judgement, ZoneFigures};
use crate::assess::cells::Standing;
use crate::assess::freedom_figures::{PigsNeeded, ZoneFreedom};
use crate::contract::documents::SUMMARY;
use crate::contract::error::ContractError;
use crate::pipeline::analysis::Analysis;
use crate::records::{Reading, date_of_day};
use crate::report::json::{document, model_checks, number, priorities, spread, without_nulls};
use crate::report::sentences::run::CAUTION;
use serde_json::{Value, json};

/// The summary as indented JSON.
///
/// # Errors
/// [`ContractError`] where its keys are not as declared.
pub(crate) fn json(analysis: &Analysis) -> Result<Vec<u8>, ContractError> {
    let a = &analysis.assessment;
    let layout = &analysis.layout;
    let pigs = &layout.records.pigs;
    let count = |s: Standing| a.cells.iter().filter(|c| c.standing == s).count();
    let gaps_below = |level: f64| a.gaps.iter().filter(move |g| g.below == level);
    let zones = a.zones.iter().zip(&a.judgements).zip(&a.freedom);
    let missed = analysis.posterior.shortfalls(&analysis.watches);
    let value = json!({
        "study": layout.study.study.name,
        "as_of": layout.as_of.to_string(),
        "records": analysis.account.counts,
        "pigs": {
            "used": pigs.len(),
            "confirmed": pigs.iter().filter(|p| p.reading == Reading::Confirmed).count(),
            "suspect": pigs.iter().filter(|p| p.reading == Reading::Suspect).count(),
            "negative": pigs.iter().filter(|p| p.reading == Reading::Clear).count(),
            "truly_infected_expected": number(a.positives.iter().map(|p| p.p_true).sum()),
            "unconfirmed_lesions": a.fit.unconfirmed.len(),
            "unconfirmed_infected_expected": number(a.fit.unconfirmed.iter().map(|u| u.1).sum::<f64>() + 0.0),
        },
        "cells": {
            "active": count(Standing::Active),
            "possible": count(Standing::Possible),
            "quiet": count(Standing::Quiet),
            "unseen": count(Standing::Unseen),
            "cell_area_ha": number(layout.grid.cell_area_ha()),
        },
        "exposure_pig_years": number(a.exposure_pig_years),
        "whole_grid": zone(&a.study_area, &a.whole),
        "zones": zones.map(|((z, j), f)| zone_and_freedom(z, j, f)).collect::<Vec<_>>(),
        "gaps": {
            "target": number(layout.study.coverage.target),
            "count": gaps_below(layout.study.coverage.target).count(),
            "area_ha": number(gaps_below(layout.study.coverage.target).map(|g| g.area_ha).sum::<f64>() + 0.0),
        },
        "before_the_first_pig": {
            "p_active": number(a.before.p_active),
            "force_of_infection_q05_q50_q95": a.before.force_of_infection.map(number),
            "plan_without_pigs_share": a.plan_without_pigs.map(number),
        },
        "operations": priorities::effects(&a.operations),
        "blocks": a.blocks.iter().map(|b| json!({
            "id": layout.records.blocks[b.block].id,
            "area_ha": number(b.area_ha),
            "expected_active_ha": number(b.expected_active_ha),
            "active_ha": spread(&b.active_ha),
            "standing": b.standing.map(Standing::word),
            "pigs": b.pigs.0,
            "positives": b.pigs.1,
        })).collect::<Vec<_>>(),
        "priorities": a.decision.as_ref().map(|d| match d {
            Ok(d) => priorities::decision(&a.slate, d, &layout.study.priorities.currency),
            Err(e) => json!({ "not_computed": e.to_string() }),
        }),
        "learnt": a.hyper.iter().map(|h| json!({
            "name": h.name, "label": h.label, "posterior": spread(&h.posterior),
            "prior_q05_q50_q95": h.prior.map(|p| p.map(number)),
        })).collect::<Vec<_>>(),
        "model_checks": model_checks::fit(analysis),
        "sensitivity": model_checks::sensitivity(analysis),
        "held_out": model_checks::held_out(analysis),
        "warnings": model_checks::missed(&missed),
        "mass_off_grid": number(analysis.posterior.mass_off_grid),
        "caution": CAUTION,
    });
    document(&SUMMARY, without_nulls(value))
}

fn zone_and_freedom(z: &ZoneFigures, j: &Judgement, f: &ZoneFreedom) -> Value {
    let mut value = zone(z, j);
    let (Some(members), Some(y)) = (value.as_object_mut(), f.last()) else { return value };
    let needed = match &f.raise {
        PigsNeeded::Reached => Some(0),
        PigsNeeded::Pigs { cells, .. } => Some(cells.len()),
        _ => None,
    };
    members.insert(
        "freedom".into(),
        json!({
            "year": y.year,
            "p_free": number(y.p_free),
            "p_free_low": number(y.bounds[0]),
            "p_free_high": number(y.bounds[1]),
            "surveillance_sensitivity": number(y.sensitivity),
            "p_no_case_inside": number(y.no_case),
            "p_under_threshold": number(y.p_under_threshold),
            "share_at_target": number(y.share_at_target),
            "negative_pigs_needed": needed,
        }),
    );
    value
}

fn zone(z: &ZoneFigures, j: &Judgement) -> Value {
    json!({
        "id": z.id,
        "name": z.name,
        "verdict": j.verdict.word(),
        "mean_coverage": j.evidence.coverage.map(number),
        "active_share_q05_q50_q95": j.evidence.active_share.map(number),
        "area_ha": number(z.area_ha),
        "p_active_any": number(z.p_active_any),
        "active_ha": spread(&z.active_ha),
        "force_of_infection_per_pig_year": spread(&z.hazard),
        "pigs": z.pigs,
        "positives": z.positives,
        "confirmed": z.confirmed,
        "last_positive": z.last_positive.map(|d| d.to_string()),
        "infected_inside_expected": number(z.infected_inside_expected),
        "infected_inside_recently_expected": number(z.infected_recently_expected),
        "positives_local_expected": number(z.positives_local_expected),
        "positives_imported_expected": number(z.positives_imported_expected),
        "infection_window": z.window.map(|w| w.map(|d| date_of_day(d).to_string())),
    })
}
