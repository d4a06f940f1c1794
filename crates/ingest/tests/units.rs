//! Units that no name gives: settled by other columns or by the numbers, guessed with the reason, or left open.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use std::fmt::Write as _;

use common::{assert_column, assert_refused_file, decision, read};
use grainfall_ingest::Reading;
use grainfall_psychrometrics::{Celsius, Pascals, RelativeHumidity, Saturation, WetBulbBranch};
use grainfall_psychrometrics::{humidity_ratio, vapour_pressure, wet_bulb};
use grainfall_record::{Certainty, Quantity};

/// Rows of air temperature (degC), humidity and one more number computed from them.
fn log(names: &str, temp: impl Fn(f64) -> f64, third: impl Fn(f64, f64) -> f64) -> Reading {
    let mut text = format!("Time,{names}\n");
    for i in 0..24_u32 {
        let (t, rh) = (18.0 + f64::from(i % 7), 35.0 + 2.0 * f64::from(i % 11));
        writeln!(text, "2024-01-01 {i:02}:00,{:.2},{rh},{:.4}", temp(t), third(t, rh)).unwrap();
    }
    read(&text)
}

fn to_f(celsius: f64) -> f64 {
    celsius.mul_add(1.8, 32.0)
}

fn vapour(t: f64, rh: f64) -> Pascals {
    vapour_pressure(Celsius::new(t), RelativeHumidity::from_percent(rh).unwrap(), Saturation::LiquidWater).unwrap()
}

fn wet(t: f64, rh: f64) -> f64 {
    let pressure = Pascals::STANDARD_ATMOSPHERE;
    let ratio = humidity_ratio(vapour(t, rh), pressure).unwrap();
    wet_bulb(Celsius::new(t), ratio, pressure, WetBulbBranch::LiquidWick).unwrap().get()
}

#[track_caller]
fn value(reading: &Reading, column: &str) -> (String, Certainty) {
    let found = decision(reading, &format!("column {column}"));
    (found.value.clone(), found.certainty)
}

fn settled(text: &str) -> (String, Certainty) {
    (text.into(), Certainty::Settled)
}

#[test]
fn wet_bulbs_settle_the_unit_of_temperature() {
    let reading = log("Temp,RH,Wet Bulb", to_f, |t, rh| to_f(wet(t, rh)));
    assert_eq!(value(&reading, "Temp"), settled("air temperature, degF"));
    assert_eq!(value(&reading, "Wet Bulb"), settled("wet bulb, degF"));
    assert_eq!(
        decision(&reading, "column Temp").reason,
        "`temp` in its name; its wet bulbs follow from temperature and humidity within 0.00 degC when read as degF"
    );
    let reading = log("Temp,RH,Wet Bulb", |t| t, wet);
    assert_eq!(value(&reading, "Temp"), settled("air temperature, degC"));
}

#[test]
fn vapour_pressures_settle_their_own_unit() {
    let shown =
        |third: &dyn Fn(f64, f64) -> f64| value(&log("Temp (°C),RH,Vapor Pressure", |t| t, third), "Vapor Pressure").0;
    assert_eq!(shown(&|t, rh| vapour(t, rh).get()), "vapour pressure, Pa");
    assert_eq!(shown(&|t, rh| vapour(t, rh).get() / 100.0), "vapour pressure, hPa");
    assert_eq!(shown(&|t, rh| vapour(t, rh).get() / 1000.0), "vapour pressure, kPa");
    // Nothing that follows from temperature and humidity.
    assert_eq!(shown(&|t, _| t), "not read");
}

#[test]
fn humidity_ratios_settle_their_own_unit() {
    let ratio = |t: f64, rh: f64| humidity_ratio(vapour(t, rh), Pascals::new(84_000.0)).unwrap().get();
    let shown = |factor: f64| {
        value(&log("Temp (°C),RH,Humidity Ratio", |t| t, |t, rh| factor * ratio(t, rh)), "Humidity Ratio").0
    };
    // At 84 kPa, 1500 m up, the ratio is a fifth above the one at sea level; the units differ by more.
    assert_eq!(shown(1000.0), "humidity ratio, g/kg");
    assert_eq!(shown(7000.0), "humidity ratio, gr/lb");
    let alone =
        |middle: f64| read(&format!("Time,Humidity Ratio\n2024-01-01 00:00,{middle}\n2024-01-01 00:10,{middle}\n"));
    assert_eq!(value(&alone(0.008), "Humidity Ratio"), settled("humidity ratio, kg/kg"));
    assert_eq!(value(&alone(58.0), "Humidity Ratio"), ("humidity ratio, gr/lb".into(), Certainty::Guess));
    assert_refused_file(
        &alone(8.0),
        "the unit of `Humidity Ratio` cannot be told",
        "say in job.toml what they hold: add `[[logger]]` with `file = \"log.csv\"` and `columns = { \"Humidity Ratio\" = \
         { quantity = \"humidity ratio\", unit = \"gr/lb\" } }`, with the right unit",
    );
}

