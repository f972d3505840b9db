//! A district with known truth, and the scoring of an answer against it.
//!
//! The simulator follows individual pigs and is not the inference model run backwards:
//! its hazard is a sum of growing and dying pockets, its pigs wander week by week about
//! drifting centres, leave home along rays, are shot where effort is, and are aged by a
//! jaw that is sometimes wrong. What each part assumes stands at the head of its file.
//!
//! | file | question it answers |
//! | --- | --- |
//! | `scenario` | what is asked for: parameters, limits, presets |
//! | `land`, `shape` | the island: cover, areas, blocks, pig density, hunting effort |
//! | `foci`, `pockets` | the true force of infection; how pockets and operations are drawn |
//! | `herd`, `hunt`, `examine` | pigs' lives; who is shot; what is written down |
//! | `district`, `write`, `truth`, `tables` | the whole; its study folder; its truth folder |
//! | `power` | how often a study of a given size finds one focus |
//! | `score`, `score_cells`, `score_pigs`, `score_areas`, `score_foci`, `score_freedom` | how good an answer is |
//! | `answer`, `tally`, `rivals`, `pool`, `score_text` | what it was read from, counted by, compared with, shown as |
//! | `control` | what treating the chosen blocks truly removes |
//!
//! ```
//! use pignut::simulate::{Scenario, simulate};
//! let small = Scenario { pigs_target: 200, extent_km: 16.0, ..Scenario::fresh(3) };
//! let district = simulate(&small)?;
//! assert_eq!(district.pigs.len(), 200);
//! # Ok::<(), pignut::simulate::ScenarioError>(())
//! ```

mod answer;
mod control;
mod district;
mod examine;
mod foci;
mod herd;
mod hunt;
mod land;
mod names;
mod noise;
mod pockets;
mod pool;
mod power;
mod rivals;
mod scenario;
mod score;
mod score_areas;
mod score_cells;
mod score_foci;
mod score_freedom;
mod score_pigs;
mod score_text;
mod shape;
mod tables;
mod tally;
mod truth;
mod write;

pub use control::{Control, ControlRival, Order};
pub use district::{District, simulate};
pub use examine::{PigRow, PigTruth};
pub use foci::{Cause, Decline, Focus, hazard_per_year, square_mean_per_year};
pub use herd::Infection;
pub use pool::{Climatology, Pooled, PooledControl, Spread, pool};
pub use power::{Power, PowerQuestion, PowerRow, part_finds, power};
pub use rivals::{Rival, Window, plain_scores};
pub use scenario::{Layout, Scenario, ScenarioError};
pub use score::{HotCells, Score, ScoreError, check_truth, score};
pub use score_areas::{AREA_EDGES, AreaBin, AreaStated, area_bins};
pub use score_cells::{ScoredCell, scored_cells};
pub use score_foci::{FOCUS_CLASSES, FOUND_AT, FocusClass, FocusFound, NEW_YEARS, SMALL_M};
pub use score_freedom::{FREEDOM_EDGES, FreedomBin, FreedomScore};
pub use score_pigs::{OriginLevel, Positives, WindowClass};
pub use tables::TableError;
pub use tally::{BIN_EDGES, Bin, Count, Coverage, auc, brier, calibration_error, log_score, reliability};
pub use truth::{TrueOperation, Truth, TruthPig};
pub use write::{WriteError, write};

/// First and last moment of the records, day numbers.
fn study_days(s: &Scenario) -> (f64, f64) {
    let new_year = |year: i16| crate::record::day_number(jiff::civil::date(year, 1, 1));
    (new_year(s.start_year), new_year(s.start_year + s.years as i16))
}

/// Id of a block.
fn block_id(block: usize) -> String {
    format!("B{:02}", block + 1)
}
