//! The propagation of uncertainty beside a propagation of distributions: errors are drawn as the accuracies say they
//! are spread, every figure is computed anew, and the spread of the results is compared with the stated uncertainty.
//!
//! # Source
//! JCGM 101:2008 (the method; from memory, the document was not opened). The two states that `domain` budgets were
//! worked out for, 80 F / 60 % with 98 F / 22 % and 75 F / 50 % with 75 F / 42 %, are among those drawn.

use grainfall_psychrometrics::removal::{AirFlowAccuracy, removal, removal_rate};
use grainfall_psychrometrics::uncertainty::{
    Accuracy, Correlation, CoverageFactor, Distribution, Measured, PressureAccuracy, SensorAccuracy,
    dew_point_difference, dew_point_uncertainty, enthalpy_uncertainty, gpp_difference, gpp_uncertainty,
    vapour_pressure_difference, vapour_pressure_uncertainty,
};
use grainfall_psychrometrics::{
    AirFlow, Celsius, CelsiusDelta, MoistAir, Pascals, RelativeHumidity, RelativeHumidityDelta, Saturation, Share,
};
use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// Draws a figure: a standard deviation of 1e5 draws is itself good to 0.25 % (normal; less for rectangular errors).
const DRAWS: u32 = 100_000;

/// Two seeds, so that agreement is no luck of one; written down, so that a failure can be repeated.
const SEEDS: [u8; 2] = [7, 101];

/// Four times the scatter of the draws: what agreement of two figures that are equal may look like.
const SCATTER: f64 = 0.01;

/// Share by which the linear propagation may be off beside the scatter: none is known for grains, vapour pressure and
/// differences of them; the dew point bends, most where +-2 % is a large share of the humidity (98 F / 22 %).
const BENT: f64 = 0.015;

/// The same for a product of two uncertain figures, flow and depression (8.7 % and 11.6 %): its upper tail reaches
/// farther than its lower. Skewness 6 a2 b2 / s3 = 0.20 puts the 97.5 % point at 1.96 + 0.47 x 0.20 = 2.05 deviations (Cornish
/// and Fisher's expansion, from memory), against the 2 of k = 2.
const SKEWED: f64 = 0.02;

/// Errors as accuracies spread them.
struct Errors(TestRng);

impl Errors {
    fn new(seed: u8) -> Self {
        Self(TestRng::from_seed(RngAlgorithm::ChaCha, &[seed; 32]))
    }

    /// Above 0, at most 1.
    fn share(&mut self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "53 bits fit")]
        let share = (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        1.0 - share
    }

    fn of(&mut self, limit: f64, distribution: Distribution) -> f64 {
        match distribution {
            Distribution::Rectangular => limit * (2.0 * self.share() - 1.0),
            // Half the limit is one standard deviation (Box and Muller's transform).
            Distribution::NormalK2 => {
                let radius = (-2.0 * self.share().ln()).sqrt();
                limit / 2.0 * radius * (std::f64::consts::TAU * self.share()).cos()
            }
        }
    }

    /// Errors of a sensor's temperature (K) and humidity (% points).
    fn sensor(&mut self, sensor: &SensorAccuracy) -> (f64, f64) {
        (
            self.of(sensor.temp.limit().get(), sensor.temp.distribution()),
            self.of(sensor.rh.limit().get(), sensor.rh.distribution()),
        )
    }
}

fn state((temp_f, rh_pct): (f64, f64), (temp_k, rh_points): (f64, f64), pressure_pa: f64) -> MoistAir {
    MoistAir::from_temp_and_rh(
        Celsius::new(Celsius::from_fahrenheit(temp_f).get() + temp_k),
        RelativeHumidity::from_percent(rh_pct + rh_points).unwrap(),
        Pascals::new(pressure_pa),
        Saturation::LiquidWater,
    )
    .unwrap()
}

/// Mean, standard deviation and the middle 95 % of drawn figures.
fn spread(mut figures: Vec<f64>) -> (f64, f64, (f64, f64)) {
    let count = f64::from(DRAWS);
    let mean = figures.iter().sum::<f64>() / count;
    let deviation = (figures.iter().map(|one| (one - mean) * (one - mean)).sum::<f64>() / (count - 1.0)).sqrt();
    figures.sort_by(f64::total_cmp);
    let at = |share: usize| figures[figures.len() * share / 1000];
    (mean, deviation, (at(25), at(975)))
}

fn draw(seed: u8, mut figure: impl FnMut(&mut Errors) -> f64) -> Vec<f64> {
    let mut errors = Errors::new(seed);
    (0..DRAWS).map(|_| figure(&mut errors)).collect()
}

/// The drawn figures are spread as stated, and the stated interval of k = 2 covers the middle 95 % of them.
fn agrees(what: &str, figures: Vec<f64>, value: f64, standard: f64, off: f64) {
    let (mean, deviation, (low, high)) = spread(figures);
    assert!((standard / deviation - 1.0).abs() <= SCATTER + off, "{what}: stated {standard}, drawn {deviation}");
    // The mean of the draws moves by the scatter and by what bends: a small part of the uncertainty either way.
    assert!((mean - value).abs() <= 0.05 * standard, "{what}: {value}, drawn {mean}");
    // A normal figure's middle 95 % is 1.96 deviations; rectangular errors stay narrower.
    let u = 2.0 * standard * (1.0 + SCATTER + off);
    assert!(value - u <= low && high <= value + u, "{what}: {value} +- {u}, drawn {low} to {high}");
}

