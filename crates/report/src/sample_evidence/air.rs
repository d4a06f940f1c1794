//! Invented air: states that decay towards dry air, with a stopped unit, a pause and two gaps.

use chrono::{DateTime, Duration, Utc};
use grainfall_analysis::evidence::{
    AgainstLoad, AirTrack, CondensateFacts, DailyAir, DailyDifference, DailyUnitAir, Day, DepressionTrack,
    DifferenceKind, HandAir, LoggerFacts, RunSpan, RunState, Spread, TrackPlace, UnitAir,
};

use super::{at, clock, hours_between, row};

/// Air pressure at the invented job's 120 ft.
pub(super) const PRESSURE_PA: f64 = 100_886.0;
/// Its invented expanded uncertainty.
pub(super) const U_PRESSURE_PA: f64 = 2_500.0;
const INTERVAL_S: u32 = 600;

pub(super) struct Air {
    pub(super) loggers: Vec<LoggerFacts>,
    pub(super) tracks: Vec<AirTrack>,
    pub(super) daily: Vec<DailyAir>,
    pub(super) differences: Vec<DailyDifference>,
    pub(super) by_hand: Vec<HandAir>,
    pub(super) units: Vec<UnitAir>,
    pub(super) depressions: Vec<DepressionTrack>,
}

pub(super) fn air(days: &[Day]) -> Air {
    let tracks: Vec<AirTrack> = PLACED.iter().enumerate().map(|(index, placed)| track(index, placed)).collect();
    let loggers = tracks.iter().zip(PLACED).map(|(track, placed)| facts(track, placed)).collect();
    let daily = days.iter().flat_map(|day| tracks.iter().filter_map(|track| daily(day, track))).collect();
    let differences = days
        .iter()
        .flat_map(|day| {
            [("A", 0), ("B", 1)].into_iter().flat_map(|(chamber, affected)| {
                [(DifferenceKind::AffectedMinusUnaffected, 2), (DifferenceKind::AffectedMinusOutdoor, 3)]
                    .into_iter()
                    .filter_map(|(kind, other)| difference(day, chamber, kind, &tracks[affected], &tracks[other]))
                    .collect::<Vec<_>>()
            })
        })
        .collect();
    let depressions = vec![
        depression("D1", &tracks[0], &tracks[4], &d1_runs()),
        depression("D2", &tracks[6], &tracks[5], &d2_runs()),
    ];
    let units = vec![
        unit_air(&depressions[0], days, vec![tracks[0].label.clone()], false, &tracks[4].label, d1_runs(), 0.12),
        unit_air(&depressions[1], days, vec![tracks[6].label.clone()], true, &tracks[5].label, d2_runs(), 0.10),
        UnitAir {
            unit: "D3".to_owned(),
            inlet: vec![tracks[0].label.clone()],
            own_inlet: false,
            outlet: None,
            why_not: Some("no logger at its outlet".to_owned()),
            runs: vec![RunSpan { from: at(0, 10, 30), to: at(5, 14, 0), state: RunState::NotShown, rows: vec![] }],
            daily: vec![],
            water_kg: None,
            u_water_kg: None,
            condensate_kg: None,
            condensate: vec![],
        },
    ];
    Air { loggers, tracks, daily, differences, by_hand: by_hand(), units, depressions }
}

/// What one invented logger stands in.
struct Placed {
    logger: &'static str,
    label: &'static str,
    place: TrackPlace,
    chamber: Option<&'static str>,
    unit: Option<&'static str>,
    /// Air temperature and grains per pound at hours since Monday 00:00.
    state: fn(f64) -> (f64, f64),
    from_h: f64,
    to_h: f64,
    gap_h: Option<(f64, f64)>,
}

