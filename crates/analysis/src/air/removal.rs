//! What a unit did over any stretch of time: hours in each state, mean depression, water taken out of the air.
//!
//! Water removed is the stated airflow times the depression over the specific volume of the inlet air, added up over
//! the time the unit ran and inlet and outlet samples match; time without a match adds nothing, the sample share tells.
//! The uncertainty is that of the depression, taken as bias: it adds up over time as the water does. An error of the
//! pressure all but cancels: it moves the depression one way and the air per volume the other. The airflow is taken as
//! exact and as measured at the inlet.

use chrono::{DateTime, Utc};
use grainfall_job::{CondensateEntry, Job};
use grainfall_psychrometrics::removal::{carried_by_volume, removal_rate};
use grainfall_psychrometrics::{GrainsPerPound, WaterRate};

use super::daily::{day_span, share};
use super::depression::{UnitSample, UnitSamples};
use super::instant::{SECONDS_PER_HOUR, instant, micros, overlap, seconds};
use super::moist;
use super::pressure::AirPressure;
use super::running::{run_spans, state_at};
use crate::evidence::{AgainstLoad, CondensateFacts, DailyUnitAir, Day, DepressionTrack, RunSpan, RunState, UnitAir};

/// Seconds in 24 h.
const SECONDS_PER_DAY: f64 = 86_400.0;

/// One unit with what is needed to say what it did over any stretch of time.
#[derive(Debug, Clone)]
pub(crate) struct UnitRecord {
    /// The unit.
    pub(crate) unit: String,
    stays: Vec<(i64, i64)>,
    runs: Vec<RunSpan>,
    matched: Vec<MatchedTime>,
}

/// The time one depression stands for.
#[derive(Debug, Clone, Copy)]
struct MatchedTime {
    span: (i64, i64),
    depression_gpp: f64,
    u_depression_gpp: f64,
    inlet_gpp: f64,
    /// Water while running, kg per day, with its expanded uncertainty; `None` without airflow.
    rate: Option<(WaterRate, WaterRate)>,
}

/// What a unit did over a stretch of time.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct UnitTotals {
    /// Hours on site.
    pub(crate) on_site_h: f64,
    /// Hours it ran.
    pub(crate) running_h: f64,
    /// Hours it stood without a recorded pause.
    pub(crate) stopped_h: f64,
    /// Hours of recorded pause.
    pub(crate) paused_h: f64,
    /// Hours on site of which the record cannot tell.
    pub(crate) not_shown_h: f64,
    /// Mean depression while running, GPP, with its expanded uncertainty.
    pub(crate) depression: Option<(f64, f64)>,
    /// Mean GPP of the inlet air while running.
    pub(crate) inlet_gpp: Option<f64>,
    /// Water removed while running, kg, with its expanded uncertainty.
    pub(crate) water: Option<(f64, f64)>,
    /// Share of the time on site with matched inlet and outlet samples.
    pub(crate) sample_share: f64,
}

impl UnitTotals {
    /// Whether the mean depression is no larger than its uncertainty.
    pub(crate) fn within_uncertainty(&self) -> Option<bool> {
        self.depression.map(|(mean, u)| mean.abs() <= u)
    }
}

