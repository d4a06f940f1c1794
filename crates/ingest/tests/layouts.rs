//! Layouts, times and files that belong together, and what each reads as.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use std::path::Path;

use common::{
    assert_column, assert_decision, assert_refused_file, decision, hint, ids, input, read, read_with, refusals, times,
    zone,
};
use grainfall_ingest::{Progress, Reading, read_folder};
use grainfall_record::{Certainty, Clock, DateOrder, Quantity, ReadingHints};

fn folder(files: &[(&str, &str)], hints: &ReadingHints) -> Reading {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap_or(Path::new("."))).unwrap();
        std::fs::write(path, text).unwrap();
    }
    read_folder(folder.path(), hints, &|_: Progress<'_>| ()).unwrap()
}

#[test]
fn quantities_below_each_other() {
    let reading = read(concat!(
        "time,station,parameter,value,unit\n",
        "2024-01-01 00:00,A1,Temperature,68,°F\n",
        "2024-01-01 00:00,A1,Relative humidity,41,%\n",
        "2024-01-01 00:00,A1,Light,310,lux\n",
        "2024-01-01 00:10,A1,Temperature,20,°C\n",
        "2024-01-01 00:10,A1,Relative humidity,42,%\n",
        "2024-01-01 00:10,A1,Light,300,lux\n",
        "2024-01-01 00:20,A1,Temperature,68,°F\n",
        "2024-01-01 00:20,A1,Relative humidity,43,lux\n",
        "2024-01-01 00:20,A1,Light,290,lux\n",
    ));
    assert_eq!(ids(&reading), ["log"]);
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(20.0), Some(20.0), Some(20.0)]);
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(41.0), Some(42.0), None]);
    assert_eq!(
        refusals(&reading),
        ["9 Relative humidity `43`: `lux` beside the number is no unit of relative humidity"]
    );
    assert_decision(
        &reading,
        "quantities below each other",
        "`Light`, `Relative humidity`, `Temperature`",
        "the texts of `parameter` name them, and `value` holds the values, `unit` the units",
        Certainty::Settled,
    );
}

#[test]
fn quantities_below_each_other_through_the_hour_that_occurs_twice() {
    let mut text = String::from("time,parameter,value,unit\n");
    for (stamp, temp) in [("00:30", 1), ("01:00", 2), ("01:30", 3), ("01:00", 4), ("01:30", 5), ("02:00", 6)] {
        text.push_str(&format!("2025-11-02 {stamp},Temp,{temp},C\n2025-11-02 {stamp},RH,{temp},%\n"));
    }
    let reading = read_with(&text, &zone("America/New_York"));
    let hours: Vec<String> = times(&reading, "log").iter().map(|t| t[11..16].to_owned()).collect();
    assert_eq!(hours, ["04:30", "05:00", "05:30", "06:00", "06:30", "07:00"]);
}

#[test]
fn scaled_whole_numbers() {
    let reading = read("Time,Temp (0.1 °C),RH x10 (%)\n2024-01-01 00:00,215,405\n2024-01-01 00:10,-3,1000\n");
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(21.5), Some(-0.3)]);
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(40.5), Some(100.0)]);
    assert_decision(
        &reading,
        "scale of Temp (0.1 °C)",
        "numbers divided by 10",
        "its name says so, and its numbers are whole",
        Certainty::Settled,
    );
}

#[test]
fn humidity_and_dew_point_that_contradict_each_other() {
    // 20 degC and 50 % have a dew point of 9.3 degC (ASHRAE psychrometric chart 1, from memory).
    let reading = read(
        "Time,Temp (°C),RH (%),Dew point (°C)\n2024-01-01 00:00,20.0,50.0,9.3\n2024-01-01 00:10,20.0,50.0,12.3\n2024-01-01 00:20,20.0,50.0,9.2\n",
    );
    let found = decision(&reading, "humidity and dew point");
    assert_eq!(found.value, "1 row of 3 contradict each other");
    assert!(found.reason.ends_with("all values are kept; line 3"), "{}", found.reason);
    assert_column(&reading, "log", Quantity::DewPoint, &[Some(9.3), Some(12.3), Some(9.2)]);
}

