//! Faults, by example: checks that need the whole job.

use super::case::Case;

#[test]
fn same_ids() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[chamber]]
id = "A"
[[meter]]
id = "M"
[[meter]]
id = "M"
[[material]]
kind = "oak"
[[material]]
kind = "oak"
[[point]]
id = "K"
scale = "wood"
role = "reference"
[[point]]
id = "K"
scale = "wood"
role = "reference"
"#,
        ..Case::default()
    }
    .shows(
        "job.toml line 4, column 6: chamber `A` is already on line 1; ids are used once; rename or remove one
job.toml line 8, column 6: meter `M` is already on line 5; ids are used once; rename or remove one
job.toml line 12, column 8: material `oak` is already on line 9; ids are used once; rename or remove one
job.toml line 18, column 6: point `K` is already on line 13; ids are used once; rename or remove one",
    );
}

#[test]
fn point_in_an_unknown_chamber() {
    Case {
        job_toml: r#"[[chamber]]
id = "kitchen"
[[point]]
id = "K1"
chamber = "kichen"
scale = "wood"
"#,
        ..Case::default()
    }
    .shows("job.toml line 5, column 11: `chamber` names chamber `kichen`, which is not listed in job.toml; did you mean `kitchen`? known chambers: `kitchen`");
}

#[test]
fn logger_in_an_unknown_chamber() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
chamber = "A"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 11: `chamber` names chamber `A`, which is not listed in job.toml; no chamber is listed; add one or correct the name");
}

#[test]
fn unit_in_an_unknown_chamber() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
chamber = ["A", "B"]
points = ["K9"]
"#,
        ..Case::default()
    }
    .shows("job.toml line 7, column 17: `chamber` names chamber `B`, which is not listed in job.toml; known chambers: `A`
job.toml line 8, column 11: `points` names point `K9`, which is not listed in job.toml; no point is listed; add one or correct the name");
}

#[test]
fn unknown_units() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
[[condensate]]
time = "2025-03-09 09:00"
unit = "D2"
amount = "31 pint"
[[hour_meter]]
time = "2025-03-09 09:00"
unit = "d-1"
hours = 2
[[pause]]
from = "2025-03-09 18:00"
to = "2025-03-10 07:00"
units = ["D1", "D7"]
reason = "power"
[[logger]]
serial = "1"
place = "inlet"
unit = "D3"
[[billed]]
unit = "D4"
days = 1
"#,
        ..Case::default()
    }
    .shows(
        "job.toml line 7, column 8: `unit` names unit `D2`, which is not listed in job.toml or equipment.csv; known units: `D1`
job.toml line 11, column 8: `unit` names unit `d-1`, which is not listed in job.toml or equipment.csv; did you mean `D1`? known units: `D1`
job.toml line 16, column 16: `units` names unit `D7`, which is not listed in job.toml or equipment.csv; known units: `D1`
job.toml line 21, column 8: `unit` names unit `D3`, which is not listed in job.toml or equipment.csv; known units: `D1`
job.toml line 23, column 8: `unit` names unit `D4`, which is not listed in job.toml or equipment.csv; known units: `D1`",
    );
}

#[test]
fn no_units_at_all() {
    Case {
        job_toml: r#"[[billed]]
unit = "D1"
days = 2
"#,
        ..Case::default()
    }
    .shows("job.toml line 2, column 8: `unit` names unit `D1`, which is not listed in job.toml or equipment.csv; no unit is listed; add one or correct the name");
}

#[test]
fn drying_point_without_a_chamber() {
    Case {
        job_toml: r#"[[point]]
id = "K1"
scale = "wood"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 1, column 1: point `K1` has no `chamber`; add the chamber it lies in, or `role = "reference"` for unaffected material"#);
}

#[test]
fn point_without_a_scale() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[material]]
kind = "oak"
[[point]]
id = "K1"
chamber = "A"
[[point]]
id = "K2"
chamber = "A"
material = "oak"
[[point]]
id = "K3"
chamber = "A"
material = "slate"
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 5, column 1: point `K1` has no `scale`, and neither has a material (it names none); add `scale`: a scale: `"wood"`, `"wme"`, `"gypsum"`, `"concrete-rh"` or `"relative"`
job.toml line 8, column 1: point `K2` has no `scale`, and neither has its material `oak`; add `scale`: a scale: `"wood"`, `"wme"`, `"gypsum"`, `"concrete-rh"` or `"relative"`
job.toml line 12, column 1: point `K3` has no `scale`, and neither has its material `slate`, which no `[[material]]` describes; add `scale`: a scale: `"wood"`, `"wme"`, `"gypsum"`, `"concrete-rh"` or `"relative"`"#);
}