impl UnitRecord {
    /// What the unit did from one instant to another.
    pub(crate) fn over(&self, from: DateTime<Utc>, to: DateTime<Utc>) -> UnitTotals {
        let span = (micros(from), micros(to));
        let on_site: i64 = self.stays.iter().map(|stay| overlap(*stay, span)).sum();
        let mut by_state = [0_i64; 4];
        for run in self.runs_within(span) {
            by_state[run.state as usize] += overlap(bounds(run), span);
        }
        let hours = |state: RunState| seconds(by_state[state as usize]) / SECONDS_PER_HOUR;
        let (mut matched, mut weight) = (0_i64, 0.0);
        let (mut depression, mut u_depression, mut inlet) = (0.0, 0.0, 0.0);
        let mut water: Option<(f64, f64)> = None;
        for time in self.matched_within(span) {
            let part = (time.span.0.max(span.0), time.span.1.min(span.1));
            matched += self.stays.iter().map(|stay| overlap(*stay, part)).sum::<i64>();
            let running: i64 = self
                .runs_within(part)
                .filter(|run| run.state == RunState::Running)
                .map(|run| overlap(bounds(run), part))
                .sum();
            let running_s = seconds(running);
            if running > 0 {
                weight += running_s;
                depression += time.depression_gpp * running_s;
                u_depression += time.u_depression_gpp * running_s;
                inlet += time.inlet_gpp * running_s;
                if let Some((rate, u_rate)) = time.rate {
                    let days = running_s / SECONDS_PER_DAY;
                    let (kg, u_kg) = water.unwrap_or_default();
                    water = Some((kg + rate.get() * days, u_kg + u_rate.get() * days));
                }
            }
        }
        UnitTotals {
            on_site_h: seconds(on_site) / SECONDS_PER_HOUR,
            running_h: hours(RunState::Running),
            stopped_h: hours(RunState::Stopped),
            paused_h: hours(RunState::Paused),
            not_shown_h: hours(RunState::NotShown),
            depression: (weight > 0.0).then(|| (depression / weight, u_depression / weight)),
            inlet_gpp: (weight > 0.0).then(|| inlet / weight),
            water,
            sample_share: share(matched, on_site),
        }
    }

    fn runs_within(&self, span: (i64, i64)) -> impl Iterator<Item = &RunSpan> {
        let first = self.runs.partition_point(|run| micros(run.to) <= span.0);
        self.runs[first..].iter().take_while(move |run| micros(run.from) < span.1)
    }

    fn matched_within(&self, span: (i64, i64)) -> impl Iterator<Item = &MatchedTime> {
        let first = self.matched.partition_point(|time| time.span.1 <= span.0);
        self.matched[first..].iter().take_while(move |time| time.span.0 < span.1)
    }
}

fn bounds(run: &RunSpan) -> (i64, i64) {
    (micros(run.from), micros(run.to))
}

/// Everything about the air across one unit.
pub(crate) struct UnitResult {
    /// For the report.
    pub(crate) air: UnitAir,
    /// For charts; `None` without any depression.
    pub(crate) depression: Option<DepressionTrack>,
    /// For any stretch of time.
    pub(crate) record: UnitRecord,
}

/// Running states, daily values and totals of one unit.
pub(crate) fn unit_result(
    job: &Job,
    samples: &UnitSamples<'_>,
    days: &[Day],
    pressure: &AirPressure,
    clock: DateTime<Utc>,
) -> UnitResult {
    let unit = samples.unit;
    let pauses: Vec<(i64, i64)> = job
        .pauses
        .iter()
        .filter(|pause| pause.units.is_empty() || pause.units.iter().any(|name| name == unit))
        .map(|pause| (micros(pause.from), micros(pause.to)))
        .collect();
    let run_samples: Vec<_> = samples.samples.iter().map(|sample| sample.run.clone()).collect();
    let stays: Vec<(i64, i64)> = samples.stays.iter().map(|stay| stay.span).collect();
    let runs = run_spans(&run_samples, samples.interval, &stays, &pauses);
    let matched = samples.samples.iter().filter_map(|sample| matched_time(samples, sample, pressure)).collect();
    let record = UnitRecord { unit: unit.to_owned(), stays, runs, matched };
    let condensate: Vec<&CondensateEntry> =
        job.condensate.iter().filter(|entry| entry.unit == unit && entry.time <= clock).collect();
    let air = unit_air(samples, &record, &condensate, days, clock);
    let depression = samples.why_not.is_none().then(|| DepressionTrack {
        unit: unit.to_owned(),
        time: samples.samples.iter().map(|s| s.time).collect(),
        depression_gpp: samples.samples.iter().map(|s| s.run.depression.map(|(d, _)| d)).collect(),
        u_gpp: samples.samples.iter().map(|s| s.run.depression.map(|(_, u)| u)).collect(),
        state: samples.samples.iter().map(|s| state_at(&record.runs, s.time)).collect(),
    });
    UnitResult { air, depression, record }
}

