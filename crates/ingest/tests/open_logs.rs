//! Real logs that nobody on this project wrote, against figures computed apart from this crate.
//!
//! The figures are in `reference/open_logs.csv`, made by `reference/open_logs.py` with pandas, and openpyxl for the
//! spreadsheet.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use std::collections::{BTreeMap, BTreeSet};

use common::{column, decision, hint, ids, input, open_logs, zone};
use grainfall_ingest::{Progress, Reading, read_bytes, read_file, read_folder};
use grainfall_record::{Certainty, Clock, Outcome, Quantity, ReadingHints};

const ATLANTA: &str = "share_noaa_lcd_atlanta_degF_wetbulb.csv";
const NEW_YORK: &str = "share_nyc_weather_degF_dst_mar_nov_2013.csv";
const STICKS: &str = "share_woodstick_moisture_hourly.csv";
const TORONTO: &str = "share_eccc_toronto_hourly_preamble_2013-01.csv";
const GERMANY: &str = "share_dwd_3row_header_decimal_comma.csv";
const HOUSE: &str = "share_house_wide_9rooms.csv";
const FIELD_SHEET: &str = "share_field_sheet_wet_dry_weights.xlsx";
const OFFICE: &str = "share_office_humidity_ratio_short_header.txt";

/// What a person on the job would have said of each file: the zone, and what no file tells.
fn hints(file: &str) -> ReadingHints {
    let zone_of = |file: &str| {
        if file.contains("house") || file.contains("office") {
            "Europe/Brussels"
        } else if file.contains("woodstick") {
            "America/Vancouver"
        } else if file == FIELD_SHEET {
            "Europe/London"
        } else if file.contains("toronto") {
            "America/Toronto"
        } else {
            "America/New_York"
        }
    };
    let mut hints = zone(zone_of(file));
    if file == ATLANTA {
        // Local standard time all year; the file does not say so.
        hints.loggers.push(hint(ATLANTA, None, Some(Clock::Fixed), &[]));
    }
    if file == STICKS {
        let moisture = Some(Quantity::Moisture);
        hints.loggers.push(hint(STICKS, None, None, &[("BC1", moisture, Some("%")), ("BC2", moisture, Some("%"))]));
    }
    if file == FIELD_SHEET {
        // Three columns of weights without a unit: the sample as it came from the field.
        hints.loggers.push(hint(FIELD_SHEET, None, None, &[("Wet Weight", Some(Quantity::Weight), Some("g"))]));
    }
    hints
}

fn read(file: &str, hints: &ReadingHints) -> Option<Reading> {
    let path = open_logs()?.join(file);
    Some(read_file(&path, file, hints).unwrap())
}

struct Want {
    fields: BTreeMap<String, String>,
}

impl Want {
    fn text(&self, name: &str) -> &str {
        &self.fields[name]
    }

    fn number(&self, name: &str) -> f64 {
        self.text(name).parse().unwrap()
    }

    fn count(&self, name: &str) -> u64 {
        self.text(name).parse().unwrap()
    }
}

