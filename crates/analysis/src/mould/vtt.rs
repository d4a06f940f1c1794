//! The mould index of Hukka and Viitanen with four classes of material.
//!
//! # Source
//! Hukka and Viitanen, Wood Sci. Technol. 33 (1999) 475-485 (abstract seen); classes by Viitanen and Ojanen (2007) and
//! Ojanen et al. (2010), not seen: coefficients as found alike in independent open implementations. Explicit Euler steps
//! of at most an hour.
//!
//! Three mistakes of public code are guarded by tests: the sign of the linear term of the critical curve, a daily growth
//! rate added every hour, and a bracket that moves the growth coefficient.

use grainfall_words::{Words, say};

/// How readily mould grows on a class of material.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sensitivity {
    VerySensitive,
    Sensitive,
    MediumResistant,
    Resistant,
}

impl Sensitivity {
    /// What people read, with examples.
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::VerySensitive => say!(words, "mould.very_sensitive"),
            Self::Sensitive => say!(words, "mould.sensitive"),
            Self::MediumResistant => say!(words, "mould.medium_resistant"),
            Self::Resistant => say!(words, "mould.resistant"),
        }
    }
}

/// A class of material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Class {
    pub sensitivity: Sensitivity,
    /// Growth coefficient below index 1.
    below_one: f64,
    /// And from index 1 on.
    from_one: f64,
    /// Coefficients of the highest index.
    highest: [f64; 3],
    /// Lowest critical humidity, %.
    pub lowest_rh_pct: f64,
}

/// Most sensitive first.
pub(crate) const CLASSES: [Class; 4] = [
    Class {
        sensitivity: Sensitivity::VerySensitive,
        below_one: 1.0,
        from_one: 2.0,
        highest: [1.0, 7.0, 2.0],
        lowest_rh_pct: 80.0,
    },
    Class {
        sensitivity: Sensitivity::Sensitive,
        below_one: 0.578,
        from_one: 0.386,
        highest: [0.3, 6.0, 1.0],
        lowest_rh_pct: 80.0,
    },
    Class {
        sensitivity: Sensitivity::MediumResistant,
        below_one: 0.072,
        from_one: 0.097,
        highest: [0.0, 5.0, 1.5],
        lowest_rh_pct: 85.0,
    },
    Class {
        sensitivity: Sensitivity::Resistant,
        below_one: 0.033,
        from_one: 0.014,
        highest: [0.0, 3.0, 1.0],
        lowest_rh_pct: 85.0,
    },
];

/// Wood species of the growth time: 0 pine.
const SPECIES: f64 = 0.0;
/// Surface of the growth time: 0 resawn.
const SURFACE: f64 = 0.0;

/// Humidity from which mould can grow at a temperature, %: the published cubic up to 20 degC, the class's lowest above,
/// and never below it (the cubic alone dips to 79.9 % near 17 degC).
pub(crate) fn critical_rh_pct(temp_c: f64, lowest_rh_pct: f64) -> f64 {
    if temp_c > 20.0 {
        return lowest_rh_pct;
    }
    let cubic = -0.002_67 * temp_c.powi(3) + 0.160 * temp_c.powi(2) - 3.13 * temp_c + 100.0;
    cubic.max(lowest_rh_pct)
}

/// Whether mould can grow: at or above the critical humidity between 0 and 50 degC.
pub(crate) fn favourable(temp_c: f64, rh_pct: f64, lowest_rh_pct: f64) -> bool {
    temp_c > 0.0 && temp_c < 50.0 && rh_pct >= critical_rh_pct(temp_c, lowest_rh_pct)
}

/// The index of one class as it goes through time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Growth {
    class: Class,
    /// How much of the decline of the original pine applies, 0 to 1.
    decline: f64,
    /// Index, 0 to 6.
    pub index: f64,
    unfavourable_h: f64,
}

impl Growth {
    /// From index 0, with the decline of the original pine.
    pub fn new(class: Class) -> Self {
        Self { class, decline: 1.0, index: 0.0, unfavourable_h: 0.0 }
    }

    /// The highest index these conditions lead to.
    pub fn highest(&self, temp_c: f64, rh_pct: f64) -> f64 {
        let critical = critical_rh_pct(temp_c, self.class.lowest_rh_pct);
        let x = (critical - rh_pct) / (critical - 100.0);
        let [a, b, c] = self.class.highest;
        a + b * x - c * x * x
    }

    /// One step of at most an hour at a temperature, degC, and a relative humidity, %.
    pub fn step(&mut self, temp_c: f64, rh_pct: f64, step_h: f64) {
        let days = step_h / 24.0;
        if favourable(temp_c, rh_pct, self.class.lowest_rh_pct) {
            self.unfavourable_h = 0.0;
            let pace = if self.index < 1.0 { self.class.below_one } else { self.class.from_one };
            let slowing = (1.0 - (2.3 * (self.index - self.highest(temp_c, rh_pct))).exp()).max(0.0);
            let weeks_to_one =
                (-0.68 * temp_c.ln() - 13.9 * rh_pct.ln() + 0.14 * SPECIES - 0.33 * SURFACE + 66.02).exp();
            self.index += pace * slowing / (7.0 * weeks_to_one) * days;
        } else {
            self.unfavourable_h += step_h;
            // A step ends in its own regime; half a second of slack for steps that are not whole.
            let rate = match self.unfavourable_h {
                h if h <= 6.0 + 1.4e-4 => -0.032,
                h if h <= 24.0 + 1.4e-4 => 0.0,
                _ => -0.016,
            };
            self.index = (self.index + self.decline * rate * days).max(0.0);
        }
    }

