//! Moist air against columns that others published: dew points and a humidity ratio in real logs, read by `ingest`.
//! Skipped with a message where the logs are not there.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use grainfall_analysis::evidence::PressureBasis;
use grainfall_ingest::{Reading, read_file};
use grainfall_psychrometrics::batch::{self, PressureInput};
use grainfall_psychrometrics::{Pascals, Saturation};
use grainfall_record::{LoggerSeries, Quantity, ReadingHints};
use grainfall_tests::{judge, open_log};

fn read(name: &str) -> Option<Reading> {
    Some(read_file(&open_log(name)?, name, &ReadingHints::default()).unwrap())
}

/// Absolute differences of recomputed and published dew point, K, sorted: over liquid water at all temperatures.
fn dew_point_residuals(series: &LoggerSeries) -> Vec<f64> {
    let (temp, rh) = (series.column(Quantity::AirTemp).unwrap(), series.column(Quantity::RelativeHumidity).unwrap());
    let published = series.column(Quantity::DewPoint).unwrap();
    let vapour = batch::vapour_pressure_pa(temp, rh, Saturation::LiquidWater).unwrap();
    let computed = batch::dew_point_c(&vapour, Saturation::LiquidWater).unwrap();
    let mut residuals: Vec<f64> = computed
        .iter()
        .zip(published)
        .filter_map(|(computed, published)| Some(((*computed)? - (*published)?).abs()))
        .collect();
    residuals.sort_by(f64::total_cmp);
    residuals
}

#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn percentile(sorted: &[f64], share: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * share).round() as usize]
}

/// Environment and Climate Change Canada, hourly, January 2013 (Open Government Licence - Canada 2.0). Whole-percent
/// humidity and 0.1 degC round both columns: 1 % of humidity alone moves the dew point by up to 0.2 K, and a Magnus form
/// over water leaves at most 0.14 K.
#[test]
fn toronto_dew_points_are_over_liquid_water() {
    let Some(reading) = read("share_eccc_toronto_hourly_preamble_2013-01.csv") else { return };
    let residuals = dew_point_residuals(&reading.frame.series()[0]);
    assert!(residuals.len() > 700, "{}", residuals.len());
    println!(
        "toronto n {} p50 {:.3} p95 {:.3} max {:.3} K",
        residuals.len(),
        percentile(&residuals, 0.5),
        percentile(&residuals, 0.95),
        residuals[residuals.len() - 1]
    );
    assert!(percentile(&residuals, 0.5) < 0.06);
    assert!(percentile(&residuals, 0.95) < 0.12);
    assert!(residuals[residuals.len() - 1] < 0.16);
}

/// Three airports of New York, hourly, March and November 2013 (CC0). About one row in a hundred contradicts itself by
/// over 1.5 degF (rounded or mixed sources); the others agree within 0.17 degF at the 95th percentile (Magnus form).
#[test]
fn new_york_dew_points_are_over_liquid_water() {
    let Some(reading) = read("share_nyc_weather_degF_dst_mar_nov_2013.csv") else { return };
    assert_eq!(reading.frame.series().len(), 3);
    let mut all: Vec<f64> = reading.frame.series().iter().flat_map(dew_point_residuals).map(|k| k * 1.8).collect();
    all.sort_by(f64::total_cmp);
    let contradicting = all.iter().filter(|f| **f > 1.5).count();
    let agreeing: Vec<f64> = all.iter().copied().filter(|f| *f <= 1.5).collect();
    println!(
        "new york n {} contradicting {contradicting} p50 {:.3} p95 {:.3} F",
        all.len(),
        percentile(&agreeing, 0.5),
        percentile(&agreeing, 0.95)
    );
    assert!((30..=50).contains(&contradicting), "{contradicting}");
    assert!(percentile(&agreeing, 0.5) < 0.03);
    assert!(percentile(&agreeing, 0.95) < 0.06);
}

/// Candanedo and Feldheim 2016, Energy and Buildings 112:28-39 (UCI `Occupancy Detection`): humidity ratio computed by
/// others at 101 325 Pa.
#[test]
fn the_office_humidity_ratio_is_reproduced() {
    let Some(reading) = read("share_office_humidity_ratio_short_header.txt") else { return };
    let series = &reading.frame.series()[0];
    let (temp, rh) = (series.column(Quantity::AirTemp).unwrap(), series.column(Quantity::RelativeHumidity).unwrap());
    let published = series.column(Quantity::HumidityRatio).unwrap();
    let vapour = batch::vapour_pressure_pa(temp, rh, Saturation::LiquidWater).unwrap();
    let computed = batch::humidity_ratio_kg_kg(&vapour, PressureInput::Constant(Pascals::STANDARD_ATMOSPHERE)).unwrap();
    let worst = computed
        .iter()
        .zip(published)
        .filter_map(|(computed, published)| Some(((*computed)? / (*published)? - 1.0).abs()))
        .fold((0.0_f64, 0_usize), |(worst, n), one| (worst.max(one), n + 1));
    println!("office n {} worst {:.5} %", worst.1, 100.0 * worst.0);
    assert_eq!(worst.1, 2665);
    assert!(worst.0 < 5e-5, "{}", worst.0);
}

/// Pressures in kPa that others measured at known heights: Toronto's station pressure at 112.5 m (its own preamble), and
/// those of New York's airports, which are published for sea level.
fn measured_kpa() -> Option<[(&'static str, Vec<f64>); 2]> {
    let column = |name: &str, index: usize, per_kpa: f64| -> Option<Vec<f64>> {
        let text = std::fs::read_to_string(open_log(name)?).unwrap();
        let cells = text.lines().filter_map(|line| line.split(',').nth(index)?.trim_matches('"').parse::<f64>().ok());
        Some(cells.map(|value| value / per_kpa).collect())
    };
    let toronto = column("share_eccc_toronto_hourly_preamble_2013-01.csv", 17, 1.0)?;
    let new_york = column("share_nyc_weather_degF_dst_mar_nov_2013.csv", 12, 10.0)?;
    assert!(toronto.len() > 700 && new_york.len() > 3900, "{} {}", toronto.len(), new_york.len());
    Some([("112.5 m", toronto), ("0 m", new_york)])
}

/// The weather moves the pressure about that of an elevation: the stated uncertainty (k = 2) holds at least 95 % of the
/// hours of those records.
#[test]
fn the_weather_stays_within_the_uncertainty_of_a_pressure_from_the_elevation() {
    let Some(records) = measured_kpa() else { return };
    for (elevation, measured) in records {
        let folder = tempfile::tempdir().unwrap();
        let job = format!("[job]\ntime_zone = \"UTC\"\nelevation = \"{elevation}\"\n");
        std::fs::write(folder.path().join("job.toml"), job).unwrap();
        let air = "time,place,chamber,air_temp,rh\n2025-06-02 13:00,outdoor,,20 C,50 %\n";
        std::fs::write(folder.path().join("air.csv"), air).unwrap();
        let used = judge(folder.path(), None).analysis.evidence.pressure;
        assert_eq!(used.basis, PressureBasis::Elevation);
        let within = measured.iter().filter(|kpa| (**kpa * 1000.0 - used.pressure_pa).abs() <= used.u_pressure_pa);
        #[allow(clippy::cast_precision_loss)]
        let share = within.count() as f64 / measured.len() as f64;
        println!("{elevation}: {:.1} % of {} h", 100.0 * share, measured.len());
        assert!(share >= 0.95, "{elevation}: {share}");
    }
}
