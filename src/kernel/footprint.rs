//! A pig's window on the grid: gathering hazards from it, scattering gradients into it.

/// One pig's place, periods and reading.
#[derive(Debug, Clone)]
pub(super) struct Footprint {
    pub row: usize,
    pub rows: usize,
    pub col: usize,
    /// Width of the window, padded with zero mass to a multiple of four where the grid allows.
    pub cols: usize,
    pub row_mass: usize,
    pub col_mass: usize,
    pub period: usize,
    pub periods: usize,
    /// Offset of this pig's gathered hazards.
    pub gathered: usize,
    pub disperses: bool,
    pub a: f64,
    pub b: f64,
    pub lives: std::ops::Range<usize>,
}

/// Fields → gathered hazards of every pig; compiled for each width of instructions.
pub(super) struct Gather<'a> {
    pub pigs: &'a [Footprint],
    pub axis: &'a [f64],
    pub periods: usize,
    pub cols: usize,
    pub fields: [&'a [f64]; 2],
    pub out: [&'a mut [f64]; 2],
}

impl pulp::WithSimd for Gather<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let [stay, moved] = self.out;
        for pig in self.pigs {
            let out = pig.gathered..pig.gathered + pig.periods;
            gather_pig(pig, self.axis, self.fields[0], self.periods, self.cols, &mut stay[out.clone()]);
            if pig.disperses {
                gather_pig(pig, self.axis, self.fields[1], self.periods, self.cols, &mut moved[out]);
            }
        }
    }
}

/// Gradients by gathered hazards → fields; compiled for each width of instructions.
pub(super) struct Scatter<'a> {
    pub pigs: &'a [Footprint],
    pub axis: &'a [f64],
    pub periods: usize,
    pub cols: usize,
    pub by: [&'a [f64]; 2],
    pub fields: [&'a mut [f64]; 2],
}

impl pulp::WithSimd for Scatter<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let [by_hazard, by_dispersed] = self.fields;
        for pig in self.pigs {
            let from = pig.gathered..pig.gathered + pig.periods;
            scatter_pig(pig, self.axis, &self.by[0][from.clone()], self.periods, self.cols, by_hazard);
            if pig.disperses {
                scatter_pig(pig, self.axis, &self.by[1][from], self.periods, self.cols, by_dispersed);
            }
        }
    }
}

/// Start and width of a window widened to a multiple of four within the grid.
pub(super) fn padded(start: usize, width: usize, n: usize) -> (usize, usize) {
    let wide = width.div_ceil(4) * 4;
    if wide > n {
        return (start, width);
    }
    (start.min(n - wide), wide)
}

macro_rules! by_width {
    ($cols:expr, $fixed:ident, $slow:ident, $($arg:expr),*) => {
        match $cols {
            4 => $fixed::<4>($($arg),*),
            8 => $fixed::<8>($($arg),*),
            12 => $fixed::<12>($($arg),*),
            16 => $fixed::<16>($($arg),*),
            20 => $fixed::<20>($($arg),*),
            24 => $fixed::<24>($($arg),*),
            _ => $slow($($arg),*),
        }
    };
}

#[inline(always)]
fn gather_pig(pig: &Footprint, axis: &[f64], field: &[f64], periods: usize, cols: usize, out: &mut [f64]) {
    by_width!(pig.cols, gather_fixed, gather_any, pig, axis, field, periods, cols, out)
}

