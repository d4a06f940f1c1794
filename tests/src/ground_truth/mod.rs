//! The program against houses of which everything is known: what share of its answers is right.
//!
//! Each house of `grainfall_simulate::scenarios::SUITE` is simulated, written as a job folder, read and judged as the
//! program does, and its answers are held against the true states. The last scenarios of that list were set aside when
//! thresholds were chosen; their shares stand on their own.
//!
//! What is true: a metered point is open while its true value lies above its goal by more than its meter's accuracy U.
//! Between the goal and U above it (and U below it, where an honest meter may still read above) no instrument can tell,
//! and either answer is right.

mod days;
mod findings;
mod forecasts;
mod goals;
mod loggers;
mod machines;
mod recorded;
mod table;

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::Evidence;
use grainfall_simulate::scenario::{Point, Role, Scenario};
use grainfall_simulate::scenarios::{SUITE, Suite};
use grainfall_simulate::{Made, export};

pub use recorded::{record, recorded_thresholds, thresholds};
pub use table::{Row, Table};

use crate::judge;

/// Houses of each scenario: enough for twenty events of each kind, and two minutes of work of one core.
pub const HOUSES: u64 = 20;

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Verdicts on equipment-days that the true states bear out.
    DayVerdicts,
    /// Verdicts on equipment-days that are those due by the rules, worked out a second time by the simulator.
    DaysAsDue,
    /// Days called not needed in which nothing was truly open, but for the time between a rewetting and the reading after
    /// it that tells, which one within its meter's accuracy above the goal does not: nobody can know of that, and a later
    /// reading never changes an earlier day.
    NotNeeded,
    /// The same with that time held against the program: what it costs that nobody looks at night. Where the air tells, the
    /// day is `not shown`; where outdoor air is as wet, nothing on the record can.
    NotNeededStrict,
    /// Days left open to doubt by wetter air to which water had truly come, since the reading that showed a point closed:
    /// of the others the air said something untrue.
    Doubted,
    /// The same days that were truly open, as is counted above: water that came left no point above its goal by more than U
    /// in the others, or had gone again.
    DoubtedOpen,
    /// Goals met within one reading interval of the true value's coming within U of the goal, and not before.
    GoalsInTime,
    /// True outages found, start and end within the larger of 2 intervals and 30 min.
    OutagesFound,
    /// Reported stops that were true ones.
    StopsTrue,
    /// Water removed, true within U, by unit.
    Water,
    /// Openings of a chamber found.
    Openings,
    /// Reported openings that were true ones.
    OpeningsTrue,
    /// Rewettings found.
    Rewettings,
    /// Reported rewettings that were true ones.
    RewettingsTrue,
    /// Wrong clocks found, the offset within one interval.
    ClockOffsets,
    /// Biased loggers found, the bias within 1 %RH.
    Biases,
    /// Swapped loggers found.
    Swaps,
    /// Loggers that stuck, found with start and end within two intervals.
    Frozen,
    /// Reported sticking that was true.
    FrozenTrue,
    /// Loggers that died or fell silent, found from the right moment on.
    Dead,
    /// Reported dying or silence that was true.
    DeadTrue,
    /// Goals that the air cannot bring about, called so.
    Unreachable,
    /// Houses in which nothing happened and nothing of the kinds above was reported.
    QuietHouses,
    /// 80 % ranges of forecasts that hold the true time.
    Forecasts,
}

impl Measure {
    /// All of them, in the order shown.
    pub const ALL: [Self; 24] = [
        Self::DayVerdicts,
        Self::DaysAsDue,
        Self::NotNeeded,
        Self::NotNeededStrict,
        Self::Doubted,
        Self::DoubtedOpen,
        Self::GoalsInTime,
        Self::OutagesFound,
        Self::StopsTrue,
        Self::Water,
        Self::Openings,
        Self::OpeningsTrue,
        Self::Rewettings,
        Self::RewettingsTrue,
        Self::ClockOffsets,
        Self::Biases,
        Self::Swaps,
        Self::Frozen,
        Self::FrozenTrue,
        Self::Dead,
        Self::DeadTrue,
        Self::Unreachable,
        Self::QuietHouses,
        Self::Forecasts,
    ];

    /// What people read.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DayVerdicts => "equipment-day verdicts right",
            Self::DaysAsDue => "equipment-day verdicts as the rules say",
            Self::NotNeeded => "`not needed` with nothing truly open",
            Self::NotNeededStrict => "  the same, unread rewettings counted",
            Self::Doubted => "days doubted by wetter air, water came",
            Self::DoubtedOpen => "  of these, truly open by more than U",
            Self::GoalsInTime => "goals met in time",
            Self::OutagesFound => "outages found, start and end",
            Self::StopsTrue => "reported stops that were true",
            Self::Water => "water removed within U, by unit",
            Self::Openings => "openings of a chamber found",
            Self::OpeningsTrue => "reported openings that were true",
            Self::Rewettings => "rewettings found",
            Self::RewettingsTrue => "reported rewettings that were true",
            Self::ClockOffsets => "clock offsets found, within one interval",
            Self::Biases => "biases found, within 1 %RH",
            Self::Swaps => "swapped loggers found",
            Self::Frozen => "sticking loggers found, start and end",
            Self::FrozenTrue => "reported sticking that was true",
            Self::Dead => "dead or silent loggers found, start",
            Self::DeadTrue => "reported dying or silence that was true",
            Self::Unreachable => "unreachable goals called so",
            Self::QuietHouses => "clean houses without a false finding",
            Self::Forecasts => "80 % forecast ranges holding the truth",
        }
    }

    /// Least and greatest share aimed at.
    #[must_use]
    pub fn aim(self) -> (f64, f64) {
        match self {
            Self::DayVerdicts => (0.97, 1.0),
            Self::DaysAsDue | Self::NotNeeded | Self::GoalsInTime | Self::StopsTrue | Self::QuietHouses => (1.0, 1.0),
            // Told beside the line above it.
            Self::NotNeededStrict | Self::DoubtedOpen => (0.0, 1.0),
            Self::OutagesFound | Self::Water => (0.95, 1.0),
            Self::Doubted
            | Self::Openings
            | Self::OpeningsTrue
            | Self::Rewettings
            | Self::RewettingsTrue
            | Self::ClockOffsets
            | Self::Biases
            | Self::Swaps
            | Self::Frozen
            | Self::FrozenTrue
            | Self::Dead
            | Self::DeadTrue
            | Self::Unreachable => (0.90, 1.0),
            Self::Forecasts => (0.70, 0.90),
        }
    }

    /// How many events, or forecasts, a share needs before it says something.
    #[must_use]
    pub fn enough(self) -> u32 {
        match self {
            Self::Forecasts => 60,
            Self::QuietHouses => 10,
            _ => 20,
        }
    }
}

