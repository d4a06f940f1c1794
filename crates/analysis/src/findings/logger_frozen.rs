//! A sensor that repeats its temperature and humidity to the last digit.

use grainfall_words::say;
use std::ops::Range;

use super::{Draft, Record};
use crate::air::cover::is_gap;
use crate::air::instant::{interval_micros, micros};
use crate::evidence::{AirTrack, FindingKind, Subject};
use crate::thresholds::{FROZEN_COARSE_SHARE, FROZEN_FOR, FROZEN_SAMPLES};
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for track in record.tracks {
        for run in frozen(track) {
            let (from, to) = (track.time[run.start], track.time[run.end - 1]);
            let (temp, rh) = (track.air_temp_c[run.start].unwrap_or(0.0), track.rh_pct[run.start].unwrap_or(0.0));
            drafts.push(Draft {
                kind: FindingKind::LoggerFrozen,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from,
                to: Some(to),
                text: say!(
                    words,
                    "logger_frozen.text",
                    label = track.label,
                    temp = number(words, temp, 2),
                    rh = number(words, rh, 2),
                    run = run.len(),
                    from = moment(from, zone),
                    to = moment(to, zone),
                    hours = number(words, hours(to - from), 1)
                ),
                threshold: say!(
                    words,
                    "logger_frozen.threshold",
                    frozen_for = number(words, hours(FROZEN_FOR), 0),
                    frozen_samples = FROZEN_SAMPLES
                ),
                rows: vec![track.rows[run.start].clone(), track.rows[run.end - 1].clone()],
            });
        }
    }
    drafts
}

/// Runs of equal samples that are long enough.
fn frozen(track: &AirTrack) -> Vec<Range<usize>> {
    let Some(interval) = interval_micros(track.interval_s) else { return Vec::new() };
    let bits = |i: usize| Some((track.air_temp_c[i]?.to_bits(), track.rh_pct[i]?.to_bits()));
    let repeats = |i: usize| {
        i > 0
            && bits(i).is_some()
            && bits(i) == bits(i - 1)
            && !is_gap(micros(track.time[i]) - micros(track.time[i - 1]), interval)
    };
    let mut runs: Vec<Range<usize>> = Vec::new();
    let (mut start, mut steps, mut repeated) = (0, 0_usize, 0_usize);
    for i in 0..=track.time.len() {
        if i < track.time.len() && repeats(i) {
            continue;
        }
        let run = start..i;
        start = i;
        let long = run.len() >= FROZEN_SAMPLES && track.time[run.end - 1] - track.time[run.start] >= FROZEN_FOR;
        if long {
            runs.push(run);
        } else {
            steps += run.len();
            repeated += run.len().saturating_sub(1);
        }
    }
    #[allow(clippy::cast_precision_loss)]
    let coarse = repeated as f64 > FROZEN_COARSE_SHARE * steps.max(1) as f64;
    // A logger that never moves at all shows nothing to compare with.
    if coarse || steps == 0 { Vec::new() } else { runs }
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, in_a, job, series};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::Place;

    /// Samples every 10 min that wander in the tenths; `held` of them repeat the sixth.
    fn found(held: usize, step: f64) -> Vec<(String, String)> {
        let mut air: Vec<Option<(f64, f64)>> = (0..200_i32)
            .map(|i| (f64::from(i) * 0.7).sin())
            .map(|s| Some(((22.0 + s / step).round() * step, ((50.0 + 2.0 * s) / step).round() * step)))
            .collect();
        for i in 6..6 + held {
            air[i] = air[5];
        }
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected)];
        let evidence = evidence(&job, vec![series("W", "2025-10-06T00:00:00Z", 600, &air)], "2025-10-08T00:00:00Z");
        of_kind(&evidence, FindingKind::LoggerFrozen)
            .iter()
            .map(|one| (one.from.to_string(), one.to.unwrap().to_string()))
            .collect()
    }

    #[test]
    fn five_hours_of_one_value_are_found_with_their_ends() {
        let span = (at("2025-10-06T00:50:00Z").to_string(), at("2025-10-06T05:50:00Z").to_string());
        assert_eq!(found(30, 0.1), [span]);
    }

    #[test]
    fn three_hours_are_not() {
        assert!(found(18, 0.1).is_empty());
    }

    #[test]
    fn a_coarse_logger_cannot_tell() {
        assert!(found(30, 4.0).is_empty());
    }
}
