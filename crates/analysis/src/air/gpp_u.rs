//! Expanded uncertainty of grains per pound by where it comes from.
//!
//! A sensor's error is its own. That of the pressure is shared by all airs of a job, so that it stands in full in the
//! figure of one air and all but cancels in a difference of two (JCGM 100:2008, eq. 13, correlation 1).

use grainfall_psychrometrics::uncertainty::{CoverageFactor, GppUncertainty};

/// Expanded uncertainty (k = 2), GPP; both parts zero or above.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct GppU {
    /// From temperature and humidity sensors.
    pub(crate) sensors: f64,
    /// From the pressure: by how much the figure is too low where the pressure is.
    pub(crate) pressure: f64,
}

impl GppU {
    /// The parts of a budget.
    pub(crate) fn of(budget: &GppUncertainty) -> Self {
        let k = CoverageFactor::K2.get();
        Self {
            sensors: k * budget.from_temp.get().hypot(budget.from_rh.get()),
            pressure: k * budget.from_pressure.get(),
        }
    }

    /// The parts of a whole of which that from the pressure is known.
    pub(crate) fn of_total(total: f64, pressure: f64) -> Self {
        Self { sensors: (total * total - pressure * pressure).max(0.0).sqrt(), pressure }
    }

    /// Both parts together.
    pub(crate) fn total(self) -> f64 {
        self.sensors.hypot(self.pressure)
    }

    /// Of one air minus another.
    pub(crate) fn minus(self, other: Self) -> Self {
        Self { sensors: self.sensors.hypot(other.sensors), pressure: (self.pressure - other.pressure).abs() }
    }

    /// Of the mean of one air measured by several sensors.
    pub(crate) fn of_mean(parts: impl IntoIterator<Item = Self>) -> Self {
        let (mut n, mut sum) = (0.0, Self::default());
        for part in parts {
            n += 1.0;
            sum = Self { sensors: sum.sensors.hypot(part.sensors), pressure: sum.pressure + part.pressure };
        }
        if n > 0.0 { Self { sensors: sum.sensors / n, pressure: sum.pressure / n } } else { sum }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: GppU = GppU { sensors: 3.0, pressure: 4.0 };

    #[test]
    fn sensors_add_up_and_the_shared_pressure_cancels() {
        // sqrt(9 + 16) = 5; sqrt(9 + 9) = 4.2426 and 4 - 4 = 0 (arithmetic).
        assert!((ONE.total() - 5.0).abs() < 1e-12);
        let difference = ONE.minus(ONE);
        assert!((difference.total() - 18.0_f64.sqrt()).abs() < 1e-12 && difference.pressure.abs() < 1e-12);
        // Two sensors in one air: sqrt(18) / 2, and the pressure's part is no smaller for being seen twice.
        let mean = GppU::of_mean([ONE, ONE]);
        assert!((mean.sensors - 18.0_f64.sqrt() / 2.0).abs() < 1e-12 && (mean.pressure - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_whole_comes_apart_again() {
        let apart = GppU::of_total(ONE.total(), ONE.pressure);
        assert!((apart.sensors - 3.0).abs() < 1e-12 && (apart.pressure - 4.0).abs() < 1e-12);
    }
}
