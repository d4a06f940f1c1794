//! Faults, by example: times and zones.

use super::case::Case;

#[test]
fn no_time() {
    Case {
        job_toml: r#"[job]
loss_at = "8 March 2025"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 2, column 11: `loss_at` is `8 March 2025`; accepted: a time such as `"2025-03-08 06:30"`, local to the job's zone unless it carries an offset or `Z`"#);
}

#[test]
fn date_without_time() {
    Case {
        job_toml: "[job]
loss_at = 2025-03-08
",
        ..Case::default()
    }
    .shows(r#"job.toml line 2, column 11: `loss_at` is the date or time `2025-03-08`; accepted: a time such as `"2025-03-08 06:30"`, local to the job's zone unless it carries an offset or `Z`"#);
}

#[test]
fn slashes_in_job_toml() {
    Case {
        job_toml: r#"[job]
loss_at = "3/8/2025 6:30"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 2, column 11: `loss_at` is `3/8/2025 6:30`; accepted: a time such as `"2025-03-08 06:30"`, local to the job's zone unless it carries an offset or `Z`"#);
}

#[test]
fn no_date() {
    Case {
        job_toml: r#"[[meter]]
id = "M"
calibrated = "January"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 14: `calibrated` is `January`; accepted: a date such as `"2025-01-15"`"#);
}

#[test]
fn skipped_time() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chicago"
loss_at = "2025-03-09 02:30"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 11: `2025-03-09 02:30` does not exist in America/Chicago: the clocks skipped it; write the offset: `2025-03-09 02:30-06:00` or `2025-03-09 02:30-05:00`");
}

#[test]
fn repeated_time() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chicago"
loss_at = 2025-11-02T01:30:00
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 11: `2025-11-02T01:30:00` happens twice in America/Chicago; write the offset: `2025-11-02 01:30-05:00` for the first, `2025-11-02 01:30-06:00` for the second");
}

#[test]
fn unknown_zone() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chigaco"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 13: `time_zone` is `America/Chigaco`, which is no zone of the IANA list; did you mean `America/Chicago`? accepted: names such as `America/Chicago`, `Europe/Berlin` or `UTC`");
}

#[test]
fn zone_by_its_city() {
    Case {
        job_toml: r#"[job]
time_zone = "new york"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 13: `time_zone` is `new york`, which is no zone of the IANA list; did you mean `America/New_York`? accepted: names such as `America/Chicago`, `Europe/Berlin` or `UTC`");
}

#[test]
fn zone_by_its_spoken_name() {
    Case {
        job_toml: r#"[job]
time_zone = "CST"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 13: `time_zone` is `CST`, which is no zone of the IANA list; did you mean `America/Chicago`? accepted: names such as `America/Chicago`, `Europe/Berlin` or `UTC`");
}

#[test]
fn zone_that_never_changes() {
    Case {
        job_toml: r#"[job]
time_zone = "EST"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 13: `time_zone` is `EST`, which never changes for daylight saving; write the place's zone, such as `America/New_York`, or the fixed offset `Etc/GMT+5`");
}

#[test]
fn two_changes_at_one_time() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chicago"
[[category]]
value = 2
from = "2025-03-09 10:00"
reason = "a"
[[category]]
value = 3
from = "2025-03-09 10:00"
reason = "b"
"#,
        ..Case::default()
    }
    .shows("job.toml line 9, column 8: `from` is `2025-03-09 10:00`, and so is the one on line 3; one change at a time is accepted; correct or remove one");
}
