//! Faults, by example: keys that need or exclude one another.

use super::case::Case;

#[test]
fn elevation_and_pressure() {
    Case {
        job_toml: r#"[job]
elevation = "620 ft"
pressure = "29.3 inHg"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 12: this `[job]` has both `elevation` and `pressure`; one of them is accepted; remove the other");
}

#[test]
fn elevation_and_pressure_accuracy() {
    Case {
        job_toml: r#"[job]
elevation = "620 ft"
pressure_accuracy = "0.3 kPa"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 21: this `[job]` has both `elevation` and `pressure_accuracy`; one of them is accepted; remove the other");
}

#[test]
fn logger_without_a_name() {
    Case {
        job_toml: r#"[[logger]]
place = "outdoor"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 1: this `[[logger]]` has neither `serial` nor `file`; add one of them");
}

#[test]
fn logger_with_two_names() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
file = "a.csv"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 8: this `[[logger]]` has both `serial` and `file`; one of them is accepted; remove the other");
}

#[test]
fn channel_without_a_file() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
channel = "2"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 11: `channel` needs `file` beside it; add `file` or remove `channel`");
}

#[test]
fn ended_without_a_reason() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
ended = "2025-03-09 14:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 7, column 9: `ended` needs `ended_reason` beside it; add `ended_reason` or remove `ended`");
}

#[test]
fn condition_without_a_capacity() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
rated_condition = "80 F 60 %"
"#,
        ..Case::default()
    }
    .shows("job.toml line 5, column 19: `rated_condition` needs `rated_capacity` beside it; add `rated_capacity` or remove `rated_condition`");
}

#[test]
fn bias_to_apply_without_a_bias() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
apply_bias = true
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 14: `apply_bias` needs `bias_temp` or `bias_rh` beside it; add `bias_temp` or `bias_rh` or remove `apply_bias`");
}

#[test]
fn reason_without_drying_from() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
before_drying_reason = "demolition"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 24: `before_drying_reason` needs `drying_from` beside it; add `drying_from` or remove `before_drying_reason`");
}
