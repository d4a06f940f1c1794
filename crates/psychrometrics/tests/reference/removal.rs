//! Water removal against a worked machine.

use grainfall_psychrometrics::removal::{AirFlowAccuracy, removal, removal_rate};
use grainfall_psychrometrics::uncertainty::{
    Accuracy, Correlation, CoverageFactor, Distribution, Measured, PressureAccuracy, SensorAccuracy, gpp_difference,
};
use grainfall_psychrometrics::{
    AirFlow, Celsius, GrainsPerPound, Hours, MoistAir, Pascals, RelativeHumidity, Saturation, Share, SpecificVolume,
    WaterDensity,
};

use crate::table::rows;

fn air(temp_f: f64, rh_pct: f64) -> MoistAir {
    let rh = RelativeHumidity::from_percent(rh_pct).unwrap();
    MoistAir::from_temp_and_rh(Celsius::from_fahrenheit(temp_f), rh, Pascals::from_psi(14.696), Saturation::LiquidWater)
        .unwrap()
}

#[test]
fn the_worked_machine() {
    for row in rows("water_removal.csv", 1) {
        let inlet = air(row.number("inlet_temp_f"), row.number("inlet_rh_pct"));
        let outlet = air(row.number("outlet_temp_f"), row.number("outlet_rh_pct"));
        let depression = inlet.grains_per_pound() - outlet.grains_per_pound();
        let rel_tol = row.number("rel_tol");
        row.assert_rel(depression.get(), "depression_gr_lb", rel_tol);
        let flow = AirFlow::from_cfm(row.number("flow_cfm"));
        let rate = removal_rate(flow, inlet.specific_volume(), depression).unwrap();
        row.assert_rel(rate.to_pounds_per_hour(), "removal_lb_h", rel_tol);
        row.assert_rel(rate.to_pounds_per_day(), "removal_lb_day", rel_tol);
        row.assert_printed(rate.to_pints_per_day(WaterDensity::AT_80_F), "removal_pints_day", rel_tol);
        // Half a day at this rate is half of the daily mass.
        row.assert_rel(2.0 * rate.over(Hours::new(12.0)).to_pounds(), "removal_lb_day", rel_tol);
        // Standard air, 0.075 lb/ft3, would give 127.27 lb a day (hand calculation).
        let standard = SpecificVolume::from_cubic_feet_per_pound(1.0 / 0.075);
        let with_standard_air = removal_rate(flow, standard, depression).unwrap();
        assert!((with_standard_air.to_pounds_per_day() - 127.27).abs() <= 0.006);
    }
}

#[test]
fn uncertainty_joins_depression_and_airflow() {
    let (inlet, outlet) = (air(80.0, 60.0), air(98.0, 22.0));
    let sensor = SensorAccuracy::assumed();
    let depression = gpp_difference(
        Measured { air: &inlet, sensor },
        Measured { air: &outlet, sensor },
        Correlation::INDEPENDENT,
        &PressureAccuracy::Neglected,
    );
    let flow = AirFlow::from_cfm(250.0);
    let of = |accuracy| removal(flow, accuracy, &inlet, &depression, &PressureAccuracy::Neglected).unwrap();
    // u(depression) is 3.771 of 32.995 gr/lb for two independent sensors (derivatives of psychrolib 2.5.0): 11.43 %.
    let neglected = of(AirFlowAccuracy::Neglected);
    assert!((neglected.standard().get() / neglected.rate.get() - 0.1143).abs() <= 5e-5);
    // With 10 % at k = 2, 5 % standard: sqrt(11.43^2 + 5^2) = 12.48 %.
    let ten = Accuracy::stated("10 %".parse::<Share>().unwrap(), Distribution::NormalK2).unwrap();
    let known = of(AirFlowAccuracy::Known(ten));
    assert!((known.standard().get() / known.rate.get() - 0.1248).abs() <= 5e-5);
    assert!((known.expanded(CoverageFactor::K2).get() / known.standard().get() - 2.0).abs() <= 1e-12);
    assert!(!known.is_within_uncertainty(CoverageFactor::K2));
}

#[test]
fn a_negative_depression_adds_water_and_impossible_inputs_are_refused() {
    let (flow, volume) = (AirFlow::from_cfm(250.0), SpecificVolume::new(0.85));
    let rate = removal_rate(flow, volume, GrainsPerPound::new(-5.0)).unwrap();
    assert!(rate.get() < 0.0);
    let message = |flow, volume, gpp| {
        removal_rate(AirFlow::new(flow), SpecificVolume::new(volume), GrainsPerPound::new(gpp)).unwrap_err().to_string()
    };
    assert_eq!(message(-0.1, 0.85, 5.0), "airflow in m3/s of `-0.1` is not zero or above");
    assert_eq!(message(0.1, 0.0, 5.0), "specific volume in m3/kg of `0` is not above zero");
    assert_eq!(message(0.1, 0.85, f64::NAN), "humidity ratio of `NaN` kg/kg is not zero or above");
}
