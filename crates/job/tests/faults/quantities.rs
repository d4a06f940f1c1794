//! Faults, by example: quantities, goals and numbers.

use super::case::Case;

#[test]
fn bare_number() {
    Case {
        job_toml: "[job]
elevation = 5280
",
        ..Case::default()
    }
    .shows("job.toml line 2, column 13: `elevation`: `5280` has no unit: a length is written with one of ft, m (for example `5280 ft`)");
}

#[test]
fn bare_number_in_text() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
floor_area = "412"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 14: `floor_area`: `412` has no unit: an area is written with one of ft2, m2 (for example `412 ft2`)");
}

#[test]
fn unknown_unit() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
volume = "3300 ft2"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 10: `volume`: `3300 ft2` has the unit `ft2`: a volume is written with one of ft3, m3 (for example `3300 ft3`)");
}

#[test]
fn pressure_unit() {
    Case {
        job_toml: r#"[job]
pressure = "29.3 in"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 12: `pressure`: `29.3 in` has the unit `in`: a pressure is written with one of inHg, kPa, hPa, mmHg, psi, Pa (for example `29.3 inHg`)");
}

#[test]
fn elevation_beyond_reason() {
    Case {
        job_toml: r#"[job]
elevation = "62000 ft"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 13: `elevation` is `62000 ft`; accepted: an elevation from -5000 to 11000 m (-16404 to 36089 ft)");
}

#[test]
fn pressure_beyond_reason() {
    Case {
        job_toml: r#"[job]
pressure = "2992 inHg"
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 12: `pressure` is `2992 inHg`; accepted: the absolute pressure at the place, 10 to 200 kPa (3 to 59 inHg)");
}

#[test]
fn pressure_accuracy_beyond_reason() {
    Case {
        job_toml: r#"[job]
pressure = "29.3 inHg"
pressure_accuracy = "29.3 inHg"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 21: `pressure_accuracy` is `29.3 inHg`; accepted: above 0 to 10 kPa");
}

#[test]
fn negative_accuracy() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
temp_accuracy = "-0.5 F"
rh_accuracy = 2
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 17: `temp_accuracy` is `-0.5 F`; accepted: a temperature difference such as `"0.5 F"`
job.toml line 4, column 15: `rh_accuracy`: `2` has no unit: a relative humidity difference is written with one of % (for example `2 %`)"#);
}

#[test]
fn length_of_time() {
    Case {
        job_toml: r#"[job]
pull_window = 4
[[chamber]]
id = "A"
air_goals = [{ gpp = "at most 55", hold = "a day" }]
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 15: `pull_window`: `4` has no unit: a duration is written with one of h, min, d (for example `4 h`)
job.toml line 5, column 43: `hold`: `a day` does not start with a number: a duration is written as a number with one of h, min, d (for example `10 h`)");
}

#[test]
fn length_of_time_beyond_reason() {
    Case {
        job_toml: r#"[job]
pull_window = "400 d"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 2, column 15: `pull_window` is `400 d`; accepted: a length of time up to 100 days, such as `"4 h"` or `"30 min"`"#);
}

#[test]
fn air_goals() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
air_goals = [
  { gpp = 55, hold = "24 h" },
  { rh = "at most 45", hold = "24 h" },
  { hold = "24 h" },
  { gpp = "at most 55", rh = "at most 45 %", hold = "24 h" },
  { dew_point = "at most 50 F" },
  "dry",
]
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 4, column 11: `gpp` is the number `55`; accepted: `"at most 55"` or `"at least 30"`
job.toml line 5, column 10: `rh`: `45` has no unit: a relative humidity is written with one of % (for example `45 %`)
job.toml line 6, column 3: this entry of `air_goals` has neither `gpp` nor `rh` nor `dew_point`; add one of them
job.toml line 7, column 30: this entry of `air_goals` has both `gpp` and `rh`; one of them is accepted; remove the other
job.toml line 8, column 3: this entry of `air_goals` has no `hold`; add `hold`: a length of time up to 100 days, such as `"4 h"` or `"30 min"`
job.toml line 9, column 3: `air_goals` is `dry`; accepted: a list such as `[{ gpp = "at most 55", hold = "24 h" }]`"#);
}

#[test]
fn air_goals_not_a_list() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
air_goals = "at most 55"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 13: `air_goals` is `at most 55`; accepted: a list such as `[{ gpp = "at most 55", hold = "24 h" }]`"#);
}

#[test]
fn goal() {
    Case {
        job_toml: r#"[[material]]
kind = "oak"
scale = "wood"
goal = "15 %"
[[material]]
kind = "pine"
goal = { value = 15, scale = "wod", unit = "%" }
[[material]]
kind = "fir"
goal = -1
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 4, column 8: `goal` is `15 %`; accepted: a number on the point's scale, or `{ value = 15, scale = "wood" }`
job.toml line 7, column 30: `scale` is `wod`; accepted: `wood`, `wme`, `gypsum`, `concrete-rh`, `relative`
job.toml line 7, column 37: unknown key `unit` in `goal`; accepted keys: `value`, `scale`
job.toml line 10, column 8: `goal` is the number `-1`; accepted: a number on the point's scale, or `{ value = 15, scale = "wood" }`"#);
}

#[test]
fn flow_and_rate() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
airflow = 300
rated_capacity = "130 pint"
"#,
        ..Case::default()
    }
    .shows("job.toml line 5, column 11: `airflow`: `300` has no unit: an airflow is written with one of cfm, m3/h, l/s, m3/s (for example `300 cfm`)
job.toml line 6, column 18: `rated_capacity`: `130 pint` has the unit `pint`: a rate of water removal is written with one of pint/day, l/day, lb/day, kg/day (for example `130 pint/day`)");
}

#[test]
fn amount_and_hours() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
[[condensate]]
time = "2025-03-09 09:00"
unit = "D1"
amount = "31"
[[hour_meter]]
time = "2025-03-09 09:00"
unit = "D1"
hours = -1
"#,
        ..Case::default()
    }
    .shows("job.toml line 8, column 10: `amount`: `31` has no unit: an amount of water is written with one of pint, l, gal, lb, kg (for example `31 pint`)
job.toml line 12, column 9: `hours` is the number `-1`; accepted: a number of hours, 0 or more");
}
