//! Orders of dates and clocks, through whole files.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use std::fmt::Write as _;

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use common::{assert_decision, assert_refused_file, decision, hint, read, read_with, refusals, times, zone};
use grainfall_record::{Certainty, Clock, DateOrder, Hours, LoggerHint, ReadingHints};

#[test]
fn dates_that_fit_both_orders_need_a_word() {
    let text = "Time,Temp F\n03/04/2024 15:00,70\n03/04/2024 15:10,71\n";
    assert_refused_file(
        &read(text),
        "`03/04/2024 15:00` in line 2 can be 2024-03-04 (month first) or 2024-04-03 (day first), and every date of the \
         file fits each reading",
        "add `date_order = \"month-first\"` or `date_order = \"day-first\"` under `[job]` in job.toml",
    );
    let said = |order| ReadingHints { date_order: Some(order), ..ReadingHints::default() };
    let month = read_with(text, &said(DateOrder::MonthFirst));
    assert_eq!(times(&month, "log")[0], "2024-03-04T15:00:00Z");
    assert_decision(&month, "date order", "month first", "the job says so, and the dates fit it", Certainty::Stated);
    let day = read_with(text, &said(DateOrder::DayFirst));
    assert_eq!(times(&day, "log")[0], "2024-04-03T15:00:00Z");
}

#[test]
fn two_digits_of_a_year_first_are_told_by_days_that_follow_each_other() {
    for mark in ['/', '.'] {
        let date = |day: u32| format!("25{mark}03{mark}{day}");
        let text = |days: &[u32]| -> String {
            let rows = days.iter().map(|day| format!("{} 15:00,70\n", date(*day)));
            format!("Time,Temp F\n{}", rows.collect::<String>())
        };
        let reading = read(&text(&[18, 19, 20]));
        assert_eq!(times(&reading, "log")[2], "2025-03-20T15:00:00Z");
        assert_decision(
            &reading,
            "date order",
            "year first",
            "from one date to the next the days add up to 2 this way and to 731 or more any other way",
            Certainty::Settled,
        );
        // One day alone may be either: the common order, as a guess.
        let one = read(&text(&[18]));
        let found = decision(&one, "date order");
        assert_eq!(found.certainty, Certainty::Guess, "{found:?}");
        assert!(found.reason.contains("but two digits of a year first"), "{found:?}");
        let usual = read(&format!("Time,Temp F\n18{mark}03{mark}25 15:00,70\n19{mark}03{mark}25 15:00,70\n"));
        assert_eq!(times(&usual, "log")[1], "2025-03-19T15:00:00Z");
        assert_eq!(decision(&usual, "date order").certainty, Certainty::Settled);
    }
}

#[test]
fn dates_settle_themselves() {
    let over_twelve = read("Time,Temp F\n12/04/2024 23:50,70\n13/04/2024 00:00,71\n");
    assert_eq!(times(&over_twelve, "log")[0], "2024-04-12T23:50:00Z");
    assert_eq!(decision(&over_twelve, "date order").reason, "`13/04/2024 00:00` in line 3 fits no other order");
    let by_step = read("Time,Temp F\n03/04/2024 23:50,70\n04/04/2024 00:00,71\n");
    assert_eq!(times(&by_step, "log")[1], "2024-04-04T00:00:00Z");
    assert_decision(
        &by_step,
        "date order",
        "day first",
        "from one date to the next the days add up to 1 this way and to 31 or more any other way",
        Certainty::Settled,
    );
    let same = read("Time,Temp F\n04/04/2024 23:40,70\n04/04/2024 23:50,71\n");
    assert_eq!(decision(&same, "date order").reason, "`04/04/2024 23:40` is the same date in every order");
    let hints = ReadingHints { date_order: Some(DateOrder::DayFirst), ..ReadingHints::default() };
    let against = read_with("Time,Temp F\n04/13/2024 23:40,70\n04/13/2024 23:50,71\n", &hints);
    assert_eq!(
        decision(&against, "date order").reason,
        "`04/13/2024 23:40` in line 2 fits no other order; the job's `date_order` is for files that cannot settle it"
    );
    let dots = read("Time;Temp F\n03.04.24 10:00;70\n03.04.24 10:10;71\n");
    assert_decision(
        &dots,
        "date order",
        "day first",
        "every date fits more than one order, and dates with dots are written day first; if this one is not, add \
         `date_order = \"month-first\"` under `[job]` in job.toml",
        Certainty::Guess,
    );
    let year_first = read("Time,Temp F\n24-04-13 23:50,70\n24-04-14 00:00,71\n");
    assert_eq!(times(&year_first, "log")[0], "2024-04-13T23:50:00Z");
    assert_refused_file(
        &read("Time,Temp F\n24-04-13 10:00,70\n24-04-13 10:10,71\n"),
        "`24-04-13 10:00` in line 2 can be 2013-04-24 (day first) or 2024-04-13 (year first), and every date of the \
         file fits each reading",
        "add `date_order = \"month-first\"` or `date_order = \"day-first\"` under `[job]` in job.toml; if the year comes \
         first, export the file with four digits of it",
    );
}