/// How many of how many.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Share {
    /// Right.
    pub right: u32,
    /// Of so many.
    pub all: u32,
}

/// Shares, with what went wrong in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    /// By measure; a measure that is not there was not looked for.
    pub shares: BTreeMap<Measure, Share>,
    /// Every answer that was wrong.
    pub wrong: Vec<(Measure, String)>,
}

impl Tally {
    /// Counts one answer.
    fn count(&mut self, measure: Measure, right: bool, wrong: impl FnOnce() -> String) {
        let share = self.shares.entry(measure).or_default();
        share.all += 1;
        if right {
            share.right += 1;
        } else {
            self.wrong.push((measure, wrong()));
        }
    }

    fn add(&mut self, other: Self) {
        for (measure, share) in other.shares {
            let sum = self.shares.entry(measure).or_default();
            sum.right += share.right;
            sum.all += share.all;
        }
        self.wrong.extend(other.wrong);
    }
}

/// A house: what was true, and what the program says.
struct House {
    suite: Suite,
    name: String,
    made: Made,
    evidence: Evidence,
    /// The record as it stood some days into the drying, for forecasts.
    early: Option<Evidence>,
}

impl House {
    fn scenario(&self) -> &Scenario {
        self.made.simulation.scenario()
    }

    /// Drying points with the goal due and the meter's accuracy.
    fn points(&self) -> impl Iterator<Item = (&Point, f64, f64)> {
        self.scenario().points.iter().filter(|point| point.role == Role::Drying).filter_map(|point| {
            let truth = self.made.truth.points.iter().find(|truth| truth.point == point.id)?;
            let accuracy = self.scenario().meter(&point.meter)?.accuracy;
            Some((point, truth.goal.as_ref()?.value, accuracy))
        })
    }

    fn true_value(&self, point: &Point, time: DateTime<Utc>) -> Option<f64> {
        Some(self.made.simulation.value(&point.id, self.scenario().meter(&point.meter)?, time))
    }

    /// The greatest true value of a point in `from <= t < to`.
    fn highest(&self, point: &Point, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<f64> {
        let meter = self.scenario().meter(&point.meter)?;
        let (first, last) = (self.made.simulation.minute(from), self.made.simulation.minute(to));
        let values = &self.made.simulation.moisture_pct(&point.id)[first..last.max(first + 1)];
        values.iter().map(|moisture| meter.response.value(*moisture)).reduce(f64::max)
    }
}

/// Runs houses `1..=seeds` of every scenario, on all cores, and counts.
///
/// # Panics
/// When a house cannot be simulated, read or judged: that is the failure.
#[must_use]
pub fn run(seeds: u64) -> Table {
    let jobs: Vec<(usize, u64)> =
        (0..SUITE.len()).flat_map(|suite| (1..=seeds).map(move |seed| (suite, seed))).collect();
    let next = AtomicUsize::new(0);
    let done: Mutex<BTreeMap<(usize, u64), Tally>> = Mutex::new(BTreeMap::new());
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some((suite, seed)) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let tally = tally(&house(SUITE[*suite], *seed));
                    done.lock().unwrap_or_else(std::sync::PoisonError::into_inner).insert((*suite, *seed), tally);
                }
            });
        }
    });
    let mut table = Table::new(seeds);
    for ((suite, _), tally) in done.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner) {
        table.add(SUITE[suite], tally);
    }
    table
}

fn house(suite: Suite, seed: u64) -> House {
    let name = format!("{} {seed}", suite.name);
    let scenario = (suite.make)(seed).unwrap_or_else(|error| panic!("{name}: {error}"));
    let made = Made::from_scenario(scenario).unwrap_or_else(|error| panic!("{name}: {error}"));
    let folder = tempfile::tempdir().unwrap_or_else(|error| panic!("{name}: {error}"));
    export::write_job(made.simulation.scenario(), &made.record, folder.path())
        .unwrap_or_else(|error| panic!("{name}: {error}"));
    let evidence = judge(folder.path(), None).analysis.evidence;
    let early = forecasts::early(&made, suite)
        .map(|as_of| judge(folder.path(), Some(as_of + TimeDelta::minutes(1))).analysis.evidence);
    House { suite, name, made, evidence, early }
}

fn tally(house: &House) -> Tally {
    let mut tally = Tally::default();
    days::count(house, &mut tally);
    goals::count(house, &mut tally);
    machines::count(house, &mut tally);
    findings::count(house, &mut tally);
    loggers::count(house, &mut tally);
    forecasts::count(house, &mut tally);
    tally
}
