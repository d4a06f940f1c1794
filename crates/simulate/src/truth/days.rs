//! Equipment-days and their verdicts.
//!
//! How the rules are read here:
//! - stays of one unit that follow within 1 h are one stay and its period goes on;
//! - a period runs 24 h from placing (or over a civil day); one begun counts; at its very end none begins;
//! - what is judged is each point the unit serves, in the part of the period in which the unit serves it and the point is
//!   not ended: it *shows load* when it is open there and read within 36 h of the period's nearer edge; it is *closed*
//!   when closed from the period's beginning on; else the record cannot tell;
//! - any load: needed; else anything that cannot tell, or a chamber without points: not shown; else not needed;
//! - a chamber's load counts from `drying_from` on, unless a reason is recorded for equipment before it; a period before
//!   it cannot tell;
//! - a period not needed by itself takes the verdict before it when the unit leaves within the pull window, counted from
//!   the reading that met the last goal it served.

use chrono::{DateTime, TimeDelta, Utc};
use serde::Serialize;

use super::rules::{Counted, Course, REACH, State};
use super::{TrueSpan, rounded};
use crate::clock::{day, day_start, next_day};
use crate::scenario::{AirSource, DayRule, Machine, Point, Role, Scenario, Stay, Zone};
use crate::simulation::Simulation;

/// Stays that follow within this are one stay.
const SAME_STAY: TimeDelta = TimeDelta::hours(1);

/// Verdict on an equipment-day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// There was load.
    Needed,
    /// There was none.
    NotNeeded,
    /// The record cannot tell.
    NotShown,
    /// Not there for drying.
    NotJudged,
}

/// One equipment-day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Period {
    /// Number on the unit, from 1.
    pub number: usize,
    /// Start.
    pub from: DateTime<Utc>,
    /// End: of the period, or removal, or the clock.
    pub to: DateTime<Utc>,
    /// Hours on site.
    pub hours: f64,
    /// The verdict due.
    pub verdict: Verdict,
    /// Whether it is the verdict before it, by the pull window.
    pub by_pull_window: bool,
    /// Points that show load, sorted.
    pub load: Vec<String>,
    /// Hours it truly ran (to 1e-2).
    pub ran_h: f64,
    /// Hours on site in which it did not run and no recorded pause says why (to 1e-2).
    pub did_not_run_h: f64,
    /// Water truly removed, kg (to 1e-4); `None` for machines that remove none.
    pub removed_kg: Option<f64>,
    /// True mean grain depression while it ran, gr/lb (to 1e-3).
    pub mean_depression_gpp: Option<f64>,
}

/// A point as the verdicts see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged<'a> {
    /// The point.
    pub point: &'a Point,
    /// Its course.
    pub course: Course,
    /// Its readings that count.
    pub readings: Vec<Counted>,
}

/// Whether a stay's unit is there for drying.
#[must_use]
pub fn dries(stay: &Stay) -> bool {
    stay.purpose.as_deref().map_or_else(|| stay.kind.dries_by_default(), |purpose| purpose == "drying")
}

