//! A GeoPackage: one layer of it, as features or as a table of records.
//!
//! OGC GeoPackage 1.4 (12-128r19): a SQLite database whose tables are listed in `gpkg_contents`;
//! geometry is a header (§2.1.3) before well-known binary, x before y whatever the system says
//! (§1.1.1.1.1). SQLite is read by `rusqlite`, well-known binary by `wkb`.
//!
//! Which layer: the one named in the study file, else the only one, else the one that bears the
//! role's name (`pigs`, `zones`, `blocks`, `cover`, `operations`); else an error that lists them.
//! The numbers GeoPackage gives its rows (`fid`) are not taken for ids; where no column is named for the
//! specimen they stay a column that the study file can name.

use crate::ingest::columns::Column;
use crate::ingest::errors::IngestError;
use crate::ingest::findings::{Place, Severity};
use crate::ingest::formats::layer::{Ask, Layer};
use geo::Geometry;
use geo_traits::to_geo::ToGeoGeometry;
use geojson::{Feature, GeometryValue};
use itertools::Itertools as _;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, MAIN_DB};
use serde_json::{Map, Value};
use std::path::Path;
use wkb::reader::read_wkb;

/// A table `gpkg_contents` lists.
struct Listed {
    table: String,
    /// Geometry column and system; `None` for a table of attributes.
    geometry: Option<(String, i64)>,
}

/// Reads one layer.
///
/// # Errors
/// [`IngestError::Malformed`] when it is no GeoPackage, its layer has no EPSG code, or another
/// program has changes to it that are not yet in the file; [`IngestError::NoLayer`].
pub(crate) fn read(path: &Path, bytes: Vec<u8>, ask: Ask) -> Result<Layer, IngestError> {
    let malformed = |reason: String| IngestError::Malformed {
        file: ask.name.to_string(),
        format: "a GeoPackage",
        reason,
    };
    refuse_pending(path).map_err(malformed)?;
    let connection = open(bytes).map_err(malformed)?;
    let listed =
        contents(&connection).map_err(|e| malformed(format!("its list of layers cannot be read: {e}")))?;
    let chosen = choose(&listed, ask)?;
    let crs = match &chosen.geometry {
        Some((_, system)) => {
            code(&connection, *system).map_err(|e| malformed(format!("layer \"{}\": {e}", chosen.table)))?
        }
        None => None,
    };
    let mut layer = rows(&connection, chosen, ask.name)
        .map_err(|e| malformed(format!("layer \"{}\" cannot be read: {e}", chosen.table)))?;
    layer.crs = crs;
    Ok(layer)
}

/// Changes another program has written beside the file and not yet into it would be missed.
fn refuse_pending(path: &Path) -> Result<(), String> {
    for tail in ["-wal", "-journal"] {
        let mut beside = path.as_os_str().to_owned();
        beside.push(tail);
        if std::fs::metadata(Path::new(&beside)).is_ok_and(|m| m.len() > 0) {
            let file = Path::new(&beside).file_name().unwrap_or_default().to_string_lossy().into_owned();
            return Err(format!(
                "changes are still held in {file} beside it; close the layer in every other program"
            ));
        }
    }
    Ok(())
}

/// A database over bytes held in memory, read only.
fn open(mut bytes: Vec<u8>) -> Result<Connection, String> {
    if !bytes.starts_with(b"SQLite format 3\0") || bytes.len() < 100 {
        return Err("it does not begin as a SQLite database does".into());
    }
    // Bytes 18 and 19 are 2 for a file kept with a write-ahead log, which a database in memory
    // cannot have; the log is empty (`refuse_pending`), so 1 says the same (SQLite file format, 1.3).
    for version in &mut bytes[18..20] {
        *version = (*version).min(1);
    }
    let mut connection = Connection::open_in_memory().map_err(|e| e.to_string())?;
    let length = bytes.len();
    connection
        .deserialize_read_exact(MAIN_DB, std::io::Cursor::new(bytes), length, true)
        .map_err(|e| e.to_string())?;
    Ok(connection)
}

fn contents(connection: &Connection) -> rusqlite::Result<Vec<Listed>> {
    let mut names = connection.prepare(
        "SELECT table_name, data_type FROM gpkg_contents WHERE data_type IN ('features', 'attributes') \
         ORDER BY rowid",
    )?;
    let tables: Vec<(String, String)> =
        names.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<rusqlite::Result<_>>()?;
    let mut out = Vec::new();
    for (table, kind) in tables {
        let geometry = if kind == "features" {
            let sql = "SELECT column_name, srs_id FROM gpkg_geometry_columns WHERE table_name = ?1";
            Some(connection.query_row(sql, [&table], |r| Ok((r.get(0)?, r.get(1)?)))?)
        } else {
            None
        };
        out.push(Listed { table, geometry });
    }
    Ok(out)
}

fn choose<'a>(listed: &'a [Listed], ask: Ask) -> Result<&'a Listed, IngestError> {
    let named = |name: &str| listed.iter().find(|l| l.table.trim().eq_ignore_ascii_case(name.trim()));
    let found = match (ask.layer, listed) {
        (Some(name), _) => named(name),
        (None, [only]) => Some(only),
        (None, _) => named(ask.role),
    };
    found.ok_or_else(|| IngestError::NoLayer {
        file: ask.name.to_string(),
        layer: ask.layer.unwrap_or(ask.role).to_string(),
        present: listed.iter().map(|l| l.table.as_str()).join(", "),
        suggested_correction: if ask.role == "pigs" {
            "name one with records.sheet"
        } else {
            "give the one that is meant this name"
        },
    })
}

