//! Which air pressure the moist-air equations are given.
//!
//! The job's stated pressure; else the standard atmosphere at its elevation; else a logged station pressure, sample by
//! sample; else the standard atmosphere at sea level, which is then an assumption. How far a stated or logged pressure may
//! be off the job says, or a convention does; it is shared by all airs of the job.

use chrono::{DateTime, Utc};
use grainfall_job::{Job, PressureSource};
use grainfall_psychrometrics::uncertainty::{Accuracy, CoverageFactor, Distribution, PressureAccuracy};
use grainfall_psychrometrics::{Metres, Pascals, pressure_at_elevation};
use grainfall_record::{LoggerSeries, Quantity, TidyFrame};
use grainfall_words::{Words, say};

use super::cover::usual_interval_s;
use super::instant::micros;
use super::matching::Lookup;
use crate::error::Error;
use crate::evidence::{Assumption, PressureBasis, PressureUsed};
use crate::rules::{LOGGED_PRESSURE_LIMIT_PA, UNKNOWN_ELEVATION_M, WEATHER_PRESSURE_U_PA};
use crate::words::number;

/// The pressure at every instant of the job.
#[derive(Debug, Clone)]
pub(crate) struct AirPressure {
    used: PressureUsed,
    accuracy: PressureAccuracy,
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
        let used = PressureUsed { pressure_pa, u_pressure_pa: 0.0, basis: PressureBasis::Stated, elevation_m: None };
        Self { used, accuracy: PressureAccuracy::Neglected, logged: None }
    }

    /// A pressure with standard uncertainties that do not hang together, Pa.
    fn known(
        pressure_pa: f64,
        basis: PressureBasis,
        standard_pa: &[f64],
        logged: Option<Logged>,
    ) -> Result<Self, Error> {
        let variance: f64 = standard_pa.iter().map(|u| u * u).sum();
        let u_pressure_pa = CoverageFactor::K2.get() * variance.sqrt();
        let accuracy = Accuracy::assumed(Pascals::new(u_pressure_pa), Distribution::NormalK2)
            .map_err(|source| Error::Pressure { source })?;
        let used = PressureUsed { pressure_pa, u_pressure_pa, basis, elevation_m: None };
        Ok(Self { used, accuracy: PressureAccuracy::Known(accuracy), logged })
    }

    /// What the report prints.
    pub(crate) fn used(&self) -> PressureUsed {
        self.used
    }

    /// How far it may be off, at every instant and for every logger alike.
    pub(crate) fn accuracy(&self) -> PressureAccuracy {
        self.accuracy
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

/// Finds the pressure to use, with what is assumed of it.
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
) -> Result<(AirPressure, Assumption), Error> {
    let refuse = |source| Error::Pressure { source };
    let weather_pa = WEATHER_PRESSURE_U_PA / CoverageFactor::K2.get();
    let limit_pa = job.pressure_accuracy.map(Pascals::get);
    let rectangular = |limit_pa: f64| limit_pa / 3.0_f64.sqrt();
    match job.pressure {
        PressureSource::Stated(pressure) => {
            grainfall_psychrometrics::humidity_ratio(Pascals::new(0.0), pressure).map_err(refuse)?;
            let standard_pa = limit_pa.map_or(weather_pa, rectangular);
            let used = AirPressure::known(pressure.get(), PressureBasis::Stated, &[standard_pa], None)?;
            Ok((used, assumption(job.zone.words, PressureBasis::Stated, limit_pa)))
        }
        PressureSource::Elevation(elevation) => {
            let pressure = pressure_at_elevation(elevation).map_err(refuse)?;
            let mut used = AirPressure::known(pressure.get(), PressureBasis::Elevation, &[weather_pa], None)?;
            used.used.elevation_m = Some(elevation.get());
            Ok((used, assumption(job.zone.words, PressureBasis::Elevation, None)))
        }
        PressureSource::NotStated => match logged_pressure(frame, clock) {
            Some((logged, pressure_pa)) => {
                let standard_pa = rectangular(limit_pa.unwrap_or(LOGGED_PRESSURE_LIMIT_PA));
                let used = AirPressure::known(pressure_pa, PressureBasis::Logged, &[standard_pa], Some(logged))?;
                Ok((used, assumption(job.zone.words, PressureBasis::Logged, limit_pa)))
            }
            None => {
                let sea_level = Pascals::STANDARD_ATMOSPHERE.get();
                let highest = pressure_at_elevation(Metres::new(UNKNOWN_ELEVATION_M)).map_err(refuse)?;
                let elevation_pa = rectangular(sea_level - highest.get());
                let used = AirPressure::known(sea_level, PressureBasis::SeaLevel, &[weather_pa, elevation_pa], None)?;
                Ok((used, assumption(job.zone.words, PressureBasis::SeaLevel, None)))
            }
        },
    }
}

/// What is taken for granted, and what it does to the printed uncertainties; `limit_pa` is what the job says of how far the
/// pressure may be off.
fn assumption(words: Words, basis: PressureBasis, limit_pa: Option<f64>) -> Assumption {
    let what_it_moves = say!(words, "pressure.it_is_part_of_every");
    let weather = say!(words, "pressure.weather");
    let stated = limit_pa.map(|pa| number(words, pa / 1000.0, 3));
    let (text, source, remedy) = match (basis, stated) {
        (PressureBasis::Stated, Some(limit)) => (
            say!(words, "pressure.the_stated_pressure_is_right", limit = limit, what_it_moves = what_it_moves),
            say!(words, "pressure.job_toml_pressure_accuracy"),
            say!(words, "pressure.log_the_station_pressure"),
        ),
        (PressureBasis::Logged, Some(limit)) => (
            say!(words, "pressure.the_logged_pressure_is_right", limit = limit, what_it_moves = what_it_moves),
            say!(words, "pressure.job_toml_pressure_accuracy"),
            say!(words, "pressure.write_the_pressure_or_elevation"),
        ),
        (PressureBasis::Stated, None) => (
            say!(words, "pressure.one_stated_air_pressure_stands", weather = weather, what_it_moves = what_it_moves),
            say!(words, "pressure.project_convention"),
            say!(words, "pressure.log_or_state_its_accuracy"),
        ),
        (PressureBasis::Elevation, _) => (
            say!(words, "pressure.the_air_pressure_follows_from", weather = weather, what_it_moves = what_it_moves),
            say!(words, "pressure.ashrae_handbook_fundamentals_2017_ch"),
            say!(words, "pressure.log_the_station_pressure"),
        ),
        (PressureBasis::Logged, None) => (
            say!(words, "pressure.the_logged_station_pressure_is", what_it_moves = what_it_moves),
            say!(words, "pressure.project_convention"),
            say!(words, "pressure.write_the_pressure_or_elevation"),
        ),
        (PressureBasis::SeaLevel, _) => (
            say!(words, "pressure.the_air_pressure_is_that", weather = weather, what_it_moves = what_it_moves),
            say!(words, "pressure.ashrae_handbook_fundamentals_2017_ch"),
            say!(words, "pressure.job_toml_job_elevation_620"),
        ),
    };
    Assumption { text, source: source.to_owned(), remedy: remedy.to_owned() }
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
