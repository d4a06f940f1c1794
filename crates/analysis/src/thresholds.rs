//! Every threshold of a finding, forecast, exposure, completeness or sizing statement, in one place, each with its
//! source or mark. The numbers of verdicts are in `rules`; none of these changes a verdict.
//!
//! `project convention`: ours, chosen so that what a person would call false on a chart is not reported.
//! `common practice, no source`: the trade says so; no document was found. `from memory`: a document is named but was
//! not open when the number was written.

use chrono::TimeDelta;

// --- what a finding lists ---

/// A finding names at most this many rows where it rests on many; the ledger and the tables have all. Project convention:
/// more cannot be read.
pub const ROWS_NAMED: usize = 20;

/// And at most this many pairs of rows that contradict each other. Project convention.
pub const CONFLICTS_NAMED: usize = 10;

/// A day's value says on what share of the day it rests where that is less than this, and a day counts in a median of days
/// from this share on. Project convention, the same as for daily values.
pub const DAY_LEAST_SHARE: f64 = 0.75;

// --- loggers ---

/// Gaps shorter than this are counted with the logger but are no finding of their own. Project convention.
pub const LEAST_GAP: TimeDelta = TimeDelta::hours(1);

/// A logger with more gaps than this has one finding for all of them. Project convention: more cannot be read.
pub const GAPS_LISTED: usize = 5;

/// A sensor that repeats its values to the last digit for this long is frozen. Project convention.
pub const FROZEN_FOR: TimeDelta = TimeDelta::hours(4);

/// And for at least this many samples. Project convention: hourly logs of a still store room repeat a few times.
pub const FROZEN_SAMPLES: usize = 24;

/// A logger whose values repeat to the last digit in more than this share of its steps is too coarse to tell a frozen
/// value from still air. Project convention.
pub const FROZEN_COARSE_SHARE: f64 = 0.35;

/// A humidity sensor that ends at or beyond an end of its range (0 or 100 %) for this long is dead. Project convention.
pub const DEAD_FOR: TimeDelta = TimeDelta::hours(12);

/// A step longer than this between two rows that follow in one file is a clock set anew, not a pause: jobs last days.
/// Project convention.
pub const CLOCK_JUMP: TimeDelta = TimeDelta::days(30);

/// Clocks are compared over lags up to this. Project convention: a zone is at most 14 h from UTC.
pub const LARGEST_OFFSET: TimeDelta = TimeDelta::hours(14);

/// Smaller offsets between clocks are not called: air takes time to cross a room. Project convention.
pub const LEAST_OFFSET: TimeDelta = TimeDelta::minutes(20);

/// Clocks are compared only over at least this much common time. Project convention.
pub const OFFSET_OVERLAP: TimeDelta = TimeDelta::hours(24);

/// Correlation of the changes at the best lag from which a clock offset is believed. Project convention.
pub const OFFSET_CORRELATION: f64 = 0.6;

/// And by how much it must exceed that of equal clocks. Project convention.
pub const OFFSET_CORRELATION_GAIN: f64 = 0.3;

/// Coarsest resolution at which two logs are compared: the coarser interval, at least this. Project convention.
pub const OFFSET_LEAST_GRID: TimeDelta = TimeDelta::minutes(5);

/// Time over which a change is taken: longer than the noise of sensors, shorter than the slow course of the drying.
/// Project convention.
pub const OFFSET_CHANGE_OVER: TimeDelta = TimeDelta::minutes(30);

/// Length of the stretch compared at a time. Project convention.
pub const OFFSET_WINDOW: TimeDelta = TimeDelta::hours(24);

/// And the step between stretches. Project convention.
pub const OFFSET_STEP: TimeDelta = TimeDelta::hours(12);

/// Share of a stretch that must be there. Project convention.
pub const OFFSET_LEAST_FILLED: f64 = 0.6;

/// An offset of fewer cells of the grid than this is none. Project convention: one cell is the grid's own step.
pub const OFFSET_LEAST_CELLS: i64 = 2;

/// Stretches in a row that must agree on an offset to be believed, where there are more than this many. Project convention.
pub const OFFSET_STRETCHES: usize = 2;

