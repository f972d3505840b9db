//! Publishable layers: places moved to the squares of a lattice, small counts masked, no GPS position as
//! recorded.
//!
//! Files and columns: [`crate::contract::documents`].
//!
//! A square with fewer than [`LEAST_COUNT`] pigs shows no count; where one to four of more pigs are
//! positive, their number is masked. Nothing about a single pig is written: no id, no date finer than a year.

use crate::contract::documents::{PUBLIC_POSITIVES, PUBLIC_README, PUBLIC_SQUARES};
use crate::geography::coordinates::projector::Projector;
use crate::pipeline::analysis::Analysis;
use crate::records::date_of_day;
use crate::report::error::{PublicError, ReportError};
use crate::report::layers::builder::{LayerBuilder, Properties};
use geo::Coord;
use std::collections::{BTreeMap, BTreeSet};

/// Smallest side of a square, metres. Own choice: about the range of a pig, and far above any fix.
pub(crate) const LEAST_SIDE_M: f64 = 1000.0;
/// Largest side of a square, metres.
pub(crate) const MOST_SIDE_M: f64 = 200_000.0;
/// Counts from 1 to one less than this are masked (common practice, no source).
pub(crate) const LEAST_COUNT: usize = 5;
/// How near a written place may come to a recorded one, in steps of 1e-5 degrees (about a metre).
const STEPS_PER_DEGREE: f64 = 1e5;
/// Places the lattice is tried at before a study is refused.
const OFFSETS: u32 = 16;

/// Checks the side of the squares before any work.
///
/// # Errors
/// [`PublicError::Side`] unless it lies between the larger of [`LEAST_SIDE_M`] and the cell, and
/// [`MOST_SIDE_M`].
pub(crate) fn check_side(side_m: f64, cell_m: f64) -> Result<(), PublicError> {
    let least = LEAST_SIDE_M.max(cell_m);
    if (least..=MOST_SIDE_M).contains(&side_m) {
        return Ok(());
    }
    Err(PublicError::Side { side_m, least, most: MOST_SIDE_M })
}

/// Squares of one lattice: whole numbers of sides from an offset.
#[derive(Debug, Clone, Copy)]
struct Lattice {
    side_m: f64,
    offset_m: f64,
}

type Square = (i64, i64);

impl Lattice {
    fn square(&self, x: f64, y: f64) -> Square {
        let step = |v: f64| ((v - self.offset_m) / self.side_m).floor() as i64;
        (step(y), step(x))
    }
    fn corner(&self, square: Square, right: f64, up: f64) -> Coord<f64> {
        let at = |step: i64, share: f64| self.offset_m + (step as f64 + share) * self.side_m;
        Coord { x: at(square.1, right), y: at(square.0, up) }
    }
    fn corners(&self, s: Square) -> [Coord<f64>; 4] {
        [
            self.corner(s, 0.0, 0.0),
            self.corner(s, 1.0, 0.0),
            self.corner(s, 1.0, 1.0),
            self.corner(s, 0.0, 1.0),
        ]
    }
    fn centre(&self, s: Square) -> Coord<f64> {
        self.corner(s, 0.5, 0.5)
    }
}

/// What falls into one square.
#[derive(Debug, Clone, Default)]
struct Content {
    cells: usize,
    hazard_sum: f64,
    active_sum: f64,
    pigs: usize,
    positives: usize,
    /// First and last day of the infection windows.
    days: Option<(f64, f64)>,
}

/// The publishable files of an analysis, by name.
///
/// # Errors
/// [`ReportError::Public`] when the side is not possible or a recorded place would be written,
/// [`ReportError::Projection`] when a square has no longitude and latitude.
pub(crate) fn files(
    analysis: &Analysis,
    projector: &Projector,
    side_m: f64,
) -> Result<Vec<(&'static str, Vec<u8>)>, ReportError> {
    check_side(side_m, analysis.layout.grid.cell_m)?;
    let fixes = recorded_places(analysis, projector)?;
    let mut refused = None;
    for k in 0..OFFSETS {
        let lattice = Lattice { side_m, offset_m: side_m * f64::from(k) / f64::from(OFFSETS) };
        let content = contents(analysis, lattice);
        let squares = (PUBLIC_SQUARES.path, squares(&content, lattice, projector)?);
        let positives = (PUBLIC_POSITIVES.path, positives(&content, lattice, projector)?);
        // A corner or centre may fall on a fix by chance; then the lattice is moved.
        let found =
            guard(squares.0, &squares.1, &fixes).and_then(|()| guard(positives.0, &positives.1, &fixes));
        match found {
            Ok(()) => return Ok(vec![squares, positives, (PUBLIC_README.path, note(analysis, side_m))]),
            Err(error) => refused = Some(error),
        }
    }
    Err(refused.unwrap_or(PublicError::RawFix { file: PUBLIC_SQUARES.path }).into())
}

