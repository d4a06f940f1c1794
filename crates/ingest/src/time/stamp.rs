//! One time stamp: which texts are dates and times, and what they say before the order of a date is known.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use serde::{Deserialize, Serialize};

use crate::words::words;

/// How the numbers of a date are ordered.
#[allow(clippy::enum_variant_names, reason = "they are the words for it")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(crate) enum Order {
    MonthFirst,
    DayFirst,
    /// Two-digit year first.
    YearFirst,
}

impl Order {
    pub fn name(self) -> &'static str {
        match self {
            Self::MonthFirst => "month first",
            Self::DayFirst => "day first",
            Self::YearFirst => "year first",
        }
    }
}

/// A date as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DateText {
    /// Year, month and day, each known.
    Known(NaiveDate),
    /// Two numbers and a four-digit year.
    TwoAndYear { a: u8, b: u8, year: i32, mark: u8 },
    /// Three numbers of two digits.
    Three { a: u8, b: u8, c: u8, mark: u8 },
}

impl DateText {
    /// The date under an order; `None` when there is none such.
    pub fn date(self, order: Order) -> Option<NaiveDate> {
        let ymd = |year: i32, month: u8, day: u8| NaiveDate::from_ymd_opt(year, month.into(), day.into());
        match (self, order) {
            (Self::Known(date), _) => Some(date),
            (Self::TwoAndYear { a, b, year, .. }, Order::MonthFirst) => ymd(year, a, b),
            (Self::TwoAndYear { a, b, year, .. }, Order::DayFirst) => ymd(year, b, a),
            (Self::TwoAndYear { .. }, Order::YearFirst) => None,
            (Self::Three { a, b, c, .. }, Order::MonthFirst) => ymd(century(c), a, b),
            (Self::Three { a, b, c, .. }, Order::DayFirst) => ymd(century(c), b, a),
            (Self::Three { a, b, c, .. }, Order::YearFirst) => ymd(century(a), b, c),
        }
    }

    /// Whether the text alone gives the date.
    pub fn is_known(self) -> bool {
        matches!(self, Self::Known(_))
    }
}

/// Two-digit years: 00 to 68 are 2000 to 2068, 69 to 99 are 1969 to 1999 (POSIX `strptime`, `%y`).
pub(super) fn century(year: u8) -> i32 {
    i32::from(year) + if year < 69 { 2000 } else { 1900 }
}

/// A stamp as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stamp {
    pub date: Option<DateText>,
    /// Time of day; `24:00` is kept as a day more.
    pub time: Option<(NaiveTime, bool)>,
    /// Seconds east of UTC, where written.
    pub offset: Option<i32>,
    /// Whether AM or PM, or a word for it, is written.
    pub half: bool,
    /// Whether the date begins with a year of four digits.
    pub year_first: bool,
    /// The weekday written with it, 1 for Monday, where its word has one meaning.
    pub weekday: Option<u8>,
}

impl Stamp {
    /// Reads a text that is nothing but a date, a time, or both. A blank cell is none.
    pub fn parse(text: &str) -> Option<Self> {
        Self::plain(text).or_else(|| {
            let (plain, half) = rewritten(text)?;
            let stamp = Self::plain(&plain)?;
            Some(Self { half: half || stamp.half, ..stamp })
        })
    }

    fn plain(text: &str) -> Option<Self> {
        let mut scan = Scan { bytes: text.as_bytes(), at: 0, half: false, year_first: false };
        let mut weekday = scan.weekday();
        let date = scan.date();
        if date.is_some() {
            weekday = weekday.or(scan.weekday_behind());
            if scan.done() {
                let year_first = scan.year_first;
                return Some(Self { date, time: None, offset: None, half: false, year_first, weekday });
            }
            scan.between();
        }
        let time = scan.time(date.is_some())?;
        let offset = scan.offset()?;
        scan.blanks();
        let (half, year_first) = (scan.half, scan.year_first);
        let whole = scan.done() && (date.is_some() || offset.is_none());
        whole.then_some(Self { date, time: Some(time), offset, half, year_first, weekday })
    }

    /// The wall time under an order of dates; midnight where no time is written. `None` without a valid date.
    pub fn wall(&self, order: Order) -> Option<NaiveDateTime> {
        let date = self.date?.date(order)?;
        match self.time {
            Some((time, next_day)) => with_time(date, time, next_day),
            None => Some(date.and_time(NaiveTime::MIN)),
        }
    }
}

