//! Settles where the positions of one table lie: grid, hemispheres, columns that are swapped.

use crate::geography::coordinates::projector::Projector;
use crate::geography::coordinates::register::epsg;
use crate::ingest::account::Inference;
use crate::ingest::errors::IngestError;
use crate::ingest::header_words::ABOVE;
use crate::ingest::phrase;
use crate::ingest::table::Table;
use crate::ingest::translate::place::{RowDegrees, row_degrees};
use crate::ingest::translate::place_setting::{PlaceSetting, zone_in};
use crate::ingest::translate::plan::{Given, LOOKED_AT, TablePlan, filled};
use crate::ingest::values::number::number;
use crate::ingest::vocabulary::{self, Field};

/// Least number of rows from which a whole column is read otherwise than it is named. Own choice: with fewer
/// each row is refused, and the user corrects them.
const LEAST_ROWS: usize = 5;
/// Margin about the area where the study's system is used, degrees.
const MARGIN_DEG: f64 = 1.0;

/// The EPSG code that words such as `epsg 25832` name.
fn epsg_in(words: &str) -> Option<String> {
    let tokens: Vec<&str> = words.split(' ').collect();
    tokens.iter().enumerate().find_map(|(i, token)| {
        let glued = token.strip_prefix("epsg").filter(|r| !r.is_empty());
        let digits = glued.or_else(|| (i > 0 && tokens[i - 1] == "epsg").then_some(*token))?;
        (digits.len() >= 4 && digits.bytes().all(|b| b.is_ascii_digit()))
            .then(|| epsg(&format!("EPSG:{digits}")).ok())?
    })
}

/// Settles how positions are read.
///
/// # Errors
/// [`IngestError`] when the key `records.crs` is no code of the register.
pub(crate) fn settle(plan: &mut TablePlan, table: &Table, given: &Given) -> Result<(), IngestError> {
    plan.places.southern = plan.date.southern;
    coordinates_called_x_and_y(plan, table);
    letter_o(plan, table);
    if let Some(hemisphere) = given.keys.hemisphere {
        let (lon, lat) = hemisphere.signs();
        (plan.places.longitude_sign, plan.places.latitude_sign) = (Some(lon), Some(lat));
    } else {
        hemispheres_in_names(plan, table);
    }
    if let Some(index) = plan.index(Field::Position) {
        let words = phrase::header(&table.column_names[index]);
        plan.places.swapped =
            ["lon lat", "long lat", "longitude latitude", "lng lat"].iter().any(|w| words.contains(w));
    }
    grid(plan, table, given)?;
    if let Some(projector) = given.projector {
        against_the_area(plan, table, projector);
    }
    Ok(())
}

/// `x` and `y` are degrees where all their numbers are small enough, otherwise a grid.
fn coordinates_called_x_and_y(plan: &mut TablePlan, table: &Table) {
    let (Some(x), Some(y)) = (plan.index(Field::X), plan.index(Field::Y)) else { return };
    let most = |index: usize| {
        let numbers = filled(table, index, LOOKED_AT).filter_map(|v| number(v).ok()).map(f64::abs);
        numbers.reduce(f64::max)
    };
    let (Some(most_x), Some(most_y)) = (most(x), most(y)) else { return };
    let degrees = most_x <= 180.0 && most_y <= 90.0;
    let (to_x, to_y) =
        if degrees { (Field::Longitude, Field::Latitude) } else { (Field::Easting, Field::Northing) };
    plan.fields.entry(to_x).or_insert(x);
    plan.fields.entry(to_y).or_insert(y);
    plan.fields.remove(&Field::X);
    plan.fields.remove(&Field::Y);
}

/// In German sheets the letter O is east.
fn letter_o(plan: &mut TablePlan, table: &Table) {
    #[rustfmt::skip]
    const GERMAN: [&str; 14] = [
        "geschlecht", "alter", "altersklasse", "erlegt", "erlegungsdatum", "breite", "lange", "laenge",
        "bemerkung", "bemerkungen", "wildart", "datum", "befund", "lymphknoten",
    ];
    let german = |name: &String| phrase::words(name).split(' ').any(|w| GERMAN.contains(&w));
    plan.places.o_is_east = table.column_names.iter().filter(|n| german(n)).count() >= 2;
}