#[inline(always)]
fn gather_fixed<const W: usize>(
    pig: &Footprint,
    axis: &[f64],
    field: &[f64],
    periods: usize,
    cols: usize,
    out: &mut [f64],
) {
    let wy = &axis[pig.row_mass..pig.row_mass + pig.rows];
    let wx: &[f64; W] = axis[pig.col_mass..].first_chunk().expect("the window's mass has its width");
    let step = periods * cols;
    let start = |p: usize| (pig.row * periods + pig.period + p) * cols + pig.col;
    // Two periods at a time: their sums do not wait for one another.
    let mut pairs = out.chunks_exact_mut(2);
    let mut p = 0;
    for out in &mut pairs {
        let (mut a, mut b) = ([0.0; W], [0.0; W]);
        let mut at = start(p);
        for m in wy {
            let here: &[f64; W] = field[at..].first_chunk().expect("the window lies on the grid");
            let next: &[f64; W] = field[at + cols..].first_chunk().expect("the window lies on the grid");
            for j in 0..W {
                a[j] += m * here[j];
                b[j] += m * next[j];
            }
            at += step;
        }
        (out[0], out[1]) = (four_lanes(&a, wx), four_lanes(&b, wx));
        p += 2;
    }
    if let [out] = pairs.into_remainder() {
        let mut a = [0.0; W];
        let mut at = start(p);
        for m in wy {
            let here: &[f64; W] = field[at..].first_chunk().expect("the window lies on the grid");
            for j in 0..W {
                a[j] += m * here[j];
            }
            at += step;
        }
        *out = four_lanes(&a, wx);
    }
}

/// Inner product in four interleaved sums: one sum after another would keep the compiler from
/// holding the accumulators in wide registers.
#[inline(always)]
fn four_lanes<const W: usize>(a: &[f64; W], w: &[f64; W]) -> f64 {
    let mut lanes = [0.0; 4];
    for (a, w) in a.chunks_exact(4).zip(w.chunks_exact(4)) {
        for j in 0..4 {
            lanes[j] += a[j] * w[j];
        }
    }
    (lanes[0] + lanes[2]) + (lanes[1] + lanes[3])
}

#[inline(always)]
fn gather_any(pig: &Footprint, axis: &[f64], field: &[f64], periods: usize, cols: usize, out: &mut [f64]) {
    let wy = &axis[pig.row_mass..pig.row_mass + pig.rows];
    let wx = &axis[pig.col_mass..pig.col_mass + pig.cols];
    for (p, out) in out.iter_mut().enumerate() {
        let mut at = (pig.row * periods + pig.period + p) * cols + pig.col;
        *out = 0.0;
        for m in wy {
            let line = &field[at..at + pig.cols];
            *out += m * line.iter().zip(wx).map(|(a, b)| a * b).sum::<f64>();
            at += periods * cols;
        }
    }
}

#[inline(always)]
fn scatter_pig(pig: &Footprint, axis: &[f64], by: &[f64], periods: usize, cols: usize, field: &mut [f64]) {
    by_width!(pig.cols, scatter_fixed, scatter_any, pig, axis, by, periods, cols, field)
}

#[inline(always)]
fn scatter_fixed<const W: usize>(
    pig: &Footprint,
    axis: &[f64],
    by: &[f64],
    periods: usize,
    cols: usize,
    field: &mut [f64],
) {
    let wy = &axis[pig.row_mass..pig.row_mass + pig.rows];
    let wx: &[f64; W] = axis[pig.col_mass..].first_chunk().expect("the window's mass has its width");
    for (p, g) in by.iter().enumerate() {
        let mut at = (pig.row * periods + pig.period + p) * cols + pig.col;
        for m in wy {
            let line: &mut [f64; W] = field[at..].first_chunk_mut().expect("the window lies on the grid");
            let k = m * g;
            for j in 0..W {
                line[j] += k * wx[j];
            }
            at += periods * cols;
        }
    }
}

#[inline(always)]
fn scatter_any(pig: &Footprint, axis: &[f64], by: &[f64], periods: usize, cols: usize, field: &mut [f64]) {
    let wy = &axis[pig.row_mass..pig.row_mass + pig.rows];
    let wx = &axis[pig.col_mass..pig.col_mass + pig.cols];
    for (p, g) in by.iter().enumerate() {
        let mut at = (pig.row * periods + pig.period + p) * cols + pig.col;
        for m in wy {
            for (f, w) in field[at..at + pig.cols].iter_mut().zip(wx) {
                *f += m * g * w;
            }
            at += periods * cols;
        }
    }
}
