//! A reading that rose while the point was drying: water came back, or moved. A logged point is also compared with itself:
//! wood that swings from day to night is not rewetted every night.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use grainfall_words::{Words, say};

use super::{Draft, Record};
use crate::equipment::load::read_words;
use crate::evidence::{FindingKind, ReadingEvidence, ReadingKind, Subject};
use crate::material::dry_standard::median;
use crate::rules::REWETTING_SHARE;
use crate::series::{number_of, rewetted};
use crate::thresholds::{
    REWETTING_LOOK_BACK, REWETTING_OF_USUAL_RISE, USUAL_RISE_BEGINS, USUAL_RISE_DAY, USUAL_RISE_DAYS,
};
use crate::words::{moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.rewettings().to_vec()
}

/// The same, looked for.
pub(super) fn rewettings(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for point in record.points.iter().filter(|point| !point.reference) {
        let readings: Vec<&ReadingEvidence> = point.readings.iter().filter(|reading| reading.decides).collect();
        let usual = if point.logged { usual_daily_rise(&readings, zone.tz) } else { None };
        // The reading that later ones are compared with: the one before, or of a logged point the lowest of a while.
        let mut begun = 0;
        let mut rise: Option<(&ReadingEvidence, DateTime<Utc>)> = None;
        for index in 1..readings.len() {
            let (before, now) = (readings[index - 1], readings[index]);
            if before.meter != now.meter {
                begun = index;
                continue;
            }
            let compared = if point.logged {
                (begun..index)
                    .filter(|k| now.time - readings[*k].time <= REWETTING_LOOK_BACK)
                    .filter(|k| number_of(readings[*k]).is_some())
                    .min_by(|a, b| {
                        let value = |k: &usize| number_of(readings[*k]).unwrap_or(f64::INFINITY);
                        value(a).total_cmp(&value(b)).then(b.cmp(a))
                    })
                    .map_or(before, |k| readings[k])
            } else {
                before
            };
            let rose = match (number_of(compared), number_of(now), &now.kind) {
                (Some(low), Some(value), _) => {
                    rewetted(low, value, now.stated_accuracy())
                        && usual.is_none_or(|usual| value - low > REWETTING_OF_USUAL_RISE * usual)
                }
                (Some(_), None, ReadingKind::Above { .. } | ReadingKind::OverRange) => true,
                _ => false,
            };
            if rose {
                begun = index;
                // A rise that goes on from the reading that showed it is the same one.
                let goes_on = rise.filter(|(_, until)| *until == compared.time).map(|(start, _)| start);
                let compared = goes_on.unwrap_or(compared);
                if goes_on.is_some() {
                    drafts.pop();
                }
                rise = Some((compared, now.time));
                drafts.push(Draft {
                    kind: FindingKind::Rewetting,
                    subject: Subject::Point(point.id.clone()),
                    from: compared.time,
                    to: Some(now.time),
                    text: say!(
                        words,
                        "rewetting.text",
                        point = point.id,
                        before = read_words(words, &compared.kind, &point.unit),
                        before_at = moment(compared.time, zone),
                        after = read_words(words, &now.kind, &point.unit),
                        after_at = moment(now.time, zone)
                    ),
                    threshold: threshold(words, now, usual),
                    rows: vec![compared.row.clone(), now.row.clone()],
                });
            }
        }
    }
    drafts
}

fn threshold(words: Words, now: &ReadingEvidence, usual: Option<f64>) -> String {
    let usual = usual.map_or_else(String::new, |usual| {
        let times = number(words, REWETTING_OF_USUAL_RISE, 1);
        say!(words, "rewetting.and_than_the_usual_rise", times = times, usual = number(words, usual, 2))
    });
    say!(
        words,
        "rewetting.threshold",
        stated_accuracy = number(words, now.stated_accuracy(), 2),
        rewetting_share = number(words, 100.0 * REWETTING_SHARE, 0),
        usual = usual
    )
}

/// The middle, over days from noon to noon, of the largest rise within one; `None` where too few days tell.
fn usual_daily_rise(readings: &[&ReadingEvidence], tz: Tz) -> Option<f64> {
    let mut days: BTreeMap<NaiveDate, Vec<(DateTime<Utc>, f64)>> = BTreeMap::new();
    for reading in readings {
        let Some(value) = number_of(reading) else { continue };
        let day = (reading.time.with_timezone(&tz).naive_local() - USUAL_RISE_BEGINS).date();
        days.entry(day).or_default().push((reading.time, value));
    }
    let mut rises: Vec<f64> = days
        .values()
        .filter(|day| day[day.len() - 1].0 - day[0].0 >= USUAL_RISE_DAY)
        .map(|day| {
            let (mut low, mut rise) = (f64::INFINITY, 0.0);
            for (_, value) in day {
                low = low.min(*value);
                rise = f64::max(rise, value - low);
            }
            rise
        })
        .collect();
    rises.sort_by(f64::total_cmp);
    (rises.len() >= USUAL_RISE_DAYS).then(|| median(&rises)).flatten()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, job};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind, point, reading};

    fn readings(values: &[f64]) -> Vec<(String, f64)> {
        (6..).zip(values).map(|(day, value)| (format!("2025-10-{day:02}T09:00:00Z"), *value)).collect()
    }

    fn found(values: &[f64]) -> Vec<(String, String)> {
        let mut job = job();
        job.points = vec![point("P1", 12.0)];
        job.readings = readings(values).iter().map(|(time, value)| reading(time, "P1", *value)).collect();
        let evidence = evidence(&job, vec![], "2025-10-20T00:00:00Z");
        of_kind(&evidence, FindingKind::Rewetting)
            .iter()
            .map(|one| (one.from.to_string(), one.to.unwrap().to_string()))
            .collect()
    }

    #[test]
    fn a_rise_beyond_a_tenth_is_found_once() {
        let span = (at("2025-10-08T09:00:00Z").to_string(), at("2025-10-09T09:00:00Z").to_string());
        assert_eq!(found(&[30.0, 24.0, 20.0, 26.0, 25.0, 19.0]), [span]);
    }

    #[test]
    fn a_rise_over_two_readings_is_one() {
        let span = (at("2025-10-08T09:00:00Z").to_string(), at("2025-10-10T09:00:00Z").to_string());
        assert_eq!(found(&[30.0, 24.0, 20.0, 23.0, 26.0, 19.0]), [span]);
    }

    #[test]
    fn scatter_is_no_rewetting() {
        assert!(found(&[30.0, 24.0, 20.0, 20.9, 20.1, 18.0]).is_empty());
    }
}
