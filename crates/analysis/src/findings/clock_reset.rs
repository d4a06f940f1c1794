//! A logger whose clock was set anew while it logged: rows of one file that follow each other in the file but not in
//! time, or that lie months apart.

use super::{Draft, Record};
use crate::air::left_out::{LeftOut, LeftOutReason};
use crate::evidence::{AirTrack, FindingKind, Subject};
use crate::rules::{STRAY_FROM_ENTRIES, STRAY_FROM_LOG};
use crate::thresholds::CLOCK_JUMP;
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts: Vec<Draft> = record.left_out.iter().filter_map(|out| not_set(record, out)).collect();
    for track in record.tracks {
        let subject = Subject::Logger(record.loggers[track.logger].logger.clone());
        for k in jumps(track) {
            let (before, after) = (track.time[k - 1], track.time[k]);
            drafts.push(Draft {
                kind: FindingKind::ClockReset,
                subject: subject.clone(),
                from: before,
                to: Some(after),
                text: say!(
                    words,
                    "clock_reset.text_jump",
                    label = track.label,
                    before = moment(before, zone),
                    after = moment(after, zone),
                    days = number(words, hours(after - before) / 24.0, 0)
                ),
                threshold: say!(
                    words,
                    "clock_reset.threshold_jump",
                    clock_jump = number(words, hours(CLOCK_JUMP) / 24.0, 0)
                ),
                rows: vec![track.rows[k - 1].clone(), track.rows[k].clone()],
            });
        }
        if let Some((first, last)) = interleaved(track) {
            drafts.push(Draft {
                kind: FindingKind::ClockReset,
                subject,
                from: track.time[first],
                to: Some(track.time[last]),
                text: say!(
                    words,
                    "clock_reset.text_back",
                    label = track.label,
                    from = moment(track.time[first], zone),
                    to = moment(track.time[last], zone)
                ),
                threshold: say!(words, "clock_reset.threshold_back").to_owned(),
                rows: vec![track.rows[first].clone(), track.rows[last].clone()],
            });
        }
    }
    drafts
}

/// Samples that were set apart because they lie far from everything that is dated in the job.
fn not_set(record: &Record<'_>, out: &LeftOut) -> Option<Draft> {
    let (words, zone) = (record.words(), record.zone());
    (out.reason == LeftOutReason::ClockNotSet).then(|| Draft {
        kind: FindingKind::ClockReset,
        subject: Subject::Logger(out.logger.clone()),
        from: out.first,
        to: Some(out.last),
        text: say!(
            words,
            "clock_reset.text_not_set",
            logger = out.logger,
            samples = say!(words, "count.sample_is", count = usize::try_from(out.samples).unwrap_or(usize::MAX)),
            first = moment(out.first, zone),
            last = moment(out.last, zone)
        ),
        threshold: say!(
            words,
            "clock_reset.threshold_not_set",
            from_entries = STRAY_FROM_ENTRIES.num_days(),
            from_log = STRAY_FROM_LOG.num_days()
        ),
        rows: out.rows.clone(),
    })
}

/// Positions after which the time is months on from the row before.
fn jumps(track: &AirTrack) -> Vec<usize> {
    (1..track.time.len())
        .filter(|k| track.time[*k] - track.time[k - 1] >= CLOCK_JUMP)
        .filter(|k| track.rows[*k].file == track.rows[k - 1].file && track.rows[*k].row == track.rows[k - 1].row + 1)
        .collect()
}

/// First and last position of the stretch in which the rows of a file go up and down; `None` for a file whose rows only
/// rise or only fall with time.
fn interleaved(track: &AirTrack) -> Option<(usize, usize)> {
    let same_file = |k: &usize| track.rows[*k].file == track.rows[k - 1].file;
    let falls = |k: &usize| track.rows[*k].row < track.rows[k - 1].row;
    let steps: Vec<usize> = (1..track.rows.len()).filter(same_file).collect();
    let falling: Vec<usize> = steps.iter().copied().filter(falls).collect();
    let odd: Vec<usize> =
        if falling.len() * 2 <= steps.len() { falling } else { steps.into_iter().filter(|k| !falls(k)).collect() };
    Some((odd.first()? - 1, *odd.last()?))
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, steady};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use chrono::TimeDelta;
    use grainfall_job::Place;
    use grainfall_record::LoggerSeries;

    fn found(series: LoggerSeries) -> usize {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected)];
        of_kind(&evidence(&job, vec![series], "2025-10-09T00:00:00Z"), FindingKind::ClockReset).len()
    }

    fn even() -> LoggerSeries {
        steady("W", "2025-10-06T00:00:00Z", 600, 100, (22.0, 50.0))
    }

    #[test]
    fn an_even_log_and_one_written_backwards_are_fine() {
        assert_eq!(found(even()), 0);
        let mut backwards = even();
        backwards.row.reverse();
        assert_eq!(found(backwards), 0);
    }

    #[test]
    fn samples_of_another_year_before_the_job_are_found() {
        let mut series = even();
        for time in &mut series.time[..5] {
            *time -= TimeDelta::days(9000);
        }
        assert_eq!(found(series), 1);
    }

    /// Sorted by time, rows 30 to 59 (written before the clock went back) alternate with 60 to 89.
    #[test]
    fn a_clock_set_back_interleaves_its_rows() {
        let mut series = even();
        for k in 0..30_u64 {
            series.row[30 + 2 * k as usize] = 32 + k;
            series.row[31 + 2 * k as usize] = 62 + k;
        }
        assert_eq!(found(series), 1);
    }
}