#[test]
fn material_misspelt() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
material = "oak flor"
[[material]]
kind = "oak floor"
"#,
        ..Case::default()
    }
    .shows("job.toml line 7, column 12: `material` names material `oak flor`, which is not listed in job.toml; did you mean `oak floor`? known materials: `oak floor`");
}

#[test]
fn reading_of_an_unknown_point() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
2025-03-08 12:00,K2,12
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `point`: `point` names point `K2`, which is not listed in job.toml; known points: `K1`");
}

#[test]
fn reading_with_an_unknown_meter() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
[[meter]]
id = "M1"
"#,
        readings: "time,point,value,meter
2025-03-08 12:00,K1,12,M2
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `meter`: `meter` names meter `M2`, which is not listed in job.toml; known meters: `M1`");
}

#[test]
fn removed_before_placed() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
removed = "2025-03-08 11:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 5, column 11: `removed` (`2025-03-08 11:00`) is not after `placed` (`2025-03-08 12:00`); correct one of them");
}

#[test]
fn overlapping_stays() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chicago"
[[equipment]]
unit = "D1"
kind = "air mover"
placed = "2025-03-08 12:00"
removed = "2025-03-10 09:00"
[[equipment]]
unit = "D1"
kind = "air mover"
placed = "2025-03-09 12:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 11, column 10: unit `D1` is already placed on line 3 from `2025-03-08 12:00` to `2025-03-10 09:00`; a unit stands in one place at a time; correct `placed` or `removed` of one");
}

#[test]
fn a_stay_after_one_without_an_end() {
    Case {
        job_toml: r#"[job]
time_zone = "America/Chicago"
[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-20 12:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 10, column 10: unit `D1` is already placed on line 3 from `2025-03-08 12:00` to now (no `removed`); a unit stands in one place at a time; correct `placed` or `removed` of one");
}

#[test]
fn one_unit_of_two_kinds() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
removed = "2025-03-09 12:00"
[[equipment]]
unit = "D1"
kind = "air mover"
placed = "2025-03-09 12:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 8, column 8: unit `D1` is `air mover` here and `heater` on line 1; a unit is one kind; correct one or rename the unit");
}

#[test]
fn overlapping_placements() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
place = "outdoor"
to = "2025-03-09 12:00"
[[logger]]
serial = "1"
place = "hvac"
from = "2025-03-09 11:00"
[[logger]]
file = "a.csv"
channel = "2"
[[logger]]
file = "a.csv"
channel = "2"
"#,
        ..Case::default()
    }
    .shows("job.toml line 8, column 8: logger `1` is already placed on line 1 from the start to `2025-03-09 12:00`; a logger stands in one place at a time; give both entries `from` and `to`
job.toml line 13, column 8: logger `a.csv` channel `2` is already placed on line 9 from the start to the end; a logger stands in one place at a time; give both entries `from` and `to`");
}

#[test]
fn inlet_without_a_unit() {
    Case {
        job_toml: r#"[[logger]]
serial = "1"
place = "outlet"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 9: `place` is `outlet`, but no `unit` says of which; add `unit`: the name of a unit such as `D1`");
}

#[test]
fn spans_that_end_before_they_start() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
from = "2025-03-09 12:00"
to = "2025-03-09 12:00"
[[logger]]
serial = "1"
from = "2025-03-09 12:00"
to = "2025-03-08 12:00"
[[pause]]
from = "2025-03-09 18:00"
to = "2025-03-09 07:00"
reason = "power"
"#,
        ..Case::default()
    }
    .shows("job.toml line 4, column 6: `to` (`2025-03-09 12:00`) is not after `from` (`2025-03-09 12:00`); correct one of them
job.toml line 8, column 6: `to` (`2025-03-08 12:00`) is not after `from` (`2025-03-09 12:00`); correct one of them
job.toml line 11, column 6: `to` (`2025-03-09 07:00`) is not after `from` (`2025-03-09 18:00`); correct one of them");
}

