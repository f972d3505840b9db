//! Prevalence behind a test that errs: Rogan and Gladen's estimate is where our likelihood is highest.

use super::cases;
use super::flat::{Subjects, pieces};
use pignut::internals::kernel::detection::reading_terms;
use pignut::internals::records::{Inspection, Reading};
use pignut::internals::study::model_keys::Detection;

#[test]
fn the_maximum_is_rogan_and_gladens() {
    let all = cases("imperfect-test.ref");
    assert_eq!(all.len(), 2);
    for case in all {
        let (positive, tested) = (case.list("positive"), case.list("tested"));
        let (se, sp) = (case.list("sensitivity"), case.list("specificity"));
        let found: Vec<f64> = (0..positive.len())
            .map(|i| {
                // Ours is the chance that infection shows; a false finding counts among the infected too:
                // P(+ | infected) = f + (1 − f) Se.
                let f = 1.0 - sp[i];
                let detection = Detection {
                    gross_sensitivity: (se[i] - f) / (1.0 - f),
                    unrecorded_share: 1.0,
                    false_lesion: f,
                    ..Detection::default()
                };
                let pig = |reading: Reading| {
                    let mut p = crate::common::small::pig(0.0, 0.0, jiff::civil::date(2020, 1, 1));
                    p.inspection =
                        Inspection { gross_lesion: Some(reading != Reading::Clear), ..Default::default() };
                    p.reading = reading;
                    reading_terms(&detection, &p)
                };
                let mut herd = Subjects::new(&[0.0, 1.0]);
                herd.add(0, 0.0, 1.0, pig(Reading::Suspect), positive[i]);
                herd.add(0, 0.0, 1.0, pig(Reading::Clear), tested[i] - positive[i]);
                let mut herd = herd.likelihood();
                let hazard = pieces(&herd.edges, &[0.0, 1.0]);
                let (rate, _, gradient) = herd.maximum(&hazard, &[0.5]);
                assert!(gradient[0].abs() < 1e-6);
                -(-rate[0]).exp_m1()
            })
            .collect();
        case.check("printed", &found);
        case.check("true_prevalence", &found);
        case.finish();
    }
}
