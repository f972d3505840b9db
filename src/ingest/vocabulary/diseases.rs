//! Words of column names for other diseases than tuberculosis, and for analyses whatever they sought.

/// Beginnings of words that name another disease or its agent, in six languages.
#[rustfmt::skip]
const OTHER_DISEASES: &[&str] = &[
    "brucel", "bruzel", "trichin", "triquin", "trichen", "aujesz", "aujesk", "pseudorab", "leptosp", "lepto",
    "salmonel", "toxopl", "toxo", "hepatit", "influenz", "erysip", "mal rouge", "rotlauf", "rabies", "rabia",
    "rabbia", "raiva", "tollwut", "coxiel", "paratub", "johne", "aftos", "aphtous", "anthra", "milzbrand",
    "mange", "raude", "sarna", "gale", "rogna", "parvo", "circov", "mycoplasm", "tularem", "listeri",
    "campylob", "yersin", "echinoc", "cysticer", "metastrong", "lungworm", "parasit", "african", "afrik",
    "klassisch", "classical", "clasica", "classica", "classique", "schweinepest",
];

/// Short names of other diseases, as whole words.
#[rustfmt::skip]
const SHORT_NAMES: &[&str] = &[
    "asf", "asp", "ppa", "psa", "csf", "ksp", "esp", "ppc", "psc", "adv", "prv", "hev", "fmd", "mks", "prrs",
    "pcv", "pcv2", "siv", "covid", "sars", "map", "ad", "vhe", "vea", "mkz", "dcs",
];

/// Beginnings of words for an analysis or its answer.
#[rustfmt::skip]
const ANALYSES: &[&str] = &[
    "analy", "analis", "anali", "test", "prueba", "prova", "exam", "esam", "unters", "lab", "result",
    "ergebnis", "befund", "esito", "diagn", "answer", "outcome",
];

fn any_word(phrase: &str, known: impl Fn(&str) -> bool) -> bool {
    phrase.split(' ').any(known)
}

/// Whether a column name speaks of another disease: its positives are none of tuberculosis.
pub(crate) fn of_another_disease(phrase: &str) -> bool {
    any_word(phrase, |w| SHORT_NAMES.contains(&w) || OTHER_DISEASES.iter().any(|d| w.starts_with(d)))
}

/// Whether a column name speaks of an analysis.
pub(crate) fn of_an_analysis(phrase: &str) -> bool {
    any_word(phrase, |w| ANALYSES.iter().any(|a| w.starts_with(a)))
}