#[test]
fn time_counted_from_a_stated_start() {
    let text = "Start time: 03/14/2024 10:00 PM\n\nElapsed (min),Temp (°C)\n0,20\n90,21\n180,22\n";
    let reading = read(text);
    assert_eq!(times(&reading, "log"), ["2024-03-14T22:00:00Z", "2024-03-14T23:30:00Z", "2024-03-15T01:00:00Z"]);
    assert_eq!(
        decision(&reading, "time").reason,
        "minutes since `03/14/2024 10:00 PM`, the start stated above the data"
    );
    let open = text.replace("03/14", "03/04");
    assert_refused_file(
        &read(&open),
        "the start `03/04/2024 10:00 PM` above the data can be 2024-03-04 (month first) or 2024-04-03 (day first), and \
         it is the only date of the file",
        "add `date_order = \"month-first\"` or `date_order = \"day-first\"` under `[job]` in job.toml",
    );
    let hints = ReadingHints { date_order: Some(DateOrder::DayFirst), ..ReadingHints::default() };
    assert_eq!(times(&read_with(&open, &hints), "log")[0], "2024-04-03T22:00:00Z");
    assert_refused_file(
        &read("Elapsed (min),Temp (°C)\n0,20\n90,21\n180,22\n"),
        "`Elapsed (min)` counts from a start that the file does not state",
        "write `Start time: 2024-03-04 15:30`, with the true start, in a line above the names, or export it with a date \
         and time in every row",
    );
}

#[test]
fn counts_of_every_kind() {
    // 1 700 000 000 s is 2023-11-14T22:13:20Z (POSIX time).
    for zeros in ["", "000", "000000", "000000000"] {
        let reading = read(&format!("epoch,RH\n1700000000{zeros},40\n1700000060{zeros},41\n1700000120{zeros},41\n"));
        assert_eq!(times(&reading, "log")[0], "2023-11-14T22:13:20Z", "{zeros}");
    }
    // Day 45352 of a spreadsheet is 2024-03-01; five decimals are nine tenths of a second.
    let reading = read("Date/Time,RH\n45352.41667,40\n45352.42361,41\n45352.43056,41\n");
    assert_eq!(times(&reading, "log"), ["2024-03-01T10:00:00Z", "2024-03-01T10:10:00Z", "2024-03-01T10:20:00Z"]);
    assert_eq!(decision(&reading, "time").certainty, Certainty::Guess);
}

