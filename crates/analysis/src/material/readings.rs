//! The readings of a point: by hand or logged, which of them decide, and why the others do not.
//!
//! A series is (point, meter, scale) and scales are never mixed: only readings on the goal's scale decide. On relative
//! scales the first meter that read the point makes the series, and where the goal rests on reference points a reading
//! needs the meter of that standard.

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Point, ReadingValue, Scale};
use grainfall_record::{Ledger, Quantity, RowRef, TidyFrame};
use grainfall_words::{Words, say};

use super::correction::{Correction, correct};
use crate::rules::VISIT_SPAN;
use crate::select;

/// One reading as the analysis uses it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PointReading {
    pub time: DateTime<Utc>,
    pub value: ReadingValue,
    pub scale: Scale,
    pub meter: Option<String>,
    pub surface_temp_c: Option<f64>,
    pub by: Option<String>,
    pub note: Option<String>,
    pub row: RowRef,
    pub logged: bool,
    pub correction: Correction,
}

impl PointReading {
    /// The number, when it is one.
    pub fn measured(&self) -> Option<f64> {
        match self.value {
            ReadingValue::Measured(value) => Some(value),
            _ => None,
        }
    }

    /// How far it may be off, in the scale's unit: what is stated of the meter, times what a point of it is worth where the
    /// reading is corrected. `None` where nothing is stated.
    pub fn accuracy(&self, job: &Job) -> Option<f64> {
        let per_point = match self.correction {
            Correction::Done { per_point, .. } => per_point,
            Correction::None | Correction::Impossible => 1.0,
        };
        Some(job.meter(self.meter.as_deref()?)?.accuracy? * per_point)
    }

    /// What to rank readings of one visit by: over-range is above any bound, a bound is above its own number.
    fn height(&self) -> Option<(f64, u8)> {
        match self.value {
            ReadingValue::Measured(value) => Some((value, 0)),
            ReadingValue::Above(value) => Some((value, 1)),
            ReadingValue::OverRange => Some((f64::INFINITY, 2)),
            ReadingValue::NoReading(_) => None,
        }
    }
}

/// All readings of a point up to the clock, by time, then line.
pub(crate) fn of_point(
    job: &Job,
    point: &Point,
    frame: &TidyFrame,
    ledger: &Ledger,
    clock: DateTime<Utc>,
) -> Vec<PointReading> {
    let mut readings: Vec<PointReading> = job
        .readings
        .iter()
        .filter(|reading| reading.point == point.id && reading.time <= clock)
        .map(|reading| {
            let mut read = PointReading {
                time: reading.time,
                value: reading.value.clone(),
                scale: reading.scale,
                meter: reading.meter.clone(),
                surface_temp_c: reading.surface_temp.map(|t| t.get()),
                by: reading.by.clone(),
                note: reading.note.clone(),
                row: reading.line.clone(),
                logged: false,
                correction: Correction::None,
            };
            correct(job, point, &mut read);
            read
        })
        .collect();
    if let Some(logger) = &point.logger {
        readings.extend(logged(job, point, logger, frame, ledger, clock));
    }
    readings.sort_by(|a, b| (a.time, &a.row).cmp(&(b.time, &b.row)));
    readings
}

fn logged<'a>(
    job: &'a Job,
    point: &'a Point,
    logger: &'a grainfall_job::PointLogger,
    frame: &'a TidyFrame,
    ledger: &'a Ledger,
    clock: DateTime<Utc>,
) -> impl Iterator<Item = PointReading> + 'a {
    let words = job.zone.words;
    select::series(frame, ledger, &logger.select).into_iter().flat_map(move |series| {
        let spans: Vec<_> = job
            .loggers
            .iter()
            .filter(|placement| select::matches(ledger, &placement.select, &series.logger))
            .map(|placement| placement.span)
            .collect();
        let moisture = series.column(Quantity::Moisture).unwrap_or_default();
        let surface = series.column(Quantity::SurfaceTemp);
        moisture.iter().enumerate().filter_map(move |(index, value)| {
            let time = series.time[index];
            let in_span = spans.is_empty() || spans.iter().any(|span| span.contains(time));
            (in_span && time <= clock).then_some(())?;
            Some(PointReading {
                time,
                value: ReadingValue::Measured((*value)?),
                scale: point.scale,
                // A logger is an instrument of its own, never the meter nobody named.
                meter: Some(say!(words, "aside.logger", logger = series.logger)),
                surface_temp_c: surface.and_then(|column| column[index]),
                by: None,
                note: None,
                row: series.source(index)?,
                logged: true,
                correction: Correction::None,
            })
        })
    })
}

/// Why a reading does not decide.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Aside {
    /// On another scale than the goal.
    OtherScale,
    /// With another meter than the standard it would be compared with.
    OtherMeter,
    /// Another reading of the same visit is higher.
    LowerInVisit,
    /// It was to be corrected and could not be.
    NotCorrected,
    /// It carries no number.
    NoReading,
    /// There is no goal.
    NoGoal,
    /// Taken after the point ended.
    AfterEnd,
}

