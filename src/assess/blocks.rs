//! Control blocks: what is expected to be active inside, sample by sample and host by host.

use crate::assess::cells::{CellFigures, Standing};
use crate::assess::spread::Spread;
use crate::geography::area_shares::area_of;
use crate::geography::layout::Layout;
use crate::kernel::detection::{Ramp, protocol};
use crate::records::{
    DAYS_PER_MONTH, DAYS_PER_YEAR, Inspection, LabMethod, LabResult, NodePair, WildlifeHost,
};
use crate::study::study_file::Study;
use jiff::civil::Date;
use rayon::prelude::*;

/// What is known of one block.
#[derive(Debug, Clone)]
pub struct BlockFigures {
    /// Index among the study's blocks.
    pub block: usize,
    /// Area on the grid, hectares.
    pub area_ha: f64,
    /// Expected active area Σ share × cell area × p_active over land that pigs' ranges reach, hectares.
    pub expected_active_ha: f64,
    /// Active area over the samples, hectares.
    pub active_ha: Spread,
    /// Active area carried by possums and by ferrets, expected, hectares.
    pub by_host_ha: [f64; 2],
    /// Hectares active, possible, quiet, unseen.
    pub standing_ha: [f64; 4],
    /// Standing of the block as a whole; `None` when none of it lies on the grid.
    pub standing: Option<Standing>,
    /// Pigs killed inside, and how many of them are positive or suspect.
    pub pigs: (usize, usize),
    /// Last day of the latest operation, with the host it was aimed at.
    pub last_operation: Option<(Date, WildlifeHost)>,
}

/// What the samples say of one block, for choosing among blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockDraws {
    /// Active area carried by possums and by ferrets, hectares, one value a sample.
    pub active_ha: [Vec<f32>; 2],
    /// Centre of the active area expected, by host, metres east and north; `None` where none is expected.
    pub centre_m: [Option<(f64, f64)>; 2],
    /// Probability that a pig of the study's sample, living in the block, reads positive, one value a sample.
    pub sample_positive: Vec<f32>,
}

/// Standing of a block from its land active, possible, quiet and unseen, hectares.
///
/// A tenth of the land active makes it active; a tenth active or possible, possible; half unseen, unseen;
/// otherwise it is quiet. `None` without land.
///
/// # Example
/// ```
/// use pignut::internals::assess::blocks::standing_of;
/// use pignut::internals::assess::cells::Standing;
/// assert_eq!(standing_of(&[100.0, 0.0, 900.0, 0.0]), Some(Standing::Active));
/// assert_eq!(standing_of(&[50.0, 60.0, 890.0, 0.0]), Some(Standing::Possible));
/// assert_eq!(standing_of(&[0.0, 50.0, 400.0, 550.0]), Some(Standing::Unseen));
/// assert_eq!(standing_of(&[0.0, 0.0, 0.0, 0.0]), None);
/// ```
pub fn standing_of(ha: &[f64; 4]) -> Option<Standing> {
    let all: f64 = ha.iter().sum();
    if all <= 0.0 {
        return None;
    }
    Some(match (ha[0] / all, (ha[0] + ha[1]) / all, ha[3] / all) {
        (active, ..) if active >= 0.1 => Standing::Active,
        (_, raised, _) if raised >= 0.1 => Standing::Possible,
        (.., unseen) if unseen >= 0.5 => Standing::Unseen,
        _ => Standing::Quiet,
    })
}

/// Cells of every block with the hectares of each that lie in it.
fn land(layout: &Layout) -> Vec<Vec<(usize, f64)>> {
    let ha = layout.grid.cell_area_ha();
    let inside = |shares: &Vec<f64>| {
        shares.iter().enumerate().filter(|(_, s)| **s > 0.0).map(|(c, s)| (c, s * ha)).collect::<Vec<_>>()
    };
    layout.block_shares.iter().map(inside).collect()
}

/// Figures of every block, in the order of the records.
///
/// `resident`: samples × cells, per pig-year ([`crate::assess::cells::resident_samples`]), 0 where no pig's
/// range reaches.
pub(crate) fn figures(
    layout: &Layout,
    resident: &[Vec<f32>],
    cells: &[CellFigures],
    reached: &[bool],
) -> Vec<BlockFigures> {
    let records = &layout.records;
    let threshold = layout.study.recent.force_of_infection_threshold;
    let boundaries = || records.blocks.iter().map(|b| &b.boundary);
    let of: Vec<Option<usize>> =
        records.pigs.iter().map(|p| area_of(boundaries(), p.easting_m, p.northing_m)).collect();
    let p_active = |c: usize| if reached[c] { cells[c].p_active } else { 0.0 };
    land(layout)
        .into_iter()
        .enumerate()
        .map(|(block, inside)| {
            let mut samples: Vec<f32> = resident
                .iter()
                .map(|d| {
                    inside.iter().filter(|(c, _)| f64::from(d[*c]) > threshold).map(|(_, ha)| ha).sum::<f64>()
                        as f32
                })
                .collect();
            let mut standing_ha = [0.0; 4];
            for (c, ha) in &inside {
                standing_ha[cells[*c].standing as usize] += ha;
            }
            let killed =
                || of.iter().enumerate().filter(|(_, b)| **b == Some(block)).map(|(i, _)| &records.pigs[i]);
            let carried = |v: WildlifeHost| {
                let share = layout.habitat.share(v);
                inside.iter().map(|(c, ha)| ha * share[*c] * p_active(*c)).sum()
            };
            BlockFigures {
                block,
                area_ha: inside.iter().map(|c| c.1).sum(),
                expected_active_ha: inside.iter().map(|(c, ha)| ha * p_active(*c)).sum(),
                active_ha: Spread::of(&mut samples),
                by_host_ha: WildlifeHost::BOTH.map(carried),
                standing_ha,
                standing: standing_of(&standing_ha),
                pigs: (killed().count(), killed().filter(|p| p.is_positive()).count()),
                last_operation: records
                    .operations
                    .iter()
                    .filter(|o| o.block == block)
                    .map(|o| (o.end, o.host))
                    .max_by_key(|o| o.0),
            }
        })
        .collect()
}

