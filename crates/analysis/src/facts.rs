//! What the job's files say, carried over for the report.

use chrono::{DateTime, Utc};
use grainfall_job::{Dated, EquipmentDayRule, Job, WaterCategory, WaterClass};

use crate::evidence::{JobFacts, PauseFacts, SourceRow, VisitFacts};
use crate::words::{hours, moment};

/// The job in plain data.
pub(crate) fn job(job: &Job, folder: &str, record_from: Option<DateTime<Utc>>, clock: DateTime<Utc>) -> JobFacts {
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
            WaterCategory::One => "Category 1",
            WaterCategory::Two => "Category 2",
            WaterCategory::Three => "Category 3",
        }),
        class: history(job, &job.class, clock, |class| match class {
            WaterClass::One => "Class 1",
            WaterClass::Two => "Class 2",
            WaterClass::Three => "Class 3",
            WaterClass::Four => "Class 4",
        }),
        equipment_day: match job.equipment_day {
            EquipmentDayRule::Hours24 => "periods of 24 hours from placing; a period begun counts as one",
            EquipmentDayRule::Calendar => "civil days of the job's zone; a day begun counts as one",
        }
        .to_owned(),
        pull_window_h: hours(job.pull_window),
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
    dated
        .iter()
        .filter(|entry| entry.from.is_none_or(|from| from <= clock))
        .map(|entry| {
            let mut text = word(entry.value).to_owned();
            if let Some(edition) = &entry.edition {
                text.push_str(&format!(" ({edition})"));
            }
            if let Some(from) = entry.from {
                text.push_str(&format!(" from {}", moment(from, job.zone)));
            }
            if let Some(reason) = &entry.reason {
                text.push_str(&format!(": {reason}"));
            }
            text
        })
        .collect()
}
