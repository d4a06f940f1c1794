//! An hour meter that shows less than it did before: another unit's meter, a slip of the pen, or a reset.

use super::{Draft, Record};
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::thresholds::HOUR_METER_SLIP_H;
use crate::words::{moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut entries: Vec<_> = record.job.hour_meters.iter().filter(|entry| entry.time <= record.clock).collect();
    entries.sort_by(|a, b| (&a.unit, a.time).cmp(&(&b.unit, b.time)));
    entries
        .windows(2)
        .filter(|pair| pair[0].unit == pair[1].unit && pair[1].hours < pair[0].hours - HOUR_METER_SLIP_H)
        .map(|pair| Draft {
            kind: FindingKind::HourMeterBackwards,
            subject: Subject::Unit(pair[0].unit.clone()),
            from: pair[0].time,
            to: Some(pair[1].time),
            text: say!(
                words,
                "hour_meter_backwards.text",
                unit = pair[0].unit,
                hours = number(words, pair[0].hours, 1),
                before = moment(pair[0].time, zone),
                hours_after = number(words, pair[1].hours, 1),
                after = moment(pair[1].time, zone)
            ),
            threshold: say!(
                words,
                "hour_meter_backwards.threshold",
                hour_meter_slip_h = number(words, HOUR_METER_SLIP_H, 1)
            ),
            rows: vec![SourceRow::from(&pair[0].line), SourceRow::from(&pair[1].line)],
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, d1, job};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::HourMeterEntry;
    use grainfall_record::RowRef;

    #[test]
    fn less_than_before_is_found() {
        let entry = |time: &str, hours: f64| HourMeterEntry {
            time: at(time),
            unit: "D1".into(),
            hours,
            line: RowRef::new("job.toml", 40),
        };
        let mut job = job();
        job.equipment = vec![d1("2025-10-06T00:00:00Z", None)];
        let clock = "2025-10-09T00:00:00Z";
        job.hour_meters = vec![entry("2025-10-06T09:00:00Z", 1203.4), entry("2025-10-07T09:00:00Z", 1227.0)];
        assert!(of_kind(&evidence(&job, vec![], clock), FindingKind::HourMeterBackwards).is_empty());
        job.hour_meters.push(entry("2025-10-08T09:00:00Z", 1200.0));
        let evidence = evidence(&job, vec![], clock);
        let found = of_kind(&evidence, FindingKind::HourMeterBackwards);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].from, at("2025-10-07T09:00:00Z"));
    }
}
