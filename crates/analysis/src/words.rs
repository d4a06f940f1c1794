//! Instants and numbers as people read them in a verdict's sentence; the one place where the analysis rounds.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::Zone;

/// A moment in the job's zone: `12 Oct 2025 09:12`, or as the job writes dates.
pub(crate) fn moment(time: DateTime<Utc>, zone: Zone) -> String {
    zone.moment(time)
}

/// A number with at most `decimals` decimals, trailing zeros cut: `12`, `11.5`.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", round_half_away(value, decimals));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Hours of a duration.
pub(crate) fn hours(duration: TimeDelta) -> f64 {
    // Microseconds of any job fit f64 exactly (2^53 us are 285 years).
    #[allow(clippy::cast_precision_loss)]
    let micros = duration.num_microseconds().unwrap_or(i64::MAX) as f64;
    micros / 3.6e9
}

/// `one, two and three`.
pub(crate) fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// `1 day`, `2 days`.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

fn round_half_away(value: f64, decimals: usize) -> f64 {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(9));
    // A decimal such as 2.675 is a little below its text in binary; a nudge of 1e-9 rounds it as it is written.
    let scaled = value * scale;
    let rounded = (scaled + scaled.signum() * 1e-9).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;
    use grainfall_words::DateStyle;

    #[test]
    fn numbers_are_rounded_as_they_are_written() {
        assert_eq!(number(2.675, 2), "2.68");
        assert_eq!(number(12.0, 1), "12");
        assert_eq!(number(-0.04, 1), "0");
        assert_eq!(number(11.25, 1), "11.3");
    }

    #[test]
    fn moments_are_local() {
        let time = DateTime::from_timestamp(1_760_278_320, 0).unwrap();
        let zone = Zone::stated(chrono_tz::America::Chicago);
        assert_eq!(moment(time, zone), "12 Oct 2025 09:12");
        assert_eq!(moment(time, Zone { dates: DateStyle::Iso, ..zone }), "2025-10-12 09:12");
    }

    #[test]
    fn lists_read_as_a_sentence() {
        assert_eq!(list(&["a".into(), "b".into(), "c".into()]), "a, b and c");
        assert_eq!(count(1, "day", "days"), "1 day");
    }
}
