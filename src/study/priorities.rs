//! `[priorities]`: what operations cost, what they remove, and what constrains the choice.
//!
//! Costs and efficacies are weak: published figures are few, old and of other places. Give your own.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What one class of land cover says about operations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoverClass {
    /// Share of the transmission there that possums carry, 0 to 1.
    pub possum: f64,
    /// Share that ferrets carry, 0 to 1; with `possum` at most 1.
    pub ferret: f64,
    /// Whether possums there are as a rule treated from the air.
    #[serde(default)]
    pub aerial: bool,
}

/// Name of the class that stands for land without cover and for classes nobody has named.
pub(crate) const OTHER_COVER: &str = "other";

/// Classes known by default, by name.
///
/// # Source
/// Own choice after the habitats studied: tuberculous possums at a forest-scrub margin (Hickling, NZ
/// Veterinary Journal), ferret ranges in dry tussock (Norbury, NZ Journal of Ecology). The shares are
/// judgement, not measurement.
const KNOWN_COVER: [(&str, CoverClass); 6] = [
    ("forest", CoverClass { possum: 1.0, ferret: 0.0, aerial: true }),
    ("scrub", CoverClass { possum: 0.9, ferret: 0.1, aerial: true }),
    ("tussock", CoverClass { possum: 0.2, ferret: 0.8, aerial: false }),
    ("pasture", CoverClass { possum: 0.5, ferret: 0.5, aerial: false }),
    ("water", CoverClass { possum: 0.0, ferret: 0.0, aerial: false }),
    (OTHER_COVER, CoverClass { possum: 0.5, ferret: 0.5, aerial: false }),
];

keys! {
    /// What operations cost, what they remove, and what constrains the choice.
    Priorities {
        /// Name of the money all costs are in. Default NZD, that of the sources.
        currency: String = "NZD".into(),
        /// Money for the season's operations. Default: `budget_share` of what all worthwhile ones would cost.
        budget: Option<f64> = None,
        /// Share of the cost of all worthwhile operations that stands in for a budget. Default 0.25 (own
        /// choice).
        budget_share: f64 = 0.25,
        /// Aerial possum operation, money per hectare. Default 25 (weak: 22 to 27, agency figure of 2014 to
        /// 2017 quoted in the press).
        possum_aerial_cost_per_ha: f64 = 25.0,
        /// Ground possum operation, money per hectare. Default 13 (weak: 230 000 over 18 000 ha in 2014,
        /// press report).
        possum_ground_cost_per_ha: f64 = 13.0,
        /// Ferret trapping, money per hectare. Default 10 (very weak: no published figure; 4 person-days took
        /// half the ferrets of 1254 ha, Cross 1998; five times that effort at 600 a day).
        ferret_trapping_cost_per_ha: f64 = 10.0,
        /// Efficacy of an aerial operation against possums: proportion of the population removed. Default
        /// 0.90 (weak: near-total kill when well done, 0.6 when failed, Nugent 2011, Ross & Bicknell 2006).
        possum_aerial_efficacy: f64 = 0.90,
        /// The same of a ground operation. Default 0.80 (own choice).
        possum_ground_efficacy: f64 = 0.80,
        /// Efficacy of trapping ferrets: proportion of the population removed. Default 0.80 (weak: 80 to 95 %
        /// takes much more effort than half, Cross 1998).
        ferret_trapping_efficacy: f64 = 0.80,
        /// Share of a block under cover that is treated from the air at which the whole block is. Default 0.5
        /// (own choice).
        aerial_share: f64 = 0.5,
        /// Most hectares of operations in one season. Default: no limit.
        season_area_ha: Option<f64> = None,
        /// Blocks that may be operated this season. Default: none named, all may.
        season_blocks: Vec<String> = Vec::new(),
        /// Operations that must be done: a block, or a block and host as `B03:possum`.
        must: Vec<String> = Vec::new(),
        /// Operations that must not be done, written as in `must`.
        never: Vec<String> = Vec::new(),
        /// Groups of blocks treated together against a host or not at all: `[["B01", "B02"]]`.
        together: Vec<Vec<String>> = Vec::new(),
        /// Blocks whose active areas have their centres closer than this may not be told apart by pigs,
        /// metres. Default 5000 (twice the s.d. of 2.45 km of Nugent 2002).
        tie_distance_m: f64 = 5000.0,
        /// Posterior samples for which the best set is found anew, spread evenly over all. Default 200.
        best_set_samples: usize = 200,
        /// Pigs of a sample taken before treating. Default 10.
        sample_pigs: usize = 10,
        /// Their age, months. Default 18.
        sample_age_months: f64 = 18.0,
        /// What one of them costs, head inspected and cultured, in money. Default 150 (own choice).
        sample_cost_per_pig: f64 = 150.0,
        /// Share of an area's land in blocks that must be treated, by zone id. Default: none.
        min_treated_share: BTreeMap<String, f64> = BTreeMap::new(),
        /// Cover classes of your own, or changes to the known ones: forest, scrub, tussock, pasture, water,
        /// other.
        cover: BTreeMap<String, CoverClass> = BTreeMap::new(),
    }
}

