//! Where the positions of one table lie: hemispheres, swapped columns, the zone of a grid.

use crate::ingest::vocabulary;

/// How the positions of a table are read.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct PlaceSetting {
    /// Sign of latitudes that have neither sign nor letter.
    pub latitude_sign: Option<f64>,
    /// Sign of longitudes that have neither sign nor letter.
    pub longitude_sign: Option<f64>,
    /// Whether the columns stand under each other's name.
    pub swapped: bool,
    /// Whether the letter O is east (German) and not west.
    pub o_is_east: bool,
    /// System of easting and northing, where the sheet names one.
    pub crs: Option<String>,
    /// GridZone of the grid, where the sheet names one for all rows.
    pub zone: Option<GridZone>,
    /// Words about the datum of the grid.
    pub datum_words: String,
    /// Whether the study lies south of the equator; `None`: not known, or on both sides.
    pub southern: Option<bool>,
}

/// A zone of a transverse Mercator grid, with what its letter says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct GridZone {
    pub number: u8,
    pub half: Half,
}

/// Which half of the globe a zone lies in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Half {
    North,
    South,
    /// The letter S: south, or the band from 32 to 40 degrees north.
    LetterS,
    Unknown,
}

impl PlaceSetting {
    /// The key that pins where degrees without sign or letter lie.
    pub(crate) fn hemisphere_key(&self) -> String {
        let south = if self.latitude_sign == Some(-1.0) { "south" } else { "north" };
        let west = if self.longitude_sign == Some(-1.0) { "west" } else { "east" };
        format!("[records]\nhemisphere = \"{south} {west}\"")
    }

    /// Whether degrees are read as their columns are named.
    pub(crate) fn as_named(&self) -> bool {
        !self.swapped
            && self.latitude_sign.is_none_or(|s| s > 0.0)
            && self.longitude_sign.is_none_or(|s| s > 0.0)
    }

    /// The EPSG code of a zone, given a northing in it; `None`: its half of the globe is not known.
    pub(crate) fn system_of(&self, zone: GridZone, northing: f64) -> Option<String> {
        // Band S has northings of 3.54 to 4.43 million metres: WGS 84 at 32 and 40 degrees.
        let in_band_s = (3.54e6..4.43e6).contains(&northing);
        let south = match zone.half {
            Half::North => false,
            Half::South => true,
            Half::LetterS => self.southern.unwrap_or(!in_band_s),
            // The European datum lies north of the equator as a whole.
            Half::Unknown if self.datum_words.split(' ').any(|w| w.starts_with("etr")) => false,
            Half::Unknown => self.southern?,
        };
        vocabulary::zoned(&self.datum_words, zone.number, south)
    }
}

/// The zone that words such as `zone 55 south`, `utm 32n`, `zone 30t` name.
pub(crate) fn zone_in(words: &str) -> Option<GridZone> {
    const BEFORE: [&str; 13] = [
        "zone", "zona", "huso", "fuso", "fuseau", "utm", "mga", "zn", "streifen", "gda94", "gda2020", "z",
        "h",
    ];
    let tokens: Vec<&str> = words.split(' ').filter(|t| !t.is_empty()).collect();
    for (i, token) in tokens.iter().enumerate() {
        // "utm32n" is one word.
        let glued = BEFORE.iter().find_map(|b| token.strip_prefix(b)).filter(|r| !r.is_empty());
        let after = i > 0 && BEFORE.contains(&tokens[i - 1]);
        let Some(body) = glued.or(after.then_some(*token)) else { continue };
        let digits = body.chars().take_while(char::is_ascii_digit).count();
        let Ok(number) = body[..digits].parse::<u8>() else { continue };
        if !(1..=60).contains(&number) {
            continue;
        }
        // "H30" is huso 30; a letter and one digit is a block or a hut.
        if token.starts_with('h') && glued.is_some() && body.len() != 2 {
            continue;
        }
        let letter = &body[digits..];
        let next = tokens.get(i + 1).copied().unwrap_or("");
        let half = match if letter.is_empty() { next } else { letter } {
            "north" | "nord" | "norte" | "n" => Half::North,
            "south" | "sud" | "sur" | "sul" => Half::South,
            "s" => Half::LetterS,
            // Bands of latitude: C to M lie in the south, N to X in the north (I and O are not used).
            band if band.len() == 1 && ("c"..="m").contains(&band) && band != "i" => Half::South,
            band if band.len() == 1 && ("p"..="x").contains(&band) => Half::North,
            _ if letter.is_empty() => Half::Unknown,
            _ => continue,
        };
        return Some(GridZone { number, half });
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zones_as_people_write_them() {
        for (words, number, half) in [
            ("utm e zone 55 south", 55, Half::South),
            ("zone 30t", 30, Half::North),
            ("utm 32n", 32, Half::North),
            ("utm32n", 32, Half::North),
            ("mga zone 55", 55, Half::Unknown),
            ("zone 55 s", 55, Half::LetterS),
            ("zone 55h", 55, Half::South),
            ("huso 30", 30, Half::Unknown),
        ] {
            assert_eq!(zone_in(words), Some(GridZone { number, half }), "{words}");
        }
        assert_eq!(zone_in("block 12 of zone x"), None);
    }

    #[test]
    fn the_letter_s_is_a_band_where_its_northings_are() {
        let zone = zone_in("zone 30s").unwrap();
        let setting = PlaceSetting::default();
        assert_eq!(setting.system_of(zone, 4_234_567.0).as_deref(), Some("EPSG:32630"));
        assert_eq!(setting.system_of(zone, 5_306_034.0).as_deref(), Some("EPSG:32730"));
        let south = PlaceSetting { southern: Some(true), ..PlaceSetting::default() };
        assert_eq!(south.system_of(zone, 4_234_567.0).as_deref(), Some("EPSG:32730"));
    }
}
