//! Invented points with their goals and readings, and the chambers they stand in.

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::{
    AirGoalEvidence, AirGoalOf, ChamberEvidence, ChamberSpan, DailyRate, Drive, DriveBasis, DryStandardBasis,
    DryStandardEvidence, EndedEvidence, Forecast, GoalBasis, GoalEvidence, GoalSide, GoalVerdict, Outlook,
    PointEvidence, PointSpan, PointState, ReadingEvidence, ReadingKind,
};

use super::{at, clock, date, row};

/// A reading as the sample writes it.
#[derive(Clone)]
pub(super) enum Read {
    Is(f64),
    Above(f64),
    Over,
    None(&'static str),
}

pub(super) struct Wanted {
    pub(super) id: String,
    pub(super) chamber: Option<String>,
    pub(super) location: String,
    pub(super) depth: Option<String>,
    pub(super) material: String,
    pub(super) scale: &'static str,
    pub(super) unit: &'static str,
    pub(super) dry: Option<f64>,
    pub(super) goal: Option<f64>,
    /// Day, minute after nine, reading.
    pub(super) reads: Vec<(i64, i64, Read)>,
    pub(super) basis: DriveBasis,
}

pub(super) fn points() -> (Vec<ChamberEvidence>, Vec<PointEvidence>) {
    use Read::{Above, Is, None as No, Over};
    let daily = |values: &[f64], minute: i64| -> Vec<(i64, i64, Read)> {
        values.iter().enumerate().map(|(day, &v)| (day as i64, minute, Is(v))).collect()
    };
    let wanted =
        |id: &str, chamber: Option<&str>, location: &str, material: &str, scale, unit, dry, goal, reads, basis| {
            Wanted {
                id: id.to_owned(),
                chamber: chamber.map(str::to_owned),
                location: location.to_owned(),
                depth: (scale == "wood_mc").then(|| "20 mm".to_owned()),
                material: material.to_owned(),
                scale,
                unit,
                dry,
                goal,
                reads,
                basis,
            }
        };
    let mut points = vec![
        point(wanted(
            "A1",
            Some("A"),
            "sill plate, north wall",
            "softwood",
            "wood_mc",
            "%MC",
            Some(11.5),
            Some(15.5),
            daily(&[27.5, 24.0, 20.5, 18.2, 16.4, 14.9, 14.2], 12),
            DriveBasis::WoodSorption,
        )),
        point(wanted(
            "A2",
            Some("A"),
            "gypsum, north wall 300 mm up",
            "gypsum board",
            "gypsum",
            "% gypsum",
            Some(0.4),
            Some(0.5),
            daily(&[2.1, 1.6, 1.1, 0.8, 0.6, 0.5, 0.4], 14),
            DriveBasis::UpperBound,
        )),
        point(wanted(
            "A3",
            Some("A"),
            "oak floor by the sink",
            "oak flooring",
            "wood_mc",
            "%MC",
            Some(9.0),
            Some(13.0),
            vec![
                (0, 16, Is(31.0)),
                (1, 16, Is(26.5)),
                (2, 16, Is(21.0)),
                (3, 16, Is(16.4)),
                (4, 16, Is(12.8)),
                (5, 16, Is(14.6)),
                (6, 16, Is(12.1)),
            ],
            DriveBasis::WoodSorption,
        )),
        point(wanted(
            "A4",
            Some("A"),
            "cabinet toe kick",
            "particle board",
            "relative",
            "rel",
            Some(120.0),
            Some(132.0),
            vec![
                (0, 18, Over),
                (1, 18, Is(840.0)),
                (2, 18, Is(610.0)),
                (3, 18, Is(390.0)),
                (4, 18, Is(210.0)),
                (5, 18, Is(128.0)),
            ],
            DriveBasis::UpperBound,
        )),
        point(wanted(
            "A5",
            Some("A"),
            "carpet pad",
            "carpet pad",
            "relative",
            "rel",
            Some(80.0),
            Some(88.0),
            vec![(0, 20, Is(900.0))],
            DriveBasis::UpperBound,
        )),
        point(wanted(
            "B1",
            Some("B"),
            "subfloor, hall centre",
            "plywood",
            "wood_mc",
            "%MC",
            Some(11.0),
            Some(15.0),
            vec![
                (0, 31, Above(40.0)),
                (1, 31, Above(40.0)),
                (2, 31, Is(36.5)),
                (3, 31, Is(32.0)),
                (4, 31, Is(28.4)),
                (5, 31, Is(25.2)),
                (6, 31, Is(22.6)),
                (7, 31, Is(20.9)),
            ],
            DriveBasis::FreeWater,
        )),
        point(wanted(
            "B2",
            Some("B"),
            "base plate, east wall",
            "softwood",
            "wood_mc",
            "%MC",
            Some(11.5),
            Some(15.5),
            vec![
                (0, 33, Is(24.0)),
                (1, 33, Is(21.7)),
                (2, 33, No("no access, cabinet in front")),
                (3, 33, Is(18.1)),
                (4, 33, Is(16.6)),
                (5, 33, Is(15.2)),
                (6, 33, Is(14.6)),
                (7, 33, Is(14.1)),
            ],
            DriveBasis::WoodSorption,
        )),
        point(wanted(
            "B3",
            Some("B"),
            "gypsum, east wall",
            "gypsum board",
            "gypsum",
            "% gypsum",
            None,
            None,
            daily(&[1.9, 1.5, 1.2, 1.0, 0.9, 0.8, 0.7, 0.7], 35),
            DriveBasis::UpperBound,
        )),
        point(wanted(
            "B4",
            Some("B"),
            "slab, sleeve 2",
            "concrete",
            "concrete_rh",
            "%RH",
            None,
            Some(80.0),
            daily(&[96.0, 95.5, 94.0, 92.4, 91.0, 89.6, 88.5, 87.6], 37),
            DriveBasis::UpperBound,
        )),
        point(wanted(
            "R1",
            None,
            "sill plate, dry bedroom",
            "softwood",
            "wood_mc",
            "%MC",
            None,
            None,
            vec![(0, 40, Is(11.2)), (0, 42, Is(11.8))],
            DriveBasis::WoodSorption,
        )),
    ];
    points[9].reference = true;
    points[9].verdict = GoalVerdict::NotShown;
    points[9].why = "reference point, not judged".to_owned();
    points[4].ended = Some(EndedEvidence { at: at(1, 9, 30), reason: "removed and disposed of".to_owned() });
    points[4].spans = vec![
        span(at(-1, 21, 40), at(1, 9, 30), PointState::Open, 6),
        span(at(1, 9, 30), clock(), PointState::Ended, 11),
    ];
    // A second meter read A1 once; such a reading does not decide.
    let mut other = points[0].readings[3].clone();
    other.kind = ReadingKind::Measured { value: 21.0 };
    other.meter = Some("MM-9".to_owned());
    other.decides = false;
    other.why_not = Some("another meter than the goal's series".to_owned());
    other.distance_to_goal = None;
    other.meets = None;
    other.time = at(3, 9, 52);
    other.row = row("readings.csv", 44);
    points[0].readings.insert(4, other);
    points[5].forecast = Some(forecast(Outlook::Range, Some(at(9, 4, 0)), Some(at(11, 20, 0))));
    points[8].forecast = Some(forecast(Outlook::Range, Some(at(11, 0, 0)), None));
    (vec![chamber_a(), chamber_b()], points)
}

/// A forecast from the last visit on.
pub(super) fn forecast(outlook: Outlook, earliest: Option<DateTime<Utc>>, latest: Option<DateTime<Utc>>) -> Forecast {
    let from = at(7, 9, 31);
    let days = |until: Option<DateTime<Utc>>| until.map(|until| (until - from).as_seconds_f64() / 86_400.0);
    Forecast {
        outlook,
        text: "an invented forecast of an invented point".to_owned(),
        from,
        readings: 6,
        equilibrium: None,
        days_low: days(earliest).or(Some(2.0)),
        days_high: days(latest).or((outlook == Outlook::WideRange).then_some(12.0)),
        earliest,
        latest,
        time_constant_days: None,
        rows: vec![row("readings.csv", 71)],
    }
}

fn span(from: DateTime<Utc>, to: DateTime<Utc>, state: PointState, line: u64) -> PointSpan {
    PointSpan { from, to, state, row: Some(row("readings.csv", line)) }
}

pub(super) fn point(wanted: Wanted) -> PointEvidence {
    let mut readings = vec![];
    let mut spans: Vec<PointSpan> = vec![];
    let mut state = PointState::Unread;
    let mut from = at(-1, 21, 40);
    let (mut met_at, mut reopened_at) = (None, vec![]);
    let line_base = wanted.id.bytes().map(u64::from).sum::<u64>() % 7 + 2;
    for (index, (day, minute, read)) in wanted.reads.iter().enumerate() {
        let time = at(*day, 9 + i64::from(*day == 0), *minute);
        let line = line_base + *day as u64 * 10 + index as u64;
        let (kind, value, number) = match read {
            Read::Is(value) => (ReadingKind::Measured { value: *value }, Some(*value), Some(*value)),
            Read::Above(value) => (ReadingKind::Above { value: *value }, None, Some(*value + 1.0)),
            Read::Over => (ReadingKind::OverRange, None, Some(f64::MAX)),
            Read::None(reason) => (ReadingKind::NoReading { reason: (*reason).to_owned() }, None, None),
        };
        let meets = wanted.goal.zip(number).map(|(goal, number)| number <= goal);
        if let Some(meets) = meets {
            let next = if meets { PointState::Closed } else { PointState::Open };
            if next != state {
                if state == PointState::Unread && next == PointState::Open {
                    state = next;
                } else {
                    if time > from {
                        spans.push(span(from, time, state, line));
                    }
                    (from, state) = (time, next);
                }
                if meets {
                    met_at = Some(time);
                } else if met_at.take().is_some() {
                    reopened_at.push(time);
                }
            }
        }
        readings.push(ReadingEvidence {
            correction: None,
            time,
            kind,
            scale: wanted.scale.to_owned(),
            unit: wanted.unit.to_owned(),
            meter: Some("MM-1".to_owned()),
            accuracy: Some(0.5),
            decides: meets.is_some(),
            why_not: meets.is_none().then(|| if number.is_none() { "no reading" } else { "no goal" }.to_owned()),
            distance_to_goal: value.zip(wanted.goal).map(|(value, goal)| value - goal),
            meets,
            drive: number.map(|number| drive(wanted.basis, number, *day as f64)),
            by: Some("A. Tester (invented)".to_owned()),
            note: None,
            row: row("readings.csv", line),
        });
    }
    spans.push(span(from, clock(), state, line_base));
    let values: Vec<(DateTime<Utc>, f64)> = readings
        .iter()
        .filter_map(|r| if let ReadingKind::Measured { value } = r.kind { Some((r.time, value)) } else { None })
        .collect();
    let highest = values.iter().map(|v| v.1).reduce(f64::max);
    let last = values.last().copied();
    let verdict = match (wanted.goal, state) {
        (Some(_), PointState::Closed) => GoalVerdict::Met,
        (Some(_), PointState::Open) => GoalVerdict::NotMet,
        _ => GoalVerdict::NotShown,
    };
    let why = match (verdict, wanted.goal, last) {
        (GoalVerdict::NotShown, ..) => "no goal and no dry standard".to_owned(),
        (_, Some(goal), Some((_, last))) => {
            format!("last reading {last} {} against {goal} {}", wanted.unit, wanted.unit)
        }
        _ => "no reading is a number".to_owned(),
    };
    let rates = values
        .windows(2)
        .filter(|pair| pair[0].0 != pair[1].0)
        .enumerate()
        .map(|(index, pair)| DailyRate {
            date: date(index as i64 + 1),
            per_day: pair[1].1 - pair[0].1,
            low: (index > 1).then_some(pair[1].1 - pair[0].1 - 0.6),
            high: (index > 1).then_some(pair[1].1 - pair[0].1 + 0.6),
            readings: index as u32 + 2,
        })
        .collect();
    PointEvidence {
        dry_standard: wanted.dry.map(|value| DryStandardEvidence {
            value,
            basis: if wanted.scale == "wood_mc" && wanted.material == "softwood" {
                DryStandardBasis::ReferencePoints {
                    points: vec!["R1".to_owned()],
                    meter: Some("MM-1".to_owned()),
                    at: at(0, 10, 42),
                    min: 11.2,
                    max: 11.8,
                    rows: vec![row("readings.csv", 40), row("readings.csv", 41)],
                }
            } else {
                DryStandardBasis::Stated { row: row("job.toml", 52) }
            },
        }),
        goal: wanted.goal.map(|value| GoalEvidence {
            value,
            basis: if wanted.scale == "concrete_rh" {
                GoalBasis::Point
            } else if wanted.scale == "gypsum" {
                GoalBasis::Material
            } else {
                GoalBasis::CommonPractice
            },
            text: format!("at most {value} {}", wanted.unit),
        }),
        id: wanted.id,
        chambers: wanted.chamber.iter().map(|id| lies_in(id)).collect(),
        chamber: wanted.chamber,
        location: Some(wanted.location),
        depth: wanted.depth,
        material: Some(wanted.material),
        reference: false,
        scale: wanted.scale.to_owned(),
        unit: wanted.unit.to_owned(),
        verdict,
        why,
        met_at,
        distance_to_goal: wanted.goal.zip(last).map(|(goal, last)| last.1 - goal),
        highest,
        highest_is_bound: false,
        met_row: met_at.map(|_| row("readings.csv", 68)),
        last: last.map(|l| l.1),
        last_at: last.map(|l| l.0),
        spans,
        readings,
        reopened_at,
        rates,
        logged: false,
        forecast: None,
        ended: None,
    }
}

fn lies_in(chamber: &str) -> ChamberSpan {
    ChamberSpan { chamber: chamber.to_owned(), from: None, to: None }
}

fn drive(basis: DriveBasis, reading: f64, day: f64) -> Drive {
    let basis = if basis == DriveBasis::WoodSorption && reading > 30.0 { DriveBasis::FreeWater } else { basis };
    let basis = if basis == DriveBasis::FreeWater && reading < 28.0 { DriveBasis::WoodSorption } else { basis };
    let surface_temp_c = 20.0 + day * 0.8;
    let activity = match basis {
        DriveBasis::FreeWater | DriveBasis::UpperBound => 1.0,
        DriveBasis::WoodSorption => (1.0 - (-reading / 11.0).exp()).min(0.98),
    };
    let surface_pa = activity * 611.2 * (17.62 * surface_temp_c / (243.12 + surface_temp_c)).exp();
    let air_pa = 950.0 + 1050.0 * (-day / 2.2).exp();
    Drive {
        drive_pa: surface_pa - air_pa,
        surface_pa,
        air_pa,
        surface_temp_c,
        surface_temp_measured: day > 4.0,
        basis,
        air: "affected".to_owned(),
    }
}

fn chamber_a() -> ChamberEvidence {
    ChamberEvidence {
        id: "A".to_owned(),
        name: "Chamber A".to_owned(),
        verdict: GoalVerdict::Met,
        met_at: Some(at(6, 9, 16)),
        why: "all 4 points met, the last A3 on 12 Oct 09:16; 1 point ended".to_owned(),
        open_points: vec![],
        not_shown_points: vec![],
        ended_points: vec!["A5".to_owned()],
        moved_points: vec![],
        judged_elsewhere_since: None,
        point_count: 4,
        met_count: 4,
        air_goals: vec![AirGoalEvidence {
            text: "GPP at most 55 for 24 h".to_owned(),
            quantity: AirGoalOf::Gpp,
            side: GoalSide::AtMost,
            limit: 55.0,
            hold_h: 24.0,
            verdict: GoalVerdict::Met,
            met_at: Some(at(4, 1, 20)),
            why: "at most 55 GPP since 10 Oct 01:20".to_owned(),
            spans: vec![
                PointSpan {
                    from: at(0, 10, 0),
                    to: at(4, 1, 20),
                    state: PointState::Open,
                    row: Some(row("exports/l1.csv", 3)),
                },
                PointSpan {
                    from: at(4, 1, 20),
                    to: clock(),
                    state: PointState::Closed,
                    row: Some(row("exports/l1.csv", 524)),
                },
            ],
        }],
        floor_area_m2: Some(28.0),
        volume_m3: Some(68.0),
        progress: [0.0, 0.27, 0.52, 0.72, 0.88, 0.97, 1.0]
            .iter()
            .enumerate()
            .map(|(d, &p)| (date(d as i64), p))
            .collect(),
    }
}

fn chamber_b() -> ChamberEvidence {
    ChamberEvidence {
        id: "B".to_owned(),
        name: "Chamber B".to_owned(),
        verdict: GoalVerdict::NotMet,
        met_at: None,
        why: "B1 reads 20.9 %MC against 15 %MC (13 Oct 09:31); B4 reads 87.6 %RH against 80 %RH; B3 has no goal"
            .to_owned(),
        open_points: vec!["B1".to_owned(), "B4".to_owned()],
        not_shown_points: vec!["B3".to_owned()],
        ended_points: vec![],
        moved_points: vec![],
        judged_elsewhere_since: None,
        point_count: 4,
        met_count: 1,
        air_goals: vec![],
        floor_area_m2: Some(19.0),
        volume_m3: None,
        progress: [0.0, 0.09, 0.18, 0.31, 0.43, 0.52, 0.61, 0.68]
            .iter()
            .enumerate()
            .map(|(d, &p)| (date(d as i64), p))
            .collect(),
    }
}
