//! Quantities as people write them, and the factors between units.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking, helper functions included")]

use std::fmt::Debug;
use std::str::FromStr;

use grainfall_psychrometrics::{
    AirFlow, Celsius, CelsiusDelta, CubicMetres, Enthalpy, GrainsPerPound, Hours, HumidityRatio, Metres, Pascals,
    QuantityError, QuantityProblem, RelativeHumidity, RelativeHumidityDelta, Share, SpecificVolume, SquareMetres,
    WaterDensity, WaterMass, WaterRate, WoodMoisture,
};
use proptest::prelude::*;

fn read<Q: FromStr<Err = QuantityError>>(text: &str) -> Q {
    text.parse().unwrap_or_else(|error| panic!("{error}"))
}

fn fault<Q: FromStr<Err = QuantityError> + Debug>(text: &str) -> String {
    text.parse::<Q>().unwrap_err().to_string()
}

#[track_caller]
fn near(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-9 * want.abs().max(1.0), "got {got}, want {want}");
}

#[test]
fn every_written_form() {
    near(read::<Metres>("5280 ft").get(), 1609.344);
    near(read::<Metres>("-20m").get(), -20.0);
    for text in ["80F", "80 F", "80 °F", "80degF", " +80.0 f "] {
        near(read::<Celsius>(text).to_fahrenheit(), 80.0);
    }
    near(read::<Celsius>("26.7 C").get(), 26.7);
    near(read::<Celsius>("273.15 K").get(), 0.0);
    near(read::<CelsiusDelta>("0.5 F").get(), 0.5 / 1.8);
    near(read::<CelsiusDelta>("-0.3 K").get(), -0.3);
    near(read::<Pascals>("101.3 kPa").get(), 101_300.0);
    near(read::<Pascals>("1013.25 hPa").get(), 101_325.0);
    near(read::<RelativeHumidity>("60 %").percent(), 60.0);
    near(read::<RelativeHumidity>("60%RH").fraction(), 0.6);
    near(read::<RelativeHumidityDelta>("2 % RH").get(), 2.0);
    near(read::<GrainsPerPound>("92 GPP").get(), 92.0);
    near(read::<HumidityRatio>("70 gr/lb").get(), 0.01);
    near(read::<HumidityRatio>("10 g/kg").get(), 0.01);
    near(read::<WoodMoisture>("120 %MC").get(), 120.0);
    near(read::<Share>("10 %").get(), 0.1);
    // 1 ft = 0.3048 m exactly.
    near(read::<AirFlow>("300 cfm").get(), 300.0 * 0.028_316_846_592 / 60.0);
    near(read::<AirFlow>("500 m3/h").to_cubic_metres_per_hour(), 500.0);
    near(read::<AirFlow>("140 l/s").get(), 0.14);
    near(read::<SquareMetres>("1200 sqft").get(), 1200.0 * 0.092_903_04);
    near(read::<SquareMetres>("1200 sq ft").to_square_feet(), 1200.0);
    near(read::<CubicMetres>("9600 cuft").get(), 9600.0 * 0.028_316_846_592);
    near(read::<CubicMetres>("272 m³").get(), 272.0);
    near(read::<Hours>("4 h").get(), 4.0);
    near(read::<Hours>("30 min").get(), 0.5);
    near(read::<Hours>("2 d").to_seconds(), 172_800.0);
    near(read::<WaterRate>("130 pint/day").to_pints_per_day(WaterDensity::AT_80_F), 130.0);
    near(read::<WaterRate>("130 pints / day").get(), read::<WaterRate>("130 ppd").get());
    near(read::<WaterRate>("61 l/day").to_litres_per_day(WaterDensity::AT_80_F), 61.0);
    near(read::<WaterMass>("2 gal").to_us_pints(WaterDensity::AT_80_F), 16.0);
    near(read::<WaterMass>("10 lb").get(), 4.535_923_7);
    near(read::<WaterMass>("1.5e1 kg").get(), 15.0);
}

#[test]
fn factors_against_their_published_values() {
    // NIST SP 811 (2008), App. B.9 (from memory), to the digits printed there.
    let close = |got: f64, want: f64| assert!((got / want - 1.0).abs() <= 5e-7, "got {got}, want {want}");
    close(Pascals::from_inches_of_mercury(1.0).get(), 3386.389);
    close(Pascals::from_mm_of_mercury(1.0).get(), 133.322_4);
    close(Pascals::from_psi(1.0).get(), 6894.757);
    close(WaterMass::from_us_pints(1.0, WaterDensity::new(1000.0)).get(), 0.473_176_5);
    close(AirFlow::from_cfm(1.0).get(), 4.719_474e-4);
    // 29.92 inHg is the customary standard atmosphere, good to its printed digits.
    assert!((read::<Pascals>("29.92 inHg").get() - 101_325.0).abs() <= 17.0);
    // 1 m3/kg = 16.01846337 ft3/lb.
    close(SpecificVolume::new(1.0).to_cubic_feet_per_pound(), 16.018_463_37);
    // Dry air at 0 F has no enthalpy on the inch-pound datum: -17.778 C times 1.006 kJ/(kg K).
    assert!(Enthalpy::new(-17.777_778 * 1.006).to_btu_per_pound().abs() <= 0.01);
}

