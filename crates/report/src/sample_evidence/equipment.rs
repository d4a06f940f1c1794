//! Invented equipment with every verdict an equipment-day can have.

use chrono::{DateTime, Duration, Utc};
use grainfall_analysis::evidence::{
    BilledComparison, DayVerdict, Effect, EquipmentDay, EquipmentTotals, KindTotals, ReleaseStatement, StayEvidence,
    StayPart, UnitEvidence,
};

use super::{at, clock, hours_between, row};

pub(super) struct Stay<'a> {
    pub(super) unit: &'a str,
    pub(super) kind: &'a str,
    pub(super) purpose: &'a str,
    pub(super) chambers: &'a [&'a str],
    pub(super) placed: DateTime<Utc>,
    pub(super) removed: Option<DateTime<Utc>>,
    /// From when the area is closed, and until when nothing is known.
    pub(super) closed_from: Option<DateTime<Utc>>,
    pub(super) unknown_until: Option<DateTime<Utc>>,
    pub(super) billed_days: Option<f64>,
}

pub(super) fn equipment() -> (Vec<UnitEvidence>, Vec<KindTotals>, Vec<ReleaseStatement>) {
    const LGR: &str = "dehumidifier, low-grain refrigerant";
    let a_closed = Some(at(6, 9, 16));
    let stay = |unit, kind, purpose, chambers, placed, removed, closed_from| Stay {
        unit,
        kind,
        purpose,
        chambers,
        placed,
        removed,
        closed_from,
        unknown_until: None,
        billed_days: None,
    };
    let mut units = vec![
        unit(&Stay {
            billed_days: Some(8.0),
            ..stay("D1", LGR, "drying", &["A"], at(0, 10, 30), Some(at(5, 14, 0)), a_closed)
        }),
        unit(&Stay { billed_days: Some(8.0), ..stay("D2", LGR, "drying", &["B"], at(0, 10, 30), None, None) }),
        unit(&stay("D3", "dehumidifier, refrigerant", "drying", &["A"], at(0, 10, 30), Some(at(7, 13, 0)), a_closed)),
        unit(&stay("M1", "air mover", "drying", &["A"], at(0, 10, 40), Some(at(6, 11, 0)), a_closed)),
        unit(&stay("M2", "air mover", "drying", &["A"], at(0, 10, 42), Some(at(7, 13, 0)), a_closed)),
        unit(&stay("M3", "air mover", "drying", &["A"], at(0, 10, 44), Some(at(7, 13, 0)), a_closed)),
        unit(&Stay {
            unknown_until: Some(at(1, 9, 0)),
            ..stay("M4", "air mover", "drying", &["B"], at(0, 11, 0), None, None)
        }),
        unit(&stay("M5", "air mover", "drying", &["B"], at(1, 9, 40), None, None)),
        unit(&stay("M6", "air mover", "drying", &["B"], at(1, 9, 42), Some(at(4, 15, 0)), None)),
        unit(&stay(
            "S1",
            "air scrubber",
            "air cleaning during demolition",
            &["A", "B"],
            at(0, 11, 30),
            Some(at(3, 10, 0)),
            None,
        )),
    ];
    units[0].stays[0].days[1].effect = Some(effect(18.5, 5.5, 0.0, 19.4, 3.6));
    for number in [0, 2, 3, 4] {
        units[0].stays[0].days[number].effect = Some(effect(24.0, 0.0, 0.0, 21.0 - number as f64 * 2.6, 3.1));
    }
    for day in &mut units[1].stays[0].days {
        let paused = if day.number == 4 { 1.5 } else { 0.0 };
        day.effect = Some(effect(day.hours - paused, 0.0, paused, 24.0 - f64::from(day.number) * 2.0, 2.9));
    }
    for unit in &mut units {
        let logged = unit.stays[0].days.iter().filter(|day| day.effect.is_some()).count();
        unit.totals.run_logged_days = logged as u32;
    }
    units[0].totals.did_not_run_days = 1;
    units[0].totals.did_not_run_h = 5.5;
    let totals = kinds(&units);
    let releases = vec![
        ReleaseStatement {
            chambers: vec!["A".to_owned()],
            units: ["D1", "D3", "M1", "M2", "M3"].map(str::to_owned).to_vec(),
            from: a_closed,
            sentences: vec![
                "Chamber A: all 4 points met from 12 Oct 09:16, the last A3 at 12.1 %MC against 13 %MC.".to_owned(),
                "From then its judged equipment could leave; A5 ended on 7 Oct 09:30 (removed and disposed of)."
                    .to_owned(),
                "D1 was pulled on 11 Oct 14:00, before that reading.".to_owned(),
            ],
            rests_on: vec![
                "A3: 12.1 %MC on 12 Oct 2025 09:16 against a goal of 13 %MC (readings.csv line 68).".to_owned(),
            ],
            rows: vec![row("readings.csv", 68)],
        },
        ReleaseStatement {
            chambers: vec!["B".to_owned()],
            units: ["D2", "M4", "M5", "M6"].map(str::to_owned).to_vec(),
            from: None,
            sentences: vec![
                "Chamber B: 2 points are open, B1 at 20.9 %MC against 15 %MC and B4 at 87.6 %RH against 80 %RH."
                    .to_owned(),
            ],
            rests_on: vec!["B3 is not shown: it has no goal and no dry standard.".to_owned()],
            rows: vec![row("readings.csv", 79), row("readings.csv", 82)],
        },
    ];
    (units, totals, releases)
}

