//! Positions in the ways sheets write them, as our own columns have them.

use crate::ingest::columns::Column;
use crate::ingest::phrase;
use crate::ingest::table::{Row, number_text};
use crate::ingest::translate::place_setting::{GridZone, PlaceSetting, zone_in};
use crate::ingest::translate::plan::TablePlan;
use crate::ingest::translate::read_row::ReadCell;
use crate::ingest::values::angle::degrees_minutes_seconds;
use crate::ingest::values::number::{degrees, number};
use crate::ingest::vocabulary::{self, Field};

/// An axis of a position in degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum AngleAxis {
    Latitude,
    Longitude,
}

/// An angle, and whether a sign or a letter gives its hemisphere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WrittenAngle {
    pub value: f64,
    pub signed: bool,
}

/// Letters and words for the two hemispheres of an axis, the positive one first. `O` is set apart: it is
/// east in German and west in French, Spanish, Portuguese and Italian.
fn hemisphere(word: &str, axis: AngleAxis, o_is_east: bool) -> Option<f64> {
    match (axis, word) {
        (AngleAxis::Latitude, "n" | "north" | "nord" | "norte") => Some(1.0),
        (AngleAxis::Latitude, "s" | "south" | "sud" | "sur" | "sul") => Some(-1.0),
        (AngleAxis::Longitude, "e" | "east" | "est" | "este" | "ost" | "l" | "leste") => Some(1.0),
        (AngleAxis::Longitude, "w" | "west" | "ouest" | "oeste" | "ovest") => Some(-1.0),
        (AngleAxis::Longitude, "o") => Some(if o_is_east { 1.0 } else { -1.0 }),
        _ => None,
    }
}

/// Reads one angle: `-41.5`, `41,5 S`, `41°24'12"`, `S 41 24.205`. `None`: it is none.
pub(crate) fn angle(text: &str, axis: AngleAxis, o_is_east: bool) -> Option<WrittenAngle> {
    let cell = phrase::cell(text).replace(['′', '\''], " ").replace(['″', '"', '”', '“'], " ");
    let comma = cell.matches(',').count() == 1 && !cell.contains('.');
    let cell = if comma { cell.replace(',', ".") } else { cell };
    let (mut sign, mut lettered, mut numbers) = (1.0, false, Vec::new());
    // A letter that touches a number is parted from it.
    let mut parted = String::new();
    for c in cell.chars() {
        let last_is_letter = parted.chars().last().is_some_and(char::is_alphabetic);
        let last_is_digit = parted.chars().last().is_some_and(|l| l.is_ascii_digit() || l == '.');
        if (c.is_alphabetic() && last_is_digit) || (c.is_ascii_digit() && last_is_letter) {
            parted.push(' ');
        }
        parted.push(if c == ':' { ' ' } else { c });
    }
    let tokens: Vec<&str> = parted.split_whitespace().collect();
    for (i, token) in tokens.iter().enumerate() {
        let body = token.strip_prefix(['-', '+']).filter(|_| numbers.is_empty()).unwrap_or(token);
        if body.starts_with(|c: char| c.is_ascii_digit()) {
            if token.starts_with('-') {
                (sign, lettered) = (-1.0, true);
            }
            numbers.push((body.parse::<f64>().ok()?, body.contains('.')));
        } else if matches!(*token, "deg" | "d" | "min" | "m" | "sec" | "") && i > 0 {
            // The names of the units say nothing that their order does not.
        } else if let Some(s) = hemisphere(token.trim_matches('.'), axis, o_is_east) {
            // The letter s after a number may be seconds; a hemisphere stands first or last.
            if lettered && s * sign < 0.0 {
                return None;
            }
            (sign, lettered) = (s, true);
        } else {
            return None;
        }
    }
    let whole = |n: &[(f64, bool)]| n.iter().all(|(v, fraction)| !fraction && *v >= 0.0);
    let value = match numbers[..] {
        [(d, _)] => d,
        [d, (m, _)] if whole(&[d]) && m < 60.0 => d.0 + m / 60.0,
        [d, m, (s, _)] if whole(&[d, m]) && m.0 < 60.0 && s < 60.0 => d.0 + m.0 / 60.0 + s / 3600.0,
        _ => return None,
    };
    // A swapped column holds longitudes under the name of latitude.
    (value <= 180.0).then_some(WrittenAngle { value: sign * value, signed: lettered })
}