#[test]
fn what_stands_around_the_rows_settles_their_dates() {
    let rows = "Time,Temp F\n03/04/2024 15:00,70\n03/04/2024 15:10,71\n";
    let told = |text: &str| {
        let reading = read(text);
        let found = decision(&reading, "date order");
        (found.value.clone(), found.reason.clone(), found.certainty)
    };
    let settled = |value: &str, reason: &str| (value.to_owned(), reason.to_owned(), Certainty::Settled);
    assert_eq!(
        told(&format!("Checked: 28/02/2024\n\n{rows}")),
        settled("day first", "`28/02/2024` in `Checked` fits no other order")
    );
    assert_eq!(
        told(&format!("First sample: 2024-03-04 15:00\n\n{rows}")),
        settled("month first", "only so do the rows begin on the day of `First sample`, `2024-03-04 15:00`")
    );
    assert_eq!(
        told(&format!("Exported: 20 March 2024\n\n{rows}")),
        settled("month first", "any other way rows would be later than `Exported`, `20 March 2024`")
    );
    let by_any = told(&format!("Visit: 2024-04-03\n\n{rows}"));
    assert_eq!((by_any.0.as_str(), by_any.2), ("day first", Certainty::Guess));
    // 2024-03-04 was a Monday, 2024-04-03 a Wednesday (proleptic Gregorian calendar, as in ISO 8601).
    for (text, order) in [
        ("Time,Temp F\nMon 03/04/2024 15:00,70\nMon 03/04/2024 15:10,71\n", "month first"),
        ("Time,Temp F\n03/04/2024 (Wed) 15:00,70\n03/04/2024 (Wed) 15:10,71\n", "day first"),
        ("Time,Day,Temp F\n03/04/2024 15:00,Wednesday,70\n03/04/2024 15:10,Wednesday,71\n", "day first"),
        ("Zeit;Temp F\nMi. 03.04.2024 15:00;70\nMi. 03.04.2024 15:10;71\n", "day first"),
    ] {
        let found = told(text);
        assert_eq!((found.0.as_str(), found.2), (order, Certainty::Settled), "{text}: {}", found.1);
    }
    let named = grainfall_ingest::read_bytes("a/hall_2024-04-03.csv", rows.as_bytes(), &ReadingHints::default());
    assert_eq!(
        decision(&named.unwrap(), "date order").reason,
        "only so are the rows of the day in the file's name, 2024-04-03"
    );
    // A date that fits both readings settles nothing.
    for fact in ["Exported: 2024-05-01", "Checked: 05/02/2024", "Calibrated: 2023-01-01"] {
        let reading = read(&format!("{fact}\n\n{rows}"));
        assert!(reading.frame.is_empty(), "{fact}");
    }
}

#[test]
fn a_start_is_settled_by_another_date() {
    let text = "Start time: 03/04/2024 10:00 PM\nExported: 2024-03-05\n\nElapsed (min),Temp (°C)\n0,20\n90,21\n";
    assert_eq!(times(&read(text), "log")[0], "2024-03-04T22:00:00Z");
}

#[test]
fn mixed_orders_are_refused() {
    assert_refused_file(
        &read("Time,Temp F\n13/04/2024 10:00,70\n04/14/2024 10:10,71\n04/15/2024 10:10,71\n"),
        "`04/14/2024 10:10` in line 3 can only be month first and `13/04/2024 10:00` in line 2 cannot: the file mixes \
         two orders of dates",
        "export the file again with one form of dates, best year first (`2024-03-04`)",
    );
}

#[test]
fn a_zone_no_one_gives_is_a_guess() {
    let reading = read("Time,Temp F\n2024-01-01 10:00,70\n2024-01-01 10:10,71\n");
    assert_decision(
        &reading,
        "clock",
        "UTC",
        "the stamps carry no offset, and neither the file nor the job says their zone; add the job's zone under \
         `[job]` in job.toml, as in `time_zone = \"America/Chicago\"`",
        Certainty::Guess,
    );
}

