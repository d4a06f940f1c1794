//! Instants, quantities, rows and names as people read them.

use chrono::{DateTime, NaiveDate, Offset, TimeZone, Utc};
use chrono_tz::Tz;
use grainfall_analysis::evidence::{
    ChamberEvidence, Evidence, JobFacts, PointEvidence, ReadingEvidence, ReadingKind, SourceRow, Spread,
};
use grainfall_words::DateStyle;

use crate::Error;
use crate::number_format::{NO_VALUE, shown as number, trimmed, with_uncertainty};
use crate::units_shown::UnitSystem;
use crate::words::Manner;
use crate::words::{Words, say};

/// The units and the zone everything is shown in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The units.
    pub units: UnitSystem,
    /// The job's zone.
    pub zone: Tz,
    /// How dates are written.
    pub dates: DateStyle,
    /// The wording.
    pub words: Words,
    /// Whether the zone's offset changes within the record, so that a wall time alone could mean two instants.
    pub offset_changes: bool,
}

impl Shown {
    /// Units and language as chosen, zone and dates as the job says.
    ///
    /// # Errors
    /// [`Error::TimeZone`] when the zone is not known.
    pub fn new(manner: impl Into<Manner>, evidence: &Evidence) -> Result<Self, Error> {
        let Manner { units, words } = manner.into();
        let found = &evidence.job.time_zone;
        let zone: Tz = found.parse().map_err(|_| Error::TimeZone { found: found.clone() })?;
        let from = evidence.days.first().map_or(evidence.clock, |day| day.from);
        let from = evidence.job.loss_at.map_or(from, |loss| loss.min(from));
        let offset = |instant: DateTime<Utc>| zone.offset_from_utc_datetime(&instant.naive_utc()).fix();
        // A change in between and back again would need half a year; days in between catch that too.
        let offset_changes = evidence.days.iter().any(|day| offset(day.from) != offset(evidence.clock))
            || offset(from) != offset(evidence.clock);
        Ok(Self { units, zone, dates: evidence.job.dates, words, offset_changes })
    }

    /// `6 Oct 08:42`; with the zone's abbreviation where the offset changes within the record.
    #[must_use]
    pub fn instant(&self, instant: DateTime<Utc>) -> String {
        let local = instant.with_timezone(&self.zone);
        self.with_offset(self.dates.short_moment(self.words, local), local)
    }

    /// `6 Oct 2025 08:42`.
    #[must_use]
    pub fn instant_with_year(&self, instant: DateTime<Utc>) -> String {
        let local = instant.with_timezone(&self.zone);
        self.with_offset(self.dates.moment(self.words, local), local)
    }

    /// `08:42`.
    #[must_use]
    pub fn time_of_day(&self, instant: DateTime<Utc>) -> String {
        let local = instant.with_timezone(&self.zone);
        self.with_offset(local.format("%H:%M").to_string(), local)
    }

    /// A time with the name of its offset, where that changes within the record.
    fn with_offset(&self, text: String, local: DateTime<Tz>) -> String {
        if self.offset_changes { format!("{text} {}", local.format("%Z")) } else { text }
    }

    /// `Mon 6 Oct`.
    #[must_use]
    pub fn day(&self, date: NaiveDate) -> String {
        self.dates.day(self.words, date)
    }

    /// `6 Oct`, where there is little room.
    #[must_use]
    pub fn short_day(&self, date: NaiveDate) -> String {
        self.dates.short(self.words, date)
    }

    /// The dash, or the instant.
    #[must_use]
    pub fn instant_or_dash(&self, instant: Option<DateTime<Utc>>) -> String {
        instant.map_or_else(|| NO_VALUE.to_owned(), |i| self.instant(i))
    }

    /// From one instant to another; the day is not repeated within one day.
    #[must_use]
    pub fn span(&self, from: DateTime<Utc>, to: Option<DateTime<Utc>>) -> String {
        match to {
            None => self.instant(from),
            Some(to) if self.date(from) == self.date(to) => {
                say!(self.words, "shown.from_to", from = self.instant(from), to = self.time_of_day(to))
            }
            Some(to) => say!(self.words, "shown.from_to", from = self.instant(from), to = self.instant(to)),
        }
    }

    /// The civil day an instant lies on.
    #[must_use]
    pub fn date(&self, instant: DateTime<Utc>) -> NaiveDate {
        instant.with_timezone(&self.zone).date_naive()
    }

    /// Seconds east of UTC and the name of the offset in force (`-18000`, `CDT`).
    #[must_use]
    pub fn offset(&self, instant: DateTime<Utc>) -> (i32, String) {
        let local = instant.with_timezone(&self.zone);
        (local.offset().fix().local_minus_utc(), local.format("%Z").to_string())
    }

    /// The instant with its offset, as programs read it: `2025-10-06T08:42:00-05:00`.
    #[must_use]
    pub fn iso(&self, instant: DateTime<Utc>) -> String {
        instant.with_timezone(&self.zone).format("%Y-%m-%dT%H:%M:%S%:z").to_string()
    }