/// A position in degrees as a row writes it, before hemispheres without a sign are settled.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RowDegrees {
    pub latitude: WrittenAngle,
    pub longitude: WrittenAngle,
    /// Columns that hold latitude and longitude.
    pub columns: (usize, usize),
    pub rule: &'static str,
}

/// The text of a field's cell that holds something, with its column.
fn held<'a>(plan: &TablePlan, row: &'a Row, field: Field) -> Option<(&'a str, usize)> {
    let index = plan.index(field)?;
    let text = row.cells.get(index)?.trim();
    (!vocabulary::is_blank_word(text)).then_some((text, index))
}

/// Reads the degrees of a row; `None` where it has none that can be read.
pub(crate) fn row_degrees(plan: &TablePlan, row: &Row) -> Option<RowDegrees> {
    let o = plan.places.o_is_east;
    if let (Some((lat, i)), Some((lon, j))) =
        (held(plan, row, Field::Latitude), held(plan, row, Field::Longitude))
    {
        // In a table whose columns are swapped each letter belongs to the other axis.
        let read = |text: &str, axis: AngleAxis, other: AngleAxis| {
            angle(text, axis, o).or_else(|| angle(text, other, o).filter(|a| !a.signed))
        };
        let letter = |f: Field| {
            held(plan, row, f).and_then(|(text, _)| {
                let axis =
                    if f == Field::LatitudeHemisphere { AngleAxis::Latitude } else { AngleAxis::Longitude };
                hemisphere(&phrase::words(text), axis, o)
            })
        };
        let mut latitude = read(lat, AngleAxis::Latitude, AngleAxis::Longitude)?;
        let mut longitude = read(lon, AngleAxis::Longitude, AngleAxis::Latitude)?;
        for (angle, field) in
            [(&mut latitude, Field::LatitudeHemisphere), (&mut longitude, Field::LongitudeHemisphere)]
        {
            if let Some(sign) = letter(field).filter(|_| !angle.signed) {
                *angle = WrittenAngle { value: sign * angle.value.abs(), signed: true };
            }
        }
        return Some(RowDegrees { latitude, longitude, columns: (i, j), rule: "an angle in each column" });
    }
    if let (Some((_, i)), Some((_, j))) =
        (held(plan, row, Field::LatitudeDegrees), held(plan, row, Field::LongitudeDegrees))
    {
        use Field as F;
        let parts = |fields: [Field; 3], letter: Field, axis: AngleAxis| {
            // A column of degrees without one of minutes says the place to a hundred kilometres.
            plan.index(fields[1])?;
            let mut text = String::new();
            for field in fields {
                if plan.index(field).is_some() {
                    let (cell, _) = held(plan, row, field)?;
                    text.push_str(&cell.replace(',', "."));
                    text.push(' ');
                }
            }
            if let Some((cell, _)) = held(plan, row, letter) {
                text.push_str(cell);
            }
            angle(&text, axis, o)
        };
        let latitude = parts(
            [F::LatitudeDegrees, F::LatitudeMinutes, F::LatitudeSeconds],
            F::LatitudeHemisphere,
            AngleAxis::Latitude,
        )?;
        let longitude = parts(
            [F::LongitudeDegrees, F::LongitudeMinutes, F::LongitudeSeconds],
            F::LongitudeHemisphere,
            AngleAxis::Longitude,
        )?;
        return Some(RowDegrees {
            latitude,
            longitude,
            columns: (i, j),
            rule: "degrees, minutes in columns",
        });
    }
    let (text, i) = held(plan, row, Field::Position)?;
    let letters = lettered(text, o);
    // Two large numbers are a grid position.
    let at =
        degrees_minutes_seconds(&letters).ok().filter(|at| at.y.abs() <= 180.0 && at.x.abs() <= 180.0)?;
    let signed = letters.chars().any(char::is_alphabetic);
    let axis = |value: f64| WrittenAngle { value, signed: signed || value < 0.0 };
    Some(RowDegrees {
        latitude: axis(at.y),
        longitude: axis(at.x),
        columns: (i, i),
        rule: "both in one cell",
    })
}