/// Changes beyond this many standard deviations count as that: one event shall not decide alone. Project convention.
pub const OFFSET_CLIP: f64 = 4.0;

/// Loggers in one air are compared only over at least this much common time. Project convention.
pub const BIAS_OVERLAP: TimeDelta = TimeDelta::hours(6);

/// Humidity of one logger apart from that of others in the same air by more than this, % points at its own
/// temperature, is a bias: larger than what two sensors of +-2 %RH differ by (expanded, rectangular limits: 3.3) and than
/// what a mixed room is uneven by. Project convention.
pub const BIAS_RH_PCT: f64 = 4.0;

/// A bias is steady: the differences scatter about their median by at most this share of it. Project convention: those of
/// rooms with doors between them scatter by 0.23 and more in the nine rooms of an open log (UCI, appliances energy).
pub const BIAS_SPREAD_SHARE: f64 = 0.15;

/// Samples that must show the outlet as the moister, colder side for probes to be called swapped, as a share.
/// Project convention.
pub const SWAPPED_SHARE: f64 = 0.8;

/// Samples that must tell for probes to be called swapped. Project convention.
pub const SWAPPED_LEAST_SAMPLES: usize = 12;

/// Outlet colder than inlet by more than this for probes to be called swapped, K. Project convention: a refrigerant
/// or desiccant machine gives off warmer air than it takes in.
pub const SWAPPED_COOLING_K: f64 = 2.0;

/// An outdoor logger whose median daily swing of temperature is below this is not outdoors, K, if an indoor one swings
/// by more than [`OUTDOOR_OTHER_SWING_K`]. Project convention.
pub const OUTDOOR_LEAST_SWING_K: f64 = 3.0;

/// See [`OUTDOOR_LEAST_SWING_K`]. Project convention.
pub const OUTDOOR_OTHER_SWING_K: f64 = 6.0;

/// And at least this many times the swing of the one outdoors. Project convention.
pub const OUTDOOR_OTHER_TIMES: f64 = 2.0;

/// Days with samples over most of them that are needed to judge a swing. Project convention.
pub const OUTDOOR_LEAST_DAYS: usize = 2;

/// Two loggers changed places when their levels were at least this far apart before and after, K. Project convention.
pub const EXCHANGED_APART_K: f64 = 4.0;

/// And each took over the other's level to within this, K. Project convention.
pub const EXCHANGED_AGREE_K: f64 = 1.0;

/// And to within this, %RH. Project convention.
pub const EXCHANGED_AGREE_RH_PCT: f64 = 5.0;

/// Levels are medians over this long. Project convention.
pub const EXCHANGED_WINDOW: TimeDelta = TimeDelta::hours(2);

/// Of at least this many samples. Project convention.
pub const EXCHANGED_LEAST_SAMPLES: usize = 2;

/// A logger that is carried elsewhere has settled after this. Project convention.
pub const EXCHANGED_SETTLED: TimeDelta = TimeDelta::hours(1);

// --- air and units ---

/// A reading of air by hand stands for the air this far around it. Project convention: a visit takes about as long.
pub const HAND_REACH: TimeDelta = TimeDelta::hours(2);

/// A rise of temperature across a unit below this is not taken for a running machine, K. Project convention: rooms are
/// uneven by up to this much.
pub const RUN_LEAST_RISE_K: f64 = 2.0;

/// Share of the running level at which a unit starts. Project convention.
pub const RUN_START_SHARE: f64 = 0.5;

/// Share of the running level below which a unit stops. Project convention.
pub const RUN_STOP_SHARE: f64 = 0.35;

/// The peak is the value that this share of the samples reaches, so that single outliers do not set it. Project
/// convention.
pub const RUN_PEAK_SHARE: f64 = 0.02;

/// At least this many samples must reach the peak. Project convention.
pub const RUN_PEAK_SAMPLES: usize = 3;

/// Stretches shorter than this many intervals are not called. Project convention.
pub const RUN_SHORTEST_INTERVALS: i64 = 2;

/// A stop that overlaps a recorded pause belongs to it this far beyond its ends. Project convention: people write down
/// round times, and a logger cools slowly.
pub const RUN_PAUSE_MARGIN: TimeDelta = TimeDelta::minutes(30);