#[test]
fn offsets_in_the_stamps_win() {
    let hints =
        ReadingHints { loggers: vec![hint("log.csv", None, Some(Clock::Wall), &[])], ..zone("America/Chicago") };
    let reading = read_with("Time,Temp F\n2024-07-01T10:00:00-04:00,70\n2024-07-01T10:10:00-04:00,71\n", &hints);
    assert_eq!(times(&reading, "log")[0], "2024-07-01T14:00:00Z");
    assert_decision(&reading, "clock", "UTC", "every time is given in UTC or with its offset", Certainty::Settled);
}

#[test]
fn the_clock_said_for_a_logger() {
    let text = "Time,Temp F\n2024-07-01 10:00,70\n2024-07-01 10:10,71\n";
    let first = |clock, channel: Option<&str>| {
        let hints =
            ReadingHints { loggers: vec![hint("log.csv", channel, Some(clock), &[])], ..zone("America/Chicago") };
        times(&read_with(text, &hints), "log")[0].clone()
    };
    assert_eq!(first(Clock::Utc, None), "2024-07-01T10:00:00Z");
    assert_eq!(first(Clock::Offset(19_800), None), "2024-07-01T04:30:00Z");
    assert_eq!(first(Clock::Wall, None), "2024-07-01T15:00:00Z");
    assert_eq!(first(Clock::Fixed, None), "2024-07-01T15:00:00Z");
    assert_eq!(first(Clock::Utc, Some("Temp F")), "2024-07-01T10:00:00Z", "a channel is meant by its column");
    assert_eq!(first(Clock::Utc, Some("other")), "2024-07-01T15:00:00Z");
}

#[test]
fn a_stamp_that_cannot_exist() {
    let text = "Time,Temp F\n2025-03-09 01:30,70\n2025-03-09 02:00,70\n2025-03-09 02:30,70\n2025-03-09 03:00,70\n";
    let reading = read_with(text, &zone("America/Chicago"));
    assert_eq!(times(&reading, "log")[1], "2025-03-09T08:00:00Z");
    assert_decision(
        &reading,
        "clock",
        "fixed at -06:00, the offset of America/Chicago at the first sample",
        "`2025-03-09 02:00` in line 3 does not exist on a wall clock of America/Chicago, so the clock never changed",
        Certainty::Settled,
    );
    let hints =
        ReadingHints { loggers: vec![hint("log.csv", None, Some(Clock::Wall), &[])], ..zone("America/Chicago") };
    let reading = read_with(text, &hints);
    assert_eq!(
        refusals(&reading),
        [
            "3 - `2025-03-09 02:00:00`: does not exist in America/Chicago: the clocks go forward over it",
            "4 - `2025-03-09 02:30:00`: does not exist in America/Chicago: the clocks go forward over it",
        ]
    );
}

/// Logs over a change of clocks, as a wall clock and as a clock that never changes would write them.
fn over(zone: Tz, change: &str, step_min: i64, wall: bool, newest_first: bool) -> (String, Vec<DateTime<Utc>>) {
    let change: DateTime<Utc> = change.parse().unwrap();
    let first = change - TimeDelta::hours(20);
    let instants: Vec<DateTime<Utc>> = (0..)
        .map(|i| first + TimeDelta::minutes(step_min * i))
        .take_while(|t| *t < change + TimeDelta::hours(20))
        .collect();
    let offset = first.with_timezone(&zone).naive_local() - first.naive_utc();
    let mut rows: Vec<String> = instants
        .iter()
        .map(|t| {
            let local = if wall { t.with_timezone(&zone).naive_local() } else { t.naive_utc() + offset };
            local.format("%Y-%m-%d %H:%M,20").to_string()
        })
        .collect();
    if newest_first {
        rows.reverse();
    }
    let mut text = String::from("Time,Temp (°C)\n");
    for row in rows {
        writeln!(text, "{row}").unwrap();
    }
    (text, instants)
}

/// Changes of 2025 (IANA time zone database): New York 03-09 07:00Z and 11-02 06:00Z, Berlin 03-30 and 10-26 01:00Z,
/// Lord Howe Island, by half an hour, 04-05 15:00Z and 10-04 15:30Z.
const CHANGES: [(Tz, &str); 6] = [
    (chrono_tz::America::New_York, "2025-03-09T07:00:00Z"),
    (chrono_tz::America::New_York, "2025-11-02T06:00:00Z"),
    (chrono_tz::Europe::Berlin, "2025-03-30T01:00:00Z"),
    (chrono_tz::Europe::Berlin, "2025-10-26T01:00:00Z"),
    (chrono_tz::Australia::Lord_Howe, "2025-04-05T15:00:00Z"),
    (chrono_tz::Australia::Lord_Howe, "2025-10-04T15:30:00Z"),
];

