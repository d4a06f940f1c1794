//! The numbers of our own rules, in one place, each with its reason.
//!
//! Trade practice without a document behind it is marked `common practice, no source`; the rest are this project's
//! conventions and every report prints those it used.

use chrono::TimeDelta;

/// Readings of one point closer than this to the first of them belong to one visit; the highest counts.
/// Project convention: a visit to a house takes less, two visits are farther apart.
pub const VISIT_SPAN: TimeDelta = TimeDelta::hours(2);

/// A point without a reading this near to an equipment-day is unread in it, and a first reading above the goal reaches back
/// this far. Project convention: daily visits are at most this far apart when one is early and the next late.
pub const READING_REACH: TimeDelta = TimeDelta::hours(36);

/// A logger is silent when its last sample is older than this: a met air goal stands on it for so long. Project convention:
/// loggers are read out at a visit, and equipment leaves the same day.
pub const LOGGER_SILENT: TimeDelta = TimeDelta::hours(12);

/// Samples farther than this from every entry of the job, and from the logs that go on from there without such a gap, are
/// of a clock that was not set. Project convention: loggers are started days before a job and read out days after it.
pub const STRAY_FROM_ENTRIES: TimeDelta = TimeDelta::days(30);

/// Once every unit has left: samples later than this after the last entry of the job are of a logger that ran on elsewhere.
/// Project convention: loggers are taken along at the last visit or within the day.
pub const RAN_ON: TimeDelta = TimeDelta::hours(12);

/// Where a job has no entries: samples farther than this from the longest stretch of samples without such a gap. Project
/// convention: a clock that was not set starts years away.
pub const STRAY_FROM_LOG: TimeDelta = TimeDelta::days(365);

/// Loggers side by side measure a bias from this many hours on. Project convention: sensors need most of an hour to
/// settle in air they were carried to.
pub const SIDE_BY_SIDE_HOURS: f64 = 1.0;

/// Matched samples that a measured bias needs at least. Project convention.
pub const SIDE_BY_SIDE_SAMPLES: usize = 4;

/// Air of a chamber that is wetter by this than it had been, unexplained, leaves its closed points open to doubt until
/// they are read, GPP: `not needed` becomes `not shown`. Project convention, chosen on simulated rewettings; the same
/// logger shows both, so that its error cancels. Where outdoor air is drier, no more is asked.
pub const AIR_RISE_GPP: f64 = 5.0;

/// By this, GPP, where it stayed, every logger in that air shows it and nobody was in the chamber; so too where outdoor air
/// is wetter and cannot have brought it. Project convention, chosen on simulated rewettings.
pub const AIR_RISE_LITTLE_GPP: f64 = 3.0;

/// Every sample of that time is wetter by this share of it: a door that was open for a moment is no rise. Project
/// convention.
pub const AIR_RISE_STAYED: f64 = 0.5;

/// Where outdoor air is wetter, what came in through a door comes to this share of the way from the chamber's air to
/// outdoor air and more; water that evaporates in a chamber seldom does. Project convention: with the air changes of an
/// open door or window (some an hour) against the two or three that a dehumidifier is worth, the share is 0.5 to 0.8; of a
/// few kilograms in one material it was 0.05 to 0.2 beside the air of a humid summer.
pub const AIR_RISE_DOOR_SHARE: f64 = 0.3;

/// Outdoor air whose enthalpy is lower by this than the chamber's, kJ per kg of dry air, must cool a room that it comes
/// into, even where the dehumidifier turns its vapour to heat; evaporating and condensing in the room leave its enthalpy as
/// it was. Project convention: twice what loggers of +-2 %RH and +-0.5 degF leave in doubt.
pub const AIR_RISE_LOWER_KJ: f64 = 4.0;

/// By at least this share of the difference of temperatures, at the end of the time it held. Project convention: open
/// doors showed 0.1 to 0.25, rewettings at most 0.045.
pub const AIR_RISE_COOLED_SHARE: f64 = 0.05;

/// Beside wetter outdoor air it is compared with so many times the time it must have held: a slow rise over half a day is
/// the weather's. Project convention.
pub const AIR_RISE_NEAR_TIMES: i64 = 4;