/// The load has fallen when less than this share of the excess moisture is left. Project convention.
pub const MUCH_LEFT: f64 = 0.5;

/// ... or the inlet air holds less than this share of what it held on the first day. Project convention.
pub const INLET_STILL_WET: f64 = 0.8;

/// A depression under this share of that of the first day, though the load has not fallen, is low. Project convention.
pub const DEPRESSION_FALLEN_TO: f64 = 0.5;

/// Shorter stops are counted in the hours but are no finding of their own. Project convention.
pub const LEAST_STOP: TimeDelta = TimeDelta::minutes(30);

/// Shorter running inside a pause is the visit that began or ended it. Project convention.
pub const PAUSE_RUNNING_H: f64 = 1.0;

/// Hour meters count whole or tenth hours and are read at a visit, not at a sample: a difference up to this is none.
/// Project convention.
pub const HOUR_METER_DIFFERENCE_H: f64 = 1.0;

/// An hour meter that shows less than before by no more than this was read askew. Project convention.
pub const HOUR_METER_SLIP_H: f64 = 0.1;

/// Condensate is emptied and written down up to this long after a unit left. Project convention.
pub const CONDENSATE_AFTER_STAY: TimeDelta = TimeDelta::hours(4);

/// Affected air must differ from outdoor air by this much before an opening can show, GPP; and by more than the
/// expanded uncertainty. Project convention.
pub const OPENED_LEAST_GAP_GPP: f64 = 8.0;

/// Share of that difference that must go. Project convention.
pub const OPENED_SHARE: f64 = 0.4;

/// Within this time. Project convention: a stopped unit moves the air more slowly.
pub const OPENED_WITHIN: TimeDelta = TimeDelta::minutes(60);

/// The first step must be this part of that share: otherwise the opening begins later. Project convention.
pub const OPENED_FIRST_STEP: f64 = 0.125;

/// In the same time before, the air may have moved the same way by this part of it at most: an opening is sudden. Project
/// convention.
pub const OPENED_BEFORE_PART: f64 = 0.5;

/// The difference must have held over this long before, in the middle of its samples. Project convention: a shower's
/// moisture goes within hours.
pub const OPENED_HELD: TimeDelta = TimeDelta::hours(6);

/// Where outdoor air differs in temperature by more than this the affected air must follow it, K. Project convention.
pub const OPENED_TEMP_GAP_K: f64 = 4.0;

/// By this share of it. Project convention.
pub const OPENED_TEMP_SHARE: f64 = 0.1;

/// Changes this near to a unit set, taken away, stopped or started are its doing. Project convention.
pub const OPENED_CLEAR_OF_UNITS: TimeDelta = TimeDelta::minutes(60);

/// And changes that are over this long before one. Project convention.
pub const OPENED_CLEAR_AFTER: TimeDelta = TimeDelta::minutes(30);

/// An opening ends when the air is back to this share of the difference before it. Project convention.
pub const OPENED_RECOVERED: f64 = 0.75;

/// Openings shorter than this are people passing. Project convention.
pub const OPENED_LEAST: TimeDelta = TimeDelta::minutes(30);

/// An opening cannot be told from weather for longer than this. Project convention.
pub const OPENED_LONGEST: TimeDelta = TimeDelta::hours(24);

/// How much farther from outdoors than at the closest still counts as open, as a share of the difference before. Project
/// convention.
pub const OPENED_STILL_OPEN: f64 = 0.15;

/// Air at a running refrigerant unit below this is outside what it works best in, degC: 70 degF.
/// common practice, no source.
pub const REFRIGERANT_LOW_C: f64 = 21.111_111_111_111_11;

/// Above this too, degC: 90 degF. common practice, no source.
pub const REFRIGERANT_HIGH_C: f64 = 32.222_222_222_222_22;

/// Air drier than this is outside what a conventional refrigerant unit can dry, GPP. common practice, no source.
pub const CONVENTIONAL_LEAST_GPP: f64 = 55.0;

/// And at the same time below this relative humidity, %. common practice, no source.
pub const CONVENTIONAL_LEAST_RH_PCT: f64 = 40.0;

