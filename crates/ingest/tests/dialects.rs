//! A known series written in a random dialect reads back to the same instants and values, or is refused because its
//! dates are ambiguous; and no bytes at all make reading stop.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use chrono::{DateTime, Datelike, TimeDelta, Timelike, Utc};
use grainfall_ingest::read_bytes;
use grainfall_record::{DateOrder, Outcome, Quantity, ReadingHints};
use proptest::prelude::*;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Dates {
    Iso,
    IsoZ,
    IsoSlash,
    MonthFirst12,
    MonthFirstTwoDigit,
    DayFirstSlash,
    DayFirstDots,
    MonthName,
    DateAndTime,
    Parts,
    EpochSeconds,
    EpochMillis,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Bytes {
    Utf8,
    Utf8Mark,
    Utf16LittleMark,
    Utf16Little,
    Utf16Big,
    Windows1252,
}

#[derive(Debug, Clone)]
struct Dialect {
    delimiter: char,
    decimal_comma: bool,
    quoted: bool,
    dates: Dates,
    bytes: Bytes,
    line_end: &'static str,
    fahrenheit: bool,
    bracketed_units: bool,
    german: bool,
    preamble: usize,
    missing: &'static str,
    newest_first: bool,
    last_line_end: bool,
    row_numbers: bool,
}

#[derive(Debug, Clone)]
struct Log {
    start: DateTime<Utc>,
    step_min: i64,
    /// Tenths of a unit as written.
    temps: Vec<Option<i32>>,
    humidities: Vec<Option<i32>>,
}

fn dialect() -> impl Strategy<Value = Dialect> {
    let dates = prop::sample::select(vec![
        Dates::Iso,
        Dates::IsoZ,
        Dates::IsoSlash,
        Dates::MonthFirst12,
        Dates::MonthFirstTwoDigit,
        Dates::DayFirstSlash,
        Dates::DayFirstDots,
        Dates::MonthName,
        Dates::DateAndTime,
        Dates::Parts,
        Dates::EpochSeconds,
        Dates::EpochMillis,
    ]);
    let bytes = prop::sample::select(vec![
        Bytes::Utf8,
        Bytes::Utf8Mark,
        Bytes::Utf16LittleMark,
        Bytes::Utf16Little,
        Bytes::Utf16Big,
        Bytes::Windows1252,
    ]);
    let form = (
        prop::sample::select(vec![',', ';', '\t', '|']),
        any::<bool>(),
        any::<bool>(),
        dates,
        bytes,
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
    );
    let rest = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        0..6_usize,
        prop::sample::select(vec!["", "NA", "---", "NaN"]),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    (form, rest).prop_map(|((delimiter, decimal_comma, quoted, dates, bytes, line_end), rest)| {
        let (fahrenheit, bracketed_units, german, preamble, missing, newest_first, last_line_end, row_numbers) = rest;
        Dialect {
            delimiter,
            decimal_comma,
            // A decimal comma between commas is only readable in quotes.
            quoted: quoted || decimal_comma && delimiter == ',',
            dates,
            bytes,
            line_end,
            fahrenheit,
            bracketed_units,
            german,
            preamble,
            missing,
            newest_first,
            last_line_end,
            row_numbers,
        }
    })
}

fn log() -> impl Strategy<Value = Log> {
    let value = |low: i32, high: i32| prop::option::weighted(0.93, low..high);
    (1_262_304_000_i64..1_893_456_000, prop::sample::select(vec![1_i64, 10, 15, 60]), 12..70_usize).prop_flat_map(
        move |(start, step_min, rows)| {
            let start = DateTime::from_timestamp(start - start % 60, 0).unwrap();
            (prop::collection::vec(value(-150, 950), rows), prop::collection::vec(value(100, 1000), rows)).prop_map(
                move |(mut temps, mut humidities)| {
                    // A sample has at least one value; these are the outer ones, to fix the span.
                    let last = temps.len() - 1;
                    for at in [0, last] {
                        temps[at] = temps[at].or(Some(215));
                        humidities[at] = humidities[at].or(Some(455));
                    }
                    Log { start, step_min, temps, humidities }
                },
            )
        },
    )
}

fn time(log: &Log, row: usize) -> DateTime<Utc> {
    log.start + TimeDelta::minutes(log.step_min * i64::try_from(row).unwrap())
}

fn time_cells(dates: Dates, t: DateTime<Utc>) -> Vec<String> {
    let one = |form: &str| vec![t.format(form).to_string()];
    match dates {
        Dates::Iso => one("%Y-%m-%d %H:%M:%S"),
        Dates::IsoZ => one("%Y-%m-%dT%H:%M:%SZ"),
        Dates::IsoSlash => one("%Y/%m/%d %H:%M"),
        Dates::MonthFirst12 => one("%-m/%-d/%Y %-I:%M:%S %p"),
        Dates::MonthFirstTwoDigit => one("%m/%d/%y %H:%M"),
        Dates::DayFirstSlash => one("%d/%m/%Y %H:%M"),
        Dates::DayFirstDots => one("%d.%m.%y %H:%M"),
        Dates::MonthName => one("%d-%b-%Y %H:%M"),
        Dates::DateAndTime => vec![t.format("%d.%m.%Y").to_string(), t.format("%H:%M").to_string()],
        Dates::Parts => {
            [t.year(), t.month().cast_signed(), t.day().cast_signed(), t.hour().cast_signed(), t.minute().cast_signed()]
                .map(|part| part.to_string())
                .to_vec()
        }
        Dates::EpochSeconds => vec![t.timestamp().to_string()],
        Dates::EpochMillis => vec![t.timestamp_millis().to_string()],
    }
}

fn time_names(dates: Dates, german: bool) -> Vec<&'static str> {
    match (dates, german) {
        (Dates::DateAndTime, true) => vec!["Datum", "Uhrzeit"],
        (Dates::DateAndTime, false) => vec!["Date", "Time"],
        (Dates::Parts, _) => vec!["year", "month", "day", "hour", "minute"],
        (_, true) => vec!["Zeitstempel"],
        (_, false) => vec!["timestamp"],
    }
}

