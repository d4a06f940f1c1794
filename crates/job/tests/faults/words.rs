//! Faults, by example: words with a fixed list.

use super::case::Case;

#[test]
fn scale_of_percent() {
    Case {
        job_toml: r#"[[material]]
kind = "oak"
scale = "%"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 9: `scale` is `%`, which does not say of what; accepted: `wood`, `wme`, `gypsum`, `concrete-rh`, `relative`");
}

#[test]
fn scale_misspelt() {
    Case {
        job_toml: r#"[[material]]
kind = "oak"
scale = "wood moisture equivalant"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 9: `scale` is `wood moisture equivalant`; did you mean `wme`? accepted: `wood`, `wme`, `gypsum`, `concrete-rh`, `relative`");
}

#[test]
fn equipment_kind() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "fan"
placed = "2025-03-08 12:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 8: `kind` is `fan`; accepted: `dehumidifier low-grain`, `dehumidifier refrigerant`, `dehumidifier desiccant`, `air mover`, `air scrubber`, `heater`");
}

#[test]
fn place() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
place = "outdoors"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 9: `place` is `outdoors`; did you mean `outdoor`? accepted: `affected`, `unaffected`, `outdoor`, `inlet`, `outlet`, `surface`, `material`, `hvac`");
}

#[test]
fn role() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
role = "drying point"
"#,
        ..Case::default()
    }
    .shows("job.toml line 7, column 8: `role` is `drying point`; accepted: `drying`, `reference`");
}

#[test]
fn clock() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
clock = "+25:00"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 9: `clock` is `+25:00`; accepted: `"wall"`, `"fixed"`, `"utc"` or an offset such as `"-06:00"`"#);
}

#[test]
fn hours() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
hours = 12
"#,
        ..Case::default()
    }
    .shows(r"job.toml line 3, column 9: `hours` is `12`; accepted: `24`, `am`, `pm`");
}

#[test]
fn quantity_of_a_column() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
columns = { "Ch 1" = { quantity = "air temperture" }, "Ch 2" = 3, "Ch 3" = { unit = "F" } }
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 35: `quantity` is `air temperture`; did you mean `air temperature`? accepted: `air temperature`, `relative humidity`, `dew point`, `wet bulb`, `humidity ratio`, `vapour pressure`, `absolute humidity`, `enthalpy`, `station pressure`, `surface temperature`, `material moisture`, `weight`
job.toml line 3, column 64: `Ch 2` is the number `3`; accepted: `{ quantity = "air temperature", unit = "F" }` or `"ignore"`
job.toml line 3, column 76: this entry of `columns` has no `quantity`; add `quantity`: a quantity such as `"air temperature"` or `"relative humidity"`"#);
}

#[test]
fn columns_not_a_table() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
columns = "Ch 1"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 3, column 11: `columns` is `Ch 1`; accepted: a table such as `{ "Ch 1" = { quantity = "air temperature", unit = "F" }, "Battery" = "ignore" }`"#);
}

#[test]
fn dry_standard_of_another_kind() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
dry_standard = []
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 7, column 16: `dry_standard` is the list `[]`; accepted: a number on the point's scale or a list of reference points such as `["R1", "R2"]`"#);
}
