//! Names and abbreviations of months and seasons, in six languages.

/// The months, January first.
#[rustfmt::skip]
pub(crate) const MONTHS: [&[&str]; 12] = [
    &[
        "january", "jan", "janu", "enero", "ene", "ener", "janvier", "janv", "januar", "janner", "jann",
        "jaenner", "janeiro", "gennaio", "gen", "genn",
    ],
    &[
        "february", "feb", "febr", "febrero", "fevrier", "fev", "fevr", "februar", "feber", "fevereiro",
        "febbraio", "febb",
    ],
    &["march", "mar", "marc", "marzo", "marz", "mars", "maerz", "mrz", "marco"],
    &["april", "apr", "apri", "abril", "abr", "avril", "avr", "avri", "aprile", "apl"],
    &["may", "mayo", "mai", "maio", "mag", "maggio", "magg"],
    &["june", "jun", "junio", "juin", "juni", "junho", "giugno", "giu", "giug", "junh"],
    &["july", "jul", "julio", "juillet", "juil", "juill", "juli", "julho", "luglio", "lug", "lugl", "julh"],
    &["august", "aug", "augu", "agosto", "ago", "agos", "aout", "aou"],
    &[
        "september", "sep", "sept", "septiembre", "setiembre", "set", "septembre", "setembro", "settembre",
        "sett", "sete", "septem",
    ],
    &[
        "october", "oct", "octo", "octubre", "octobre", "okt", "oktober", "out", "outubro", "outu", "ott",
        "ottobre", "octu",
    ],
    &["november", "nov", "nove", "noviembre", "novembre", "novembro", "novi"],
    &[
        "december", "dec", "dece", "diciembre", "dic", "dici", "decembre", "dez", "dezember", "dezembro",
        "deze", "dicembre",
    ],
];

/// A season of the year, by its name alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Season {
    /// Spring.
    Spring,
    /// Summer.
    Summer,
    /// Autumn, or fall.
    Autumn,
    /// Winter.
    Winter,
}

/// Names of the seasons.
#[rustfmt::skip]
pub(crate) const SEASONS: &[(Season, &[&str])] = &[
    (Season::Spring, &[
        "spring", "spr", "sprg", "springtime", "early spring", "mid spring", "late spring", "primavera",
        "prim", "primav", "printemps", "print", "fruhling", "fruhjahr", "fruehling", "fruehjahr", "lenz",
    ]),
    (Season::Summer, &[
        "summer", "sum", "summ", "sumr", "summertime", "early summer", "mid summer", "midsummer",
        "late summer", "verano", "estio", "ver", "ete", "sommer", "hochsommer", "fruhsommer", "spatsommer",
        "verao", "estate", "est",
    ]),
    (Season::Autumn, &[
        "autumn", "aut", "autm", "fall", "early autumn", "mid autumn", "late autumn", "early fall",
        "late fall", "otono", "oto", "automne", "herbst", "fruhherbst", "spatherbst", "outono", "autunno",
        "autun",
    ]),
    (Season::Winter, &[
        "winter", "win", "wint", "wintertime", "early winter", "mid winter", "midwinter", "late winter",
        "invierno", "inv", "hiver", "hiv", "spatwinter", "fruhwinter", "inverno",
    ]),
];
