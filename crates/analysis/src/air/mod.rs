//! Air: what each logger and each hand reading says of the air, day by day, and what each dehumidifier did to it.
//!
//! Reading order: `pressure`, `placement`, `accuracy`, `bias`, `states` (the air at every sample); `days`, `cover`, `daily`
//! (what a sample stands for, and the civil days); `gpp_u`, `matching`, `airs`, `difference`, `depression` (two airs at one
//! instant); `running`, `removal`, `hours` (what a unit did); `hand`, `state_at` (readings by hand, the air at a
//! reading); `left_out` (what is in the files and not in the evidence).

mod accuracy;
mod airs;
mod bias;
pub(crate) mod cover;
pub(crate) mod daily;
pub(crate) mod days;
mod depression;
mod difference;
pub(crate) mod gpp_u;
mod hand;
pub(crate) mod hours;
pub(crate) mod instant;
pub(crate) mod left_out;
pub(crate) mod matching;
pub(crate) mod moist;
mod placement;
mod pressure;
pub(crate) mod removal;
mod running;
pub(crate) mod state_at;
mod states;

use chrono::{DateTime, Utc};
use grainfall_job::Job;
use grainfall_psychrometrics::uncertainty::{CoverageFactor, SensorAccuracy, dew_point_uncertainty};
use grainfall_record::{Ledger, TidyFrame};
use grainfall_words::{Words, say};
use rayon::prelude::*;

use crate::error::Error;
use crate::evidence::{
    AirGoalOf, AirTrack, Assumption, BiasMeasured, BiasStep, DailyAir, DailyDifference, Day, DepressionTrack, HandAir,
    LoggerFacts, Missing, PressureUsed, UnitAir,
};
use hours::HourMeterCheck;
use left_out::LeftOut;
pub(crate) use placement::{in_air_of, track_place};
use pressure::AirPressure;
use removal::{UnitRecord, UnitTotals};
pub(crate) use state_at::AirAt;
use state_at::AirSources;

/// Everything the air side finds.
#[derive(Debug, Clone)]
pub(crate) struct AirAnalysis {
    /// The pressure used.
    pub(crate) pressure: PressureUsed,
    /// Civil days from the record's start to the clock.
    pub(crate) days: Vec<Day>,
    /// One entry per placement with samples, by logger id, then first sample.
    pub(crate) loggers: Vec<LoggerFacts>,
    /// The air of each, in the same order.
    pub(crate) tracks: Vec<AirTrack>,
    /// By day, then place, then label.
    pub(crate) daily_air: Vec<DailyAir>,
    /// By day, then chamber, then kind.
    pub(crate) daily_differences: Vec<DailyDifference>,
    /// By time.
    pub(crate) hand_air: Vec<HandAir>,
    /// By unit.
    pub(crate) unit_air: Vec<UnitAir>,
    /// By unit; only units with a depression.
    pub(crate) depressions: Vec<DepressionTrack>,
    /// Hour meters beside running hours.
    pub(crate) hour_meters: Vec<HourMeterCheck>,
    /// Biases measured side by side, in the job's order.
    pub(crate) side_by_side: Vec<BiasMeasured>,
    /// What was assumed, sorted.
    pub(crate) assumptions: Vec<Assumption>,
    /// Placements for which there is no logger or no sample.
    pub(crate) missing: Vec<Missing>,
    /// Samples and hand readings that were not used.
    pub(crate) left_out: Vec<LeftOut>,
    job: Job,
    sensors: Vec<SensorAccuracy>,
    air_pressure: AirPressure,
    records: Vec<UnitRecord>,
}

impl AirAnalysis {
    /// The affected air of a chamber at an instant, see [`state_at::air_at`].
    pub(crate) fn at(&self, chamber: &str, time: DateTime<Utc>) -> Option<AirAt> {
        let sources = AirSources {
            job: &self.job,
            tracks: &self.tracks,
            sensors: &self.sensors,
            hand_air: &self.hand_air,
            pressure: &self.air_pressure,
        };
        state_at::air_at(&sources, chamber, time)
    }

    /// Expanded uncertainty (k = 2) of one sample of a track: GPP, %RH, or K of the dew point.
    pub(crate) fn uncertainty(&self, of: AirGoalOf, track: &AirTrack, sample: usize) -> Option<f64> {
        let sensor = self.sensors.get(track.logger)?;
        match of {
            AirGoalOf::Gpp => track.u_gpp[sample],
            AirGoalOf::Rh => Some(CoverageFactor::K2.get() * sensor.rh.standard().get()),
            AirGoalOf::DewPoint => {
                let pressure_pa = self.air_pressure.at(track.time[sample]);
                let air = moist::air(track.air_temp_c[sample]?, track.rh_pct[sample]?, pressure_pa).ok()?;
                Some(dew_point_uncertainty(&air, sensor)?.expanded(CoverageFactor::K2).get())
            }
        }
    }

