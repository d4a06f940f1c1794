//! Another meter at a point: readings of two meters are two series.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingKind, Subject};
use crate::words::moment;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let mut drafts = Vec::new();
    for point in record.points.iter().filter(|point| !point.logged) {
        let read: Vec<_> =
            point.readings.iter().filter(|reading| !matches!(reading.kind, ReadingKind::NoReading { .. })).collect();
        for scale in ["wood", "wme", "gypsum", "concrete-rh", "relative"] {
            let series: Vec<_> = read.iter().filter(|reading| reading.scale == scale).collect();
            for pair in series.windows(2).filter(|pair| pair[0].meter != pair[1].meter) {
                let name = |meter: &Option<String>| meter.clone().unwrap_or_else(|| "an unnamed meter".to_owned());
                drafts.push(Draft {
                    kind: FindingKind::MeterChanged,
                    subject: Subject::Point(point.id.clone()),
                    from: pair[1].time,
                    to: None,
                    text: format!(
                        "{} was read with {} on {}, after {} before: no drying rate crosses the change.",
                        point.id,
                        name(&pair[1].meter),
                        moment(pair[1].time, zone),
                        name(&pair[0].meter)
                    ),
                    threshold: "two readings in a row on one scale with different meters".to_owned(),
                    rows: vec![pair[0].row.clone(), pair[1].row.clone()],
                });
            }
        }
    }
    drafts
}
