//! How dates are written for people. What programs read is ISO 8601 whatever is chosen here.

use std::fmt;

use chrono::{DateTime, Datelike, NaiveDate};
use chrono_tz::Tz;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::say;
use crate::words::Words;

/// Order and form of a date.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DateStyle {
    /// `9 Oct 2025`.
    #[default]
    DayMonth,
    /// `Oct 9, 2025`.
    MonthDay,
    /// `2025-10-09` (ISO 8601).
    Iso,
}

impl DateStyle {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::DayMonth, Self::MonthDay, Self::Iso];

    /// A day with its year: `9 Oct 2025`, `Oct 9, 2025`, `2025-10-09`.
    #[must_use]
    pub fn full(self, words: Words, date: NaiveDate) -> String {
        let (day, month, year) = (date.day(), month(words, date), date.year());
        match self {
            Self::DayMonth => say!(words, "dates.day_month_year", day = day, month = month, year = year),
            Self::MonthDay => say!(words, "dates.month_day_year", day = day, month = month, year = year),
            Self::Iso => date.format("%Y-%m-%d").to_string(),
        }
    }

    /// A day of the record with its weekday: `Thu 9 Oct`, `Thu Oct 9`, `Thu 2025-10-09`.
    #[must_use]
    pub fn day(self, words: Words, date: NaiveDate) -> String {
        let told = if self == Self::Iso { self.full(words, date) } else { self.short(words, date) };
        Self::weekday(words, date, &told)
    }

    /// A day told in any way, with its weekday: `Thu 9`.
    #[must_use]
    pub fn weekday(words: Words, date: NaiveDate, told: &str) -> String {
        let at = date.weekday().num_days_from_sunday() as usize;
        let weekday = words.rows("days_short").get(at).and_then(|row| row.first()).map_or("", String::as_str);
        say!(words, "dates.with_weekday", weekday = weekday, date = told)
    }

    /// A day where there is little room: `9 Oct`, `Oct 9`, `10-09`.
    #[must_use]
    pub fn short(self, words: Words, date: NaiveDate) -> String {
        let (day, month) = (date.day(), month(words, date));
        match self {
            Self::DayMonth => say!(words, "dates.day_month", day = day, month = month),
            Self::MonthDay => say!(words, "dates.month_day", day = day, month = month),
            Self::Iso => date.format("%m-%d").to_string(),
        }
    }

    /// An instant with its year: `9 Oct 2025 08:42`, `Oct 9, 2025 08:42`, `2025-10-09 08:42`.
    #[must_use]
    pub fn moment(self, words: Words, local: DateTime<Tz>) -> String {
        with_time(words, self.full(words, local.date_naive()), local)
    }

    /// An instant of the record: `9 Oct 08:42`, `Oct 9 08:42`, `2025-10-09 08:42`.
    #[must_use]
    pub fn short_moment(self, words: Words, local: DateTime<Tz>) -> String {
        let date = local.date_naive();
        let date = if self == Self::Iso { self.full(words, date) } else { self.short(words, date) };
        with_time(words, date, local)
    }
}

fn with_time(words: Words, date: String, local: DateTime<Tz>) -> String {
    say!(words, "dates.with_time", date = date, time = local.format("%H:%M").to_string())
}

fn month(words: Words, date: NaiveDate) -> &'static str {
    words.rows("months_short").get(date.month0() as usize).and_then(|row| row.first()).map_or("", String::as_str)
}

impl fmt::Display for DateStyle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::DayMonth => "day-month",
            Self::MonthDay => "month-day",
            Self::Iso => "iso",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forms of the standard: ISO 8601-1:2019, 5.2.2.1 (calendar date, extended format; from memory).
    #[test]
    fn a_date_in_each_style() {
        let local = DateTime::parse_from_rfc3339("2025-10-09T08:42:00-05:00").expect("an instant");
        let local = local.with_timezone(&chrono_tz::America::Chicago);
        let date = local.date_naive();
        let words = Words::default();
        let all = |style: DateStyle| {
            let days = [style.full(words, date), style.day(words, date), style.short(words, date)];
            let [full, day, short] = days;
            [full, day, short, style.moment(words, local), style.short_moment(words, local)]
        };
        let wanted = [
            ["9 Oct 2025", "Thu 9 Oct", "9 Oct", "9 Oct 2025 08:42", "9 Oct 08:42"],
            ["Oct 9, 2025", "Thu Oct 9", "Oct 9", "Oct 9, 2025 08:42", "Oct 9 08:42"],
            ["2025-10-09", "Thu 2025-10-09", "10-09", "2025-10-09 08:42", "2025-10-09 08:42"],
        ];
        assert_eq!(DateStyle::ALL.map(all), wanted);
    }
}
