//! Faults, by example: the shape of the CSV files.

use super::case::Case;

#[test]
fn empty_file() {
    Case {
        readings: "

",
        ..Case::default()
    }
    .shows("readings.csv: is empty; the first line names the columns: `time`, `point`, `value`");
}

#[test]
fn unknown_and_missing_column() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,vlaue
2025-03-08 12:00,K1,12
",
        ..Case::default()
    }
    .shows("readings.csv line 1, column `vlaue`: unknown column `vlaue`; did you mean `value`? accepted columns: `time`, `point`, `value`, `scale`, `meter`, `surface_temp`, `by`, `note`");
}

#[test]
fn missing_columns() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,note
2025-03-08 12:00,K1
",
        ..Case::default()
    }
    .shows("readings.csv line 1: has no column `point`; add it: the id of a point; found `time`, `note`
readings.csv line 1: has no column `value`; add it: a number, `>40`, `OL`, or `-` with the reason in the note; found `time`, `note`");
}

#[test]
fn air_without_a_humidity_column() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        air: "time,place,air_temp (F)
2025-03-08 12:00,outdoor,40
",
        ..Case::default()
    }
    .shows("air.csv line 1: the header has neither `rh` nor `gpp`; add one of them");
}

#[test]
fn column_twice() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value,Value (%)
2025-03-08 12:00,K1,12,12
",
        ..Case::default()
    }
    .shows("readings.csv line 1, column `Value (%)`: column `value` is here twice, as `value` and `Value (%)`; one is accepted; remove or rename the other");
}

#[test]
fn extra_cells() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
2025-03-08 12:00,K1,12,behind the sink, left
",
        ..Case::default()
    }
    .shows("readings.csv line 2: has 5 cells, but the header names 3 columns (first extra cell `behind the sink`); put text that holds the separator in double quotes");
}

#[test]
fn open_quote() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: r#"time,point,value,note
2025-03-08 12:00,K1,12,"behind the sink
2025-03-09 12:00,K1,11,
"#,
        ..Case::default()
    }
    .shows("readings.csv line 2, column 24: a double quote opens a cell here and none closes it, so the rest of the file would be one cell; close it, or remove it");
}

#[test]
fn empty_cell() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
,K1,12
2025-03-08 12:00,,12
",
        ..Case::default()
    }
    .shows(
        "readings.csv line 2: `time` is empty; write a time such as `2025-03-08 06:30` or `3/8/2025 6:30 AM`
readings.csv line 3: `point` is empty; write the id of a point",
    );
}

#[test]
fn a_time_in_a_cell() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
yesterday,K1,12
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `time`: `time` is `yesterday`; accepted: a time such as `2025-03-08 06:30` or `3/8/2025 6:30 AM`");
}

#[test]
fn dates_that_read_both_ways() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
3/8/2025 9:00,K1,12
3/9/2025 9:00,K1,11
",
        ..Case::default()
    }
    .shows(r#"readings.csv line 2, column `time`: `3/8/2025 9:00` is 8 March 2025 or 3 August 2025, and nothing in the file settles which; add `date_order = "month-first"` (or `"day-first"`) under `[job]` in job.toml"#);
}

#[test]
fn dates_that_contradict_one_another() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
3/25/2025 9:00,K1,12
26/3/2025 9:00,K1,11
",
        ..Case::default()
    }
    .shows("readings.csv line 3, column `time`: `26/3/2025 9:00` puts the day first, but line 2 has `3/25/2025 9:00`; one order a file is accepted; write both as YYYY-MM-DD");
}

#[test]
fn dates_that_contradict_one_another_day_first() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
26/3/2025 9:00,K1,12
3/25/2025 9:00,K1,11
",
        ..Case::default()
    }
    .shows("readings.csv line 3, column `time`: `3/25/2025 9:00` puts the month first, but line 2 has `26/3/2025 9:00`; one order a file is accepted; write both as YYYY-MM-DD");
}

#[test]
fn skipped_time_in_a_cell() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chicago"
date_order = "month-first"
[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
3/9/2025 2:30 AM,K1,12
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `time`: `3/9/2025 2:30 AM` does not exist in America/Chicago: the clocks skipped it; write the offset: `2025-03-09 02:30-06:00` or `2025-03-09 02:30-05:00`");
}

#[test]
fn equipment_cells() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        equipment: "unit,kind,chamber,placed,airflow (cfm),billed_days
D1,fan,A;B,2025-03-08 12:00,fast,many
D2,heater,A,,300,3
",
        ..Case::default()
    }
    .shows("equipment.csv line 2, column `kind`: `kind` is `fan`; accepted: `dehumidifier low-grain`, `dehumidifier refrigerant`, `dehumidifier desiccant`, `air mover`, `air scrubber`, `heater`
equipment.csv line 2, column `chamber`: `chamber` names chamber `B`, which is not listed in job.toml; known chambers: `A`
equipment.csv line 2, column `airflow (cfm)`: `fast` does not start with a number: an airflow is written as a number with one of cfm, m3/h, l/s, m3/s (for example `10 cfm`)
equipment.csv line 2, column `billed_days`: `billed_days` is `many`; accepted: a number of days, 0 or more
equipment.csv line 3: `placed` is empty; write a time such as `2025-03-08 06:30`, local to the job's zone unless it carries an offset or `Z`");
}
