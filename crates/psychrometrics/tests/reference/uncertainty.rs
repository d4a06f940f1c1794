//! Uncertainties against budgets worked out with another implementation, and against propagation of distributions.

use grainfall_psychrometrics::uncertainty::{
    Accuracy, Correlation, CoverageFactor, Distribution, Measured, PressureAccuracy, Sensitivity, SensorAccuracy,
    dew_point_difference, dew_point_sensitivity, dew_point_uncertainty, enthalpy_sensitivity, gpp_difference,
    gpp_sensitivity, gpp_uncertainty, vapour_pressure_difference, vapour_pressure_sensitivity,
    vapour_pressure_uncertainty,
};
use grainfall_psychrometrics::{
    Celsius, CelsiusDelta, Error, MoistAir, Pascals, RelativeHumidity, RelativeHumidityDelta, Saturation,
};

use crate::table::rows;

/// Inch-pound and SI constants are rounded apart by this share.
const CONSTANTS: f64 = 1e-5;

fn air(temp_f: f64, rh_pct: f64) -> MoistAir {
    air_at(temp_f, rh_pct, Pascals::from_psi(14.696))
}

fn air_at(temp_f: f64, rh_pct: f64, pressure: Pascals) -> MoistAir {
    let rh = RelativeHumidity::from_percent(rh_pct).unwrap();
    MoistAir::from_temp_and_rh(Celsius::from_fahrenheit(temp_f), rh, pressure, Saturation::LiquidWater).unwrap()
}

#[test]
fn one_reading() {
    for row in rows("gpp_uncertainty.csv", 6) {
        let air = air(row.number("temp_f"), row.number("rh_pct"));
        let sensor = SensorAccuracy::assumed();
        let sensitivity = gpp_sensitivity(&air);
        row.assert_printed(air.grains_per_pound().get(), "gpp_gr_lb", CONSTANTS);
        row.assert_printed(sensitivity.per_k / 1.8, "gpp_per_f_gr_lb", CONSTANTS);
        row.assert_printed(sensitivity.per_rh_pct, "gpp_per_rh_pct_gr_lb", CONSTANTS);
        let gpp = gpp_uncertainty(&air, &sensor, &PressureAccuracy::Neglected);
        row.assert_printed(gpp.standard().get(), "u_gpp_gr_lb", CONSTANTS);
        row.assert_printed(gpp.expanded(CoverageFactor::K2).get(), "big_u_gpp_gr_lb", CONSTANTS);
        row.assert_printed(100.0 * gpp.rh_share().unwrap(), "rh_share_pct", CONSTANTS);
        let dew_point = dew_point_uncertainty(&air, &sensor).unwrap();
        row.assert_printed(air.dew_point().unwrap().to_fahrenheit(), "dew_point_f", CONSTANTS);
        row.assert_printed(dew_point.standard().to_fahrenheit_degrees(), "u_dew_point_f", CONSTANTS);
        row.assert_printed(
            dew_point.expanded(CoverageFactor::K2).to_fahrenheit_degrees(),
            "big_u_dew_point_f",
            CONSTANTS,
        );
    }
}

#[test]
fn two_sensors() {
    let sensor = SensorAccuracy::assumed();
    for row in rows("gpp_difference.csv", 8) {
        let first = air(row.number("first_temp_f"), row.number("first_rh_pct"));
        let second = air(row.number("second_temp_f"), row.number("second_rh_pct"));
        let difference = gpp_difference(
            Measured { air: &first, sensor },
            Measured { air: &second, sensor },
            Correlation::new(row.number("rho")).unwrap(),
            &PressureAccuracy::Neglected,
        );
        row.assert_printed(difference.value.get(), "difference_gr_lb", CONSTANTS);
        row.assert_printed(difference.budget.standard().get(), "u_gr_lb", CONSTANTS);
    }
}

#[test]
fn propagation_of_the_rectangular_distributions_gives_nearly_the_same() {
    // 1e5 random draws at 80 F / 60 % gave a standard deviation of 2.009 gr/lb (psychrolib 2.5.0); here the same box is
    // averaged on a fixed grid of midpoints. A sample standard deviation of 1e5 draws is good to 0.005 gr/lb.
    let steps = 200;
    let offset = |index: i32, limit: f64| limit * (f64::from(2 * index + 1) / f64::from(steps) - 1.0);
    let values: Vec<f64> = (0..steps)
        .flat_map(|i| (0..steps).map(move |j| air(80.0 + offset(i, 0.5), 60.0 + offset(j, 2.0))))
        .map(|air| air.grains_per_pound().get())
        .collect();
    let count = f64::from(steps * steps);
    let mean = values.iter().sum::<f64>() / count;
    let deviation = (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / count).sqrt();
    assert!((deviation - 2.009).abs() <= 0.012, "{deviation}");
    let linear = gpp_uncertainty(&air(80.0, 60.0), &SensorAccuracy::assumed(), &PressureAccuracy::Neglected);
    assert!((linear.standard().get() / deviation - 1.0).abs() <= 0.005, "{deviation}");
}

type Figure<'a> = &'a dyn Fn(&MoistAir) -> f64;

