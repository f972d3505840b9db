//! One study from records to assessment: the pipeline that `run`, the demo and the tests share; and the same again under
//! other inputs ([`sensitivity`]) or without an area's pigs ([`held_out`]).

pub mod conclusions;
pub mod held_out;
pub mod reruns;
pub mod sensitivity;

use crate::assess::habitat::Habitat;
use crate::assess::{self, Assessment, Situation, priorities, shares_of, watches};
use crate::grid::Grid;
use crate::ingest::{self, IngestError, Ingested};
use crate::kernel::likelihood::Likelihood;
use crate::kernel::model::Model;
use crate::kernel::operations::covariates;
use crate::kernel::posterior::{Posterior, Watch, sample, shape_of};
use crate::num::real::Real;
use crate::record::{Age, DAYS_PER_MONTH, DAYS_PER_YEAR, Pig, Records, date_of_day, day_number};
use crate::study::Study;
use geo::{BoundingRect, Coord};
use jiff::civil::Date;

/// Most unknowns of a field: beyond it a run would need more memory than a desk machine has.
pub const MOST_UNKNOWNS: usize = 60_000_000;

/// Why a study cannot be analysed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AnalysisError {
    /// The records cannot be read.
    #[error(transparent)]
    Ingest(#[from] IngestError),
    /// The grid would be too large.
    #[error(
        "the grid would have {rows} × {cols} cells and {periods} periods, {unknowns} unknowns in all; raise grid.cell_m or grid.period_months, or split the study; farthest from the rest lies {farthest}"
    )]
    TooLarge {
        /// Rows.
        rows: usize,
        /// Columns.
        cols: usize,
        /// Periods.
        periods: usize,
        /// Their product.
        unknowns: usize,
        /// The record or area that lies farthest from the middle of the records, and how far.
        farthest: String,
    },
    /// The priorities cannot be met.
    #[error(transparent)]
    Priorities(#[from] priorities::ChoiceError),
    /// The worker threads cannot be started.
    #[error("the worker threads cannot be started: {0}; try run.threads = 1")]
    Threads(String),
}

/// Where a run stands, for a progress bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Progress {
    /// Records read.
    Read,
    /// One more trajectory of `of`.
    Trajectory {
        /// Trajectories of all chains, as planned so far.
        of: usize,
    },
    /// Share of the assessment done.
    Assessing(f64),
    /// So many more steps of the `of` that all re-runs together take.
    Rerun {
        /// Steps done.
        steps: usize,
        /// Steps of all re-runs.
        of: usize,
    },
}

/// A study laid out on its grid, before sampling.
#[derive(Clone)]
pub struct Layout {
    /// The study.
    pub study: Study,
    /// What was read.
    pub ingested: Ingested,
    /// Its grid.
    pub grid: Grid,
    /// Share of each cell in each zone.
    pub zone_shares: Vec<Vec<f64>>,
    /// Share of each cell in each block.
    pub block_shares: Vec<Vec<f64>>,
    /// Which host carries the disease in each cell.
    pub habitat: Habitat,
}

/// A finished analysis.
pub struct Analysis {
    /// The study on its grid.
    pub layout: Layout,
    /// Draws of the hazard.
    pub posterior: Posterior,
    /// What was watched for convergence.
    pub watches: Vec<Watch>,
    /// The figures.
    pub assessment: Assessment,
    /// Wall-clock seconds: reading, sampling, assessing.
    pub seconds: [f64; 3],
    /// What holds under other inputs, where that was asked for.
    pub sensitivity: Option<sensitivity::Sensitivity>,
    /// How areas are predicted from the others, where that was asked for.
    pub held_out: Option<held_out::HeldOut>,
}

