//! What a file says of the zone of its stamps: an offset, a zone by name, or "local standard time".

use std::collections::BTreeMap;

use chrono_tz::Tz;

use crate::columns::heading::tokens;
use crate::words::words;

/// A statement about the stamps of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stated {
    /// Seconds east of UTC.
    Offset(i32),
    Zone(Tz),
    /// The zone's standard time all year.
    LocalStandard,
}

/// A statement and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Statement {
    pub stated: Stated,
    pub place: String,
}

/// The statement in the name of a time column: `t_UTC+2`, `Uhrzeit (UTC)`, `Time, GMT-05:00`, `Time (EST)`.
pub(crate) fn in_name(name: &str) -> Option<Statement> {
    let place = || format!("the column name `{}`", crate::notes::cut(name, 60));
    if let Some(zone) = iana(name) {
        return Some(Statement { stated: Stated::Zone(zone), place: place() });
    }
    offset_in(name).map(|seconds| Statement { stated: Stated::Offset(seconds), place: place() })
}

/// The statement around the data: a fact whose name speaks of a zone, or a sentence about times.
pub(crate) fn in_facts(facts: &BTreeMap<String, String>) -> Option<Statement> {
    facts.iter().find_map(|(key, value)| {
        let key_words = tokens(key);
        let has = |word: &str| key_words.iter().any(|t| t == word);
        let names_zone = has("timezone")
            || has("zeitzone")
            || has("zone") && (has("time") || has("tz"))
            || has("tz")
            || (has("utc") || has("gmt")) && has("offset");
        let whole = format!("{key} {value}").to_lowercase();
        let sentence = key.starts_with("line ");
        let about_times = sentence && ["times ", "time ", "zeit"].iter().any(|word| whole.contains(word))
            || ["all times", "times are", "times in"].iter().any(|words| whole.contains(words));
        if !names_zone && !about_times {
            return None;
        }
        let place = if sentence { format!("{key} of the preamble") } else { format!("`{key}` in the preamble") };
        let stated = if whole.contains("local standard time") {
            Stated::LocalStandard
        } else if let Some(zone) = iana(value) {
            Stated::Zone(zone)
        } else {
            let bare = || names_zone.then(|| bare_offset(value)).flatten();
            Stated::Offset(offset_in(value).or_else(bare)?)
        };
        Some(Statement { stated, place })
    })
}

/// A zone of the IANA database named in a text. Only names with a `/`: `EST` and the like are offsets.
fn iana(text: &str) -> Option<Tz> {
    text.split(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '/' | '_' | '-' | '+')))
        .filter(|word| word.contains('/') && word.len() <= 40)
        .find_map(|word| word.parse().ok())
}

/// An offset after `UTC` or `GMT`, those alone, or an abbreviation in brackets or at the end.
fn offset_in(text: &str) -> Option<i32> {
    let lower = text.to_ascii_lowercase();
    for mark in ["utc", "gmt"] {
        let mut from = 0;
        while let Some(found) = lower[from..].find(mark) {
            let at = from + found;
            let before = lower[..at].chars().next_back();
            let after = &lower[at + mark.len()..];
            from = at + mark.len();
            if before.is_some_and(char::is_alphanumeric) || after.starts_with(|c: char| c.is_alphabetic()) {
                continue;
            }
            return Some(signed(after.trim_start_matches([' ', '_', ':'])).unwrap_or(0));
        }
    }
    let last = text.trim_end_matches([')', ']', ' ']).rsplit(|c: char| !c.is_ascii_alphabetic()).next()?;
    let capital = last.len() >= 3 && last.bytes().all(|b| b.is_ascii_uppercase());
    if capital { words().zone(last) } else { None }
}

/// `-05:00`, `+2`, `-6 h` as the whole of a fact.
fn bare_offset(text: &str) -> Option<i32> {
    let text = text.trim();
    let digits = text.starts_with(|c: char| c.is_ascii_digit());
    if digits { signed(&format!("+{text}")) } else { signed(text) }
}

/// A signed offset at the start of a text, in seconds.
fn signed(text: &str) -> Option<i32> {
    let sign = match text.chars().next()? {
        '+' => 1,
        '-' | '\u{2212}' => -1,
        _ => return None,
    };
    let text = text.trim_start_matches(['+', '-', '\u{2212}', ' ']);
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (hours, minutes) = match end {
        1 | 2 => {
            let rest = text[end..].strip_prefix(':').and_then(|rest| rest.get(..2)).and_then(|m| m.parse::<i32>().ok());
            let half = text[end..].starts_with(".5");
            (text[..end].parse::<i32>().ok()?, if half { 30 } else { rest.unwrap_or(0) })
        }
        4 => (text[..2].parse().ok()?, text[2..4].parse().ok()?),
        _ => return None,
    };
    (hours <= 14 && minutes < 60).then_some(sign * (hours * 3600 + minutes * 60))
}

/// An offset as people write it: `+02:00`.
pub(crate) fn shown(seconds: i32) -> String {
    if seconds == 0 {
        return "UTC".into();
    }
    let sign = if seconds < 0 { '-' } else { '+' };
    let seconds = seconds.abs();
    format!("{sign}{:02}:{:02}", seconds / 3600, seconds % 3600 / 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> Option<Stated> {
        in_name(text).map(|statement| statement.stated)
    }

    #[test]
    fn names_of_columns() {
        assert_eq!(name("t_UTC+2"), Some(Stated::Offset(7200)));
        assert_eq!(name("Uhrzeit (UTC)"), Some(Stated::Offset(0)));
        assert_eq!(name("time_utc"), Some(Stated::Offset(0)));
        assert_eq!(name("Time, GMT-05:00"), Some(Stated::Offset(-18000)));
        assert_eq!(name("Time, GMT -0530"), Some(Stated::Offset(-19800)));
        assert_eq!(name("Time (EST)"), Some(Stated::Offset(-18000)));
        assert_eq!(name("Time (America/Chicago)"), Some(Stated::Zone(chrono_tz::America::Chicago)));
        assert_eq!(name("Date/Time"), None);
        assert_eq!(name("time_hour"), None);
        assert_eq!(name("TEST"), None);
        assert_eq!(name("outcome"), None);
    }

    #[test]
    fn facts() {
        let fact = |key: &str, value: &str| {
            in_facts(&BTreeMap::from([(key.to_owned(), value.to_owned())])).map(|statement| statement.stated)
        };
        let lst = "All times are specified in Local Standard Time (LST)";
        assert_eq!(fact("line 9", lst), Some(Stated::LocalStandard));
        assert_eq!(fact("Time Zone", "UTC-06:00"), Some(Stated::Offset(-21600)));
        assert_eq!(fact("Time Zone", "America/Chicago"), Some(Stated::Zone(chrono_tz::America::Chicago)));
        assert_eq!(fact("UTC offset", "-5"), Some(Stated::Offset(-18000)));
        assert_eq!(fact("UTC offset (h)", "9.5"), Some(Stated::Offset(34200)));
        assert_eq!(fact("Note", "All times are in UTC"), Some(Stated::Offset(0)));
        assert_eq!(fact("Exported", "2024-01-01 10:00 UTC"), None);
        assert_eq!(fact("Zone", "3"), None);
    }

    #[test]
    fn offsets_are_shown() {
        assert_eq!(shown(0), "UTC");
        assert_eq!(shown(-19800), "-05:30");
        assert_eq!(shown(7200), "+02:00");
    }
}