const PLACED: &[Placed] = &[
    Placed {
        logger: "L1",
        label: "affected, Chamber A",
        place: TrackPlace::Affected,
        chamber: Some("A"),
        unit: None,
        state: affected_a,
        from_h: 10.0,
        to_h: 184.0,
        gap_h: Some((116.0, 122.0)),
    },
    Placed {
        logger: "L2",
        label: "affected, Chamber B",
        place: TrackPlace::Affected,
        chamber: Some("B"),
        unit: None,
        state: affected_b,
        from_h: 10.0,
        to_h: 184.0,
        gap_h: None,
    },
    Placed {
        logger: "L3",
        label: "unaffected",
        place: TrackPlace::Unaffected,
        chamber: None,
        unit: None,
        state: unaffected,
        from_h: 10.0,
        to_h: 184.0,
        gap_h: None,
    },
    Placed {
        logger: "L4",
        label: "outdoor",
        place: TrackPlace::Outdoor,
        chamber: None,
        unit: None,
        state: outdoor,
        from_h: 10.0,
        to_h: 184.0,
        gap_h: None,
    },
    Placed {
        logger: "L5",
        label: "D1 outlet",
        place: TrackPlace::Outlet,
        chamber: Some("A"),
        unit: Some("D1"),
        state: d1_outlet,
        from_h: 10.5,
        to_h: 134.0,
        gap_h: None,
    },
    Placed {
        logger: "L6",
        label: "D2 outlet",
        place: TrackPlace::Outlet,
        chamber: Some("B"),
        unit: Some("D2"),
        state: d2_outlet,
        from_h: 10.5,
        to_h: 184.0,
        gap_h: None,
    },
    Placed {
        logger: "L7",
        label: "D2 inlet",
        place: TrackPlace::Inlet,
        chamber: Some("B"),
        unit: Some("D2"),
        state: d2_inlet,
        from_h: 10.5,
        to_h: 184.0,
        gap_h: None,
    },
    Placed {
        logger: "L8",
        label: "surface, Chamber A",
        place: TrackPlace::Surface,
        chamber: Some("A"),
        unit: None,
        state: affected_a,
        from_h: 10.0,
        to_h: 184.0,
        gap_h: None,
    },
    Placed {
        logger: "L9",
        label: "unplaced L9",
        place: TrackPlace::Unplaced,
        chamber: None,
        unit: None,
        state: unplaced,
        from_h: 33.0,
        to_h: 150.0,
        gap_h: None,
    },
];

fn daily_wave(hour: f64, swing: f64, peak: f64) -> f64 {
    swing * ((hour - peak) / 24.0 * std::f64::consts::TAU).cos()
}

fn affected_a(h: f64) -> (f64, f64) {
    let t = h - 10.0;
    let stopped = if (50.2..60.0).contains(&h) {
        9.0 * ((h - 50.2) / 5.5).min(1.0) * (1.0 - ((h - 55.7) / 4.3).clamp(0.0, 1.0))
    } else {
        0.0
    };
    (
        23.0 + 5.0 * (1.0 - (-t / 14.0).exp()) + daily_wave(h, 0.6, 16.0),
        40.0 + 52.0 * (-t / 42.0).exp() + stopped + daily_wave(h, 0.8, 15.0),
    )
}

fn affected_b(h: f64) -> (f64, f64) {
    let t = h - 10.0;
    let opened = if (97.0..101.0).contains(&h) { 8.0 * (-(h - 97.0) / 1.2).exp() } else { 0.0 };
    (
        22.5 + 5.5 * (1.0 - (-t / 18.0).exp()) + daily_wave(h, 0.7, 16.0),
        46.0 + 58.0 * (-t / 70.0).exp() + opened + daily_wave(h, 1.0, 15.0),
    )
}

fn unaffected(h: f64) -> (f64, f64) {
    (21.2 + daily_wave(h, 0.5, 17.0), 45.0 + daily_wave(h, 1.6, 16.0) + 1.5 * (h / 40.0).sin())
}

fn outdoor(h: f64) -> (f64, f64) {
    (12.5 + daily_wave(h, 5.0, 15.0) + 2.0 * (h / 55.0).sin(), 42.0 + daily_wave(h, 3.0, 13.0) + 9.0 * (h / 48.0).sin())
}

