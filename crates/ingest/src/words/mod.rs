//! The words that files use, as tables: one text file per topic beside this module.
//!
//! A new word is a new line; a new language is new lines. Matching is on whole words, without case.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use grainfall_record::Quantity;

use crate::units::Unit;

/// A phrase of one or more words and what it stands for.
#[derive(Debug, Clone)]
pub(crate) struct Phrase<T> {
    pub words: Vec<String>,
    pub means: T,
}

/// Where a phrase was found among the words of a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Found<T> {
    pub start: usize,
    pub len: usize,
    pub means: T,
}

/// How strongly a word says that a value names the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Identity {
    /// The value tells loggers of one file apart.
    Group,
    /// The value is the instrument's number if it looks like one.
    Device,
    /// The value is a serial number.
    Serial,
}

/// Part of a time that a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum TimePart {
    Stamp,
    Date,
    Time,
    Year,
    Month,
    Day,
    YearDay,
    Hour,
    Minute,
    Second,
    Epoch,
}

/// All tables.
#[derive(Debug)]
pub(crate) struct Words {
    pub quantities: Vec<Phrase<Quantity>>,
    pub left_out: Vec<Phrase<String>>,
    pub means: Vec<Phrase<()>>,
    pub identity: Vec<Phrase<Identity>>,
    pub time: Vec<Phrase<TimePart>>,
    neutral: Vec<String>,
    places: Vec<String>,
    missing: Vec<String>,
    statistics: Vec<String>,
    units: BTreeMap<String, Unit>,
    months: BTreeMap<String, u8>,
    zones: BTreeMap<String, i32>,
}

/// The tables, read once.
pub(crate) fn words() -> &'static Words {
    static WORDS: OnceLock<Words> = OnceLock::new();
    WORDS.get_or_init(Words::load)
}

impl Words {
    fn load() -> Self {
        Self {
            quantities: phrases(include_str!("quantities.txt"), |left, right| {
                Some((right.to_owned(), Quantity::from_column(left)?))
            }),
            left_out: phrases(include_str!("left_out.txt"), |left, right| Some((left.to_owned(), right.to_owned()))),
            means: list(include_str!("means.txt"))
                .map(|word| Phrase { words: vec![word.to_owned()], means: () })
                .collect(),
            identity: phrases(include_str!("identity.txt"), |left, right| Some((left.to_owned(), identity(right)?))),
            time: phrases(include_str!("time.txt"), |left, right| Some((left.to_owned(), time_part(right)?))),
            neutral: list(include_str!("neutral.txt")).map(str::to_owned).collect(),
            places: list(include_str!("places.txt")).map(str::to_owned).collect(),
            missing: list(include_str!("missing.txt")).map(str::to_owned).collect(),
            statistics: list(include_str!("statistics.txt")).map(str::to_owned).collect(),
            units: pairs(include_str!("units.txt")).filter_map(|(l, r)| Some((squeeze(l), Unit::named(r)?))).collect(),
            months: pairs(include_str!("months.txt"))
                .filter_map(|(l, r)| Some((l.to_owned(), r.parse().ok()?)))
                .collect(),
            zones: pairs(include_str!("zones.txt"))
                .filter_map(|(l, r)| Some((l.to_owned(), r.parse().ok()?)))
                .collect(),
        }
    }

    /// The unit a text spells, if it spells one.
    pub fn unit(&self, text: &str) -> Option<Unit> {
        if text.len() > 24 {
            return None;
        }
        self.units.get(&squeeze(text)).copied()
    }

    /// Whether a text, in lower case, stands for "no value". The empty text does.
    pub fn is_missing(&self, text: &str) -> bool {
        text.is_empty() || (text.len() <= 16 && self.missing.iter().any(|word| word.eq_ignore_ascii_case(text)))
    }

    /// Whether a word names neither a quantity nor a place.
    pub fn is_neutral(&self, word: &str) -> bool {
        self.neutral.iter().any(|known| known == word)
    }

    /// Whether a word tells one place from another.
    pub fn is_place(&self, word: &str) -> bool {
        self.places.iter().any(|known| known == word)
    }

    /// Whether a row that begins with this text sums up the rows above it.
    pub fn is_statistic(&self, text: &str) -> bool {
        let text = text.trim_end_matches([':', '.']).trim();
        let first = text.split_whitespace().next().unwrap_or("");
        self.statistics.iter().any(|word| word.eq_ignore_ascii_case(text) || word.eq_ignore_ascii_case(first))
    }

    /// The number of a month by name, in any case.
    pub fn month(&self, name: &str) -> Option<u8> {
        if name.len() > 12 {
            return None;
        }
        self.months.get(&name.to_lowercase()).copied()
    }

    /// Seconds east of UTC of a zone abbreviation that has one meaning.
    pub fn zone(&self, abbreviation: &str) -> Option<i32> {
        if abbreviation.len() > 5 {
            return None;
        }
        self.zones.get(&abbreviation.to_lowercase()).copied()
    }
}

