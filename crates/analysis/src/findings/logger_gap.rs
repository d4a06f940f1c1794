//! Stretches without samples inside a placement: one finding each, or one for all where a logger has many.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::Zone;
use grainfall_words::say;

use super::{Draft, Record};
use crate::air::cover::is_gap;
use crate::air::instant::micros_of;
use crate::evidence::{AirTrack, FindingKind, Subject};
use crate::thresholds::{GAPS_LISTED, LEAST_GAP};
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.tracks.iter().flat_map(|track| of_track(record, track)).collect()
}

/// A step from one sample to the next, by the position of the first.
struct Gap {
    index: usize,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
}

impl Gap {
    fn length(&self) -> TimeDelta {
        self.to - self.from
    }

    fn told(&self, zone: Zone) -> String {
        let words = zone.words;
        let ends = [self.from, self.to].map(|end| moment(end, zone));
        say!(
            words,
            "logger_gap.between_and_h",
            from = ends[0],
            to = ends[1],
            hours = number(words, hours(self.length()), 1)
        )
    }
}

fn of_track(record: &Record<'_>, track: &AirTrack) -> Vec<Draft> {
    let Some(interval) = track.interval_s.map(|s| TimeDelta::seconds(i64::from(s))) else { return Vec::new() };
    let steps = track.time.windows(2).enumerate();
    let mut gaps: Vec<Gap> = steps
        .map(|(index, pair)| Gap { index, from: pair[0], to: pair[1] })
        .filter(|gap| is_gap(micros_of(gap.length()), micros_of(interval)) && gap.length() >= LEAST_GAP)
        .collect();
    let zone = record.zone();
    let words = zone.words;
    let draft = |gaps: &[Gap], from, to, text| Draft {
        kind: FindingKind::LoggerGap,
        subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
        from,
        to: Some(to),
        text,
        threshold: say!(
            words,
            "logger_gap.threshold",
            minutes = number(words, hours(interval) * 60.0, 1),
            least_gap = number(words, hours(LEAST_GAP), 0)
        ),
        rows: gaps.iter().flat_map(|gap| [gap.index, gap.index + 1]).map(|i| track.rows[i].clone()).collect(),
    };
    if gaps.len() <= GAPS_LISTED {
        let each = |gap: Gap| {
            let text = say!(words, "logger_gap.text_one", label = track.label, gap = gap.told(zone));
            let (from, to) = (gap.from, gap.to);
            draft(&[gap], from, to, text)
        };
        return gaps.into_iter().map(each).collect();
    }
    let (count, all) = (gaps.len(), gaps.iter().map(Gap::length).sum::<TimeDelta>());
    let (from, to) = (gaps[0].from, gaps[count - 1].to);
    // The longest, of equal ones the first.
    gaps.sort_by_key(|gap| (std::cmp::Reverse(gap.length()), gap.from));
    gaps.truncate(GAPS_LISTED);
    let text = say!(
        words,
        "logger_gap.text_many",
        label = track.label,
        count = count,
        hours = number(words, hours(all), 1),
        gaps = gaps[0].told(zone)
    );
    vec![draft(&gaps, from, to, text)]
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, series};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::Place;

    /// Samples every 10 min over four days, without those of an hour or two at the end of every so many hours.
    fn found(every_h: usize, hours: &[usize]) -> Vec<(String, usize)> {
        let gone = |i: usize| {
            let (period, within) = (i / (6 * every_h), i % (6 * every_h));
            period < hours.len() && within >= 6 * (every_h - hours[period])
        };
        let air: Vec<_> = (0..4 * 144).map(|i| (!gone(i)).then_some((22.0, 50.0))).collect();
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected)];
        let evidence = evidence(&job, vec![series("W", "2025-10-06T00:00:00Z", 600, &air)], "2025-10-10T00:00:00Z");
        let found = of_kind(&evidence, FindingKind::LoggerGap);
        found.iter().map(|one| (one.text.clone(), one.rows.len())).collect()
    }

    #[test]
    fn a_few_gaps_are_listed_each_with_its_ends() {
        let found = found(12, &[1, 2]);
        assert_eq!(found.len(), 2);
        // 11:00 to 11:50 are missing: the samples beside lie at 10:50 and 12:00.
        assert!(found[0].0.ends_with("(1.2 h).") && found[0].1 == 2, "{found:?}");
    }

    #[test]
    fn many_gaps_are_one_finding_that_names_the_longest() {
        let found = found(6, &[1, 1, 1, 2, 1, 1, 1]);
        assert_eq!(found.len(), 1);
        assert!(found[0].0.contains("in 7 stretches, 9.2 h together") && found[0].1 == 10, "{found:?}");
    }
}
