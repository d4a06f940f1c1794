//! How long each part of a command took, by the wall clock.

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Parts with their beginnings and lengths, in the order in which they began. Parts may overlap.
pub struct Timings {
    begun: Instant,
    parts: Mutex<Vec<(&'static str, Instant, Option<Duration>)>>,
}

impl Timings {
    /// Begins to count.
    pub fn start() -> Self {
        Self { begun: Instant::now(), parts: Mutex::default() }
    }

    /// A part begins.
    pub fn begin(&self, part: &'static str) {
        self.parts.lock().unwrap_or_else(PoisonError::into_inner).push((part, Instant::now(), None));
    }

    /// The part of that name that began last ends.
    pub fn end(&self, part: &str) {
        let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, begun, length)) = parts.iter_mut().rev().find(|of| of.0 == part) {
            *length = Some(begun.elapsed());
        }
    }

    /// Does a part of the work.
    pub fn of<T>(&self, part: &'static str, work: impl FnOnce() -> T) -> T {
        self.begin(part);
        let made = work();
        self.end(part);
        made
    }

    /// `reading 0.120 s, judging 0.200 s; in all 0.410 s`.
    pub fn words(&self) -> String {
        let parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        let told: Vec<String> = parts
            .iter()
            .map(|(part, begun, length)| {
                format!("{part} {:.3} s", length.unwrap_or_else(|| begun.elapsed()).as_secs_f64())
            })
            .collect();
        format!("{}; in all {:.3} s", told.join(", "), self.begun.elapsed().as_secs_f64())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_told_in_the_order_they_began() {
        let timings = Timings::start();
        let three = timings.of("reading", || timings.of("counting", || 1 + 2));
        assert_eq!(three, 3);
        let words = timings.words();
        let numbers: Vec<&str> = words.split([',', ';']).map(str::trim).collect();
        assert!(numbers[0].starts_with("reading 0.0"), "{words}");
        assert!(numbers[1].starts_with("counting 0.0"), "{words}");
        assert!(numbers[2].starts_with("in all 0.0") && numbers.len() == 3, "{words}");
    }
}