/// Signs that the names of columns give: `Lat S`, `Longitude (O)`, `Long W deg`.
fn hemispheres_in_names(plan: &mut TablePlan, table: &Table) {
    let o_west = if plan.places.o_is_east { "" } else { "o" };
    let mut said = Vec::new();
    for (fields, south_or_west) in [
        ([Field::Latitude, Field::LatitudeDegrees], ["s", "south", "sud", "sur", "sul", "s"]),
        ([Field::Longitude, Field::LongitudeDegrees], ["w", "west", "ouest", "oeste", "ovest", o_west]),
    ] {
        let Some(index) = fields.iter().find_map(|f| plan.index(*f)) else { continue };
        let name = &table.column_names[index];
        let own = name.rsplit(ABOVE).next().unwrap_or(name);
        let words = phrase::header(own);
        let unit = phrase::words(table.units.get(index).map_or("", String::as_str));
        let named = words
            .split(' ')
            .chain(unit.split(' '))
            .skip(1)
            .any(|w| !w.is_empty() && south_or_west.contains(&w));
        // "E/W" names both.
        let both = ["n s", "s n", "e w", "w e"].iter().any(|b| words.contains(b));
        if !named || both {
            continue;
        }
        let latitude = fields[0] == Field::Latitude;
        let sign = if latitude { &mut plan.places.latitude_sign } else { &mut plan.places.longitude_sign };
        *sign = Some(-1.0);
        said.push((index, if latitude { "south of the equator" } else { "west of Greenwich" }));
    }
    let key = plan.places.hemisphere_key();
    for (index, half) in said {
        let read_as = format!("degrees {half} where they have no sign");
        plan.infer(table, index, read_as, "its name says so", key.clone());
    }
}

/// The grid of easting and northing, from the key, the names of the columns, or the notes.
fn grid(plan: &mut TablePlan, table: &Table, given: &Given) -> Result<(), IngestError> {
    let at = plan.index(Field::Easting).or_else(|| plan.index(Field::Position));
    let Some(index) = at else { return Ok(()) };
    if let Some(code) = &given.keys.crs {
        plan.places.crs = Some(epsg(code)?);
        return Ok(());
    }
    if plan.index(Field::Crs).is_some() {
        return Ok(());
    }
    let north = plan.index(Field::Northing).unwrap_or(index);
    let names = format!(
        "{} {}",
        phrase::words(&table.column_names[index]),
        phrase::words(&table.column_names[north])
    );
    let notes = phrase::words(&plan.legend.notes.join(" "));
    plan.places.datum_words = format!("{names} {notes}");
    let key = |code: &str| format!("[records]\ncrs = {code:?}");
    for (words, from) in [(&names, "its name"), (&notes, "a note on the sheet")] {
        if let Some(code) = epsg_in(words) {
            plan.infer(
                table,
                index,
                format!("a grid position in {code}"),
                format!("{from} says so"),
                key(&code),
            );
            plan.places.crs = Some(code);
            return Ok(());
        }
        if let Some((name, code)) = vocabulary::grid_named(words) {
            let why = format!("{from} says \"{name}\"");
            plan.infer(table, index, format!("a grid position in {code}"), why, key(code));
            plan.places.crs = Some(code.to_string());
            return Ok(());
        }
        if let Some(zone) = zone_in(words) {
            plan.places.zone = Some(zone);
            let northing = filled(table, north, LOOKED_AT).find_map(|v| number(v).ok()).unwrap_or(0.0);
            match plan.places.system_of(zone, northing) {
                Some(code) => {
                    let why = format!("{from} names zone {}", zone.number);
                    plan.infer(table, index, format!("a grid position in {code}"), why, key(&code));
                }
                None => {
                    let why = format!("zone {} is named, and not whether north or south", zone.number);
                    plan.ask(table, index, why, key("EPSG:32755"));
                }
            }
            return Ok(());
        }
    }
    let zoned = plan.index(Field::Zone);
    if let Some(zone) = zoned {
        plan.infer(
            table,
            zone,
            "the zone of the grid, row by row",
            "by its name; WGS 84 where no datum is named",
            "[records]\ncrs = \"EPSG:…\"",
        );
    } else if given.projector.is_none() && plan.index(Field::Easting).is_some() {
        plan.ask(table, index, "nothing names the grid of these numbers", key("EPSG:32755"));
    }
    Ok(())
}