impl Priorities {
    /// What a class of cover says, by its name whatever the case; `None` for a class nobody has named.
    ///
    /// # Example
    /// ```
    /// let p = pignut::internals::study::priorities::Priorities::default();
    /// assert_eq!(p.cover_class("Forest").map(|c| c.possum), Some(1.0));
    /// assert_eq!(p.cover_class("lava"), None);
    /// ```
    pub fn cover_class(&self, name: &str) -> Option<CoverClass> {
        let same = |known: &str| known.trim().eq_ignore_ascii_case(name.trim());
        let own = self.cover.iter().find(|(k, _)| same(k)).map(|(_, c)| *c);
        own.or_else(|| KNOWN_COVER.iter().find(|(k, _)| same(k)).map(|(_, c)| *c))
    }

    /// What land without a named class says.
    pub fn other_cover(&self) -> CoverClass {
        self.cover_class(OTHER_COVER).unwrap_or(CoverClass { possum: 0.5, ferret: 0.5, aerial: false })
    }

    /// Names of the classes known, the study's own among them.
    pub fn cover_names(&self) -> Vec<String> {
        let mut names: Vec<String> = KNOWN_COVER.iter().map(|(k, _)| (*k).to_string()).collect();
        names.extend(
            self.cover
                .keys()
                .filter(|k| !KNOWN_COVER.iter().any(|(n, _)| n.eq_ignore_ascii_case(k)))
                .cloned(),
        );
        names
    }

    /// The first value that is not possible: key, value, what is allowed.
    ///
    /// # Errors
    /// The three parts of a message.
    pub fn check(&self) -> Result<(), (String, String, String)> {
        let bad = |key: &str, value: String, allowed: &str| {
            Err((format!("priorities.{key}"), value, allowed.to_string()))
        };
        if self.currency.trim().is_empty() {
            return bad("currency", "\"\"".into(), "name the money, such as \"NZD\"");
        }
        for (key, v) in [
            ("possum_aerial_efficacy", self.possum_aerial_efficacy),
            ("possum_ground_efficacy", self.possum_ground_efficacy),
            ("ferret_trapping_efficacy", self.ferret_trapping_efficacy),
            ("budget_share", self.budget_share),
            ("aerial_share", self.aerial_share),
        ] {
            if !(0.0..=1.0).contains(&v) {
                return bad(key, v.to_string(), "a share lies between 0 and 1");
            }
        }
        for (key, v, hi, unit) in [
            ("budget", self.budget.unwrap_or(0.0), 1e12, "in money"),
            ("season_area_ha", self.season_area_ha.unwrap_or(0.0), 1e9, "hectares"),
            ("possum_aerial_cost_per_ha", self.possum_aerial_cost_per_ha, 1e6, "per hectare"),
            ("possum_ground_cost_per_ha", self.possum_ground_cost_per_ha, 1e6, "per hectare"),
            ("ferret_trapping_cost_per_ha", self.ferret_trapping_cost_per_ha, 1e6, "per hectare"),
            ("tie_distance_m", self.tie_distance_m, 100_000.0, "metres"),
            ("sample_age_months", self.sample_age_months, 240.0, "months"),
            ("sample_cost_per_pig", self.sample_cost_per_pig, 1e6, "in money"),
        ] {
            if !(v >= 0.0 && v <= hi) {
                return bad(key, v.to_string(), &format!("write 0 to {hi} {unit}"));
            }
        }
        for (key, v, lo, hi) in [
            ("best_set_samples", self.best_set_samples, 20, 10_000),
            ("sample_pigs", self.sample_pigs, 1, 1000),
        ] {
            if !(lo..=hi).contains(&v) {
                return bad(key, v.to_string(), &format!("write {lo} to {hi}"));
            }
        }
        for (zone, v) in &self.min_treated_share {
            if !(0.0..=1.0).contains(v) {
                return bad(
                    &format!("min_treated_share.{zone}"),
                    v.to_string(),
                    "a share lies between 0 and 1",
                );
            }
        }
        for (class, c) in &self.cover {
            if !(c.possum >= 0.0 && c.ferret >= 0.0 && c.possum + c.ferret <= 1.0 + 1e-9) {
                return bad(
                    &format!("cover.{class}"),
                    format!("possum {}, ferret {}", c.possum, c.ferret),
                    "shares are 0 or more and add up to 1 at most",
                );
            }
        }
        if let Some(group) = self.together.iter().find(|g| g.len() < 2) {
            return bad("together", format!("{group:?}"), "a group names two blocks or more");
        }
        Ok(())
    }
}