#[test]
fn every_change_reads_back_whatever_the_clock_did() {
    for (zone, change) in CHANGES {
        for step_min in [1, 10, 30, 60] {
            for wall in [true, false] {
                for newest_first in [true, false] {
                    let (text, instants) = over(zone, change, step_min, wall, newest_first);
                    let hints = ReadingHints { time_zone: Some(zone), ..ReadingHints::default() };
                    let reading = read_with(&text, &hints);
                    let series = reading.frame.logger("log").unwrap();
                    let context =
                        format!("{zone} {change} every {step_min} min, wall {wall}, newest first {newest_first}");
                    assert_eq!(series.time, instants, "{context}: {:?}", decision(&reading, "clock"));
                    assert_eq!(reading.ledger.loggers[0].gaps, [], "{context}");
                }
            }
        }
    }
}

/// Rows every ten minutes from a stamp on, in a form.
fn rows(from: &str, count: i64, form: &str) -> String {
    let from: chrono::NaiveDateTime = from.parse().unwrap();
    let row = |at: i64| format!("{},{}\n", (from + TimeDelta::minutes(10 * at)).format(form), 20 + at % 5);
    format!("Time,Temp (°C)\n{}", (0..count).map(row).collect::<String>())
}

fn hours(said: Hours) -> ReadingHints {
    let one = LoggerHint { hours: Some(said), ..hint("log.csv", None, None, &[]) };
    ReadingHints { loggers: vec![one], ..zone("UTC") }
}

#[test]
fn hours_of_either_half_need_a_word() {
    let text = rows("2025-03-14T20:00:00", 12, "%m/%d/%Y %I:%M");
    assert_refused_file(
        &read(&text),
        "`03/14/2025 08:00` in line 2 can be 08:00 or 20:00, and every row of the file fits each reading: no hour is 0 \
         or above 12 and none says AM or PM",
        "add `[[logger]]` with `file = \"log.csv\"` and `hours = \"24\"` to job.toml if its hours count to 23, else with \
         `hours = \"am\"` or `hours = \"pm\"` for the half of its first row; or export it again with hours from 0 to 23",
    );
    for (said, first) in [
        (Hours::WholeDay, "2025-03-14T08:00:00Z"),
        (Hours::FromMorning, "2025-03-14T08:00:00Z"),
        (Hours::FromAfternoon, "2025-03-14T20:00:00Z"),
    ] {
        let reading = read_with(&text, &hours(said));
        assert_eq!(times(&reading, "log")[0], first);
        assert_eq!(decision(&reading, "hours").certainty, Certainty::Stated);
    }
    // What the rows tell themselves is not asked, and what the job says then does not count.
    let over_noon = read_with(&rows("2025-03-14T08:00:00", 40, "%m/%d/%Y %I:%M"), &hours(Hours::FromAfternoon));
    assert_eq!(times(&over_noon, "log")[39], "2025-03-14T14:30:00Z");
    assert_eq!(decision(&over_noon, "hours").certainty, Certainty::Settled);
    let to_noon = read(&rows("2025-03-14T08:00:00", 28, "%m/%d/%Y %H:%M"));
    assert_eq!(times(&to_noon, "log")[27], "2025-03-14T12:30:00Z");
}

#[test]
fn hours_are_told_by_what_stands_around_them() {
    let evening = rows("2025-03-14T20:00:00", 12, "%m/%d/%Y %I:%M");
    let started = read(&format!("Start: 2025-03-14 20:00\n\n{evening}"));
    assert_eq!(times(&started, "log")[0], "2025-03-14T20:00:00Z");
    assert_eq!(
        decision(&started, "hours").reason.split("; ").last(),
        Some("the first row is the `Start`, `2025-03-14 20:00`")
    );
    let morning = rows("2025-03-14T08:00:00", 12, "%m/%d/%Y %H:%M");
    let checked = read(&format!("Checked: 03/15/2025 16:10\n\n{morning}"));
    assert_eq!(times(&checked, "log")[0], "2025-03-14T08:00:00Z");
    assert_eq!(decision(&checked, "hours").certainty, Certainty::Settled);
    // A date that begins with its year goes with hours of a whole day; that is said, as a guess.
    let year_first = read(&rows("2025-03-14T08:00:00", 12, "%Y-%m-%d %H:%M"));
    assert_eq!(times(&year_first, "log")[0], "2025-03-14T08:00:00Z");
    assert_eq!(decision(&year_first, "hours").certainty, Certainty::Guess);
}

