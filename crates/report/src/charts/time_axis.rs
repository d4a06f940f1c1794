//! The time axis: civil days of the job's zone, hours, and instants in words.

use chrono::{DateTime, Duration, NaiveDate, TimeZone, Utc};
use chrono_tz::Tz;
use grainfall_analysis::evidence::Evidence;
use grainfall_words::{DateStyle, Words};

use crate::error::Error;

/// What every chart needs to know of time.
#[derive(Debug, Clone)]
pub(super) struct TimeScale {
    pub(super) from: DateTime<Utc>,
    pub(super) to: DateTime<Utc>,
    pub(super) zone: Tz,
    /// How dates are written.
    pub(super) dates: DateStyle,
    pub(super) words: Words,
    /// Civil days that touch the range, with their first instants and the first instants after them.
    pub(super) days: Vec<(NaiveDate, DateTime<Utc>, DateTime<Utc>)>,
}

impl TimeScale {
    /// The whole record, from its first instant to the report's clock; `None` if it has no length.
    ///
    /// What was logged more than a day before the loss is left out: a logger may still hold an earlier job.
    pub(super) fn of_record(evidence: &Evidence, words: Words) -> Result<Option<Self>, Error> {
        let Some(first) = evidence.job.record_from.or_else(|| evidence.days.first().map(|day| day.from)) else {
            return Ok(None);
        };
        let earliest = evidence.job.loss_at.map(|loss| loss - Duration::hours(24));
        let from = earliest.map_or(first, |earliest| first.max(earliest));
        Self::between(evidence, words, from, evidence.clock)
    }

