//! Writes a simulated study area as a study folder, with the truth beside it.
//!
//! ```text
//! study.toml  pigs.csv  zones.geojson  blocks.geojson  cover.geojson  operations.csv
//! truth/truth.json  truth/pigs.parquet
//! ```
//! The study files hold nothing that a real study would not hold. Coordinates are
//! WGS 84 decimal degrees (six places, about 0.1 m, for pigs; seven for boundaries).

use crate::geography::coordinates::projector::Projector;
use crate::records::{LabMethod, LabResult, NodePair, Sex};
use crate::simulate::error::WriteError;
use crate::simulate::examine::SimulatedPig;
use crate::simulate::scenario::AreaPattern;
use crate::simulate::study_area::StudyArea;
use crate::simulate::truth::write_truth;
use geo::orient::{Direction, Orient};
use geo::{Coord, MultiPolygon};
use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject, JsonValue, Position};
use itertools::Itertools as _;
use std::path::Path;

/// Writes a study area into a folder, which is made if need be; files of the same names are replaced.
///
/// # Errors
/// [`WriteError`] when a file cannot be written or a position cannot be projected.
pub fn write(study_area: &StudyArea, folder: &Path) -> Result<(), WriteError> {
    let truth = folder.join("truth");
    std::fs::create_dir_all(&truth).map_err(|e| WriteError::at(&truth, &e))?;
    let projector = Projector::new(study_area.crs)?;
    let put = |name: &str, bytes: &[u8]| {
        let path = folder.join(name);
        std::fs::write(&path, bytes).map_err(|e| WriteError::at(&path, &e))
    };
    put("study.toml", study_text(study_area).as_bytes())?;
    let pigs = folder.join("pigs.csv");
    put("pigs.csv", &pig_rows(study_area, &projector, &pigs)?)?;
    let operations = folder.join("operations.csv");
    put("operations.csv", &operation_rows(study_area, &operations)?)?;
    for (name, layer) in [
        ("zones.geojson", zones(study_area, &projector)?),
        ("blocks.geojson", blocks(study_area, &projector)?),
        ("cover.geojson", cover(study_area, &projector)?),
    ] {
        put(name, format!("{layer}\n").as_bytes())?;
    }
    write_truth(study_area, &truth)
}

fn study_text(d: &StudyArea) -> String {
    let quoted = |s: &str| format!("\"{}\"", s.replace('\\', "\\\\").replace('"', "\\\""));
    let zones = d.zones.len();
    let blocks = d.blocks.len();
    format!(
        "# Study file of a simulated study area: the island, its names and its pigs do not exist.\n\
         # Every key left out has its documented default.\n\
         \n\
         [study]\n\
         name = {name}\n\
         crs = {crs}              # projected system, metres; the island lies in open sea\n\
         as_of = {as_of}           # the day the study speaks of\n\
         seed = 1                       # of the computation; the same seed gives the same bytes\n\
         \n\
         [records]\n\
         pigs = \"pigs.csv\"              # {pigs} examined pigs, one a row\n\
         \n\
         [areas]\n\
         zones = \"zones.geojson\"        # {zones} movement-control areas\n\
         blocks = \"blocks.geojson\"      # {blocks} control blocks with costs per hectare\n\
         cover = \"cover.geojson\"        # forest, scrub, tussock, pasture\n\
         operations = \"operations.csv\"  # control operations already done\n\
         {priorities}",
        name = quoted(&d.name),
        crs = quoted(d.crs),
        as_of = quoted(&d.as_of.to_string()),
        pigs = d.pigs.len(),
        priorities = match d.scenario.layout {
            AreaPattern::Quillonby =>
                "\n[priorities]\nbudget = 400000                # invented money for one season\n",
            AreaPattern::Random => "",
        },
    )
}

fn pig_rows(d: &StudyArea, projector: &Projector, path: &Path) -> Result<Vec<u8>, WriteError> {
    let places: Vec<Coord<f64>> = d.pigs.iter().map(|p| Coord { x: p.easting_m, y: p.northing_m }).collect();
    let degrees = projector.to_wgs84(&places)?;
    let mut out = csv::Writer::from_writer(Vec::new());
    let fail = |e: csv::Error| WriteError::at(path, &e);
    out.write_record([
        "occurrenceID",
        "eventDate",
        "decimalLatitude",
        "decimalLongitude",
        "geodeticDatum",
        "coordinateUncertaintyInMeters",
        "sex",
        "ageMinMonths",
        "ageMaxMonths",
        "nodePairsExamined",
        "grossLesion",
        "labMethod",
        "labResult",
        "releasedOn",
    ])
    .map_err(fail)?;
    for (p, at) in d.pigs.iter().zip(&degrees) {
        out.write_record(pig_fields(p, *at)).map_err(fail)?;
    }
    out.into_inner().map_err(|e| WriteError::at(path, &e))
}