fn reference() -> BTreeMap<String, Vec<Want>> {
    let text = include_str!("reference/open_logs.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut by_file: BTreeMap<String, Vec<Want>> = BTreeMap::new();
    for row in reader.deserialize::<BTreeMap<String, String>>() {
        let fields = row.unwrap();
        by_file.entry(fields["file"].clone()).or_default().push(Want { fields });
    }
    by_file
}

/// Loggers, quantities, columns with their units, rows, refused rows, first and last instant, interval, gaps, repeats,
/// contradictions, and mean, least and most of every column.
#[test]
fn every_file_reads_as_computed_independently() {
    if open_logs().is_none() {
        return;
    }
    let reference = reference();
    assert_eq!(reference.len(), 12);
    for (file, wants) in &reference {
        let reading = read(file, &hints(file)).unwrap();
        let mut expected: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
        for want in wants {
            let stem = file.rsplit_once('.').unwrap().0;
            let base = if file == ATLANTA { "72219013874" } else { stem };
            let id = match want.text("channel") {
                "" => base.to_owned(),
                channel => format!("{base}/{channel}"),
            };
            check(file, &id, want, &reading);
            expected.entry(id).or_default().insert(want.fields["quantity"].as_str());
        }
        let found: BTreeMap<String, BTreeSet<&str>> = reading
            .ledger
            .loggers
            .iter()
            .map(|logger| (logger.id.clone(), logger.quantities.iter().map(|q| q.column()).collect()))
            .collect();
        assert_eq!(found, expected, "{file}");
        let samples = reading.ledger.loggers.iter().map(|logger| logger.samples).sum();
        assert_eq!(input(&reading).outcome, Outcome::Read { rows: wants[0].count("rows"), samples }, "{file}");
        assert_eq!(input(&reading).refused.len() as u64, wants[0].count("refused"), "{file}");
    }
}

#[track_caller]
fn check(file: &str, id: &str, want: &Want, reading: &Reading) {
    let logger = reading.ledger.logger(id).unwrap_or_else(|| panic!("{file}: no `{id}` among {:?}", ids(reading)));
    let quantity = Quantity::from_column(want.text("quantity")).unwrap();
    let values: Vec<f64> = column(reading, id, quantity).into_iter().flatten().collect();
    let context = format!("{id} {}", quantity.column());
    let decided = decision(reading, &format!("column {}", want.text("column")));
    let named = format!("{}, {}", quantity.label(), want.text("unit"));
    // A channel may follow.
    assert_eq!(decided.value.split(", channel ").next(), Some(named.as_str()), "{context}");
    assert_eq!(logger.samples, want.count("samples"), "{context}");
    assert_eq!(logger.first.to_rfc3339(), want.text("first"), "{context}");
    assert_eq!(logger.last.to_rfc3339(), want.text("last"), "{context}");
    assert_eq!(logger.interval_s.map(u64::from), want.text("interval_s").parse().ok(), "{context}");
    assert_eq!(logger.gaps.len() as u64, want.count("gaps"), "{context}");
    assert_eq!(logger.gaps.iter().map(|gap| gap.missing).sum::<u64>(), want.count("missing"), "{context}");
    assert_eq!(logger.duplicates.len() as u64, want.count("duplicates"), "{context}");
    assert_eq!(logger.conflicts.len() as u64, want.count("conflicts"), "{context}");
    assert_eq!(values.len() as u64, want.count("values"), "{context}");
    #[allow(clippy::cast_precision_loss)]
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    for (name, got) in [("mean", mean), ("low", low), ("high", high)] {
        // Nine digits are printed in the reference.
        let (want, tolerance) = (want.number(name), 1e-8 * want.number(name).abs().max(0.01));
        assert!((got - want).abs() <= tolerance, "{context} {name}: got {got}, want {want}");
    }
}

/// All files of a folder at once give the same loggers, however often they are read.
#[test]
fn a_folder_reads_the_same_twice() {
    let Some(folder) = open_logs() else { return };
    let mut hints = zone("America/New_York");
    hints.not_exports = vec!["MANIFEST.md".into()];
    let done = std::sync::Mutex::new(Vec::new());
    let progress = |progress: Progress<'_>| {
        if let Progress::Read { path, files, .. } = progress {
            done.lock().unwrap().push((path.to_owned(), files));
        }
    };
    let first = read_folder(&folder, &hints, &progress).unwrap();
    let second = read_folder(&folder, &hints, &|_| ()).unwrap();
    assert_eq!(first.ledger, second.ledger);
    assert_eq!(first.frame.series(), second.frame.series());
    let done = done.into_inner().unwrap();
    assert_eq!(done.len(), 12);
    assert!(done.iter().all(|(_, files)| *files == 12));
    let refused: Vec<&str> = first
        .ledger
        .inputs
        .iter()
        .filter(|i| matches!(i.outcome, Outcome::Refused { .. }))
        .map(|i| i.path.as_str())
        .collect();
    assert_eq!(refused, [STICKS]);
}

/// The same samples from local year, month, day and hour as from the UTC column beside them, with the hour of the
/// autumn change twice and the hour of the spring change absent.
#[test]
fn local_parts_give_the_same_instants_as_the_utc_column() {
    let Some(folder) = open_logs() else { return };
    let text = std::fs::read_to_string(folder.join(NEW_YORK)).unwrap();
    let with_utc = read_bytes(NEW_YORK, text.as_bytes(), &zone("America/New_York")).unwrap();
    let local: String = text.lines().map(|line| format!("{}\n", line.rsplit_once(',').unwrap().0)).collect();
    let without = read_bytes(NEW_YORK, local.as_bytes(), &zone("America/New_York")).unwrap();
    assert_eq!(with_utc.frame.series(), without.frame.series());
    assert_eq!(decision(&without, "time").value, "`year`, `month`, `day`, `hour`");
    let clock = decision(&without, "clock");
    assert_eq!(clock.value, "wall clock of America/New_York");
    assert_eq!(
        clock.reason,
        "the stamps carry no offset and the job gives the zone; the hour that occurs twice is there twice, told apart by the order of rows"
    );
    assert_eq!(
        decision(&with_utc, "time").reason,
        "date, time and offset from UTC in one cell; not needed beside it: `year`, `month`, `day`, `hour`"
    );
    // Backwards as well.
    let mut lines: Vec<&str> = local.lines().collect();
    lines[1..].reverse();
    let reversed = lines.join("\n") + "\n";
    let newest_first = read_bytes(NEW_YORK, reversed.as_bytes(), &zone("America/New_York")).unwrap();
    for (a, b) in with_utc.frame.series().iter().zip(newest_first.frame.series()) {
        assert_eq!(a.time, b.time);
        assert_eq!(a.values, b.values);
    }
}