#[test]
fn a_clock_of_twelve_hours_without_halves() {
    let rows =
        |times: &[&str]| -> String { times.iter().map(|t| format!("2024-01-0{t},40\n")).collect::<Vec<_>>().concat() };
    let read = |times: &[&str]| read(&format!("Time,RH\n{}", rows(times)));
    let hours = |reading: &Reading| -> Vec<String> {
        times(reading, "log").iter().map(|t| t[9..16].replace('T', " ")).collect()
    };
    // Over noon, over midnight, and newest first.
    let noon = ["1 11:40", "1 12:10", "1 12:40", "1 1:10", "1 1:40"];
    let reading = read(&noon);
    assert_eq!(hours(&reading), ["1 11:40", "1 12:10", "1 12:40", "1 13:10", "1 13:40"]);
    assert_decision(
        &reading,
        "hours",
        "twelve, counted twice a day",
        "no hour is 0 or above 12 and none says AM or PM; the clock goes on from row to row only if `2024-01-01 12:10` \
         in line 3 is 12:10",
        Certainty::Settled,
    );
    let mut back = noon;
    back.reverse();
    assert_eq!(hours(&read(&back)), ["1 11:40", "1 12:10", "1 12:40", "1 13:10", "1 13:40"]);
    let midnight = ["1 11:40", "2 12:10", "2 12:40", "2 1:10", "2 1:40"];
    assert_eq!(hours(&read(&midnight)), ["1 23:40", "2 00:10", "2 00:40", "2 01:10", "2 01:40"]);
    // Neither: two readings, and none of a clock of a whole day.
    assert_refused_file(
        &read(&["1 12:10", "1 12:40", "1 1:10", "1 1:40", "1 2:10"]),
        "`2024-01-01 12:10` in line 2 can be 00:10 or 12:10, and every row of the file fits each reading: no hour is 0 \
         or above 12 and none says AM or PM",
        "add `[[logger]]` with `file = \"log.csv\"` and `hours = \"24\"` to job.toml if its hours count to 23, else with \
         `hours = \"am\"` or `hours = \"pm\"` for the half of its first row; or export it again with hours from 0 to 23",
    );
    // A gap in which half a day may be missing.
    let gap = ["1 11:40", "1 12:10", "1 12:40", "1 1:10", "3 2:10", "3 2:40", "3 3:10"];
    assert!(read(&gap).frame.is_empty());
    let morning = read(&["1 8:00", "1 8:30", "1 9:00", "1 9:30", "1 10:00", "1 10:30"]);
    assert_eq!(decision(&morning, "hours").certainty, Certainty::Guess);
    assert_eq!(hours(&morning)[0], "1 08:00");
    let said = read(&["1 8:00 AM", "1 8:30 AM", "1 9:00 AM", "1 9:30 AM", "1 10:00 AM", "1 10:30 AM"]);
    assert!(!input(&said).decisions.iter().any(|d| d.topic == "hours"));
}

#[test]
fn elapsed_hours_and_minutes() {
    let text = "Start: 2024-03-14 22:00\n\nElapsed,Temp (°C)\n00:00:00,20\n01:30:00,21\n25:00:30,22\n";
    let reading = read(text);
    assert_eq!(times(&reading, "log"), ["2024-03-14T22:00:00Z", "2024-03-14T23:30:00Z", "2024-03-15T23:00:30Z"]);
    // A count runs through a change of clocks: New York skips an hour on 2025-03-09 at 02:00 (IANA, 2025).
    let text = "Start: 2025-03-09 01:30\n\nElapsed (min),Temp (°C)\n0,20\n60,21\n120,22\n";
    let reading = read_with(text, &zone("America/New_York"));
    assert_eq!(times(&reading, "log"), ["2025-03-09T06:30:00Z", "2025-03-09T07:30:00Z", "2025-03-09T08:30:00Z"]);
}

#[test]
fn a_scale_stated_above_the_data() {
    let reading =
        read("Scale factor: 0.1\n\nTime,Temp (°C),RH (%),No\n2024-01-01 00:00,215,405,7\n2024-01-01 00:10,-3,1000,8\n");
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(21.5), Some(-0.3)]);
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(40.5), Some(100.0)]);
    assert_eq!(
        decision(&reading, "scale of RH (%)").reason,
        "`Scale factor` above the data says so, and its numbers are whole"
    );
}

#[test]
fn columns_at_fixed_places() {
    let reading = read(concat!(
        "Serial number: 20-4471\n",
        "\n",
        "Date       Time   Air temp (°C)  Relative humidity (%)\n",
        "2024-01-01 00:00           20.5                   45.1\n",
        "2024-01-01 00:10           21.5                       \n",
        "2024-01-01 00:20                                  46.0\n",
    ));
    assert_eq!(ids(&reading), ["20-4471"]);
    assert_column(&reading, "20-4471", Quantity::AirTemp, &[Some(20.5), Some(21.5), None]);
    assert_column(&reading, "20-4471", Quantity::RelativeHumidity, &[Some(45.1), None, Some(46.0)]);
    assert_eq!(decision(&reading, "fixed places").value, "4 columns");
    // Between mere blanks a row with a cell less is refused: which one is missing cannot be seen.
    let reading = read(
        "Date Time Temp_C RH\n2024-01-01 00:00 9.5 45.1\n2024-01-01 00:10 10.5\n2024-01-01 00:20 100.5 45\n2024-01-01 00:30 9.5 45\n",
    );
    assert_eq!(refusals(&reading), ["3 - `2024-01-01 | 00:10 | 10.5`: 3 cells, while the rows around it have 4"]);
}

