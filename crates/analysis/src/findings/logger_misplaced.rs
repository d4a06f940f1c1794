//! A logger placed outdoors whose air does not live as outdoor air does.

use super::neighbours::median;
use super::{Draft, Record};
use crate::evidence::{AirTrack, FindingKind, Subject, TrackPlace};
use crate::thresholds::{
    DAY_LEAST_SHARE, OUTDOOR_LEAST_DAYS, OUTDOOR_LEAST_SWING_K, OUTDOOR_OTHER_SWING_K, OUTDOOR_OTHER_TIMES,
};
use crate::words::{moment, number};
use grainfall_words::{Words, say};

/// The two places of a pair of loggers that stand in each other's stead.
pub(super) struct Suspect {
    pub outdoor: usize,
    pub outdoor_swing_k: f64,
    /// The loggers that swing as outdoor air does.
    pub instead: Vec<(usize, f64)>,
}

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    suspects(record)
        .into_iter()
        // With one logger that swings instead they are swapped: a finding of its own.
        .filter(|suspect| suspect.instead.len() > 1)
        .filter_map(|suspect| {
            let track = &record.tracks[suspect.outdoor];
            let (from, to) = (*track.time.first()?, *track.time.last()?);
            Some(Draft {
                kind: FindingKind::LoggerMisplaced,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from,
                to: Some(to),
                text: say!(
                    words,
                    "logger_misplaced.text",
                    label = track.label,
                    outdoor_swing_k = number(words, suspect.outdoor_swing_k, 1),
                    from = moment(from, zone),
                    to = moment(to, zone)
                ),
                threshold: threshold(words),
                rows: [track.rows.first(), track.rows.last()].into_iter().flatten().cloned().collect(),
            })
        })
        .collect()
}

pub(super) fn threshold(words: Words) -> String {
    say!(
        words,
        "logger_misplaced.median_daily_swing_below_degc",
        outdoor_least_swing_k = number(words, OUTDOOR_LEAST_SWING_K, 0),
        outdoor_other_swing_k = number(words, OUTDOOR_OTHER_SWING_K, 0)
    )
}

/// Outdoor loggers that swing less than a room, with the loggers that swing as outdoor air does.
pub(super) fn suspects(record: &Record<'_>) -> Vec<Suspect> {
    let swings: Vec<Option<f64>> = record.tracks.iter().map(|track| swing(record, track)).collect();
    (0..record.tracks.len())
        .filter(|index| record.tracks[*index].place == TrackPlace::Outdoor)
        .filter_map(|outdoor| {
            let own = swings[outdoor].filter(|swing| *swing < OUTDOOR_LEAST_SWING_K)?;
            let indoors = |track: &AirTrack| matches!(track.place, TrackPlace::Affected | TrackPlace::Unaffected);
            let instead: Vec<(usize, f64)> = (0..record.tracks.len())
                .filter(|index| indoors(&record.tracks[*index]))
                .filter_map(|index| Some((index, swings[index]?)))
                .filter(|(_, swing)| *swing > OUTDOOR_OTHER_SWING_K.max(OUTDOOR_OTHER_TIMES * own))
                .collect();
            (!instead.is_empty()).then_some(Suspect { outdoor, outdoor_swing_k: own, instead })
        })
        .collect()
}

/// Median over days of greatest minus least temperature, K.
fn swing(record: &Record<'_>, track: &AirTrack) -> Option<f64> {
    let interval_h = f64::from(track.interval_s?) / 3600.0;
    let swings: Vec<f64> = record
        .days
        .iter()
        .filter_map(|day| {
            let range = crate::air::cover::instants_within(
                &track.time,
                crate::air::instant::micros(day.from),
                crate::air::instant::micros(day.to),
            );
            let temps: Vec<f64> = range.filter_map(|i| track.air_temp_c[i]).collect();
            #[allow(clippy::cast_precision_loss)]
            let covered = temps.len() as f64 * interval_h;
            let high = temps.iter().copied().reduce(f64::max)?;
            let low = temps.iter().copied().reduce(f64::min)?;
            (covered >= DAY_LEAST_SHARE * day.hours).then_some(high - low)
        })
        .collect();
    if swings.len() < OUTDOOR_LEAST_DAYS { None } else { median(swings) }
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, placement, series};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::Place;
    use grainfall_record::LoggerSeries;

    fn swinging(id: &str, mean: f64, half_swing: f64) -> LoggerSeries {
        let air: Vec<Option<(f64, f64)>> = (0..3 * 144)
            .map(|i| Some((mean + half_swing * (std::f64::consts::TAU * f64::from(i) / 144.0).sin(), 50.0)))
            .collect();
        series(id, "2025-10-06T00:00:00Z", 600, &air)
    }

    fn kinds(outdoor: f64, affected: f64, unaffected: f64) -> (usize, usize) {
        let mut job = job();
        job.loggers =
            vec![placement("O", Place::Outdoor), in_a("W", Place::Affected), placement("U", Place::Unaffected)];
        let list = vec![swinging("O", 12.0, outdoor), swinging("W", 24.0, affected), swinging("U", 21.0, unaffected)];
        let evidence = evidence(&job, list, "2025-10-09T00:00:00Z");
        let count = |kind| of_kind(&evidence, kind).len();
        (count(FindingKind::LoggerMisplaced), count(FindingKind::LoggersSwapped))
    }

    #[test]
    fn a_steady_outdoor_logger_beside_a_swinging_room() {
        assert_eq!(kinds(5.0, 1.0, 0.5), (0, 0));
        assert_eq!(kinds(0.5, 5.0, 0.4), (0, 1), "one room swings instead: swapped");
        assert_eq!(kinds(0.5, 5.0, 5.0), (1, 0), "two rooms swing: nothing tells with which");
        assert_eq!(kinds(5.0, 12.0, 0.5), (0, 0), "an attic swings more than outdoors");
    }
}
