//! Zones, blocks and cover: polygons of a GeoJSON file or a GeoPackage, into the study's system.
//!
//! | file | properties |
//! | --- | --- |
//! | zones | `zoneID` (unique), `name`, `priorFree` (0 to 1), `introductionPerYear` (0 to 1) |
//! | blocks | `blockID` (unique), `name`, `possumCostPerHa`, `ferretCostPerHa` |
//! | blocks | `possumMethod` (aerial, ground), `feasible` (yes, no) |
//! | cover | `cover` |
//!
//! Property names are matched as column names are ([`crate::ingest::columns`]); where the id property is
//! absent the feature's own `id` is used; a name that is absent is the id. A feature without an
//! id, with a repeated one, or whose boundary is not a valid polygon is refused with a finding,
//! since a figure over a wrong boundary would be wrong. A property that cannot be read costs
//! that property only, with a warning. Rows are feature numbers from 1.

use crate::geography::coordinates::projector::Projector;
use crate::geography::coordinates::register::{SystemKind, facts};
use crate::geography::coordinates::transform::Transform;
use crate::ingest::columns::{is_blank, plain};
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Finding, Place, Severity};
use crate::ingest::formats::geojson::{id_text, value_text};
use crate::ingest::formats::layer::{Ask, Layer};
use crate::ingest::formats::spatial;
use crate::ingest::table;
use crate::ingest::values::inspection::yes_or_no;
use crate::ingest::values::number::{MONEY, SHARE, complaint, number};
use crate::records::{Block, Cover, Method, Pig, Zone};
use crate::study::study_file::Study;
use geo::{
    Area as _, BooleanOps, BoundingRect, Coord, Intersects, LineString, MapCoords, MultiPolygon, Polygon,
    Rect, Validation,
};
use geojson::{Feature, GeometryValue};
use std::collections::BTreeMap;

/// Properties that are read, by role of the file.
const PROPERTIES: [(&str, &[&str]); 3] = [
    ("zones", &["zoneID", "name", "priorFree", "introductionPerYear"]),
    ("blocks", &["blockID", "name", "possumCostPerHa", "ferretCostPerHa", "possumMethod", "feasible"]),
    ("cover", &["cover"]),
];
/// Land shared by two areas from which it is said, square metres; less is a seam. Own choice.
const SHARED_M2: f64 = 10_000.0;
/// Distance of an area from every record from which it is said, metres. Own choice.
const FAR_M: f64 = 50_000.0;

/// Warns of areas of one file that share land: a pig is counted in the first of them only.
pub(crate) fn overlaps<'a>(
    name: &str,
    areas: impl Iterator<Item = (&'a str, &'a MultiPolygon<f64>)>,
) -> Vec<Finding> {
    let all: Vec<(&str, &MultiPolygon<f64>, Rect)> =
        areas.filter_map(|(id, boundary)| Some((id, boundary, boundary.bounding_rect()?))).collect();
    let mut findings = Vec::new();
    for (i, (id, boundary, bounds)) in all.iter().enumerate() {
        for (other_id, other, other_bounds) in &all[..i] {
            if !bounds.intersects(other_bounds) {
                continue;
            }
            let shared = boundary.intersection(*other).unsigned_area();
            if shared >= SHARED_M2 {
                findings.push(Place { file: name, row: None }.cell(
                    Severity::Warning,
                    "areas-overlap",
                    None,
                    Some(id),
                    format!(
                        "shares {:.0} ha with \"{other_id}\": \
                         pigs there count for that one only, land for both",
                        shared / 10_000.0
                    ),
                    "draw the boundary between them once, or make one area of the two",
                ));
            }
        }
    }
    findings
}

/// Warns of areas that lie far from every record.
pub(crate) fn far_away<'a>(
    name: &str,
    areas: impl Iterator<Item = (&'a str, &'a MultiPolygon<f64>)>,
    pigs: &[Pig],
) -> Vec<Finding> {
    let far = |(id, boundary): (&'a str, &'a MultiPolygon<f64>)| {
        let bounds = boundary.bounding_rect()?;
        let from = |p: &Pig| {
            let x = (bounds.min().x - p.easting_m).max(p.easting_m - bounds.max().x).max(0.0);
            let y = (bounds.min().y - p.northing_m).max(p.northing_m - bounds.max().y).max(0.0);
            x.hypot(y)
        };
        let nearest = pigs.iter().map(from).fold(f64::INFINITY, f64::min);
        (nearest > FAR_M).then(|| {
            Place { file: name, row: None }.cell(
                Severity::Warning,
                "area-far-away",
                None,
                Some(id),
                format!("lies {:.0} km from the nearest record", nearest / 1000.0),
                "check its position and its system, or take it out; the grid must reach it",
            )
        })
    };
    areas.filter_map(far).collect()
}