/// Hours outside it within one stay that are worth a finding. Project convention.
pub const WORKING_RANGE_HOURS: f64 = 12.0;

/// Sensors of room air are uneven by this much, K: the working range is judged outside its ends by more than this.
/// Project convention.
pub const WORKING_RANGE_MARGIN_K: f64 = 1.0;

// --- surfaces ---

/// A surface less than this above the dew point is near it, K. Guidance tied to ISO 8502-4 asks for at least 3 degC
/// when coating (as quoted in trade texts).
pub const NEAR_DEW_POINT_K: f64 = 3.0;

/// Hours near the dew point, or above the mould-critical curve, that are worth a finding. Project convention.
pub const SURFACE_LEAST_HOURS: f64 = 1.0;

/// Surface samples stand for at most this long, hours: the step of the published mould-index values.
pub const MOULD_LONGEST_STEP_H: f64 = 1.0;

// --- material ---

/// Wood reads no less than this in any building, % MC: the Wood Handbook's Table 4-2 has 1.2 % in air of 5 % (from memory).
pub const WOOD_LEAST_PCT: f64 = 1.0;

/// Nor more than this, % MC: the wettest green sapwood of the Wood Handbook's Table 4-1 has 249 % (from memory).
pub const WOOD_MOST_PCT: f64 = 250.0;

/// Scales of wood-moisture-equivalent end below this, %. common practice, no source.
pub const WOOD_EQUIVALENT_MOST_PCT: f64 = 100.0;

/// Gypsum scales end below this, %. common practice, no source.
pub const GYPSUM_MOST_PCT: f64 = 100.0;

/// A reading this many times those beside it, or this part of them, is a slip: a decimal point moves it tenfold.
/// Project convention.
pub const READING_SLIP: f64 = 8.0;

/// A logged point's reading is compared with the lowest of this long before it. Project convention.
pub const REWETTING_LOOK_BACK: TimeDelta = TimeDelta::hours(36);

/// A rise of a logged point counts as a rewetting where it exceeds this many times the usual daily rise of its series: the
/// middle, over days from noon to noon, of the largest rise within one. Wood outdoors takes up moisture every night. Project
/// convention, chosen on two dowels that lay outdoors for a summer (van der Kamp, Moore, McKendry 2017): of the 57 rises
/// that remain, 56 fall on hours of rain, and no rain of 2 mm or more is missed.
pub const REWETTING_OF_USUAL_RISE: f64 = 2.0;

/// Days of the usual rise begin so long after midnight: wood rises by night, and no night is cut in two. Project convention.
pub const USUAL_RISE_BEGINS: TimeDelta = TimeDelta::hours(12);

/// A day tells of the usual rise when its readings span at least this. Project convention.
pub const USUAL_RISE_DAY: TimeDelta = TimeDelta::hours(18);

/// Fewer such days tell of no usual rise. Project convention.
pub const USUAL_RISE_DAYS: usize = 3;

/// A stall needs at least this many readings. Project convention.
pub const STALL_READINGS: usize = 5;

/// Over at least this long. Project convention.
pub const STALL_SPAN: TimeDelta = TimeDelta::hours(48);

/// A point stalls when at its own rate the goal is farther away than this, days. Project convention.
pub const STALL_DAYS_TO_GOAL: f64 = 14.0;

/// A logged point is looked at for a stall this often: neighbouring windows say the same. Project convention.
pub const STALL_LOOKED_AT_EVERY: TimeDelta = TimeDelta::hours(6);

/// And its slope is taken of about this many samples of a window, evenly. Project convention.
pub const STALL_SLOPE_READINGS: usize = 48;

/// The equilibrium of wood is judged by the affected air of this long. Project convention.
pub const EQUILIBRIUM_WINDOW: TimeDelta = TimeDelta::hours(24);

/// At this sample share or more. Project convention, the same as for daily values.
pub const EQUILIBRIUM_SAMPLE_SHARE: f64 = 0.75;

/// Wood is over-dried when it reads below its dry standard by more than this and than the meter's accuracy, % MC.
/// Project convention: the scatter between species of the sorption equation (from memory).
pub const OVER_DRIED_PCT: f64 = 1.0;

