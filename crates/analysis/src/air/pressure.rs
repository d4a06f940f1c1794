//! Which air pressure the moist-air equations are given.
//!
//! The job's stated pressure; else the standard atmosphere at its elevation; else a logged station pressure, sample by
//! sample; else the standard atmosphere at sea level, which is then an assumption.

use chrono::{DateTime, Utc};
use grainfall_job::{Job, PressureSource};
use grainfall_psychrometrics::{Pascals, pressure_at_elevation};
use grainfall_record::{LoggerSeries, Quantity, TidyFrame};

use super::cover::usual_interval_s;
use super::instant::micros;
use super::matching::Lookup;
use crate::error::Error;
use crate::evidence::{Assumption, PressureBasis, PressureUsed};

/// The pressure at every instant of the job.
#[derive(Debug, Clone)]
pub(crate) struct AirPressure {
    used: PressureUsed,
    logged: Option<Logged>,
}

/// The station pressure of one logger.
#[derive(Debug, Clone)]
struct Logged {
    lookup: Lookup,
    column: Vec<Option<f64>>,
}

impl AirPressure {
    /// The same pressure always.
    #[cfg(test)]
    pub(crate) fn constant(pressure_pa: f64) -> Self {
        Self { used: PressureUsed { pressure_pa, basis: PressureBasis::Stated }, logged: None }
    }

    /// What the report prints.
    pub(crate) fn used(&self) -> PressureUsed {
        self.used
    }

    /// Pressure at an instant, Pa: where it is logged, the logged value that matches, else the median.
    pub(crate) fn at(&self, time: DateTime<Utc>) -> f64 {
        self.logged
            .as_ref()
            .and_then(|logged| logged.lookup.near(micros(time))?.value(&logged.column))
            .unwrap_or(self.used.pressure_pa)
    }

    /// Pressure at each sample of a series, Pa: its own column where it has one and nothing better is stated.
    pub(crate) fn column(&self, series: &LoggerSeries, range: std::ops::Range<usize>) -> Vec<f64> {
        let own = self.logged.as_ref().and_then(|_| series.column(Quantity::Pressure));
        range
            .map(|i| own.and_then(|own| own[i].filter(|pa| accepted(*pa))).unwrap_or_else(|| self.at(series.time[i])))
            .collect()
    }
}

/// Finds the pressure to use, with the assumption it needs, if any.
///
/// Where it is logged, the logger with most values (of equally many the first by id) stands for the job and its median
/// is the figure printed.
///
/// # Errors
/// [`Error::Pressure`] when the stated pressure or elevation lies outside the equations.
pub(crate) fn air_pressure(
    job: &Job,
    frame: &TidyFrame,
    clock: DateTime<Utc>,
) -> Result<(AirPressure, Option<Assumption>), Error> {
    let refuse = |source| Error::Pressure { source };
    let constant = |pressure_pa, basis| AirPressure { used: PressureUsed { pressure_pa, basis }, logged: None };
    match job.pressure {
        PressureSource::Stated(pressure) => {
            grainfall_psychrometrics::humidity_ratio(Pascals::new(0.0), pressure).map_err(refuse)?;
            Ok((constant(pressure.get(), PressureBasis::Stated), None))
        }
        PressureSource::Elevation(elevation) => {
            let pressure = pressure_at_elevation(elevation).map_err(refuse)?;
            Ok((constant(pressure.get(), PressureBasis::Elevation), Some(weather())))
        }
        PressureSource::NotStated => Ok(match logged_pressure(frame, clock) {
            Some((logged, pressure_pa)) => {
                let used = PressureUsed { pressure_pa, basis: PressureBasis::Logged };
                (AirPressure { used, logged: Some(logged) }, None)
            }
            None => (
                constant(Pascals::STANDARD_ATMOSPHERE.get(), PressureBasis::SeaLevel),
                Some(Assumption {
                    text: "The air pressure is that of the standard atmosphere at sea level, 101.325 kPa.".to_owned(),
                    source: "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 3".to_owned(),
                    remedy: "job.toml, [job]: elevation = \"620 ft\" (or pressure = \"29.3 inHg\")".to_owned(),
                }),
            ),
        }),
    }
}

/// What a pressure from the elevation leaves out.
fn weather() -> Assumption {
    Assumption {
        text:
            "The air pressure follows from the elevation and does not move with the weather. 1 kPa more or less moves \
               every GPP, and every difference of two, by about 1 % of itself; relative humidity, dew point and vapour \
               pressure do not depend on it. It is not part of the printed uncertainties."
                .to_owned(),
        source: "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 3 and 20".to_owned(),
        remedy:
            "log the station pressure, or write it: job.toml, [job]: pressure = \"29.3 inHg\" (instead of elevation)"
                .to_owned(),
    }
}

/// The logger with most station pressures up to the clock that the equations accept, and their median.
fn logged_pressure(frame: &TidyFrame, clock: DateTime<Utc>) -> Option<(Logged, f64)> {
    let mut best: Option<(usize, &LoggerSeries, Vec<Option<f64>>)> = None;
    for series in frame.series() {
        let Some(column) = series.column(Quantity::Pressure) else { continue };
        let usable: Vec<Option<f64>> = column
            .iter()
            .zip(&series.time)
            .map(|(value, time)| value.filter(|pa| *time <= clock && accepted(*pa)))
            .collect();
        let count = usable.iter().flatten().count();
        if count > best.as_ref().map_or(0, |(most, ..)| *most) {
            best = Some((count, series, usable));
        }
    }
    let (_, series, column) = best?;
    let mut values: Vec<f64> = column.iter().flatten().copied().collect();
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    let median = if values.len() % 2 == 1 { values[middle] } else { f64::midpoint(values[middle - 1], values[middle]) };
    let lookup = Lookup::new(&series.time, |i| column[i].is_some(), usual_interval_s(&series.time));
    Some((Logged { lookup, column }, median))
}

fn accepted(pressure_pa: f64) -> bool {
    grainfall_psychrometrics::humidity_ratio(Pascals::new(0.0), Pascals::new(pressure_pa)).is_ok()
}