const P: f64 = 101_325.0;
const STATES: [(f64, f64); 6] = [(60.0, 60.0), (75.0, 50.0), (75.0, 40.0), (80.0, 60.0), (90.0, 30.0), (98.0, 22.0)];

fn sensors() -> [SensorAccuracy; 2] {
    let k2 = |limit_k, limit_pct| SensorAccuracy {
        temp: Accuracy::stated(CelsiusDelta::new(limit_k), Distribution::NormalK2).unwrap(),
        rh: Accuracy::stated(RelativeHumidityDelta::new(limit_pct), Distribution::NormalK2).unwrap(),
    };
    [SensorAccuracy::assumed(), k2(0.3, 1.5)]
}

/// The weather's share in a pressure that follows from the elevation, and one without sharp ends.
const OFF_PA: [(f64, Distribution); 2] = [(2500.0, Distribution::NormalK2), (6000.0, Distribution::Rectangular)];

#[test]
fn one_reading() {
    for seed in SEEDS {
        for sensor in sensors() {
            for at in STATES {
                let here = state(at, (0.0, 0.0), P);
                let name = |what: &str| format!("{what} at {} F / {} %, seed {seed}", at.0, at.1);
                let figures = draw(seed, |errors| state(at, errors.sensor(&sensor), P).vapour_pressure().get());
                let stated = vapour_pressure_uncertainty(&here, &sensor).standard().get();
                agrees(&name("vapour pressure"), figures, here.vapour_pressure().get(), stated, 0.0);
                let figures = draw(seed, |errors| state(at, errors.sensor(&sensor), P).dew_point().unwrap().get());
                let stated = dew_point_uncertainty(&here, &sensor).unwrap().standard().get();
                agrees(&name("dew point"), figures, here.dew_point().unwrap().get(), stated, BENT);
            }
        }
    }
}

#[test]
fn one_reading_at_a_pressure_that_may_be_off() {
    for (limit_pa, spread_as) in OFF_PA {
        let pressure = PressureAccuracy::Known(Accuracy::stated(Pascals::new(limit_pa), spread_as).unwrap());
        for seed in SEEDS {
            for (sensor, at) in sensors().into_iter().flat_map(|sensor| STATES.map(|at| (sensor, at))) {
                let here = state(at, (0.0, 0.0), P);
                let name = format!("{} F / {} %, {limit_pa} Pa, seed {seed}", at.0, at.1);
                let mut errors = Errors::new(seed);
                let (mut grains, mut enthalpies) = (Vec::new(), Vec::new());
                for _ in 0..DRAWS {
                    let off = errors.of(limit_pa, spread_as);
                    let drawn = state(at, errors.sensor(&sensor), P + off);
                    grains.push(drawn.grains_per_pound().get());
                    enthalpies.push(drawn.enthalpy().get());
                }
                let stated = gpp_uncertainty(&here, &sensor, &pressure).standard().get();
                agrees(&format!("GPP at {name}"), grains, here.grains_per_pound().get(), stated, 0.0);
                let stated = enthalpy_uncertainty(&here, &sensor, &pressure).standard().get();
                agrees(&format!("enthalpy at {name}"), enthalpies, here.enthalpy().get(), stated, 0.0);
            }
        }
    }
}

const PAIRS: [((f64, f64), (f64, f64)); 2] = [((75.0, 50.0), (75.0, 42.0)), ((80.0, 60.0), (98.0, 22.0))];

#[test]
fn two_sensors() {
    for seed in SEEDS {
        for sensor in sensors() {
            for (first, second) in PAIRS {
                let (one, other) = (state(first, (0.0, 0.0), P), state(second, (0.0, 0.0), P));
                let (one, other) = (Measured { air: &one, sensor }, Measured { air: &other, sensor });
                // One shared error is what correlation 1 stands for; half of the variance shared is correlation 0.5 only
                // for normal errors, so the ends are drawn.
                for (correlation, same) in [(Correlation::INDEPENDENT, false), (Correlation::SAME_PROBE, true)] {
                    let both = |errors: &mut Errors| {
                        let ours = errors.sensor(&sensor);
                        let theirs = if same { ours } else { errors.sensor(&sensor) };
                        (state(first, ours, P), state(second, theirs, P))
                    };
                    let name = format!("{first:?} - {second:?}, same {same}, seed {seed}");
                    // At like states a shared error all but cancels and what remains is the bend of the curve.
                    let off = if same { 0.05 } else { 0.0 };
                    let figures = draw(seed, |errors| {
                        let (one, other) = both(errors);
                        one.grains_per_pound().get() - other.grains_per_pound().get()
                    });
                    let stated = gpp_difference(one, other, correlation, &PressureAccuracy::Neglected);
                    agrees(&format!("GPP {name}"), figures, stated.value.get(), stated.budget.standard().get(), off);
                    let figures = draw(seed, |errors| {
                        let (one, other) = both(errors);
                        one.vapour_pressure().get() - other.vapour_pressure().get()
                    });
                    let stated = vapour_pressure_difference(one, other, correlation);
                    agrees(&format!("vapour {name}"), figures, stated.value.get(), stated.budget.standard().get(), off);
                }
                let figures = draw(seed, |errors| {
                    let one = state(first, errors.sensor(&sensor), P).dew_point().unwrap();
                    one.get() - state(second, errors.sensor(&sensor), P).dew_point().unwrap().get()
                });
                let stated = dew_point_difference(one, other, Correlation::INDEPENDENT).unwrap();
                agrees("dew points", figures, stated.value.get(), stated.budget.standard().get(), BENT);
            }
        }
    }
}

