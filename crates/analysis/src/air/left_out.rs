//! Samples and readings that are in the files and not in the evidence, each with its reason.

use std::ops::Range;

use chrono::{DateTime, Utc};
use grainfall_record::LoggerSeries;
use grainfall_words::{Words, say};

use crate::evidence::SourceRow;
use crate::rules::RAN_ON;

/// Samples of one logger that were left out for one reason.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LeftOut {
    /// The logger's id; of a reading by hand its place.
    pub(crate) logger: String,
    /// Label of its placement, where it has one.
    pub(crate) label: Option<String>,
    /// Why.
    pub(crate) reason: LeftOutReason,
    /// How many.
    pub(crate) samples: u64,
    /// First of them.
    pub(crate) first: DateTime<Utc>,
    /// Last of them.
    pub(crate) last: DateTime<Utc>,
    /// First and last row.
    pub(crate) rows: Vec<SourceRow>,
}

impl LeftOut {
    /// The samples of a logger at these positions, without a label; `None` where there are none.
    pub(crate) fn of(series: &LoggerSeries, range: Range<usize>, reason: LeftOutReason) -> Option<Self> {
        let (first, last) = (range.clone().next()?, range.clone().next_back()?);
        Some(Self {
            logger: series.logger.clone(),
            label: None,
            reason,
            samples: range.len() as u64,
            first: series.time[first],
            last: series.time[last],
            rows: [first, last].into_iter().filter_map(|i| series.source(i)).map(|row| SourceRow::from(&row)).collect(),
        })
    }
}

/// Why samples were left out.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum LeftOutReason {
    /// Relative humidity above 100 % by more than the sensor's limit.
    HumidityAboveLimit {
        /// The limit of the sensor, %RH.
        limit_pct: f64,
        /// The highest value found, %.
        highest_pct: f64,
    },
    /// Relative humidity of 0 % or below.
    HumidityNotAboveZero,
    /// The moist-air equations have no answer; the first message they gave.
    OutsideEquations {
        /// The message.
        message: String,
    },
    /// The logger is placed, and these samples lie outside every span of its placements.
    OutsidePlacement,
    /// After the report's clock.
    AfterClock,
    /// Far from everything that is dated in the job.
    ClockNotSet,
    /// After the day of the job's last entry, when every unit had left.
    RanOn,
}

impl LeftOutReason {
    /// The reason as people read it.
    pub(crate) fn said(&self, words: Words) -> String {
        match self {
            Self::HumidityAboveLimit { limit_pct, highest_pct } => say!(
                words,
                "left_out.relative_humidity_above_100_by",
                limit_pct = words.figure(limit_pct.to_string()),
                highest_pct = words.figure(highest_pct.to_string())
            ),
            Self::HumidityNotAboveZero => say!(words, "left_out.relative_humidity_of_0_or").to_owned(),
            Self::OutsideEquations { message } => message.clone(),
            Self::OutsidePlacement => say!(words, "left_out.outside_the_time_the_logger").to_owned(),
            Self::AfterClock => say!(words, "left_out.after_the_report_s_clock").to_owned(),
            Self::ClockNotSet => say!(words, "left_out.by_a_clock_that_was").to_owned(),
            Self::RanOn => say!(words, "left_out.ran_on", hours = RAN_ON.num_hours()),
        }
    }
}