/// Recorded places in steps of [`STEPS_PER_DEGREE`].
fn recorded_places(analysis: &Analysis, projector: &Projector) -> Result<BTreeSet<(i64, i64)>, ReportError> {
    let pigs = &analysis.layout.records.pigs;
    let places: Vec<Coord<f64>> = pigs.iter().map(|p| Coord { x: p.easting_m, y: p.northing_m }).collect();
    Ok(projector.to_wgs84(&places)?.into_iter().map(|c| steps(c.x, c.y)).collect())
}

fn steps(lon: f64, lat: f64) -> (i64, i64) {
    ((lon * STEPS_PER_DEGREE).round() as i64, (lat * STEPS_PER_DEGREE).round() as i64)
}

/// Refuses a layer in which any position is, to within about a metre, a recorded one.
///
/// # Errors
/// [`PublicError::RawFix`].
fn guard(file: &'static str, layer: &[u8], fixes: &BTreeSet<(i64, i64)>) -> Result<(), PublicError> {
    // A layer that cannot be read back cannot be vouched for either.
    let value: serde_json::Value = serde_json::from_slice(layer).map_err(|_| PublicError::RawFix { file })?;
    let mut open = vec![&value];
    while let Some(v) = open.pop() {
        match v {
            serde_json::Value::Array(list) => {
                if let [lon, lat] = list.as_slice()
                    && let (Some(lon), Some(lat)) = (lon.as_f64(), lat.as_f64())
                {
                    let (x, y) = steps(lon, lat);
                    let near = (-1..=1).any(|i| (-1..=1).any(|j| fixes.contains(&(x + i, y + j))));
                    if near {
                        return Err(PublicError::RawFix { file });
                    }
                }
                open.extend(list);
            }
            serde_json::Value::Object(map) => open.extend(map.values()),
            _ => {}
        }
    }
    Ok(())
}

fn contents(analysis: &Analysis, lattice: Lattice) -> BTreeMap<Square, Content> {
    let (grid, records) = (&analysis.layout.grid, &analysis.layout.records);
    let mut out: BTreeMap<Square, Content> = BTreeMap::new();
    for (cell, f) in analysis.assessment.cells.iter().enumerate() {
        let at = grid.centre(cell);
        let c = out.entry(lattice.square(at.x, at.y)).or_default();
        c.cells += 1;
        c.hazard_sum += f.hazard.mean;
        c.active_sum += f.p_active;
    }
    for pig in &records.pigs {
        let c = out.entry(lattice.square(pig.easting_m, pig.northing_m)).or_default();
        c.pigs += 1;
        c.positives += usize::from(pig.is_positive());
    }
    for f in &analysis.assessment.positives {
        let pig = &records.pigs[f.pig];
        let c = out.entry(lattice.square(pig.easting_m, pig.northing_m)).or_default();
        if let Some(q) = f.infection_days {
            let (a, b) = c.days.unwrap_or((q[1], q[5]));
            c.days = Some((a.min(q[1]), b.max(q[5])));
        }
    }
    out
}

/// Name of a square; whole sides, so that it gives no finer place away than the square itself.
fn name(s: Square) -> String {
    format!("n{}e{}", s.0, s.1)
}

/// A count as shown: `None` when masked.
fn shown(count: usize) -> Option<f64> {
    (count == 0 || count >= LEAST_COUNT).then_some(count as f64)
}