    /// The zone with its offsets over the record: `America/Chicago (CDT, UTC-05:00)`.
    #[must_use]
    pub fn zone_words(&self, evidence: &Evidence) -> String {
        let mut offsets: Vec<String> = evidence
            .days
            .iter()
            .map(|day| day.from)
            .chain([evidence.clock])
            .map(|instant| instant.with_timezone(&self.zone).format("%Z, UTC%:z").to_string())
            .collect();
        offsets.dedup();
        let zone = &evidence.job.time_zone;
        if self.zone == Tz::UTC { zone.clone() } else { format!("{zone} ({})", offsets.join("; ")) }
    }

    /// A mean with its range: `72.4 (70.1 to 75.0)`.
    fn spread(words: Words, spread: Option<Spread>, decimals: usize, convert: impl Fn(f64) -> f64) -> String {
        spread.map_or_else(
            || NO_VALUE.to_owned(),
            |s| {
                let [mean, least, most] = [s.mean, s.min, s.max].map(|value| number(words, convert(value), decimals));
                // What was the same all day is one value.
                if least == most && mean == least {
                    mean
                } else {
                    say!(words, "shown.to", mean = mean, least = least, most = most)
                }
            },
        )
    }

    /// Temperatures of a day.
    #[must_use]
    pub fn temp_spread(&self, spread: Option<Spread>) -> String {
        Self::spread(self.words, spread, 1, |c| self.units.temp(c))
    }

    /// Relative humidities of a day.
    #[must_use]
    pub fn rh_spread(&self, spread: Option<Spread>) -> String {
        Self::spread(self.words, spread, 0, |pct| pct)
    }

    /// A temperature.
    #[must_use]
    pub fn temp(&self, celsius: f64) -> String {
        number(self.words, self.units.temp(celsius), 1)
    }

    /// Decimals of a humidity ratio.
    const fn ratio_decimals(&self) -> usize {
        match self.units {
            UnitSystem::Us => 1,
            UnitSystem::Si => 2,
        }
    }

    /// A humidity ratio with its uncertainty.
    #[must_use]
    pub fn ratio(&self, gpp: Option<f64>, u: Option<f64>) -> String {
        let convert = |v| self.units.humidity_ratio(v);
        with_uncertainty(self.words, gpp.map(convert), u.map(convert), self.ratio_decimals())
    }

    /// An amount of water with its uncertainty.
    #[must_use]
    pub fn water(&self, kg: Option<f64>, u: Option<f64>) -> String {
        let convert = |v| self.units.water(v);
        with_uncertainty(self.words, kg.map(convert), u.map(convert), 1)
    }

    /// A vapour pressure or a difference of two.
    #[must_use]
    pub fn pressure(&self, pa: Option<f64>) -> String {
        pa.map_or_else(
            || NO_VALUE.to_owned(),
            |pa| number(self.words, self.units.vapour_pressure(pa), if self.units == UnitSystem::Us { 3 } else { 2 }),
        )
    }
}

/// Hours: `7.5 h`.
#[must_use]
pub fn hours(words: Words, h: f64) -> String {
    format!("{} h", number(words, h, 1))
}

/// Hours without their unit.
#[must_use]
pub fn hours_number(words: Words, h: f64) -> String {
    number(words, h, 1)
}

/// What a reading says, with its unit.
#[must_use]
pub fn reading(words: Words, reading: &ReadingEvidence) -> String {
    match &reading.kind {
        ReadingKind::Measured { value } => with_unit(words, *value, &reading.unit),
        ReadingKind::Above { value } => format!("> {}", with_unit(words, *value, &reading.unit)),
        ReadingKind::OverRange => say!(words, "shown.over_range").to_owned(),
        ReadingKind::NoReading { reason } => say!(words, "shown.no_reading", reason = reason),
    }
}

/// A value of a scale with the scale's unit.
#[must_use]
pub fn with_unit(words: Words, value: f64, unit: &str) -> String {
    let value = trimmed(words, value, 2);
    if unit.is_empty() { value } else { format!("{value} {unit}") }
}

/// A row: `readings.csv:14`.
#[must_use]
pub fn row(row: &SourceRow) -> String {
    format!("{}:{}", row.file, row.row)
}

/// Rows by file, runs joined, cut after some: `readings.csv:14, 15, 18-20`.
#[must_use]
pub fn rows(words: Words, rows: &[SourceRow], most: usize) -> String {
    let mut sorted: Vec<&SourceRow> = rows.iter().collect();
    sorted.sort();
    sorted.dedup();
    let mut runs: Vec<(&str, u64, u64)> = Vec::new();
    for row in sorted {
        match runs.last_mut() {
            Some((file, _, last)) if *file == row.file && *last + 1 == row.row => *last = row.row,
            _ => runs.push((&row.file, row.row, row.row)),
        }
    }
    let mut out = String::new();
    let mut file_before = "";
    for (index, (file, first, last)) in runs.iter().enumerate() {
        if index == most {
            out.push_str(&say!(words, "shown.and_more", most = runs.len() - most));
            break;
        }
        if *file == file_before {
            out.push_str(", ");
        } else {
            if index > 0 {
                out.push_str("; ");
            }
            out.push_str(file);
            out.push(':');
            file_before = file;
        }
        out.push_str(&if first == last { first.to_string() } else { format!("{first}-{last}") });
    }
    out
}

