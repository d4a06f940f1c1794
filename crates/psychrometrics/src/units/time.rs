//! Elapsed time, as people write a hold time or a window.

use super::text::{Limit, Unit};
use super::{quantity, written};

quantity! {
    /// A duration in hours. Written `4 h`, `30 min` or `2 d`; a day is 24 h, never a civil day.
    Hours, "hours"
}

written!(
    Hours,
    "a duration",
    Limit::NotNegative,
    [
        Unit { name: "h", spellings: &["h", "hr", "hrs", "hour", "hours"], to_canonical: |v| v },
        Unit { name: "min", spellings: &["min", "mins", "minute", "minutes"], to_canonical: |v| v / 60.0 },
        Unit { name: "d", spellings: &["d", "day", "days"], to_canonical: |v| v * 24.0 },
    ]
);

impl Hours {
    /// From minutes.
    #[must_use]
    pub const fn from_minutes(minutes: f64) -> Self {
        Self(minutes / 60.0)
    }

    /// In minutes.
    #[must_use]
    pub const fn to_minutes(self) -> f64 {
        self.0 * 60.0
    }

    /// From days of 24 h.
    #[must_use]
    pub const fn from_days(days: f64) -> Self {
        Self(days * 24.0)
    }

    /// In days of 24 h.
    #[must_use]
    pub const fn to_days(self) -> f64 {
        self.0 / 24.0
    }

    /// In seconds.
    #[must_use]
    pub const fn to_seconds(self) -> f64 {
        self.0 * 3600.0
    }
}