    /// What a dehumidifier did from one instant to another; `None` for a unit that is none.
    pub(crate) fn unit_over(&self, unit: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<UnitTotals> {
        self.records.iter().find(|record| record.unit == unit).map(|record| record.over(from, to))
    }
}

/// Judges the air of a job up to the clock; samples and readings after it are not used.
///
/// `record_from` is the record's first instant; without it the first sample is.
///
/// # Errors
/// [`Error::Pressure`] and [`Error::Entry`] when a stated pressure, elevation or accuracy lies outside the equations.
pub(crate) fn analyse_air(
    job: &Job,
    frame: &TidyFrame,
    ledger: &Ledger,
    clock: DateTime<Utc>,
    record_from: Option<DateTime<Utc>>,
) -> Result<AirAnalysis, Error> {
    let words = job.zone.words;
    let (air_pressure, pressure_assumption) = pressure::air_pressure(job, frame, clock)?;
    let placements = placement::place_loggers(job, frame, ledger, clock);
    let sensors: Vec<SensorAccuracy> =
        placements.placed.iter().map(|one| accuracy::sensor_accuracy(one.placement)).collect::<Result<_, _>>()?;
    let (side_by_side, not_measured) = bias::measured(job, frame, ledger, clock);
    let steps: Vec<Option<BiasStep>> =
        placements.placed.iter().map(|placed| bias::step(placed, &side_by_side)).collect();
    let states: Vec<states::States> = placements
        .placed
        .par_iter()
        .zip(&sensors)
        .zip(&steps)
        .enumerate()
        .map(|(logger, ((placed, sensor), bias))| {
            states::air_states(words, placed, sensor, bias.as_ref(), &air_pressure, logger)
        })
        .collect();
    let mut assumptions: Vec<Assumption> = vec![pressure_assumption];
    let mut left_out = placements.left_out;
    let (mut tracks, mut loggers) = (Vec::new(), Vec::new());
    for one in states {
        tracks.push(one.track);
        loggers.push(one.facts);
        left_out.extend(one.left_out);
        assumptions.extend(one.assumptions);
    }
    let with_air = || tracks.iter().zip(&sensors).filter(|(track, _)| states::has_air(track));
    assumptions.extend(accuracy::assumptions(words, with_air().map(|(track, sensor)| (track.label.as_str(), sensor))));

    let start = record_from.or_else(|| frame.span().map(|(first, _)| first)).unwrap_or(clock);
    let days = days::civil_days(job.zone.tz, start, clock);
    let inputs: Vec<daily::DailyInput<'_>> = tracks
        .iter()
        .zip(&placements.placed)
        .zip(&sensors)
        .filter_map(|((track, placed), sensor)| {
            let expected = states::expected_span(placed, clock)?;
            Some(daily::DailyInput { track, sensor, expected })
        })
        .collect();
    let daily_air = daily::daily_air(&inputs, &days, &air_pressure, clock);
    let daily_differences = difference::daily_differences(job, &tracks, &sensors, &days, clock);
    let (hand_air, hand_left_out) = hand::hand_air(job, &air_pressure, clock);
    left_out.extend(hand_left_out);

    let units = depression::units(job, &tracks, &sensors, clock);
    let (mut unit_air, mut depressions, mut records) = (Vec::new(), Vec::new(), Vec::new());
    let results: Vec<removal::UnitResult> =
        units.par_iter().map(|unit| removal::unit_result(job, unit, &days, &air_pressure, clock)).collect();
    for result in results {
        unit_air.push(result.air);
        depressions.extend(result.depression);
        records.push(result.record);
    }
    assumptions.extend(comparison_assumptions(words, &daily_differences, &unit_air));
    assumptions.sort();
    assumptions.dedup();
    Ok(AirAnalysis {
        pressure: air_pressure.used(),
        days,
        loggers,
        daily_air,
        daily_differences,
        hand_air,
        hour_meters: hours::hour_meter_checks(job, &records, clock),
        unit_air,
        depressions,
        assumptions,
        missing: placements.missing.into_iter().chain(not_measured).collect(),
        side_by_side,
        left_out,
        job: job.clone(),
        sensors,
        air_pressure,
        records,
        tracks,
    })
}

/// What comparing two airs, and turning a depression into water, takes for granted.
fn comparison_assumptions(words: Words, differences: &[DailyDifference], units: &[UnitAir]) -> Vec<Assumption> {
    let mut out = Vec::new();
    if !differences.is_empty() || units.iter().any(|unit| unit.why_not.is_none()) {
        out.push(Assumption {
            text: say!(words, "air.the_errors_of_different_loggers").to_owned(),
            source: say!(words, "air.project_convention_jcgm_100_2008").to_owned(),
            remedy: say!(words, "air.leave_the_loggers_side_by").to_owned(),
        });
    }
    let water: Vec<String> =
        units.iter().filter(|unit| unit.water_kg.is_some()).map(|unit| unit.unit.clone()).collect();
    if !water.is_empty() {
        out.push(Assumption {
            text: say!(words, "air.the_airflow_of_is_as", water = words.list(&water)),
            source: say!(words, "air.project_convention").to_owned(),
            remedy: say!(words, "air.measure_the_airflow_at_the").to_owned(),
        });
    }
    out
}

#[cfg(test)]
mod reference_tests;
#[cfg(test)]
pub(crate) mod testing;
#[cfg(test)]
mod tests;
