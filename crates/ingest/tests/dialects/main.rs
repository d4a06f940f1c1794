//! A known series written in a random dialect reads back to the same instants and values, or is refused by naming what
//! is ambiguous; and no bytes at all make reading stop.
//!
//! 500 dialects are tried; `GRAINFALL_DIALECTS=10000` tries as many. The reads per axis are printed (`--nocapture`), and
//! `GRAINFALL_DIALECTS_KEEP=folder` keeps the files that were not read, or read wrongly.
//! Whether a dialect leaves two readings is judged by `oracle`, from the truth alone. What leaves one must be read; what
//! leaves two must be refused naming both, and read once the job says which, or be read rightly as a guess that says so.
//! No reading may be false.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test stops where it fails, and prints its table")]

mod axes;
mod books;
mod languages;
mod log;
mod oracle;
mod third;
mod write;

use std::cell::RefCell;
use std::collections::BTreeMap;

use axes::{AXES, Dialect, dialect};
use chrono::Timelike;
use grainfall_ingest::{Reading, read_bytes};
use grainfall_record::{
    Certainty, Clock, DateOrder, Hours, LoggerHint, LoggerSelector, Outcome, Quantity, ReadingHints,
};
use log::{Log, job_zone, log};
use oracle::{Doubt, doubts};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};
use third::third;
use write::{SECTIONS, Written, below_by_serial, write};

/// How often each value of each axis came to each end.
type Counts = BTreeMap<(usize, &'static str), BTreeMap<End, usize>>;

/// What became of a dialect.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum End {
    /// One reading, and read.
    Read,
    /// Refused, and not for two readings that it has.
    Needless,
    /// Two readings, refused naming both.
    BothNamed,
    /// Two readings, read rightly as a guess that says so.
    GuessedRight,
    /// Two readings, read falsely as a guess that says so.
    GuessedWrong,
    /// Read falsely, or refused or guessed without saying what is open.
    Wrong,
}

/// Writes, reads and compares. An error is a wrong reading.
fn round_trip(log: &Log, dialect: &Dialect) -> Result<End, TestCaseError> {
    let written = write(log, dialect);
    let hints = ReadingHints { time_zone: Some(job_zone(dialect)), ..ReadingHints::default() };
    let read = |hints: &ReadingHints| read_bytes(&written.path, &written.bytes, hints).unwrap();
    let reading = read(&hints);
    let doubts = doubts(log, dialect);
    if let Some((reason, remedy)) = refusal(&reading) {
        let named = ["can be", " or ", "fits each reading"].iter().all(|words| reason.contains(words));
        if doubts.is_empty() || !named {
            println!("refused: {reason} {dialect:?}");
            return Ok(End::Needless);
        }
        let line = |doubt: &Doubt| match doubt {
            Doubt::Dates => "`date_order = \"month-first\"`",
            Doubt::Halves => "`hours = \"24\"`",
            Doubt::Pass => "`clock = \"",
        };
        prop_assert!(doubts.iter().any(|doubt| remedy.contains(line(doubt))), "{}\n{:?}", remedy, dialect);
        compare(log, dialect, &written, &read(&answers(log, dialect, &written, &doubts, hints)))?;
        return Ok(End::BothNamed);
    }
    let right = compare(log, dialect, &written, &reading);
    if doubts.is_empty() {
        return right.map(|()| End::Read);
    }
    for doubt in doubts {
        let topic = match doubt {
            Doubt::Dates => "date order",
            Doubt::Halves => "hours",
            Doubt::Pass => "clock",
        };
        let mut decisions = reading.ledger.inputs.iter().flat_map(|input| &input.decisions);
        let asked = decisions.any(|d| d.topic == topic && d.certainty == Certainty::Guess);
        prop_assert!(asked, "{:?} was not asked about\n{:?}", doubt, dialect);
    }
    Ok(if right.is_ok() { End::GuessedRight } else { End::GuessedWrong })
}

/// The hints with what a person who knows would add.
fn answers(log: &Log, dialect: &Dialect, written: &Written, doubts: &[Doubt], hints: ReadingHints) -> ReadingHints {
    let mut hints = hints;
    let mut logger = LoggerHint {
        select: LoggerSelector::File { file: written.path.clone(), channel: None },
        clock: None,
        hours: None,
        columns: BTreeMap::new(),
    };
    for doubt in doubts {
        match doubt {
            Doubt::Dates => {
                let month_first = ["us", "weekday before", "twelve hours unmarked"];
                let month_first = month_first.iter().any(|form| dialect.of("times").starts_with(form));
                hints.date_order = Some(if month_first { DateOrder::MonthFirst } else { DateOrder::DayFirst });
            }
            Doubt::Halves => {
                let twelve = if log.wall(dialect, 0).hour() < 12 { Hours::FromMorning } else { Hours::FromAfternoon };
                logger.hours = Some(if dialect.twelve() { twelve } else { Hours::WholeDay });
            }
            Doubt::Pass => {
                let offset = log.wall(dialect, 0) - log.written_time(dialect, 0).naive_utc();
                logger.clock = Some(Clock::Offset(i32::try_from(offset.num_seconds()).unwrap()));
            }
        }
    }
    hints.loggers.push(logger);
    hints
}

