//! Properties that hold for every state: round trips, monotonicity, no NaN, columns equal to scalars to the bit.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking, helper functions included")]

use grainfall_psychrometrics::batch::{self, PressureInput};
use grainfall_psychrometrics::wood::{equilibrium_humidity, equilibrium_moisture};
use grainfall_psychrometrics::{
    Celsius, Error, GrainsPerPound, HumidityRatio, MoistAir, Pascals, Property, RelativeHumidity, Saturation,
    WetBulbBranch, dew_point, enthalpy, frost_point, humidity_ratio, saturation_vapour_pressure, specific_volume,
    vapour_pressure, wet_bulb,
};
use proptest::prelude::*;

fn saturation() -> impl Strategy<Value = Saturation> {
    prop_oneof![Just(Saturation::LiquidWater), Just(Saturation::IceBelowTriplePoint)]
}

fn branch() -> impl Strategy<Value = WetBulbBranch> {
    prop_oneof![Just(WetBulbBranch::IcedWick), Just(WetBulbBranch::LiquidWick)]
}

/// Temperature, humidity, pressure and choice of any state with some water in it.
fn state(temp_c: std::ops::Range<f64>, rh_pct: std::ops::RangeInclusive<f64>) -> impl Strategy<Value = MoistAir> {
    (temp_c, rh_pct, 20_000.0..110_000.0, saturation()).prop_filter_map("air is left", |(t, rh, p, over)| {
        let rh = RelativeHumidity::from_percent(rh).unwrap();
        MoistAir::from_temp_and_rh(Celsius::new(t), rh, Pascals::new(p), over).ok()
    })
}

fn pairs(air: &MoistAir) -> Vec<(Property, Property)> {
    let moisture = [
        Property::DewPoint(air.dew_point().unwrap()),
        Property::HumidityRatio(air.humidity_ratio()),
        Property::VapourPressure(air.vapour_pressure()),
    ];
    let temp = Property::Temperature(air.temperature());
    let rh = Property::RelativeHumidity(air.rh());
    let mut pairs = vec![(temp, rh), (rh, temp)];
    for wet_bulb in [WetBulbBranch::IcedWick, WetBulbBranch::LiquidWick].map(|b| Property::WetBulb(air.wet_bulb_on(b)))
    {
        pairs.extend([(temp, wet_bulb), (wet_bulb, temp), (rh, wet_bulb), (wet_bulb, rh)]);
        pairs.extend(moisture.iter().flat_map(|&m| [(m, wet_bulb), (wet_bulb, m)]));
    }
    pairs.extend(moisture.iter().flat_map(|&m| [(temp, m), (m, temp), (rh, m), (m, rh)]));
    pairs
}

