//! Vapour-pressure drive at a reading: vapour pressure at the material's surface minus that of the air.

use grainfall_job::{ReadingValue, Scale};
use grainfall_psychrometrics::wood::{ActivityBasis, water_activity};
use grainfall_psychrometrics::{Celsius, Saturation, WoodMoisture, saturation_vapour_pressure};

use super::readings::PointReading;
use crate::air::AirAt;
use crate::evidence::{Drive, DriveBasis};

/// The drive at a reading in this air.
///
/// The surface's water activity is 1 while free water is indicated (wood above fibre saturation), the wood sorption
/// equation inverted at the reading below it, and an upper bound of 1 for other materials, for which no curve is
/// supplied. Its temperature is the measured one, else the air's wet bulb while wet and the air's own below fibre
/// saturation, both labelled as assumed.
///
/// `None` when the reading carries neither number nor bound, or its temperature is outside the range of the
/// vapour-pressure or sorption equations: the record then tells no drive.
pub(crate) fn at_reading(reading: &PointReading, air: &AirAt) -> Option<Drive> {
    let wet = Celsius::new(reading.surface_temp_c.unwrap_or(air.wet_bulb_c));
    let dry = Celsius::new(reading.surface_temp_c.unwrap_or(air.air_temp_c));
    let (surface_temp, activity, basis) = match (&reading.value, reading.scale) {
        (ReadingValue::NoReading(_), _) => return None,
        (ReadingValue::Measured(value), Scale::WoodMc) => {
            let activity = water_activity(dry, WoodMoisture::new(*value)).ok()?;
            match activity.basis {
                ActivityBasis::FreeWater => (wet, 1.0, DriveBasis::FreeWater),
                ActivityBasis::SorptionCurve | ActivityBasis::Extrapolated => {
                    (dry, activity.value, DriveBasis::WoodSorption)
                }
            }
        }
        // A bound above fibre saturation shows free water; a lower one leaves it open.
        (ReadingValue::Above(value), Scale::WoodMc)
            if water_activity(dry, WoodMoisture::new(*value)).is_ok_and(|a| a.basis == ActivityBasis::FreeWater) =>
        {
            (wet, 1.0, DriveBasis::FreeWater)
        }
        _ => (wet, 1.0, DriveBasis::UpperBound),
    };
    let surface_pa = activity * saturation_vapour_pressure(surface_temp, Saturation::LiquidWater).ok()?.get();
    Some(Drive {
        drive_pa: surface_pa - air.vapour_pressure_pa,
        surface_pa,
        air_pa: air.vapour_pressure_pa,
        surface_temp_c: surface_temp.get(),
        surface_temp_measured: reading.surface_temp_c.is_some(),
        basis,
        air: air.label.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::DateTime;
    use grainfall_record::RowRef;

    fn air() -> AirAt {
        AirAt {
            air_temp_c: 26.666_666_666_666_67,
            rh_pct: 60.0,
            vapour_pressure_pa: 0.6 * 3498.084,
            wet_bulb_c: 20.916_5,
            gpp: 92.0885,
            label: "affected".into(),
        }
    }

    fn reading(value: ReadingValue, scale: Scale, surface_temp_c: Option<f64>) -> PointReading {
        PointReading {
            time: DateTime::UNIX_EPOCH,
            value,
            scale,
            meter: None,
            surface_temp_c,
            by: None,
            note: None,
            row: RowRef::new("readings.csv", 2),
            logged: false,
            correction: crate::material::correction::Correction::None,
        }
    }

    /// Saturation at 20.9165 C: 2474.6 Pa, at 26.667 C: 3498.084 Pa (ASHRAE equations as in psychrolib 2.5.0; the first
    /// from the wet bulb's own state, 60 % at 26.667 C).
    #[test]
    fn free_water_dries_at_the_wet_bulb() {
        let drive = at_reading(&reading(ReadingValue::Above(40.0), Scale::WoodMc, None), &air()).unwrap();
        assert_eq!(drive.basis, DriveBasis::FreeWater);
        assert!(!drive.surface_temp_measured);
        assert!((drive.surface_temp_c - 20.9165).abs() < 1e-9);
        assert!((drive.surface_pa - 2474.6).abs() < 2.5, "{}", drive.surface_pa);
        assert!(drive.drive_pa > 0.0);
    }

    /// 16 % moisture content goes with 80.01 % relative humidity at 70 F (Wood Handbook equation, F form).
    #[test]
    fn dry_wood_follows_the_sorption_curve() {
        let at_70_f = Some(21.111_111);
        let drive = at_reading(&reading(ReadingValue::Measured(16.0), Scale::WoodMc, at_70_f), &air()).unwrap();
        assert_eq!(drive.basis, DriveBasis::WoodSorption);
        assert!(drive.surface_temp_measured);
        assert!((drive.surface_pa / 2504.708 - 0.8001).abs() < 0.001, "{}", drive.surface_pa / 2504.708);
    }

    #[test]
    fn other_materials_have_an_upper_bound_only() {
        let drive = at_reading(&reading(ReadingValue::Measured(60.0), Scale::Relative, None), &air()).unwrap();
        assert_eq!(drive.basis, DriveBasis::UpperBound);
    }

    #[test]
    fn no_access_no_drive() {
        assert_eq!(
            at_reading(&reading(ReadingValue::NoReading("no access".into()), Scale::WoodMc, None), &air()),
            None
        );
    }
}
