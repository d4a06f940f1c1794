//! A logger that goes on writing rows but ends without usable humidity.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject, TrackPlace};
use crate::thresholds::DEAD_FOR;
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .tracks
        .iter()
        // Outdoors and at wet surfaces 100 % is an ordinary value.
        .filter(|track| {
            matches!(
                track.place,
                TrackPlace::Affected
                    | TrackPlace::Unaffected
                    | TrackPlace::Inlet
                    | TrackPlace::Outlet
                    | TrackPlace::Hvac
            )
        })
        .filter_map(|track| {
            // One without humidity from the start measures something else.
            let usable = |i: &usize| track.rh_pct[*i].is_some_and(|rh| rh > 0.0 && rh < 100.0);
            let last_usable = (0..track.time.len()).rev().find(usable)?;
            let first = last_usable + 1;
            let (from, to) = (*track.time.get(first)?, *track.time.last()?);
            (to - from >= DEAD_FOR).then(|| Draft {
                kind: FindingKind::LoggerDead,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from,
                to: Some(to),
                text: say!(
                    words,
                    "logger_dead.text",
                    label = track.label,
                    from = moment(from, zone),
                    to = moment(to, zone),
                    hours = number(words, hours(to - from), 1)
                ),
                threshold: say!(words, "logger_dead.threshold", dead_for = number(words, hours(DEAD_FOR), 0)),
                rows: vec![track.rows[first].clone(), track.rows[track.rows.len() - 1].clone()],
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, series};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::Place;

    fn found(dead_samples: usize) -> usize {
        let mut air = vec![Some((22.0, 50.0)); 48];
        air.extend(vec![Some((22.0, 0.0)); dead_samples]);
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected)];
        let series = series("W", "2025-10-06T00:00:00Z", 1800, &air);
        of_kind(&evidence(&job, vec![series], "2025-10-09T00:00:00Z"), FindingKind::LoggerDead).len()
    }

    #[test]
    fn half_a_day_at_the_end_of_the_range_is_dead() {
        assert_eq!(found(25), 1);
        assert_eq!(found(24), 0, "11.5 h");
    }
}
