//! The recursion over the bins of every life, eight lives at a time.

use crate::kernel::exposure::{LagBin, Life};
use crate::numerics::real::{Real, wide};
use crate::numerics::sliced_matrix::{ROWS, SlicedRows};

/// Bins whose mean ramps differ by less than this have one visibility: rounding of the ramp's integral.
const SAME_RAMP: f64 = 1e-12;

/// Bins of consecutive periods with one and the same visibility: to the recursion they are one bin.
///
/// Within it Σ_k R̄ e^(−older)(1 − e^(−h_k)) telescopes to R̄ e^(−older)(1 − e^(−Σh)). With the default ramp
/// a life is then some five runs, however long.
#[derive(Debug, Clone)]
struct Run {
    ramp: f64,
    /// Years of exposure to each gathered hazard.
    years: Vec<(u32, f64)>,
}

/// A life on its way into the layout.
#[derive(Debug, Clone)]
pub(crate) struct LooseLife {
    pig: u32,
    weight: f64,
    /// Oldest first.
    runs: Vec<Run>,
}

impl LooseLife {
    /// The runs of a life. `resident` and `before` give the place among the gathered hazards of a period as a
    /// resident, and before dispersal.
    pub(crate) fn new(
        pig: usize,
        life: &Life,
        resident: impl Fn(usize) -> usize,
        before: impl Fn(usize) -> usize,
    ) -> LooseLife {
        // Oldest first: the recursion runs forward in time.
        let bins: Vec<&LagBin> = life.bins.iter().rev().collect();
        let one_run =
            |a: &&LagBin, b: &&LagBin| b.period == a.period + 1 && (b.ramp - a.ramp).abs() < SAME_RAMP;
        let runs = bins.chunk_by(one_run).map(|bins| {
            let mut years = Vec::new();
            for b in bins {
                years.push((resident(b.period) as u32, b.stay_years));
                if b.moved_years > 0.0 {
                    years.push((before(b.period) as u32, b.moved_years));
                }
            }
            Run { ramp: bins[0].ramp, years }
        });
        LooseLife { pig: pig as u32, weight: life.weight, runs: runs.collect() }
    }

    fn length(&self) -> (usize, usize) {
        (self.runs.len(), self.runs.iter().map(|r| r.years.len()).sum())
    }
}

/// All lives of all pigs, laid out for speed: eight lives of about one length side by side.
///
/// # Formula
/// ```text
/// Q = Σ_lives π Σ_k R̄_k exp(−Σ_{older} h)(1 − e^(−h_k))
/// ∂Q/∂h_j = R̄_j e^(−Σ_{older} h − h_j) − Σ_{newer k} R̄_k e^(−Σ_{older} h)(1 − e^(−h_k))
/// ```
pub(crate) struct Lives<R> {
    /// Pig and weight of each life, eight a batch; an empty place has weight 0.
    pigs: Vec<[u32; ROWS]>,
    weights: Vec<[R; ROWS]>,
    /// Where each batch's runs end.
    ends: Vec<usize>,
    /// Ramp of each run of each lane, oldest first; a shorter life is preceded by runs without exposure.
    ramps: Vec<[R; ROWS]>,
    /// From gathered hazards to h of each run.
    exposure: SlicedRows<R>,
    /// 1 − e^(−h) of each run; then, in place, what the transpose is applied to.
    by_run: Vec<R>,
    /// π ∂Q/∂h of each run, of the last evaluation.
    slopes: Vec<R>,
}

