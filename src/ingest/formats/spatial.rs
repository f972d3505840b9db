//! Features from any file of places, and the table of records they make.
//!
//! | extension | read as |
//! | --- | --- |
//! | `.gpkg` | a layer of a GeoPackage |
//! | anything else | GeoJSON |
//!
//! Properties are columns, the geometry gives the position: degrees become `decimalLongitude`,
//! `decimalLatitude` and `geodeticDatum`, metres become `easting`, `northing` and `crs`. A feature
//! that is not a point is kept as a row with a problem, so that it is counted. A feature without
//! a property named for the specimen has its `id` member tried instead.

use crate::ingest::columns::Column;
use crate::ingest::errors::IngestError;
use crate::ingest::formats::geojson::{features, id_text, value_text};
use crate::ingest::formats::geopackage;
use crate::ingest::formats::layer::{Ask, Layer};
use crate::ingest::table::{Row, RowProblem, Table, guarded, number_text};
use geojson::GeometryValue;
use std::collections::BTreeMap;
use std::path::Path;

/// Whether a file is a GeoPackage by its extension.
pub(crate) fn is_geopackage(path: &Path) -> bool {
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case("gpkg"))
}

/// The features of a file.
///
/// # Errors
/// [`IngestError::Malformed`], [`IngestError::NoLayer`].
pub(crate) fn layer(path: &Path, bytes: Vec<u8>, ask: Ask) -> Result<Layer, IngestError> {
    if is_geopackage(path) {
        return guarded(ask.name, "a GeoPackage", || geopackage::read(path, bytes, ask));
    }
    let (features, crs, unreadable) = features(&bytes, ask.name)?;
    Ok(Layer { features, crs, unreadable, places: true, ..Layer::default() })
}

/// Points as a table.
pub(crate) fn table(layer: Layer) -> Table {
    let Layer { features, crs, unreadable, notes, places } = layer;
    let metres = crs.as_deref().is_some_and(|c| {
        crate::geography::coordinates::register::facts(c)
            .is_ok_and(|f| f.kind == crate::geography::coordinates::register::SystemKind::Projected)
    });
    let ours = if metres {
        [Column::Easting, Column::Northing, Column::Crs]
    } else {
        [Column::DecimalLongitude, Column::DecimalLatitude, Column::GeodeticDatum]
    };
    let ours = if places { &ours[..] } else { &[] };
    let mut table = Table { notes, ..Table::default() };
    // Where each property goes; `None` for one that repeats the geometry and gives way to it.
    let mut index: BTreeMap<String, Option<usize>> = BTreeMap::new();
    for feature in &features {
        for (key, _) in feature.properties_iter() {
            if index.contains_key(key) {
                continue;
            }
            let repeats = Column::of_column_name(key).is_some_and(|c| ours.contains(&c));
            index.insert(key.clone(), (!repeats).then_some(table.column_names.len()));
            if !repeats {
                table.column_names.push(key.clone());
            }
        }
    }
    let id_from_member =
        !table.column_names.iter().any(|h| Column::of_column_name(h) == Some(Column::OccurrenceId))
            && features.iter().any(|f| f.id.is_some());
    let properties = table.column_names.len();
    table.column_names.extend(ours.iter().map(|c| c.name().to_string()));
    if id_from_member {
        table.column_names.push(Column::OccurrenceId.name().into());
    }
    for (i, feature) in features.iter().enumerate() {
        let mut cells = vec![String::new(); table.column_names.len()];
        for (key, value) in feature.properties_iter() {
            if let Some(&Some(k)) = index.get(key) {
                cells[k] = value_text(value);
            }
        }
        let mut problem = None;
        let mut place = |at: &[f64]| {
            cells[properties] = number_text(at[0]);
            cells[properties + 1] = number_text(at[1]);
            cells[properties + 2] = crs.clone().unwrap_or_default();
        };
        match feature.geometry.as_ref().map(|g| &g.value) {
            Some(GeometryValue::Point { coordinates: at }) if at.len() >= 2 => place(at.as_slice()),
            // A GIS that promotes points to multi-points makes of each a multi-point of one.
            Some(GeometryValue::MultiPoint { coordinates: all }) if all.len() == 1 && all[0].len() >= 2 => {
                place(all[0].as_slice())
            }
            None => {
                problem =
                    unreadable.get(&i).map(|reason| RowProblem::PlaceUnreadable { reason: reason.clone() })
            }
            Some(GeometryValue::Point { .. }) => {
                problem = Some(RowProblem::NotAPoint { kind: "Point without coordinates" })
            }
            Some(other) => problem = Some(RowProblem::NotAPoint { kind: other.type_name() }),
        }
        if id_from_member && let Some(id) = &feature.id {
            cells[properties + ours.len()] = id_text(id);
        }
        table.rows.push(Row { number: i + 1, cells, problem });
    }
    table
}