/// Why a file, or one within it, was not read, and what to do. An archive or a workbook is told by what it holds.
fn refusal(reading: &Reading) -> Option<(String, String)> {
    let refused = reading.ledger.inputs.iter().find_map(|input| match &input.outcome {
        Outcome::Refused { reason, remedy } => Some((reason.clone(), remedy.clone())),
        _ => None,
    });
    refused.or_else(|| {
        reading.frame.is_empty().then(|| (format!("{:?}", reading.ledger.inputs[0].outcome), String::new()))
    })
}

fn compare(log: &Log, dialect: &Dialect, written: &Written, reading: &Reading) -> Result<(), TestCaseError> {
    let rows = log.rows();
    let serial = matches!(dialect.of("above"), "five lines" | "remarks" | "thirty lines");
    let base = if serial { "20-4471" } else { &written.stem };
    let two = matches!(dialect.of("layout"), "side by side" | "logger column");
    let wanted: Vec<(String, usize)> = if two {
        vec![(format!("{base}/1"), 0), (format!("{base}/2"), 5)]
    } else if dialect.is("layout", "below each other") {
        let name = |section: usize| {
            let [serial, room] = SECTIONS[section];
            if below_by_serial(dialect) { serial.to_owned() } else { format!("{base}/{room}") }
        };
        vec![(name(0), 0), (name(1), 5)]
    } else {
        vec![(base.to_owned(), 0)]
    };
    let found: Vec<&str> = reading.frame.series().iter().map(|s| s.logger.as_str()).collect();
    let names: Vec<&str> = wanted.iter().map(|(name, _)| name.as_str()).collect();
    prop_assert_eq!(&found, &names, "{:?}", dialect);
    let extra = third(dialect.of("third quantity"));
    for ((_, shift), series) in wanted.iter().zip(reading.frame.series()) {
        let at = |row: usize| (row + shift) % rows;
        let third_of = |row: usize| extra.and_then(|third| Some((third, log.thirds[at(row)]?)));
        let kept: Vec<usize> = (0..rows)
            .filter(|r| log.temps[at(*r)].is_some() || log.humidities[at(*r)].is_some() || third_of(*r).is_some())
            .collect();
        let times: Vec<_> = kept.iter().map(|row| log.written_time(dialect, *row)).collect();
        prop_assert_eq!(&series.time, &times, "{:?}", dialect);
        let same = |quantity: Quantity, want: &dyn Fn(usize) -> Option<f64>| -> Result<(), TestCaseError> {
            let Some(found) = series.column(quantity) else {
                return Err(TestCaseError::fail(format!("no {quantity:?}\n{dialect:?}")));
            };
            for (place, row) in kept.iter().enumerate() {
                let (found, want) = (found[place], want(*row));
                prop_assert!(near(found, want), "{:?}: {:?}, not {:?}\n{:?}", quantity, found, want, dialect);
            }
            Ok(())
        };
        same(Quantity::AirTemp, &|row| Some(celsius(dialect, f64::from(log.tenths(dialect, at(row))?) / 10.0)))?;
        same(Quantity::RelativeHumidity, &|row| Some(f64::from(log.humidities[at(row)]?) / 10.0))?;
        if let Some(third) = extra {
            same(third.quantity, &|row| {
                let (third, value) = third_of(row)?;
                let value = third.canonical(third.number(dialect, value));
                Some(if third.unit == "temperature" { celsius(dialect, value) } else { value })
            })?;
        }
    }
    let expects_refusals = matches!(dialect.of("missing"), "-999" | "-200" | "9999")
        || matches!(dialect.of("end"), "statistics" | "legend" | "torn row" | "zero bytes");
    let refused: Vec<_> = reading.ledger.inputs.iter().flat_map(|input| &input.refused).collect();
    prop_assert!(expects_refusals || refused.is_empty(), "{:?}\n{:?}", refused, dialect);
    Ok(())
}

fn celsius(dialect: &Dialect, value: f64) -> f64 {
    match dialect.of("unit") {
        "F" => (value - 32.0) / 1.8,
        "K" => value - 273.15,
        _ => value,
    }
}

