//! How records come about: which heads go to the laboratory, and so the chance that a pig reads positive.

use crate::kernel::detection::{lab_sensitivity, pair_share, protocol};
use crate::records::{LabResult, Pig, date_of_day};
use crate::study::model_keys::Detection;
use std::collections::BTreeMap;

/// Heads by which a year leans on all years.
const LEANS_ON: f64 = 4.0;

/// What becomes of heads, learnt from the records themselves.
///
/// The likelihood takes what was done to a head as given. A prediction cannot: a head without a lesion would
/// have gone to the laboratory had it had one, and many lesions from another cause end there.
///
/// # Formula
/// ```text
/// r_y = (answered_y + 4 r)/(lesions_y + 4),  r = (answered + ½)/(lesions + 1);   u_y for no lesion
/// Se = g[(1 − r) + r l] + (1 − g) u l s,   f = (1 − r) f_lesion + [1 − (1 − r)(1 − u)] f_lab
/// ```
/// g sensitivity of gross inspection, s the share of the pairs opened, l mean sensitivity of the methods
/// used. Where the gross inspection's finding was not recorded, the protocol of the likelihood stands.
/// # Assumes
/// Whether a head with a lesion is sent depends on the year alone.
#[derive(Debug, Clone)]
pub(crate) struct Practice {
    detection: Detection,
    lesion: Shares,
    clear: Shares,
    laboratory: f64,
}

/// Shares answered by the laboratory, year by year.
#[derive(Debug, Clone, Default)]
struct Shares {
    years: BTreeMap<i16, (f64, f64)>,
    all: f64,
}

impl Shares {
    fn of(years: BTreeMap<i16, (f64, f64)>) -> Shares {
        let (answered, heads) = years.values().fold((0.0, 0.0), |(a, n), y| (a + y.0, n + y.1));
        Shares { all: (answered + 0.5) / (heads + 1.0), years }
    }
    fn at(&self, year: i16) -> f64 {
        let (answered, heads) = self.years.get(&year).copied().unwrap_or((0.0, 0.0));
        (answered + LEANS_ON * self.all) / (heads + LEANS_ON)
    }
}

fn answered(pig: &Pig) -> bool {
    matches!(pig.inspection.lab_result, Some(LabResult::Positive | LabResult::Negative))
}

/// Calendar year of death.
pub(crate) fn year(pig: &Pig) -> i16 {
    date_of_day(pig.killed.mid_day()).year()
}

impl Practice {
    /// The practice behind some records.
    pub(crate) fn of(pigs: &[Pig], detection: &Detection) -> Practice {
        let (mut lesion, mut clear) = (BTreeMap::new(), BTreeMap::new());
        let (mut sensitivity, mut tests) = (0.0, 0.0);
        for pig in pigs {
            if answered(pig) {
                sensitivity += lab_sensitivity(detection, pig.inspection.lab_method);
                tests += 1.0;
            }
            let count = match pig.inspection.gross_lesion {
                Some(true) => &mut lesion,
                Some(false) => &mut clear,
                None => continue,
            };
            let of_year = count.entry(year(pig)).or_insert((0.0, 0.0));
            of_year.0 += f64::from(u8::from(answered(pig)));
            of_year.1 += 1.0;
        }
        let laboratory = if tests > 0.0 { sensitivity / tests } else { detection.culture_sensitivity };
        Practice {
            detection: detection.clone(),
            lesion: Shares::of(lesion),
            clear: Shares::of(clear),
            laboratory,
        }
    }

    /// Sensitivity and false-positive probability of what happens to such a pig: P(reads positive) = f + (1 −
    /// f) Se Q.
    pub(crate) fn terms(&self, pig: &Pig) -> (f64, f64) {
        let d = &self.detection;
        if pig.inspection.gross_lesion.is_none() {
            let p = protocol(d, &pig.inspection);
            return (p.sensitivity, p.false_positive);
        }
        let share = pair_share(d, pig.inspection.node_pairs.as_deref(), &pig.inspection.one_sided);
        let gross = d.gross_sensitivity * share;
        let (sent, sent_clear) = (self.lesion.at(year(pig)), self.clear.at(year(pig)));
        let seen = gross * ((1.0 - sent) + sent * self.laboratory);
        let unseen = (1.0 - gross) * sent_clear * self.laboratory * share;
        let false_positive =
            (1.0 - sent) * d.false_lesion + (1.0 - (1.0 - sent) * (1.0 - sent_clear)) * d.false_lab;
        (seen + unseen, false_positive)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::{Age, DateSpan, Inspection, LabMethod, Reading, Sex, Source};

    fn pig(gross: Option<bool>, result: Option<LabResult>) -> Pig {
        let inspection = Inspection {
            gross_lesion: gross,
            lab_result: result,
            lab_method: result.map(|_| LabMethod::Culture),
            node_pairs: Some(vec![
                crate::records::NodePair::Mandibular,
                crate::records::NodePair::Parotid,
                crate::records::NodePair::Retropharyngeal,
            ]),
            ..Inspection::default()
        };
        Pig {
            id: "P".into(),
            source: Source { file: "p.csv".into(), row: 1 },
            easting_m: 0.0,
            northing_m: 0.0,
            position_sd_m: 40.0,
            sex: Sex::Female,
            killed: DateSpan::day(jiff::civil::date(2020, 5, 1)),
            age: Age::Unknown,
            released_on: None,
            reading: inspection.reading().unwrap_or(Reading::Clear),
            inspection,
        }
    }

    /// Without a laboratory the terms are the gross inspection's; with every lesion sent they near those of
    /// both in series.
    #[test]
    fn the_ends_are_the_protocols_of_the_likelihood() {
        let d = Detection::default();
        let gross: Vec<Pig> = (0..4000).map(|i| pig(Some(i % 2 == 0), None)).collect();
        let (se, f) = Practice::of(&gross, &d).terms(&gross[1]);
        // Half a head in two thousand is what leaning on nothing leaves.
        assert!((se - 0.76).abs() < 1e-3 && (f - 0.006).abs() < 1e-5, "{se} {f}");
        let sent: Vec<Pig> =
            (0..4000)
                .map(|i| {
                    if i % 2 == 0 {
                        pig(Some(true), Some(LabResult::Negative))
                    } else {
                        pig(Some(false), None)
                    }
                })
                .collect();
        let (se, f) = Practice::of(&sent, &d).terms(&sent[1]);
        assert!((se - 0.76 * 0.82).abs() < 1e-3 && (f - 0.0003).abs() < 1e-5, "{se} {f}");
        // A head of which the laboratory alone spoke keeps the likelihood's protocol.
        let alone = pig(None, Some(LabResult::Negative));
        assert_eq!(Practice::of(&sent, &d).terms(&alone), (0.82, 0.0003));
    }
}
