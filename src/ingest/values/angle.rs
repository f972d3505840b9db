//! Degrees, minutes and seconds of one cell, in the many ways people write them.
//!
//! Marks (`° ' "`, `d m s`, their typographic kin), spaces, commas and semicolons separate; the
//! hemisphere is a letter before or after each angle, or a sign. With letters either angle may
//! come first; without them latitude does. `41°24'12.3"S 172°10'05"E`, `41 24 12.3 S, 172 10 5 E`,
//! `S41 24.205 E172 10.083`, `-41.4034; 172.1681` are all read. A cell that could mean two
//! places is refused.

use geo::Coord;

/// Reads both angles of a cell: longitude, latitude in degrees.
///
/// # Errors
/// What is wrong, as the end of a sentence that starts with the value.
///
/// ```
/// use pignut::internals::ingest::values::angle::degrees_minutes_seconds;
/// let at = degrees_minutes_seconds("41 24 12.3 S, 172 10 5 E").unwrap();
/// assert!((at.y + (41.0 + 24.0 / 60.0 + 12.3 / 3600.0)).abs() < 1e-12);
/// assert!((at.x - (172.0 + 10.0 / 60.0 + 5.0 / 3600.0)).abs() < 1e-12);
/// ```
pub fn degrees_minutes_seconds(text: &str) -> Result<Coord, String> {
    let tokens = tokens(text)?;
    let letters: Vec<char> = tokens.iter().filter_map(|t| t.hemisphere()).collect();
    let groups = match letters.len() {
        2 => grouped_by_letter(&tokens),
        0 => grouped_by_separator(&tokens)?,
        _ => return Err("does not name both hemispheres".into()),
    };
    let [a, b] = [angle(&groups[0])?, angle(&groups[1])?];
    let (lat, lon) = match letters[..] {
        [] => (a, b),
        ['N' | 'S', 'E' | 'W'] => (signed(a, letters[0])?, signed(b, letters[1])?),
        ['E' | 'W', 'N' | 'S'] => (signed(b, letters[1])?, signed(a, letters[0])?),
        _ => return Err("names the same axis twice".into()),
    };
    Ok(Coord { x: lon, y: lat })
}

/// A piece of a cell of degrees.
#[derive(Debug, Clone, PartialEq)]
enum Token {
    Number {
        value: f64,
        whole: bool,
        minus: bool,
    },
    /// Degree (0), minute (1) or second (2) mark.
    Mark(usize),
    Hemisphere(char),
    Separator,
}

impl Token {
    fn hemisphere(&self) -> Option<char> {
        match self {
            Token::Hemisphere(c) => Some(*c),
            _ => None,
        }
    }
}

fn tokens(text: &str) -> Result<Vec<Token>, String> {
    let chars: Vec<char> = text.trim().chars().collect();
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let comma_between_digits = |i: usize| chars[i] == ',' && i > 0 && digit(i - 1) && digit(i + 1);
    let commas = (0..chars.len()).filter(|&i| comma_between_digits(i)).count();
    let letters = chars.iter().filter(|c| matches!(c.to_ascii_uppercase(), 'N' | 'S' | 'E' | 'W')).count();
    let decimal_comma = !chars.contains(&'.')
        && commas > 0
        && ((letters >= 2 && commas <= 2) || (letters == 0 && commas == 2));
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i];
        match c {
            '0'..='9' => {
                let start = i;
                while digit(i)
                    || (i < chars.len() && (chars[i] == '.' || (decimal_comma && comma_between_digits(i))))
                {
                    i += 1;
                }
                let body: String = chars[start..i].iter().map(|c| if *c == ',' { '.' } else { *c }).collect();
                let value = body.parse().map_err(|_| format!("holds \"{body}\", which is not a number"))?;
                let fraction = body.split_once('.').map(|(_, f)| f.len());
                if decimal_comma
                    && fraction == Some(2)
                    && chars[start..i].contains(&',')
                    && commas == 2
                    && letters >= 2
                {
                    // 41,24 S: 41.24 degrees or 41 degrees 24 minutes.
                    return Err("may be read as decimal degrees or as degrees and minutes".into());
                }
                let sign = chars[..start].iter().rev().find(|c| !c.is_whitespace());
                let minus = matches!(sign, Some('-' | '\u{2212}'));
                out.push(Token::Number { value, whole: fraction.is_none(), minus });
                continue;
            }
            '°' | 'º' | '˚' => out.push(Token::Mark(0)),
            '\'' | '′' | '’' | '‘' | '´' | '`' => {
                if out.last() == Some(&Token::Mark(1)) {
                    out.pop();
                    out.push(Token::Mark(2));
                } else {
                    out.push(Token::Mark(1));
                }
            }
            '"' | '″' | '”' | '“' => out.push(Token::Mark(2)),
            ',' | ';' | '/' | '|' => out.push(Token::Separator),
            '-' | '\u{2212}' => {
                let after_digit = i > 0 && digit(i - 1);
                if after_digit && letters < 2 {
                    return Err("has a dash that may be a minus sign or a separator".into());
                }
                if after_digit {
                    // 41-24-12 S: a separator, so the number after it is not negative.
                    out.push(Token::Mark(usize::MAX));
                }
            }
            '+' | ':' | '(' | ')' => {}
            c if c.is_whitespace() => {}
            c if c.is_alphabetic() => {
                let start = i;
                while chars.get(i).is_some_and(|c| c.is_alphabetic()) {
                    i += 1;
                }
                let word: String = chars[start..i].iter().flat_map(|c| c.to_lowercase()).collect();
                out.extend(word_token(&word, &out)?);
                continue;
            }
            other => {
                return Err(format!("holds \"{other}\", which has no meaning in a position"));
            }
        }
        i += 1;
    }
    // A dash used as a separator makes the number after it positive.
    for k in 1..out.len() {
        if out[k - 1] == Token::Mark(usize::MAX)
            && let Token::Number { minus, .. } = &mut out[k]
        {
            *minus = false;
        }
    }
    out.retain(|t| *t != Token::Mark(usize::MAX));
    Ok(out)
}

