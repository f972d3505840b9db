//! Names of grids and datums as people write them, with their EPSG codes (EPSG register).

/// Names of grids that need no zone, in the normal form of words.
const GRIDS: &[(&str, &str)] = &[
    ("nztm2000", "EPSG:2193"),
    ("nztm", "EPSG:2193"),
    ("new zealand transverse mercator", "EPSG:2193"),
    ("nzmg", "EPSG:27200"),
    ("new zealand map grid", "EPSG:27200"),
    ("lambert 93", "EPSG:2154"),
    ("lambert93", "EPSG:2154"),
    ("rgf93", "EPSG:2154"),
    ("british national grid", "EPSG:27700"),
    ("osgb", "EPSG:27700"),
    ("bng", "EPSG:27700"),
    ("irish transverse mercator", "EPSG:2157"),
    ("itm", "EPSG:2157"),
    ("irish grid", "EPSG:29902"),
    ("rd new", "EPSG:28992"),
    ("rijksdriehoek", "EPSG:28992"),
    ("sweref99 tm", "EPSG:3006"),
    ("sweref 99 tm", "EPSG:3006"),
    ("sweref99tm", "EPSG:3006"),
    ("lambert 2008", "EPSG:3812"),
    ("lambert 72", "EPSG:31370"),
    ("ch1903 lv95", "EPSG:2056"),
    ("lv95", "EPSG:2056"),
    ("ch1903 lv03", "EPSG:21781"),
    ("lv03", "EPSG:21781"),
    ("mgi austria lambert", "EPSG:31287"),
    ("pt tm06", "EPSG:3763"),
    ("tm06", "EPSG:3763"),
    ("monte mario zone 1", "EPSG:3003"),
    ("monte mario zone 2", "EPSG:3004"),
    ("gauss boaga ovest", "EPSG:3003"),
    ("gauss boaga est", "EPSG:3004"),
    ("rdn2008 zone 12", "EPSG:6876"),
    ("gauss kruger zone 2", "EPSG:31466"),
    ("gauss kruger zone 3", "EPSG:31467"),
    ("gauss kruger zone 4", "EPSG:31468"),
    ("gauss kruger zone 5", "EPSG:31469"),
    ("gauss kruger 2", "EPSG:31466"),
    ("gauss kruger 3", "EPSG:31467"),
    ("gauss kruger 4", "EPSG:31468"),
    ("gauss kruger 5", "EPSG:31469"),
    ("gk2", "EPSG:31466"),
    ("gk3", "EPSG:31467"),
    ("gk4", "EPSG:31468"),
    ("gk5", "EPSG:31469"),
    ("etrs laea", "EPSG:3035"),
    ("etrs89 laea", "EPSG:3035"),
    ("laea europe", "EPSG:3035"),
    ("conus albers", "EPSG:5070"),
    ("california albers", "EPSG:3310"),
    ("vicgrid", "EPSG:7899"),
];

/// The grid without zones that a text names, whole words only, with the name found.
pub(crate) fn grid_named(words: &str) -> Option<(&'static str, &'static str)> {
    let padded = format!(" {words} ");
    GRIDS.iter().find(|(name, _)| padded.contains(&format!(" {name} "))).map(|(n, c)| (*n, *c))
}

/// The EPSG code of a zone of a transverse Mercator grid on the datum that a text names; WGS 84 where it
/// names none. `None`: no such zone is registered.
pub(crate) fn zoned(words: &str, zone: u8, south: bool) -> Option<String> {
    let padded = format!(" {words} ");
    let has = |name: &str| padded.contains(&format!(" {name} "));
    if !(1..=60).contains(&zone) {
        return None;
    }
    if has("gda2020") || has("mga2020") {
        return (46..=59).contains(&zone).then(|| format!("EPSG:78{zone}"));
    }
    if has("gda94") || has("mga94") || has("mga") {
        return (46..=59).contains(&zone).then(|| format!("EPSG:283{zone}"));
    }
    if has("etrs89") || has("etrs") || has("etrf") {
        return (!south && (28..=38).contains(&zone)).then(|| format!("EPSG:258{zone}"));
    }
    if has("nad83") {
        return (!south && (1..=23).contains(&zone)).then(|| format!("EPSG:269{zone:02}"));
    }
    if has("nad27") {
        return (!south && (1..=22).contains(&zone)).then(|| format!("EPSG:267{zone:02}"));
    }
    if has("ed50") {
        return (!south && (28..=38).contains(&zone)).then(|| format!("EPSG:230{zone}"));
    }
    if has("sirgas") || has("sirgas2000") || has("sirgas 2000") {
        return match (south, zone) {
            (true, 17..=25) => Some(format!("EPSG:{}", 31960 + u32::from(zone))),
            (false, 17..=22) => Some(format!("EPSG:{}", 31954 + u32::from(zone))),
            _ => None,
        };
    }
    Some(format!("EPSG:{}{zone:02}", if south { 327 } else { 326 }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geography::coordinates::register::facts;

    #[test]
    fn every_code_is_in_the_register_and_is_the_grid_named() {
        for (name, code) in GRIDS {
            assert!(facts(code).is_ok(), "{name}: {code}");
        }
        for (words, zone, south) in [
            ("", 55, true),
            ("", 30, false),
            ("gda94", 55, true),
            ("gda2020", 56, true),
            ("etrs89", 32, false),
            ("nad83", 10, false),
            ("nad27", 10, false),
            ("ed50", 30, false),
            ("sirgas 2000", 22, true),
            ("sirgas", 20, false),
        ] {
            let code = zoned(words, zone, south).unwrap();
            // The register's own name of the system holds the zone and the hemisphere.
            let name = format!("{:?}", facts(&code).unwrap());
            assert!(name.contains(&format!("zone {zone}")), "{words} {zone}: {code} {name}");
        }
        assert_eq!(zoned("etrs89", 60, true), None);
    }
}