#[test]
fn unknown_parent() {
    Case {
        job_toml: r#"[[chamber]]
id = "B"
parent = "A"
"#,
        ..Case::default()
    }
    .shows(
        "job.toml line 3, column 10: `parent` names chamber `A`, which is not listed in job.toml; known chambers: `B`",
    );
}

#[test]
fn parents_in_a_circle() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
parent = "C"
[[chamber]]
id = "B"
parent = "A"
[[chamber]]
id = "C"
parent = "B"
"#,
        ..Case::default()
    }
    .shows("job.toml line 3, column 10: `parent` goes round in a circle: `A` -> `C` -> `B` -> `A`; remove one of these links");
}

#[test]
fn dry_standards_in_a_circle() {
    Case {
        job_toml: r#"[[point]]
id = "R1"
role = "reference"
scale = "wood"
dry_standard = ["R2"]
[[point]]
id = "R2"
role = "reference"
scale = "wood"
dry_standard = "R1"
"#,
        ..Case::default()
    }
    .shows("job.toml line 5, column 16: `dry_standard` goes round in a circle: `R1` -> `R2` -> `R1`; remove one of these links");
}

#[test]
fn dry_standard_of_a_drying_point() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
[[point]]
id = "K2"
chamber = "A"
scale = "wood"
dry_standard = ["K1"]
"#,
        ..Case::default()
    }
    .shows(r#"job.toml line 11, column 16: `dry_standard` names point `K1` (line 3), which is not a reference point; add `role = "reference"` to it or name another"#);
}

#[test]
fn dry_standard_of_another_material_or_scale() {
    Case {
        job_toml: r#"[[point]]
id = "R1"
role = "reference"
scale = "gypsum"
material = "drywall"
[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
material = "oak"
dry_standard = ["R1"]
"#,
        ..Case::default()
    }
    .shows("job.toml line 13, column 16: `dry_standard` of point `K1` names `R1` (line 1), which has another material: `drywall` instead of `oak`; name reference points of the same material and scale
job.toml line 13, column 16: `dry_standard` of point `K1` names `R1` (line 1), which has another scale: `gypsum` instead of `wood`; name reference points of the same material and scale");
}

#[test]
fn dry_standard_of_an_unknown_point() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
dry_standard = ["R1"]
"#,
        ..Case::default()
    }
    .shows("job.toml line 7, column 17: `dry_standard` names point `R1`, which is not listed in job.toml; known points: `K1`");
}

#[test]
fn reading_before_the_loss() {
    Case {
        job_toml: r#"[job]
loss_at = "2025-03-08 06:30"
[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
"#,
        readings: "time,point,value
2025-03-08 06:00,K1,12
",
        ..Case::default()
    }
    .shows("readings.csv line 2, column `time`: `2025-03-08 06:00` is before the loss (`loss_at` is `2025-03-08 06:30`), and point `K1` is not a reference point; correct the time or `loss_at`");
}

#[test]
fn times_far_from_the_loss() {
    Case {
        job_toml: r#"[job]
loss_at = "2025-03-08 06:30"
[[chamber]]
id = "A"
[[point]]
id = "K1"
chamber = "A"
scale = "wood"
[[equipment]]
unit = "D1"
kind = "heater"
placed = "2023-03-08 12:00"
"#,
        readings: "time,point,value
2026-04-13 12:00,K1,12
",
        visits: "time
2024-02-01 12:00
",
        ..Case::default()
    }
    .shows("job.toml line 12, column 10: `placed` is `2023-03-08 12:00`, more than 400 days from `loss_at` (`2025-03-08 06:30`); correct one of them
readings.csv line 2, column `time`: `time` is `2026-04-13 12:00`, more than 400 days from `loss_at` (`2025-03-08 06:30`); correct one of them
visits.csv line 2, column `time`: `time` is `2024-02-01 12:00`, more than 400 days from `loss_at` (`2025-03-08 06:30`); correct one of them");
}

#[test]
fn equipment_twice() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
"#,
        equipment: "unit,kind,placed
D2,heater,2025-03-08 12:00
",
        ..Case::default()
    }
    .shows("equipment.csv: equipment is listed in job.toml (line 1) and in equipment.csv; one is accepted; move the entries into one of them");
}

