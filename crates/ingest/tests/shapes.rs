//! Shapes of tables: delimiters, headers, preambles, several loggers, units, and what each reads as.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use common::{
    assert_column, assert_decision, assert_not_a_log, assert_refused_file, column, decision, hint, ids, input, read,
    read_with, refusals, times, zone,
};
use grainfall_ingest::read_bytes;
use grainfall_record::{Certainty, LoggerHint, LoggerSelector, Outcome, Quantity, ReadingHints};

const C20: f64 = 20.0;

#[test]
fn what_is_no_log() {
    assert_not_a_log(&read(""), "the file is empty");
    assert_not_a_log(&read("Dear all,\n\nthe hall is wet, and so on.\n"), "text without rows of numbers beside a time");
    assert_not_a_log(
        &read("a,b,c\n1,2,3\n4,5,6\n"),
        "rows of numbers without a column of times or a word for a quantity",
    );
    assert_not_a_log(&read("Date,Note\n2024-01-01,-\n2024-01-02,NA\n"), "times, but no numbers beside them");
    let photo = read_bytes("photo.jpg", b"\xFF\xD8\xFF\xE0\x00\x10JFIF", &ReadingHints::default()).unwrap();
    assert_not_a_log(&photo, "a JPEG picture");
    let noise: Vec<u8> = (0..2000_u32).map(|i| (i * 7919 % 251) as u8).collect();
    assert_not_a_log(&read_bytes("x.bin", &noise, &ReadingHints::default()).unwrap(), "binary data");
}

#[test]
fn what_is_a_log_and_cannot_be_read() {
    let packed = read_bytes("a.7z", b"7z\xBC\xAF\x27\x1C........", &ReadingHints::default()).unwrap();
    assert_refused_file(
        &packed,
        "a compressed archive, which is not opened",
        "unpack it and put the files into the folder; export it as CSV where it is a spreadsheet",
    );
    assert_refused_file(
        &read("Time,Temp,RH\n"),
        "line 1 names a time and a quantity, but no row below holds a time and a number",
        "export it again after the logger has recorded; if there are rows below, give them dates and times such as `2024-03-04 15:30`",
    );
    let times = "export it with a date and time in every row, such as `2024-03-04 15:30` or `3/4/2024 3:30 PM`";
    assert_refused_file(&read("Temp (F),RH\n70,40\n71,41\n"), "no column of times among `Temp (F)`, `RH`", times);
    assert_refused_file(
        &read("Time,Temp (F),RH\n13h05 le 3,70,40\n13h15 le 3,71,41\n"),
        "`13h05 le 3` in line 2, column `Time`, is no date and time that is understood",
        times,
    );
    assert_refused_file(
        &read("2024-01-01 00:00,70,40\n2024-01-01 00:10,71,41\n"),
        "no row of names above the data, so it is not known what `column 2`, `column 3` hold",
        "say in job.toml what they hold: add `[[logger]]` with `file = \"log.csv\"` and `columns = { \"column 2\" = \
         { quantity = \"air temperature\", unit = \"F\" }, \"column 3\" = { quantity = \"relative humidity\", unit = \
         \"%\" } }`, with the right quantity and unit",
    );
    assert_refused_file(
        &read("Time,Weight\n2024-01-01 00:00,70\n2024-01-01 00:10,71\n"),
        "the unit of `Weight` cannot be told",
        "say in job.toml what they hold: add `[[logger]]` with `file = \"log.csv\"` and `columns = { \"Weight\" = \
         { quantity = \"weight\", unit = \"g\" } }`, with the right unit",
    );
    assert_refused_file(
        &read("t,T (°C),RH (%)\n2024-01-01 00:00,21,5,45,1\n2024-01-01 00:10,21,6,45,2\n"),
        "3 names above rows of 5 cells: the comma seems to be both the decimal mark and the mark between columns",
        "export it again with semicolons or tabs between the columns, or with decimal points",
    );
    assert_refused_file(
        &read("Time,Temp (°C)\n2024-01-01 00:00,999\n2024-01-01 00:10,998\n"),
        "none of 2 rows holds a usable time and value in `Temp (°C)`",
        "see the refused rows for the reason of each; export the file again if it is damaged",
    );
}