fn d1_outlet(h: f64) -> (f64, f64) {
    let (temp, gpp) = affected_a(h);
    if (50.17..55.67).contains(&h) {
        (temp + 0.1, gpp - 0.3)
    } else {
        (temp + 11.0, gpp - (9.0 + 14.0 * (-(h - 10.0) / 45.0).exp()))
    }
}

fn d2_inlet(h: f64) -> (f64, f64) {
    let (temp, gpp) = affected_b(h);
    (temp + 0.2, gpp + 0.4)
}

fn d2_outlet(h: f64) -> (f64, f64) {
    let (temp, gpp) = d2_inlet(h);
    if (85.0..86.5).contains(&h) {
        (temp + 0.1, gpp - 0.2)
    } else {
        (temp + 10.0, gpp - (8.0 + 17.0 * (-(h - 10.0) / 60.0).exp()))
    }
}

fn unplaced(h: f64) -> (f64, f64) {
    (20.5 + daily_wave(h, 0.9, 18.0), 50.0 + daily_wave(h, 2.0, 12.0))
}

/// Repeatable jitter between -1 and 1.
fn jitter(seed: u64) -> f64 {
    let mixed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).rotate_left(29).wrapping_mul(0xBF58_476D_1CE4_E5B9) >> 40;
    (mixed as f64) / f64::from(1_u32 << 23) - 1.0
}

/// Vapour pressure over water by Magnus' formula (from memory); good enough for numbers that nobody measured.
fn saturation_pa(temp_c: f64) -> f64 {
    611.2 * (17.62 * temp_c / (243.12 + temp_c)).exp()
}

pub(super) struct State {
    pub(super) air_temp_c: f64,
    pub(super) rh_pct: f64,
    pub(super) gpp: f64,
    pub(super) dew_point_c: f64,
    pub(super) vapour_pressure_pa: f64,
    pub(super) wet_bulb_c: f64,
    pub(super) enthalpy_kj_kg: f64,
    pub(super) u_gpp: f64,
}

pub(super) fn state(air_temp_c: f64, wanted_gpp: f64) -> State {
    let saturated = saturation_pa(air_temp_c);
    let ratio = wanted_gpp.max(4.0) / 7000.0;
    let vapour = (ratio * PRESSURE_PA / (0.621_945 + ratio)).min(saturated);
    let ratio = 0.621_945 * vapour / (PRESSURE_PA - vapour);
    let log = (vapour / 611.2).ln();
    let (mut low, mut high) = (-40.0, air_temp_c);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if saturation_pa(middle) - 0.000_662 * PRESSURE_PA * (air_temp_c - middle) < vapour {
            low = middle
        } else {
            high = middle
        }
    }
    let u_vapour = saturated
        * ((0.02 / 3.0_f64.sqrt()).powi(2) + (vapour / saturated * 0.06 * 0.28 / 3.0_f64.sqrt()).powi(2)).sqrt();
    State {
        air_temp_c,
        rh_pct: 100.0 * vapour / saturated,
        gpp: 7000.0 * ratio,
        dew_point_c: 243.12 * log / (17.62 - log),
        vapour_pressure_pa: vapour,
        wet_bulb_c: (low + high) / 2.0,
        enthalpy_kj_kg: 1.006 * air_temp_c + ratio * (2501.0 + 1.86 * air_temp_c),
        u_gpp: 2.0 * 7000.0 * 0.621_945 * PRESSURE_PA / (PRESSURE_PA - vapour).powi(2) * u_vapour,
    }
}