/// One polygon feature with its boundary in the study's system.
struct Area<'a> {
    feature: &'a Feature,
    boundary: MultiPolygon<f64>,
    place: Place<'a>,
}

impl Area<'_> {
    /// Heading and text of a property; `None` when absent or blank.
    fn property(&self, name: &str) -> Option<(String, String)> {
        let (key, value) = self.feature.properties_iter().find(|(k, _)| plain(k) == plain(name))?;
        let text = value_text(value).trim().to_string();
        (!is_blank(&text)).then(|| (key.clone(), text))
    }

    fn text(&self, name: &str) -> Option<String> {
        self.property(name).map(|(_, text)| text)
    }

    /// A number within bounds; a warning and `None` where it cannot be used.
    fn number(&self, name: &str, lo: f64, hi: f64, findings: &mut Vec<Finding>) -> Option<f64> {
        let (column_name, text) = self.property(name)?;
        let (message, suggested_correction) = match number(&text) {
            Ok(v) if (lo..=hi).contains(&v) => return Some(v),
            Ok(_) if hi.is_finite() => (
                format!("does not lie between {lo} and {hi}"),
                format!("write {lo} to {hi}, or leave it out"),
            ),
            Ok(_) => (format!("is below {lo}"), "write the cost, or leave it out".into()),
            Err(problem) => complaint(
                &problem,
                if hi.is_finite() { SHARE } else { MONEY },
                "leave it out for the default",
            ),
        };
        findings.push(self.place.cell(
            Severity::Warning,
            "area-number-unusable",
            Some(&column_name),
            Some(&text),
            message + "; the default is used",
            suggested_correction,
        ));
        None
    }
}

/// What an area file gave.
pub(crate) struct Areas<T> {
    pub areas: Vec<T>,
    pub findings: Vec<Finding>,
    pub input: crate::ingest::input_file::InputFile,
}

/// Reads the zones.
///
/// # Errors
/// [`IngestError`] when the file is unreadable, no GeoJSON or GeoPackage, or of a system without use.
pub(crate) fn zones(study: &Study, name: &str, projector: &Projector) -> Result<Areas<Zone>, IngestError> {
    read(study, name, "zones", Some("zoneID"), projector, |area, id, findings| Zone {
        name: area.text("name").unwrap_or_else(|| id.clone()),
        id,
        boundary: area.boundary.clone(),
        prior_free: area.number("priorFree", 0.0, 1.0, findings),
        introduction_per_year: area.number("introductionPerYear", 0.0, 1.0, findings),
    })
}

/// Reads the blocks.
///
/// # Errors
/// As [`zones`].
pub(crate) fn blocks(study: &Study, name: &str, projector: &Projector) -> Result<Areas<Block>, IngestError> {
    read(study, name, "blocks", Some("blockID"), projector, |area, id, findings| {
        let feasible = match area.property("feasible") {
            None => true,
            Some((column_name, text)) => yes_or_no(&text).unwrap_or_else(|| {
                findings.push(area.place.cell(
                    Severity::Warning,
                    "feasible-unknown",
                    Some(&column_name),
                    Some(&text),
                    "is neither yes nor no; the block counts as feasible",
                    "write yes or no",
                ));
                true
            }),
        };
        Block {
            name: area.text("name").unwrap_or_else(|| id.clone()),
            id,
            boundary: area.boundary.clone(),
            possum_cost_per_ha: area.number("possumCostPerHa", 0.0, f64::INFINITY, findings),
            ferret_cost_per_ha: area.number("ferretCostPerHa", 0.0, f64::INFINITY, findings),
            possum_method: method(area, findings),
            feasible,
        }
    })
}

