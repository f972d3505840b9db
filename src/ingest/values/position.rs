//! Positions as written: decimal degrees, easting and northing, or degrees with minutes and seconds.
//!
//! The first form that a row fills in completely is used: decimal degrees, then easting and
//! northing, then `verbatimCoordinates`. Where a second form is filled in as well, the two are
//! compared ([`crate::ingest::places`]). Nothing is converted here.

use crate::geography::coordinates::register::epsg;
use crate::geography::coordinates::transform::WGS84;
use crate::ingest::columns::Column;
use crate::ingest::findings::{Finding, Severity};
use crate::ingest::row_view::RowView;
use crate::ingest::values::angle::degrees_minutes_seconds;
use crate::ingest::values::number::{METRES, NotANumber, complaint, degrees, number};
use geo::Coord;

/// The system a position is written in.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum System {
    /// Longitude and latitude, WGS 84.
    Wgs84,
    /// Longitude and latitude on another datum (EPSG code).
    Datum(String),
    /// Easting and northing in the study's system.
    Study,
    /// Easting and northing in another projected system (EPSG code).
    Projected(String),
}

impl System {
    /// Whether positions are degrees.
    pub(crate) fn is_degrees(&self) -> bool {
        matches!(self, System::Wgs84 | System::Datum(_))
    }
}

/// A position as written, not yet converted or judged.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct WrittenPosition {
    /// x before y: longitude, latitude, or easting, northing.
    pub at: Coord,
    /// What it is written in.
    pub system: System,
    /// The user's column name of x (of the cell, when one cell holds both).
    pub x_column: String,
    /// The user's column name of y.
    pub y_column: String,
    /// The user's column name of the datum or the coordinate system.
    pub system_column: String,
}

/// The positions of a row, the one to use first; findings where there is none or a part is wrong.
pub(crate) fn written(row: &RowView) -> (Vec<WrittenPosition>, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut places = Vec::new();
    let mut half = Vec::new();
    for (x, y) in [(Column::DecimalLongitude, Column::DecimalLatitude), (Column::Easting, Column::Northing)] {
        match (row.text(x), row.text(y)) {
            (Some(tx), Some(ty)) => {
                let in_degrees = x == Column::DecimalLongitude;
                let read = if in_degrees { degrees } else { number };
                let mut cell = |column: Column, text: &str| match read(text) {
                    Ok(v) => Some(v),
                    Err(problem) => {
                        let (message, suggested_correction) = match problem {
                            NotANumber::Ambiguous { .. } => complaint(&problem, METRES, ""),
                            // The number a text starts with may lack its hemisphere: not offered as a
                            // correction.
                            NotANumber::Unreadable { .. } if in_degrees => (
                                "is not a number".into(),
                                "write decimal degrees, south and west negative, or put degrees and minutes \
                                 into verbatimCoordinates"
                                    .into(),
                            ),
                            NotANumber::Unreadable { .. } => {
                                ("is not a number".into(), "write metres, such as 1576041.15".into())
                            }
                        };
                        findings.push(row.finding(
                            Severity::Refused,
                            "position-not-a-number",
                            column,
                            message,
                            suggested_correction,
                        ));
                        None
                    }
                };
                if let (Some(cx), Some(cy)) = (cell(x, tx), cell(y, ty)) {
                    let system = if in_degrees { datum(row) } else { projected(row) };
                    match system {
                        Ok(system) => {
                            let system_column = if in_degrees { Column::GeodeticDatum } else { Column::Crs };
                            places.push(WrittenPosition {
                                at: Coord { x: cx, y: cy },
                                system,
                                x_column: row.column_name(x).into(),
                                y_column: row.column_name(y).into(),
                                system_column: row.column_name(system_column).into(),
                            });
                        }
                        Err(finding) => findings.push(*finding),
                    }
                }
            }
            (None, None) => {}
            (Some(_), None) => half.push((x, y)),
            (None, Some(_)) => half.push((y, x)),
        }
    }
    if let Some(text) = row.text(Column::VerbatimCoordinates) {
        match (degrees_minutes_seconds(text), datum(row)) {
            (Ok(at), Ok(system)) => places.push(WrittenPosition {
                at,
                system,
                x_column: row.column_name(Column::VerbatimCoordinates).into(),
                y_column: row.column_name(Column::VerbatimCoordinates).into(),
                system_column: row.column_name(Column::GeodeticDatum).into(),
            }),
            (Err(why), _) => findings.push(row.finding(
                Severity::Refused,
                "position-unreadable",
                Column::VerbatimCoordinates,
                why,
                "write it like 41°24'12.3\"S 172°10'05\"E",
            )),
            (_, Err(finding)) => findings.push(*finding),
        }
    }
    let usable = !places.is_empty();
    if !usable && findings.is_empty() && half.is_empty() {
        findings.push(row.row_finding(
            Severity::Refused,
            "position-missing",
            "has no position",
            "fill in latitude and longitude, easting and northing, or verbatimCoordinates",
        ));
    }
    for (present, absent) in half {
        findings.push(row.finding(
            if usable { Severity::Warning } else { Severity::Refused },
            "position-half",
            present,
            format!(
                "stands alone: {} is empty{}",
                row.column_name(absent),
                if usable { "; the position in another column is used" } else { "" }
            ),
            format!("fill in {} as well", row.column_name(absent)),
        ));
    }
    (places, findings)
}

/// The datum of a row's degrees.
fn datum(row: &RowView) -> Result<System, Box<Finding>> {
    let Some(text) = row.text(Column::GeodeticDatum) else {
        return Ok(System::Wgs84);
    };
    // Names people write, and the EPSG codes of their geographic systems (EPSG register).
    let named = match crate::ingest::columns::plain(text).as_str() {
        "wgs84" | "wgs1984" | "notrecorded" | "unknown" => Some(WGS84),
        "nzgd2000" => Some("EPSG:4167"),
        "nzgd1949" | "nzgd49" => Some("EPSG:4272"),
        "gda94" => Some("EPSG:4283"),
        "gda2020" => Some("EPSG:7844"),
        "etrs89" => Some("EPSG:4258"),
        "nad83" => Some("EPSG:4269"),
        "nad27" => Some("EPSG:4267"),
        "osgb36" | "osgb1936" => Some("EPSG:4277"),
        _ => None,
    };
    match named.map(str::to_string).map_or_else(|| epsg(text), Ok) {
        Ok(code) if code == WGS84 => Ok(System::Wgs84),
        Ok(code) => Ok(System::Datum(code)),
        Err(_) => Err(Box::new(row.finding(
            Severity::Refused,
            "datum-unknown",
            Column::GeodeticDatum,
            "is not a datum known here",
            "write an EPSG code such as EPSG:4326, or leave it empty for WGS 84",
        ))),
    }
}

/// The system of a row's easting and northing.
fn projected(row: &RowView) -> Result<System, Box<Finding>> {
    let Some(text) = row.text(Column::Crs) else {
        return Ok(System::Study);
    };
    epsg(text).map(System::Projected).map_err(|_| {
        Box::new(row.finding(
            Severity::Refused,
            "crs-unknown",
            Column::Crs,
            "is not a coordinate system known here",
            "write an EPSG code such as EPSG:2193, or leave it empty for the study's own",
        ))
    })
}