#[test]
fn rows_and_cells_are_refused_with_their_reason() {
    let reading = read(concat!(
        "Time,Temp (°F),RH (%)\n",
        "2024-01-01 00:00,70,40\n",
        "2024-01-01 00:10,abc,41\n",
        "hello,1,2\n",
        "2024-01-01 00:20,70,140\n",
        "2024-01-01 00:30,-999,40\n",
        "2024-01-01 00:40,-999,40\n",
        "2024-01-01 00:50,70s,40\n",
        "2024-01-01 01:00,70\n",
        "2024-01-01 01:10,70,40,9\n",
        "Time,Temp (°F),RH (%)\n",
        "\n",
        "2024-01-01 01:20,70,40\n",
        "Average,70,40\n",
        "end of data\n",
    ));
    assert_eq!(
        refusals(&reading),
        [
            "3 Temp (°F) `abc`: no number; a column of air temperature holds numbers",
            "4 Time `hello`: no date and time of the form the other rows have",
            "5 RH (%) `140`: outside 0 to 110 %, which no relative humidity is",
            "6 Temp (°F) `-999`: stands for a missing value: 2 times, outside -90 to 150 degC",
            "7 Temp (°F) `-999`: stands for a missing value: 2 times, outside -90 to 150 degC",
            "8 Temp (°F) `70s`: `s` behind the number is no unit of air temperature",
            "9 - `2024-01-01 01:00 | 70`: 2 cells, while the rows around it have 3",
            "10 - `2024-01-01 01:10 | 70 | 40 | 9`: 4 cells, while the rows around it have 3",
            "14 - `Average | 70 | 40`: a row that sums up the rows above, not a sample",
            "15 - `end of data`: not in the shape of the data",
        ]
    );
    assert_decision(
        &reading,
        "header repeated",
        "`11`",
        "lines with the names again were passed over",
        Certainty::Settled,
    );
    assert_decision(&reading, "blank rows", "1", "passed over", Certainty::Settled);
    assert_eq!(input(&reading).outcome, Outcome::Read { rows: 12, samples: 7 });
    let f70 = Some((70.0 - 32.0) / 1.8);
    assert_column(&reading, "log", Quantity::AirTemp, &[f70, None, f70, None, None, None, f70]);
    let rh = [Some(40.0), Some(41.0), None, Some(40.0), Some(40.0), Some(40.0), Some(40.0)];
    assert_column(&reading, "log", Quantity::RelativeHumidity, &rh);
}

#[test]
fn saturated_air_within_the_error_of_a_sensor_is_kept() {
    let reading = read("Time,RH (%)\n2024-01-01 00:00,99.9\n2024-01-01 00:10,103.5\n2024-01-01 00:20,110.1\n");
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(99.9), Some(103.5)]);
    assert_eq!(refusals(&reading), ["4 RH (%) `110.1`: outside 0 to 110 %, which no relative humidity is"]);
}

#[test]
fn nines_far_from_every_other_value_are_no_values() {
    let reading = read(
        "Time,Temp (°F)\n2024-01-01 00:00,70\n2024-01-01 00:10,-99.9\n2024-01-01 00:20,-99.9\n2024-01-01 00:30,72\n",
    );
    assert_eq!(
        refusals(&reading),
        [
            "3 Temp (°F) `-99.9`: stands for a missing value: 2 times, far from every other value of the column",
            "4 Temp (°F) `-99.9`: stands for a missing value: 2 times, far from every other value of the column",
        ]
    );
}

#[test]
fn a_torn_last_line_is_no_value() {
    let torn = |end: &str| {
        let rows = "2024-01-01 00:00,70.1,40.1\n2024-01-01 00:10,70.1,40.1\n2024-01-01 00:20,70.1,40.1\n";
        refusals(&read(&format!("Time,Temp (°F),RH (%)\n{rows}{end}")))
    };
    assert_eq!(
        torn("2024-01-01 00:30,70.1,40."),
        [
            "5 - `2024-01-01 00:30 | 70.1 | 40.`: the file ends within this row (its last number has fewer decimals than any above and no line end), so its last value may be cut"
        ]
    );
    assert_eq!(
        torn("2024-01-01 00:30,7"),
        [
            "5 - `2024-01-01 00:30 | 7`: the file ends within this row (it has fewer cells and no line end), so its last value may be cut"
        ]
    );
    assert_eq!(torn("2024-01-01 00:30,70.1,40.1"), Vec::<String>::new());
    let whole = "Time,RH (%)\n2024-01-01 00:00,40\n2024-01-01 00:10,41\n2024-01-01 00:20,42\n2024-01-01 00:30,4";
    assert_eq!(
        refusals(&read(whole)),
        [
            "5 - `2024-01-01 00:30 | 4`: the file ends within this row (its last cell is shorter than any above and has no line end), so its last value may be cut"
        ]
    );
}