/// The equipment-days of a unit.
#[must_use]
pub fn periods(simulation: &Simulation, unit: &str, points: &[Judged<'_>]) -> Vec<Period> {
    let scenario = simulation.scenario();
    let mut stays: Vec<&Stay> = scenario.stays.iter().filter(|stay| stay.unit == unit).collect();
    stays.sort_by_key(|stay| stay.placed);
    let mut periods = Vec::new();
    for group in stays.chunk_by(|a, b| b.placed - end(scenario, a) <= SAME_STAY) {
        let (Some(first), Some(last)) = (group.first(), group.last()) else { continue };
        let mut before: Option<Verdict> = None;
        for (from, to) in spans(scenario, first.placed, end(scenario, last)) {
            let shown: Vec<Shows> = group.iter().flat_map(|stay| shown(scenario, stay, points, from, to)).collect();
            let own = if dries(first) { verdict(&shown) } else { Verdict::NotJudged };
            let closed = shown.iter().filter_map(Shows::closed).max();
            let leaves = last.removed.zip(closed).is_some_and(|(removed, closed)| {
                removed == to && removed - closed <= TimeDelta::minutes(scenario.job.pull_window_min)
            });
            let by_pull_window = own == Verdict::NotNeeded && leaves && before.is_some();
            let verdict = if by_pull_window { before.unwrap_or(own) } else { own };
            before = Some(verdict);
            let mut load: Vec<String> = shown.into_iter().filter_map(Shows::load).collect();
            if own == Verdict::NotJudged {
                load.clear();
            }
            load.sort();
            load.dedup();
            periods.push(period(simulation, unit, periods.len() + 1, (from, to), (verdict, by_pull_window), load));
        }
    }
    periods
}

fn end(scenario: &Scenario, stay: &Stay) -> DateTime<Utc> {
    stay.removed.unwrap_or(scenario.to)
}

/// The periods of a stay, the last one cut at its end.
fn spans(scenario: &Scenario, placed: DateTime<Utc>, removed: DateTime<Utc>) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
    let mut spans = Vec::new();
    let mut from = placed;
    while from < removed {
        let next = match scenario.job.day_rule {
            DayRule::Hours24 => from + TimeDelta::hours(24),
            DayRule::Calendar => day_start(scenario.job.zone, next_day(day(scenario.job.zone, from))),
        };
        spans.push((from, next.min(removed)));
        from = next;
    }
    spans
}

/// What a point, or a chamber without points, shows of the load in a period.
enum Shows {
    Load(String),
    /// Closed throughout, since then.
    Closed(DateTime<Utc>),
    CannotTell,
}

impl Shows {
    fn load(self) -> Option<String> {
        match self {
            Self::Load(point) => Some(point),
            Self::Closed(_) | Self::CannotTell => None,
        }
    }

    fn closed(&self) -> Option<DateTime<Utc>> {
        match self {
            Self::Closed(since) => Some(*since),
            Self::Load(_) | Self::CannotTell => None,
        }
    }
}

fn verdict(shown: &[Shows]) -> Verdict {
    if shown.iter().any(|shows| matches!(shows, Shows::Load(_))) {
        Verdict::Needed
    } else if shown.is_empty() || shown.iter().any(|shows| matches!(shows, Shows::CannotTell)) {
        Verdict::NotShown
    } else {
        Verdict::NotNeeded
    }
}