fn bits(values: &[Option<f64>]) -> Vec<Option<u64>> {
    values.iter().map(|value| value.map(f64::to_bits)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn every_pair_of_properties_leads_back_to_the_state(air in state(-40.0..80.0, 5.0..=99.0)) {
        // In air between -0.01 and 0.01 C that is nearly saturated over water an iced wick can stand between 0 C and the
        // triple point, where the inverse takes the liquid equation; states there are left out.
        prop_assume!(air.temperature().get().abs() > 0.02);
        for (first, second) in pairs(&air) {
            let back = MoistAir::from_pair(first, second, air.pressure(), air.saturation());
            let back = back.map_err(|error| TestCaseError::fail(format!("{first:?} {second:?}: {error}")))?;
            let what = format!("{first:?} and {second:?} gave {back:?}");
            // A wet bulb good to 1e-11 K is worth 1e-8 of the humidity in the coldest, driest state.
            prop_assert!((back.temperature() - air.temperature()).get().abs() <= 1e-6, "{}", what);
            let share = back.humidity_ratio().get() / air.humidity_ratio().get();
            prop_assert!((share - 1.0).abs() <= 1e-6, "{}", what);
            prop_assert!((back.rh().percent() - air.rh().percent()).abs() <= 1e-4, "{}", what);
        }
    }

    #[test]
    fn no_property_is_nan_or_infinite(air in state(-100.0..200.0, 0.0..=100.0), branch in branch()) {
        let values = [
            air.vapour_pressure().get(), air.saturation_pressure().get(), air.humidity_ratio().get(),
            air.grains_per_pound().get(), air.wet_bulb_on(branch).get(), air.enthalpy().get(),
            air.specific_volume().get(), air.density().get(), air.absolute_humidity().get(),
            air.dew_point().map_or(0.0, Celsius::get), air.frost_point().map_or(0.0, Celsius::get),
        ];
        prop_assert!(values.iter().all(|value| value.is_finite()), "{:?}: {:?}", air, values);
    }

    #[test]
    fn dew_point_is_at_or_below_wet_bulb_and_wet_bulb_at_or_below_air(air in state(0.02..80.0, 1.0..=100.0), branch in branch()) {
        let wet_bulb = air.wet_bulb_on(branch).get();
        let rounding = 1e-9;
        prop_assert!(wet_bulb <= air.temperature().get() + rounding, "{:?}", air);
        // Below 0 C the dew point over ice is the one the iced wick knows.
        let dew_or_frost = air.frost_point().or(air.dew_point()).unwrap().get();
        prop_assert!(dew_or_frost <= wet_bulb.max(0.0) + rounding, "{:?}", air);
    }

    #[test]
    fn warmer_saturated_air_holds_more(t in -100.0..199.0_f64, step in 1e-3..1.0_f64, over in saturation()) {
        let at = |t| saturation_vapour_pressure(Celsius::new(t), over).unwrap();
        prop_assert!(at(t) < at(t + step));
    }

    #[test]
    fn more_water_means_higher_dew_point_wet_bulb_and_enthalpy(
        t in -40.0..60.0_f64, rh in 1.0..98.0_f64, step in 0.1..2.0_f64, over in saturation(), branch in branch(),
    ) {
        let at = |rh| MoistAir::from_temp_and_rh(
            Celsius::new(t), RelativeHumidity::from_percent(rh).unwrap(), Pascals::STANDARD_ATMOSPHERE, over,
        ).unwrap();
        let (drier, wetter) = (at(rh), at(rh + step));
        prop_assert!(drier.dew_point().unwrap() < wetter.dew_point().unwrap());
        prop_assert!(drier.humidity_ratio() < wetter.humidity_ratio());
        prop_assert!(drier.enthalpy().get() < wetter.enthalpy().get());
        prop_assert!(drier.wet_bulb_on(branch) < wetter.wet_bulb_on(branch));
        prop_assert!(drier.density() > wetter.density(), "moist air is lighter");
    }

    #[test]
    fn thinner_air_holds_more_per_pound(t in 0.0..50.0_f64, rh in 1.0..=100.0_f64, p in 50_000.0..100_000.0_f64) {
        let at = |p| MoistAir::from_temp_and_rh(
            Celsius::new(t), RelativeHumidity::from_percent(rh).unwrap(), Pascals::new(p), Saturation::LiquidWater,
        ).unwrap().grains_per_pound();
        prop_assert!(at(p) > at(p + 1000.0));
    }

    #[test]
    fn dew_point_inverts_saturation_to_a_nanokelvin(t in -99.9..199.9_f64, over in saturation()) {
        let pressure = saturation_vapour_pressure(Celsius::new(t), over).unwrap();
        let back = dew_point(pressure, over).unwrap().unwrap();
        prop_assert!((back.get() - t).abs() <= 1e-9, "{} came back as {:?}", t, back);
    }

    #[test]
    fn wood_takes_more_water_from_moister_air(t in -1.0..60.0_f64, rh in 0.0..99.0_f64, step in 0.1..1.0_f64) {
        let at = |rh| equilibrium_moisture(Celsius::new(t), RelativeHumidity::from_percent(rh).unwrap()).unwrap();
        prop_assert!(at(rh) < at(rh + step));
        let back = equilibrium_humidity(Celsius::new(t), at(rh)).unwrap();
        prop_assert!((back.percent() - rh).abs() <= 1e-7);
    }

    #[test]
    fn columns_equal_scalars_to_the_bit(
        rows in prop::collection::vec(
            (prop::option::weighted(0.9, -40.0..60.0_f64), prop::option::weighted(0.9, 0.0..=100.0_f64),
             prop::option::weighted(0.9, 60_000.0..110_000.0_f64)), 0..20),
        over in saturation(),
        branch in branch(),
        one_pressure in any::<bool>(),
    ) {
        let temps: Vec<_> = rows.iter().map(|row| row.0).collect();
        let humidities: Vec<_> = rows.iter().map(|row| row.1).collect();
        let pressures: Vec<_> =
            rows.iter().map(|row| if one_pressure { Some(84_000.0) } else { row.2 }).collect();
        let pressure = if one_pressure {
            PressureInput::Constant(Pascals::new(84_000.0))
        } else {
            PressureInput::PerRow(&pressures)
        };
        let by_row = |value: &dyn Fn(f64, f64, f64) -> f64, needs_pressure: bool| -> Vec<Option<u64>> {
            (0..rows.len()).map(|row| {
                let p = if needs_pressure { pressures[row]? } else { 84_000.0 };
                Some(value(temps[row]?, humidities[row]?, p).to_bits())
            }).collect()
        };
        let vapour = |t, rh| vapour_pressure(Celsius::new(t), RelativeHumidity::from_percent(rh).unwrap(), over).unwrap();
        let ratio = |t, rh, p| humidity_ratio(vapour(t, rh), Pascals::new(p)).unwrap();

        let vapour_column = batch::vapour_pressure_pa(&temps, &humidities, over).unwrap();
        prop_assert_eq!(bits(&vapour_column), by_row(&|t, rh, _| vapour(t, rh).get(), false));

        let ratio_column = batch::humidity_ratio_kg_kg(&vapour_column, pressure).unwrap();
        prop_assert_eq!(bits(&ratio_column), by_row(&|t, rh, p| ratio(t, rh, p).get(), true));

        let gpp_column = batch::gpp(&ratio_column).unwrap();
        prop_assert_eq!(bits(&gpp_column), by_row(&|t, rh, p| GrainsPerPound::from(ratio(t, rh, p)).get(), true));

        let enthalpy_column = batch::enthalpy_kj_kg(&temps, &ratio_column).unwrap();
        let scalar = |t, rh, p| enthalpy(Celsius::new(t), ratio(t, rh, p)).unwrap().get();
        prop_assert_eq!(bits(&enthalpy_column), by_row(&scalar, true));

        let volume_column = batch::specific_volume_m3_kg(&temps, &ratio_column, pressure).unwrap();
        let scalar = |t, rh, p| specific_volume(Celsius::new(t), ratio(t, rh, p), Pascals::new(p)).unwrap().get();
        prop_assert_eq!(bits(&volume_column), by_row(&scalar, true));

        let wet_bulb_column = batch::wet_bulb_c(&temps, &ratio_column, pressure, branch).unwrap();
        let scalar = |t, rh, p| wet_bulb(Celsius::new(t), ratio(t, rh, p), Pascals::new(p), branch).unwrap().get();
        prop_assert_eq!(bits(&wet_bulb_column), by_row(&scalar, true));

        let dew_column = batch::dew_point_c(&vapour_column, over).unwrap();
        let scalar: Vec<_> = vapour_column.iter()
            .map(|pa| dew_point(Pascals::new((*pa)?), over).unwrap().map(Celsius::get)).collect();
        prop_assert_eq!(bits(&dew_column), bits(&scalar));
    }
}

#[test]
fn a_state_of_a_temperature_and_a_humidity_equals_the_scalar_functions_to_the_bit() {
    let (temp, rh) = (Celsius::from_fahrenheit(80.0), RelativeHumidity::from_percent(60.0).unwrap());
    let (p, over) = (Pascals::STANDARD_ATMOSPHERE, Saturation::LiquidWater);
    let air = MoistAir::from_temp_and_rh(temp, rh, p, over).unwrap();
    let w = humidity_ratio(vapour_pressure(temp, rh, over).unwrap(), p).unwrap();
    assert_eq!(air.humidity_ratio(), w);
    assert_eq!(air.dew_point(), dew_point(air.vapour_pressure(), over).unwrap());
    assert_eq!(air.wet_bulb(), wet_bulb(temp, w, p, WetBulbBranch::default()).unwrap());
    assert_eq!(air.enthalpy(), enthalpy(temp, w).unwrap());
    assert_eq!(air.specific_volume(), specific_volume(temp, w, p).unwrap());
}

#[test]
fn two_forms_of_one_piece_of_information_fix_no_state() {
    let moisture = [
        Property::DewPoint(Celsius::new(10.0)),
        Property::HumidityRatio(HumidityRatio::new(0.0076)),
        Property::VapourPressure(Pascals::new(1228.0)),
    ];
    for first in moisture {
        for second in moisture {
            let error =
                MoistAir::from_pair(first, second, Pascals::STANDARD_ATMOSPHERE, Saturation::LiquidWater).unwrap_err();
            assert_eq!(error, Error::DependentPair { first: first.name(), second: second.name() });
        }
    }
    let error = MoistAir::from_pair(moisture[0], moisture[1], Pascals::STANDARD_ATMOSPHERE, Saturation::LiquidWater)
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "dew point and humidity ratio do not fix a state: dew point, humidity ratio and vapour pressure are one piece \
         of information, give one of them with a temperature, a relative humidity or a wet bulb"
    );
}