/// Both airs and the air that flows are at one pressure, so that its error is shared. It all but cancels: beside the
/// sensors it cannot be seen, so it is drawn alone, too.
#[test]
fn a_pressure_that_both_sides_share() {
    let flow = AirFlow::from_cfm(250.0);
    let exact = SensorAccuracy {
        temp: Accuracy::stated(CelsiusDelta::new(0.0), Distribution::Rectangular).unwrap(),
        rh: Accuracy::stated(RelativeHumidityDelta::new(0.0), Distribution::Rectangular).unwrap(),
    };
    for (limit_pa, spread_as) in OFF_PA {
        let pressure = PressureAccuracy::Known(Accuracy::stated(Pascals::new(limit_pa), spread_as).unwrap());
        for (seed, sensor) in SEEDS.into_iter().flat_map(|seed| [(seed, exact), (seed, SensorAccuracy::assumed())]) {
            for (first, second) in PAIRS {
                let (one, other) = (state(first, (0.0, 0.0), P), state(second, (0.0, 0.0), P));
                let stated = gpp_difference(
                    Measured { air: &one, sensor },
                    Measured { air: &other, sensor },
                    Correlation::INDEPENDENT,
                    &pressure,
                );
                let water = removal(flow, AirFlowAccuracy::Neglected, &one, &stated, &pressure).unwrap();
                let mut pairs = Errors::new(seed);
                let (mut differences, mut rates) = (Vec::new(), Vec::new());
                for _ in 0..DRAWS {
                    let pressure_pa = P + pairs.of(limit_pa, spread_as);
                    let one = state(first, pairs.sensor(&sensor), pressure_pa);
                    let other = state(second, pairs.sensor(&sensor), pressure_pa);
                    let difference = one.grains_per_pound() - other.grains_per_pound();
                    differences.push(difference.get());
                    rates.push(removal_rate(flow, one.specific_volume(), difference).unwrap().get());
                }
                let name = format!("{first:?} - {second:?}, {limit_pa} Pa, seed {seed}");
                let standard = stated.budget.standard().get();
                agrees(&format!("GPP {name}"), differences, stated.value.get(), standard, BENT);
                agrees(&format!("water {name}"), rates, water.rate.get(), water.standard().get(), BENT);
                // 2.5 kPa is 2.5 % of the pressure: of the water less than a tenth of that is left.
                let left = water.from_pressure.get() / water.rate.get();
                let share = pressure.standard().get() / P;
                assert!(left < share / 10.0, "{name}: {left} of {share}");
            }
        }
    }
}

/// The specific volume moves with the inlet's errors too; the stated uncertainty leaves that out (0.1 % of the rate per
/// kelvin), which the agreement shows to be small.
#[test]
fn water_removed() {
    let flow_accuracy = Accuracy::stated(Share::new(0.15), Distribution::Rectangular).unwrap();
    let flow = AirFlow::from_cfm(250.0);
    for seed in SEEDS {
        for sensor in sensors() {
            let (inlet, outlet) = PAIRS[1];
            let (one, other) = (state(inlet, (0.0, 0.0), P), state(outlet, (0.0, 0.0), P));
            let depression = gpp_difference(
                Measured { air: &one, sensor },
                Measured { air: &other, sensor },
                Correlation::INDEPENDENT,
                &PressureAccuracy::Neglected,
            );
            let known = AirFlowAccuracy::Known(flow_accuracy);
            let stated = removal(flow, known, &one, &depression, &PressureAccuracy::Neglected).unwrap();
            let figures = draw(seed, |errors| {
                let drawn = state(inlet, errors.sensor(&sensor), P);
                let out = state(outlet, errors.sensor(&sensor), P);
                let flow = AirFlow::new(flow.get() * (1.0 + errors.of(0.15, Distribution::Rectangular)));
                removal_rate(flow, drawn.specific_volume(), drawn.grains_per_pound() - out.grains_per_pound())
                    .unwrap()
                    .get()
            });
            agrees("removal", figures, stated.rate.get(), stated.standard().get(), SKEWED);
            assert!((stated.expanded(CoverageFactor::K2).get() / stated.standard().get() - 2.0).abs() <= 1e-12);
        }
    }
}