impl Layout {
    /// Lays records out on a grid.
    ///
    /// # Errors
    /// [`AnalysisError::TooLarge`]; [`AnalysisError::Priorities`] when the priorities name a block or area
    /// that is not there, exclude each other, or cost more than the budget: said before any sampling.
    pub fn new(study: Study, ingested: Ingested) -> Result<Layout, AnalysisError> {
        let grid = grid_for(&study, &ingested.records, ingested.as_of)?;
        let zone_shares = shares_of(&grid, ingested.records.zones.iter().map(|z| &z.outline));
        let block_shares = shares_of(&grid, ingested.records.blocks.iter().map(|b| &b.outline));
        let habitat = Habitat::of(&grid, &ingested.records.cover, &study.priorities);
        let layout = Layout { study, ingested, grid, zone_shares, block_shares, habitat };
        priorities::check(&priorities::Slate::of(&layout.situation(), &[]), &layout.study.priorities)?;
        Ok(layout)
    }

    /// Reads a study's records and lays them out.
    ///
    /// # Errors
    /// As [`ingest::read_study`] and [`Layout::new`].
    pub fn read(study: Study) -> Result<Layout, AnalysisError> {
        let ingested = ingest::read_study(&study)?;
        Layout::new(study, ingested)
    }

    /// The study's data as the assessment sees them.
    pub fn situation(&self) -> Situation<'_> {
        Situation {
            study: &self.study,
            records: &self.ingested.records,
            grid: &self.grid,
            as_of: self.ingested.as_of,
            zone_shares: &self.zone_shares,
            block_shares: &self.block_shares,
            habitat: &self.habitat,
        }
    }

    /// A model of this layout: field, operations, pigs.
    pub fn model<R: Real>(&self) -> Model<R> {
        let records = &self.ingested.records;
        let ops = covariates(&self.study.field, &self.grid, &records.operations, &self.block_shares);
        let likelihood = Likelihood::new(&records.pigs, &self.study, &self.grid);
        Model::new(&self.study.field, shape_of(&self.study, &self.grid), ops, likelihood)
    }

    /// The record with an id.
    pub fn pig(&self, id: &str) -> Option<&Pig> {
        self.ingested.records.pigs.iter().find(|p| p.id == id)
    }

    /// Worker threads as the study asks.
    ///
    /// # Errors
    /// [`AnalysisError::Threads`].
    fn pool(&self) -> Result<rayon::ThreadPool, AnalysisError> {
        let builder = rayon::ThreadPoolBuilder::new().num_threads(self.study.run.threads);
        builder.build().map_err(|e| AnalysisError::Threads(e.to_string()))
    }

    /// Samples, without assessing.
    ///
    /// # Errors
    /// [`AnalysisError::Threads`].
    pub fn sample(&self, progress: &(dyn Fn(Progress) + Sync)) -> Result<(Posterior, Vec<Watch>), AnalysisError> {
        let watches = watches(&self.situation());
        let run = &self.study.run;
        let posterior = self.pool()?.install(|| {
            sample(&self.study, self.model(), &|| self.model(), &watches, &|planned| {
                progress(Progress::Trajectory { of: run.chains * (run.warmup + planned) })
            })
        });
        Ok((posterior, watches))
    }

    /// Samples and assesses.
    ///
    /// # Errors
    /// [`AnalysisError::Threads`].
    pub fn analyse(self, progress: &(dyn Fn(Progress) + Sync)) -> Result<Analysis, AnalysisError> {
        let start = std::time::Instant::now();
        let (posterior, watches) = self.sample(progress)?;
        let sampled = start.elapsed().as_secs_f64();
        let situation = self.situation();
        let assessment = self
            .pool()?
            .install(|| assess::assess(&situation, &posterior, &|share| progress(Progress::Assessing(share))));
        let seconds = [0.0, sampled, start.elapsed().as_secs_f64() - sampled];
        Ok(Analysis { layout: self, posterior, watches, assessment, seconds, sensitivity: None, held_out: None })
    }
}

/// Reads, samples and assesses a study.
///
/// # Errors
/// [`AnalysisError`]: records unreadable, grid too large, threads not to be had.
pub fn analyse(study: Study, progress: &(dyn Fn(Progress) + Sync)) -> Result<Analysis, AnalysisError> {
    let start = std::time::Instant::now();
    let layout = Layout::read(study)?;
    let read = start.elapsed().as_secs_f64();
    progress(Progress::Read);
    let mut analysis = layout.analyse(progress)?;
    analysis.seconds[0] = read;
    Ok(analysis)
}