#[test]
fn derivatives_are_those_of_the_functions() {
    // Central differences; steps chosen so that their own error stays below 1e-6 of the derivative.
    let (dt_f, drh, dp) = (0.01, 0.01, 10.0);
    let slope = |figure: &dyn Fn(&MoistAir) -> f64, up: MoistAir, down: MoistAir, width: f64| {
        (figure(&up) - figure(&down)) / width
    };
    for (t, rh) in [(35.0, 40.0), (60.0, 60.0), (80.0, 60.0), (98.0, 22.0), (110.0, 5.0)] {
        let p = 84_000.0;
        let at = |t, rh, p| air_at(t, rh, Pascals::new(p));
        let here = at(t, rh, p);
        let cases: [(Figure<'_>, Sensitivity); 4] = [
            (&|air| air.vapour_pressure().get(), vapour_pressure_sensitivity(&here)),
            (&|air| air.grains_per_pound().get(), gpp_sensitivity(&here)),
            (&|air| air.enthalpy().get(), enthalpy_sensitivity(&here)),
            (&|air| air.dew_point().unwrap().get(), dew_point_sensitivity(&here).unwrap()),
        ];
        for (figure, sensitivity) in cases {
            let per_k = slope(figure, at(t + dt_f, rh, p), at(t - dt_f, rh, p), 2.0 * dt_f / 1.8);
            let per_rh = slope(figure, at(t, rh + drh, p), at(t, rh - drh, p), 2.0 * drh);
            let per_pa = slope(figure, at(t, rh, p + dp), at(t, rh, p - dp), 2.0 * dp);
            assert!((sensitivity.per_k / per_k - 1.0).abs() <= 2e-6, "{t} F {rh} %: {per_k} per K");
            assert!((sensitivity.per_rh_pct / per_rh - 1.0).abs() <= 2e-6, "{t} F {rh} %: {per_rh} per %");
            assert!((sensitivity.per_pa - per_pa).abs() <= 1e-6 * per_pa.abs() + 1e-9, "{t} F {rh} %: {per_pa} per Pa");
        }
    }
}

#[test]
fn pressure_enters_and_cancels_between_like_places() {
    let pressure = PressureAccuracy::Known(Accuracy::stated(Pascals::new(1000.0), Distribution::NormalK2).unwrap());
    let here = air(80.0, 60.0);
    let budget = gpp_uncertainty(&here, &SensorAccuracy::assumed(), &pressure);
    // 1 kPa of 101.3 is 1 %, times p/(p - pw) = 1.02; half of it is the standard uncertainty.
    let share = 2.0 * budget.from_pressure.get() / here.grains_per_pound().get();
    assert!((share - 0.0101).abs() <= 0.0002, "{share}");
    let measured = Measured { air: &here, sensor: SensorAccuracy::assumed() };
    let difference = gpp_difference(measured, measured, Correlation::INDEPENDENT, &pressure);
    assert!(difference.budget.from_pressure.get().abs() <= 1e-12);
    assert!(difference.is_within_uncertainty(CoverageFactor::K2));
}

#[test]
fn one_probe_at_one_state_has_no_uncertainty_of_difference() {
    let here = air(75.0, 50.0);
    let measured = Measured { air: &here, sensor: SensorAccuracy::assumed() };
    let vapour = vapour_pressure_difference(measured, measured, Correlation::SAME_PROBE);
    assert!(vapour.budget.standard().get().abs() <= 1e-9);
    assert_eq!(vapour.budget.rh_share(), None);
    let dew_point = dew_point_difference(measured, measured, Correlation::INDEPENDENT).unwrap();
    let single = dew_point_uncertainty(&here, &measured.sensor).unwrap();
    // Two independent equal parts add to sqrt 2 of one.
    assert!((dew_point.budget.standard().get() / single.standard().get() - 2.0_f64.sqrt()).abs() <= 1e-12);
}

#[test]
fn a_data_sheet_at_k_two_counts_for_less_than_rectangular_limits() {
    let temp = |distribution| Accuracy::stated(CelsiusDelta::new(0.3), distribution).unwrap();
    let rh = |distribution| Accuracy::stated(RelativeHumidityDelta::new(2.0), distribution).unwrap();
    let sensor = |distribution| SensorAccuracy { temp: temp(distribution), rh: rh(distribution) };
    let of = |distribution| vapour_pressure_uncertainty(&air(80.0, 60.0), &sensor(distribution)).standard().get();
    // sqrt 3 / 2 (JCGM 100:2008, 4.3.3 and 4.3.7).
    assert!((of(Distribution::NormalK2) / of(Distribution::Rectangular) - 0.866).abs() <= 5e-4);
    assert!(!sensor(Distribution::NormalK2).is_assumed());
    assert!(SensorAccuracy::assumed().is_assumed());
    let mixed = SensorAccuracy { temp: temp(Distribution::Rectangular), rh: SensorAccuracy::assumed().rh };
    assert!(mixed.is_assumed());
}

#[test]
fn impossible_accuracies_are_refused() {
    let error = Accuracy::stated(CelsiusDelta::new(-0.5), Distribution::Rectangular).unwrap_err();
    assert_eq!(error.to_string(), "accuracy of `-0.5` is not zero or above");
    assert!(Accuracy::stated(Pascals::new(f64::NAN), Distribution::Rectangular).is_err());
    assert_eq!(Correlation::new(1.01), Err(Error::CorrelationOutOfRange { found: 1.01 }));
    assert!(Correlation::new(f64::NAN).is_err());
    assert!(CoverageFactor::new(-1.0).is_err());
}
