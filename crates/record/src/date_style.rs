//! How dates are written for people. What programs read is ISO 8601 whatever is chosen here.

use std::fmt;

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
    pub fn full(self, date: NaiveDate) -> String {
        self.written(date, "%-d %b %Y", "%b %-d, %Y", "%Y-%m-%d")
    }

    /// A day of the record with its weekday: `Thu 9 Oct`, `Thu Oct 9`, `Thu 2025-10-09`.
    #[must_use]
    pub fn day(self, date: NaiveDate) -> String {
        self.written(date, "%a %-d %b", "%a %b %-d", "%a %Y-%m-%d")
    }

    /// A day where there is little room: `9 Oct`, `Oct 9`, `10-09`.
    #[must_use]
    pub fn short(self, date: NaiveDate) -> String {
        self.written(date, "%-d %b", "%b %-d", "%m-%d")
    }

    /// An instant with its year: `9 Oct 2025 08:42`, `Oct 9, 2025 08:42`, `2025-10-09 08:42`.
    #[must_use]
    pub fn moment(self, local: DateTime<Tz>) -> String {
        format!("{} {}", self.full(local.date_naive()), local.format("%H:%M"))
    }

    /// An instant of the record: `9 Oct 08:42`, `Oct 9 08:42`, `2025-10-09 08:42`.
    #[must_use]
    pub fn short_moment(self, local: DateTime<Tz>) -> String {
        let date = local.date_naive();
        let date = if self == Self::Iso { self.full(date) } else { self.short(date) };
        format!("{date} {}", local.format("%H:%M"))
    }

    fn written(self, date: NaiveDate, day_month: &str, month_day: &str, iso: &str) -> String {
        let form = match self {
            Self::DayMonth => day_month,
            Self::MonthDay => month_day,
            Self::Iso => iso,
        };
        date.format(form).to_string()
    }
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
        let all = |style: DateStyle| {
            [style.full(date), style.day(date), style.short(date), style.moment(local), style.short_moment(local)]
        };
        let wanted = [
            ["9 Oct 2025", "Thu 9 Oct", "9 Oct", "9 Oct 2025 08:42", "9 Oct 08:42"],
            ["Oct 9, 2025", "Thu Oct 9", "Oct 9", "Oct 9, 2025 08:42", "Oct 9 08:42"],
            ["2025-10-09", "Thu 2025-10-09", "10-09", "2025-10-09 08:42", "2025-10-09 08:42"],
        ];
        assert_eq!(DateStyle::ALL.map(all), wanted);
    }
}