fn write(log: &Log, dialect: &Dialect) -> Vec<u8> {
    let cell = |text: &str| if dialect.quoted { format!("\"{text}\"") } else { text.to_owned() };
    let number = |tenths: Option<i32>| match tenths {
        None => dialect.missing.to_owned(),
        Some(tenths) => {
            let sign = if tenths < 0 { "-" } else { "" };
            let mark = if dialect.decimal_comma { ',' } else { '.' };
            format!("{sign}{}{mark}{}", tenths.abs() / 10, tenths.abs() % 10)
        }
    };
    let mut lines = Vec::new();
    let facts = ["Serial number: 20-4471", "Interval: 10 min", "", "Printed by: nobody", "Unit in the hall"];
    lines.extend(facts.iter().take(dialect.preamble).map(|line| (*line).to_owned()));
    let (temp, rh) = if dialect.german { ("Temperatur", "Feuchte") } else { ("Temperature", "Humidity") };
    let unit = if dialect.fahrenheit { "F" } else { "C" };
    let (temp, rh) = if dialect.bracketed_units {
        (format!("{temp} (°{unit})"), format!("{rh} [%]"))
    } else {
        (format!("{temp}_deg{unit}"), format!("{rh} %RH"))
    };
    let mut names: Vec<String> = time_names(dialect.dates, dialect.german).into_iter().map(str::to_owned).collect();
    names.extend([temp, rh]);
    if dialect.row_numbers {
        names.insert(0, "No.".into());
    }
    let join =
        |cells: &[String]| cells.iter().map(|text| cell(text)).collect::<Vec<_>>().join(&dialect.delimiter.to_string());
    lines.push(join(&names));
    let mut rows: Vec<usize> = (0..log.temps.len()).collect();
    if dialect.newest_first {
        rows.reverse();
    }
    for (count, row) in rows.into_iter().enumerate() {
        let mut cells = time_cells(dialect.dates, time(log, row));
        cells.extend([number(log.temps[row]), number(log.humidities[row])]);
        if dialect.row_numbers {
            cells.insert(0, (count + 1).to_string());
        }
        lines.push(join(&cells));
    }
    let mut text = lines.join(dialect.line_end);
    if dialect.last_line_end {
        text.push_str(dialect.line_end);
    }
    match dialect.bytes {
        Bytes::Utf8 => text.into_bytes(),
        Bytes::Utf8Mark => [b"\xEF\xBB\xBF", text.as_bytes()].concat(),
        Bytes::Utf16LittleMark => {
            std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
        }
        Bytes::Utf16Little => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        Bytes::Utf16Big => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        Bytes::Windows1252 => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(),
    }
}

