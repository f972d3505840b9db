//! What a choice must keep to: blocks that must or must not be treated, areas, seasons, neighbours.

use crate::assess::priorities::candidates::Candidates;
use crate::assess::priorities::choice_error::ChoiceError;
use crate::study::priorities::Priorities;

/// What is settled about one candidate before choosing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fixed {
    /// Free to choose.
    Free,
    /// Must be done.
    In,
    /// Must not or cannot be done.
    Out,
}

impl Fixed {
    /// Whether it may be done.
    pub fn allowed(self) -> bool {
        self != Fixed::Out
    }
}

/// Land of an area that must be treated.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastLand {
    /// Zone id.
    pub id: String,
    /// Hectares that must be treated.
    pub least_ha: f64,
    /// Blocks with land there: (index, hectares).
    pub blocks: Vec<(usize, f64)>,
}

/// The terms of a study, as indices of the slate.
#[derive(Debug, Clone, PartialEq)]
pub struct Constraints {
    /// One entry a candidate.
    pub fixed: Vec<Fixed>,
    /// For each candidate the first of those treated together with it (itself when alone).
    pub leader: Vec<usize>,
    /// Candidates of which at least one must be done.
    pub any_of: Vec<Vec<usize>>,
    /// Land that must be treated.
    pub least_land: Vec<LeastLand>,
    /// Most hectares of operations in the season.
    pub season_area_ha: Option<f64>,
}

impl Constraints {
    /// Finds what the study's table names.
    ///
    /// A block treated together with one that cannot be treated cannot be treated either.
    /// # Errors
    /// [`ChoiceError`]: unknown block or area, or a must that is forbidden.
    pub fn resolve(slate: &Candidates, keys: &Priorities) -> Result<Constraints, ChoiceError> {
        let n = slate.candidates.len();
        let mut fixed = vec![Fixed::Free; n];
        let mut reason: Vec<Option<String>> = vec![None; n];
        let mut forbid = |i: usize, why: String| {
            fixed[i] = Fixed::Out;
            reason[i].get_or_insert(why);
        };
        for (i, c) in slate.candidates.iter().enumerate() {
            if !c.feasible {
                forbid(i, "the blocks file says that no operation can be done there".into());
            }
        }
        let mut season = vec![keys.season_blocks.is_empty(); slate.blocks.len()];
        for name in &keys.season_blocks {
            season[block(slate, "season_blocks", name)?] = true;
        }
        for (i, c) in slate.candidates.iter().enumerate().filter(|(_, c)| !season[c.block]) {
            forbid(i, format!("{} is not among priorities.season_blocks", c.block_id));
        }
        for name in &keys.never {
            for i in operations(slate, "never", name)? {
                forbid(i, format!("priorities.never names \"{name}\""));
            }
        }
        let mut leader: Vec<usize> = (0..n).collect();
        for group in &keys.together {
            let blocks =
                group.iter().map(|name| block(slate, "together", name)).collect::<Result<Vec<_>, _>>()?;
            for host in 0..2 {
                let members: Vec<usize> = blocks.iter().map(|b| 2 * b + host).collect();
                let first = members.iter().map(|m| leader[*m]).min().unwrap_or(0);
                let joined: Vec<usize> = members.iter().map(|m| leader[*m]).collect();
                leader.iter_mut().filter(|l| joined.contains(l)).for_each(|l| *l = first);
            }
        }
        for i in 0..n {
            let barred = (0..n).find(|k| leader[*k] == leader[i] && fixed[*k] == Fixed::Out);
            if let Some(k) = barred.filter(|k| *k != i && fixed[i] != Fixed::Out) {
                fixed[i] = Fixed::Out;
                reason[i] = Some(format!(
                    "it is treated together with {}, which cannot be",
                    slate.candidates[k].block_id
                ));
            }
        }
        let mut any_of = Vec::new();
        for name in &keys.must {
            let named = operations(slate, "must", name)?;
            let open: Vec<usize> = named.iter().copied().filter(|i| fixed[*i] != Fixed::Out).collect();
            match open.as_slice() {
                [] => {
                    let why = named.iter().find_map(|i| reason[*i].clone()).unwrap_or_default();
                    return Err(ChoiceError::Contradiction { key: "must", value: name.clone(), reason: why });
                }
                [one] => {
                    let leads = leader[*one];
                    (0..n).filter(|k| leader[*k] == leads).for_each(|k| fixed[k] = Fixed::In);
                }
                several => any_of.push(several.to_vec()),
            }
        }
        let mut least_land = Vec::new();
        for (zone, share) in keys.min_treated_share.iter().filter(|(_, s)| **s > 0.0) {
            let Some(area) = slate.areas.iter().find(|a| a.id == *zone) else {
                let known = listed(slate.areas.iter().map(|a| a.id.as_str()));
                return Err(ChoiceError::UnknownArea { value: zone.clone(), known });
            };
            let all: f64 = area.blocks.iter().map(|b| b.1).sum();
            let open = |b: usize| fixed[2 * b].allowed() || fixed[2 * b + 1].allowed();
            let reachable: f64 = area.blocks.iter().filter(|(b, _)| open(*b)).map(|b| b.1).sum();
            if reachable + 1e-6 * all < share * all || all <= 0.0 {
                return Err(ChoiceError::Impossible(format!(
                    "min_treated_share of {zone} is {share}, and blocks that may be treated hold {:.2} of \
                     its land in blocks; lower it or allow more blocks",
                    if all > 0.0 { reachable / all } else { 0.0 }
                )));
            }
            least_land.push(LeastLand {
                id: zone.clone(),
                least_ha: share * all,
                blocks: area.blocks.clone(),
            });
        }
        Ok(Constraints { fixed, leader, any_of, least_land, season_area_ha: keys.season_area_ha })
    }
}

/// The block with an id.
fn block(slate: &Candidates, key: &'static str, name: &str) -> Result<usize, ChoiceError> {
    slate.blocks.iter().position(|b| b == name.trim()).ok_or_else(|| ChoiceError::UnknownBlock {
        key,
        value: name.into(),
        known: listed(slate.blocks.iter().map(String::as_str)),
    })
}

/// Candidates that a block id, or a block id and a host, stands for.
fn operations(slate: &Candidates, key: &'static str, name: &str) -> Result<Vec<usize>, ChoiceError> {
    if let Some(i) = slate.candidates.iter().position(|c| c.id() == name.trim())
        && !slate.blocks.iter().any(|b| b == name.trim())
    {
        return Ok(vec![i]);
    }
    let b = block(slate, key, name)?;
    Ok(vec![2 * b, 2 * b + 1])
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    if names.is_empty() {
        return "those the study has, which are none".into();
    }
    let more = if names.len() > 12 { ", …" } else { "" };
    format!("{}{more}", names[..names.len().min(12)].join(", "))
}
