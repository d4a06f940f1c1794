//! Kernels over columns: the scalar functions row by row, the same result to the bit.
//!
//! A column is a slice with one entry per sample. `None` in any input of a row gives `None` out. A row that the scalar
//! function refuses stops the column with [`Error::Row`], which names it: bad rows are found and marked before a column
//! gets here. Columns of different length are refused.

use crate::dew_point::dew_point;
use crate::error::Error;
use crate::humidity_ratio::{check_ratio, humidity_ratio, vapour_pressure};
use crate::mixture::{enthalpy, specific_volume};
use crate::saturation::Saturation;
use crate::units::{Celsius, HumidityRatio, Pascals, RelativeHumidity};
use crate::wet_bulb::{WetBulbBranch, wet_bulb};

/// Total pressure of a batch: one for all rows, or a column of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PressureInput<'a> {
    /// One pressure for every row.
    Constant(Pascals),
    /// A column in pascals, as long as the other inputs.
    PerRow(&'a [Option<f64>]),
}

impl PressureInput<'_> {
    fn check_length(&self, expected: usize) -> Result<(), Error> {
        match self {
            Self::Constant(_) => Ok(()),
            Self::PerRow(column) => same_length("pressure_pa", column, expected),
        }
    }

    fn at(&self, row: usize) -> Option<Pascals> {
        match self {
            Self::Constant(pressure) => Some(*pressure),
            Self::PerRow(column) => column.get(row).copied().flatten().map(Pascals::new),
        }
    }
}

/// Vapour pressure in pascals, see [`vapour_pressure`].
///
/// # Arguments
/// * `air_temp_c`: -100 to 200 C, shape `[n_samples]`.
/// * `rh_pct`: 0 to 100 %, same length.
///
/// # Errors
/// [`Error::LengthMismatch`]; [`Error::Row`] for a row outside those ranges.
pub fn vapour_pressure_pa(
    air_temp_c: &[Option<f64>],
    rh_pct: &[Option<f64>],
    over: Saturation,
) -> Result<Vec<Option<f64>>, Error> {
    same_length("rh_pct", rh_pct, air_temp_c.len())?;
    each_row(air_temp_c.len(), |row| {
        let (Some(t), Some(rh)) = (air_temp_c[row], rh_pct[row]) else { return Ok(None) };
        vapour_pressure(Celsius::new(t), RelativeHumidity::from_percent(rh)?, over).map(|pressure| Some(pressure.get()))
    })
}

/// Humidity ratio in kg/kg of dry air, see [`humidity_ratio`].
///
/// # Arguments
/// * `vapour_pressure_pa`: 0 or above and below the total pressure, shape `[n_samples]`.
/// * `pressure`: total pressure, 10 to 200 kPa.
///
/// # Errors
/// [`Error::LengthMismatch`]; [`Error::Row`] for a row outside those ranges.
pub fn humidity_ratio_kg_kg(
    vapour_pressure_pa: &[Option<f64>],
    pressure: PressureInput<'_>,
) -> Result<Vec<Option<f64>>, Error> {
    pressure.check_length(vapour_pressure_pa.len())?;
    each_row(vapour_pressure_pa.len(), |row| {
        let (Some(vapour_pa), Some(pressure)) = (vapour_pressure_pa[row], pressure.at(row)) else { return Ok(None) };
        humidity_ratio(Pascals::new(vapour_pa), pressure).map(|ratio| Some(ratio.get()))
    })
}

/// Grains per pound of dry air.
///
/// # Arguments
/// * `humidity_ratio_kg_kg`: 0 or above, shape `[n_samples]`.
///
/// # Errors
/// [`Error::Row`] for a negative row.
pub fn gpp(humidity_ratio_kg_kg: &[Option<f64>]) -> Result<Vec<Option<f64>>, Error> {
    each_row(humidity_ratio_kg_kg.len(), |row| {
        let Some(ratio) = humidity_ratio_kg_kg[row].map(HumidityRatio::new) else { return Ok(None) };
        check_ratio(ratio)?;
        Ok(Some(ratio.to_grains_per_pound()))
    })
}