#[test]
fn a_log_that_begins_in_the_hour_that_occurs_twice() {
    // New York, 2025-11-02: 01:40 is 05:40 UTC and, an hour later, 06:40 UTC (IANA time zone database 2025).
    let text = rows("2025-11-02T01:40:00", 12, "%Y-%m-%d %H:%M");
    assert_refused_file(
        &read_with(&text, &zone("America/New_York")),
        "`2025-11-02 01:40` in line 2 can be 05:40 or 06:40 in UTC, and every row of the file fits each reading: the log \
         begins in the hour that occurs twice in America/New_York, where the clocks go back",
        "add `[[logger]]` with `file = \"log.csv\"` and `clock = \"-04:00\"` to job.toml if that is the first pass of the \
         hour, or `clock = \"-05:00\"` if it is the second",
    );
    for (clock, first) in [
        (Clock::Offset(-4 * 3600), "2025-11-02T05:40:00Z"),
        (Clock::Offset(-5 * 3600), "2025-11-02T06:40:00Z"),
        // A clock that follows the change and goes on evenly behind it was in its second pass.
        (Clock::Wall, "2025-11-02T06:40:00Z"),
    ] {
        let hints = ReadingHints { loggers: vec![hint("log.csv", None, Some(clock), &[])], ..zone("America/New_York") };
        assert_eq!(times(&read_with(&text, &hints), "log")[0], first, "{clock:?}");
    }
    // A clock that never changed can have begun in either pass, and so can one that shows nothing but the hour.
    let fixed =
        ReadingHints { loggers: vec![hint("log.csv", None, Some(Clock::Fixed), &[])], ..zone("America/New_York") };
    assert!(read_with(&text, &fixed).frame.is_empty());
    let within = rows("2025-11-02T01:00:00", 6, "%Y-%m-%d %H:%M");
    let wall =
        ReadingHints { loggers: vec![hint("log.csv", None, Some(Clock::Wall), &[])], ..zone("America/New_York") };
    assert!(read_with(&within, &wall).frame.is_empty());
}

#[test]
fn a_log_that_begins_in_the_hour_and_shows_the_change() {
    // Lord Howe Island goes from +11:00 to +10:30 at 15:00 UTC: hourly rows from 14:45 UTC are 01:45, 02:15, 03:15.
    let text = "Time,Temp (°C)\n2025-04-06 01:45,20\n2025-04-06 02:15,20\n2025-04-06 03:15,20\n2025-04-06 04:15,20\n";
    let reading = read_with(text, &zone("Australia/Lord_Howe"));
    assert_eq!(times(&reading, "log")[..2], ["2025-04-05T14:45:00Z", "2025-04-05T15:45:00Z"]);
    assert_eq!(decision(&reading, "clock").certainty, Certainty::Settled);
}

#[test]
fn counted_rows_that_sum_up_are_no_samples() {
    let text =
        "Start time: 2025-03-14 10:00\n\nNo.,Elapsed (s),Temp (°C)\n1,0,20.1\n2,60,20.2\n3,120,20.3\nAverage,21,20.2\n";
    let reading = read(text);
    assert_eq!(times(&reading, "log").len(), 3);
    assert_eq!(refusals(&reading), ["7 - `Average | 21 | 20.2`: a row that sums up the rows above, not a sample"]);
}

#[test]
fn a_row_cut_within_its_time_says_nothing_of_halves() {
    // The last row breaks off behind the hour, and what is left of it is no hour of a whole day.
    let text = "Date;Time;Temp (°C)\n03/14/2025;08:10;20\n03/14/2025;08:20;20\n03/14/2025;08:30;20\n03/14/2025;0";
    let reading = read(text);
    assert!(reading.frame.is_empty());
}

#[test]
fn an_hour_that_occurs_twice_between_two_gaps() {
    let text = "Time,Temp (°C)\n2025-11-01 10:00,20\n2025-11-01 10:10,20\n2025-11-01 10:20,20\n2025-11-02 01:20,21\n\
                2025-11-02 15:20,20\n2025-11-02 15:30,20\n";
    let reading = read_with(text, &zone("America/New_York"));
    assert_eq!(times(&reading, "log").len(), 5);
    assert_eq!(
        refusals(&reading),
        [
            "5 - `2025-11-02 01:20:00`: occurs twice in America/New_York, where the clocks go back, and no row shows which \
          time it is"
        ]
    );
}