/// `EPSG:2193`; `None` for EPSG:4326, which is what features without a code are in.
fn code(connection: &Connection, system: i64) -> Result<Option<String>, String> {
    let sql = "SELECT organization, organization_coordsys_id FROM gpkg_spatial_ref_sys WHERE srs_id = ?1";
    let (who, number): (String, i64) = connection
        .query_row(sql, [system], |r| Ok((r.get(0)?, r.get(1)?)))
        .map_err(|_| format!("its coordinate system {system} is not listed in the file; set it in a GIS"))?;
    if !who.trim().eq_ignore_ascii_case("EPSG") || number <= 0 {
        return Err(format!(
            "its coordinate system ({who} {number}) has no EPSG code; save the layer in one that has"
        ));
    }
    Ok((number != 4326).then(|| format!("EPSG:{number}")))
}

fn rows(connection: &Connection, chosen: &Listed, name: &str) -> rusqlite::Result<Layer> {
    let quoted = format!("\"{}\"", chosen.table.replace('"', "\"\""));
    let key = row_numbers(connection, &quoted)?;
    let mut statement = connection.prepare(&format!("SELECT * FROM {quoted}"))?;
    let columns: Vec<(String, bool)> = statement
        .columns()
        .iter()
        .map(|c| (c.name().to_string(), c.decl_type().is_some_and(|t| t.eq_ignore_ascii_case("BOOLEAN"))))
        .collect();
    let mut others = columns.iter().filter(|(c, _)| key.as_ref() != Some(c));
    let named = others.any(|(c, _)| Column::of_column_name(c) == Some(Column::OccurrenceId));
    let passed_over = key.filter(|_| named);
    let geometry = chosen.geometry.as_ref().map(|(column, _)| column.as_str());
    let mut layer = Layer { places: geometry.is_some(), ..Layer::default() };
    let mut binary = vec![false; columns.len()];
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let mut feature =
            Feature { bbox: None, geometry: None, id: None, properties: None, foreign_members: None };
        let mut properties = Map::new();
        for (k, (column, truth)) in columns.iter().enumerate() {
            let value = row.get_ref(k)?;
            if passed_over.as_ref() == Some(column) {
                continue;
            }
            if geometry.is_some_and(|g| g.eq_ignore_ascii_case(column)) {
                match shape(value) {
                    Ok(shape) => {
                        feature.geometry = shape.map(|g| geojson::Geometry::new(GeometryValue::from(&g)))
                    }
                    Err(reason) => {
                        layer.unreadable.insert(layer.features.len(), reason);
                    }
                }
                continue;
            }
            let value = match value {
                ValueRef::Integer(i) if *truth => Value::Bool(i != 0),
                ValueRef::Integer(i) => Value::from(i),
                ValueRef::Real(x) => serde_json::Number::from_f64(x).map_or(Value::Null, Value::Number),
                ValueRef::Text(t) => Value::String(String::from_utf8_lossy(t).into_owned()),
                ValueRef::Blob(_) => {
                    binary[k] = true;
                    Value::Null
                }
                ValueRef::Null => Value::Null,
            };
            properties.insert((*column).clone(), value);
        }
        feature.properties = Some(properties);
        layer.features.push(feature);
    }
    for ((column, _), _) in columns.iter().zip(&binary).filter(|(_, b)| **b) {
        layer.notes.push(Place { file: name, row: None }.cell(
            Severity::Warning,
            "column-type-not-read",
            Some(column),
            Some("binary"),
            "holds binary values, which are not read and count as absent",
            "save it as text, a date or a number if it is needed",
        ));
    }
    Ok(layer)
}

/// The column of the numbers GeoPackage gives rows: the primary key. A view has none.
fn row_numbers(connection: &Connection, quoted: &str) -> rusqlite::Result<Option<String>> {
    let mut facts = connection.prepare(&format!("PRAGMA table_info({quoted})"))?;
    let mut rows = facts.query([])?;
    while let Some(row) = rows.next()? {
        if row.get::<_, i64>("pk")? == 1 {
            return row.get("name").map(Some);
        }
    }
    Ok(None)
}

/// A geometry from its column; `None` where there is none or it is empty.
///
/// The header (§2.1.3): `GP`, a version, flags (bit 0 order of bytes, 1 to 3 the kind of envelope,
/// 4 empty, 5 not one of the standard's own kinds), the system, the envelope; then the binary.
fn shape(value: ValueRef) -> Result<Option<Geometry<f64>>, String> {
    let blob = match value {
        ValueRef::Null => return Ok(None),
        ValueRef::Blob(b) => b,
        _ => return Err("its geometry is not binary".into()),
    };
    if blob.len() < 8 || !blob.starts_with(b"GP") {
        return Err("its geometry does not begin as a GeoPackage's does".into());
    }
    let flags = blob[3];
    if flags & 0b10_0000 != 0 {
        return Err("its geometry is of a kind the standard does not define".into());
    }
    if flags & 0b1_0000 != 0 {
        return Ok(None);
    }
    let envelope = match (flags >> 1) & 0b111 {
        0 => 0,
        1 => 32,
        2 | 3 => 48,
        4 => 64,
        _ => return Err("its geometry has an envelope the standard does not define".into()),
    };
    let binary = blob.get(8 + envelope..).ok_or("its geometry is cut short")?;
    let read = read_wkb(binary).map_err(|e| format!("its geometry cannot be read (curves are not): {e}"))?;
    Ok(read.try_to_geometry())
}