/// A date and a time of day, one day later for `24:00`.
pub(crate) fn with_time(date: NaiveDate, time: NaiveTime, next_day: bool) -> Option<NaiveDateTime> {
    let date = if next_day { date.succ_opt()? } else { date };
    Some(date.and_time(time))
}

/// A stamp with words in it, in the plain order and signs: words for the halves of the day go behind the time, words
/// that say nothing are left out, signs of Chinese and Japanese become dashes and colons, a time before its date goes
/// behind it. With whether a half of the day was named. `None` when nothing changes.
fn rewritten(text: &str) -> Option<(String, bool)> {
    if text.len() > 64
        || !text.bytes().any(|b| b.is_ascii_digit())
        || text.bytes().all(|b| !is_letter(b)) && !text.contains(' ')
    {
        return None;
    }
    let mut plain = String::with_capacity(text.len() + 4);
    let mut half: Option<bool> = None;
    let mut signs = false;
    let mut at = 0;
    while let Some(c) = text[at..].chars().next() {
        let lone = |end: usize| {
            let before = text[..at].chars().next_back();
            let after = text[end..].chars().next();
            !c.is_ascii() || !before.is_some_and(char::is_alphabetic) && !after.is_some_and(char::is_alphabetic)
        };
        if let Some((len, pm)) = words().half_day(&text[at..]).filter(|(len, _)| *len > 1 && lone(at + len)) {
            if half.replace(pm).is_some() {
                return None;
            }
            plain.push(' ');
            at += len;
            continue;
        }
        if let Some(len) = weekday_in_brackets(&text[at..]) {
            plain.push(' ');
            at += len;
            continue;
        }
        let sign = match c {
            '年' | '月' => Some('-'),
            '日' | '秒' => Some(' '),
            '時' | '时' | '點' | '点' | '分' => Some(':'),
            _ => None,
        };
        if let Some(sign) = sign {
            signs = true;
            plain.push(sign);
            at += c.len_utf8();
        } else if c.is_alphabetic() {
            let end = text[at..].find(|c: char| !c.is_alphabetic()).map_or(text.len(), |len| at + len);
            let word = &text[at..end];
            let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
            if word == "h" && digit(text[..at].chars().next_back()) && digit(text[end..].chars().next()) {
                plain.push(':');
            } else if words().is_filler(word) {
                plain.push(' ');
                // `kl.`
                at = if text[end..].starts_with('.') { end + 1 } else { end };
                continue;
            } else {
                plain.push_str(word);
            }
            at = end;
        } else {
            plain.push(c);
            at += c.len_utf8();
        }
    }
    let mut parts: Vec<String> = plain.split_whitespace().map(str::to_owned).collect();
    if signs {
        parts.iter_mut().filter(|part| part.contains(':')).for_each(|part| *part = two_digits(part));
    }
    if parts.len() >= 2 && parts[0].contains(':') && !parts[0].contains(['-', '/', '.']) {
        // The time, and an AM or PM with it, go behind the date.
        let time = parts.remove(0);
        let marked = parts.first().is_some_and(|part| matches!(part.to_ascii_lowercase().as_str(), "am" | "pm"));
        let mark = marked.then(|| parts.remove(0));
        parts.push(time);
        parts.extend(mark);
    }
    let mut plain = parts.join(" ");
    if let Some(pm) = half {
        plain.push_str(if pm { " PM" } else { " AM" });
    }
    (plain != text && (half.is_none() || plain.contains(':'))).then_some((plain, half.is_some()))
}

/// The length of a Japanese or Chinese weekday in brackets at the start of a text: `(月)`.
fn weekday_in_brackets(text: &str) -> Option<usize> {
    let mut chars = text.chars();
    let open = chars.next().filter(|c| matches!(c, '(' | '（'))?;
    let day = chars.next().filter(|c| "月火水木金土日一二三四五六".contains(*c))?;
    let close = chars.next().filter(|c| matches!(c, ')' | '）'))?;
    Some(open.len_utf8() + day.len_utf8() + close.len_utf8())
}

fn is_letter(byte: u8) -> bool {
    byte.is_ascii_alphabetic() || byte >= 0x80
}

/// `3:5:` as `3:05`.
fn two_digits(time: &str) -> String {
    let parts: Vec<String> = time
        .trim_end_matches(':')
        .split(':')
        .enumerate()
        .map(|(at, part)| if at > 0 && part.len() == 1 { format!("0{part}") } else { part.to_owned() })
        .collect();
    // An hour alone (`15時`) is a full hour.
    if parts.len() == 1 { format!("{}:00", parts[0]) } else { parts.join(":") }
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
    half: bool,
    year_first: bool,
}