fn squares(
    content: &BTreeMap<Square, Content>,
    lattice: Lattice,
    projector: &Projector,
) -> Result<Vec<u8>, ReportError> {
    let mut layer = LayerBuilder::new(&PUBLIC_SQUARES, projector);
    for (square, c) in content {
        let mean = |sum: f64| (c.cells > 0).then(|| sum / c.cells as f64);
        let pigs = shown(c.pigs);
        // Without the number of pigs the number of positives would tell it.
        let positives = pigs.and_then(|_| shown(c.positives));
        let mut p = Properties::new()
            .text("square_id", name(*square))
            .number_if("p_active_mean", mean(c.active_sum))
            .number_if("force_of_infection_mean", mean(c.hazard_sum))
            .number_if("pigs", pigs)
            .number_if("positives", positives);
        if pigs.is_none() || positives.is_none() {
            p = p.value("counts_masked", true.into());
        }
        layer.ring(&lattice.corners(*square), &name(*square), p)?;
    }
    Ok(layer.finish())
}

fn positives(
    content: &BTreeMap<Square, Content>,
    lattice: Lattice,
    projector: &Projector,
) -> Result<Vec<u8>, ReportError> {
    let mut layer = LayerBuilder::new(&PUBLIC_POSITIVES, projector);
    for (square, c) in content.iter().filter(|(_, c)| c.positives > 0 && c.pigs >= LEAST_COUNT) {
        let year = |day: f64| date_of_day(day).year();
        let count = shown(c.positives);
        let mut p = Properties::new().text("square_id", name(*square)).number_if("positives", count);
        match count {
            None => p = p.value("positives_masked", true.into()),
            // The windows of a few pigs would date each of them.
            Some(_) => {
                p = p
                    .number_if("first_year", c.days.map(|d| f64::from(year(d.0))))
                    .number_if("last_year", c.days.map(|d| f64::from(year(d.1))));
            }
        }
        layer.point(lattice.centre(*square), &name(*square), p)?;
    }
    Ok(layer.finish())
}

fn note(analysis: &Analysis, side_m: f64) -> Vec<u8> {
    let months = analysis.layout.study.recent.months;
    format!(
        "{}, as of {}: layers for publication\n\n\
         Places stand for squares of {side_m} m; no place is one that was recorded.\n\
         Squares with fewer than {LEAST_COUNT} pigs show no counts; among more pigs, 1 to {} positives are\n\
         masked.\n\
         p_active_mean: expected share of the square in which the force of infection that a resident pig\n\
         meets exceeds the study's threshold.\n\
         force_of_infection_mean: infections per pig-year, mean of the last {months} months and the square.\n\
         first_year, last_year: years that hold 90 % of each infection window, earliest and latest.\n\n\
         Only this folder is for publication: the files beside it hold places as recorded.\n\
         Estimates support judgement; they do not replace it.\n",
        analysis.layout.study.study.name,
        analysis.layout.as_of,
        LEAST_COUNT - 1
    )
    .into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_guard_finds_a_recorded_place_however_deep() {
        let fixes = BTreeSet::from([steps(172.95021, -39.91013)]);
        let layer = |lon: f64| {
            format!("{{\"features\":[{{\"geometry\":{{\"coordinates\":[[[1,2],[{lon},-39.910130]]]}}}}]}}")
        };
        assert!(guard("public/a.geojson", layer(172.950212).as_bytes(), &fixes).is_err());
        assert!(guard("public/a.geojson", layer(172.96).as_bytes(), &fixes).is_ok());
        assert!(guard("public/a.geojson", b"no layer", &fixes).is_err());
    }

    #[test]
    fn counts_of_one_to_four_are_masked() {
        assert_eq!([0, 1, 4, 5, 80].map(shown), [Some(0.0), None, None, Some(5.0), Some(80.0)]);
    }

    #[test]
    fn sides_that_hide_nothing_are_refused() {
        assert!(check_side(1000.0, 1000.0).is_ok() && check_side(5000.0, 1000.0).is_ok());
        for (side, cell) in
            [(100.0, 50.0), (999.0, 50.0), (1500.0, 2000.0), (f64::NAN, 1000.0), (1e7, 1000.0)]
        {
            assert!(check_side(side, cell).is_err(), "{side}");
        }
    }
}