/// Equal but for the digits of a conversion factor: the sources print seven of an inch of mercury.
fn near(got: Option<f64>, want: Option<f64>) -> bool {
    match (got, want) {
        (Some(got), Some(want)) => (got - want).abs() <= 1e-9 + 1e-6 * want.abs() * f64::from(u8::from(want > 1e4)),
        (got, want) => got.is_none() && want.is_none(),
    }
}

#[test]
fn a_log_in_any_dialect_reads_back() {
    let cases: u32 = std::env::var("GRAINFALL_DIALECTS").ok().and_then(|n| n.parse().ok()).unwrap_or(500);
    let counts: RefCell<Counts> = RefCell::default();
    let ends: RefCell<BTreeMap<End, usize>> = RefCell::default();
    let config = Config { cases, failure_persistence: None, max_shrink_iters: 200, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    let outcome = runner.run(&(log(), dialect()), |(log, dialect)| {
        let end = round_trip(&log, &dialect).unwrap_or_else(|wrong| {
            println!("wrong: {}", wrong.to_string().replace('\n', " "));
            End::Wrong
        });
        if let (Ok(folder), End::Wrong | End::Needless) = (std::env::var("GRAINFALL_DIALECTS_KEEP"), end) {
            let (written, number) = (write(&log, &dialect), ends.borrow().values().sum::<usize>());
            std::fs::write(std::path::Path::new(&folder).join(format!("{number}-{}", written.path)), written.bytes)
                .unwrap();
        }
        *ends.borrow_mut().entry(end).or_default() += 1;
        for (axis, value) in dialect.0.iter().enumerate() {
            *counts.borrow_mut().entry((axis, *value)).or_default().entry(end).or_default() += 1;
        }
        Ok(())
    });
    let all = ends.borrow();
    let of = |ends: &BTreeMap<End, usize>, end| ends.get(&end).copied().unwrap_or(0);
    println!("{:50} one reading         two readings", "");
    println!("{:18} {:32}   read  refused   both named  guess right  guess wrong  wrong", "axis", "value");
    for ((axis, value), ends) in counts.borrow().iter() {
        println!(
            "{:18} {value:32} {:6} {:8} {:12} {:12} {:12} {:6}",
            AXES[*axis].0,
            of(ends, End::Read),
            of(ends, End::Needless),
            of(ends, End::BothNamed),
            of(ends, End::GuessedRight),
            of(ends, End::GuessedWrong),
            of(ends, End::Wrong)
        );
    }
    let (read, needless) = (of(&all, End::Read), of(&all, End::Needless));
    println!("{all:?} of {cases}");
    println!("read of those with one reading: {:.2} %", 100.0 * read as f64 / (read + needless).max(1) as f64);
    outcome.unwrap();
    assert_eq!(of(&all, End::Wrong), 0, "wrong readings");
    assert_eq!(of(&all, End::GuessedWrong), 0, "false guesses");
    assert!(needless * 100 <= read + needless, "{needless} of {cases} dialects were refused without need");
}

proptest! {
    #[test]
    fn no_bytes_stop_reading(bytes in prop::collection::vec(any::<u8>(), 0..3000)) {
        read_bytes("log.csv", &bytes, &ReadingHints::default()).unwrap();
    }

    /// Pieces of real logs in any order reach further into reading than plain noise.
    #[test]
    fn no_pieces_of_logs_stop_reading(
        pieces in prop::collection::vec(prop::sample::select(PIECES.to_vec()), 0..120),
        zone in prop::sample::select(vec![None, Some(chrono_tz::America::Chicago), Some(chrono_tz::Australia::Lord_Howe)]),
    ) {
        let hints = ReadingHints { time_zone: zone, ..ReadingHints::default() };
        read_bytes("log.csv", pieces.concat().as_bytes(), &hints).unwrap();
    }
}

const PIECES: [&str; 40] = [
    "\n",
    "\n",
    "\n",
    "\n",
    "\r\n",
    ",",
    ",",
    ",",
    ",",
    ";",
    "\t",
    "|",
    " ",
    "\"",
    "time",
    "Temp (°F)",
    "RH",
    "dew point",
    "2025-03-09 02:30",
    "2025-11-02 01:30",
    "2025-11-02 01:30",
    "3/4/2025 1:00 PM",
    "13.4.25",
    "10:00",
    "24:00",
    "21.5",
    "-999",
    "1,5",
    "45%",
    "NA",
    "99999999999999999999",
    "-",
    "Serial: 12",
    "year",
    "hour",
    "+02:00",
    "\u{0}",
    "°",
    "1700000000",
    "Average",
];