#[test]
fn billed_twice() {
    Case {
        job_toml: r#"[[equipment]]
unit = "D1"
kind = "heater"
placed = "2025-03-08 12:00"
billed_days = 2
[[billed]]
unit = "D1"
days = 3
"#,
        ..Case::default()
    }
    .shows("job.toml line 7, column 8: unit `D1` has `billed_days` on job.toml line 1 as well; its billed days are written once; remove one");
}

#[test]
fn billed_beside_equipment_csv() {
    Case {
        job_toml: r#"[[billed]]
unit = "D1"
days = 3
"#,
        equipment: "unit,kind,placed,billed_days
D1,heater,2025-03-08 12:00,2
",
        ..Case::default()
    }
    .shows("job.toml line 2, column 8: unit `D1` has `billed_days` on equipment.csv line 2 as well; its billed days are written once; remove one");
}

#[test]
fn several_files_are_told_in_order() {
    Case {
        job_toml: r#"[job]
title = ""
claim = ""
"#,
        air: "",
        readings: "time,point,value
now,K1,1
",
        visits: "time,reson
",
        ..Case::default()
    }
    .shows("job.toml line 2, column 9: `title` is empty; write text in quotes or remove it
job.toml line 3, column 9: `claim` is empty; write text in quotes or remove it
readings.csv line 2, column `time`: `time` is `now`; accepted: a time such as `2025-03-08 06:30` or `3/8/2025 6:30 AM`
readings.csv line 2, column `point`: `point` names point `K1`, which is not listed in job.toml; no point is listed; add one or correct the name
visits.csv line 1, column `reson`: unknown column `reson`; did you mean `reason`? accepted columns: `time`, `by`, `credential`, `instruments`, `reason`, `photos`, `note`");
}

#[test]
fn moves_of_a_point() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[chamber]]
id = "B"
from = "2025-06-04 10:00"
[[point]]
id = "K"
chamber = "A"
scale = "wood"
moved = [{ chamber = "B", from = "2025-06-04 09:00" }, { chamber = "A", from = "2025-06-04 09:00" }]
[[point]]
id = "R"
scale = "wood"
role = "reference"
moved = [{ chamber = "C", from = "2025-06-05 09:00" }]
"#,
        ..Case::default()
    }
    .shows(
        "job.toml line 10, column 9: point `K` lies in chamber `B` from `2025-06-04 09:00`, before that chamber was set up (`from` is `2025-06-04 10:00`); correct one of them
job.toml line 10, column 80: `from` is `2025-06-04 09:00`, not after the move before it (`2025-06-04 09:00`); write the moves of a point in order of time
job.toml line 15, column 9: `moved` needs `chamber` beside it; add `chamber` or remove `moved`
job.toml line 15, column 22: `chamber` names chamber `C`, which is not listed in job.toml; known chambers: `A`, `B`",
    );
}

#[test]
fn corrections_without_what_they_need() {
    Case {
        job_toml: r#"[[chamber]]
id = "A"
[[meter]]
id = "M1"
correct = "temperature and species"
[[material]]
kind = "oak floor"
species_a = 0.9
species_b = 0.5
[[point]]
id = "K1"
chamber = "A"
material = "oak floor"
scale = "wood"
"#,
        readings: "time,point,value,meter\n2025-06-03 09:00,K1,14,M1\n2025-06-04 09:00,K1,13,M1\n",
        ..Case::default()
    }
    .shows(
        "job.toml line 5, column 11: meter `M1` is to be corrected for the species, but material `oak floor` of point `K1` has no `species_a`, `species_b` and `species_source`; add the three to its `[[material]]`, or write `correct = \"temperature\"`
job.toml line 8, column 13: `species_a` needs `species_source` beside it; add `species_source` or remove `species_a`
job.toml line 9, column 13: `species_b` needs `species_source` beside it; add `species_source` or remove `species_b`",
    );
}

#[test]
fn loggers_side_by_side_for_no_time() {
    Case {
        job_toml: r#"[[side_by_side]]
reference = "1001"
loggers = ["1002", "hall.csv"]
from = "2025-06-03 09:00"
to = "2025-06-03 08:00"
"#,
        ..Case::default()
    }
    .shows("job.toml line 5, column 6: `to` (`2025-06-03 08:00`) is not after `from` (`2025-06-03 09:00`); correct one of them");
}
