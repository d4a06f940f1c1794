//! Faults, by example: the shape of `job.toml`.

use super::case::Case;

#[test]
fn toml_syntax() {
    Case {
        job_toml: r#"[job]
title = Larch
claim = "C"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 9: is not valid TOML here: string values must be quoted, expected literal string; every line is `key = value`, text in quotes, or a `[heading]`");
}

#[test]
fn toml_unclosed_text() {
    Case {
        job_toml: r#"[job]
title = "Larch
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 2, column 15: is not valid TOML here: invalid basic string, expected `"`; every line is `key = value`, text in quotes, or a `[heading]`"#);
}

#[test]
fn a_key_written_twice() {
    Case {
        job_toml: r#"[job]
title = "a"
title = "b"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 1: `title` is here a second time; it is accepted once; merge or remove one");
}

#[test]
fn a_table_written_twice() {
    Case {
        job_toml: r#"[job]
title = "a"
[job]
claim = "b"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 2: `job` is here a second time; it is accepted once; merge or remove one");
}

#[test]
fn unknown_table() {
    Case {
        job_toml: r#"[[chambers]]
id = "A"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 3: unknown table `chambers`; did you mean `chamber`? accepted tables: `job`, `category`, `class`, `chamber`, `logger`, `side_by_side`, `meter`, `material`, `point`, `equipment`, `condensate`, `hour_meter`, `pause`, `billed`");
}

#[test]
fn unknown_table_far_from_any() {
    Case {
        job_toml: r#"[[invoice]]
id = "A"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 3: unknown table `invoice`; accepted tables: `job`, `category`, `class`, `chamber`, `logger`, `side_by_side`, `meter`, `material`, `point`, `equipment`, `condensate`, `hour_meter`, `pause`, `billed`");
}

#[test]
fn unknown_key() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
    flor_area = "412 ft2"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 5: unknown key `flor_area` in `[[chamber]]`; did you mean `floor_area`? accepted keys: `id`, `name`, `floor_area`, `volume`, `from`, `to`, `parent`, `drying_from`, `before_drying_reason`, `air_goals`");
}

#[test]
fn unknown_key_far_from_any() {
    Case {
        job_toml: r#"[[billed]]
unit = "D1"
days = 1
price = 4
[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 4, column 1: unknown key `price` in `[[billed]]`; accepted keys: `unit`, `days`");
}

#[test]
fn key_outside_a_table() {
    Case {
        job_toml: r#"title = "Larch"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 1: `title` stands outside any table; write it below the heading `[job]`");
}

#[test]
fn single_brackets_for_a_list() {
    Case {
        job_toml: r#"[chamber]
id = "A"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 2: `chamber` is a single table; it is written under the heading `[[chamber]]`");
}

#[test]
fn double_brackets_for_the_job() {
    Case {
        job_toml: r#"[[job]]
title = "a"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 3: `job` is a list of tables; it is written under the heading `[job]`");
}

#[test]
fn a_value_for_a_table() {
    Case {
        job_toml: "chamber = 3
",
        ..Case::default()
    }
    .shows("job.toml line 1, column 1: `chamber` is a value; it is written under the heading `[[chamber]]`");
}

#[test]
fn missing_key() {
    Case {
        job_toml: r#"[[chamber]]
name = "Den"
"#,
        ..Case::default()
    }
    .shows("job.toml line 1, column 1: this `[[chamber]]` has no `id`; add `id`: a short id in quotes");
}

#[test]
fn text_expected() {
    Case {
        job_toml: "[job]
title = true
",
        ..Case::default()
    }
    .shows("job.toml line 2, column 9: `title` is `true`; accepted: text in quotes");
}

#[test]
fn empty_text() {
    Case {
        job_toml: r#"[job]
title = " "
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 9: `title` is empty; write text in quotes or remove it");
}

#[test]
fn unknown_word() {
    Case {
        job_toml: r#"[job]
equipment_day = "calender"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 17: `equipment_day` is `calender`; did you mean `calendar`? accepted: `24h`, `calendar`");
}

#[test]
fn whole_number_out_of_range() {
    Case {
        job_toml: r#"[job]
category = 4
class = "two"
confirm_readings = 0
"#,
        ..Case::default()
    }
    .shows(
        "job.toml line 2, column 12: `category` is the number `4`; accepted: 1, 2 or 3
job.toml line 3, column 9: `class` is `two`; accepted: 1, 2, 3 or 4
job.toml line 4, column 20: `confirm_readings` is the number `0`; accepted: a whole number from 1 to 10",
    );
}

#[test]
fn flag_expected() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
bias_temp = "1 F"
apply_bias = "yes"
"#,
        ..Case::default()
    }
    .shows("job.toml line 4, column 14: `apply_bias` is `yes`; accepted: `true` or `false`");
}

#[test]
fn list_item_of_another_kind() {
    Case {
        job_toml: r#"[[meter]]
id = "M"
scales = ["wood", 1.5]
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 19: `scales` is the number `1.5`; accepted: a scale or a list of scales such as `["wood", "relative"]`"#);
}