/// A pair of angles with the letters of English hemispheres.
fn lettered(text: &str, o_is_east: bool) -> String {
    let words = text.chars().collect::<Vec<_>>();
    let near = |i: usize| {
        let alone = |c: Option<&char>| c.is_none_or(|c| !c.is_alphabetic());
        alone(i.checked_sub(1).and_then(|k| words.get(k))) && alone(words.get(i + 1))
    };
    let letter = |(i, c): (usize, &char)| match c.to_ascii_uppercase() {
        'O' if near(i) => {
            if o_is_east {
                'E'
            } else {
                'W'
            }
        }
        'L' if near(i) => 'E',
        _ => *c,
    };
    words.iter().enumerate().map(letter).collect()
}

/// A grid position in one cell: a zone, an easting and a northing, in any order the numbers allow.
pub(crate) fn grid_cell(text: &str) -> Option<(f64, f64, Option<GridZone>)> {
    let cell = phrase::cell(text).replace([',', ';', '/'], " ");
    let tokens: Vec<&str> = cell.split_whitespace().collect();
    let mut numbers = Vec::new();
    let mut rest = Vec::new();
    for token in &tokens {
        let body = token.trim_start_matches(['e', 'n', 'x', 'y', ':', '=']).trim_end_matches(['e', 'n', 'm']);
        match body.parse::<f64>() {
            Ok(value) if value >= 10_000.0 => numbers.push(value),
            _ => rest.push(*token),
        }
    }
    let rest: Vec<&str> =
        rest.into_iter().filter(|w| !matches!(*w, "e" | "n" | "x" | "y" | "me" | "mn")).collect();
    let zone = match rest[..] {
        [] => None,
        _ => Some(zone_in(&format!("zone {}", rest.join(" ")))?),
    };
    match numbers[..] {
        [x, y] => Some((x, y, zone)),
        _ => None,
    }
}

/// The cells of our own columns for the position of a row; empty where the row has none.
pub(crate) fn cells(plan: &TablePlan, row: &Row) -> Vec<(Column, ReadCell)> {
    let cell = |column: Column, index: usize, text: String, rule: &'static str| {
        let written = row.cells.get(index).map_or("", |c| c.trim()).to_string();
        let changed = text != written;
        (
            column,
            ReadCell {
                text,
                table: 0,
                column: index,
                written,
                rule: if changed { rule } else { "as written" },
            },
        )
    };
    let as_written = |field: Field, column: Column| {
        held(plan, row, field).map(|(text, index)| cell(column, index, text.to_string(), "as written"))
    };
    let mut out = Vec::new();
    out.extend(as_written(Field::Datum, Column::GeodeticDatum));
    let setting = &plan.places;
    let plain = setting.as_named();
    let read = row_degrees(plan, row);
    match read {
        Some(read) => {
            let (lon, lat) = setting.turned(&read);
            let (mut i, mut j) = read.columns;
            if setting.swapped {
                (i, j) = (j, i);
            }
            // A plain number is handed on as it is written.
            let same = |index: usize, value: f64| {
                let text = row.cells.get(index).map_or("", |c| c.trim());
                let same = plain && degrees(text).is_ok_and(|v| v.to_bits() == value.to_bits());
                if same { text.to_string() } else { number_text(value) }
            };
            if i == j && plain {
                out.extend(as_written(Field::Position, Column::VerbatimCoordinates).map(|mut c| {
                    c.1.text = lettered(&c.1.text, setting.o_is_east);
                    c
                }));
            } else {
                out.push(cell(Column::DecimalLatitude, i, same(i, lat), read.rule));
                out.push(cell(Column::DecimalLongitude, j, same(j, lon), read.rule));
            }
        }
        None => {
            out.extend(as_written(Field::Latitude, Column::DecimalLatitude));
            out.extend(as_written(Field::Longitude, Column::DecimalLongitude));
        }
    }
    grid(plan, row, &cell, &as_written, &mut out);
    out
}

