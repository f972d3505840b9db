//! Where a study's records are, and every way a position takes into its system.

use crate::geography::coordinates::held::ProjectionError;
use crate::geography::coordinates::projector::Projector;
use crate::geography::coordinates::transform::{CoordinateOperation, Transforms};
use crate::ingest::values::position::System;
use geo::Coord;
use rstar::RTree;
use rstar::primitives::GeomWithData;
use std::collections::BTreeMap;

/// Distance from the median record within which a position is at home, metres. Own choice.
pub(crate) const NEIGHBOURHOOD_M: f64 = 150_000.0;
/// Distance within which records count as neighbours, metres. Own choice.
pub(crate) const NEIGHBOUR_REACH_M: f64 = 50_000.0;
/// Neighbours that make a position at home wherever the median lies. Own choice.
pub(crate) const NEIGHBOURS: usize = 3;
/// How far outside the system's area of use a position is still used, degrees (with a
/// warning). Own choice: study areas lie across the edges of national grids and UTM zones.
pub(crate) const AREA_MARGIN_DEG: f64 = 1.0;

/// Converts positions into the study's system, each way made once and its use counted.
pub(crate) struct Converter<'a> {
    pub projector: &'a Projector,
    transforms: Transforms,
    used: BTreeMap<(String, String), usize>,
}

impl<'a> Converter<'a> {
    pub(crate) fn new(projector: &'a Projector) -> Converter<'a> {
        Converter { projector, transforms: Transforms::default(), used: BTreeMap::new() }
    }

    /// Easting and northing in the study's system.
    pub(crate) fn convert(&mut self, at: Coord, system: &System) -> Result<Coord, ProjectionError> {
        match system {
            System::Study => Ok(at),
            System::Wgs84 => self.projector.from_wgs84(&[at]).map(|c| c[0]),
            System::Datum(code) => self.transforms.get(code, || self.projector.from_datum(code))?.convert(at),
            System::Projected(code) => {
                self.transforms.get(code, || self.projector.from_crs(code))?.convert(at)
            }
        }
    }

    /// As [`Converter::convert`], and counts the way taken for the note on projections.
    pub(crate) fn convert_and_count(&mut self, at: Coord, system: &System) -> Result<Coord, ProjectionError> {
        let place = self.convert(at, system)?;
        let (from, operation) = match system {
            System::Study => (self.projector.code().to_string(), "as given".to_string()),
            System::Wgs84 => (
                crate::geography::coordinates::transform::WGS84.to_string(),
                self.projector.operation().to_string(),
            ),
            System::Datum(code) | System::Projected(code) => {
                let known: Option<CoordinateOperation> =
                    self.transforms.get(code, || self.projector.from_crs(code)).ok().map(|t| t.operation());
                (code.clone(), known.map_or_else(String::new, |o| o.to_string()))
            }
        };
        *self.used.entry((from, operation)).or_default() += 1;
        Ok(place)
    }

    /// One sentence on the study's system and the ways positions took into it.
    pub(crate) fn note(&self) -> String {
        let facts = self.projector.facts();
        let ways: Vec<String> =
            self.used.iter().map(|((from, how), n)| format!("{n} position(s) from {from}: {how}")).collect();
        let ways = if ways.is_empty() { "no position converted".to_string() } else { ways.join("; ") };
        format!("{} ({}); {ways}", facts.code, facts.name)
    }
}

/// A draft's position in the study's system and on the globe.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ConvertedPosition {
    pub metres: Coord,
    /// Longitude, latitude; `None` where the study's system cannot be turned back.
    pub degrees: Option<Coord>,
}

pub(crate) fn spot(
    at: Coord,
    system: &System,
    converter: &mut Converter,
) -> Result<ConvertedPosition, ProjectionError> {
    let off_earth = system.is_degrees() && (at.y.abs() > 90.0 || at.x.abs() > 180.0);
    if off_earth {
        return Err(ProjectionError::NoPlace {
            x: at.x,
            y: at.y,
            from: "degrees".into(),
            to: converter.projector.code().into(),
            reason: "not on the globe".into(),
        });
    }
    let metres = converter.convert(at, system)?;
    let degrees = match system {
        System::Wgs84 => Some(at),
        _ => converter.projector.to_wgs84(&[metres]).ok().map(|c| c[0]),
    };
    Ok(ConvertedPosition { metres, degrees })
}

/// Where the records of a study are.
pub(crate) struct Neighbourhood<'a> {
    projector: &'a Projector,
    pub median: Option<Coord>,
    tree: RTree<GeomWithData<[f64; 2], usize>>,
}

impl<'a> Neighbourhood<'a> {
    pub(crate) fn of(spots: &[Option<ConvertedPosition>], projector: &'a Projector) -> Neighbourhood<'a> {
        let mut home = Neighbourhood { projector, median: None, tree: RTree::new() };
        let inside: Vec<(usize, Coord)> = spots
            .iter()
            .enumerate()
            .filter_map(|(i, s)| s.filter(|s| home.in_area(s, AREA_MARGIN_DEG)).map(|s| (i, s.metres)))
            .collect();
        // Below three records a median says nothing about where the rest belong.
        if inside.len() >= 3 {
            let middle = |mut v: Vec<f64>| {
                v.sort_by(f64::total_cmp);
                v[v.len() / 2]
            };
            home.median = Some(Coord {
                x: middle(inside.iter().map(|(_, c)| c.x).collect()),
                y: middle(inside.iter().map(|(_, c)| c.y).collect()),
            });
        }
        home.tree =
            RTree::bulk_load(inside.into_iter().map(|(i, c)| GeomWithData::new([c.x, c.y], i)).collect());
        home
    }

    pub(crate) fn in_area(&self, spot: &ConvertedPosition, margin_deg: f64) -> bool {
        match (self.projector.area_of_use(), spot.degrees) {
            (Some(area), Some(at)) => area.contains(at.x, at.y, margin_deg),
            (Some(_), None) => false,
            (None, _) => true,
        }
    }

    /// Whether a place is among the other records (`but` is the record's own index).
    pub(crate) fn at_home(&self, metres: Coord, but: usize) -> bool {
        let Some(median) = self.median else {
            return true;
        };
        if (metres.x - median.x).hypot(metres.y - median.y) <= NEIGHBOURHOOD_M {
            return true;
        }
        self.tree
            .locate_within_distance([metres.x, metres.y], NEIGHBOUR_REACH_M * NEIGHBOUR_REACH_M)
            .filter(|n| n.data != but)
            .take(NEIGHBOURS)
            .count()
            >= NEIGHBOURS
    }

    pub(crate) fn fits(&self, spot: &ConvertedPosition, but: usize) -> bool {
        self.in_area(spot, AREA_MARGIN_DEG) && self.at_home(spot.metres, but)
    }
}
