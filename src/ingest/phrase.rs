//! One spelling for the words of record sheets, so that they can be looked up.

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

/// Lower case without accents; `ß` is `ss`, ordinal signs are left out, blanks are single.
///
/// ```
/// use pignut::internals::ingest::phrase::cell;
/// assert_eq!(cell("  S/L   Lésion "), "s/l lesion");
/// assert_eq!(cell("Überläufer"), "uberlaufer");
/// ```
pub fn cell(text: &str) -> String {
    if text.is_ascii() {
        // Most cells have no accents to take off.
        let mut out = String::with_capacity(text.len());
        for word in text.split_ascii_whitespace() {
            if !out.is_empty() {
                out.push(' ');
            }
            out.extend(word.chars().map(|c| c.to_ascii_lowercase()));
        }
        return out;
    }
    let mut out = String::with_capacity(text.len());
    for c in text.trim().nfd().filter(|c| !is_combining_mark(*c)) {
        match c {
            'ß' => out.push_str("ss"),
            'æ' | 'Æ' => out.push_str("ae"),
            'œ' | 'Œ' => out.push_str("oe"),
            'ø' | 'Ø' => out.push('o'),
            'º' | 'ª' | '°' | '’' => out.push(' '),
            '\u{2212}' | '\u{2013}' | '\u{2014}' => out.push('-'),
            c if c.is_whitespace() => out.push(' '),
            c => out.extend(c.to_lowercase()),
        }
    }
    out.split(' ').filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// As [`cell`], with every run of other signs than letters and digits as one blank.
///
/// ```
/// use pignut::internals::ingest::phrase::words;
/// assert_eq!(words("N.º de animal"), "n de animal");
/// assert_eq!(words("radius_yd"), "radius yd");
/// ```
pub fn words(text: &str) -> String {
    let plain: String = cell(text).chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    plain.split(' ').filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// A column name in words: as [`words`], parted also where a capital follows a small letter.
///
/// ```
/// use pignut::internals::ingest::phrase::header;
/// assert_eq!(header("dateKilled"), "date killed");
/// assert_eq!(header("animalID"), "animal id");
/// ```
pub fn header(text: &str) -> String {
    let mut parted = String::with_capacity(text.len() + 4);
    let mut small = false;
    for c in text.trim().trim_start_matches('\u{feff}').chars() {
        if small && c.is_uppercase() {
            parted.push(' ');
        }
        small = c.is_lowercase();
        parted.push(c);
    }
    words(&parted)
}