#[test]
fn missing_words_are_no_complaint() {
    let reading = read(
        "Time,Temp (°C),RH (%)\n2024-01-01 00:00,NA,40\n2024-01-01 00:10,20,---\n2024-01-01 00:20,NA,\n2024-01-01 00:30,20,41\n",
    );
    assert_eq!(refusals(&reading), Vec::<String>::new());
    assert_decision(
        &reading,
        "missing values",
        "`---` 1, `NA` 2",
        "words for no value in the columns read",
        Certainty::Settled,
    );
    assert_decision(
        &reading,
        "rows without a value",
        "1",
        "a time, but no value in the columns read; the first is line 4",
        Certainty::Settled,
    );
    assert_column(&reading, "log", Quantity::AirTemp, &[None, Some(C20), Some(C20)]);
}

#[test]
fn a_long_layout_is_one_logger_each() {
    let rows = |name: &str, a: &str, b: &str| {
        format!(
            "time,{name},temp (°C),rh\n2024-01-01 00:00,{a},20,40\n2024-01-01 00:00,{b},21,50\n2024-01-01 00:10,{a},20,40\n2024-01-01 00:10,{b},21,50\n"
        )
    };
    let reading = read(&rows("sensor", "Hall", "Bath"));
    assert_eq!(ids(&reading), ["log/Bath", "log/Hall"]);
    assert_decision(
        &reading,
        "loggers",
        "`Bath`, `Hall`",
        "`sensor` tells them apart, and each of its texts repeats",
        Certainty::Settled,
    );
    assert_column(&reading, "log/Bath", Quantity::AirTemp, &[Some(21.0), Some(21.0)]);
    let reading = read(&rows("Serial Number", "20481", "20482"));
    assert_eq!(ids(&reading), ["20481", "20482"]);
    let logger = reading.ledger.logger("20481").unwrap();
    assert_eq!((logger.serial.as_deref(), logger.channel.as_deref()), (Some("20481"), Some("20481")));
}

#[test]
fn repeated_names_are_channels_by_position() {
    let reading = read("Time,Temp C,RH,Temp C,RH\n2024-01-01 00:00,20,40,21,50\n2024-01-01 00:10,20,40,21,50\n");
    assert_eq!(ids(&reading), ["log/1", "log/2"]);
    assert_column(&reading, "log/2", Quantity::RelativeHumidity, &[Some(50.0), Some(50.0)]);
    assert_decision(
        &reading,
        "channels",
        "`1`, `2`",
        "2 loggers side by side, told apart by the rest of the column names",
        Certainty::Settled,
    );
}

#[test]
fn groups_above_the_names_are_channels() {
    let reading = read(
        ",Kitchen,,Bath,\nTime,Temp (°C),RH,Temp (°C),RH\n2024-01-01 00:00,20,45,22,50\n2024-01-01 00:10,20,45,22,50\n",
    );
    assert_eq!(ids(&reading), ["log/Bath", "log/Kitchen"]);
    assert_column(&reading, "log/Kitchen", Quantity::AirTemp, &[Some(20.0), Some(20.0)]);
}

#[test]
fn places_are_channels() {
    let reading = read(
        "Time,Inside Temp F,Inside RH,Outside Temp F,Outside RH\n2024-01-01 00:00,70,40,50,60\n2024-01-01 00:10,70,40,50,60\n",
    );
    assert_eq!(ids(&reading), ["log/Inside", "log/Outside"]);
    assert_column(&reading, "log/Outside", Quantity::AirTemp, &[Some(10.0), Some(10.0)]);
}

#[test]
fn the_same_values_in_two_units_and_means_are_read_once() {
    let reading =
        read("Time,Temp (°C),Temp (°F),RH,Avg RH\n2024-01-01 00:00,20,68,50,50\n2024-01-01 00:10,21,69.8,50,50\n");
    assert_eq!(ids(&reading), ["log"]);
    assert_eq!(decision(&reading, "column Temp (°F)").reason, "the values of `Temp (°C)` in another unit");
    assert_eq!(decision(&reading, "column Avg RH").reason, "a mean over the interval beside the plain column `RH`");
}