type MakeCell<'a> = &'a dyn Fn(Column, usize, String, &'static str) -> (Column, ReadCell);

/// Adds easting, northing and their system.
fn grid(
    plan: &TablePlan,
    row: &Row,
    cell: MakeCell,
    as_written: &dyn Fn(Field, Column) -> Option<(Column, ReadCell)>,
    out: &mut Vec<(Column, ReadCell)>,
) {
    let setting = &plan.places;
    let system = |zone: Option<GridZone>, northing: f64| -> Option<String> {
        setting.crs.clone().or_else(|| setting.system_of(zone.or(setting.zone)?, northing))
    };
    let place = out.iter().any(|(c, _)| *c == Column::VerbatimCoordinates || *c == Column::DecimalLatitude);
    if !place && let Some((text, index)) = held(plan, row, Field::Position) {
        if let Some((x, y, zone)) = grid_cell(text) {
            out.push(cell(Column::Easting, index, number_text(x), "grid position in one cell"));
            out.push(cell(Column::Northing, index, number_text(y), "grid position in one cell"));
            if let Some(code) = system(zone, y) {
                out.push(cell(Column::Crs, index, code, "zone of the grid"));
            }
            return;
        }
        out.extend(as_written(Field::Position, Column::VerbatimCoordinates));
    }
    let (x, y) = if setting.swapped && !place {
        (Field::Northing, Field::Easting)
    } else {
        (Field::Easting, Field::Northing)
    };
    let (east, north) = (as_written(x, Column::Easting), as_written(y, Column::Northing));
    let northing = north.as_ref().and_then(|(_, c)| number(&c.text).ok());
    if let Some(own) = as_written(Field::Crs, Column::Crs) {
        out.push(own);
    } else if let (Some((_, e)), Some(northing)) = (&east, northing) {
        let written = held(plan, row, Field::Zone);
        let zone = written.and_then(|(text, _)| zone_in(&format!("zone {}", phrase::words(text))));
        let index = written.map_or(e.column, |(_, i)| i);
        if let Some(code) = system(zone, northing) {
            out.push(cell(Column::Crs, index, code, "the grid the sheet names"));
        }
    }
    out.extend(east);
    out.extend(north);
}

impl PlaceSetting {
    /// Longitude and latitude of a row, with hemispheres and swapped columns settled.
    pub(crate) fn turned(&self, read: &RowDegrees) -> (f64, f64) {
        let turn = |angle: WrittenAngle, sign: Option<f64>, key: bool| match sign {
            // The name of a column says where its numbers without a sign lie.
            Some(sign) if !angle.signed || key => sign * angle.value.abs(),
            _ => angle.value,
        };
        let (lat, lon) =
            if self.swapped { (read.longitude, read.latitude) } else { (read.latitude, read.longitude) };
        (turn(lon, self.longitude_sign, false), turn(lat, self.latitude_sign, false))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_in_the_ways_people_write_them() {
        use AngleAxis::{Latitude, Longitude};
        for (text, axis, value, signed) in [
            ("-41.5", Latitude, -41.5, true),
            ("41,5034", Latitude, 41.5034, false),
            ("41.5 S", Latitude, -41.5, true),
            ("S41.5", Latitude, -41.5, true),
            ("38°35'55\" N", Latitude, 38.0 + 35.0 / 60.0 + 55.0 / 3600.0, true),
            ("28°12'24\" O", Longitude, -(28.0 + 12.0 / 60.0 + 24.0 / 3600.0), true),
            ("9° 10,199'", Longitude, 9.0 + 10.199 / 60.0, false),
            ("N 41 12.345", Latitude, 41.0 + 12.345 / 60.0, true),
            ("W 121 03.2", Longitude, -(121.0 + 3.2 / 60.0), true),
            ("172°10'05\"E", Longitude, 172.0 + 10.0 / 60.0 + 5.0 / 3600.0, true),
        ] {
            let read = angle(text, axis, false).unwrap_or_else(|| panic!("{text}"));
            assert!((read.value - value).abs() < 1e-12 && read.signed == signed, "{text}: {read:?}");
        }
        for text in ["", "x", "41 61", "1.5 30", "41.5 S N", "-41.5 N", "4 5 6 7", "12 May"] {
            assert_eq!(angle(text, Latitude, false), None, "{text}");
        }
        assert!(angle("8 O", Longitude, true).is_some_and(|a| a.value > 0.0));
    }

    #[test]
    fn grid_positions_in_one_cell() {
        let zone = |text: &str| zone_in(&format!("zone {text}"));
        for (text, x, y, named) in [
            ("30T 345678 4234567", 345_678.0, 4_234_567.0, zone("30t")),
            ("345678 4234567", 345_678.0, 4_234_567.0, None),
            ("55H E495556 N5306034", 495_556.0, 5_306_034.0, zone("55h")),
        ] {
            assert_eq!(grid_cell(text), Some((x, y, named)), "{text}");
        }
        assert_eq!(grid_cell("near the hut"), None);
    }
}