impl<R: Real> Lives<R> {
    /// Lays out lives.
    pub(crate) fn new(mut lives: Vec<LooseLife>) -> Lives<R> {
        // Stable: lives of one length stay in the order of their pigs.
        lives.sort_by_key(LooseLife::length);
        let (mut pigs, mut weights, mut ends, mut ramps, mut rows) =
            (Vec::new(), Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for batch in lives.chunks(ROWS) {
            let longest = batch.iter().map(|l| l.runs.len()).max().unwrap_or(0);
            let (mut pig, mut weight) = ([0; ROWS], [R::zero(); ROWS]);
            for (lane, life) in batch.iter().enumerate() {
                (pig[lane], weight[lane]) = (life.pig, R::of(life.weight));
            }
            for k in 0..longest {
                let mut ramp = [R::zero(); ROWS];
                for (lane, ramp) in ramp.iter_mut().enumerate() {
                    let run = batch
                        .get(lane)
                        .and_then(|l| (k + l.runs.len()).checked_sub(longest).map(|k| &l.runs[k]));
                    *ramp = run.map_or(R::zero(), |r| R::of(r.ramp));
                    rows.push(run.map_or(Vec::new(), |r| r.years.clone()));
                }
                ramps.push(ramp);
            }
            pigs.push(pig);
            weights.push(weight);
            ends.push(ramps.len());
        }
        Lives {
            exposure: SlicedRows::new(&rows),
            by_run: vec![R::zero(); rows.len()],
            slopes: vec![R::zero(); rows.len()],
            pigs,
            weights,
            ends,
            ramps,
        }
    }

    /// Adds each life's Q, times its weight, to its pig.
    pub(crate) fn q(&mut self, gathered: &[R], q: &mut [f64]) {
        self.exposure.apply(gathered, &mut self.by_run);
        wide(
            #[inline(always)]
            || {
                self.by_run.iter_mut().for_each(|h| *h = h.one_minus_exp_neg());
                let (infected, slopes) =
                    (self.by_run.as_chunks::<ROWS>().0, self.slopes.as_chunks_mut::<ROWS>().0);
                let mut from = 0;
                for ((pigs, weights), &to) in self.pigs.iter().zip(&self.weights).zip(&self.ends) {
                    let of_lives = eight_lives(
                        &self.ramps[from..to],
                        &infected[from..to],
                        *weights,
                        &mut slopes[from..to],
                    );
                    for (pig, of_life) in pigs.iter().zip(of_lives) {
                        q[*pig as usize] += of_life.f64();
                    }
                    from = to;
                }
            },
        );
    }

    /// From a factor a pig to the gradient by gathered hazards: Σ factor · ∂Q/∂h · ∂h/∂gathered.
    pub(crate) fn spread(&mut self, factor: &[f64], by_gathered: &mut [R]) {
        let (by_run, slopes) = (self.by_run.as_chunks_mut::<ROWS>().0, self.slopes.as_chunks::<ROWS>().0);
        let mut from = 0;
        for (pigs, &to) in self.pigs.iter().zip(&self.ends) {
            let factor = pigs.map(|pig| R::of(factor[pig as usize]));
            for (by, slope) in by_run[from..to].iter_mut().zip(&slopes[from..to]) {
                *by = std::array::from_fn(|i| factor[i] * slope[i]);
            }
            from = to;
        }
        self.exposure.apply_transposed(&self.by_run, by_gathered);
    }

    /// Adds to each pig the change of its Q with a change of the gathered hazards, at the last evaluation.
    pub(crate) fn change(&mut self, gathered: &[R], change: &mut [f64]) {
        self.exposure.apply(gathered, &mut self.by_run);
        let (by_run, slopes) = (self.by_run.as_chunks::<ROWS>().0, self.slopes.as_chunks::<ROWS>().0);
        let mut from = 0;
        for (pigs, &to) in self.pigs.iter().zip(&self.ends) {
            for (h, slope) in by_run[from..to].iter().zip(&slopes[from..to]) {
                for i in 0..ROWS {
                    change[pigs[i] as usize] += (h[i] * slope[i]).f64();
                }
            }
            from = to;
        }
    }
}

/// π Q of eight lives, and π ∂Q/∂h of each of their runs (oldest first).
///
/// Lanes are taken and put by value: through references the compiler would do them one by one.
#[inline(always)]
fn eight_lives<R: Real>(
    ramps: &[[R; ROWS]],
    infected: &[[R; ROWS]],
    weights: [R; ROWS],
    slopes: &mut [[R; ROWS]],
) -> [R; ROWS] {
    let (mut survive, mut q) = ([R::one(); ROWS], [R::zero(); ROWS]);
    for ((ramp, infected), slope) in ramps.iter().zip(infected).zip(slopes.iter_mut()) {
        let (ramp, infected) = (*ramp, *infected);
        q = std::array::from_fn(|i| q[i] + ramp[i] * survive[i] * infected[i]);
        survive = std::array::from_fn(|i| survive[i] * (R::one() - infected[i]));
        // First half of the derivative; what newer bins contribute is taken away below.
        *slope = std::array::from_fn(|i| ramp[i] * survive[i] + q[i]);
    }
    for slope in slopes {
        let first = *slope;
        *slope = std::array::from_fn(|i| weights[i] * (first[i] - q[i]));
    }
    std::array::from_fn(|i| weights[i] * q[i])
}