const HALL: &str = "Time,Temp (°C)\n2024-01-01 00:00,20\n2024-01-01 00:10,21\n2024-01-01 00:20,22\n";

#[test]
fn copies_of_one_download_are_one_logger() {
    let longer = format!("{HALL}2024-01-01 00:30,23\n");
    let reading = folder(&[("hall.csv", HALL), ("hall (1).csv", &longer)], &zone("UTC"));
    assert_eq!(ids(&reading), ["hall"]);
    assert_eq!((reading.ledger.loggers[0].samples, reading.ledger.loggers[0].duplicates.len()), (4, 3));
    let note = reading.ledger.inputs[0].decisions.iter().find(|d| d.topic == "same log as").unwrap();
    assert_eq!(note.value, "hall.csv");
    // Other values at the same instants: another logger under a like name.
    let other = longer.replace(",21", ",25");
    let reading = folder(&[("hall.csv", HALL), ("hall (1).csv", &other)], &zone("UTC"));
    assert_eq!(ids(&reading), ["hall", "hall (1)"]);
}

#[test]
fn a_file_for_each_quantity_is_one_logger() {
    let humid = HALL.replace("Temp (°C)", "RH (%)");
    let reading = folder(&[("hall_temp.csv", HALL), ("hall_rh.csv", &humid)], &zone("UTC"));
    assert_eq!(ids(&reading), ["hall"]);
    assert_column(&reading, "hall", Quantity::RelativeHumidity, &[Some(20.0), Some(21.0), Some(22.0)]);
    let reading = folder(&[("bath/temperature.csv", HALL), ("bath/humidity.csv", &humid)], &zone("UTC"));
    assert_eq!(ids(&reading), ["bath"]);
    // The same quantity twice is two loggers.
    let reading =
        folder(&[("hall_temp.csv", HALL), ("hall_temperature.csv", &HALL.replace("20\n", "19\n"))], &zone("UTC"));
    assert_eq!(ids(&reading), ["hall_temp", "hall_temperature"]);
}

#[test]
fn a_clock_that_never_changes_keeps_one_offset_over_its_files() {
    let log =
        |day: &str| format!("Serial Number: S-1\n\nTime,Temp (°C)\n{day} 10:00,20\n{day} 10:10,21\n{day} 10:20,22\n");
    let mut said = hint("x", None, Some(Clock::Fixed), &[]);
    said.select = grainfall_record::LoggerSelector::Serial("S-1".into());
    let hints = ReadingHints { loggers: vec![said], ..zone("America/Chicago") };
    // The clocks change on 2025-03-09: the second file is read with the offset of the first.
    let reading = folder(&[("a.csv", &log("2025-03-10")), ("b.csv", &log("2025-03-08"))], &hints);
    let found = times(&reading, "S-1");
    assert_eq!((found[0].as_str(), found[3].as_str()), ("2025-03-08T16:00:00Z", "2025-03-10T16:00:00Z"));
    let note = reading.ledger.inputs[0].decisions.last().unwrap();
    assert_eq!(note.topic, "clock of S-1 over its files");
    assert!(note.reason.ends_with("which is in `b.csv`"), "{}", note.reason);
}

#[test]
fn a_logger_carries_the_channel_by_which_it_is_asked_for() {
    let hints = ReadingHints { loggers: vec![hint("log.csv", Some("Temp (°C)"), None, &[])], ..zone("UTC") };
    let reading = read_with(HALL, &hints);
    let logger = &reading.ledger.loggers[0];
    assert_eq!((logger.id.as_str(), logger.channel.as_deref()), ("log", Some("Temp (°C)")));
    let wide = "Time,T_in (°C),RH_in,T_out (°C),RH_out\n2024-01-01 00:00,20,40,5,80\n2024-01-01 00:10,20,40,5,80\n";
    let hints = ReadingHints { loggers: vec![hint("log.csv", Some("T_out (°C)"), None, &[])], ..zone("UTC") };
    let reading = read_with(wide, &hints);
    let logger = reading.ledger.logger("log/out").unwrap();
    assert_eq!(logger.channel.as_deref(), Some("T_out (°C)"));
}