#[test]
fn units_by_value_and_by_physics() {
    let reading = read("Time,Temp (°C),RH\n2024-01-01 00:00,20,0.50\n2024-01-01 00:10,21,0.55\n");
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(50.0), Some(55.0)]);
    assert_eq!(decision(&reading, "column RH").value, "relative humidity, fraction");
    // 70 degF and 50 % hold 54.5 gr/lb at sea level (ASHRAE psychrometric chart 1; from memory, to a grain).
    let rows = "2024-01-01 00:00,70,50,54.5\n2024-01-01 00:10,72,50,58.4\n".replace("00:", "0X:");
    let rows: String = (0..4).map(|h| rows.replace("0X", &format!("0{h}"))).collect();
    let reading = read(&format!("Time,Temp,RH,GPP\n{rows}"));
    assert_eq!(
        decision(&reading, "column Temp").reason,
        "`temp` in its name; its humidity ratio follows from temperature and humidity only when read as degF"
    );
    assert_eq!(decision(&reading, "column GPP").value, "humidity ratio, gr/lb");
    let reading = read("2024-01-01 00:00,70 °F,40%\n2024-01-01 00:10,71 °F,41%\n");
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(40.0), Some(41.0)]);
    assert_eq!(decision(&reading, "column column 2").certainty, Certainty::Guess);
    let reading = read("Temperature unit: °F\n\nTime,Temp,RH\n2024-01-01 00:00,40,40\n2024-01-01 00:10,41,41\n");
    assert_eq!(
        decision(&reading, "column Temp").reason,
        "`temp` in its name; `Temperature unit` above the data says degF"
    );
}

#[test]
fn kelvin_by_range_and_in_a_units_row() {
    let rows = "2024-01-01 00:00,293.15\n2024-01-01 00:10,294.15\n";
    for names in ["Time,Temp\n", "Time,Temp\n,K\n"] {
        let reading = read(&format!("{names}{rows}"));
        assert_column(&reading, "log", Quantity::AirTemp, &[Some(20.0), Some(21.0)]);
        assert_eq!(decision(&reading, "column Temp").certainty, Certainty::Settled);
    }
}

#[test]
fn a_guessed_unit_says_how_to_settle_it() {
    let reading = read("Time,Temp,RH\n2024-01-01 00:00,3.5,80\n2024-01-01 00:10,36.2,81\n2024-01-01 00:20,20.2,81\n");
    assert_decision(
        &reading,
        "column Temp",
        "air temperature, degC",
        "`temp` in its name; no unit is given; its values lie around 20.2 (3.5 to 36.2), likelier in degC than in degF; \
         to settle it add `[[logger]]` with `file = \"log.csv\"` and `columns = { \"Temp\" = { quantity = \"air \
         temperature\", unit = \"degC\" } }`, with the right unit",
        Certainty::Guess,
    );
    let hints = ReadingHints {
        loggers: vec![hint("log.csv", None, None, &[("temp", Some(Quantity::AirTemp), Some("F"))])],
        ..ReadingHints::default()
    };
    let reading = read_with("Time,Temp,RH\n2024-01-01 00:00,50,80\n2024-01-01 00:10,50,81\n", &hints);
    assert_decision(&reading, "column Temp", "air temperature, degF", "the job says so", Certainty::Stated);
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(10.0), Some(10.0)]);
}

#[test]
fn the_job_overrules_columns() {
    let text = "Serial Number: A-77\n\nTime,Temp (°C),RH,BC1,BC2\n2024-01-01 00:00,20,40,12,13\n2024-01-01 00:10,20,40,12,13\n";
    let moisture = Some(Quantity::Moisture);
    let mut said =
        hint("log.csv", None, None, &[("BC1", moisture, None), ("BC2", moisture, Some("%")), ("RH", None, None)]);
    said.select = LoggerSelector::Serial("A-77".into());
    let hints = ReadingHints { loggers: vec![said], ..ReadingHints::default() };
    let reading = read_with(text, &hints);
    assert_eq!(ids(&reading), ["A-77/BC1", "A-77/BC2", "A-77/main"]);
    assert_column(&reading, "A-77/BC2", Quantity::Moisture, &[Some(13.0), Some(13.0)]);
    assert_decision(&reading, "column RH", "not read", "the job says to leave it out", Certainty::Stated);
    // Another logger's hints are not this file's.
    let other = LoggerHint { select: LoggerSelector::Serial("B-1".into()), ..hints.loggers[0].clone() };
    let reading = read_with(text, &ReadingHints { loggers: vec![other], ..ReadingHints::default() });
    assert_eq!(ids(&reading), ["A-77"]);
    assert_eq!(decision(&reading, "columns of numbers").value, "`BC1` (12 to 12), `BC2` (13 to 13)");
    let wrong = hint("log.csv", None, None, &[("RH", Some(Quantity::RelativeHumidity), Some("furlong"))]);
    let reading = read_with(text, &ReadingHints { loggers: vec![wrong], ..ReadingHints::default() });
    assert_eq!(
        decision(&reading, "column RH").reason,
        "the job gives it the unit `furlong`, which is no unit of relative humidity"
    );
}