fn pig_fields(p: &SimulatedPig, at: Coord<f64>) -> [String; 14] {
    let blank = String::new;
    let number = |v: f64| v.to_string();
    [
        p.occurrence_id.clone(),
        p.killed.to_string(),
        format!("{:.6}", at.y),
        format!("{:.6}", at.x),
        "EPSG:4326".into(),
        p.position_radius_m.map_or_else(blank, number),
        match p.sex {
            Sex::Female => "female".into(),
            Sex::Male => "male".into(),
            Sex::Unknown => blank(),
        },
        p.age_months.map_or_else(blank, |a| number(a.0)),
        p.age_months.map_or_else(blank, |a| number(a.1)),
        p.node_pairs.as_ref().map_or_else(blank, |n| node_words(n)),
        if p.gross_lesion { "yes" } else { "no" }.into(),
        p.laboratory.map_or_else(blank, |l| method_word(l.0).into()),
        p.laboratory.map_or_else(blank, |l| result_word(l.1).into()),
        p.released_on.map_or_else(blank, |d| d.to_string()),
    ]
}

fn node_words(pairs: &[NodePair]) -> String {
    if pairs.len() == 3 {
        return "all".into();
    }
    let word = |n: &NodePair| match n {
        NodePair::Parotid => "parotid",
        NodePair::Mandibular => "mandibular",
        NodePair::Retropharyngeal => "retropharyngeal",
    };
    pairs.iter().map(word).join(";")
}

fn method_word(m: LabMethod) -> &'static str {
    match m {
        LabMethod::Culture => "culture",
        LabMethod::Pcr => "pcr",
        LabMethod::Histology => "histology",
    }
}

fn result_word(r: LabResult) -> &'static str {
    match r {
        LabResult::Positive => "positive",
        LabResult::Negative => "negative",
        LabResult::Pending => "pending",
    }
}

fn operation_rows(d: &StudyArea, path: &Path) -> Result<Vec<u8>, WriteError> {
    let mut out = csv::Writer::from_writer(Vec::new());
    let fail = |e: csv::Error| WriteError::at(path, &e);
    out.write_record(["blockID", "vector", "startDate", "endDate", "efficacy"]).map_err(fail)?;
    for o in &d.operations {
        out.write_record([
            d.blocks[o.block].id.clone(),
            o.host.word().into(),
            o.start.to_string(),
            o.end.to_string(),
            o.efficacy.map(|e| e.to_string()).unwrap_or_default(),
        ])
        .map_err(fail)?;
    }
    out.into_inner().map_err(|e| WriteError::at(path, &e))
}

fn zones(d: &StudyArea, projector: &Projector) -> Result<FeatureCollection, WriteError> {
    let rows = d.zones.iter().map(|z| {
        let properties =
            [("zoneID", JsonValue::from(z.id.as_str())), ("name", JsonValue::from(z.name.as_str()))];
        (&z.boundary, properties.to_vec())
    });
    layer(rows, projector)
}

fn blocks(d: &StudyArea, projector: &Projector) -> Result<FeatureCollection, WriteError> {
    let rows = d.blocks.iter().map(|b| {
        let properties = vec![
            ("blockID", JsonValue::from(b.id.as_str())),
            ("name", JsonValue::from(b.name.as_str())),
            ("possumCostPerHa", JsonValue::from(b.possum_cost_per_ha)),
            ("ferretCostPerHa", JsonValue::from(b.ferret_cost_per_ha)),
            ("feasible", JsonValue::from(b.feasible)),
        ];
        (&b.boundary, properties)
    });
    layer(rows, projector)
}

/// One feature per patch, as cover maps have it.
fn cover(d: &StudyArea, projector: &Projector) -> Result<FeatureCollection, WriteError> {
    let patches: Vec<(MultiPolygon<f64>, &str)> = d
        .cover
        .iter()
        .flat_map(|c| c.boundary.0.iter().map(|p| (MultiPolygon(vec![p.clone()]), c.class.as_str())))
        .collect();
    layer(
        patches.iter().map(|(boundary, class)| (boundary, vec![("cover", JsonValue::from(*class))])),
        projector,
    )
}

/// A layer after RFC 7946: degrees to seven decimals, outer rings anticlockwise, a bounding box.
fn layer<'a>(
    rows: impl Iterator<Item = (&'a MultiPolygon<f64>, Vec<(&'static str, JsonValue)>)>,
    projector: &Projector,
) -> Result<FeatureCollection, WriteError> {
    let mut features = Vec::new();
    let mut bbox = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    for (boundary, properties) in rows {
        let mut polygons = Vec::new();
        for polygon in &boundary.orient(Direction::Default).0 {
            let mut rings = Vec::new();
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                let degrees = projector.to_wgs84(&ring.0)?;
                let places: Vec<[f64; 2]> = degrees.iter().map(|c| [seven(c.x), seven(c.y)]).collect();
                for [lon, lat] in &places {
                    bbox = [bbox[0].min(*lon), bbox[1].min(*lat), bbox[2].max(*lon), bbox[3].max(*lat)];
                }
                rings.push(places.into_iter().map(Position::from).collect::<Vec<_>>());
            }
            polygons.push(rings);
        }
        let shape = match polygons.len() {
            1 => GeometryValue::Polygon { coordinates: polygons.remove(0) },
            _ => GeometryValue::MultiPolygon { coordinates: polygons },
        };
        let properties: JsonObject = properties.into_iter().map(|(k, v)| (k.to_string(), v)).collect();
        features.push(Feature {
            bbox: None,
            geometry: Some(Geometry::new(shape)),
            id: None,
            properties: Some(properties),
            foreign_members: None,
        });
    }
    let bbox = bbox[0].is_finite().then(|| bbox.to_vec());
    Ok(FeatureCollection { bbox, features, foreign_members: None })
}

fn seven(v: f64) -> f64 {
    (v * 1e7).round() / 1e7
}