fn track(index: usize, placed: &Placed) -> AirTrack {
    let mut track = AirTrack {
        logger: index,
        label: placed.label.to_owned(),
        place: placed.place,
        chamber: placed.chamber.map(str::to_owned),
        unit: placed.unit.map(str::to_owned),
        interval_s: Some(INTERVAL_S),
        time: vec![],
        air_temp_c: vec![],
        rh_pct: vec![],
        gpp: vec![],
        dew_point_c: vec![],
        vapour_pressure_pa: vec![],
        wet_bulb_c: vec![],
        enthalpy_kj_kg: vec![],
        surface_temp_c: vec![],
        u_gpp: vec![],
        u_gpp_from_pressure: vec![],
        rows: vec![],
    };
    let file = format!("exports/{}.csv", placed.logger.to_lowercase());
    let count = ((placed.to_h - placed.from_h) * 6.0) as u64;
    for step in 0..=count {
        let hour = placed.from_h + step as f64 / 6.0;
        if placed.gap_h.is_some_and(|(from, to)| (from..to).contains(&hour)) {
            continue;
        }
        let seed = step * 16 + index as u64;
        let (temp, gpp) = (placed.state)(hour);
        let state = state(temp + 0.08 * jitter(seed), gpp + 0.5 * jitter(seed + 7_000_003));
        let surface = placed.place == TrackPlace::Surface;
        let air = |value: f64| (!surface).then_some(value);
        track.time.push(at(0, 0, 0) + Duration::seconds((hour * 3600.0).round() as i64));
        track.air_temp_c.push(air(state.air_temp_c));
        track.rh_pct.push(air(state.rh_pct));
        track.gpp.push(air(state.gpp));
        track.dew_point_c.push(air(state.dew_point_c));
        track.vapour_pressure_pa.push(air(state.vapour_pressure_pa));
        track.wet_bulb_c.push(air(state.wet_bulb_c));
        track.enthalpy_kj_kg.push(air(state.enthalpy_kj_kg));
        track.surface_temp_c.push(surface.then(|| {
            state.wet_bulb_c + (state.air_temp_c - state.wet_bulb_c) * ((hour - 10.0) / 150.0).clamp(0.2, 0.9)
        }));
        track.u_gpp.push(air(state.u_gpp));
        track.u_gpp_from_pressure.push(air(state.gpp * U_PRESSURE_PA / PRESSURE_PA));
        track.rows.push(row(&file, step + 3));
    }
    track
}

fn facts(track: &AirTrack, placed: &Placed) -> LoggerFacts {
    LoggerFacts {
        logger: placed.logger.to_owned(),
        label: placed.label.to_owned(),
        place: placed.place,
        chamber: track.chamber.clone(),
        unit: track.unit.clone(),
        first: track.time.first().copied(),
        last: track.time.last().copied(),
        interval_s: Some(INTERVAL_S),
        samples: track.gpp.iter().flatten().count() as u64,
        gaps: u64::from(placed.gap_h.is_some()),
        temp_limit_k: 0.278,
        rh_limit_pct: 2.0,
        bias: None,
        accuracy_assumed: true,
        files: vec![format!("exports/{}.csv", placed.logger.to_lowercase())],
        clock: "wall time of America/New_York".to_owned(),
        rh_above_100: 0,
        rh_refused: 0,
    }
}

fn spread(values: impl Iterator<Item = f64>) -> Option<Spread> {
    let values: Vec<f64> = values.collect();
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let min = values.iter().copied().reduce(f64::min)?;
    let max = values.iter().copied().reduce(f64::max)?;
    Some(Spread { mean, min, max })
}

fn daily(day: &Day, track: &AirTrack) -> Option<DailyAir> {
    let inside: Vec<usize> = (0..track.time.len()).filter(|&i| (day.from..day.to).contains(&track.time[i])).collect();
    let (first, last) = (*inside.first()?, *inside.last()?);
    let of = |column: &[Option<f64>]| spread(inside.iter().filter_map(|&i| column[i]));
    let samples = inside.iter().filter(|&&i| track.gpp[i].is_some()).count() as u64;
    Some(DailyAir {
        date: day.date,
        logger: track.logger,
        label: track.label.clone(),
        place: track.place,
        chamber: track.chamber.clone(),
        unit: track.unit.clone(),
        sample_share: (samples as f64 / (hours_between(day.from, day.to.min(clock())) * 6.0)).min(1.0),
        samples,
        air_temp_c: of(&track.air_temp_c),
        rh_pct: of(&track.rh_pct),
        gpp: of(&track.gpp),
        u_gpp: of(&track.u_gpp).map(|u| u.mean),
        dew_point_c: of(&track.dew_point_c),
        vapour_pressure_pa: of(&track.vapour_pressure_pa),
        enthalpy_kj_kg: of(&track.enthalpy_kj_kg),
        u_enthalpy_kj_kg: of(&track.u_gpp).map(|u| 2.55 / 7.0 * u.mean),
        rows: Some((track.rows[first].clone(), track.rows[last].clone())),
    })
}