fn needs_order(dates: Dates) -> bool {
    matches!(
        dates,
        Dates::MonthFirst12
            | Dates::MonthFirstTwoDigit
            | Dates::DayFirstSlash
            | Dates::DayFirstDots
            | Dates::DateAndTime
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, ..ProptestConfig::default() })]

    #[test]
    fn a_log_in_any_dialect_reads_back(log in log(), dialect in dialect()) {
        let bytes = write(&log, &dialect);
        let hints = ReadingHints { time_zone: Some(chrono_tz::UTC), ..ReadingHints::default() };
        let mut reading = read_bytes("log.csv", &bytes, &hints).unwrap();
        if let Outcome::Refused { reason, remedy } = &reading.ledger.inputs[0].outcome {
            prop_assert!(needs_order(dialect.dates), "{reason}");
            prop_assert!(reason.contains("every date of the file fits each reading"), "{reason}");
            prop_assert!(remedy.contains("date_order = \"month-first\""), "{remedy}");
            // All dates of the log are one day, or it could have been told.
            prop_assert_eq!(time(&log, 0).date_naive(), time(&log, log.temps.len() - 1).date_naive());
            let month_first = matches!(dialect.dates, Dates::MonthFirst12 | Dates::MonthFirstTwoDigit);
            let order = if month_first { DateOrder::MonthFirst } else { DateOrder::DayFirst };
            let hints = ReadingHints { date_order: Some(order), ..hints };
            reading = read_bytes("log.csv", &bytes, &hints).unwrap();
        }
        let outcome = &reading.ledger.inputs[0].outcome;
        prop_assert!(matches!(outcome, Outcome::Read { .. }), "{:?}", outcome);
        prop_assert_eq!(&reading.ledger.inputs[0].refused, &[]);
        let series = &reading.frame.series()[0];
        prop_assert_eq!(reading.frame.series().len(), 1);
        prop_assert_eq!(series.logger.as_str(), if dialect.preamble > 0 { "20-4471" } else { "log" });
        let kept: Vec<usize> =
            (0..log.temps.len()).filter(|r| log.temps[*r].is_some() || log.humidities[*r].is_some()).collect();
        prop_assert_eq!(series.len(), kept.len());
        let temps = series.column(Quantity::AirTemp).unwrap();
        let humidities = series.column(Quantity::RelativeHumidity).unwrap();
        for (at, row) in kept.into_iter().enumerate() {
            prop_assert_eq!(series.time[at], time(&log, row));
            let want = log.temps[row].map(|tenths| {
                let value = f64::from(tenths) / 10.0;
                if dialect.fahrenheit { (value - 32.0) / 1.8 } else { value }
            });
            // The last bits of a conversion.
            prop_assert!(near(temps[at], want), "{:?} {want:?}", temps[at]);
            prop_assert!(near(humidities[at], log.humidities[row].map(|tenths| f64::from(tenths) / 10.0)));
        }
    }

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

fn near(got: Option<f64>, want: Option<f64>) -> bool {
    match (got, want) {
        (Some(got), Some(want)) => (got - want).abs() <= 1e-9,
        (got, want) => got.is_none() && want.is_none(),
    }
}