impl<'a> Scan<'a> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn done(&self) -> bool {
        self.at >= self.bytes.len()
    }

    fn take(&mut self, byte: u8) -> bool {
        let found = self.peek() == Some(byte);
        if found {
            self.at += 1;
        }
        found
    }

    fn blanks(&mut self) -> bool {
        let start = self.at;
        loop {
            match self.peek() {
                Some(b' ' | b'\t') => self.at += 1,
                // No-break and narrow no-break space, as some systems write before AM and PM.
                Some(0xC2) if self.bytes.get(self.at + 1) == Some(&0xA0) => self.at += 2,
                Some(0xE2) if self.bytes[self.at..].starts_with(b"\xE2\x80\xAF") => self.at += 3,
                _ => return self.at > start,
            }
        }
    }

    /// A run of digits: its value and length. At most 14 digits.
    fn digits(&mut self) -> Option<(u64, usize)> {
        let start = self.at;
        let mut value = 0_u64;
        while let Some(byte @ b'0'..=b'9') = self.peek() {
            if self.at - start >= 14 {
                return None;
            }
            value = value * 10 + u64::from(byte - b'0');
            self.at += 1;
        }
        (self.at > start).then_some((value, self.at - start))
    }

    /// A run of letters.
    fn word(&mut self) -> &'a str {
        let start = self.at;
        while self.peek().is_some_and(|b| b.is_ascii_alphabetic() || b >= 0x80) {
            self.at += 1;
        }
        std::str::from_utf8(&self.bytes[start..self.at]).unwrap_or("")
    }

    /// `Mon,` or `Monday` before a date.
    fn weekday(&mut self) -> Option<u8> {
        let start = self.at;
        let word = self.word();
        let known = words().is_weekday(word) && words().month(word).is_none();
        if known {
            self.take(b'.');
            self.take(b',');
            if self.blanks() {
                return words().weekday(word);
            }
        }
        self.at = start;
        None
    }

    /// ` Mon`, ` (Mon)` or `, Monday` behind a date.
    fn weekday_behind(&mut self) -> Option<u8> {
        let start = self.at;
        self.take(b',');
        self.blanks();
        let bracket = self.take(b'(');
        let word = self.word();
        if words().is_weekday(word) {
            self.take(b'.');
            if !bracket || self.take(b')') {
                let end = self.at;
                if self.done() || self.blanks() || self.take(b',') {
                    self.at = end;
                    return words().weekday(word);
                }
            }
        }
        self.at = start;
        None
    }

    fn date(&mut self) -> Option<DateText> {
        let start = self.at;
        let date = self.date_here();
        if date.is_none() {
            self.at = start;
            self.year_first = false;
        }
        date
    }

    fn date_here(&mut self) -> Option<DateText> {
        if self.peek().is_some_and(is_letter) {
            return self.month_day_year();
        }
        let (first, len) = self.digits()?;
        self.year_first = len >= 4;
        match len {
            8 | 12 | 14 => self.compact(len),
            4 => {
                let mark = self.mark()?;
                let month = self.month_or_number()?;
                self.take_mark(mark)?;
                let (day, len) = self.digits()?;
                if len > 2 {
                    return None;
                }
                known(first, month.number(), day)
            }
            1 | 2 => {
                let a = u8::try_from(first).ok()?;
                let mark = self.mark()?;
                match self.month_or_number()? {
                    MonthText::Name(month) => {
                        self.take_mark(mark)?;
                        let (year, len) = self.digits()?;
                        known(full_year(year, len)?, u64::from(month), u64::from(a))
                    }
                    MonthText::Number(b) if mark != b' ' => {
                        self.take_mark(mark)?;
                        let (year, len) = self.digits()?;
                        let b = u8::try_from(b).ok()?;
                        match len {
                            4 => Some(DateText::TwoAndYear { a, b, year: i32::try_from(year).ok()?, mark }),
                            2 => Some(DateText::Three { a, b, c: u8::try_from(year).ok()?, mark }),
                            _ => None,
                        }
                    }
                    MonthText::Number(_) => None,
                }
            }
            _ => None,
        }
    }

    /// `Apr 3, 2024`.
    fn month_day_year(&mut self) -> Option<DateText> {
        let month = words().month(self.word())?;
        self.take(b'.');
        let dash = self.take(b'-');
        if !dash {
            self.blanks();
        }
        let (day, len) = self.digits()?;
        if len > 2 {
            return None;
        }
        if !(dash && self.take(b'-')) {
            let comma = self.take(b',');
            if !self.blanks() && !comma {
                return None;
            }
        }
        let (year, len) = self.digits()?;
        known(full_year(year, len)?, u64::from(month), day)
    }

    /// `20240403`, `202404031530`, `20240403153000`, the digits having been read: the time part is left to read.
    fn compact(&mut self, len: usize) -> Option<DateText> {
        let from = self.at - len;
        self.at = from + 8;
        let number = |range: std::ops::Range<usize>| {
            self.bytes[range].iter().fold(0_u64, |value, byte| value * 10 + u64::from(byte - b'0'))
        };
        let year = number(from..from + 4);
        if !(1900..2100).contains(&year) {
            return None;
        }
        known(year, number(from + 4..from + 6), number(from + 6..from + 8))
    }

    fn mark(&mut self) -> Option<u8> {
        let mark = self.peek()?;
        match mark {
            b'-' | b'/' | b'.' => {
                self.at += 1;
                // `3. April 2024`
                if mark == b'.' {
                    self.blanks();
                }
                Some(mark)
            }
            b' ' => {
                self.blanks();
                Some(b' ')
            }
            _ => None,
        }
    }

    fn take_mark(&mut self, mark: u8) -> Option<()> {
        if mark == b'.' {
            let dot = self.take(b'.');
            return (self.blanks() || dot).then_some(());
        }
        if mark == b' ' {
            self.take(b',');
            return self.blanks().then_some(());
        }
        self.take(mark).then_some(())
    }

    fn month_or_number(&mut self) -> Option<MonthText> {
        if self.peek()?.is_ascii_digit() {
            let (number, len) = self.digits()?;
            return (len <= 2).then_some(MonthText::Number(number));
        }
        let word = self.word();
        let month = words().month(word)?;
        if self.peek() == Some(b'.') && self.bytes.get(self.at + 1) == Some(&b' ') {
            self.at += 1;
        }
        Some(MonthText::Name(month))
    }

    /// What stands between a date and a time.
    fn between(&mut self) {
        if matches!(self.peek(), Some(b'T' | b't' | b'_')) {
            self.at += 1;
            return;
        }
        if self.take(b':') {
            return;
        }
        self.take(b',');
        self.blanks();
        if self.take(b'-') {
            self.blanks();
        }
    }

    /// A time of day and whether it is the midnight that ends the day (`24:00`).
    fn time(&mut self, after_date: bool) -> Option<(NaiveTime, bool)> {
        let (first, len) = self.digits()?;
        let (mut hour, minute, second, nanos);
        if after_date && (len == 4 || len == 6) && self.bytes.get(self.at) != Some(&b':') {
            let (hhmm, s) = if len == 6 { (first / 100, first % 100) } else { (first, 0) };
            (hour, minute, second) = (hhmm / 100, hhmm % 100, s);
            nanos = self.fraction();
        } else {
            if len > 2 {
                return None;
            }
            hour = first;
            let mark = match self.peek() {
                Some(b':') => b':',
                Some(b'.') if after_date => b'.',
                // `3 PM`
                _ => {
                    let pm = self.half_day()?;
                    return civil(half(hour, pm)?, 0, 0, 0);
                }
            };
            self.at += 1;
            minute = self.two_digits()?;
            if self.peek() == Some(mark) && self.bytes.get(self.at + 1).is_some_and(u8::is_ascii_digit) {
                self.at += 1;
                second = self.two_digits()?;
                nanos = self.fraction();
            } else {
                second = 0;
                nanos = 0;
            }
        }
        if let Some(pm) = self.half_day() {
            hour = half(hour, pm)?;
        }
        civil(hour, minute, second, nanos)
    }

    fn two_digits(&mut self) -> Option<u64> {
        let (value, len) = self.digits()?;
        (len == 2).then_some(value)
    }

    /// A fraction of a second, in nanoseconds.
    fn fraction(&mut self) -> u32 {
        if !matches!(self.peek(), Some(b'.' | b',')) || !self.bytes.get(self.at + 1).is_some_and(u8::is_ascii_digit) {
            return 0;
        }
        self.at += 1;
        let mut nanos = 0;
        let mut scale = 100_000_000;
        while let Some(byte @ b'0'..=b'9') = self.peek() {
            nanos += u32::from(byte - b'0') * scale;
            scale /= 10;
            self.at += 1;
        }
        nanos
    }

    /// `AM` or `PM`: whether it is the second half of the day.
    fn half_day(&mut self) -> Option<bool> {
        let start = self.at;
        self.blanks();
        let pm = match self.peek().map(|b| b.to_ascii_lowercase()) {
            Some(b'a') => false,
            Some(b'p') => true,
            _ => {
                self.at = start;
                return None;
            }
        };
        self.at += 1;
        self.take(b'.');
        if matches!(self.peek(), Some(b'm' | b'M')) {
            self.at += 1;
            self.take(b'.');
        }
        if self.peek().is_some_and(|b| b.is_ascii_alphanumeric()) {
            self.at = start;
            return None;
        }
        self.half = true;
        Some(pm)
    }

    /// `Z`, `+02:00`, `UTC`, `GMT-5`, `EST`; `Some(None)` when nothing is left.
    #[allow(clippy::option_option)]
    fn offset(&mut self) -> Option<Option<i32>> {
        self.blanks();
        if self.done() {
            return Some(None);
        }
        let bracket = self.take(b'(');
        let mut base = None;
        if self.peek().is_some_and(|b| b.is_ascii_alphabetic()) {
            base = Some(words().zone(self.word())?);
        }
        let offset = match self.peek() {
            Some(sign @ (b'+' | b'-')) if base.is_none_or(|b| b == 0) => {
                self.at += 1;
                let (value, len) = self.digits()?;
                let (hours, minutes) = match len {
                    1 | 2 if self.take(b':') => (value, self.two_digits()?),
                    1 | 2 => (value, 0),
                    3 | 4 => (value / 100, value % 100),
                    _ => return None,
                };
                if hours > 15 || minutes > 59 {
                    return None;
                }
                let seconds = i32::try_from(hours * 3600 + minutes * 60).ok()?;
                if sign == b'-' { -seconds } else { seconds }
            }
            _ => base?,
        };
        if bracket && !self.take(b')') {
            return None;
        }
        Some(Some(offset))
    }
}

