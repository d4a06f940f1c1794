//! The evidence: what samples and readings show of a drying job, and what they do not.
//!
//! [`analyse`] takes the job, the samples and the ledger of what was read, and answers: how wet each air was, day by
//! day; what each unit took out of it; when each point met its goal; which equipment-days the readings call for; from
//! when equipment could leave; what happened; what is missing. Everything is bounded by its uncertainty and carries the
//! rows of the files it rests on.
//!
//! Reading order:
//! 1. [`evidence`]: the answers as plain data;
//! 2. `rules`: the numbers of our own rules; `stray`: samples that are not of the job's time; `clock`: the report's clock;
//! 3. `air`: states, days, daily values, depression, running, water, differences;
//! 4. `material`: readings, dry standards, goals, states over time, rates, drive, chambers;
//! 5. `equipment`: presence, load, equipment-days, totals, the release statement;
//! 6. `series`, `forecast`: readings that belong together, time to goal; `mould`: exposure of surfaces;
//! 7. `findings`: one kind a file; `missing`, `completeness`: what to add; `sizing`: ranges and advice;
//! 8. `thresholds`: every number that none of the verdicts rests on;
//! 9. [`needs`]: what of a job needs a person on a given day, for lists of jobs.
//!
//! Left out: reading files (`ingest`, `job`), drawing and wording of pages (`report`), any clock but the record's own.

mod air;
mod clock;
mod completeness;
mod equipment;
mod error;
pub mod evidence;
mod facts;
mod findings;
mod forecast;
mod material;
mod missing;
mod mould;
pub mod needs;
mod rules;
mod select;
mod series;
mod sizing;
mod stray;
#[cfg(test)]
mod testing;
mod thresholds;
mod words;

use grainfall_words::say;
use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Purpose};
use grainfall_record::{Ledger, TidyFrame};

pub use error::Error;
use evidence::{
    Analysis, Assumption, ChamberEvidence, Evidence, GoalBasis, GoalVerdict, HourMeterFacts, PointEvidence,
};

/// What a person may choose for one run.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Settings {
    /// Judge the record as it stood at this instant; `None`: at its last sample or entry.
    pub as_of: Option<DateTime<Utc>>,
    /// Name of the job folder, for the report's heading.
    pub folder: String,
}

/// Judges one job.
///
/// # Arguments
/// * `job`: what its own files say;
/// * `frame`: the samples of its loggers;
/// * `ledger`: what was read and refused;
/// * `settings`: the chosen instant and the folder's name.
///
/// # Errors
/// [`Error::NothingRecorded`] with neither sample nor entry; otherwise when a state lies outside the range of the
/// moist-air equations.
pub fn analyse(job: &Job, frame: &TidyFrame, ledger: &Ledger, settings: &Settings) -> Result<Analysis, Error> {
    let (frame, set_apart) = stray::set_apart(job, frame, ledger);
    let frame = frame.as_ref();
    let (clock, clock_basis) = clock::report_clock(job, frame, settings.as_of).ok_or(Error::NothingRecorded)?;
    let record_from = clock::record_start(job, frame, clock);
    let mut air = air::analyse_air(job, frame, ledger, clock, Some(record_from))?;
    air.left_out.extend(set_apart);
    let mut points = points(job, frame, ledger, &air, clock, record_from);
    for point in &mut points {
        point.forecast = forecast::of_point(job, point, &air.tracks, clock);
    }
    let surfaces = mould::surface::surfaces(&air.tracks);
    let exposures = mould::exposures(job.zone.words, &surfaces, &air.tracks);
    let states_from = job.loss_at.unwrap_or(record_from).min(clock);
    let u = |quantity, track: &evidence::AirTrack, sample| air.uncertainty(quantity, track, sample);
    let chambers: Vec<ChamberEvidence> = job
        .chambers
        .iter()
        // As the record stood, a chamber that was set up later was not there.
        .filter(|chamber| chamber.span.from.is_none_or(|from| from <= clock))
        .map(|chamber| {
            let goals = material::air_goal::of_chamber(chamber, &air.tracks, &u, (states_from, clock), job.zone);
            material::chamber::evidence(chamber, &points, goals, &air.days, clock, job.zone)
        })
        .collect();
    let rises = equipment::air_rise::AirRises::new(job, &air.tracks);
    let area = equipment::load::Area { job, points: &points, chambers: &chambers, air: &rises };
    let equipment =
        equipment::unit::evidence(&area, clock, &|unit, from, to| equipment::effect::over(&air, unit, from, to));
    equipment::depression::beside_load(&mut air.unit_air, &equipment, &chambers);
    let findings = findings::all(&findings::Record {
        job,
        ledger,
        clock,
        days: &air.days,
        loggers: &air.loggers,
        tracks: &air.tracks,
        differences: &air.daily_differences,
        left_out: &air.left_out,
        hour_meters: &air.hour_meters,
        unit_air: &air.unit_air,
        chambers: &chambers,
        surfaces: &surfaces,
        mould: &exposures,
        points: &points,
        units: &equipment,
        known: findings::Known::default(),
    });
    let completeness = completeness::records(&completeness::Log {
        job,
        clock,
        days: &air.days,
        tracks: &air.tracks,
        chambers: &chambers,
        points: &points,
        units: &equipment,
    });
    let earliest_leaves = sizing::leave::earliest(job, clock, &air.days, &chambers, &points, &equipment, &air.unit_air);
    let mut missing = missing::list(job, ledger, &air.loggers, &points, &air.unit_air, air.pressure.basis);
    for one in air.missing {
        if !missing.contains(&one) {
            missing.push(one);
        }
    }
    let mut assumptions: Vec<Assumption> = air.assumptions;
    assumptions.extend(meter_assumptions(job, &points));
    assumptions.extend(goal_assumptions(job, &points));
    assumptions.extend(pull_window_assumption(job));
    assumptions.extend(material::correction::assumption(job));
    assumptions.sort();
    assumptions.dedup();
    Ok(Analysis {
        evidence: Evidence {
            clock,
            clock_basis,
            job: facts::job(job, &settings.folder, Some(record_from), clock),
            pressure: air.pressure,
            verdict: overall(&chambers),
            days: air.days,
            loggers: air.loggers,
            side_by_side: air.side_by_side,
            daily_air: air.daily_air,
            daily_differences: air.daily_differences,
            hand_air: air.hand_air,
            unit_air: air.unit_air,
            equipment_totals: equipment::totals::per_kind(job, &equipment),
            releases: equipment::release::statements(job, &chambers, &points, &equipment, clock),
            chambers,
            points,
            equipment,
            findings,
            missing,
            pauses: facts::pauses(job, clock),
            hour_meters: air.hour_meters.iter().map(hour_meter_facts).collect(),
            completeness,
            mould: exposures,
            sizing: sizing::called_for(job, clock),
            earliest_leaves,
            visits: facts::visits(job, clock),
            assumptions,
        },
        tracks: air.tracks,
        depressions: air.depressions,
    })
}