/// How possums are treated in a block; a warning and `None` where it cannot be read.
fn method(area: &Area, findings: &mut Vec<Finding>) -> Option<Method> {
    let (column_name, text) = area.property("possumMethod")?;
    match text.to_lowercase().as_str() {
        "aerial" => Some(Method::Aerial),
        "ground" => Some(Method::Ground),
        _ => {
            findings.push(area.place.cell(
                Severity::Warning,
                "method-unknown",
                Some(&column_name),
                Some(&text),
                "is no method known here; it follows from the cover instead",
                "write aerial or ground, or leave it out",
            ));
            None
        }
    }
}

/// Reads the cover.
///
/// # Errors
/// As [`zones`].
pub(crate) fn cover(study: &Study, name: &str, projector: &Projector) -> Result<Areas<Cover>, IngestError> {
    let mut read = read(study, name, "cover", None, projector, |area, _, findings| {
        let class = area.text("cover");
        if class.is_none() {
            findings.push(area.place.whole(
                Severity::Refused,
                "cover-missing",
                "has no property \"cover\"",
                "give each polygon its cover class",
            ));
        }
        if let Some(text) = class.as_ref().filter(|c| study.priorities.cover_class(c).is_none()) {
            findings.push(area.place.cell(
                Severity::Warning,
                "cover-class-unknown",
                Some("cover"),
                Some(text),
                "is no cover class known here; it counts as \"other\"",
                format!(
                    "write one of {}, or give it its shares under priorities.cover in the study file",
                    study.priorities.cover_names().join(", ")
                ),
            ));
        }
        Cover { class: class.unwrap_or_default(), boundary: area.boundary.clone() }
    })?;
    read.areas.retain(|c: &Cover| !c.class.is_empty());
    Ok(read)
}

/// Reads boundaries that need no name: land within reach.
///
/// # Errors
/// As [`zones`].
pub(crate) fn boundaries(
    study: &Study,
    name: &str,
    projector: &Projector,
) -> Result<Areas<MultiPolygon<f64>>, IngestError> {
    read(study, name, "reach", None, projector, |area, _, _| area.boundary.clone())
}

/// Warns of classes with a relative risk that the cover file does not hold.
pub(crate) fn risk_classes(study: &Study, name: &str, cover: &[Cover]) -> Vec<Finding> {
    let place = Place { file: name, row: None };
    let unknown =
        study.freedom.relative_risk.keys().filter(|class| !cover.iter().any(|c| c.class == **class));
    unknown
        .map(|class| {
            let mut held: Vec<&str> = cover.iter().map(|c| c.class.as_str()).collect();
            held.sort_unstable();
            held.dedup();
            place.cell(
                Severity::Warning,
                "risk-class-unknown",
                Some("cover"),
                Some(class),
                "has a relative risk in the study file and no polygon here; the risk is not used",
                format!("write a class of this file under [freedom.relative_risk]: {}", held.join(", ")),
            )
        })
        .collect()
}

fn read<T>(
    study: &Study,
    name: &str,
    role: &'static str,
    id_property: Option<&str>,
    projector: &Projector,
    make: impl Fn(&Area, String, &mut Vec<Finding>) -> T,
) -> Result<Areas<T>, IngestError> {
    let path = study.path(name);
    let (bytes, mut input) = table::read_bytes(&path, name, role)?;
    let Layer { features, crs, unreadable, notes, .. } =
        spatial::layer(&path, bytes, Ask { name, layer: None, role })?;
    input.rows = Some(features.len());
    let way = match crs {
        None => None,
        Some(code) => {
            let kind = facts(&code)?.kind;
            Some(if kind == SystemKind::Projected {
                projector.from_crs(&code)?
            } else {
                projector.from_datum(&code)?
            })
        }
    };
    let mut findings = notes;
    let ours = PROPERTIES.iter().find(|(of, _)| *of == role).map_or(&[][..], |p| p.1);
    if !ours.is_empty() {
        let mut present: Vec<String> = Vec::new();
        for key in features.iter().flat_map(|f| f.properties_iter().map(|p| p.0)) {
            if !present.contains(key) {
                present.push(key.clone());
            }
        }
        findings.extend(crate::ingest::file_notes::unused(name, &present, ours));
    }
    if features.is_empty() {
        findings.push(crate::ingest::file_notes::holds_none(name, "feature"));
    }
    let mut areas = Vec::new();
    let mut first_of: BTreeMap<String, usize> = BTreeMap::new();
    for (i, feature) in features.iter().enumerate() {
        let place = Place { file: name, row: Some(i + 1) };
        let whole = match unreadable.get(&i) {
            None => boundary(feature, way.as_ref(), projector),
            Some(reason) => Err((reason.clone(), "save the layer again with plain polygons".to_string())),
        };
        let boundary = match whole {
            Ok(boundary) => boundary,
            Err((message, suggested_correction)) => {
                findings.push(place.whole(
                    Severity::Refused,
                    "boundary-unusable",
                    message,
                    suggested_correction,
                ));
                continue;
            }
        };
        let area = Area { feature, boundary, place: place.clone() };
        let id = match id_property {
            None => String::new(),
            Some(property) => {
                let Some(id) = area.text(property).or_else(|| feature.id.as_ref().map(id_text)) else {
                    findings.push(place.whole(
                        Severity::Refused,
                        "area-id-missing",
                        format!("has no property \"{property}\""),
                        "give every area an id of its own",
                    ));
                    continue;
                };
                if let Some(first) = first_of.get(&id) {
                    findings.push(place.cell(
                        Severity::Refused,
                        "area-id-repeated",
                        Some(property),
                        Some(&id),
                        format!("is the id of feature {first} already"),
                        "give every area an id of its own, or join the two into one multi-polygon",
                    ));
                    continue;
                }
                first_of.insert(id.clone(), i + 1);
                id
            }
        };
        areas.push(make(&area, id, &mut findings));
    }
    Ok(Areas { areas, findings, input })
}

