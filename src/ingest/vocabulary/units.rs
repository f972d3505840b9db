//! Units that may follow a number or stand in a column name, in six languages.

/// What a unit measures, with its factor to months or metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Quantity {
    /// Time: so many months to the unit.
    Months(f64),
    /// Length: so many metres to the unit.
    Metres(f64),
    /// Weight in kilograms.
    Kilograms,
}

/// Mean length of a month in days.
const MONTH_DAYS: f64 = 365.25 / 12.0;

/// The unit that is months beside an age and metres beside a distance.
pub(crate) const EITHER: &str = "m";

/// Unit words with what they measure.
#[rustfmt::skip]
pub(crate) const UNITS: &[(Quantity, &[&str])] = &[
    (Quantity::Months(1.0), &[
        "mo", "mos", "mth", "mths", "mnth", "mnths", "mon", "mons", "month", "months", "month old",
        "months old", "mo old", "mths old", "months of age", "mes", "meses", "mois", "mese", "mesi", "monat",
        "monate", "monaten", "monats", "mens", "meses de edad", "meses de idade", "mesi di eta",
        "mesi d eta", "monate alt", "m o",
    ]),
    (Quantity::Months(12.0), &[
        "y", "yr", "yrs", "year", "years", "yo", "y o", "yr old", "yrs old", "year old", "years old",
        "years of age", "jahr", "jahre", "jahren", "jahrs", "jahre alt", "j", "jr", "ano", "anos", "anio",
        "anios", "anos de edad", "anos de idade", "an", "ans", "annee", "annees", "anno", "anni",
        "anni di eta", "anni d eta", "a",
    ]),
    (Quantity::Months(7.0 / MONTH_DAYS), &[
        "wk", "wks", "week", "weeks", "week old", "weeks old", "wks old", "wk old", "w", "weeks of age",
        "woche", "wochen", "wo", "wochen alt", "semana", "semanas", "sem", "sems", "semaine", "semaines",
        "settimana", "settimane", "sett",
    ]),
    (Quantity::Months(1.0 / MONTH_DAYS), &[
        "day", "days", "day old", "days old", "dy", "dys", "days of age", "tag", "tage", "tagen", "tage alt",
        "dia", "dias", "jour", "jours", "giorno", "giorni", "gg",
    ]),
    (Quantity::Metres(1.0), &[
        "metre", "metres", "meter", "meters", "metern", "mtr", "mtrs", "mts", "metro", "metros", "metri",
    ]),
    (Quantity::Metres(1000.0), &[
        "km", "kms", "kilometre", "kilometres", "kilometer", "kilometers", "kilometern", "kilometro",
        "kilometros", "kilometri", "chilometro", "chilometri", "quilometro", "quilometros", "kilom",
    ]),
    (Quantity::Metres(0.01), &[
        "cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters", "zentimeter", "centimetro",
        "centimetros", "centimetri",
    ]),
    (Quantity::Metres(0.3048), &[
        "ft", "foot", "feet", "fts", "pie", "pies", "pied", "pieds", "fuss", "pe", "pes", "piede", "piedi",
    ]),
    (Quantity::Metres(0.9144), &[
        "yd", "yds", "yard", "yards", "yarda", "yardas", "iarda", "iarde", "jarda", "jardas",
    ]),
    (Quantity::Metres(1609.344), &[
        "mi", "mile", "miles", "milla", "millas", "meile", "meilen", "milha", "milhas", "miglio", "miglia",
    ]),
    (Quantity::Kilograms, &[
        "kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes", "kilogramm",
        "kilogramos", "kilogramo", "quilograma", "quilogramas", "quilo", "quilos", "chilogrammo",
        "chilogrammi", "chilo", "chili",
    ]),
];