pub(super) fn effect(running_h: f64, did_not_run_h: f64, paused_h: f64, depression: f64, u: f64) -> Effect {
    Effect {
        running_h,
        did_not_run_h,
        paused_h,
        not_shown_h: 0.0,
        depression_gpp: Some(depression),
        u_depression_gpp: Some(u),
        within_uncertainty: Some(depression.abs() <= u),
        water_kg: Some(depression * 0.12 * running_h),
        u_water_kg: Some(u * 0.12 * running_h),
    }
}

pub(super) fn unit(stay: &Stay<'_>) -> UnitEvidence {
    let judged = stay.purpose == "drying";
    let end = stay.removed.unwrap_or_else(clock);
    let mut days = vec![];
    let mut from = stay.placed;
    while from < end {
        let to = (from + Duration::hours(24)).min(end);
        let verdict = if !judged {
            DayVerdict::NotJudged
        } else if stay.unknown_until.is_some_and(|until| from < until) {
            DayVerdict::NotShown
        } else if stay.closed_from.is_some_and(|closed| from >= closed) {
            DayVerdict::NotNeeded
        } else {
            DayVerdict::Needed
        };
        let place = stay.chambers.first().copied().unwrap_or("A");
        let why = match verdict {
            DayVerdict::Needed => format!("{place}1 above its goal"),
            DayVerdict::NotNeeded => format!("all points of {place} met since 12 Oct 09:16"),
            DayVerdict::NotShown => "before drying began in this chamber (7 Oct 09:00)".to_owned(),
            DayVerdict::NotJudged => stay.purpose.to_owned(),
        };
        days.push(EquipmentDay {
            number: days.len() as u32 + 1,
            from,
            to,
            hours: hours_between(from, to),
            verdict,
            why,
            read_at: (verdict != DayVerdict::NotJudged).then_some(from),
            by_pull_window: false,
            doubted_by_air: false,
            paused_h: 0.0,
            rows: vec![row("readings.csv", 2 + days.len() as u64 * 10)],
            load_points: if verdict == DayVerdict::Needed { vec![format!("{place}1")] } else { vec![] },
            effect: None,
        });
        from = to;
    }
    let count = |verdict| days.iter().filter(|d| d.verdict == verdict).count() as u32;
    let totals = EquipmentTotals {
        recorded_days: days.len() as u32,
        needed: count(DayVerdict::Needed),
        not_needed: count(DayVerdict::NotNeeded),
        not_shown: count(DayVerdict::NotShown),
        not_judged: count(DayVerdict::NotJudged),
        hours: hours_between(stay.placed, end),
        ..EquipmentTotals::default()
    };
    let billed = stay.billed_days.map(|billed_days| BilledComparison {
        recorded_days: totals.recorded_days,
        billed_days,
        difference_days: billed_days - f64::from(totals.recorded_days),
        rows: vec![row("job.toml", 88)],
    });
    UnitEvidence {
        unit: stay.unit.to_owned(),
        asset: Some(format!("asset {}", stay.unit)),
        kind: stay.kind.to_owned(),
        purpose: stay.purpose.to_owned(),
        judged,
        airflow_m3_per_s: None,
        rated_kg_per_day: None,
        rated_at: None,
        totals,
        stays: vec![StayEvidence {
            chambers: stay.chambers.iter().map(|&c| c.to_owned()).collect(),
            points: vec![],
            placed: stay.placed,
            placed_by: Some("A. Tester (invented)".to_owned()),
            placed_reason: None,
            removed: stay.removed,
            removed_by: stay.removed.map(|_| "A. Tester (invented)".to_owned()),
            removed_reason: stay.removed.map(|_| "called for elsewhere".to_owned()),
            hours: hours_between(stay.placed, end),
            moves: vec![],
            parts: vec![StayPart {
                chambers: stay.chambers.iter().map(|&c| c.to_owned()).collect(),
                from: stay.placed,
                to: end,
                removed: stay.removed.is_some(),
                reason: stay.removed.map(|_| "called for elsewhere".to_owned()),
            }],
            days,
            billed: billed.clone(),
            rows: vec![row("job.toml", 80)],
        }],
        billed,
    }
}

pub(super) fn kinds(units: &[UnitEvidence]) -> Vec<KindTotals> {
    let mut kinds: Vec<KindTotals> = vec![];
    for unit in units {
        if !kinds.iter().any(|k| k.kind == unit.kind) {
            kinds.push(KindTotals::none(&unit.kind));
        }
        let Some(kind) = kinds.iter_mut().find(|k| k.kind == unit.kind) else { continue };
        kind.add(unit);
    }
    kinds.sort_by(|a, b| a.kind.cmp(&b.kind));
    kinds
}