fn points(
    job: &Job,
    frame: &TidyFrame,
    ledger: &Ledger,
    air: &air::AirAnalysis,
    clock: DateTime<Utc>,
    record_from: DateTime<Utc>,
) -> Vec<PointEvidence> {
    let readings: BTreeMap<&str, Vec<material::readings::PointReading>> = job
        .points
        .iter()
        .map(|point| (point.id.as_str(), material::readings::of_point(job, point, frame, ledger, clock)))
        .collect();
    let air_at = |chamber: &str, time| air.at(chamber, time);
    let context = material::point::PointContext {
        job,
        days: &air.days,
        from: job.loss_at.unwrap_or(record_from).min(clock),
        clock,
        readings: &readings,
        air_at: &air_at,
    };
    job.points.iter().map(|point| material::point::evidence(point, &context)).collect()
}

fn overall(chambers: &[ChamberEvidence]) -> GoalVerdict {
    let chambers: Vec<&ChamberEvidence> = chambers.iter().filter(|one| !one.judged_elsewhere()).collect();
    if chambers.iter().any(|chamber| chamber.verdict == GoalVerdict::NotMet) {
        GoalVerdict::NotMet
    } else if chambers.is_empty() || chambers.iter().any(|chamber| chamber.verdict == GoalVerdict::NotShown) {
        GoalVerdict::NotShown
    } else {
        GoalVerdict::Met
    }
}

fn hour_meter_facts(check: &air::hours::HourMeterCheck) -> HourMeterFacts {
    HourMeterFacts {
        unit: check.unit.clone(),
        from: check.from,
        to: check.to,
        meter_h: check.meter_h,
        running_h: check.running_h,
        not_shown_h: check.not_shown_h,
        rows: check.rows.to_vec(),
    }
}

/// Goals that nobody wrote.
fn goal_assumptions(job: &Job, points: &[PointEvidence]) -> Option<Assumption> {
    let words = job.zone.words;
    let assumed: Vec<String> = points
        .iter()
        .filter(|point| point.goal.as_ref().is_some_and(|goal| goal.basis == GoalBasis::CommonPractice))
        .map(|point| point.id.clone())
        .collect();
    (!assumed.is_empty()).then(|| Assumption {
        text: say!(words, "assumed.the_drying_goals_of_are", assumed = words.list(&assumed)),
        source: say!(words, "assumed.common_practice_no_source").to_owned(),
        remedy: say!(words, "assumed.job_toml_point_or_material").to_owned(),
    })
}

/// Nothing where the job states it, or where no day is judged by it.
fn pull_window_assumption(job: &Job) -> Option<Assumption> {
    let words = job.zone.words;
    let judged = job.equipment.iter().any(|stay| stay.purpose == Purpose::Drying);
    (judged && !job.pull_window_stated).then(|| Assumption {
        text: say!(words, "assumed.the_pull_window_is", hours = words::number(words, words::hours(job.pull_window), 1)),
        source: say!(words, "assumed.project_convention").to_owned(),
        remedy: "job.toml, [job]: pull_window = \"4 h\"".to_owned(),
    })
}

fn meter_assumptions(job: &Job, points: &[PointEvidence]) -> Vec<Assumption> {
    let words = job.zone.words;
    let mut meters: Vec<String> = points
        .iter()
        .flat_map(|point| &point.readings)
        .filter(|reading| reading.decides)
        .filter_map(|reading| reading.meter.clone())
        .collect();
    meters.sort();
    meters.dedup();
    meters
        .into_iter()
        // A logger's accuracy is its own.
        .filter(|id| job.readings.iter().any(|reading| reading.meter.as_ref() == Some(id)))
        .filter(|id| job.meters.iter().find(|meter| meter.id == *id).is_none_or(|meter| meter.accuracy.is_none()))
        .map(|id| Assumption {
            text: say!(words, "assumed.the_accuracy_of_meter_is", id = id),
            source: say!(words, "assumed.project_convention").to_owned(),
            remedy: say!(words, "assumed.job_toml_meter_id_accuracy", id = id),
        })
        .collect()
}
