//! What an answer says whose words are known one by one: `positivo p/ M. bovis`, `No conc.`, `MAC only`.
//!
//! Every word must be known, and together they must say one thing; anything else says nothing.

use crate::ingest::phrase;
use crate::ingest::vocabulary::{self, Says};

/// Words that turn the next into its opposite.
#[rustfmt::skip]
const NOT: [&str; 17] = [
    "no", "not", "non", "nao", "nicht", "kein", "keine", "pas", "sin", "sem", "senza", "sans", "ohne",
    "n", "none", "k", "never",
];
/// Beginnings of words for the work of the eye or the laboratory.
#[rustfmt::skip]
const WORK: [&str; 49] = [
    "test", "collect", "sent", "send", "done", "submit", "sampl", "coleta", "colet", "realiz", "recog",
    "recolh", "envi", "unters", "einge", "gemacht", "durchgef", "effet", "esegu", "effett", "fait",
    "preleva", "prelev", "inspec", "insp", "examin", "esamin", "avali", "evalu", "cort", "abiert",
    "opened", "cut", "seen", "revis", "ispez", "valut", "vist", "incis", "angeschn", "made", "asked",
    "hech", "processed", "solicit", "request", "muestr", "probe", "taken",
];
/// Beginnings of words for an answer that is neither.
#[rustfmt::skip]
const UNSURE: [&str; 18] = [
    "inconcl", "unklar", "dud", "dubb", "dubi", "dout", "fragl", "zweifel", "equivoc", "indeterm", "susp",
    "contam", "kontam", "ambig", "border", "invalid", "overgr", "uberwuch",
];
/// Beginnings of words for an answer that is not there yet.
#[rustfmt::skip]
const OPEN: [&str; 16] = [
    "pend", "pdte", "await", "wait", "attes", "espera", "cours", "ausst", "lauf", "aguard", "progress",
    "proces", "andamento", "follow", "later", "tba",
];
/// Words for other mycobacteria.
#[rustfmt::skip]
const OTHER: [&str; 12] = [
    "avium", "mac", "mnt", "ntm", "mott", "intracellulare", "microti", "atypical", "atipica", "atypique",
    "atypisch", "nontuberculous",
];
/// Beginnings of words for bacteria that were found or grew.
const GROWN: [&str; 7] = ["detect", "detec", "nachgew", "crec", "growth", "wachst", "isol"];
/// Words that say nothing beside an answer.
#[rustfmt::skip]
const FILLERS: [&str; 62] = [
    "for", "p", "para", "per", "pour", "fur", "m", "mycobacterium", "bovis", "tb", "btb", "tbc", "only",
    "solo", "so", "nur", "seulement", "apenas", "the", "a", "la", "o", "el", "of", "de", "di", "da", "le",
    "in", "lab", "labor", "at", "en", "em", "still", "noch", "is", "ist", "es", "e", "and", "y", "und",
    "et", "complex", "complexe", "komplex", "complejo", "mtbc", "yet", "se", "be", "to", "result",
    "resultado", "resultat", "strain", "ergebnis", "set", "up", "sample", "then",
];

/// Whether words say that something was not done.
pub(crate) fn not_done(text: &str) -> bool {
    let words = phrase::words(text);
    let words: Vec<&str> = words.split(' ').collect();
    let work = |w: &&str| WORK.iter().any(|s| w.starts_with(s));
    NOT.contains(&words[0]) && words.len() > 1 && words[1..].iter().any(work)
}

/// Whether words beside an answer say nothing by themselves, such as the number of a strain.
pub(crate) fn says_nothing(text: &str) -> bool {
    let words = phrase::words(text);
    !words.is_empty() && words.split(' ').all(|w| w != "bovis" && (FILLERS.contains(&w) || is_number(w)))
}

/// What the words of an answer say together.
pub(crate) fn verdict(text: &str) -> Option<Says> {
    // Signs say more than words do here, and are read elsewhere.
    if text.contains('+') {
        return None;
    }
    if not_done(text) {
        return Some(Says::NotTested);
    }
    let words = phrase::words(text);
    let words: Vec<&str> = words.split(' ').collect();
    let begins = |list: &[&str], w: &str| list.iter().any(|s| w.starts_with(s));
    let (mut found, mut negated, mut bovis) = (Vec::new(), false, false);
    for word in &words {
        bovis |= *word == "bovis";
        // "M. avium, not bovis" denies the other.
        if *word == "bovis" && negated {
            negated = false;
        }
        // "bovis" alone is a word for a positive; beside another answer it says of what.
        if FILLERS.contains(word) || is_number(word) {
            continue;
        }
        let says = if OTHER.contains(word) {
            Says::OtherMycobacterium
        } else if begins(&UNSURE, word) {
            Says::Inconclusive
        } else if begins(&OPEN, word) {
            Says::Pending
        } else if NOT.contains(word) {
            negated = true;
            continue;
        } else if negated
            && (word.starts_with("conc") || word.starts_with("auswert") || word.starts_with("deut"))
        {
            negated = false;
            Says::Inconclusive
        } else if GROWN.iter().any(|b| word.starts_with(b))
            || matches!(vocabulary::says(word), Some(Says::Positive))
        {
            if negated { Says::Negative } else { Says::Positive }
        } else if matches!(vocabulary::says(word), Some(Says::Negative)) {
            // "not negative" is no answer that anybody can use.
            if negated {
                return None;
            }
            Says::Negative
        } else {
            return None;
        };
        if !found.contains(&says) {
            found.push(says);
        }
    }
    match found[..] {
        [one] if !negated || one == Says::Negative => Some(one),
        // "positive for M. avium" is no M. bovis.
        [Says::Positive, Says::OtherMycobacterium] | [Says::OtherMycobacterium, Says::Positive] if !bovis => {
            Some(Says::OtherMycobacterium)
        }
        [Says::Negative, Says::OtherMycobacterium] | [Says::OtherMycobacterium, Says::Negative] => {
            Some(Says::OtherMycobacterium)
        }
        _ => None,
    }
}

/// A number, or the cycle at which a PCR turned positive, such as `ct33`.
fn is_number(word: &str) -> bool {
    // A spoligotype of M. bovis is numbered SB and four figures.
    let word = word.strip_prefix("sb").filter(|n| n.len() == 4).unwrap_or(word);
    word.trim_start_matches("ct").chars().all(|c| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_say_one_thing_together_or_nothing() {
        use Says::{Inconclusive, Negative, NotTested, OtherMycobacterium, Pending, Positive};
        for (text, says) in [
            ("positivo p/ M. bovis", Some(Positive)),
            ("positive for M. bovis", Some(Positive)),
            ("pos_Ct33.4", Some(Positive)),
            ("positive for M. avium", Some(OtherMycobacterium)),
            ("MAC only", Some(OtherMycobacterium)),
            ("MNT (avium)", Some(OtherMycobacterium)),
            ("No conc.", Some(Inconclusive)),
            ("n. auswertbar", Some(Inconclusive)),
            ("não coletado", Some(NotTested)),
            ("not sent", Some(NotTested)),
            ("Pdte.", Some(Pending)),
            ("noch ausst.", Some(Pending)),
            ("negative for M. bovis", Some(Negative)),
            ("not positive", Some(Negative)),
            ("positive and negative", None),
            ("not negative", None),
            ("positive for purple", None),
            ("M. bovis", None),
            ("", None),
        ] {
            assert_eq!(verdict(text), says, "{text}");
        }
    }
}