// --- forecast ---

/// Half-width of the range of equilibrium of wood, % MC: about 1 % between species and between wetting and drying
/// (from memory).
pub const WOOD_EQUILIBRIUM_HALF_WIDTH_PCT: f64 = 1.0;

/// Lower end of the range of equilibrium on other scales, as a share of the dry standard: job air is drier than the air
/// the dry standard was read in. Project convention.
pub const DRY_STANDARD_LOW_SHARE: f64 = 0.8;

/// Upper end, as a share of the way from the dry standard to the goal. Project convention.
pub const DRY_STANDARD_HIGH_SHARE: f64 = 0.5;

/// Fewer readings give a wide range and no date. Project convention.
pub const FORECAST_READINGS: usize = 4;

/// A falling-rate curve is fitted to at most this many of the last readings by hand: older ones are of another stage
/// of drying. Project convention.
pub const FORECAST_LAST_READINGS: usize = 5;

/// And to this long of a logged point. Project convention.
pub const FORECAST_LOGGED_SPAN: TimeDelta = TimeDelta::hours(72);

/// Of which this many samples are used, evenly. Project convention: samples of one probe are not independent.
pub const FORECAST_LOGGED_READINGS: usize = 13;

/// Spread of outcomes about a single falling-rate curve that neither fit nor equilibrium explain: standard deviation of
/// the logarithm of the time that is left. Project convention, set on simulated drying.
pub const FORECAST_MODEL_SPREAD: f64 = 0.2;

/// The same with fewer than [`FORECAST_READINGS`] readings. Project convention.
pub const FORECAST_WIDE_SPREAD: f64 = 0.5;

/// Reading error of a meter whose accuracy is not stated, in the scale's unit. Project convention.
pub const READING_ERROR: f64 = 0.3;

/// Forecasts are not made farther than this, days. Project convention.
pub const FORECAST_FARTHEST_DAYS: f64 = 60.0;

// --- completeness ---

/// A place's air counts as logged on a day from this sample share of the time equipment stood. Project convention, the
/// same as for daily values.
pub const LOGGED_SHARE: f64 = 0.75;

/// A unit's outlet counts as logged on a day from this sample share on. Project convention.
pub const OUTLET_LEAST_SHARE: f64 = 0.1;

// --- initial sizing: ANSI/IICRC S500, 2015 and 2021, from memory, not confirmed with the document ---

/// Cubic feet of chamber per pint a day (rated at 80 degF, 60 %), by class 1 to 4, conventional refrigerant; `None`:
/// not used for that class. From memory.
pub const DIVISOR_CONVENTIONAL: [Option<f64>; 4] = [Some(100.0), Some(40.0), Some(30.0), None];

/// The same, low-grain refrigerant. From memory.
pub const DIVISOR_LOW_GRAIN: [Option<f64>; 4] = [Some(100.0), Some(50.0), Some(40.0), Some(40.0)];

/// A lower divisor that an exam-preparation text implies for class 3; widens the range. From memory.
pub const DIVISOR_CLASS_3_LOWEST: f64 = 20.0;

/// Air changes an hour by class 1 to 4 for desiccants. From memory.
pub const DESICCANT_AIR_CHANGES: [f64; 4] = [1.0, 2.0, 3.0, 2.0];

/// Upper end of the air changes an hour that sources name (3 to 5 in an older trade glossary).
pub const DESICCANT_AIR_CHANGES_HIGHEST: f64 = 5.0;

/// Square feet of wet floor per air mover, fewest and most movers, beside one per affected room: 2015 edition, sec.
/// 13.5.6.1, as described by a committee member.
pub const AIR_MOVER_FLOOR_FT2: [f64; 2] = [70.0, 50.0];

// --- when a unit could have gone ---

/// A unit's best day counts as its capacity when it ran at least this many hours of it. Project convention.
pub const CAPACITY_RUNNING_H: f64 = 12.0;

/// Share of a day that all dehumidifiers of a chamber must stand there for their water to be added up. Project convention.
pub const CAPACITY_WHOLE_DAY_SHARE: f64 = 0.95;