/// The boundary of a feature in the study's system; what is wrong and the suggested correction otherwise.
fn boundary(
    feature: &Feature,
    way: Option<&Transform>,
    projector: &Projector,
) -> Result<MultiPolygon<f64>, (String, String)> {
    let geometry = feature.geometry.as_ref().map(|g| &g.value);
    let parts: Vec<&geojson::PolygonType> = match geometry {
        Some(GeometryValue::Polygon { coordinates }) => vec![coordinates],
        Some(GeometryValue::MultiPolygon { coordinates }) => coordinates.iter().collect(),
        other => {
            let kind = other.map_or("feature without geometry", |g| g.type_name());
            return Err((format!("is a {kind}, not a polygon"), "draw the area as a polygon".into()));
        }
    };
    let written =
        MultiPolygon(parts.into_iter().map(polygon).collect::<Option<Vec<_>>>().ok_or_else(|| {
            (
                "has a position without two numbers".to_string(),
                "write each position as [longitude, latitude]".to_string(),
            )
        })?);
    let convert = |c: Coord| match way {
        Some(way) => way.convert(c),
        None if c.x.abs() <= 180.0 && c.y.abs() <= 90.0 => projector.from_wgs84(&[c]).map(|v| v[0]),
        None => Err(crate::geography::coordinates::held::ProjectionError::NoPlace {
            x: c.x,
            y: c.y,
            from: "degrees".into(),
            to: projector.code().into(),
            reason: "GeoJSON holds longitude and latitude in degrees".into(),
        }),
    };
    let boundary = written.try_map_coords(convert).map_err(|e| {
        (format!("cannot be placed: {e}"), "save the layer as WGS 84 GeoJSON (RFC 7946)".to_string())
    })?;
    if boundary.0.iter().all(|p| p.exterior().0.len() < 4) {
        return Err(("is a polygon without a ring".into(), "draw the area, or delete the feature".into()));
    }
    match boundary.validation_errors().first() {
        None => Ok(boundary),
        Some(e) => Err((
            format!("is no valid polygon: {e}"),
            "correct its geometry in a GIS: rings must not cross, touch themselves or overlap".into(),
        )),
    }
}

/// Rings of a polygon; a ring that is not closed is closed.
fn polygon(rings: &geojson::PolygonType) -> Option<Polygon<f64>> {
    let mut lines = rings.iter().map(|ring| {
        let coords: Option<Vec<Coord>> = ring
            .iter()
            .map(|p| match p.as_slice() {
                [x, y, ..] => Some(Coord { x: *x, y: *y }),
                _ => None,
            })
            .collect();
        coords.map(LineString::new)
    });
    let exterior = lines.next().unwrap_or_else(|| Some(LineString::new(Vec::new())))?;
    Some(Polygon::new(exterior, lines.collect::<Option<Vec<_>>>()?))
}