impl Aside {
    /// The reason as people read it.
    pub fn said(&self, words: Words) -> &'static str {
        match self {
            Self::OtherScale => say!(words, "aside.on_another_scale_than_the"),
            Self::OtherMeter => say!(words, "aside.with_another_meter_than_the"),
            Self::LowerInVisit => say!(words, "aside.a_higher_reading_of_the"),
            Self::NotCorrected => say!(words, "aside.without_a_temperature_of_the"),
            Self::NoReading => say!(words, "aside.no_reading_was_taken"),
            Self::NoGoal => say!(words, "aside.there_is_no_goal_to"),
            Self::AfterEnd => say!(words, "aside.taken_after_the_point_ended"),
        }
    }
}

/// Which meter a series needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum SeriesMeter {
    /// Any meter on the scale.
    Any,
    /// This one (`None`: the one nobody named).
    Only(Option<String>),
}

/// The meter that first read the point on a scale (`None`: the one nobody named); `None` without a reading.
pub(crate) fn first_meter(readings: &[PointReading], scale: Scale) -> Option<&Option<String>> {
    readings.iter().find(|one| one.scale == scale && one.height().is_some()).map(|one| &one.meter)
}

/// For each reading, `None` when it decides, else why not.
pub(crate) fn asides(
    readings: &[PointReading],
    scale: Scale,
    meter: &SeriesMeter,
    ended_at: Option<DateTime<Utc>>,
) -> Vec<Option<Aside>> {
    let mut asides: Vec<Option<Aside>> = readings
        .iter()
        .map(|reading| {
            if ended_at.is_some_and(|end| reading.time >= end) {
                Some(Aside::AfterEnd)
            } else if reading.height().is_none() {
                Some(Aside::NoReading)
            } else if reading.correction == Correction::Impossible {
                Some(Aside::NotCorrected)
            } else if reading.scale != scale {
                Some(Aside::OtherScale)
            } else if matches!(meter, SeriesMeter::Only(only) if *only != reading.meter) {
                Some(Aside::OtherMeter)
            } else {
                None
            }
        })
        .collect();
    for visit in visits(readings, &asides) {
        let highest = visit.iter().copied().reduce(|best, next| {
            let higher = readings[next].height().partial_cmp(&readings[best].height());
            if higher == Some(std::cmp::Ordering::Greater) { next } else { best }
        });
        for index in visit {
            if Some(index) != highest {
                asides[index] = Some(Aside::LowerInVisit);
            }
        }
    }
    asides
}

/// Hand readings that still decide, grouped by visit; a logged sample is a visit of its own.
fn visits(readings: &[PointReading], asides: &[Option<Aside>]) -> Vec<Vec<usize>> {
    let mut visits: Vec<Vec<usize>> = Vec::new();
    for (index, reading) in readings.iter().enumerate() {
        if asides[index].is_some() || reading.logged {
            continue;
        }
        match visits.last_mut() {
            Some(visit) if reading.time - readings[visit[0]].time < VISIT_SPAN => visit.push(index),
            _ => visits.push(vec![index]),
        }
    }
    visits
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(crate) fn reading(hour: i64, value: ReadingValue, meter: &str) -> PointReading {
        PointReading {
            time: DateTime::from_timestamp(hour * 3600, 0).unwrap(),
            value,
            scale: Scale::WoodMc,
            meter: Some(meter.to_owned()),
            surface_temp_c: None,
            by: None,
            note: None,
            row: RowRef::new("readings.csv", u64::try_from(hour).unwrap()),
            logged: false,
            correction: Correction::None,
        }
    }

    #[test]
    fn the_highest_reading_of_a_visit_counts() {
        let readings = [
            reading(9, ReadingValue::Measured(14.0), "M1"),
            reading(10, ReadingValue::Measured(17.0), "M1"),
            reading(33, ReadingValue::Measured(13.0), "M1"),
        ];
        let asides = asides(&readings, Scale::WoodMc, &SeriesMeter::Any, None);
        assert_eq!(asides, [Some(Aside::LowerInVisit), None, None]);
    }

    #[test]
    fn a_lower_bound_outranks_its_own_number() {
        let readings = [reading(9, ReadingValue::Measured(40.0), "M1"), reading(10, ReadingValue::Above(40.0), "M1")];
        assert_eq!(asides(&readings, Scale::WoodMc, &SeriesMeter::Any, None), [Some(Aside::LowerInVisit), None]);
    }

    #[test]
    fn other_scales_and_meters_stand_aside() {
        let mut other_scale = reading(20, ReadingValue::Measured(60.0), "M2");
        other_scale.scale = Scale::Relative;
        let readings = [
            reading(9, ReadingValue::Measured(14.0), "M1"),
            other_scale,
            reading(33, ReadingValue::Measured(14.0), "M2"),
            reading(57, ReadingValue::NoReading("no access".into()), "M1"),
        ];
        let only = SeriesMeter::Only(Some("M1".into()));
        assert_eq!(
            asides(&readings, Scale::WoodMc, &only, None),
            [None, Some(Aside::OtherScale), Some(Aside::OtherMeter), Some(Aside::NoReading)]
        );
    }

    #[test]
    fn a_reading_after_the_end_stands_aside() {
        let readings = [reading(9, ReadingValue::Measured(14.0), "M1")];
        let end = DateTime::from_timestamp(9 * 3600, 0);
        assert_eq!(asides(&readings, Scale::WoodMc, &SeriesMeter::Any, end), [Some(Aside::AfterEnd)]);
    }
}
