//! The saturation equations against the IAPWS releases over their whole range, supercooled water, elevations and the
//! density of water.

use grainfall_psychrometrics::{
    Celsius, Metres, Saturation, WaterDensity, pressure_at_elevation, saturation_vapour_pressure,
};

use crate::table::rows;

/// IAPWS R7-97(2012), region 4: boiling pressure in pascals.
fn boiling_pa(t: f64) -> f64 {
    let n = [
        0.116_705_214_527_67e4,
        -0.724_213_167_032_06e6,
        -0.170_738_469_400_92e2,
        0.120_208_247_024_70e5,
        -0.323_255_503_223_33e7,
        0.149_151_086_135_30e2,
        -0.482_326_573_615_91e4,
        0.405_113_405_420_57e6,
        -0.238_555_575_678_49,
        0.650_175_348_447_98e3,
    ];
    let theta = t + n[8] / (t - n[9]);
    let a = theta * theta + n[0] * theta + n[1];
    let b = n[2] * theta * theta + n[3] * theta + n[4];
    let c = n[5] * theta * theta + n[6] * theta + n[7];
    1e6 * (2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt())).powi(4)
}

/// IAPWS R14-08(2011): sublimation pressure in pascals.
fn sublimation_pa(t: f64) -> f64 {
    let theta = t / 273.16;
    let terms = [(-21.214_400_6, 0.003_333_333_33), (27.320_381_9, 1.206_666_67), (-6.105_981_30, 1.703_333_33)];
    611.657 * (terms.iter().map(|(a, b)| a * theta.powf(*b)).sum::<f64>() / theta).exp()
}

/// Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539, eq. 10: supercooled water, 123 to 332 K (from memory;
/// pinned below by its value at the triple point).
fn murphy_koop_liquid_pa(t: f64) -> f64 {
    let low = 54.842_763 - 6763.22 / t - 4.210 * t.ln() + 0.000_367 * t;
    let high = 53.878 - 1331.22 / t - 9.445_23 * t.ln() + 0.014_025 * t;
    (low + (0.0415 * (t - 218.8)).tanh() * high).exp()
}

fn over(t_k: f64, over: Saturation) -> f64 {
    saturation_vapour_pressure(Celsius::from_kelvin(t_k), over).unwrap().get()
}

#[test]
fn the_iapws_equations_typed_here_give_the_published_values() {
    for row in rows("iapws.csv", 9) {
        let t = row.number("temp_k");
        let got = match row.text("what") {
            "boiling" => boiling_pa(t),
            "sublimation" => sublimation_pa(t),
            what => panic!("{}: `{what}`", row.place()),
        };
        row.assert_rel(got, "pressure_pa", row.number("rel_tol"));
    }
}

#[test]
fn the_saturation_equations_agree_with_iapws_over_their_whole_range() {
    // Liquid: psychrolib 2.5.0 against iapws 1.5.5 differ by at most 0.0177 % up to 100 C, by 0.0259 % at 200 C.
    for t_c in (1..=200).map(f64::from) {
        let (got, want) = (over(t_c + 273.15, Saturation::LiquidWater), boiling_pa(t_c + 273.15));
        let rel_tol = if t_c <= 100.0 { 1.8e-4 } else { 2.6e-4 };
        assert!((got / want - 1.0).abs() <= rel_tol, "{t_c} C: got {got}, want {want}");
    }
    // Ice: the same two differ most at -47 C, by 0.0327 %.
    for t_c in (-100..=0).map(f64::from) {
        let (got, want) = (over(t_c + 273.15, Saturation::IceBelowTriplePoint), sublimation_pa(t_c + 273.15));
        let rel_tol = if t_c >= -20.0 { 2.1e-4 } else { 3.3e-4 };
        assert!((got / want - 1.0).abs() <= rel_tol, "{t_c} C: got {got}, want {want}");
    }
}

#[test]
fn the_extrapolation_to_supercooled_water_stays_within_a_percent_down_to_forty_below() {
    assert!((murphy_koop_liquid_pa(273.16) / 611.657 - 1.0).abs() <= 1e-4);
    for t_c in (-40..=0).map(f64::from) {
        let (got, want) = (over(t_c + 273.15, Saturation::LiquidWater), murphy_koop_liquid_pa(t_c + 273.15));
        let rel_tol = if t_c >= -20.0 { 1e-3 } else { 7.5e-3 };
        assert!((got / want - 1.0).abs() <= rel_tol, "{t_c} C: got {got}, want {want}");
    }
}

#[test]
fn elevations() {
    for row in rows("elevation_pressure.csv", 7) {
        let pressure = pressure_at_elevation(Metres::new(row.number("elevation_m"))).unwrap();
        row.assert_abs(pressure.to_kilopascals(), "pressure_kpa", row.number("abs_tol_kpa"));
    }
}

#[test]
fn density_of_water_and_the_weight_of_a_pint() {
    for row in rows("water_density.csv", 10) {
        let density = WaterDensity::at(Celsius::new(row.number("water_temp_c"))).unwrap();
        row.assert_abs(density.get(), "density_kg_m3", row.number("abs_tol_kg_m3"));
    }
    // CoolProp 8.0.0, printed to four decimals of a pound.
    assert!((WaterDensity::AT_80_F.pounds_per_us_pint() - 1.0396).abs() <= 6e-5);
    let at_60_f = WaterDensity::at(Celsius::from_fahrenheit(60.0)).unwrap();
    assert!((at_60_f.pounds_per_us_pint() - 1.0422).abs() <= 6e-5);
}
