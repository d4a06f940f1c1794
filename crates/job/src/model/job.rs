//! The whole job.

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use grainfall_psychrometrics::{Metres, Pascals};
use grainfall_record::{DateOrder, RowRef};
use grainfall_words::{DateStyle, Words};

use super::{
    AirReading, BilledDays, Chamber, CondensateEntry, HourMeterEntry, LoggerPlacement, Material, Meter, Pause, Point,
    Reading, SideBySide, Stay, Visit,
};

/// Everything a folder's own files say, checked. Lists keep file order unless said otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Job number.
    pub number: Option<String>,
    /// Title: what people call the job.
    pub title: Option<String>,
    /// Claim reference.
    pub claim: Option<String>,
    /// The zone of its civil days.
    pub zone: Zone,
    /// Where the air pressure comes from.
    pub pressure: PressureSource,
    /// How far a stated or logged pressure may be off either way, as rectangular limits; `None`: not said.
    pub pressure_accuracy: Option<Pascals>,
    /// When the water came.
    pub loss_at: Option<DateTime<Utc>>,
    /// Category of water, oldest first.
    pub category: Vec<Dated<WaterCategory>>,
    /// Class of water, oldest first.
    pub class: Vec<Dated<WaterClass>>,
    /// How equipment-days are counted.
    pub equipment_day: EquipmentDayRule,
    /// A unit that leaves within this time of the reading that met the last goal of its area takes, for a period begun
    /// after that reading, the verdict before it. Default 4 h.
    pub pull_window: TimeDelta,
    /// Whether the job states the pull window; otherwise our convention stands in.
    pub pull_window_stated: bool,
    /// How many readings in a row must meet a goal. Default 1.
    pub confirm_readings: u32,
    /// Order of dates where the files cannot settle it.
    pub date_order: Option<DateOrder>,
    /// Drying chambers.
    pub chambers: Vec<Chamber>,
    /// Where loggers stood.
    pub loggers: Vec<LoggerPlacement>,
    /// Loggers that stood side by side.
    pub side_by_side: Vec<SideBySide>,
    /// Moisture meters.
    pub meters: Vec<Meter>,
    /// Materials.
    pub materials: Vec<Material>,
    /// Metered points.
    pub points: Vec<Point>,
    /// Equipment, one entry per stay, sorted by unit, then placed.
    pub equipment: Vec<Stay>,
    /// Condensate measured by hand, by time.
    pub condensate: Vec<CondensateEntry>,
    /// Hour meters read by hand, by time.
    pub hour_meters: Vec<HourMeterEntry>,
    /// Planned or explained stops.
    pub pauses: Vec<Pause>,
    /// Days somebody billed, where no stay carries them.
    pub billed: Vec<BilledDays>,
    /// Material readings by hand, by time, then file order.
    pub readings: Vec<Reading>,
    /// Air readings by hand, by time, then file order.
    pub air_readings: Vec<AirReading>,
    /// Visits, by time.
    pub visits: Vec<Visit>,
    /// The job's own files that were read, relative paths, sorted.
    pub files: Vec<String>,
}

/// The zone of the job's civil days and wall clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Zone {
    /// The IANA zone.
    pub tz: Tz,
    /// `false` when the job does not say: then UTC stands in and every report says so.
    pub stated: bool,
    /// How its dates are written in sentences; no file of the job says so, the person who asks may.
    pub dates: DateStyle,
    /// The language in which is told of the job; chosen like the dates.
    pub words: Words,
}

impl Zone {
    /// The zone a job states.
    #[must_use]
    pub fn stated(tz: Tz) -> Self {
        Self { tz, stated: true, dates: DateStyle::default(), words: Words::default() }
    }

    /// What stands in where a job states none.
    #[must_use]
    pub fn not_stated() -> Self {
        Self { stated: false, ..Self::stated(Tz::UTC) }
    }

    /// An instant as people of the zone read it: `9 Oct 2025 08:42`.
    #[must_use]
    pub fn moment(&self, time: DateTime<Utc>) -> String {
        self.dates.moment(self.words, time.with_timezone(&self.tz))
    }
}

/// Where the air pressure comes from, best first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PressureSource {
    /// Written in the job.
    Stated(Pascals),
    /// From the written elevation by the standard atmosphere.
    Elevation(Metres),
    /// Not said: a logged station pressure, else the standard atmosphere at sea level.
    NotStated,
}

/// A half-open span of time, `from <= t < to`; `None` is open at that end.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Span {
    /// Start, included.
    pub from: Option<DateTime<Utc>>,
    /// End, excluded.
    pub to: Option<DateTime<Utc>>,
}

impl Span {
    /// Whether `time` lies in the span.
    #[must_use]
    pub fn contains(&self, time: DateTime<Utc>) -> bool {
        self.from.is_none_or(|from| from <= time) && self.to.is_none_or(|to| time < to)
    }

    /// Whether two spans share an instant.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        let before = |end: Option<DateTime<Utc>>, start: Option<DateTime<Utc>>| matches!((end, start), (Some(end), Some(start)) if end <= start);
        !before(self.to, other.from) && !before(other.to, self.from)
    }
}

/// A value that holds from a time on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dated<T> {
    /// The value.
    pub value: T,
    /// From when; `None` for the first.
    pub from: Option<DateTime<Utc>>,
    /// Why it changed.
    pub reason: Option<String>,
    /// Edition of the standard it is taken from, as written.
    pub edition: Option<String>,
}

/// Category of water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum WaterCategory {
    One,
    Two,
    Three,
}

/// Class of water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum WaterClass {
    One,
    Two,
    Three,
    Four,
}

/// How equipment-days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EquipmentDayRule {
    /// Periods of 24 hours from the moment of placing.
    Hours24,
    /// Civil days of the job's zone.
    Calendar,
}

/// A line in one of the job's files, for messages and evidence.
pub type Line = RowRef;