#[test]
fn impossible_pairs_name_the_limit_they_break() {
    let of = |first, second| {
        MoistAir::from_pair(first, second, Pascals::STANDARD_ATMOSPHERE, Saturation::LiquidWater).unwrap_err()
    };
    let temp = |t| Property::Temperature(Celsius::new(t));
    let rh = |percent| Property::RelativeHumidity(RelativeHumidity::from_percent(percent).unwrap());
    let wet_bulb = |t| Property::WetBulb(Celsius::new(t));
    let dew_point = |t| Property::DewPoint(Celsius::new(t));

    let error = of(temp(20.0), dew_point(25.0));
    assert!(matches!(error, Error::Supersaturated { what: "dew point", .. }), "{error}");
    assert!(error.to_string().ends_with("of saturated air: air holds at most 100 % relative humidity"), "{error}");
    assert!(matches!(of(temp(20.0), wet_bulb(21.0)), Error::Supersaturated { what: "wet bulb", .. }));
    assert!(matches!(of(wet_bulb(15.0), dew_point(16.0)), Error::Supersaturated { what: "dew point", .. }));

    // psychrolib 2.5.0, which takes dry air as 1e-7 kg/kg, gives 10.5304 C at 30 C; that much water is worth 1e-4 K.
    let Error::WetBulbTooLow { limit_c, .. } = of(temp(30.0), wet_bulb(5.0)) else { panic!("not too low") };
    assert!((limit_c - 10.5304).abs() <= 2e-4, "{limit_c}");

    let no_air = |first: Property, second: Property, limit: &str| {
        let error = of(first, second);
        assert_eq!(
            error.to_string(),
            format!("no air has this {} together with this {}: {limit}", first.name(), second.name())
        );
    };
    no_air(rh(0.0), dew_point(10.0), "air of 0 % holds no water at any temperature, so none is fixed");
    no_air(rh(0.1), dew_point(80.0), "the air would be hotter than 200 C, the end of the equations");
    no_air(rh(0.0), wet_bulb(70.0), "the air would be hotter than 200 C, the end of the equations");
    no_air(
        wet_bulb(70.0),
        Property::VapourPressure(Pascals::new(0.0)),
        "the air temperature would lie outside -100 to 200 C, the range of the equations",
    );
}