enum MonthText {
    Name(u8),
    Number(u64),
}

impl MonthText {
    fn number(&self) -> u64 {
        match self {
            Self::Name(month) => u64::from(*month),
            Self::Number(number) => *number,
        }
    }
}

fn known(year: u64, month: u64, day: u64) -> Option<DateText> {
    let date =
        NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, u32::try_from(month).ok()?, u32::try_from(day).ok()?)?;
    Some(DateText::Known(date))
}

fn full_year(year: u64, len: usize) -> Option<u64> {
    match len {
        4 => Some(year),
        2 => u64::try_from(century(u8::try_from(year).ok()?)).ok(),
        _ => None,
    }
}

pub(super) fn half(hour: u64, pm: bool) -> Option<u64> {
    match (hour, pm) {
        (12, false) => Some(0),
        (12, true) => Some(12),
        (1..=11, true) => Some(hour + 12),
        (1..=11, false) => Some(hour),
        // `13:05 PM` and `0:30 AM` are written by some systems and mean what the hour says.
        (13..=23, true) | (0, false) => Some(hour),
        _ => None,
    }
}

fn civil(hour: u64, minute: u64, second: u64, nanos: u32) -> Option<(NaiveTime, bool)> {
    if hour == 24 && minute == 0 && second == 0 && nanos == 0 {
        return Some((NaiveTime::MIN, true));
    }
    let part = |value: u64| u32::try_from(value).ok();
    Some((NaiveTime::from_hms_nano_opt(part(hour)?, part(minute)?, part(second)?, nanos)?, false))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(text: &str, order: Order) -> String {
        match Stamp::parse(text).and_then(|stamp| Some((stamp.wall(order)?, stamp.offset))) {
            Some((wall, Some(offset))) => format!("{} {offset:+}", wall.format("%Y-%m-%dT%H:%M:%S%.f")),
            Some((wall, None)) => wall.format("%Y-%m-%dT%H:%M:%S%.f").to_string(),
            None => "none".into(),
        }
    }

    #[test]
    fn forms_that_say_the_date_themselves() {
        for (text, want) in [
            ("2013-03-01T05:00:00Z", "2013-03-01T05:00:00 +0"),
            ("2010-11-15 00:00:00", "2010-11-15T00:00:00"),
            ("2014-05-13 0:00", "2014-05-13T00:00:00"),
            ("2024-01-01 10:11:12.250+05:30", "2024-01-01T10:11:12.250 +19800"),
            ("2024-01-01 10:11 UTC-5", "2024-01-01T10:11:00 -18000"),
            ("2024-01-01 10:11:12 EST", "2024-01-01T10:11:12 -18000"),
            ("2024/1/1 7:05 PM", "2024-01-01T19:05:00"),
            ("2024.01.31 24:00", "2024-02-01T00:00:00"),
            ("20240403T153000Z", "2024-04-03T15:30:00 +0"),
            ("202404031530", "2024-04-03T15:30:00"),
            ("20240403 1530", "2024-04-03T15:30:00"),
            ("3 April 2024 08:00", "2024-04-03T08:00:00"),
            ("03-Apr-24 08:00:05", "2024-04-03T08:00:05"),
            ("3. März 2024, 14.30", "2024-03-03T14:30:00"),
            ("Apr 3, 2024 8:00 a.m.", "2024-04-03T08:00:00"),
            ("Wed, 03 Apr 2024 08:00:00 +0200", "2024-04-03T08:00:00 +7200"),
            ("03/Apr/2024:10:00:00", "2024-04-03T10:00:00"),
            ("2024-04-03", "2024-04-03T00:00:00"),
            ("2024-04-03 PM 3:05", "2024-04-03T15:05:00"),
            ("2024/4/3 午後 3:05", "2024-04-03T15:05:00"),
            ("2024/04/03 上午12:05:09", "2024-04-03T00:05:09"),
            ("2024年4月3日 15時5分", "2024-04-03T15:05:00"),
            ("2024年4月3日15时30分08秒", "2024-04-03T15:30:08"),
            ("2024年4月3日 午前9時", "2024-04-03T09:00:00"),
            ("3 de abril de 2024 3:05 p. m.", "2024-04-03T15:05:00"),
            ("3 avril 2024 à 15h05", "2024-04-03T15:05:00"),
            ("3.huhtikuuta 2024 klo 15.05", "2024-04-03T15:05:00"),
            ("3 kwietnia 2024 15:05", "2024-04-03T15:05:00"),
            ("3. dubna 2024 v 15:05", "2024-04-03T15:05:00"),
            ("3. april 2024 kl. 15:05", "2024-04-03T15:05:00"),
            ("15:05 2024-04-03", "2024-04-03T15:05:00"),
            ("3:05 PM 2024-04-03", "2024-04-03T15:05:00"),
        ] {
            assert_eq!(wall(text, Order::MonthFirst), want, "{text}");
        }
    }

    #[test]
    fn forms_that_need_an_order() {
        assert_eq!(wall("3/4/2024 1:05:09 PM", Order::MonthFirst), "2024-03-04T13:05:09");
        assert_eq!(wall("3/4/2024 1:05:09 PM", Order::DayFirst), "2024-04-03T13:05:09");
        assert_eq!(wall("06.04.20 08:00", Order::DayFirst), "2020-04-06T08:00:00");
        assert_eq!(wall("20-04-06 08:00", Order::YearFirst), "2020-04-06T08:00:00");
        assert_eq!(wall("13/4/2024 1:05", Order::MonthFirst), "none");
        assert_eq!(wall("1/2/99 0:00", Order::MonthFirst), "1999-01-02T00:00:00");
        assert_eq!(wall("12/31/2024 12:00 AM", Order::MonthFirst), "2024-12-31T00:00:00");
        assert_eq!(wall("12/31/2024 12:00 PM", Order::MonthFirst), "2024-12-31T12:00:00");
    }

    #[test]
    fn times_alone() {
        let stamp = Stamp::parse("08:05:10").unwrap();
        assert!(stamp.date.is_none());
        assert_eq!(stamp.time.unwrap().0.to_string(), "08:05:10");
        assert!(Stamp::parse("8:05 PM").is_some());
        assert!(Stamp::parse("3 PM").is_some());
    }

    #[test]
    fn what_is_no_stamp() {
        for text in [
            "",
            "21.5",
            "45",
            "-999",
            "1e5",
            "2024",
            "2024-13-01",
            "2024-02-30 00:00",
            "10:60",
            "25:00",
            "Monday",
            "FM-15",
            "2024-01-01 10:11 XYZ",
            "2024-01-01 10:1",
            "2016-01-11 17:",
            "20249901",
            "T1",
            "1,013.2",
            "10-12",
            "AP 3",
            "EM 5",
            "FM 10-12",
            "am 10:00 pm",
        ] {
            assert!(Stamp::parse(text).is_none(), "{text}");
        }
    }
}
