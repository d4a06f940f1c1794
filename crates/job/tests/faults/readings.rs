//! Faults, by example: values in readings.

use super::case::Case;

#[test]
fn value() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
2025-03-08 12:00,K1,wet
2025-03-08 12:00,K1,-3
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `value`: `value` is `wet`; accepted: a number, `>40`, `OL`, or `-` with the reason in the note
readings.csv line 3, column `value`: `value` is `-3`; accepted: a number from 0 to 10000");
}

#[test]
fn value_without_a_reason() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
2025-03-08 12:00,K1,
2025-03-08 12:00,K1,-
",
        ..Case::default()
    }
    .shows(
        "readings.csv line 2: no value and no reason; write the value, or put the reason in `note` (no access)
readings.csv line 3, column `value`: no value and no reason; write the value, or put the reason in `note` (no access)",
    );
}

#[test]
fn value_below_range() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
2025-03-08 12:00,K1,<6
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `value`: `value` is `<6`, below the meter's range; write the lowest value the meter shows and put `<6` in `note`");
}

#[test]
fn value_in_concrete() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value,scale
2025-03-08 12:00,K1,101,concrete-rh
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `value`: `value` is `101`; accepted: a number from 0 to 100");
}

#[test]
fn percent_of_relative_units() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value,scale
2025-03-08 12:00,K1,40 %,rel
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `value`: `value` is `40 %`; accepted: a number, `>40`, `OL`, or `-` with the reason in the note");
}

#[test]
fn scale_of_percent() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value,scale
2025-03-08 12:00,K1,12,%
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `scale`: `scale` is `%`, which does not say of what; accepted: `wood`, `wme`, `gypsum`, `concrete-rh`, `relative`");
}

#[test]
fn surface_temp_without_a_unit() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value,surface_temp
2025-03-08 12:00,K1,12,68
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `surface_temp`: `68` has no unit: a temperature is written with one of F, C, K (for example `68 F`)");
}

#[test]
fn air_without_water_and_with_both() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        air: "time,place,chamber,air_temp,rh,gpp
2025-03-08 12:00,affected,A,72 F,,
2025-03-08 12:00,affected,A,72 F,45,52
",
        ..Case::default()
    }
    .shows(
        "air.csv line 2: this line has neither `rh` nor `gpp`; add one of them
air.csv line 3, column `gpp`: this line has both `rh` and `gpp`; one of them is accepted; remove the other",
    );
}

#[test]
fn air_cells() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        air: "time,place,chamber,air_temp,rh,gpp
2025-03-08 12:00,inside,A,72,,52 lb
2025-03-08 12:00,affected,A,72 F,0.45,
2025-03-08 12:00,affected,A,72 F,145,
2025-03-08 12:00,affected,A,72 F,damp,
",
        ..Case::default()
    }
    .shows("air.csv line 2, column `place`: `place` is `inside`; accepted: `affected`, `unaffected`, `outdoor`, `inlet`, `outlet`, `hvac`
air.csv line 2, column `air_temp`: `72` has no unit: a temperature is written with one of F, C, K (for example `72 F`)
air.csv line 2, column `gpp`: `52 lb` has the unit `lb`: a humidity ratio is written with one of gr/lb, g/kg (for example `52 gr/lb`)
air.csv line 3, column `rh`: `rh` is `0.45`; accepted: a relative humidity from 1 to 100 %, written in percent
air.csv line 4, column `rh`: `145 %` is out of range: a relative humidity lies in 0 to 100 %
air.csv line 5, column `rh`: `damp` does not start with a number: a relative humidity is written as a number with one of % (for example `10 %`)");
}

#[test]
fn inlet_of_no_unit() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        air: "time,place,air_temp,rh
2025-03-08 12:00,inlet,72 F,45
",
        ..Case::default()
    }
    .shows("air.csv line 2, column `place`: `place` is `inlet`, but no `unit` says of which; add `unit`: the name of a unit such as `D1`");
}

#[test]
fn temperatures_beyond_reason() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value,surface_temp
2025-03-08 12:00,K1,12,680 F
",
        air: "time,place,air_temp,rh
2025-03-08 12:00,outdoor,720 C,45
",
        ..Case::default()
    }
    .shows(
        "air.csv line 2, column `air_temp`: `air_temp` is `720 C`; accepted: a temperature from -100 to 200 C
readings.csv line 2, column `surface_temp`: `surface_temp` is `680 F`; accepted: a temperature from -100 to 200 C",
    );
}