#[test]
fn values_out_of_range_are_refused_with_what_was_found() {
    let rh = RelativeHumidity::from_percent(50.0).unwrap();
    let message = |temp, pressure| {
        MoistAir::from_temp_and_rh(Celsius::new(temp), rh, Pascals::new(pressure), Saturation::LiquidWater)
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        message(200.5, 101_325.0),
        "air temperature of `200.5` C is outside -100 to 200 C, the range of the saturation equations"
    );
    // Hectopascals passed as pascals.
    assert_eq!(
        message(20.0, 1013.25),
        "pressure of `1013.25` Pa is outside 10000 to 200000 Pa: give the absolute pressure at the place, not one \
         reduced to sea level"
    );
    assert!(message(f64::NAN, 101_325.0).starts_with("air temperature of `NaN` C"));
    assert!(message(150.0, 101_325.0).ends_with("no air would be left"), "saturated at 150 C is 4.7 bar");
    for percent in [-0.1, 100.1, f64::NAN, f64::INFINITY] {
        assert!(RelativeHumidity::from_percent(percent).is_err());
    }
    assert_eq!(
        RelativeHumidity::from_percent(101.0).unwrap_err().to_string(),
        "relative humidity of `101` % is outside 0 to 100 %"
    );
    assert!(humidity_ratio(Pascals::new(-1.0), Pascals::STANDARD_ATMOSPHERE).is_err());
    assert!(dew_point(Pascals::new(f64::NAN), Saturation::LiquidWater).is_err());
}