fn difference(
    day: &Day,
    chamber: &str,
    kind: DifferenceKind,
    of: &AirTrack,
    from: &AirTrack,
) -> Option<DailyDifference> {
    let (of, from) = (daily(day, of)?, daily(day, from)?);
    let mean_gpp = of.gpp?.mean - from.gpp?.mean;
    let u_gpp = (of.u_gpp?.powi(2) + from.u_gpp?.powi(2)).sqrt();
    Some(DailyDifference {
        date: day.date,
        chamber: chamber.to_owned(),
        kind,
        mean_gpp,
        u_gpp,
        within_uncertainty: mean_gpp.abs() <= u_gpp,
        sample_share: of.sample_share.min(from.sample_share),
    })
}

fn by_hand() -> Vec<HandAir> {
    (0..8)
        .flat_map(|day| {
            [("A", 10, affected_a as fn(f64) -> (f64, f64)), ("B", 20, affected_b)].into_iter().enumerate().map(
                move |(index, (chamber, minute, of))| {
                    let (temp, gpp) = of(day as f64 * 24.0 + if day == 0 { 10.2 } else { 9.2 });
                    let state = state(temp, gpp + 1.0);
                    HandAir {
                        time: at(day, if day == 0 { 10 } else { 9 }, minute),
                        place: TrackPlace::Affected,
                        chamber: Some(chamber.to_owned()),
                        unit: None,
                        air_temp_c: state.air_temp_c,
                        rh_pct: state.rh_pct,
                        gpp: state.gpp,
                        dew_point_c: state.dew_point_c,
                        instrument: Some("TH-2".to_owned()),
                        by: Some("A. Tester (invented)".to_owned()),
                        row: row("air.csv", day.unsigned_abs() * 2 + index as u64 + 2),
                    }
                },
            )
        })
        .collect()
}

fn spans(edges: &[(DateTime<Utc>, RunState)], end: DateTime<Utc>, file: &str) -> Vec<RunSpan> {
    edges
        .iter()
        .enumerate()
        .map(|(i, &(from, state))| {
            let to = edges.get(i + 1).map_or(end, |edge| edge.0);
            let line = |time: DateTime<Utc>| row(file, (hours_between(at(0, 10, 30), time) * 6.0) as u64 + 3);
            RunSpan { from, to, state, rows: vec![line(from), line(to)] }
        })
        .collect()
}

fn d1_runs() -> Vec<RunSpan> {
    spans(
        &[(at(0, 10, 30), RunState::Running), (at(2, 2, 10), RunState::Stopped), (at(2, 7, 40), RunState::Running)],
        at(5, 14, 0),
        "exports/l5.csv",
    )
}

fn d2_runs() -> Vec<RunSpan> {
    spans(
        &[(at(0, 10, 30), RunState::Running), (at(3, 13, 0), RunState::Paused), (at(3, 14, 30), RunState::Running)],
        clock(),
        "exports/l6.csv",
    )
}

pub(super) fn state_at(runs: &[RunSpan], time: DateTime<Utc>) -> RunState {
    runs.iter().find(|run| (run.from..run.to).contains(&time)).map_or(RunState::NotShown, |run| run.state)
}