#[test]
fn seconds_that_are_not_quite_even() {
    let reading = read("Time,RH\n2024-01-01 00:00:00.004,40\n2024-01-01 00:09:59.997,41\n2024-01-01 00:20:00.001,42\n");
    assert_eq!(reading.ledger.loggers[0].interval_s, Some(600));
    assert!(reading.ledger.loggers[0].gaps.is_empty());
}

fn block(above: &str, temps: std::ops::Range<i32>) -> String {
    let first = temps.start;
    let rows: String = temps.map(|t| format!("2024-01-01 {:02}:00,{t}.5,40\n", t - first + 10)).collect();
    format!("{above}Time,Temp (°C),RH (%)\n{rows}")
}

#[test]
fn loggers_below_each_other_in_one_file() {
    let serials =
        [block("Serial Number: A-1\nZone: UTC\n\n", 10..16), block("\nSerial Number: A-2\n\n", 20..26)].concat();
    let reading = read(&serials);
    assert_eq!(common::ids(&reading), ["A-1", "A-2"]);
    assert_column(&reading, "A-2", Quantity::AirTemp, &(20..26).map(|t| Some(f64::from(t) + 0.5)).collect::<Vec<_>>());
    let paths: Vec<&str> = reading.ledger.inputs.iter().map(|input| input.path.as_str()).collect();
    assert_eq!(paths, ["log.csv", "log.csv/A-1", "log.csv/A-2"]);
    let second = reading.frame.logger("A-2").unwrap();
    assert_eq!(second.source(0).unwrap().to_string(), "log.csv/A-2 line 15");
    // By rooms, by titles, by rows that contradict each other.
    let rooms =
        [block("Room: Hall\n\n", 10..16), block("Room: Bath\n\n", 20..26), block("Room: Hall\n", 16..20)].concat();
    let rooms = rooms.replace("2024-01-01 13:00,19.5", "2024-01-02 13:00,19.5");
    assert_eq!(common::ids(&read(&rooms)), ["log/Bath", "log/Hall"]);
    let titles = [block("Kitchen\n", 10..16), block("Bath\n", 20..26)].concat();
    assert_eq!(common::ids(&read(&titles)), ["log/Bath", "log/Kitchen"]);
    let bare = [block("", 10..16), block("", 20..26)].concat();
    assert_eq!(common::ids(&read(&bare)), ["log/1", "log/2"]);
    // The same rows again, and rows that go on, are of the same logger.
    let again = [block("", 10..16), block("", 10..18).replace(",16.5,40", ",16.6,40")].concat();
    assert_eq!(common::ids(&read(&again)), ["log"]);
    // Other names above other columns.
    let other = [block("", 10..16), block("", 20..26).replace("Temp (°C),RH (%)", "RH (%),Temp (°C)")].concat();
    let reading = read(&other);
    assert_eq!(common::ids(&reading), ["log/1", "log/2"]);
    assert_column(&reading, "log/2", Quantity::AirTemp, &[Some(40.0); 6]);
}

#[test]
fn marks_behind_numbers_are_kept_and_told() {
    let reading = read(
        "Time,Temp (°C),RH (%)\n2024-01-01 15:00,21.5*,45.1H\n2024-01-01 15:10,21.6,45.2\n2024-01-01 15:20,21.7 °C*,45.3H\n",
    );
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(21.5), Some(21.6), Some(21.7)]);
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(45.1), Some(45.2), Some(45.3)]);
    assert_decision(
        &reading,
        "marks behind numbers",
        "`*` 2, `H` 2",
        "the numbers are kept as they are; what the marks mean is not known",
        Certainty::Guess,
    );
}