#[test]
fn pressures_differ_by_their_unit() {
    // One standard atmosphere in each.
    for (number, unit) in [(29.92, "inHg"), (14.7, "psi"), (101.3, "kPa"), (1013.2, "hPa"), (101_325.0, "Pa")] {
        let reading = read(&format!("Time,Station Pressure\n2024-01-01 00:00,{number}\n2024-01-01 00:10,{number}\n"));
        assert_eq!(value(&reading, "Station Pressure"), settled(&format!("station pressure, {unit}")));
        let pascals = reading.frame.series()[0].column(Quantity::Pressure).unwrap()[0].unwrap();
        assert!((pascals - 101_325.0).abs() < 40.0, "{pascals}");
    }
    // 760 is one atmosphere in mmHg and the air at 2400 m in hPa.
    assert_refused_file(
        &read("Time,Station Pressure\n2024-01-01 00:00,760\n2024-01-01 00:10,760\n"),
        "the unit of `Station Pressure` cannot be told",
        "say in job.toml what they hold: add `[[logger]]` with `file = \"log.csv\"` and `columns = { \"Station Pressure\" \
         = { quantity = \"station pressure\", unit = \"hPa\" } }`, with the right unit",
    );
}

#[test]
fn a_pressure_that_does_not_say_whose_is_a_guess() {
    let reading = read("Time,Pressure (hPa)\n2024-01-01 00:00,1013\n2024-01-01 00:10,1013\n");
    assert_eq!(value(&reading, "Pressure (hPa)"), ("station pressure, hPa".into(), Certainty::Guess));
    assert!(decision(&reading, "column Pressure (hPa)").reason.starts_with(
        "`pressure` in its name; the unit is in its name; it does not say whether of the station or reduced to \
             sea level, and is read as the pressure at the logger; to settle it add"
    ));
}

#[test]
fn one_temperature_tells_the_others() {
    let reading = read("Time,Temp (°F),Dew Point,Surface Temp\n2024-01-01 00:00,68,50,59\n2024-01-01 00:10,68,50,59\n");
    assert_eq!(
        decision(&reading, "column Dew Point").reason,
        "`dew point` in its name; degF like `Temp (°F)` in the same file"
    );
    assert_column(&reading, "log", Quantity::SurfaceTemp, &[Some(15.0), Some(15.0)]);
}

#[test]
fn temperatures_no_building_has_in_one_unit() {
    let reading = read("Time,Temp\n2024-01-01 00:00,68.2\n2024-01-01 00:10,71.5\n");
    assert_eq!(value(&reading, "Temp"), settled("air temperature, degF"));
    assert_eq!(
        decision(&reading, "column Temp").reason,
        "`temp` in its name; no unit is given; its values lie around 71.5 (68.2 to 71.5), which no building's air has in degC"
    );
    let reading = read("Time,Temp\n2024-01-01 00:00,38\n2024-01-01 00:10,41\n2024-01-01 00:20,42\n");
    // A room that is heated to dry, or one that is not heated at all.
    assert_eq!(value(&reading, "Temp"), settled("not read"));
    let reason = &decision(&reading, "column Temp").reason;
    assert!(reason.contains("a heated room in degC or a cold one in degF; its unit cannot be told"), "{reason}");
}

/// Rows around 22 degC, in one unit to the twelfth and in the other from there.
fn changed(name: &str, first: impl Fn(f64) -> f64, then: impl Fn(f64) -> f64) -> Reading {
    let mut text = format!("Time,{name},RH (%)\n");
    for i in 0..30_u32 {
        let celsius = 22.0 + 0.3 * f64::from(i % 5);
        let shown = if i < 12 { first(celsius) } else { then(celsius) };
        writeln!(text, "2024-01-01 00:{:02},{shown:.1},50", 2 * i).unwrap();
    }
    read(&text)
}

