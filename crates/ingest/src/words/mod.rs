//! The words that files use, as tables: `words.txt` beside this module, a section per topic.
//!
//! A new word is a new line; a new language is new lines. Matching is on whole words, without case.

use std::collections::{BTreeMap, BTreeSet};
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
    /// Names of a column of values in a table with one quantity a row.
    pub values: Vec<Phrase<()>>,
    /// Names of a fact that says when a log began.
    pub start: Vec<Phrase<()>>,
    /// Names of a fact that says when a file was written.
    pub written: Vec<Phrase<()>>,
    pub identity: Vec<Phrase<Identity>>,
    pub time: Vec<Phrase<TimePart>>,
    neutral: Vec<String>,
    places: Vec<String>,
    missing: Vec<String>,
    statistics: Vec<String>,
    copies: Vec<String>,
    fillers: Vec<String>,
    half_days: Vec<(String, bool)>,
    elapsed: Vec<String>,
    percent_symbols: Vec<String>,
    /// Second parts of compounds, the longest first.
    heads: Vec<String>,
    /// Words of all phrases.
    known: BTreeSet<String>,
    /// Those of scripts without blanks.
    unspaced: Vec<String>,
    elapsed_units: BTreeMap<String, i64>,
    units: BTreeMap<String, Unit>,
    /// Most digits in the spelling of a unit.
    unit_digits: usize,
    months: BTreeMap<String, u8>,
    /// Days of the week from 1, Monday; 0 for a word of several.
    weekdays: BTreeMap<String, u8>,
    zones: BTreeMap<String, i32>,
}

/// The tables, read once.
pub(crate) fn words() -> &'static Words {
    static WORDS: OnceLock<Words> = OnceLock::new();
    WORDS.get_or_init(Words::load)
}

impl Words {
    fn load() -> Self {
        let mut words = Self::tables();
        words.unit_digits = words.units.keys().map(|unit| digits(unit)).max().unwrap_or(0);
        for list in [&mut words.heads, &mut words.copies] {
            list.sort_by_key(|word| std::cmp::Reverse(word.len()));
        }
        let of_phrases = ["quantities", "left_out", "means", "values", "start", "identity", "time"]
            .into_iter()
            .flat_map(|section| {
                list(section).map(move |line| match (section, line.rsplit_once('|')) {
                    ("quantities", Some((_, phrase))) | (_, Some((phrase, _))) => phrase.trim(),
                    (_, None) => line,
                })
            });
        let lists = ["neutral", "places", "statistics"].into_iter().flat_map(list);
        words.known = of_phrases.chain(lists).flat_map(|phrase| phrase.split(' ')).map(str::to_owned).collect();
        let ideographs = |word: &&String| word.chars().any(crate::columns::heading::is_ideograph);
        words.unspaced = words.known.iter().filter(ideographs).cloned().collect();
        words
    }

    fn tables() -> Self {
        let owned = |name| list(name).map(str::to_owned).collect();
        Self {
            quantities: phrases("quantities", |left, right| Some((right.to_owned(), Quantity::from_column(left)?))),
            left_out: phrases("left_out", |left, right| Some((left.to_owned(), right.to_owned()))),
            means: plain("means"),
            values: plain("values"),
            start: plain("start"),
            written: plain("written"),
            identity: phrases("identity", |left, right| Some((left.to_owned(), identity(right)?))),
            time: phrases("time", |left, right| Some((left.to_owned(), time_part(right)?))),
            neutral: owned("neutral"),
            places: owned("places"),
            missing: owned("missing"),
            statistics: owned("statistics"),
            copies: owned("copies"),
            fillers: owned("fillers"),
            percent_symbols: owned("percent_symbols"),
            heads: owned("heads"),
            known: BTreeSet::new(),
            unspaced: Vec::new(),
            elapsed: owned("elapsed"),
            elapsed_units: pairs("elapsed_units")
                .filter_map(|(word, ms)| Some((word.to_owned(), ms.parse::<i64>().ok()? * 1000)))
                .collect(),
            half_days: pairs("half_days").map(|(word, half)| (word.to_owned(), half == "pm")).collect(),
            units: pairs("units").filter_map(|(l, r)| Some((squeeze(l), Unit::named(r)?))).collect(),
            unit_digits: 0,
            months: pairs("months").filter_map(|(l, r)| Some((l.to_owned(), r.parse().ok()?))).collect(),
            weekdays: pairs("weekdays").filter_map(|(l, r)| Some((l.to_owned(), r.parse().ok()?))).collect(),
            zones: pairs("zones").filter_map(|(l, r)| Some((l.to_owned(), r.parse().ok()?))).collect(),
        }
    }