/// What everything that a stay serves shows in a period.
fn shown(
    scenario: &Scenario,
    stay: &Stay,
    points: &[Judged<'_>],
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Vec<Shows> {
    let served = (from.max(stay.placed), to.min(end(scenario, stay)));
    if served.0 >= served.1 {
        return Vec::new();
    }
    let mut shown = Vec::new();
    for chamber in &stay.chambers {
        let serves = |point: &&Judged<'_>| {
            point.point.role == Role::Drying
                && point.point.zone == Zone::Chamber(chamber.clone())
                && (stay.points.is_empty() || stay.points.contains(&point.point.id))
                && point.point.ended.as_ref().is_none_or(|ended| ended.at > served.0)
        };
        let of_chamber: Vec<&Judged<'_>> = points.iter().filter(serves).collect();
        if of_chamber.is_empty() && stay.points.is_empty() {
            shown.push(Shows::CannotTell);
        }
        let sheet = scenario.chamber(chamber).map(|chamber| &chamber.sheet);
        let drying_from =
            sheet.filter(|sheet| sheet.before_drying_reason.is_none()).and_then(|sheet| sheet.drying_from);
        shown.extend(of_chamber.iter().map(|point| shows(point, (from, to), served, drying_from)));
    }
    shown
}

fn shows(
    judged: &Judged<'_>,
    period: (DateTime<Utc>, DateTime<Utc>),
    served: (DateTime<Utc>, DateTime<Utc>),
    drying_from: Option<DateTime<Utc>>,
) -> Shows {
    let near = |reading: &Counted| reading.time >= period.0 - REACH && reading.time <= period.1 + REACH;
    if !judged.readings.iter().any(near) {
        return Shows::CannotTell;
    }
    let ended = judged.point.ended.as_ref().map_or(served.1, |ended| ended.at.min(served.1));
    let counts_from = drying_from.map_or(served.0, |drying| drying.max(served.0));
    if counts_from < ended && judged.course.has(State::Open, counts_from, ended) {
        return Shows::Load(judged.point.id.clone());
    }
    let before_drying = counts_from > served.0;
    if before_drying || judged.course.has(State::Unknown, served.0, ended) {
        return Shows::CannotTell;
    }
    judged.course.since(State::Closed, ended).map_or(Shows::CannotTell, Shows::Closed)
}

/// A period with what the unit truly did in it.
fn period(
    simulation: &Simulation,
    unit: &str,
    number: usize,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
    (verdict, by_pull_window): (Verdict, bool),
    load: Vec<String>,
) -> Period {
    let scenario = simulation.scenario();
    let mut ran = 0_u32;
    let mut unexplained = 0_u32;
    let mut depression = 0.0;
    let (inlet, outlet) = (AirSource::Inlet(unit.to_owned()), AirSource::Outlet(unit.to_owned()));
    let mut minute = from;
    while minute < to {
        if simulation.running(unit, minute) {
            ran += 1;
            depression += simulation.air(&inlet, minute).gpp() - simulation.air(&outlet, minute).gpp();
        } else if on_site(scenario, unit, minute) && !paused(scenario, unit, minute) {
            unexplained += 1;
        }
        minute += TimeDelta::minutes(1);
    }
    let removes = removes_water(scenario, unit);
    Period {
        number,
        from,
        to,
        hours: rounded((to - from).as_seconds_f64() / 3600.0, 2),
        verdict,
        by_pull_window,
        load,
        ran_h: rounded(f64::from(ran) / 60.0, 2),
        did_not_run_h: rounded(f64::from(unexplained) / 60.0, 2),
        removed_kg: removes.then(|| rounded(simulation.removed_kg(unit, from, to), 4)),
        mean_depression_gpp: (removes && ran > 0).then(|| rounded(depression / f64::from(ran), 3)),
    }
}

/// Whether a unit takes water out of the air.
pub(super) fn removes_water(scenario: &Scenario, unit: &str) -> bool {
    scenario.stays.iter().any(|stay| stay.unit == unit && matches!(stay.machine, Machine::Dehumidifier(_)))
}

fn on_site(scenario: &Scenario, unit: &str, time: DateTime<Utc>) -> bool {
    scenario.stays.iter().any(|stay| stay.unit == unit && stay.placed <= time && time < end(scenario, stay))
}

/// Whether the job records a pause of a unit at an instant.
pub(super) fn paused(scenario: &Scenario, unit: &str, time: DateTime<Utc>) -> bool {
    scenario.pauses.iter().any(|pause| {
        (pause.units.is_empty() || pause.units.iter().any(|known| known == unit))
            && (pause.from..pause.to).contains(&time)
    })
}

/// Spans on site in which a unit truly stood still, split where a recorded pause begins or ends.
pub(super) fn stopped(simulation: &Simulation, unit: &str) -> Vec<(TrueSpan, bool)> {
    let scenario = simulation.scenario();
    let mut spans: Vec<(TrueSpan, bool)> = Vec::new();
    let mut time = scenario.from;
    while time < scenario.to {
        let next = time + TimeDelta::minutes(1);
        if on_site(scenario, unit, time) && !simulation.running(unit, time) {
            let recorded = paused(scenario, unit, time);
            match spans.last_mut() {
                Some((span, same)) if span.to == time && *same == recorded => span.to = next,
                _ => spans.push((TrueSpan { from: time, to: next }, recorded)),
            }
        }
        time = next;
    }
    spans
}