/// What the samples say of every block, in the order of the records.
///
/// # Formula
/// ```text
/// A_v = Σ_c ha(c) share_v(c) 1[r(c) > threshold]
/// centre_v = Σ_c w x_c / Σ_c w,  w = ha(c) share_v(c) p_active(c)
/// q   = Σ_c ha(c) [f + (1 − f) Se (1 − e^(−r(c) E))] / Σ_c ha(c),   E = ∫₀^(age − weaning) R
/// ```
/// r the resident hazard of the sample, R the lesion ramp, Se and f of a head with all node pairs opened and
/// its lesion cultured. q spreads the sampled pigs evenly over the block and lets each live where it was
/// shot.
pub(crate) fn samples(layout: &Layout, resident: &[Vec<f32>]) -> Vec<BlockDraws> {
    let threshold = layout.study.recent.force_of_infection_threshold;
    let sample = Sample::new(&layout.study);
    land(layout)
        .into_par_iter()
        .map(|inside| {
            let area = |v: WildlifeHost, d: &[f32]| {
                let share = layout.habitat.share(v);
                let active = inside.iter().filter(|(c, _)| f64::from(d[*c]) > threshold);
                active.map(|(c, ha)| ha * share[*c]).sum::<f64>() as f32
            };
            let all: f64 = inside.iter().map(|c| c.1).sum();
            let positive = |d: &Vec<f32>| {
                let sum: f64 = inside.iter().map(|(c, ha)| ha * sample.positive(f64::from(d[*c]))).sum();
                if all > 0.0 { (sum / all) as f32 } else { 0.0 }
            };
            let often = |c: usize| resident.iter().filter(|d| f64::from(d[c]) > threshold).count() as f64;
            let weight: Vec<f64> = inside.iter().map(|(c, ha)| ha * often(*c)).collect();
            let centre = |v: WildlifeHost| {
                let share = layout.habitat.share(v);
                let mut sum = (0.0, 0.0, 0.0);
                for ((c, _), w) in inside.iter().zip(&weight) {
                    let (at, w) = (layout.grid.centre(*c), w * share[*c]);
                    sum = (sum.0 + w, sum.1 + w * at.x, sum.2 + w * at.y);
                }
                (sum.0 > 0.0).then(|| (sum.1 / sum.0, sum.2 / sum.0))
            };
            BlockDraws {
                centre_m: WildlifeHost::BOTH.map(centre),
                active_ha: WildlifeHost::BOTH.map(|v| resident.iter().map(|d| area(v, d)).collect()),
                sample_positive: resident.iter().map(positive).collect(),
            }
        })
        .collect()
}

/// One pig of the sample taken before treating.
struct Sample {
    sensitivity: f64,
    false_positive: f64,
    exposed_years: f64,
}

impl Sample {
    fn new(study: &Study) -> Sample {
        let head = Inspection {
            node_pairs: Some(vec![NodePair::Parotid, NodePair::Mandibular, NodePair::Retropharyngeal]),
            one_sided: Vec::new(),
            gross_lesion: Some(true),
            lab_method: Some(LabMethod::Culture),
            lab_result: Some(LabResult::Positive),
        };
        let p = protocol(&study.detection, &head);
        let lived =
            (study.priorities.sample_age_months - study.exposure.start_months).max(0.0) * DAYS_PER_MONTH;
        Sample {
            sensitivity: p.sensitivity,
            false_positive: p.false_positive,
            exposed_years: Ramp::new(&study.detection).integral(lived) / DAYS_PER_YEAR,
        }
    }

    /// Probability of reading positive at a hazard per pig-year.
    fn positive(&self, hazard: f64) -> f64 {
        let visible = -(-hazard * self.exposed_years).exp_m1();
        self.false_positive + (1.0 - self.false_positive) * self.sensitivity * visible
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 18 months less 2 of weaning are 16; the ramp takes 1 + 1.5 of them: 13.5 months at 0.4 a
    /// year.
    #[test]
    fn a_sampled_pig_reads_positive_as_computed_by_hand() {
        let s = Sample::new(&Study::minimal("a", "EPSG:2193", "p.csv"));
        let se = 0.76 * 0.82;
        let expected = 0.0003 + 0.9997 * se * (1.0 - (-0.4f64 * 13.5 / 12.0).exp());
        assert!((s.positive(0.4) - expected).abs() < 1e-12, "{} {expected}", s.positive(0.4));
        assert!((s.positive(0.0) - 0.0003).abs() < 1e-15);
    }
}