#[test]
fn air_without_water_has_no_dew_point_and_warm_vapour_no_frost_point() {
    assert_eq!(dew_point(Pascals::new(0.0), Saturation::LiquidWater), Ok(None));
    assert_eq!(frost_point(Pascals::new(0.0)), Ok(None));
    assert_eq!(frost_point(Pascals::new(700.0)), Ok(None));
    // 230 K, 8.94735 Pa: IAPWS R14-08(2011); the ASHRAE ice equation lies 0.03 % lower, 0.003 K.
    let frost = frost_point(Pascals::new(8.947_35)).unwrap().unwrap();
    assert!((frost.to_kelvin() - 230.0).abs() <= 0.005, "{frost:?}");
}

#[test]
fn a_bad_row_of_a_column_is_named_and_lengths_must_match() {
    let temps = [Some(20.0), None, Some(21.0)];
    let error = batch::vapour_pressure_pa(&temps, &[Some(50.0), Some(500.0), Some(101.0)], Saturation::LiquidWater);
    // The second row is missing a temperature, so its humidity is never looked at.
    assert_eq!(error, Err(Error::Row { row: 2, fault: Box::new(Error::HumidityOutOfRange { found_pct: 101.0 }) }));
    assert_eq!(error.unwrap_err().to_string(), "row `2`: relative humidity of `101` % is outside 0 to 100 %");
    let error = batch::vapour_pressure_pa(&temps, &[Some(50.0)], Saturation::LiquidWater).unwrap_err();
    assert_eq!(error.to_string(), "column `rh_pct` has `1` rows where `3` are needed");
    let error = batch::humidity_ratio_kg_kg(&temps, PressureInput::PerRow(&[])).unwrap_err();
    assert_eq!(error, Error::LengthMismatch { column: "pressure_pa", expected: 3, found: 0 });
    assert!(matches!(batch::gpp(&[Some(0.01), Some(-0.01)]), Err(Error::Row { row: 1, .. })));
}