    /// The unit a text spells, if it spells one.
    pub fn unit(&self, text: &str) -> Option<Unit> {
        // A date has more digits than any unit.
        if text.len() > 24 || digits(text) > self.unit_digits {
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

    /// Divides a text of a script without blanks into the words known and what is between them.
    pub fn divide(&self, text: &str, pieces: &mut Vec<String>) {
        let mut other = String::new();
        let mut at = 0;
        while let Some(c) = text[at..].chars().next() {
            let found =
                self.unspaced.iter().filter(|word| text[at..].starts_with(word.as_str())).max_by_key(|word| word.len());
            if let Some(word) = found {
                if !other.is_empty() {
                    pieces.push(std::mem::take(&mut other));
                }
                pieces.push(word.clone());
                at += word.len();
            } else {
                other.push(c);
                at += c.len_utf8();
            }
        }
        if !other.is_empty() {
            pieces.push(other);
        }
    }

    /// Where a compound of two known words is divided (`Außentemperatur`); `None` for a word that is known itself.
    pub fn compound(&self, word: &str) -> Option<usize> {
        if word.len() < 8 {
            return None;
        }
        let lower = word.to_lowercase();
        if lower.len() != word.len() || self.known.contains(&lower) {
            return None;
        }
        self.heads
            .iter()
            .filter_map(|head| lower.strip_suffix(head.as_str()))
            .find(|start| self.known.contains(*start) || self.places.iter().any(|place| place == start))
            .map(str::len)
    }

    /// Microseconds of a unit of elapsed time.
    pub fn elapsed_unit(&self, word: &str) -> Option<i64> {
        self.elapsed_units.get(word).copied()
    }

    /// Whether a word says that time is counted from a start.
    pub fn is_elapsed(&self, word: &str) -> bool {
        self.elapsed.iter().any(|known| known == word)
    }

    /// Whether a word means relative humidity when its unit is percent.
    pub fn is_percent_symbol(&self, word: &str) -> bool {
        self.percent_symbols.iter().any(|known| known == word)
    }

    /// What systems add to the name of a copy, in lower case.
    pub fn copy_marks(&self) -> impl Iterator<Item = &str> {
        self.copies.iter().map(String::as_str)
    }

    /// Whether a word between the parts of a date or time says nothing.
    pub fn is_filler(&self, word: &str) -> bool {
        let word = word.to_lowercase();
        self.fillers.contains(&word)
    }

    /// A word for a half of the day at the start of a text: its length, and whether it is the second half.
    pub fn half_day(&self, text: &str) -> Option<(usize, bool)> {
        // Hardly any place in a text begins like one of them.
        let first = text.chars().next()?;
        if first.is_ascii() && !first.is_ascii_alphabetic() {
            return None;
        }
        let first = first.to_lowercase().next();
        let fits = |(word, pm): &(String, bool)| {
            if word.chars().next() != first {
                return None;
            }
            let start = text.get(..word.len())?;
            (start.to_lowercase() == *word).then_some((word.len(), *pm))
        };
        self.half_days.iter().filter_map(fits).max_by_key(|(len, _)| *len)
    }

    /// Whether a row that begins with this text sums up the rows above it.
    pub fn is_statistic(&self, text: &str) -> bool {
        let text = text.trim_end_matches([':', '.']).trim();
        let first = text.split_whitespace().next().unwrap_or("");
        self.statistics.iter().any(|word| word.eq_ignore_ascii_case(text) || word.eq_ignore_ascii_case(first))
    }

    /// The number of a month by name, in any case.
    pub fn month(&self, name: &str) -> Option<u8> {
        if name.len() > 24 {
            return None;
        }
        self.months.get(&name.to_lowercase()).copied()
    }

    /// Whether a word, in any case, is a day of the week.
    pub fn is_weekday(&self, word: &str) -> bool {
        (2..=24).contains(&word.len()) && self.weekdays.contains_key(&word.to_lowercase())
    }

    /// The day of the week of a word, 1 for Monday; `None` for one that means several in different languages.
    pub fn weekday(&self, word: &str) -> Option<u8> {
        let word = word.trim_end_matches('.');
        if !(2..=24).contains(&word.len()) {
            return None;
        }
        self.weekdays.get(&word.to_lowercase()).copied().filter(|day| *day > 0)
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

fn digits(text: &str) -> usize {
    text.bytes().filter(u8::is_ascii_digit).count()
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

const FILE: &str = include_str!("words.txt");

/// The lines of a section, without remarks.
fn list(section: &'static str) -> impl Iterator<Item = &'static str> {
    FILE.lines()
        .map(str::trim)
        .skip_while(move |line| line.strip_prefix("== ") != Some(section))
        .skip(1)
        .take_while(|line| !line.starts_with("== "))
        // `#n/a` is a word; a remark has a blank after its mark.
        .filter(|line| !line.is_empty() && !line.starts_with("# "))
}

fn pairs(section: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    list(section).filter_map(|line| line.rsplit_once('|')).map(|(left, right)| (left.trim(), right.trim()))
}

fn phrases<T>(section: &'static str, read: impl Fn(&str, &str) -> Option<(String, T)>) -> Vec<Phrase<T>> {
    pairs(section)
        .filter_map(|(left, right)| read(left, right))
        .map(|(text, means)| Phrase { words: text.split(' ').map(str::to_owned).collect(), means })
        .collect()
}

fn plain(section: &'static str) -> Vec<Phrase<()>> {
    list(section).map(|text| Phrase { words: text.split(' ').map(str::to_owned).collect(), means: () }).collect()
}

/// Whether the whole of a name is a phrase of a table.
pub(crate) fn word_of<T: Copy>(phrases: &[Phrase<T>], name: &str) -> bool {
    let tokens = crate::columns::heading::tokens(name);
    longest(phrases, &tokens).is_some_and(|found| found.len == tokens.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_every_table_is_read() {
        let words = words();
        let lines = |section| list(section).count();
        assert_eq!(words.quantities.len(), lines("quantities"));
        assert_eq!(words.left_out.len(), lines("left_out"));
        assert_eq!(words.identity.len(), lines("identity"));
        assert_eq!(words.time.len(), lines("time"));
        assert_eq!(words.units.len(), lines("units"), "no unit is spelled twice");
        assert_eq!(words.months.len(), lines("months"));
        assert_eq!(words.zones.len(), lines("zones"));
        assert_eq!(words.weekdays.len(), lines("weekdays"));
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