    /// A part of the record; `None` if it has no length.
    pub(super) fn between(
        evidence: &Evidence,
        words: Words,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> Result<Option<Self>, Error> {
        let zone = evidence
            .job
            .time_zone
            .parse::<Tz>()
            .map_err(|_| Error::TimeZone { found: evidence.job.time_zone.clone() })?;
        let days = evidence.days.iter().filter(|day| day.to > from && day.from < to);
        let days = days.map(|day| (day.date, day.from, day.to)).collect();
        Ok((to > from).then_some(Self { from, to, zone, dates: evidence.job.dates, words, days }))
    }

    /// The same axis on to a later instant, with the civil days up to it. A midnight that the zone skips is taken 24 h
    /// after the one before: where a forecast ends no minute counts.
    pub(super) fn extended(&self, to: DateTime<Utc>) -> Self {
        let mut longer = Self { to: self.to.max(to), ..self.clone() };
        while let Some((date, _, from)) = longer.days.last().copied()
            && from < longer.to
            && let Some(next) = date.succ_opt()
        {
            let midnight = next.succ_opt().and_then(|after| after.and_hms_opt(0, 0, 0));
            let until = midnight.and_then(|midnight| self.zone.from_local_datetime(&midnight).earliest());
            let until = until.map_or(from + Duration::hours(24), |until| until.with_timezone(&Utc));
            longer.days.push((next, from, until.max(from)));
        }
        longer
    }

    /// Seconds since the start.
    pub(super) fn seconds(&self, time: DateTime<Utc>) -> f64 {
        (time - self.from).as_seconds_f64()
    }

    /// The civil day that many seconds after the start.
    pub(super) fn date_at(&self, seconds: f64) -> NaiveDate {
        // Seconds of any job are far below 2^53: nothing is cut off but the fraction.
        (self.from + Duration::seconds(seconds as i64)).with_timezone(&self.zone).date_naive()
    }

    /// Seconds in all.
    pub(super) fn length(&self) -> f64 {
        self.seconds(self.to)
    }

    pub(super) fn contains(&self, time: DateTime<Utc>) -> bool {
        (self.from..=self.to).contains(&time)
    }

    /// The part of a span inside the range.
    pub(super) fn clipped(&self, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
        let (from, to) = (from.max(self.from), to.min(self.to));
        (to >= from).then_some((from, to))
    }

    /// Local full hours whose number divides by `every`, in the range.
    pub(super) fn hours(&self, every: u32) -> Vec<(DateTime<Utc>, String)> {
        use chrono::Timelike;
        let mut ticks: Vec<(DateTime<Utc>, String)> = Vec::new();
        // Local midnight is a full or half hour of any zone's own clock; from there every full hour is met.
        let mut at = self.days.first().map_or(self.from, |day| day.1);
        while at <= self.to {
            let local = at.with_timezone(&self.zone);
            let label = local.format("%H:%M").to_string();
            // An hour that the clock shows twice is marked once.
            let again = ticks.last().is_some_and(|last| last.1 == label && at - last.0 < Duration::hours(3));
            if at >= self.from && local.minute() == 0 && local.hour().is_multiple_of(every.max(1)) && !again {
                ticks.push((at, label));
            }
            at += Duration::minutes(30);
        }
        ticks
    }

    /// `6 Oct 08:42` in the job's zone.
    pub(super) fn instant(&self, time: DateTime<Utc>) -> String {
        self.dates.short_moment(self.words, time.with_timezone(&self.zone))
    }

    /// `6 Oct` in the job's zone.
    pub(super) fn short_day_of(&self, time: DateTime<Utc>) -> String {
        self.dates.short(self.words, time.with_timezone(&self.zone).date_naive())
    }

    /// `Mon 6 Oct`.
    pub(super) fn day(&self, date: NaiveDate) -> String {
        self.dates.day(self.words, date)
    }

    /// A day in other words, with its weekday: `Mon 6`.
    pub(super) fn weekday(&self, date: NaiveDate, words: &str) -> String {
        DateStyle::weekday(self.words, date, words)
    }

    /// `6 Oct`.
    pub(super) fn short_day(&self, date: NaiveDate) -> String {
        self.dates.short(self.words, date)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;

    #[test]
    fn instants_are_told_in_the_zone_of_the_job() {
        let evidence = sample().evidence;
        let scale = TimeScale::of_record(&evidence, Words::default()).expect("a zone").expect("a length");
        // 6 October 2025 12:42 UTC is 08:42 in New York (UTC-4 in October).
        let time =
            NaiveDate::from_ymd_opt(2025, 10, 6).and_then(|d| d.and_hms_opt(12, 42, 0)).expect("a time").and_utc();
        assert_eq!(scale.instant(time), "6 Oct 08:42");
        assert_eq!(scale.short_day_of(time), "6 Oct");
        assert_eq!(scale.days.len(), 8);
    }

    #[test]
    fn an_earlier_job_in_a_logger_is_left_out() {
        let mut evidence = sample().evidence;
        let loss = evidence.job.loss_at.expect("a loss");
        evidence.job.record_from = Some(loss - Duration::days(200));
        let scale = TimeScale::of_record(&evidence, Words::default()).expect("a zone").expect("a length");
        assert_eq!(scale.from, loss - Duration::hours(24));
    }

    #[test]
    fn an_hour_shown_twice_is_marked_once() {
        let mut evidence = sample().evidence;
        // New York, 2 November 2025: 25 h, 01:00 comes twice.
        let date = NaiveDate::from_ymd_opt(2025, 11, 2).expect("a date");
        let from = date.and_hms_opt(4, 0, 0).expect("a time").and_utc();
        evidence.days[0].date = date;
        evidence.days[0].from = from;
        evidence.days[0].to = from + Duration::hours(25);
        evidence.days.truncate(1);
        let scale = TimeScale::between(&evidence, Words::default(), from, from + Duration::hours(25))
            .expect("a zone")
            .expect("a length");
        let labels: Vec<String> = scale.hours(1).into_iter().map(|tick| tick.1).collect();
        assert_eq!(labels.len(), 25, "{labels:?}");
        assert_eq!(labels.iter().filter(|label| *label == "01:00").count(), 1);
        let last = scale.hours(6).last().cloned().expect("a tick");
        assert_eq!(last, (from + Duration::hours(25), "00:00".to_owned()));
    }

    #[test]
    fn a_zone_nobody_knows_is_named() {
        let mut evidence = sample().evidence;
        evidence.job.time_zone = "Mars/Olympus".to_owned();
        let error = TimeScale::of_record(&evidence, Words::default()).expect_err("no such zone").to_string();
        assert!(error.contains("`Mars/Olympus`"), "{error}");
    }
}
