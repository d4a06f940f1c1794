//! Invented findings, and what the invented record lacks.

use grainfall_analysis::evidence::{Finding, FindingKind, Missing, Subject};

use super::{at, row};

pub(super) fn findings() -> Vec<Finding> {
    let mut findings = vec![
        Finding {
            number: 0,
            kind: FindingKind::PointEnded,
            subject: Subject::Point("A5".to_owned()),
            from: at(1, 9, 30),
            to: None,
            text: "point A5 ended: removed and disposed of".to_owned(),
            threshold: "recorded in the job".to_owned(),
            rows: vec![row("job.toml", 61)],
        },
        Finding {
            number: 0,
            kind: FindingKind::LoggerUnplaced,
            subject: Subject::Logger("L9".to_owned()),
            from: at(1, 9, 0),
            to: Some(at(6, 6, 0)),
            text: "nobody said where logger L9 stood".to_owned(),
            threshold: "no `[[logger]]` table names it".to_owned(),
            rows: vec![row("exports/l9.csv", 3)],
        },
        Finding {
            number: 0,
            kind: FindingKind::UnitStopped,
            subject: Subject::Unit("D1".to_owned()),
            from: at(2, 2, 10),
            to: Some(at(2, 7, 40)),
            text: "unit D1 stopped 02:10-07:40 (5.5 h)".to_owned(),
            threshold: "outlet warmer than inlet by less than half its usual difference; our threshold".to_owned(),
            rows: vec![row("exports/l5.csv", 241), row("exports/l5.csv", 274)],
        },
        Finding {
            number: 0,
            kind: FindingKind::MeterChanged,
            subject: Subject::Point("A1".to_owned()),
            from: at(3, 9, 52),
            to: None,
            text: "point A1 was read with another meter (MM-9)".to_owned(),
            threshold: "any change of meter".to_owned(),
            rows: vec![row("readings.csv", 44)],
        },
        Finding {
            number: 0,
            kind: FindingKind::LoggerGap,
            subject: Subject::Logger("L1".to_owned()),
            from: at(4, 20, 0),
            to: Some(at(5, 2, 0)),
            text: "logger L1 has no samples for 6 h".to_owned(),
            threshold: "more than 1.5 intervals".to_owned(),
            rows: vec![row("exports/l1.csv", 638), row("exports/l1.csv", 639)],
        },
        Finding {
            number: 0,
            kind: FindingKind::Reopened,
            subject: Subject::Point("A3".to_owned()),
            from: at(5, 9, 16),
            to: Some(at(6, 9, 16)),
            text: "point A3 read 14.6 %MC after it had met 13 %MC".to_owned(),
            threshold: "above goal by more than the meter's accuracy".to_owned(),
            rows: vec![row("readings.csv", 57)],
        },
        Finding {
            number: 0,
            kind: FindingKind::EquipmentAfterGoals,
            subject: Subject::Chamber("A".to_owned()),
            from: at(6, 10, 30),
            to: Some(at(7, 13, 0)),
            text: "D3, M2 and M3 stayed after every goal of Chamber A was met".to_owned(),
            threshold: "an equipment-day that is not needed".to_owned(),
            rows: vec![row("readings.csv", 68)],
        },
        Finding {
            number: 0,
            kind: FindingKind::BilledDiffers,
            subject: Subject::Unit("D1".to_owned()),
            from: at(7, 16, 0),
            to: None,
            text: "D1: 8 days billed, 6 recorded".to_owned(),
            threshold: "any difference".to_owned(),
            rows: vec![row("job.toml", 88)],
        },
    ];
    findings.sort_by_key(|finding| (finding.from, finding.kind));
    for (index, finding) in findings.iter_mut().enumerate() {
        finding.number = index as u32 + 1;
    }
    findings
}

pub(super) fn missing() -> Vec<Missing> {
    vec![
        Missing {
            text: "point B3 has no goal and no dry standard".to_owned(),
            remedy: "add `goal = \"0.5\"` to its `[[point]]`, or reference points of the same material".to_owned(),
        },
        Missing {
            text: "D3 has no logger at its outlet".to_owned(),
            remedy: "place one and write `[[logger]]` with `place = \"outlet\"`, `unit = \"D3\"`".to_owned(),
        },
        Missing {
            text: "nobody said where logger L9 stood".to_owned(),
            remedy: "write `[[logger]]` with `serial = \"L9\"` and its `place`".to_owned(),
        },
    ]
}