/// Ways in which whole columns are written otherwise than they are named.
const WAYS: [(bool, f64, f64, &str); 7] = [
    (true, 1.0, 1.0, "latitude and longitude under each other's name"),
    (false, 1.0, -1.0, "latitude south of the equator without a sign"),
    (false, -1.0, 1.0, "longitude west of Greenwich without a sign"),
    (false, -1.0, -1.0, "south and west without signs"),
    (true, 1.0, -1.0, "latitude and longitude under each other's name, south without a sign"),
    (true, -1.0, 1.0, "latitude and longitude under each other's name, west without a sign"),
    (true, -1.0, -1.0, "latitude and longitude under each other's name, without signs"),
];

/// Reads whole columns as swapped or without signs where that alone puts them into the study's area.
fn against_the_area(plan: &mut TablePlan, table: &Table, projector: &Projector) {
    let Some(area) = projector.area_of_use() else { return };
    let sound = table.rows.iter().filter(|r| r.problem.is_none());
    let read: Vec<RowDegrees> = sound.filter_map(|r| row_degrees(plan, r)).take(LOOKED_AT).collect();
    if read.len() < LEAST_ROWS {
        return;
    }
    let inside = |setting: &PlaceSetting| {
        let at = read.iter().map(|r| setting.turned(r));
        at.filter(|(lon, lat)| area.contains(*lon, *lat, MARGIN_DEG)).count()
    };
    let named = inside(&plan.places);
    if named * 2 >= read.len() {
        return;
    }
    let mut fitting = Vec::new();
    for (swapped, lon, lat, words) in WAYS {
        let unsigned = |latitude: bool| {
            read.iter().filter(|r| if latitude { !r.latitude.signed } else { !r.longitude.signed }).count()
        };
        // Only degrees without sign or letter can lie elsewhere than written.
        let (lat_at, lon_at) = (unsigned(!swapped), unsigned(swapped));
        if (lat < 0.0 && lat_at * 2 < read.len()) || (lon < 0.0 && lon_at * 2 < read.len()) {
            continue;
        }
        let setting = PlaceSetting {
            swapped: swapped != plan.places.swapped,
            longitude_sign: if lon < 0.0 { Some(-1.0) } else { plan.places.longitude_sign },
            latitude_sign: if lat < 0.0 { Some(-1.0) } else { plan.places.latitude_sign },
            ..plan.places.clone()
        };
        let n = inside(&setting);
        if n * 10 >= read.len() * 9 {
            fitting.push((setting, words, n));
        }
    }
    let [(setting, words, n)] = &fitting[..] else { return };
    let evidence = format!(
        "so {n} of {} positions lie in the area of {}, as named {named}",
        read.len(),
        projector.code()
    );
    let index = read[0].columns.0;
    let (lat, lon) = (&table.column_names[read[0].columns.0], &table.column_names[read[0].columns.1]);
    let swap = format!("[records.columns]\ndecimalLatitude = {lon:?}\ndecimalLongitude = {lat:?}");
    let (setting, words) = (setting.clone(), (*words).to_string());
    let turned = setting.swapped != plan.places.swapped;
    if !setting.as_named() && (!turned || setting.latitude_sign.or(setting.longitude_sign).is_some()) {
        plan.infer(table, index, words.clone(), evidence.clone(), setting.hemisphere_key());
    }
    if turned {
        // What the names alone would say is not what is read.
        let (lat, lon) = (lat.clone(), lon.clone());
        let by_name = |i: &Inference| i.column == lat || i.column == lon;
        plan.inferences.retain(|i| !(by_name(i) && i.key.starts_with("[records.columns]")));
        plan.infer(table, index, words, evidence, swap);
    }
    plan.places = setting;
}