#[test]
fn a_temperature_and_a_difference_convert_apart() {
    let difference = Celsius::from_fahrenheit(90.0) - Celsius::from_fahrenheit(72.0);
    near(difference.get(), 10.0);
    near(difference.to_fahrenheit_degrees(), 18.0);
    near((Celsius::new(20.0) + difference).to_fahrenheit(), 86.0);
}

#[test]
fn a_bare_number_is_told_which_units_there_are() {
    assert_eq!(
        fault::<Metres>("5280"),
        "`5280` has no unit: a length is written with one of ft, m (for example `5280 ft`)"
    );
    assert_eq!(
        fault::<Celsius>("80"),
        "`80` has no unit: a temperature is written with one of F, C, K (for example `80 F`)"
    );
    let error = "29.92".parse::<Pascals>().unwrap_err();
    assert_eq!(error.accepted, ["inHg", "kPa", "hPa", "mmHg", "psi", "Pa"]);
    assert_eq!(error.problem, QuantityProblem::NoUnit { number: "29.92".to_owned() });
    assert_eq!((error.found.as_str(), error.kind), ("29.92", "a pressure"));
}

#[test]
fn other_faults_of_a_written_quantity() {
    assert_eq!(
        fault::<Metres>("5280 yd"),
        "`5280 yd` has the unit `yd`: a length is written with one of ft, m (for example `5280 ft`)"
    );
    assert_eq!(
        fault::<Metres>("5,280 ft"),
        "`5,280 ft` holds a comma: a length is written with a point for decimals, without a thousands mark, and with \
         one of ft, m (for example `1.5 ft`)"
    );
    assert_eq!(
        fault::<AirFlow>("about 300 cfm"),
        "`about 300 cfm` does not start with a number: an airflow is written as a number with one of cfm, m3/h, l/s, \
         m3/s (for example `10 cfm`)"
    );
    assert_eq!(
        fault::<Hours>("  "),
        "`  ` is empty: a duration is written as a number with one of h, min, d (for example `10 h`)"
    );
    assert_eq!(fault::<AirFlow>("-5 cfm"), "`-5 cfm` is out of range: an airflow is not negative");
    assert_eq!(fault::<Pascals>("0 kPa"), "`0 kPa` is out of range: a pressure is above zero");
    assert_eq!(fault::<RelativeHumidity>("101 %"), "`101 %` is out of range: a relative humidity lies in 0 to 100 %");
    assert_eq!(
        fault::<Celsius>("-500 F"),
        "`-500 F` is out of range: a temperature is not below absolute zero, -273.15 C"
    );
    assert_eq!(fault::<Metres>("1e999 ft"), "`1e999 ft` is out of range: a length is a finite number");
    for text in ["nan ft", "inf ft", "ft", "- 5 ft", "−5 ft", ". ft", "1.2.3 ft", "0x10 ft", "5 ft 3 in", "½ ft"] {
        assert!(text.parse::<Metres>().is_err(), "{text}");
    }
}

proptest! {
    #[test]
    fn reading_never_panics_and_never_gives_nan(text in "\\PC{0,12}") {
        if let Ok(value) = text.parse::<Celsius>() {
            prop_assert!(value.get().is_finite());
        }
        if let Err(error) = text.parse::<WaterRate>() {
            prop_assert!(!error.to_string().is_empty());
        }
    }

    #[test]
    fn what_is_written_is_what_is_read(value in 0.0..1e6_f64) {
        prop_assert_eq!(read::<Metres>(&format!("{value} m")).get().to_bits(), value.to_bits());
        near(read::<Metres>(&format!("{value:e} ft")).to_feet(), value);
        near(Celsius::from_fahrenheit(value).to_fahrenheit(), value);
        near(Pascals::from_psi(value).to_psi(), value);
        near(Pascals::from_inches_of_mercury(value).to_inches_of_mercury(), value);
        near(AirFlow::from_cfm(value).to_cfm(), value);
        near(CubicMetres::from_cubic_feet(value).to_cubic_feet(), value);
        near(HumidityRatio::from_grains_per_pound(value).to_grains_per_pound(), value);
    }
}
