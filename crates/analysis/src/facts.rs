//! What the job's files say, carried over for the report.

use chrono::{DateTime, Utc};
use grainfall_job::{Dated, EquipmentDayRule, Job, WaterCategory, WaterClass};
use grainfall_words::say;

use crate::evidence::{JobFacts, PauseFacts, SourceRow, VisitFacts};
use crate::words::{hours, moment};

/// The job in plain data.
pub(crate) fn job(job: &Job, folder: &str, record_from: Option<DateTime<Utc>>, clock: DateTime<Utc>) -> JobFacts {
    let words = job.zone.words;
    JobFacts {
        folder: folder.to_owned(),
        number: job.number.clone(),
        title: job.title.clone(),
        claim: job.claim.clone(),
        time_zone: job.zone.tz.name().to_owned(),
        dates: job.zone.dates,
        time_zone_stated: job.zone.stated,
        loss_at: job.loss_at,
        category: history(job, &job.category, clock, |category| match category {
            WaterCategory::One => say!(words, "facts.category_1"),
            WaterCategory::Two => say!(words, "facts.category_2"),
            WaterCategory::Three => say!(words, "facts.category_3"),
        }),
        class: history(job, &job.class, clock, |class| match class {
            WaterClass::One => say!(words, "facts.class_1"),
            WaterClass::Two => say!(words, "facts.class_2"),
            WaterClass::Three => say!(words, "facts.class_3"),
            WaterClass::Four => say!(words, "facts.class_4"),
        }),
        equipment_day: match job.equipment_day {
            EquipmentDayRule::Hours24 => say!(words, "facts.periods_of_24_hours_from"),
            EquipmentDayRule::Calendar => say!(words, "facts.civil_days_of_the_job"),
        }
        .to_owned(),
        pull_window_h: hours(job.pull_window),
        pull_window_stated: job.pull_window_stated,
        confirm_readings: job.confirm_readings,
        record_from,
    }
}

/// Recorded pauses that began by the clock.
pub(crate) fn pauses(job: &Job, clock: DateTime<Utc>) -> Vec<PauseFacts> {
    let mut pauses: Vec<PauseFacts> = job
        .pauses
        .iter()
        .filter(|pause| pause.from <= clock)
        .map(|pause| PauseFacts {
            from: pause.from,
            to: pause.to,
            units: pause.units.clone(),
            reason: pause.reason.clone(),
            row: SourceRow::from(&pause.line),
        })
        .collect();
    pauses.sort_by(|a, b| (a.from, a.to, &a.row).cmp(&(b.from, b.to, &b.row)));
    pauses
}

/// Visits up to the clock.
pub(crate) fn visits(job: &Job, clock: DateTime<Utc>) -> Vec<VisitFacts> {
    job.visits
        .iter()
        .filter(|visit| visit.time <= clock)
        .map(|visit| VisitFacts {
            time: visit.time,
            by: visit.by.clone(),
            credential: visit.credential.clone(),
            instruments: visit.instruments.clone(),
            reason: visit.reason.clone(),
            photos: visit.photos.clone(),
            note: visit.note.clone(),
            row: SourceRow::from(&visit.line),
        })
        .collect()
}

fn history<T: Copy>(
    job: &Job,
    dated: &[Dated<T>],
    clock: DateTime<Utc>,
    word: impl Fn(T) -> &'static str,
) -> Vec<String> {
    let words = job.zone.words;
    dated
        .iter()
        .filter(|entry| entry.from.is_none_or(|from| from <= clock))
        .map(|entry| {
            let mut text = word(entry.value).to_owned();
            if let Some(edition) = &entry.edition {
                text.push_str(&say!(words, "facts.edition", edition = edition));
            }
            if let Some(from) = entry.from {
                text.push_str(&say!(words, "facts.from", from = moment(from, job.zone)));
            }
            if let Some(reason) = &entry.reason {
                text.push_str(&say!(words, "facts.reason", reason = reason));
            }
            text
        })
        .collect()
}
