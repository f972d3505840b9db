//! Colours and classes of the map's figures, shared by drawings, legend and script.
//!
//! Each figure is drawn in steps, not in a continuous ramp: a step can be named in the legend and
//! told from its neighbour on a grey print. Lightness falls from step to step in every ramp.

use crate::study::study_file::Study;
use serde::Serialize;

/// Plum, light to dark: force of infection and the probability of being active.
pub(crate) const PLUM: [&str; 7] =
    ["#fbf6f8", "#f0dde6", "#dfb6cb", "#c688aa", "#a35685", "#76305f", "#431539"];
/// Pine, light to dark: how well we have looked.
pub(crate) const PINE: [&str; 6] = ["#f6f7f2", "#dbe5dc", "#b2cac1", "#7ea59d", "#4a7b76", "#1d4f4e"];
/// Active, possible, quiet, unseen (which is hatched).
pub(crate) const STANDING: [&str; 4] = ["#5a1f4a", "#c688aa", "#dde6dc", "#fbfaf6"];

/// ColourSteps of one figure: colours and the values between them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct ColourSteps {
    /// Colour of each step.
    pub colours: Vec<&'static str>,
    /// Values between steps, rising, one fewer than the colours.
    pub edges: Vec<f64>,
}

impl ColourSteps {
    /// Which step holds a value.
    pub(crate) fn step(&self, v: f64) -> usize {
        self.edges.iter().filter(|e| v >= **e).count()
    }
}

/// Force of infection per pig-year: steps about the study's threshold, which is one of them.
pub(crate) fn force_of_infection(study: &Study) -> ColourSteps {
    let t = study.recent.force_of_infection_threshold;
    ColourSteps {
        colours: PLUM.to_vec(),
        edges: [0.2, 0.4, 1.0, 2.0, 4.0, 8.0].map(|f| (f * t * 1e9).round() / 1e9).to_vec(),
    }
}

/// Probability of being active: 0.1 and 0.5, where the standing changes, are steps.
pub(crate) fn p_active() -> ColourSteps {
    ColourSteps { colours: PLUM.to_vec(), edges: vec![0.02, 0.05, 0.1, 0.25, 0.5, 0.75] }
}

/// Share of the posterior samples in whose best set a block is.
pub(crate) fn in_best() -> ColourSteps {
    ColourSteps { colours: PLUM[..6].to_vec(), edges: vec![0.05, 0.2, 0.4, 0.6, 0.8] }
}

/// Surveillance sensitivity: the last step is the study's target reached.
pub(crate) fn coverage(study: &Study) -> ColourSteps {
    let t = study.coverage.target;
    ColourSteps {
        colours: PINE.to_vec(),
        edges: [0.2, 0.4, 0.6, 0.8, 1.0].map(|f| (f * t * 1e4).round() / 1e4).to_vec(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance after WCAG 2.1 (definition in its glossary).
    fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let v = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    #[test]
    fn ramps_darken_step_by_step_so_that_grey_prints_read() {
        for ramp in [&PLUM[..], &PINE[..]] {
            for pair in ramp.windows(2) {
                let ratio = (luminance(pair[0]) + 0.05) / (luminance(pair[1]) + 0.05);
                assert!(ratio > 1.15, "{pair:?} differ by {ratio:.2}");
            }
        }
    }

    #[test]
    fn a_step_begins_at_its_edge() {
        let s = p_active();
        assert_eq!([s.step(0.0), s.step(0.0999), s.step(0.1), s.step(0.5), s.step(1.0)], [0, 2, 3, 5, 6]);
    }
}