/// Words that may stand in the brackets of a column name without being a unit.
#[rustfmt::skip]
pub(crate) const HARMLESS: &[&str] = &[
    "est", "estimated", "estimate", "estim", "approx", "approximate", "approximately", "app", "about", "ca",
    "circa", "c", "jaw", "teeth", "tooth", "dentition", "from teeth", "from jaw", "by teeth", "gps",
    "gps reading", "handheld gps", "wgs84", "wgs 84", "nzgd2000", "nztm", "nztm2000", "nzmg", "utm",
    "etrs89", "gda94", "gda2020", "epsg 4326", "dd", "decimal", "decimal degrees", "dec deg", "deg",
    "degrees", "dms", "ddm", "deg min sec", "degrees minutes seconds", "degrees decimal minutes", "deg dec",
    "decimal deg", "y n", "yes no", "y or n", "yes or no", "yn", "1 0", "0 1", "1 yes 0 no", "tick", "x",
    "tick if yes", "pos neg", "n p", "p n", "vl nvl", "m f", "f m", "male female", "m or f", "dd mm yy",
    "dd mm yyyy", "mm dd yy", "mm dd yyyy", "yyyy mm dd", "yy mm dd", "ddmmyy", "ddmmyyyy", "yyyymmdd",
    "d m y", "m d y", "y m d", "dmy", "mdy", "ymd", "iso", "iso 8601", "dd mmm yy", "dd mmm yyyy",
    "if known", "if available", "if any", "if present", "if seen", "if applicable", "if possible",
    "where known", "optional", "required", "mandatory", "compulsory", "see note", "see notes", "see key",
    "see below", "see over", "see legend", "code", "codes", "text", "free text", "number", "no", "n", "name",
    "list", "initials", "unit", "units", "please specify", "specify", "circle", "circle one", "tick one",
    "delete one", "local time", "24 h", "24h", "24 hr", "hh mm", "utc", "nzst", "nzdt", "lab", "laboratory",
    "field", "office use", "lab use", "lab use only", "office use only", "hunter", "hunter to complete",
    "head", "heads", "total", "all", "each", "both", "left", "right", "l r", "min", "max", "mean", "range",
    "from", "to", "live", "dressed", "gutted", "whole", "carcass", "day month year", "day", "month", "year",
    "s", "south", "north", "east", "west", "negative", "positive", "s negative", "e positive", "map", "grid",
    "block", "rounded", "nearest", "to nearest", "1 row per pig", "one per pig", "per pig", "of pig",
    "of animal", "of kill", "killed", "shot", "bovine", "tb", "btb", "m bovis", "culture", "pcr",
    "histology", "new", "old", "final", "provisional", "preliminary", "confirmed", "reported", "recorded",
    "by hunter", "by vet", "estimado", "estimada", "aproximado", "aproximada", "aprox", "si no", "s n",
    "si conocido", "si se conoce", "si se sabe", "opcional", "obligatorio", "ver nota", "ver notas",
    "dd mm aaaa", "dd mm aa", "aaaa mm dd", "grados decimales", "decimales", "m h", "h m", "macho hembra",
    "dientes", "denticion", "mandibula", "dia mes ano", "especificar", "gms", "grados", "estime", "estimee",
    "environ", "approximatif", "oui non", "o n", "si connu", "si connue", "facultatif", "optionnel",
    "obligatoire", "voir note", "jj mm aaaa", "jj mm aa", "aaaa mm jj", "degres decimaux", "degres", "dents",
    "jour mois annee", "preciser", "a preciser", "en", "geschatzt", "gesch", "ungefahr", "etwa", "ja nein",
    "j n", "falls bekannt", "wenn bekannt", "freiwillig", "pflicht", "siehe anmerkung", "siehe unten", "s u",
    "tt mm jjjj", "tt mm jj", "jjjj mm tt", "dezimalgrad", "dezimal", "grad", "m w", "w m",
    "mannlich weiblich", "zahne", "zahnbild", "kiefer", "tag monat jahr", "bitte angeben", "in",
    "estimativa", "sim nao", "se conhecido", "se conhecida", "facultativo", "obrigatorio", "graus decimais",
    "graus", "dentes", "especifique", "stimato", "stimata", "stima", "se noto", "se nota", "se conosciuto",
    "facoltativo", "opzionale", "obbligatorio", "vedi nota", "vedi note", "gg mm aaaa", "gg mm aa",
    "aaaa mm gg", "gradi decimali", "gradi", "denti", "dentizione", "giorno mese anno", "specificare",
];
