//! Condensate written down for a unit at a time it was not on site.

use super::{Draft, Record};
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::thresholds::CONDENSATE_AFTER_STAY;
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .job
        .condensate
        .iter()
        .filter(|entry| entry.time <= record.clock)
        .filter(|entry| {
            !record.job.equipment.iter().any(|stay| {
                stay.unit == entry.unit
                    && stay.placed <= entry.time
                    && stay.removed.is_none_or(|removed| entry.time <= removed + CONDENSATE_AFTER_STAY)
            })
        })
        .map(|entry| Draft {
            kind: FindingKind::CondensateOutsideStay,
            subject: Subject::Unit(entry.unit.clone()),
            from: entry.time,
            to: None,
            text: say!(words, "condensate_outside_stay.text", unit = entry.unit, time = moment(entry.time, zone)),
            threshold: say!(
                words,
                "condensate_outside_stay.threshold",
                condensate_after_stay = number(words, hours(CONDENSATE_AFTER_STAY), 0)
            ),
            rows: vec![SourceRow::from(&entry.line)],
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, d1, job};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::CondensateEntry;
    use grainfall_psychrometrics::WaterMass;
    use grainfall_record::RowRef;

    #[test]
    fn only_what_lies_outside_every_stay() {
        let mut job = job();
        job.equipment = vec![d1("2025-10-06T09:00:00Z", Some("2025-10-08T09:00:00Z"))];
        job.condensate =
            ["2025-10-06T08:00:00Z", "2025-10-07T09:00:00Z", "2025-10-08T12:00:00Z", "2025-10-08T14:00:00Z"]
                .map(|time| CondensateEntry {
                    time: at(time),
                    unit: "D1".into(),
                    water: WaterMass::from_pounds(20.0),
                    line: RowRef::new("job.toml", 41),
                })
                .to_vec();
        let evidence = evidence(&job, vec![], "2025-10-09T00:00:00Z");
        let times: Vec<_> = of_kind(&evidence, FindingKind::CondensateOutsideStay).iter().map(|one| one.from).collect();
        assert_eq!(times, [at("2025-10-06T08:00:00Z"), at("2025-10-08T14:00:00Z")]);
    }
}
