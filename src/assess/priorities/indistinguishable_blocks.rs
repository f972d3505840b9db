//! Blocks that pigs cannot tell apart: near one another, and changing places from draw to draw.

use crate::assess::priorities::candidates::{Candidate, Candidates};
use crate::assess::priorities::constraints::Constraints;
use crate::records::WildlifeHost;

/// Share of the samples in which one must stand above the other to be told from it.
pub(crate) const SURE: f64 = 0.9;
/// Share of the samples in which an operation must remove something to be worth comparing.
pub(crate) const WORTH_COMPARING: f64 = 0.1;

/// Groups of two or more operations against one host that cannot be told apart, best first.
///
/// The best operation not yet in a group takes in those after it whose active areas have their centres within
/// `distance_m` of its own's and whose score is above or below its own in fewer than nine draws of ten (equal
/// scores count half). A group is thus named by its best member and never chains across the study area.
/// Centres of the expected active area, not of the blocks, are compared: two large neighbours with one focus
/// on their border are what pigs cannot separate.
/// # Source
/// Distance: a cluster of pigs with an s.d. of 2.45 km about the kill site (Nugent 2002) cannot separate
/// blocks nearer than about twice that; the nine in ten are an own choice.
pub(crate) fn groups(slate: &Candidates, terms: &Constraints, distance_m: f64) -> Vec<Vec<usize>> {
    let value = |c: &Candidate| {
        let seen = c.active_ha.iter().filter(|a| **a > 0.0).count() as f64;
        !c.active_ha.is_empty() && seen / c.active_ha.len() as f64 >= WORTH_COMPARING
    };
    let mut out = Vec::new();
    for host in WildlifeHost::BOTH {
        let mut order: Vec<usize> = (0..slate.candidates.len())
            .filter(|i| {
                let c = &slate.candidates[*i];
                c.host == host && terms.fixed[*i].allowed() && value(c)
            })
            .collect();
        let mean = |i: usize| slate.candidates[i].expected_removed_ha() / slate.candidates[i].cost.max(1.0);
        order.sort_by(|a, b| mean(*b).total_cmp(&mean(*a)));
        while !order.is_empty() {
            let first = order.remove(0);
            let lead = &slate.candidates[first];
            let mut group = vec![first];
            order.retain(|i| {
                let c = &slate.candidates[*i];
                let apart = (c.easting_m - lead.easting_m).hypot(c.northing_m - lead.northing_m);
                let above = share_above(lead, c);
                let same = apart < distance_m && above < SURE && above > 1.0 - SURE;
                if same {
                    group.push(*i);
                }
                !same
            });
            if group.len() > 1 {
                out.push(group);
            }
        }
    }
    out
}

/// Share of the samples in which `a` removes more per money than `b`; ties count half.
pub(crate) fn share_above(a: &Candidate, b: &Candidate) -> f64 {
    let per_money = |c: &Candidate, d: usize| c.removed_ha(d) / c.cost.max(1.0);
    let samples = a.active_ha.len().min(b.active_ha.len());
    let points: f64 = (0..samples)
        .map(|d| match per_money(a, d).total_cmp(&per_money(b, d)) {
            std::cmp::Ordering::Greater => 1.0,
            std::cmp::Ordering::Equal => 0.5,
            std::cmp::Ordering::Less => 0.0,
        })
        .sum();
    points / samples.max(1) as f64
}
