//! Published states and uncertainties, through the whole way from a logged sample to a track.

use grainfall_job::PressureSource;
use grainfall_psychrometrics::Pascals;

use super::testing::{analyse, f, job, series};

const MIDNIGHT: &str = "2025-10-06T00:00:00Z";
const CLOCK: &str = "2025-10-07T00:00:00Z";

/// One state: kPa, degC, %RH; then GPP, dew point, wet bulb (degC), enthalpy (kJ/kg), saturation pressure (Pa).
type State = (f64, f64, f64, f64, f64, f64, f64, f64);

/// psychrolib 2.5.0 (ASHRAE Handbook-Fundamentals (2017), ch. 1 equations), above freezing, where humidity over water
/// and over ice are the same.
const STATES: [State; 12] = [
    (101.325, 5.0, 80.0, 30.1984, 1.8413, 3.5879, 15.8596, 872.487),
    (101.325, 10.0, 60.0, 31.8897, 2.5998, 6.4811, 21.5385, 1227.995),
    (101.325, 15.0, 50.0, 36.9498, 4.6719, 9.6723, 28.4389, 1705.448),
    (101.325, 20.0, 50.0, 50.8322, 9.2724, 13.7836, 38.5517, 2338.804),
    (101.325, 25.0, 40.0, 55.1586, 10.4757, 16.2099, 45.2238, 3169.216),
    (101.325, 25.0, 60.0, 83.2653, 16.7011, 19.4713, 55.4526, 3169.216),
    (101.325, 30.0, 20.0, 36.7961, 4.6128, 15.7042, 43.6200, 4246.030),
    (101.325, 35.0, 40.0, 98.9216, 19.3846, 23.9345, 71.4732, 5627.819),
    (101.325, 40.0, 60.0, 199.0491, 30.7412, 32.5609, 113.4730, 7383.460),
    (84.0, 20.0, 50.0, 61.4643, 9.2724, 13.3295, 42.4070, 2338.804),
    (70.0, 20.0, 50.0, 73.9660, 9.2724, 12.9041, 46.9401, 2338.804),
    (70.0, 40.0, 20.0, 93.8213, 12.7831, 20.1698, 74.7582, 7383.460),
];

/// The printed digits carry half a unit in the last place; wet bulb in the source is converged to 1e-9 K.
#[test]
fn tracks_hold_the_published_states() {
    for (kpa, temp_c, rh_pct, gpp, dew_point_c, wet_bulb_c, enthalpy, saturation_pa) in STATES {
        let mut job = job();
        job.pressure = PressureSource::Stated(Pascals::from_kilopascals(kpa));
        let air = analyse(&job, vec![series("S", MIDNIGHT, 600, &[Some((temp_c, rh_pct))])], CLOCK);
        let track = &air.tracks[0];
        for (name, found, wanted, within) in [
            ("GPP", track.gpp[0], gpp, 1e-4),
            ("dew point", track.dew_point_c[0], dew_point_c, 1e-4),
            ("wet bulb", track.wet_bulb_c[0], wet_bulb_c, 1e-4),
            ("enthalpy", track.enthalpy_kj_kg[0], enthalpy, 1e-4),
            ("vapour pressure", track.vapour_pressure_pa[0], saturation_pa * rh_pct / 100.0, 1e-3),
        ] {
            let found = found.unwrap();
            assert!(
                (found - wanted).abs() <= within,
                "{kpa} kPa, {temp_c} C, {rh_pct} %: {name} {found}, want {wanted}"
            );
        }
    }
}

/// +-0.5 F and +-2 %RH as rectangular limits and +-2.5 kPa (k = 2) at 14.696 psia: U (k = 2) of GPP, from numerical
/// derivatives of psychrolib 2.5.0's equations (JCGM 100:2008, eq. 10 and 4.3.7); the sensors alone make it 4.03 at 80 F /
/// 60 %. Enthalpy the same way: 0.9775, 1.3188 and 0.8454 kJ/kg make 1.846 there.
#[test]
fn tracks_and_days_hold_the_published_uncertainty() {
    for (temp_f, rh_pct, u_gpp) in [
        (60.0, 60.0, 2.333),
        (75.0, 50.0, 3.661),
        (75.0, 40.0, 3.427),
        (80.0, 60.0, 4.651),
        (90.0, 30.0, 5.295),
        (98.0, 22.0, 6.543),
    ] {
        let air = analyse(&job(), vec![series("S", MIDNIGHT, 600, &[Some((f(temp_f), rh_pct)); 20])], CLOCK);
        for found in [air.tracks[0].u_gpp[3].unwrap(), air.daily_air[0].u_gpp.unwrap()] {
            // Three printed decimals; 20 samples make the day's mean no surer than one.
            assert!((found - u_gpp).abs() <= 0.0006, "{temp_f} F, {rh_pct} %: {found}, want {u_gpp}");
        }
        if (temp_f, rh_pct) == (80.0, 60.0) {
            let found = air.daily_air[0].u_enthalpy_kj_kg.unwrap();
            assert!((found - 1.846).abs() <= 0.001, "{found}");
        }
    }
}

/// Below freezing the humidity is over liquid water. At -20 C the water curve extrapolates to 125.4 Pa and ice holds
/// 103.260 Pa (psychrolib 2.5.0): 80 % of the former, not of the latter.
///
/// Source of the water value: Goff-Gratch over water as tabulated in the Smithsonian Meteorological Tables, 1.2540 hPa
/// (from memory).
#[test]
fn humidity_below_freezing_is_over_water() {
    let air = analyse(&job(), vec![series("S", MIDNIGHT, 600, &[Some((-20.0, 80.0))])], CLOCK);
    let found = air.tracks[0].vapour_pressure_pa[0].unwrap();
    assert!((found - 0.8 * 125.4).abs() < 0.8 * 0.6, "{found}");
    assert!(air.assumptions.iter().any(|a| a.text.contains("over liquid water")), "{:?}", air.assumptions);
}
