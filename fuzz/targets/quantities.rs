//! Any text as a quantity with its unit: what is taken is a number.
#![no_main]

use grainfall_psychrometrics::{Celsius, Pascals, RelativeHumidity};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(temperature) = text.parse::<Celsius>() {
        assert!(temperature.get().is_finite() && temperature.get() >= -273.15);
    }
    if let Ok(humidity) = text.parse::<RelativeHumidity>() {
        assert!(humidity.percent().is_finite());
    }
    if let Ok(pressure) = text.parse::<Pascals>() {
        assert!(pressure.get().is_finite() && pressure.get() > 0.0);
    }
});