/// So long after a reading in the chamber no little rise begins: doors stood open, and it takes so long to dry again.
/// Project convention: the people stay for less than an hour, and a dehumidifier changes the air twice an hour.
pub const AIR_RISE_AFTER_READING: TimeDelta = TimeDelta::minutes(90);

/// Loggers in one air show a rise within so long of one another: clocks are off by as much. Project convention.
pub const AIR_RISE_TOGETHER: TimeDelta = TimeDelta::minutes(150);

/// For so long it must have been wetter, in the middle of its samples: doors stand open for minutes. Project convention.
pub const AIR_RISE_HELD: TimeDelta = TimeDelta::hours(1);

/// And it is compared with so long before that. Project convention.
pub const AIR_RISE_BEFORE: TimeDelta = TimeDelta::hours(12);

/// With what this share of those samples did not exceed, so that air that was dried by an open window for hours is no
/// level. Project convention.
pub const AIR_RISE_LEVEL: f64 = 0.9;

/// Looked for so often. Project convention.
pub const AIR_RISE_STEP: TimeDelta = TimeDelta::minutes(15);

/// Samples nearer to one another than this are thinned. Project convention.
pub const AIR_RISE_THINNED: TimeDelta = TimeDelta::minutes(5);

/// Samples that the time it must have held needs. Project convention.
pub const AIR_RISE_LEAST_NOW: usize = 3;

/// Samples that the time before that needs. Project convention.
pub const AIR_RISE_LEAST_BEFORE: usize = 8;

/// A dehumidifier that gives off air warmer than the room's by less than this tells nothing of its running, K. Project
/// convention.
pub const AIR_RISE_WARMER_K: f64 = 2.0;

/// It ran on where that air stayed warmer by this share of what it was before. Project convention.
pub const AIR_RISE_RUN_SHARE: f64 = 0.5;

/// Expanded uncertainty (k = 2), Pa, of a pressure that does not follow the weather: from the elevation, or stated once.
/// Project convention: it holds at least 95 % of the hours of the open records of weather stations in Toronto (January),
/// Atlanta and New York (March and November) about the standard atmosphere; a pressure read once is no nearer to those of
/// the week after it.
pub const WEATHER_PRESSURE_U_PA: f64 = 2500.0;

/// Half-width, Pa, of rectangular limits of a logged station pressure: a barometer, and its place within 40 m of height.
/// Project convention.
pub const LOGGED_PRESSURE_LIMIT_PA: f64 = 500.0;

/// Where nobody stated elevation or pressure, limits reach to that of this elevation, m: 73.7 % of people live below it
/// (Cohen and Small, Hypsographic demography, PNAS 95 (1998) 14009-14014, from a summary; the document was not open).
pub const UNKNOWN_ELEVATION_M: f64 = 500.0;

/// Stays of one unit that follow within this time are one stay (moved between rooms, a breaker reset).
/// Project convention.
pub const SAME_STAY: TimeDelta = TimeDelta::hours(1);

/// Default goal for wood: within this many points of moisture content above the dry standard.
/// common practice, no source.
pub const WOOD_ABOVE_DRY_STANDARD: f64 = 4.0;

/// Default goal for wood: not above this moisture content, %, unless the dry standard is.
/// common practice, no source.
pub const WOOD_GOAL_CAP: f64 = 16.0;

/// Default goal on relative scales: at most this many times the dry standard.
/// common practice, no source.
pub const RELATIVE_OVER_DRY_STANDARD: f64 = 1.10;

/// A rise from one reading to the next larger than the meter's accuracy and than this share of the reading before is
/// a rewetting: a drying rate starts anew after it. Project convention.
pub const REWETTING_SHARE: f64 = 0.10;

/// At most this many readings enter one slope; more are thinned evenly. Bounds the work on logged points.
pub const SLOPE_READINGS: usize = 400;

/// A needed equipment-day counts as `did not run` from this many stopped hours on. Project convention.
pub const DID_NOT_RUN_HOURS: f64 = 1.0;