/// A word's meaning; `None` for a label such as `lat`.
fn word_token(word: &str, before: &[Token]) -> Result<Option<Token>, String> {
    // An "s" after minutes marked with "m" marks seconds: 41d24m12s S.
    let minutes_by_letter = before.iter().rev().take(3).any(|t| *t == Token::Mark(1))
        && matches!(before.last(), Some(Token::Number { .. }))
        && before.iter().rev().take_while(|t| t.hemisphere().is_none()).any(|t| *t == Token::Mark(1));
    Ok(Some(match word {
        "n" | "north" => Token::Hemisphere('N'),
        "s" if minutes_by_letter => Token::Mark(2),
        "s" | "south" => Token::Hemisphere('S'),
        "e" | "east" => Token::Hemisphere('E'),
        "w" | "west" => Token::Hemisphere('W'),
        "d" | "deg" | "degree" | "degrees" | "o" => Token::Mark(0),
        "m" | "min" | "minute" | "minutes" => Token::Mark(1),
        "sec" | "second" | "seconds" => Token::Mark(2),
        "lat" | "latitude" | "lon" | "long" | "longitude" => return Ok(None),
        other => {
            return Err(format!("holds \"{other}\", which has no meaning in a position"));
        }
    }))
}

fn grouped_by_letter(tokens: &[Token]) -> [Vec<Token>; 2] {
    let prefix = tokens.first().is_some_and(|t| t.hemisphere().is_some());
    let mut groups = [Vec::new(), Vec::new()];
    let mut seen = 0usize;
    for token in tokens {
        match token {
            Token::Hemisphere(_) => seen += 1,
            Token::Separator => {}
            other => {
                let group = if prefix { seen.saturating_sub(1) } else { seen };
                groups[group.min(1)].push(other.clone());
            }
        }
    }
    groups
}

fn grouped_by_separator(tokens: &[Token]) -> Result<[Vec<Token>; 2], String> {
    let parts: Vec<&[Token]> = tokens.split(|t| *t == Token::Separator).filter(|p| !p.is_empty()).collect();
    if let [a, b] = parts[..] {
        return Ok([a.to_vec(), b.to_vec()]);
    }
    let numbers: Vec<usize> =
        (0..tokens.len()).filter(|&i| matches!(tokens[i], Token::Number { .. })).collect();
    if parts.len() == 1 && matches!(numbers.len(), 2 | 4 | 6) {
        let (a, b) = tokens.split_at(numbers[numbers.len() / 2]);
        return Ok([a.to_vec(), b.to_vec()]);
    }
    Err("does not hold two angles".into())
}