/// The longest phrase among `tokens`; of equally long ones the last.
pub(crate) fn longest<T: Copy>(phrases: &[Phrase<T>], tokens: &[String]) -> Option<Found<T>> {
    let mut best: Option<Found<T>> = None;
    for phrase in phrases {
        let len = phrase.words.len();
        if len == 0 || len > tokens.len() || best.is_some_and(|b| b.len > len) {
            continue;
        }
        for start in 0..=tokens.len() - len {
            if tokens[start..start + len] == phrase.words[..] && best.is_none_or(|b| b.len < len || b.start <= start) {
                best = Some(Found { start, len, means: phrase.means });
            }
        }
    }
    best
}

/// The first phrase of a table that occurs among `tokens`.
pub(crate) fn first<'w, T>(phrases: &'w [Phrase<T>], tokens: &[String]) -> Option<&'w Phrase<T>> {
    phrases.iter().find(|phrase| {
        let len = phrase.words.len();
        len > 0 && len <= tokens.len() && tokens.windows(len).any(|window| window == &phrase.words[..])
    })
}

/// A unit's spelling without what does not matter: case, blanks, underscores, points, carets.
fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '_' | '.' | '^' | '·'))
        .flat_map(char::to_lowercase)
        .collect()
}

fn identity(name: &str) -> Option<Identity> {
    Some(match name {
        "serial" => Identity::Serial,
        "device" => Identity::Device,
        "group" => Identity::Group,
        _ => return None,
    })
}

fn time_part(name: &str) -> Option<TimePart> {
    Some(match name {
        "stamp" => TimePart::Stamp,
        "date" => TimePart::Date,
        "time" => TimePart::Time,
        "year" => TimePart::Year,
        "month" => TimePart::Month,
        "day" => TimePart::Day,
        "yearday" => TimePart::YearDay,
        "hour" => TimePart::Hour,
        "minute" => TimePart::Minute,
        "second" => TimePart::Second,
        "epoch" => TimePart::Epoch,
        _ => return None,
    })
}

fn list(table: &'static str) -> impl Iterator<Item = &'static str> {
    // `#n/a` is a word; a comment has a blank after its mark.
    table.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with("# "))
}

fn pairs(table: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    list(table).filter_map(|line| line.rsplit_once('|')).map(|(left, right)| (left.trim(), right.trim()))
}

fn phrases<T>(table: &'static str, read: impl Fn(&str, &str) -> Option<(String, T)>) -> Vec<Phrase<T>> {
    pairs(table)
        .filter_map(|(left, right)| read(left, right))
        .map(|(text, means)| Phrase { words: text.split(' ').map(str::to_owned).collect(), means })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_every_table_is_read() {
        let words = words();
        let lines = |table| list(table).count();
        assert_eq!(words.quantities.len(), lines(include_str!("quantities.txt")));
        assert_eq!(words.left_out.len(), lines(include_str!("left_out.txt")));
        assert_eq!(words.identity.len(), lines(include_str!("identity.txt")));
        assert_eq!(words.time.len(), lines(include_str!("time.txt")));
        assert_eq!(words.units.len(), lines(include_str!("units.txt")), "no unit is spelled twice");
        assert_eq!(words.months.len(), lines(include_str!("months.txt")));
        assert_eq!(words.zones.len(), lines(include_str!("zones.txt")));
    }

    #[test]
    fn every_quantity_has_words() {
        for quantity in Quantity::ALL {
            assert!(words().quantities.iter().any(|p| p.means == quantity), "{quantity:?}");
        }
    }

    #[test]
    fn the_longest_phrase_wins_and_then_the_last() {
        let tokens = |text: &str| text.split(' ').map(str::to_owned).collect::<Vec<_>>();
        let found = |text: &str| longest(&words().quantities, &tokens(text)).map(|f| f.means);
        assert_eq!(found("dew point temp"), Some(Quantity::DewPoint));
        assert_eq!(found("humidity ratio"), Some(Quantity::HumidityRatio));
        assert_eq!(found("rh temp"), Some(Quantity::AirTemp));
        assert_eq!(found("co2"), None);
    }

    #[test]
    fn units_are_found_in_many_spellings() {
        for (text, unit) in [
            ("°C", Unit::Celsius),
            ("Deg F", Unit::Fahrenheit),
            ("Grad C", Unit::Celsius),
            ("%RH", Unit::Percent),
            ("mm_hg", Unit::MmHg),
            ("Gr/lb", Unit::GrainsPerPound),
        ] {
            assert_eq!(words().unit(text), Some(unit), "{text}");
        }
        assert_eq!(words().unit("km/h"), None);
    }

    #[test]
    fn missing_words_have_no_case() {
        for text in ["", "NA", "NaN", "---", "m", "N/A", "#N/A"] {
            assert!(words().is_missing(text), "{text}");
        }
        assert!(!words().is_missing("0"));
    }
}
