//! Another meter at a point: readings of two meters are two series.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingEvidence, ReadingKind, Subject};
use crate::material::readings::Aside;
use crate::words::moment;
use grainfall_words::{Words, say};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for point in record.points.iter().filter(|point| !point.logged) {
        let read: Vec<_> =
            point.readings.iter().filter(|reading| !matches!(reading.kind, ReadingKind::NoReading { .. })).collect();
        for scale in ["wood", "wme", "gypsum", "concrete-rh", "relative"] {
            let series: Vec<_> = read.iter().filter(|reading| reading.scale == scale).collect();
            for pair in series.windows(2).filter(|pair| pair[0].meter != pair[1].meter) {
                let name = |meter: &Option<String>| {
                    meter.clone().unwrap_or_else(|| say!(words, "meter_changed.an_unnamed_meter").to_owned())
                };
                drafts.push(Draft {
                    kind: FindingKind::MeterChanged,
                    subject: Subject::Point(point.id.clone()),
                    from: pair[1].time,
                    to: None,
                    text: say!(
                        words,
                        "meter_changed.text",
                        point = point.id,
                        meter = name(&pair[1].meter),
                        time = moment(pair[1].time, zone),
                        before = name(&pair[0].meter),
                        apart = apart(words, pair)
                    ),
                    threshold: say!(words, "meter_changed.threshold").to_owned(),
                    rows: vec![pair[0].row.clone(), pair[1].row.clone()],
                });
            }
        }
    }
    drafts
}

/// What it means for the verdict, where only one of the two meters makes the series.
fn apart(words: Words, pair: &[&&ReadingEvidence]) -> &'static str {
    let aside = |reading: &ReadingEvidence| reading.why_not.as_deref() == Some(Aside::OtherMeter.said(words));
    match (aside(pair[0]), aside(pair[1])) {
        (false, true) => say!(words, "meter_changed.the_later_reading_does_not"),
        (true, false) => say!(words, "meter_changed.the_earlier_reading_does_not"),
        _ => "",
    }
}