/// One angle in degrees, with its sign.
fn angle(tokens: &[Token]) -> Result<f64, String> {
    let mut slots = [None::<f64>; 3];
    let mut slot = 0;
    let mut negative = false;
    let mut broken = false;
    let mut i = 0;
    while i < tokens.len() {
        let Token::Number { value, whole, minus } = tokens[i] else {
            return Err("has a mark that belongs to no number".into());
        };
        if let Some(Token::Mark(marked)) = tokens.get(i + 1) {
            if *marked < slot {
                return Err("has its degrees, minutes and seconds out of order".into());
            }
            slot = *marked;
            i += 1;
        }
        if slot > 2 || broken {
            return Err("has more parts than degrees, minutes and seconds".into());
        }
        if minus && slot > 0 {
            return Err("has a minus sign inside an angle".into());
        }
        negative |= minus;
        if slot > 0 && value >= 60.0 {
            return Err(format!("has {value} minutes or seconds; there are 60"));
        }
        slots[slot] = Some(value);
        broken = !whole;
        slot += 1;
        i += 1;
    }
    let Some(whole) = slots[0] else {
        return Err("does not hold two angles".into());
    };
    let size = whole + slots[1].unwrap_or(0.0) / 60.0 + slots[2].unwrap_or(0.0) / 3600.0;
    Ok(if negative { -size } else { size })
}

fn signed(angle: f64, hemisphere: char) -> Result<f64, String> {
    if angle.is_sign_negative() && angle != 0.0 {
        return Err(format!("has both a minus sign and the letter {hemisphere}"));
    }
    Ok(if matches!(hemisphere, 'S' | 'W') { -angle } else { angle })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dms(d: f64, m: f64, s: f64) -> f64 {
        d + m / 60.0 + s / 3600.0
    }

    #[test]
    fn reads_many_notations_of_one_place() {
        let (lat, lon) = (-dms(41.0, 24.0, 12.3), dms(172.0, 10.0, 5.0));
        for text in [
            "41°24'12.3\"S 172°10'05\"E",
            "41° 24′ 12.3″ S, 172° 10′ 5″ E",
            "41º24’12.3”S; 172º10’05”E",
            "41 24 12.3 S, 172 10 5 E",
            "41 24 12,3 S, 172 10 5 E",
            "S41 24 12.3 E172 10 5",
            "172 10 05 E 41 24 12.3 S",
            "41d24m12.3s S 172d10m5s E",
            "41-24-12.3S 172-10-05E",
            "-41 24 12.3, 172 10 5",
            "-41 24 12.3 172 10 5",
            "Lat: 41 deg 24 min 12.3 sec South, Long: 172 deg 10 min 5 sec East",
            "41°24''12.3''S 172°10'05''E".replace("24''", "24'").as_str(),
            "41 24 12.3s 172 10 5e",
            "\u{2212}41 24 12.3; 172 10 5",
        ] {
            let at = degrees_minutes_seconds(text).unwrap_or_else(|e| panic!("{text} {e}"));
            assert!((at.y - lat).abs() < 1e-9 && (at.x - lon).abs() < 1e-9, "{text}: {at:?}");
        }
        for (text, y, x) in [
            ("S41 24.205 E172 10.083", -(41.0 + 24.205 / 60.0), 172.0 + 10.083 / 60.0),
            ("-41.4034; 172.1681", -41.4034, 172.1681),
            ("-41.4034,172.1681", -41.4034, 172.1681),
            ("-41,4034 172,1681", -41.4034, 172.1681),
            ("41,4034 S 172,1681 E", -41.4034, 172.1681),
        ] {
            let at = degrees_minutes_seconds(text).unwrap_or_else(|e| panic!("{text} {e}"));
            assert!((at.y - y).abs() < 1e-9 && (at.x - x).abs() < 1e-9, "{text}: {at:?}");
        }
    }

    #[test]
    fn refuses_what_is_not_one_place() {
        for text in [
            "",
            "somewhere",
            "41 24 12.3 S",
            "41 24 12.3 S 172 10 5 N",
            "41 24 72 S 172 10 5 E",
            "41 24.5 12 S 172 10 5 E",
            "-41 24 12 S 172 10 5 E",
            "41,24 S 172,10 E",
            "41 172 10",
            "17T 630000 4833400",
            "+40.20361-075.00417/",
            "41'24°S 172°E",
            "° ' \"",
            "1.2.3 S 4 E",
        ] {
            assert!(degrees_minutes_seconds(text).is_err(), "{text}: {:?}", degrees_minutes_seconds(text));
        }
    }
}
