//! Any record written in any style that is read comes back as it was, or is refused: never another value.

use jiff::civil::{Date, date};
use pignut::internals::geography::coordinates::projector::Projector;
use pignut::internals::ingest::errors::IngestError;
use pignut::internals::ingest::read_study_on;
use pignut::internals::records::{Age, LabResult, Sex};
use pignut::internals::study::study_file::Study;
use proptest::prelude::*;
use std::fmt::Write as _;

/// A pig as a keeper knows it.
#[derive(Debug, Clone)]
struct Known {
    killed: Date,
    /// Hundredths of a second of arc would be finer than any style; thousandths of a minute are the unit.
    latitude_milliminutes: i64,
    longitude_milliminutes: i64,
    female: bool,
    months: (u32, u32),
    lesion: bool,
    lab: Option<LabResult>,
}

/// How a keeper writes.
#[derive(Debug, Clone, Copy)]
struct Style {
    language: usize,
    dates: usize,
    places: usize,
    ages: usize,
    separator: char,
    title: bool,
}

/// Column names and words by language: tag, killed, latitude, longitude, sex, age, lesion, laboratory;
/// female, male; lesion, none; positive, negative, pending. Common practice, no source.
const WORDS: [[&str; 15]; 6] = [
    [
        "Tag",
        "Date shot",
        "Lat",
        "Long",
        "Sex",
        "Age",
        "Lesion",
        "Lab result",
        "sow",
        "boar",
        "VL",
        "NVL",
        "pos",
        "neg",
        "pending",
    ],
    [
        "Precinto",
        "Fecha de captura",
        "Latitud",
        "Longitud",
        "Sexo",
        "Edad",
        "Lesiones",
        "Resultado laboratorio",
        "hembra",
        "macho",
        "con lesiones",
        "s/l",
        "positivo",
        "negativo",
        "pendiente",
    ],
    [
        "N° bracelet",
        "Date de tir",
        "Latitude",
        "Longitude",
        "Sexe",
        "Âge",
        "Lésions",
        "Résultat laboratoire",
        "laie",
        "mâle",
        "lésion",
        "RAS",
        "positif",
        "négatif",
        "en cours",
    ],
    [
        "Wildmarke",
        "Erlegungsdatum",
        "Breite",
        "Länge",
        "Geschlecht",
        "Alter",
        "Läsionen",
        "Laborbefund",
        "Bache",
        "Keiler",
        "verändert",
        "o.B.",
        "positiv",
        "negativ",
        "ausstehend",
    ],
    [
        "Brinco",
        "Data do abate",
        "Latitude",
        "Longitude",
        "Sexo",
        "Idade",
        "Lesões",
        "Resultado laboratório",
        "fêmea",
        "macho",
        "com lesões",
        "sem lesões",
        "positivo",
        "negativo",
        "pendente",
    ],
    [
        "Fascetta",
        "Data abbattimento",
        "Latitudine",
        "Longitudine",
        "Sesso",
        "Età",
        "Lesioni",
        "Esito laboratorio",
        "femmina",
        "maschio",
        "lesione",
        "senza lesioni",
        "positivo",
        "negativo",
        "in attesa",
    ],
];
const MONTHS: [[&str; 12]; 6] = [
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
    ["ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"],
    ["janv.", "févr.", "mars", "avril", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc."],
    ["Jan.", "Feb.", "März", "April", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez."],
    ["jan", "fev", "mar", "abr", "mai", "jun", "jul", "ago", "set", "out", "nov", "dez"],
    ["gen", "feb", "mar", "apr", "mag", "giu", "lug", "ago", "set", "ott", "nov", "dic"],
];

fn written_date(d: Date, style: Style) -> String {
    let (y, m, day) = (d.year(), d.month(), d.day());
    match style.dates {
        0 => d.to_string(),
        1 => format!("{day:02}/{m:02}/{y}"),
        2 => format!("{m:02}/{day:02}/{y}"),
        3 => format!("{day:02}.{m:02}.{:02}", y % 100),
        4 => format!("{day} {} {y}", MONTHS[style.language][m as usize - 1]),
        _ => format!("{day:02}-{m:02}-{y} 14:30"),
    }
}

fn written_angle(milliminutes: i64, latitude: bool, style: Style) -> String {
    let (d, mm) = (milliminutes.abs() / 60_000, milliminutes.abs() % 60_000);
    let letter = match (latitude, milliminutes < 0) {
        (true, true) => "S",
        (true, false) => "N",
        (false, true) => "W",
        (false, false) => "E",
    };
    let minutes = mm as f64 / 1000.0;
    match style.places {
        0 => format!("{:.8}", milliminutes as f64 / 60_000.0),
        1 => format!("{:.8}", milliminutes as f64 / 60_000.0).replace('.', ","),
        2 => format!("{:.8} {letter}", milliminutes.abs() as f64 / 60_000.0),
        3 => format!("{d}° {minutes:.3}' {letter}"),
        _ => format!("{letter}{d}°{:02}'{:.2}\"", mm / 1000, (mm % 1000) as f64 * 0.06),
    }
}

fn written_age((min, max): (u32, u32), style: Style) -> String {
    let months = ["months", "meses", "mois", "Monate", "meses", "mesi"][style.language];
    match style.ages {
        0 => format!("{min}-{max} m"),
        1 => format!("{min} - {max} {months}"),
        2 if min % 12 == 0 && max % 12 == 0 => format!("{}-{} y", min / 12, max / 12),
        _ => format!("{min}-{max}mo"),
    }
}

fn sheet(pigs: &[Known], style: Style) -> String {
    let words = WORDS[style.language];
    let s = style.separator;
    let quote = |cell: &str| match cell.contains([s, '"']) {
        true => format!("\"{}\"", cell.replace('"', "\"\"")),
        false => cell.to_string(),
    };
    let mut out = String::new();
    if style.title {
        out.push_str("Heads of the season\n");
    }
    let names: Vec<String> = words[..8].iter().map(|c| quote(c)).collect();
    let _ = writeln!(out, "{}", names.join(&s.to_string()));
    for (i, p) in pigs.iter().enumerate() {
        let lab = match p.lab {
            None => "",
            Some(LabResult::Positive) => words[12],
            Some(LabResult::Negative) => words[13],
            Some(LabResult::Pending) => words[14],
        };
        let cells = [
            format!("K{i:03}"),
            written_date(p.killed, style),
            written_angle(p.latitude_milliminutes, true, style),
            written_angle(p.longitude_milliminutes, false, style),
            words[if p.female { 8 } else { 9 }].to_string(),
            written_age(p.months, style),
            words[if p.lesion { 10 } else { 11 }].to_string(),
            lab.to_string(),
        ];
        let cells: Vec<String> = cells.iter().map(|c| quote(c)).collect();
        let _ = writeln!(out, "{}", cells.join(&s.to_string()));
    }
    out
}

fn known() -> impl Strategy<Value = Known> {
    let lab = prop_oneof![
        3 => Just(None),
        1 => Just(Some(LabResult::Positive)),
        1 => Just(Some(LabResult::Negative)),
        1 => Just(Some(LabResult::Pending)),
    ];
    let day = (2012i16..=2021, 1i8..=12, 1i8..=28).prop_map(|(y, m, d)| date(y, m, d));
    // About an invented island in the north-east quarter of the globe: 54 N, 8 E.
    let place = (54 * 60_000i64..55 * 60_000, 7 * 60_000i64..8 * 60_000);
    let months = (0u32..6, 1u32..4).prop_map(|(from, width)| (from * 12, (from + width) * 12));
    (day, place, any::<bool>(), months, any::<bool>(), lab).prop_map(
        |(killed, (latitude_milliminutes, longitude_milliminutes), female, months, lesion, lab)| Known {
            killed,
            latitude_milliminutes,
            longitude_milliminutes,
            female,
            months,
            lesion,
            lab,
        },
    )
}

fn style() -> impl Strategy<Value = Style> {
    let separator = prop_oneof![Just(','), Just(';'), Just('\t'), Just('|')];
    (0usize..6, 0usize..6, 0usize..5, 0usize..3, separator, any::<bool>()).prop_map(
        |(language, dates, places, ages, separator, title)| Style {
            language,
            dates,
            places,
            ages,
            separator,
            title,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_comes_back_or_is_refused(
        pigs in prop::collection::vec(known(), 1..25),
        style in style(),
    ) {
        let dir = tempfile::tempdir().unwrap();
        let text = sheet(&pigs, style);
        std::fs::write(dir.path().join("sheet.csv"), &text).unwrap();
        let mut study = Study::minimal("styles", "EPSG:32632", "sheet.csv");
        study.folder = dir.path().to_path_buf();
        let projector = Projector::new("EPSG:32632").unwrap();
        let (used, counts) = match read_study_on(&study, date(2022, 1, 1)) {
            Ok(read) => (read.records.pigs, read.account.counts),
            Err(IngestError::NoUsablePig { account }) => (Vec::new(), account.counts),
            Err(other) => panic!("{other}\n{text}"),
        };
        prop_assert!(counts.check() && counts.read == pigs.len(), "{counts:?}\n{text}");
        for pig in used {
            let k = &pigs[pig.id[1..].parse::<usize>().unwrap()];
            prop_assert_eq!((pig.killed.first, pig.killed.last), (k.killed, k.killed), "{}", text);
            let at = projector.to_wgs84(&[geo::Coord { x: pig.easting_m, y: pig.northing_m }]).unwrap()[0];
            let degrees = |milliminutes: i64| milliminutes as f64 / 60_000.0;
            let meant = (degrees(k.longitude_milliminutes), degrees(k.latitude_milliminutes));
            let near = (at.x - meant.0).abs() < 2e-6 && (at.y - meant.1).abs() < 2e-6;
            prop_assert!(near, "{at:?} {meant:?}\n{text}");
            prop_assert_eq!(pig.sex, if k.female { Sex::Female } else { Sex::Male }, "{}", text);
            let age = Age::Interval { min_months: f64::from(k.months.0), max_months: f64::from(k.months.1) };
            prop_assert_eq!(pig.age, age, "{}", text);
            prop_assert_eq!(pig.inspection.gross_lesion, Some(k.lesion), "{}", text);
            prop_assert_eq!(pig.inspection.lab_result, k.lab, "{}", text);
        }
        // Dates of which the order is told, or can be told by three of them, leave nothing to refuse.
        let clear = pigs.iter().filter(|p| p.killed.day() > 12).count() * 4 >= pigs.len();
        let told = matches!(style.dates, 0 | 4) || (clear && pigs.len() >= 12);
        if told {
            prop_assert_eq!(counts.refused, 0, "{}", text);
        }
    }
}