fn depression(unit: &str, inlet: &AirTrack, outlet: &AirTrack, runs: &[RunSpan]) -> DepressionTrack {
    let mut track =
        DepressionTrack { unit: unit.to_owned(), time: vec![], depression_gpp: vec![], u_gpp: vec![], state: vec![] };
    for (index, &time) in outlet.time.iter().enumerate() {
        let nearest = inlet.time.partition_point(|&t| t < time - Duration::seconds(300));
        let inlet_at = (nearest < inlet.time.len() && (inlet.time[nearest] - time).abs() <= Duration::seconds(300))
            .then_some(nearest);
        let values = inlet_at
            .and_then(|i| Some((inlet.gpp[i]? - outlet.gpp[index]?, inlet.u_gpp[i]?.hypot(outlet.u_gpp[index]?))));
        track.time.push(time);
        track.depression_gpp.push(values.map(|v| v.0));
        track.u_gpp.push(values.map(|v| v.1));
        track.state.push(state_at(runs, time));
    }
    track
}

fn unit_air(
    track: &DepressionTrack,
    days: &[Day],
    inlet: Vec<String>,
    own_inlet: bool,
    outlet: &str,
    runs: Vec<RunSpan>,
    kg_per_h_per_10_gpp: f64,
) -> UnitAir {
    let daily: Vec<DailyUnitAir> = days
        .iter()
        .filter_map(|day| {
            let hours = |state: RunState| -> f64 {
                runs.iter()
                    .filter(|r| r.state == state)
                    .map(|r| hours_between(r.from.max(day.from), r.to.min(day.to)).max(0.0))
                    .sum()
            };
            let inside: Vec<usize> = (0..track.time.len())
                .filter(|&i| (day.from..day.to).contains(&track.time[i]) && track.state[i] == RunState::Running)
                .collect();
            let mean = spread(inside.iter().filter_map(|&i| track.depression_gpp[i])).map(|s| s.mean);
            let u = spread(inside.iter().filter_map(|&i| track.u_gpp[i])).map(|s| s.mean);
            let (running_h, stopped_h, paused_h) =
                (hours(RunState::Running), hours(RunState::Stopped), hours(RunState::Paused));
            let on_site_h = running_h + stopped_h + paused_h;
            (on_site_h > 0.0).then(|| DailyUnitAir {
                date: day.date,
                on_site_h,
                running_h,
                stopped_h,
                paused_h,
                depression_gpp: mean,
                u_depression_gpp: u,
                within_uncertainty: mean.zip(u).map(|(m, u)| m.abs() <= u),
                inlet_gpp: mean.map(|m| 45.0 + m),
                excess_left: Some((1.0 - f64::from(day.number) / 8.0).max(0.0)),
                against_load: if day.number == 1 { AgainstLoad::Steady } else { AgainstLoad::FallenWithLoad },
                water_kg: mean.map(|m| m / 10.0 * kg_per_h_per_10_gpp * 10.0 * running_h),
                u_water_kg: u.map(|u| u / 10.0 * kg_per_h_per_10_gpp * 10.0 * running_h),
                sample_share: if track.unit == "D1" && day.number == 5 { 0.83 } else { 1.0 },
            })
        })
        .collect();
    let total = |of: fn(&DailyUnitAir) -> Option<f64>| {
        let values: Vec<f64> = daily.iter().filter_map(of).collect();
        (!values.is_empty()).then(|| values.iter().sum())
    };
    UnitAir {
        unit: track.unit.clone(),
        inlet,
        own_inlet,
        outlet: Some(outlet.to_owned()),
        why_not: None,
        runs,
        water_kg: total(|d| d.water_kg),
        u_water_kg: total(|d| d.u_water_kg),
        condensate_kg: (track.unit == "D1").then_some(24.6),
        condensate: if track.unit == "D1" {
            vec![CondensateFacts {
                from: at(0, 10, 30),
                to: at(2, 9, 0),
                measured_kg: 24.6,
                water_kg: Some(26.1),
                u_water_kg: Some(4.4),
                row: row("job.toml", 131),
            }]
        } else {
            vec![]
        },
        daily,
    }
}