/// The grid of a study: pigs, zones and treated blocks with a margin; from the earliest life worth
/// modelling to `as_of`.
fn grid_for(study: &Study, records: &Records, as_of: Date) -> Result<Grid, AnalysisError> {
    let mut min = Coord { x: f64::INFINITY, y: f64::INFINITY };
    let mut max = Coord { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY };
    let mut stretch = |x: f64, y: f64| {
        min = Coord { x: min.x.min(x), y: min.y.min(y) };
        max = Coord { x: max.x.max(x), y: max.y.max(y) };
    };
    for pig in &records.pigs {
        stretch(pig.easting_m, pig.northing_m);
    }
    for outline in records.zones.iter().map(|z| &z.outline).chain(records.blocks.iter().map(|b| &b.outline)) {
        if let Some(r) = outline.bounding_rect() {
            stretch(r.min().x, r.min().y);
            stretch(r.max().x, r.max().y);
        }
    }
    let death = |p: &Pig| day_number(p.killed.first);
    let first_kill = records.pigs.iter().map(death).fold(f64::INFINITY, f64::min);
    let earliest_life = records
        .pigs
        .iter()
        .map(|p| {
            let months = match p.age {
                Age::Interval { max_months, .. } => max_months.min(study.exposure.max_age_months),
                Age::Unknown => 96.0,
            };
            death(p) - months * DAYS_PER_MONTH
        })
        .fold(f64::INFINITY, f64::min);
    let first = earliest_life.max(first_kill - study.grid.lookback_years * DAYS_PER_YEAR);
    let first = if first.is_finite() { date_of_day(first) } else { as_of };
    let last_kill = records.pigs.iter().map(|p| p.killed.last).max().unwrap_or(as_of);
    let keys = &study.grid;
    // Sizes first: a stray record could ask for more memory than there is.
    let cells = |a: f64, b: f64| ((b - a + 2.0 * keys.margin_m) / keys.cell_m).ceil().max(2.0);
    let periods =
        12.0 / f64::from(keys.period_months) * (day_number(last_kill) - day_number(first)) / DAYS_PER_YEAR + 2.0;
    let (rows, cols) = (cells(min.y, max.y), cells(min.x, max.x));
    if rows * cols * periods > MOST_UNKNOWNS as f64 {
        return Err(AnalysisError::TooLarge {
            rows: rows as usize,
            cols: cols as usize,
            periods: periods as usize,
            unknowns: (rows * cols * periods) as usize,
            farthest: farthest(study, records),
        });
    }
    Ok(Grid::covering(min, max, keys.margin_m, keys.cell_m, first, last_kill.max(as_of), keys.period_months))
}

/// What lies farthest from the middle of the records: a slip there is why a grid is too large.
fn farthest(study: &Study, records: &Records) -> String {
    let middle = |of: &dyn Fn(&Pig) -> f64| {
        let mut all: Vec<f64> = records.pigs.iter().map(of).collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).copied().unwrap_or(0.0)
    };
    let (x, y) = (middle(&|p| p.easting_m), middle(&|p| p.northing_m));
    let pigs = records.pigs.iter().map(|p| {
        let at = format!("{} row {}, {}", p.source.file, p.source.row, p.id);
        ((p.easting_m - x).hypot(p.northing_m - y), at)
    });
    let files = [&study.areas.zones, &study.areas.blocks].map(|f| f.clone().unwrap_or_default());
    let zones = records.zones.iter().map(|z| (&files[0], &z.id, &z.outline));
    let areas = zones.chain(records.blocks.iter().map(|b| (&files[1], &b.id, &b.outline)));
    let areas = areas.filter_map(|(file, id, outline)| {
        let r = outline.bounding_rect()?;
        let far = |low: f64, high: f64, at: f64| (at - low).abs().max((high - at).abs());
        let away = far(r.min().x, r.max().x, x).hypot(far(r.min().y, r.max().y, y));
        Some((away, format!("{file}, area {id}")))
    });
    let most = pigs.chain(areas).max_by(|a, b| a.0.total_cmp(&b.0));
    most.map_or("nothing".into(), |(metres, what)| format!("{what}, {:.0} km", metres / 1000.0))
}
