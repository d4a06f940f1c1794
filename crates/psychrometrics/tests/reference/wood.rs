//! Wood against the printed table and an independent form of its equation.

use grainfall_psychrometrics::wood::{ActivityBasis, equilibrium_humidity, equilibrium_moisture, water_activity};
use grainfall_psychrometrics::{Celsius, Error, RelativeHumidity, WoodMoisture};

use crate::table::rows;

/// The equation in its Fahrenheit form (Wood Handbook, FPL-GTR-190 (2010), eq. 4-5): other coefficients throughout.
fn fahrenheit_form_pct(t: f64, rh_pct: f64) -> f64 {
    let w = 330.0 + 0.452 * t + 0.004_15 * t * t;
    let k = 0.791 + 0.000_463 * t - 0.000_000_844 * t * t;
    let k1 = 6.34 + 0.000_775 * t - 0.000_093_5 * t * t;
    let k2 = 1.09 + 0.0284 * t - 0.000_090_4 * t * t;
    let kh = k * rh_pct / 100.0;
    let (one, two) = (k1 * kh, k1 * k2 * kh * kh);
    1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))
}

fn moisture_pct(temp: Celsius, rh_pct: f64) -> f64 {
    equilibrium_moisture(temp, RelativeHumidity::from_percent(rh_pct).unwrap()).unwrap().get()
}

#[test]
fn the_printed_table() {
    let cells = rows("wood_emc_table.csv", 63);
    assert_eq!(cells.iter().filter(|row| !row.text("note").is_empty()).count(), 1, "one cell is a known misprint");
    for row in &cells {
        let got = moisture_pct(Celsius::from_fahrenheit(row.number("temp_f")), row.number("rh_pct"));
        row.assert_abs(got, "emc_pct", row.number("abs_tol_pct"));
    }
}

#[test]
fn the_equation_itself() {
    for row in rows("wood_emc_equation.csv", 11) {
        let (t, rh_pct) = (row.number("temp_in_form_unit"), row.number("rh_pct"));
        match row.text("form") {
            "C" => row.assert_abs(moisture_pct(Celsius::new(t), rh_pct), "emc_pct", row.number("abs_tol_pct")),
            "F" => {
                row.assert_abs(fahrenheit_form_pct(t, rh_pct), "emc_pct", row.number("abs_tol_pct"));
                // The metric form rounds its coefficients apart, by up to 0.013 % moisture.
                row.assert_abs(moisture_pct(Celsius::from_fahrenheit(t), rh_pct), "emc_pct", 0.0135);
            }
            form => panic!("{}: `{form}`", row.place()),
        }
    }
}

#[test]
fn both_forms_agree_over_the_whole_table() {
    for t in (30..=130).step_by(5).map(f64::from) {
        for rh_pct in (5..=90).step_by(5).map(f64::from) {
            let (got, want) = (moisture_pct(Celsius::from_fahrenheit(t), rh_pct), fahrenheit_form_pct(t, rh_pct));
            assert!((got - want).abs() <= 0.0135, "{t} F, {rh_pct} %: metric {got}, Fahrenheit {want}");
        }
    }
}

#[test]
fn the_inverse() {
    for row in rows("wood_emc_inverse.csv", 7) {
        let temp = Celsius::from_fahrenheit(row.number("temp_f"));
        let moisture = WoodMoisture::new(row.number("emc_pct"));
        let rh = equilibrium_humidity(temp, moisture).unwrap();
        row.assert_abs(rh.percent(), "rh_pct", row.number("abs_tol_pct"));
        let activity = water_activity(temp, moisture).unwrap();
        row.assert_abs(100.0 * activity.value, "rh_pct", row.number("abs_tol_pct"));
        assert_eq!(activity.basis, ActivityBasis::SorptionCurve);
    }
}

#[test]
fn the_activity_runs_to_one_without_a_step_and_stays_there() {
    for t in [0.0, 20.0, 50.0] {
        let temp = Celsius::new(t);
        let highest = moisture_pct(temp, 100.0);
        let at = |pct| water_activity(temp, WoodMoisture::new(pct)).unwrap();
        assert_eq!(at(highest).basis, ActivityBasis::FreeWater);
        assert_eq!(at(highest - 1e-6).basis, ActivityBasis::Extrapolated);
        // The curve rises by under 0.01 per percent moisture there.
        assert!((at(highest - 1e-6).value - 1.0).abs() <= 1e-6);
        assert!((at(150.0).value - 1.0).abs() <= 1e-15, "above 100 % of the dry mass is a legal reading");
        assert!(at(0.0).value.abs() <= 1e-11);
        assert_eq!(
            equilibrium_humidity(temp, WoodMoisture::new(40.0)),
            Err(Error::WoodMoistureOutOfRange { found_pct: 40.0, highest_pct: highest })
        );
    }
    // The end of the curve by the Fahrenheit form; the two forms lie further apart there than inside the table.
    for t in [0.0, 20.0, 50.0] {
        let temp = Celsius::new(t);
        let (got, want) = (moisture_pct(temp, 100.0), fahrenheit_form_pct(temp.to_fahrenheit(), 100.0));
        assert!((got - want).abs() <= 0.05, "{t} C: metric {got}, Fahrenheit {want}");
    }
}

#[test]
fn outside_its_range_wood_has_no_answer() {
    let error = equilibrium_moisture(Celsius::new(-5.0), RelativeHumidity::SATURATED).unwrap_err();
    assert!(error.to_string().starts_with("wood temperature of `-5` C is outside"), "{error}");
    for pct in [-0.1, f64::NAN, f64::INFINITY] {
        let error = water_activity(Celsius::new(20.0), WoodMoisture::new(pct)).unwrap_err();
        assert!(matches!(error, Error::WoodMoistureOutOfRange { .. }), "{error}");
    }
}