/// Units that no name gives are settled where the columns agree in one unit only, and a guess elsewhere.
#[test]
fn units_are_settled_by_the_columns_themselves() {
    if open_logs().is_none() {
        return;
    }
    let value = |file: &str, column: &str| {
        let reading = read(file, &hints(file)).unwrap();
        let found = decision(&reading, &format!("column {column}"));
        (found.value.clone(), found.certainty)
    };
    let settled = |text: &str| (text.to_owned(), Certainty::Settled);
    let guess = |text: &str| (text.to_owned(), Certainty::Guess);
    assert_eq!(value(NEW_YORK, "temp"), settled("air temperature, degF"));
    assert_eq!(value(NEW_YORK, "pressure"), guess("station pressure, hPa"));
    assert_eq!(value(ATLANTA, "HourlyWetBulbTemperature"), settled("wet bulb, degF"));
    assert_eq!(value(ATLANTA, "HourlyStationPressure"), settled("station pressure, inHg"));
    assert_eq!(value(OFFICE, "HumidityRatio"), settled("humidity ratio, kg/kg"));
    assert_eq!(value(OFFICE, "Temperature"), settled("air temperature, degC"));
    assert_eq!(value(HOUSE, "Tdewpoint"), settled("dew point, degC, channel out"));
    assert_eq!(value(GERMANY, "Temperatur (2m)"), settled("air temperature, degC"));
    assert_eq!(value("share_attic_drying_point_hourly_utc+2.csv", "T"), guess("air temperature, degC"));
    assert_eq!(value("share_attic_indoor_hourly_utc+2.csv", "T"), settled("air temperature, degC"));
}

/// Clocks stated by the files themselves.
#[test]
fn clocks_are_found_in_the_files() {
    if open_logs().is_none() {
        return;
    }
    let clock = |file: &str| {
        let reading = read(file, &hints(file)).unwrap();
        let found = decision(&reading, "clock").clone();
        (reading.ledger.loggers[0].clock.clone(), found.reason)
    };
    assert_eq!(
        clock("share_attic_indoor_hourly_utc+2.csv"),
        ("offset +02:00".into(), "stated in the column name `t_UTC+2`".into())
    );
    assert_eq!(clock(GERMANY), ("UTC".into(), "stated in the column name `Uhrzeit (UTC)`".into()));
    assert_eq!(
        clock(TORONTO),
        (
            "fixed at -05:00, the standard time of America/Toronto".into(),
            "line 9 of the preamble says local standard time, and the job's zone is America/Toronto".into()
        )
    );
    assert_eq!(clock(NEW_YORK), ("UTC".into(), "every time is given in UTC or with its offset".into()));
    assert_eq!(
        clock(ATLANTA),
        ("fixed at -05:00, the offset of America/New_York at the first sample".into(), "the job says so".into())
    );
}

/// Facts, headers, statistics rows, and columns left out.
#[test]
fn what_is_passed_over_is_told() {
    if open_logs().is_none() {
        return;
    }
    let toronto = read(TORONTO, &hints(TORONTO)).unwrap();
    assert_eq!(input(&toronto).facts["Elevation"], "112.50");
    assert_eq!(decision(&toronto, "header").value, "line 16");
    assert_eq!(decision(&toronto, "encoding").reason, "a byte-order mark at the start");
    let germany = read(GERMANY, &hints(GERMANY)).unwrap();
    assert_eq!(decision(&germany, "header").value, "line 1, 2, 3");
    assert_eq!(decision(&germany, "decimal mark").value, "comma");
    assert_eq!(decision(&germany, "row order").value, "newest first");
    assert_eq!(decision(&germany, "date order").value, "day first");
    assert_eq!(
        decision(&germany, "column Druck (auf Meereshoehe)").reason,
        "`meereshoehe`: sea-level pressure is not the pressure at the logger"
    );
    let atlanta = read(ATLANTA, &hints(ATLANTA)).unwrap();
    assert_eq!(decision(&atlanta, "rows without a value").value, "53");
    assert_eq!(decision(&atlanta, "serial number").reason, "the only text of the column `STATION`");
    assert_eq!(input(&atlanta).outcome, Outcome::Read { rows: 1998, samples: 1943 });
    let office = read(OFFICE, &hints(OFFICE)).unwrap();
    assert_eq!(decision(&office, "unnamed column").value, "the first");
}

/// Without a word for a quantity the file is refused with the lines to add.
#[test]
fn unknown_columns_are_offered() {
    let Some(reading) = read(STICKS, &zone("America/Vancouver")) else { return };
    common::assert_refused_file(
        &reading,
        "times and numbers, but no column name tells a quantity; columns of numbers: `BC1`, `BC2`",
        "say in job.toml what they hold: add `[[logger]]` with `file = \"share_woodstick_moisture_hourly.csv\"` and \
         `columns = { \"BC1\" = { quantity = \"material moisture\", unit = \"%\" } }`, with the right quantity and unit",
    );
}
