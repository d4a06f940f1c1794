//! Random numbers that are the same on every machine: one named stream per instrument.
//!
//! The generator is SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number
//! generators", OOPSLA 2014; the reference C code by S. Vigna is in the public domain). The constants are written
//! from memory and checked in the tests against the published first outputs for seed 1234567.

/// A stream of random numbers.
#[derive(Debug, Clone)]
pub struct Rng {
    state: u64,
}

impl Rng {
    /// The stream called `label` of a scenario's seed. Streams of different labels do not disturb one another: adding an
    /// instrument leaves the errors of all others as they were.
    #[must_use]
    pub fn stream(seed: u64, label: &str) -> Self {
        // FNV-1a (64 bit, public domain; constants from memory) turns the label into a number.
        let hash = label
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
        let mut mixed = Self { state: seed ^ hash };
        Self { state: mixed.next_u64() }
    }

    /// The next 64 random bits.
    pub fn next_u64(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number in `0 <= x < 1`, with 53 random bits.
    pub fn unit(&mut self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
        let bits = (self.next_u64() >> 11) as f64;
        bits * (1.0 / 9_007_199_254_740_992.0)
    }

    /// A number in `low <= x < high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number in `low ..= high`.
    pub fn whole(&mut self, low: i64, high: i64) -> i64 {
        let count = u64::try_from(high - low + 1).unwrap_or(1);
        low + i64::try_from(self.next_u64() % count).unwrap_or(0)
    }

    /// A number of mean 0 and standard deviation 1, within -6 to 6: the sum of twelve uniform numbers less six. It
    /// needs no logarithm, so its bits do not depend on the platform's mathematics.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_gives_its_published_numbers() {
        // First outputs of SplitMix64 for seed 1234567, as listed at Rosetta Code, "Pseudo-random numbers/Splitmix64"
        // (from memory).
        let mut rng = Rng { state: 1_234_567 };
        let first: Vec<u64> = (0..3).map(|_| rng.next_u64()).collect();
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn streams_differ_by_label_and_by_seed_and_repeat() {
        let first = |seed, label| Rng::stream(seed, label).next_u64();
        assert_eq!(first(7, "logger A"), first(7, "logger A"));
        assert_ne!(first(7, "logger A"), first(7, "logger B"));
        assert_ne!(first(7, "logger A"), first(8, "logger A"));
    }

    #[test]
    fn normal_numbers_have_mean_0_and_deviation_1() {
        let mut rng = Rng::stream(1, "normal");
        let draws: Vec<f64> = (0..20_000).map(|_| rng.normal()).collect();
        let mean = draws.iter().sum::<f64>() / 20_000.0;
        let variance = draws.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 19_999.0;
        // Four standard errors: 4 / sqrt(20000) = 0.028 for the mean, 4 sqrt(2 / 20000) = 0.04 for the variance.
        assert!(mean.abs() < 0.028, "mean {mean}");
        assert!((variance - 1.0).abs() < 0.04, "variance {variance}");
    }
}
