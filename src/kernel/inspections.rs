//! What each way of opening a head is worth: the sensitivity of every set of node pairs, side, method
//! and time since infection, and what a pair left unopened costs.

use crate::kernel::detection::{Ramp, protocol};
use crate::records::NodePair::{Mandibular, Parotid, Retropharyngeal};
use crate::records::{DAYS_PER_MONTH, Inspection, LabMethod, LabResult, NodePair, Pig};
use crate::study::model_keys::Detection;
use serde::Serialize;

/// Months since infection at which sensitivities are listed.
pub(crate) const MONTHS_SINCE: [f64; 4] = [1.5, 2.0, 3.0, 4.0];

/// One way of opening a head.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Way {
    /// Pairs opened; `None` when not recorded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub node_pairs: Option<Vec<NodePair>>,
    /// Whether only one node of each was opened.
    pub one_side: bool,
    /// P(lesion seen | infected, lesion fully developed).
    pub gross_inspection: f64,
    /// The same at [`MONTHS_SINCE`] after infection.
    pub gross_inspection_by_months_since: [f64; 4],
    /// P(laboratory positive | infected), only lesions sent: culture, PCR, histology.
    pub lesion_sent: [f64; 3],
    /// The same where samples of heads without a lesion are sent too.
    pub all_sent: [f64; 3],
    /// Pigs opened this way that tell as much of absence as 100 with all pairs opened; `None` when nothing is
    /// seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pigs_for_100: Option<f64>,
}

impl Way {
    /// The pairs in words.
    pub fn words(&self) -> String {
        let Some(pairs) = &self.node_pairs else { return "not recorded".into() };
        let names: Vec<&str> = pairs.iter().map(|p| word(*p)).collect();
        let joined = if pairs.len() == 3 { "all three".to_string() } else { names.join(" + ") };
        if self.one_side { format!("{joined}, one side") } else { joined }
    }
}

/// The word for a pair in files.
pub(crate) fn word(pair: NodePair) -> &'static str {
    match pair {
        Parotid => "parotid",
        Mandibular => "mandibular",
        Retropharyngeal => "retropharyngeal",
    }
}

/// Every way of opening a head, the most telling first, then those on one side only, then not recorded.
///
/// # Formula
/// [`protocol`] for each; `pigs_for_100 = 100 Se(all pairs) / Se(this way)`, since the chance of missing
/// infection in n pigs, (1 − π Se)ⁿ, is e^(−n π Se) where few are infected.
/// # Source
/// The sensitivities are the study's `[detection]`, whose defaults state their sources.
pub fn ways(d: &Detection) -> Vec<Way> {
    let sets: [&[NodePair]; 7] = [
        &[Parotid, Mandibular, Retropharyngeal],
        &[Mandibular, Retropharyngeal],
        &[Parotid, Mandibular],
        &[Mandibular],
        &[Parotid, Retropharyngeal],
        &[Retropharyngeal],
        &[Parotid],
    ];
    let both = sets.iter().map(|s| way(d, Some(s.to_vec()), false));
    let one = sets.iter().map(|s| way(d, Some(s.to_vec()), true));
    both.chain(one).chain([way(d, None, false)]).collect()
}

fn way(d: &Detection, node_pairs: Option<Vec<NodePair>>, one_side: bool) -> Way {
    let one_sided = if one_side { node_pairs.clone().unwrap_or_default() } else { Vec::new() };
    let seen = |gross_lesion: bool, lab_method: Option<LabMethod>| {
        let inspection = Inspection {
            node_pairs: node_pairs.clone(),
            one_sided: one_sided.clone(),
            gross_lesion: Some(gross_lesion),
            lab_method,
            lab_result: lab_method.map(|_| LabResult::Negative),
        };
        protocol(d, &inspection).sensitivity
    };
    const METHODS: [LabMethod; 3] = [LabMethod::Culture, LabMethod::Pcr, LabMethod::Histology];
    let gross_inspection = seen(false, None);
    let full = gross_inspection_of_all(d);
    let ramp = Ramp::new(d);
    Way {
        gross_inspection,
        gross_inspection_by_months_since: MONTHS_SINCE
            .map(|m| gross_inspection * ramp.at(m * DAYS_PER_MONTH)),
        lesion_sent: METHODS.map(|m| seen(true, Some(m))),
        all_sent: METHODS.map(|m| seen(false, Some(m))),
        pigs_for_100: (gross_inspection > 0.0).then(|| 100.0 * full / gross_inspection),
        node_pairs,
        one_side,
    }
}

/// P(lesion seen | infected) with all pairs opened on both sides.
pub(crate) fn gross_inspection_of_all(d: &Detection) -> f64 {
    let all = vec![Parotid, Mandibular, Retropharyngeal];
    protocol(d, &Inspection { node_pairs: Some(all), gross_lesion: Some(false), ..Inspection::default() })
        .sensitivity
}

/// Share of what a pig could tell that the pairs opened leave, 1 with all pairs on both sides.
///
/// # Formula
/// Sensitivity of what was done, over that of the same with all pairs opened.
pub(crate) fn share_of_all(d: &Detection, pig: &Pig) -> f64 {
    let all = Inspection {
        node_pairs: Some(vec![Parotid, Mandibular, Retropharyngeal]),
        one_sided: Vec::new(),
        ..pig.inspection.clone()
    };
    let best = protocol(d, &all).sensitivity;
    if best > 0.0 { protocol(d, &pig.inspection).sensitivity / best } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Opening more never sees less; sending heads without a lesion too never sees less than gross inspection
    /// alone.
    #[test]
    fn more_is_never_less() {
        let list = ways(&Detection::default());
        assert_eq!(list.len(), 15);
        let pairs = |w: &Way| w.node_pairs.clone().unwrap_or_default();
        for a in list.iter().filter(|w| w.node_pairs.is_some()) {
            for b in list.iter().filter(|w| w.node_pairs.is_some()) {
                if pairs(a).iter().all(|p| pairs(b).contains(p)) && (a.one_side || !b.one_side) {
                    assert!(a.gross_inspection <= b.gross_inspection + 1e-12, "{} {}", a.words(), b.words());
                }
            }
            assert!(
                a.all_sent.iter().all(|s| *s >= a.gross_inspection)
                    && a.lesion_sent.iter().all(|s| *s <= a.gross_inspection)
            );
            assert_eq!(a.gross_inspection_by_months_since[3], a.gross_inspection);
        }
        assert_eq!((list[0].gross_inspection, list[0].pigs_for_100), (0.76, Some(100.0)));
    }

    /// Mandibular alone by hand: 0.76 × 0.9/(1 − 0.1·0.55·0.85) = 0.71755; at two months a third of it,
    /// for the ramp runs from one month to four (Nugent 2002).
    #[test]
    fn the_mandibular_pair_alone_is_as_computed_by_hand() {
        let list = ways(&Detection::default());
        let m = list.iter().find(|w| w.words() == "mandibular").unwrap();
        assert!(
            (m.gross_inspection - 0.717_545).abs() < 1e-5
                && (m.gross_inspection_by_months_since[1] - 0.239_182).abs() < 1e-5,
            "{m:?}"
        );
        assert!((m.lesion_sent[0] - 0.717_545 * 0.82).abs() < 1e-5);
    }
}