#[test]
fn names_that_carry_facts() {
    let reading = read(concat!(
        "Place: Hall\n",
        "\"No.\",\"Time, GMT-05:00\",\"Temp, °F (S/N: 10345678)\",\"RH, % (S/N: 10345678)\",\"Remark\"\n",
        "1,02/13/24 01:00:00 PM,70,40.2,\n",
        "2,02/13/24 01:10:00 PM,70,40.2,\n",
        "3,02/13/24 01:12:00 PM,,,door open\n",
    ));
    assert_eq!(ids(&reading), ["10345678"]);
    assert_eq!(times(&reading, "10345678"), ["2024-02-13T18:00:00Z", "2024-02-13T18:10:00Z"]);
    assert_decision(&reading, "serial number", "10345678", "stated in the column names", Certainty::Settled);
    assert_eq!(reading.ledger.loggers[0].clock, "offset -05:00");
    assert_eq!(input(&reading).facts["Place"], "Hall");
}

#[test]
fn columns_between_blanks() {
    let reading = read_with(
        "Date Time  Temp(F)  RH(%)\n01/31/2024 08:00 PM  68  40\n01/31/2024 08:10 PM  68  41\n",
        &zone("America/Chicago"),
    );
    assert_eq!(times(&reading, "log"), ["2024-02-01T02:00:00Z", "2024-02-01T02:10:00Z"]);
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(C20), Some(C20)]);
}

#[test]
fn morning_and_afternoon_in_a_cell_of_their_own() {
    let reading =
        read("Date,Time,AM/PM,Temp (°C)\n1/31/2024,11:50,AM,20\n1/31/2024,12:00,PM,20\n1/31/2024,12:10,PM,20\n");
    assert_eq!(times(&reading, "log"), ["2024-01-31T11:50:00Z", "2024-01-31T12:00:00Z", "2024-01-31T12:10:00Z"]);
}

#[test]
fn german_names_and_decimal_commas() {
    let reading = read(
        "Zeit;Raumtemperatur in °C;rel. Feuchte in %;Taupunkt in °C\n13.02.2024 10:00;20,1;50,2;9,4\n13.02.2024 10:10;20,1;50,2;9,4\n",
    );
    assert_column(&reading, "log", Quantity::DewPoint, &[Some(9.4), Some(9.4)]);
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(20.1), Some(20.1)]);
    let quoted = read("Time,Temp (°C)\n2024-01-01 00:00,\"21,5\"\n2024-01-01 00:10,\"21,6\"\n");
    assert_column(&quoted, "log", Quantity::AirTemp, &[Some(21.5), Some(21.6)]);
}

#[test]
fn commas_before_three_digits_are_decimal_where_thousands_are_impossible() {
    let reading = read("Time;Temp (°C);RH (%)\n2024-01-01 00:00;22,313;66,411\n2024-01-01 00:10;22,298;66,502\n");
    assert_column(&reading, "log", Quantity::AirTemp, &[Some(22.313), Some(22.298)]);
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(66.411), Some(66.502)]);
    // A pressure that both marks make possible stays as grouped digits are written.
    let grouped = read("Time;Station pressure (Pa)\n2024-01-01 00:00;101,325\n2024-01-01 00:10;101,310\n");
    assert_column(&grouped, "log", Quantity::Pressure, &[Some(101_325.0), Some(101_310.0)]);
}

#[test]
fn rows_newest_first_and_out_of_order_are_sorted() {
    let reading = read("Time,RH\n2024-01-01 00:20,42\n2024-01-01 00:10,41\n2024-01-01 00:00,40\n");
    assert_column(&reading, "log", Quantity::RelativeHumidity, &[Some(40.0), Some(41.0), Some(42.0)]);
    assert_decision(
        &reading,
        "row order",
        "newest first",
        "every stamp is earlier than the one above; sorted by time",
        Certainty::Settled,
    );
    let reading = read("Time,RH\n2024-01-01 00:00,40\n2024-01-01 00:20,42\n2024-01-01 00:10,41\n2024-01-01 00:30,43\n");
    assert_decision(
        &reading,
        "row order",
        "1 row is earlier than the one above",
        "sorted by time after the clock was resolved",
        Certainty::Settled,
    );
    assert_eq!(column(&reading, "log", Quantity::RelativeHumidity).len(), 4);
    let source = reading.frame.series()[0].source(1).unwrap();
    assert_eq!(source.to_string(), "log.csv line 4");
}