#[test]
fn a_log_that_changes_its_unit_is_not_read_as_one() {
    for (name, reading) in [
        ("Temp", changed("Temp", to_f, |t| t)),
        ("Temp (°F)", changed("Temp (°F)", to_f, |t| t)),
        ("Temp (°C)", changed("Temp (°C)", |t| t, to_f)),
    ] {
        assert_eq!(value(&reading, name), settled("not read"));
        let reason = &decision(&reading, &format!("column {name}")).reason;
        assert!(reason.contains("the log changes its unit; cut the export in two"), "{reason}");
    }
    let same = changed("Temp (°C)", |t| t, |t| t);
    assert_eq!(value(&same, "Temp (°C)"), settled("air temperature, degC"));
    // A door to the frost: no room and its own air in the other unit.
    let cold = changed("Temp (°C)", |t| t, |t| t - 30.0);
    assert_eq!(value(&cold, "Temp (°C)"), settled("air temperature, degC"));
}

#[test]
fn usual_units_are_guesses() {
    let reading =
        read("Time,Temp (°F),Absolute Humidity,Enthalpy\n2024-01-01 00:00,70,9,26\n2024-01-01 00:10,70,9,26\n");
    assert_eq!(value(&reading, "Absolute Humidity"), ("absolute humidity, g/m3".into(), Certainty::Guess));
    assert_eq!(value(&reading, "Enthalpy"), ("enthalpy, Btu/lb".into(), Certainty::Guess));
    let reading = read("Time,Wood Moisture\n2024-01-01 00:00,23\n2024-01-01 00:10,140\n");
    assert_eq!(value(&reading, "Wood Moisture"), settled("material moisture, %"));
}

#[test]
fn labels_against_range_and_physics() {
    let read = |names: &str, rows: &[&str]| {
        let rows: String = rows.iter().enumerate().map(|(at, row)| format!("2024-01-01 00:{at}0,{row}\n")).collect();
        common::read(&format!("Time,{names}\n{rows}"))
    };
    // No air is at 300 % or below 1 %.
    let reading = read("Temp (°C),Humidity (%)", &["20,300", "21,301", "20,302", "20,299", "20,298"]);
    assert_eq!(
        decision(&reading, "column Humidity (%)").reason,
        "`humidity` in its name; the unit is in its name, but its values (298.0 to 302.0) cannot be relative humidity"
    );
    let reading = read("Temp (°C),RH (%)", &["20,0.41", "21,0.42", "20,0.43", "20,0.44", "20,0.45"]);
    assert_column(
        &reading,
        "log",
        Quantity::RelativeHumidity,
        &[0.41, 0.42, 0.43, 0.44, 0.45].map(|v| Some(v * 100.0)),
    );
    assert_eq!(decision(&reading, "column RH (%)").certainty, Certainty::Guess);
    // 70 degF and 50 %: dew point 50.5 degF (ASHRAE psychrometric chart 1, from memory, to half a degree). Called degC,
    // range and physics speak against the label.
    let rows = ["70,50,50.5", "72,50,52.3", "74,50,54.1", "76,50,56.0", "71,50,51.4"];
    let reading = read("Temp (°C),RH (%),Dew point (°C)", &rows);
    let found = decision(&reading, "column Temp (°C)");
    assert_eq!((found.value.as_str(), found.certainty), ("air temperature, degF", Certainty::Guess));
    assert!(found.reason.contains("its label says degC, but its dew points follow"), "{}", found.reason);
    assert_eq!(decision(&reading, "column Dew point (°C)").value, "dew point, degF");
    // The range alone is only told.
    let reading = read("Temp (°C),RH (%)", &["70,50", "72,50", "74,50", "76,50", "71,50"]);
    let found = decision(&reading, "column Temp (°C)");
    assert_eq!((found.value.as_str(), found.certainty), ("air temperature, degC", Certainty::Guess));
    assert!(found.reason.contains("read as its label says, though its values lie around 72.0"), "{}", found.reason);
    // A dew point above the air's temperature.
    let reading = read("Temp (°C),RH (%),Dew point (°C)", &["9,50,20", "9,50,20", "9,50,21", "9,50,21", "9,50,20"]);
    let found = decision(&reading, "Temp (°C) and Dew point (°C)");
    assert!(found.reason.starts_with("in 5 of 5 rows of the sample the dew point is above the air temperature"));
}