    /// A stretch of steady conditions, in steps of at most `longest_h`.
    pub fn hold(&mut self, temp_c: f64, rh_pct: f64, hours: f64, longest_h: f64) {
        let mut left = hours;
        while left > 1e-9 {
            let step = left.min(longest_h);
            self.step(temp_c, rh_pct, step);
            left -= step;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "{found} instead of {wanted}");
    }

    fn after(class: usize, hours: u32, temp_c: f64, rh_pct: f64) -> f64 {
        let mut growth = Growth::new(CLASSES[class]);
        (0..hours).for_each(|_| growth.step(temp_c, rh_pct, 1.0));
        growth.index
    }

    /// The cubic's own values: 97.0273 (1 C), 88.0162 (5), 85.0142 (7), 82.0300 (10), 80.0388 (15), 80.0400 (20). A
    /// flipped sign of the linear term would give 103.3 at 1 C.
    #[test]
    fn the_critical_curve() {
        for (temp, wanted) in
            [(1.0, 97.0273), (5.0, 88.0162), (7.0, 85.0142), (10.0, 82.0300), (15.0, 80.0388), (20.0, 80.04)]
        {
            close(critical_rh_pct(temp, 80.0), wanted, 6e-5);
        }
        close(critical_rh_pct(17.0, 80.0), 80.0, 1e-12);
        close(critical_rh_pct(15.0, 85.0), 85.0, 1e-12);
        close(critical_rh_pct(25.0, 80.0), 80.0, 1e-12);
    }

    #[test]
    fn the_highest_index_of_each_class() {
        for (class, wanted) in [4.0, 3.05, 1.5, 0.888_889].into_iter().enumerate() {
            close(Growth::new(CLASSES[class]).highest(22.0, 90.0), wanted, 1e-6);
        }
    }

    /// Explicit Euler, hourly, computed apart from this code with the same published coefficients. A daily rate added
    /// every hour would be 24 times as large, a moved bracket would change every line.
    #[test]
    fn growth_in_steady_conditions() {
        let cases: [(u32, f64, f64, [f64; 4]); 6] = [
            (7 * 24, 22.0, 90.0, [0.253_885, 0.146_609, 0.017_690, 0.007_286]),
            (14 * 24, 22.0, 90.0, [0.507_742, 0.293_155, 0.035_355, 0.014_553]),
            (28 * 24, 22.0, 90.0, [1.030_368, 0.585_949, 0.070_608, 0.029_030]),
            (28 * 24, 25.0, 95.0, [3.679_100, 1.239_223, 0.168_685, 0.075_155]),
            (84 * 24, 20.0, 97.0, [5.503_918, 3.429_694, 0.581_273, 0.260_546]),
            (1, 25.0, 90.0, [0.001_648_524, 0.000_952_087, 0.000_114_937, 0.000_047_363_7]),
        ];
        for (hours, temp, rh, wanted) in cases {
            for (class, wanted) in wanted.into_iter().enumerate() {
                close(after(class, hours, temp, rh), wanted, 1e-6);
            }
        }
    }

    #[test]
    fn first_hours_of_index_one_and_three() {
        let mut growth = Growth::new(CLASSES[0]);
        let mut reached = [0, 0];
        for hour in 1..=600 {
            growth.step(20.0, 97.0, 1.0);
            for (slot, index) in [(0, 1.0), (1, 3.0)] {
                if reached[slot] == 0 && growth.index >= index {
                    reached[slot] = hour;
                }
            }
        }
        assert_eq!(reached, [250, 500]);
    }

    /// 28 d of 12 h at 95 % and 12 h at 60 %, 25 C.
    #[test]
    fn growth_and_decline_by_turns() {
        for (class, wanted) in [0.950_502, 0.454_810, 0.0, 0.0].into_iter().enumerate() {
            let mut growth = Growth::new(CLASSES[class]);
            for _ in 0..28 {
                growth.hold(25.0, 95.0, 12.0, 1.0);
                growth.hold(25.0, 60.0, 12.0, 1.0);
            }
            close(growth.index, wanted, 1e-6);
        }
    }

    #[test]
    fn decline_in_dry_air() {
        let mut growth = Growth { index: 2.0, ..Growth::new(CLASSES[0]) };
        let mut hours = 0;
        for (until, wanted) in [(6, 1.992), (24, 1.992), (48, 1.976), (72, 1.960)] {
            while hours < until {
                growth.step(20.0, 50.0, 1.0);
                hours += 1;
            }
            close(growth.index, wanted, 1e-9);
        }
    }

    /// 28 d of the sensitive class differ by about 1e-6 between hourly and minute steps.
    #[test]
    fn the_step_hardly_matters() {
        let mut fine = Growth::new(CLASSES[1]);
        fine.hold(22.0, 90.0, 28.0 * 24.0, 1.0 / 60.0);
        close(fine.index, after(1, 28 * 24, 22.0, 90.0), 5e-6);
    }

    /// A surface falling from 90 to 45 % in 72 h at 26 C peaks near 0.014 and is back at 0.
    #[test]
    fn a_drying_job_leaves_almost_nothing() {
        let mut growth = Growth::new(CLASSES[0]);
        let mut peak = 0.0_f64;
        for hour in 0..72 {
            growth.step(26.0, 90.0 - 45.0 * f64::from(hour) / 72.0, 1.0);
            peak = peak.max(growth.index);
        }
        close(peak, 0.014, 0.001);
        close(growth.index, 0.0, 1e-12);
    }
}