fn matched_time(samples: &UnitSamples<'_>, sample: &UnitSample, pressure: &AirPressure) -> Option<MatchedTime> {
    let (span, (depression_gpp, u_depression_gpp)) = (sample.matched?, sample.run.depression?);
    let inlet = sample.inlet?;
    let rate = samples.stays[sample.stay].stay.airflow.and_then(|flow| {
        let air = moist::air(inlet.air_temp_c, inlet.rh_pct, pressure.at(sample.time)).ok()?;
        let rate = |gpp| removal_rate(flow, air.specific_volume(), gpp).ok();
        let u = sample.u_depression;
        let depression = GrainsPerPound::new(depression_gpp);
        let dry_air_share = pressure.used().u_pressure_pa / (air.pressure().get() - air.vapour_pressure().get());
        let by_pressure = carried_by_volume(depression, GrainsPerPound::new(u.pressure), dry_air_share);
        Some((rate(depression)?, rate(GrainsPerPound::new(u.sensors.hypot(by_pressure.get())))?))
    });
    Some(MatchedTime { span, depression_gpp, u_depression_gpp, inlet_gpp: inlet.gpp, rate })
}

fn unit_air(
    samples: &UnitSamples<'_>,
    record: &UnitRecord,
    condensate: &[&CondensateEntry],
    days: &[Day],
    clock: DateTime<Utc>,
) -> UnitAir {
    let whole = match (record.stays.first(), record.stays.last()) {
        (Some(first), Some(last)) => record.over(instant(first.0), instant(last.1)),
        _ => UnitTotals::default(),
    };
    UnitAir {
        unit: record.unit.clone(),
        inlet: samples.inlet.clone(),
        own_inlet: samples.own_inlet,
        outlet: samples.outlet.clone(),
        why_not: samples.why_not.clone(),
        runs: record.runs.clone(),
        daily: days
            .iter()
            .filter(|day| record.stays.iter().any(|stay| overlap(*stay, day_span(day, clock)) > 0))
            .map(|day| one_day(record, day, clock))
            .collect(),
        water_kg: whole.water.map(|(kg, _)| kg),
        u_water_kg: whole.water.map(|(_, u)| u),
        condensate_kg: condensate.iter().map(|entry| entry.water.get()).reduce(|a, b| a + b),
        condensate: condensate_facts(record, condensate),
    }
}

/// Each measurement with the water computed since the one before it, or since the unit was last placed.
fn condensate_facts(record: &UnitRecord, entries: &[&CondensateEntry]) -> Vec<CondensateFacts> {
    let mut entries = entries.to_vec();
    entries.sort_by_key(|entry| entry.time);
    let mut before: Option<i64> = None;
    entries
        .into_iter()
        .map(|entry| {
            let time = micros(entry.time);
            let placed = record.stays.iter().map(|stay| stay.0).filter(|placed| *placed <= time).max();
            let from = before.max(placed).unwrap_or(time);
            before = Some(time);
            let water = record.over(instant(from), entry.time).water;
            CondensateFacts {
                from: instant(from),
                to: entry.time,
                measured_kg: entry.water.get(),
                water_kg: water.map(|(kg, _)| kg),
                u_water_kg: water.map(|(_, u)| u),
                row: (&entry.line).into(),
            }
        })
        .collect()
}

fn one_day(record: &UnitRecord, day: &Day, clock: DateTime<Utc>) -> DailyUnitAir {
    let (from, to) = day_span(day, clock);
    let totals = record.over(instant(from), instant(to));
    DailyUnitAir {
        date: day.date,
        on_site_h: totals.on_site_h,
        running_h: totals.running_h,
        stopped_h: totals.stopped_h,
        paused_h: totals.paused_h,
        depression_gpp: totals.depression.map(|(mean, _)| mean),
        u_depression_gpp: totals.depression.map(|(_, u)| u),
        within_uncertainty: totals.within_uncertainty(),
        inlet_gpp: totals.inlet_gpp,
        excess_left: None,
        against_load: AgainstLoad::NotShown,
        water_kg: totals.water.map(|(kg, _)| kg),
        u_water_kg: totals.water.map(|(_, u)| u),
        sample_share: totals.sample_share,
    }
}