/// A chamber as people read it: `Chamber A – kitchen`.
#[must_use]
pub fn chamber(words: Words, chamber: &ChamberEvidence) -> String {
    let plain = say!(words, "shown.chamber", id = chamber.id);
    let name = chamber.name.trim();
    if name.is_empty() || name == chamber.id || name.eq_ignore_ascii_case(&plain) {
        plain
    } else {
        format!("{plain} – {name}")
    }
}

/// Characters of a job's name that stand over its report.
pub(super) const TITLE_SHOWN: usize = 120;

/// The job's title, else its number, else its folder.
#[must_use]
pub fn job_name(words: Words, job: &JobFacts) -> String {
    let name = [job.title.as_deref(), job.number.as_deref(), Some(job.folder.as_str())]
        .into_iter()
        .flatten()
        .find(|text| !text.trim().is_empty())
        .unwrap_or(say!(words, "shown.unnamed_job"));
    cut(name, TITLE_SHOWN)
}

/// A point as people read it: `P3, kitchen north wall`.
#[must_use]
pub fn point(point: &PointEvidence) -> String {
    match &point.location {
        Some(location) => format!("{}, {location}", point.id),
        None => point.id.clone(),
    }
}

/// A text cut to so many characters, the cut shown.
#[must_use]
pub fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        text.to_owned()
    } else {
        let mut short: String = text.chars().take(most.saturating_sub(1)).collect();
        short.push('…');
        short
    }
}

/// Texts joined with commas; the dash for none.
#[must_use]
pub fn list(items: &[String]) -> String {
    if items.is_empty() { NO_VALUE.to_owned() } else { items.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(file: &str, row: u64) -> SourceRow {
        SourceRow { file: file.to_owned(), row }
    }

    #[test]
    fn rows_are_sorted_joined_and_cut() {
        let all = [source("b.csv", 2), source("a.csv", 9), source("a.csv", 3), source("a.csv", 4), source("a.csv", 4)];
        assert_eq!(rows(Words::default(), &all, 9), "a.csv:3-4, 9; b.csv:2");
        assert_eq!(rows(Words::default(), &all, 2), "a.csv:3-4, 9 and 1 more");
        assert_eq!(rows(Words::default(), &[], 3), "");
    }

    fn new_york(offset_changes: bool) -> Shown {
        Shown {
            units: UnitSystem::Us,
            zone: chrono_tz::America::New_York,
            dates: DateStyle::DayMonth,
            words: Words::default(),
            offset_changes,
        }
    }

    fn utc(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    /// The hour that comes twice on 2 November 2025 (clocks go back at 06:00 UTC) is told apart by its abbreviation.
    #[test]
    fn a_repeated_hour_is_told_apart() {
        let shown = new_york(true);
        assert_eq!(shown.instant(utc("2025-11-02T05:30:00Z")), "2 Nov 01:30 EDT");
        assert_eq!(shown.instant(utc("2025-11-02T06:30:00Z")), "2 Nov 01:30 EST");
        assert_eq!(shown.iso(utc("2025-11-02T05:30:00Z")), "2025-11-02T01:30:00-04:00");
        assert_eq!(shown.iso(utc("2025-11-02T06:30:00Z")), "2025-11-02T01:30:00-05:00");
        let evidence = &crate::sample_evidence::sample().evidence;
        assert!(!Shown::new(UnitSystem::Us, evidence).unwrap().offset_changes);
    }

    #[test]
    fn a_span_within_a_day_names_the_day_once() {
        let shown = new_york(false);
        let (from, to) = (utc("2025-10-08T06:10:00Z"), utc("2025-10-08T11:40:00Z"));
        assert_eq!(shown.span(from, Some(to)), "8 Oct 02:10 to 07:40");
        assert_eq!(shown.span(from, Some(utc("2025-10-09T06:10:00Z"))), "8 Oct 02:10 to 9 Oct 02:10");
        assert_eq!(shown.span(from, None), "8 Oct 02:10");
    }

    #[test]
    fn quantities_follow_the_units() {
        let us = new_york(false);
        let si = Shown { units: UnitSystem::Si, ..us };
        assert_eq!(us.ratio(Some(70.0), Some(3.5)), "70.0 ± 3.5");
        assert_eq!(si.ratio(Some(70.0), Some(3.5)), "10.00 ± 0.50");
        assert_eq!(us.temp(25.0), "77.0");
        assert_eq!(us.water(Some(0.473_176_473), None), "1.0");
        assert_eq!(si.pressure(Some(1234.0)), "1.23");
        assert_eq!(us.pressure(Some(3386.389)), "1.000");
    }

    #[test]
    fn long_names_are_cut_with_a_mark() {
        assert_eq!(cut("abcdef", 4), "abc…");
        assert_eq!(cut("abcd", 4), "abcd");
    }
}