/// Dew point in degrees Celsius, see [`dew_point`].
///
/// # Arguments
/// * `vapour_pressure_pa`: 0 Pa to saturation at 200 C, shape `[n_samples]`.
///
/// # Returns
/// `None` also where the air is so dry that it has no dew point above -100 C.
///
/// # Errors
/// [`Error::Row`] for a row outside that range.
pub fn dew_point_c(vapour_pressure_pa: &[Option<f64>], over: Saturation) -> Result<Vec<Option<f64>>, Error> {
    each_row(vapour_pressure_pa.len(), |row| {
        let Some(vapour_pa) = vapour_pressure_pa[row] else { return Ok(None) };
        Ok(dew_point(Pascals::new(vapour_pa), over)?.map(Celsius::get))
    })
}

/// Wet bulb in degrees Celsius, see [`wet_bulb`].
///
/// # Arguments
/// * `air_temp_c`: -100 to 200 C, shape `[n_samples]`.
/// * `humidity_ratio_kg_kg`: 0 to saturation, same length.
/// * `pressure`: total pressure, 10 to 200 kPa.
/// * `branch`: the answer taken near 0 C where there are two.
///
/// # Errors
/// [`Error::LengthMismatch`]; [`Error::Row`] for a row outside those ranges.
pub fn wet_bulb_c(
    air_temp_c: &[Option<f64>],
    humidity_ratio_kg_kg: &[Option<f64>],
    pressure: PressureInput<'_>,
    branch: WetBulbBranch,
) -> Result<Vec<Option<f64>>, Error> {
    same_length("humidity_ratio_kg_kg", humidity_ratio_kg_kg, air_temp_c.len())?;
    pressure.check_length(air_temp_c.len())?;
    each_row(air_temp_c.len(), |row| {
        let (Some(t), Some(w), Some(pressure)) = (air_temp_c[row], humidity_ratio_kg_kg[row], pressure.at(row)) else {
            return Ok(None);
        };
        wet_bulb(Celsius::new(t), HumidityRatio::new(w), pressure, branch).map(|t| Some(t.get()))
    })
}

/// Enthalpy in kJ/kg of dry air, see [`enthalpy`].
///
/// # Arguments
/// * `air_temp_c`: -100 to 200 C, shape `[n_samples]`.
/// * `humidity_ratio_kg_kg`: 0 or above, same length.
///
/// # Errors
/// [`Error::LengthMismatch`]; [`Error::Row`] for a row outside those ranges.
pub fn enthalpy_kj_kg(
    air_temp_c: &[Option<f64>],
    humidity_ratio_kg_kg: &[Option<f64>],
) -> Result<Vec<Option<f64>>, Error> {
    same_length("humidity_ratio_kg_kg", humidity_ratio_kg_kg, air_temp_c.len())?;
    each_row(air_temp_c.len(), |row| {
        let (Some(t), Some(w)) = (air_temp_c[row], humidity_ratio_kg_kg[row]) else { return Ok(None) };
        enthalpy(Celsius::new(t), HumidityRatio::new(w)).map(|h| Some(h.get()))
    })
}

/// Specific volume in m3/kg of dry air, see [`specific_volume`].
///
/// # Arguments
/// * `air_temp_c`: -100 to 200 C, shape `[n_samples]`.
/// * `humidity_ratio_kg_kg`: 0 or above, same length.
/// * `pressure`: total pressure, 10 to 200 kPa.
///
/// # Errors
/// [`Error::LengthMismatch`]; [`Error::Row`] for a row outside those ranges.
pub fn specific_volume_m3_kg(
    air_temp_c: &[Option<f64>],
    humidity_ratio_kg_kg: &[Option<f64>],
    pressure: PressureInput<'_>,
) -> Result<Vec<Option<f64>>, Error> {
    same_length("humidity_ratio_kg_kg", humidity_ratio_kg_kg, air_temp_c.len())?;
    pressure.check_length(air_temp_c.len())?;
    each_row(air_temp_c.len(), |row| {
        let (Some(t), Some(w), Some(pressure)) = (air_temp_c[row], humidity_ratio_kg_kg[row], pressure.at(row)) else {
            return Ok(None);
        };
        specific_volume(Celsius::new(t), HumidityRatio::new(w), pressure).map(|v| Some(v.get()))
    })
}

fn each_row(rows: usize, value: impl Fn(usize) -> Result<Option<f64>, Error>) -> Result<Vec<Option<f64>>, Error> {
    (0..rows).map(|row| value(row).map_err(|fault| Error::Row { row, fault: Box::new(fault) })).collect()
}

fn same_length(column: &'static str, values: &[Option<f64>], expected: usize) -> Result<(), Error> {
    if values.len() == expected { Ok(()) } else { Err(Error::LengthMismatch { column, expected, found: values.len() }) }
}
