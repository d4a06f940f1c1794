//! Forms that people write, one by one.

use chrono::{DateTime, Utc};
use grainfall_job::*;
use grainfall_psychrometrics::{Celsius, GrainsPerPound, Pascals};
use grainfall_record::{DateOrder, LoggerSelector};

const POINTS: &str = "[[chamber]]\nid = \"A\"\n\
    [[point]]\nid = \"K1\"\nchamber = \"A\"\nscale = \"wood\"\n\
    [[point]]\nid = \"R1\"\nscale = \"wood\"\nrole = \"reference\"\n";

fn parsed(files: &JobFiles) -> Job {
    parse(files).unwrap_or_else(|faults| panic!("{faults}"))
}

fn with_readings(job_toml: &str, readings: &str) -> Job {
    parsed(&JobFiles {
        job_toml: Some(format!("{job_toml}{POINTS}")),
        readings: Some(readings.to_owned()),
        ..JobFiles::default()
    })
}

fn values(cells: &[&str], scale: &str) -> Vec<ReadingValue> {
    let rows: String = cells.iter().map(|cell| format!("2025-03-08 12:00,K1,{cell},{scale},a reason\n")).collect();
    let job = with_readings("", &format!("time,point,value,scale,note\n{rows}"));
    job.readings.into_iter().map(|reading| reading.value).collect()
}

fn utc(text: &str) -> DateTime<Utc> {
    chrono::NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").expect("a time of the test").and_utc()
}

#[test]
fn nothing_at_all() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(load(folder.path()).unwrap(), Job::empty());
    let empty = parsed(&JobFiles { job_toml: Some(String::new()), ..JobFiles::default() });
    assert_eq!(empty, Job { files: vec!["job.toml".into()], ..Job::empty() });
}

#[test]
fn names_of_files_in_capitals() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("Visits.CSV"), "\u{feff}Time,By\r\n2025-03-08 12:00,J. R.\r\n").unwrap();
    let job = load(folder.path()).unwrap();
    assert_eq!(job.files, ["Visits.CSV"]);
    assert_eq!(job.visits[0].line.to_string(), "Visits.CSV line 2");
}

#[test]
fn bounds_and_missing_values() {
    let above = ReadingValue::Above(40.0);
    assert_eq!(values(&[">40", "> 40 %", "40+", "OL 40", "OL (40)", "ol>40"], "wood"), vec![above; 6]);
    assert_eq!(values(&["OL", "O.L.", "over range", "Over"], "relative"), vec![ReadingValue::OverRange; 4]);
    let missing = ReadingValue::NoReading("a reason".into());
    assert_eq!(values(&["", "-", "\u{2013}", "n/a"], "wood"), vec![missing; 4]);
    assert_eq!(values(&["12", "12.0", "12 %", "12%", "+12", "1.2e1"], "wood"), vec![ReadingValue::Measured(12.0); 6]);
    assert_eq!(values(&["128"], "wood"), [ReadingValue::Measured(128.0)], "wood above 100 % of its dry mass");
}

#[test]
fn several_readings_of_one_visit_are_all_kept() {
    let job =
        with_readings("", "time,point,value\n2025-03-08 12:00,K1,12\n2025-03-08 12:00,K1,14\n2025-03-08 12:00,K1,12\n");
    let kept: Vec<_> = job.readings.iter().map(|reading| (reading.line.row, reading.value.clone())).collect();
    assert_eq!(
        kept,
        [(2, ReadingValue::Measured(12.0)), (3, ReadingValue::Measured(14.0)), (4, ReadingValue::Measured(12.0))]
    );
}

#[test]
fn a_reading_on_another_scale_than_its_point_is_kept() {
    let job = with_readings("", "time,point,value,scale\n2025-03-08 12:00,K1,85,relative units\n");
    assert_eq!(job.readings[0].scale, Scale::Relative);
}

#[test]
fn spellings_of_scales() {
    for (word, scale) in [
        ("Wood", Scale::WoodMc),
        ("%MC", Scale::WoodMc),
        ("% WME", Scale::WoodEquivalent),
        ("wood-moisture-equivalent", Scale::WoodEquivalent),
        ("drywall", Scale::Gypsum),
        ("Concrete RH", Scale::ConcreteRh),
        ("in situ RH", Scale::ConcreteRh),
        ("REL", Scale::Relative),
    ] {
        let job = with_readings("", &format!("time,point,value,scale\n2025-03-08 12:00,K1,12,{word}\n"));
        assert_eq!(job.readings[0].scale, scale, "{word}");
    }
}

#[test]
fn dates_of_slashes_are_settled_by_the_file_first_then_by_the_job() {
    let readings = "time,point,value\n3/8/2025 9:00,K1,12\n";
    let month_first = with_readings("[job]\ndate_order = \"month-first\"\n", readings);
    assert_eq!(month_first.readings[0].time, utc("2025-03-08 09:00"));
    let day_first = with_readings("[job]\ndate_order = \"day first\"\n", readings);
    assert_eq!(day_first.date_order, Some(DateOrder::DayFirst));
    assert_eq!(day_first.readings[0].time, utc("2025-08-03 09:00"));
    let by_the_file = with_readings(
        "[job]\ndate_order = \"month-first\"\n",
        "time,point,value\n3/8/2025 9:00,K1,12\n26/8/2025 9:00,K1,12\n",
    );
    assert_eq!(by_the_file.readings[0].time, utc("2025-08-03 09:00"));
    let alike = with_readings("", "time,point,value\n3/3/2025 9:00,K1,12\n");
    assert_eq!(alike.readings[0].time, utc("2025-03-03 09:00"));
}

#[test]
fn times_with_an_offset_need_no_zone() {
    let job = with_readings(
        "[job]\ntime_zone = \"America/New_York\"\n",
        "time,point,value\n2025-11-02 01:30-04:00,K1,12\n2025-11-02 01:30-05:00,K1,12\n2025-11-02T06:45Z,K1,12\n",
    );
    // 01:30 came twice that night: 05:30Z and 06:30Z (IANA time zone database 2025).
    let times: Vec<_> = job.readings.iter().map(|reading| reading.time).collect();
    assert_eq!(times, [utc("2025-11-02 05:30"), utc("2025-11-02 06:30"), utc("2025-11-02 06:45")]);
}

#[test]
fn half_an_hour_of_summer_time() {
    let job = with_readings(
        "[job]\ntime_zone = \"Australia/Lord_Howe\"\n",
        "time,point,value\n2025-04-06 01:29,K1,12\n2025-04-06 02:00,K1,12\n",
    );
    // The clocks went back half an hour at 15:00Z on 5 April (IANA time zone database 2025).
    assert_eq!(job.readings[0].time, utc("2025-04-05 14:29"));
    assert_eq!(job.readings[1].time, utc("2025-04-05 15:30"));
}

#[test]
fn a_semicolon_file_may_have_decimal_commas() {
    let job =
        with_readings("", "Time;Point;Value;Surface_Temp_C;Note\n2025-03-08 12:00;K1;12,5;19,5;left, then right\n");
    let reading = &job.readings[0];
    assert_eq!(reading.value, ReadingValue::Measured(12.5));
    assert_eq!(reading.surface_temp, Some(Celsius::new(19.5)));
    assert_eq!(reading.note.as_deref(), Some("left, then right"));
}

#[test]
fn what_spreadsheets_leave_behind() {
    let job = with_readings(
        "",
        "time,point,value,note,,\r\n\r\n2025-03-08 12:00,K1,12,\"two\r\nlines\",,\r\n,,,,,\r\n2025-03-08 13:00,K1\u{a0},11,,,\r\n",
    );
    let lines: Vec<_> = job.readings.iter().map(|reading| reading.line.row).collect();
    assert_eq!(lines, [3, 6]);
    assert_eq!(job.readings[0].note.as_deref(), Some("two\r\nlines"));
}

#[test]
fn headers_carry_units() {
    for header in ["air_temp_f", "Air Temp (°F)", "air temp [F]", "AirTemp_degF", "air_temp F"] {
        let air = format!("time,place,{header},% RH\n2025-03-08 12:00,outdoor,50,45\n");
        let job = parsed(&JobFiles { air: Some(air), ..JobFiles::default() });
        assert_eq!(job.air_readings[0].air_temp, Celsius::from_fahrenheit(50.0), "{header}");
    }
}

#[test]
fn grains_in_other_words() {
    for cell in ["52", "52 GPP", "52 gr/lb"] {
        let air = format!("time,place,air_temp,gpp\n2025-03-08 12:00,outdoor,50 F,{cell}\n");
        let job = parsed(&JobFiles { air: Some(air), ..JobFiles::default() });
        assert_eq!(job.air_readings[0].water, AirWater::Gpp(GrainsPerPound::new(52.0)), "{cell}");
    }
}

#[test]
fn stays_that_follow_at_once_do_not_overlap() {
    let equipment = "unit,kind,chamber,points,placed,removed\n\
        D1,LGR,A,K1;R1,2025-03-09 12:00,\n\
        D1,dehumidifier low-grain,A,,2025-03-08 12:00,2025-03-09 12:00\n";
    let job = parsed(&JobFiles {
        job_toml: Some(POINTS.to_owned()),
        equipment: Some(equipment.to_owned()),
        ..JobFiles::default()
    });
    let units = job.units();
    let lines: Vec<_> = units["D1"].iter().map(|stay| stay.line.to_string()).collect();
    assert_eq!(lines, ["equipment.csv line 3", "equipment.csv line 2"]);
    assert_eq!(units["D1"][1].points, ["K1", "R1"]);
}

#[test]
fn placements_that_follow_at_once_do_not_overlap() {
    let job_toml = "[[logger]]\nserial = \"1\"\nto = \"2025-03-09 12:00\"\n[[logger]]\nserial = \"1\"\nfrom = \"2025-03-09 12:00\"\n\
        [[logger]]\nfile = \"a.csv\"\nchannel = \"1\"\n[[logger]]\nfile = \"a.csv\"\nchannel = \"2\"\n";
    let job = parsed(&JobFiles { job_toml: Some(job_toml.to_owned()), ..JobFiles::default() });
    assert_eq!(job.loggers.len(), 4);
}

#[test]
fn a_reference_point_may_be_read_before_the_loss() {
    let job = with_readings(
        "[job]\nloss_at = \"2025-03-08 06:30\"\n",
        "time,point,value\n2025-03-07 12:00,R1,9\n2025-03-08 06:30,K1,30\n",
    );
    assert_eq!(job.readings.len(), 2);
}

#[test]
fn meters_need_not_be_described() {
    let job = with_readings("", "time,point,value,meter\n2025-03-08 12:00,K1,12,M7\n");
    assert_eq!(job.readings[0].meter.as_deref(), Some("M7"));
}

#[test]
fn equipment_of_every_kind_reads_by_its_own_word() {
    for (index, (word, _, kind)) in EquipmentKind::WORDS.into_iter().enumerate() {
        let equipment = format!("unit,kind,placed\nU{index},{word},2025-03-08 12:00\n");
        let job = parsed(&JobFiles { equipment: Some(equipment), ..JobFiles::default() });
        assert_eq!((job.equipment[0].kind, &job.equipment[0].purpose), (kind, &kind.default_purpose()), "{word}");
    }
}

#[test]
fn a_purpose_in_other_words() {
    let equipment =
        "unit,kind,placed,purpose\nH1,heater,2025-03-08 12:00,Drying\nS1,air scrubber,2025-03-08 12:00,odour\n";
    let job = parsed(&JobFiles { equipment: Some(equipment.to_owned()), ..JobFiles::default() });
    assert_eq!(job.equipment[0].purpose, Purpose::Drying);
    assert_eq!(job.equipment[1].purpose, Purpose::Other("odour".into()));
}

#[test]
fn the_accuracy_of_a_pressure_is_a_pressure() {
    let job_toml = "[job]\npressure = \"29.3 inHg\"\npressure_accuracy = \"3 hPa\"\n";
    let job = parsed(&JobFiles { job_toml: Some(job_toml.to_owned()), ..JobFiles::default() });
    assert_eq!(job.pressure_accuracy, Some(Pascals::new(300.0)));
}

#[test]
fn every_example_of_the_key_table_is_accepted() {
    // One job made of the examples alone; the alternatives that exclude one another are left out.
    let mut job_toml = String::new();
    let skip = |table: &str, key: &str| {
        matches!(
            (table, key),
            ("job", "pressure" | "pressure_accuracy")
                | ("logger", "file" | "channel")
                | ("point", "logger_file" | "logger_channel")
                | ("chamber", "parent")
                | ("billed", _)
        )
    };
    for table in keys::JOB_TOML {
        job_toml.push_str(&format!("{}\n", table.heading()));
        for key in table.keys.iter().filter(|key| !skip(table.name, key.name)) {
            let value = match (table.name, key.name) {
                // The example point of the table shows a drying point and a reference point in one.
                ("point", "role") => "\"drying\"",
                _ => key.example,
            };
            job_toml.push_str(&format!("{} = {value}\n", key.name));
        }
        if table.name == "billed" {
            job_toml.push_str("unit = \"D2\"\ndays = 4\n");
        }
    }
    job_toml.push_str("[[chamber]]\nid = \"B\"\n[[point]]\nid = \"K2\"\nchamber = \"A\"\nscale = \"wood\"\n");
    for id in ["R1", "R2"] {
        job_toml.push_str(&format!(
            "[[point]]\nid = \"{id}\"\nscale = \"wood\"\nmaterial = \"oak floor\"\nrole = \"reference\"\n"
        ));
    }
    job_toml.push_str("[[equipment]]\nunit = \"D2\"\nkind = \"air mover\"\nplaced = \"2025-03-08 12:40\"\n");
    let line = |table: &keys::TableInfo, without: &str| {
        let keys = || table.keys.iter().filter(move |key| key.name != without);
        let quoted = |text: &str| format!("\"{text}\"");
        let header: Vec<_> = keys().map(|key| key.name.to_owned()).collect();
        let cells: Vec<_> = keys().map(|key| quoted(key.example)).collect();
        format!("{}\n{}\n", header.join(","), cells.join(","))
    };
    let job = parsed(&JobFiles {
        job_toml: Some(job_toml),
        readings: Some(line(&keys::READINGS, "")),
        air: Some(line(&keys::AIR, "gpp")),
        visits: Some(line(&keys::VISITS, "")),
        equipment: None,
    });
    assert_eq!((job.points.len(), job.readings.len(), job.air_readings.len(), job.visits.len()), (4, 1, 1, 1));
}

#[test]
fn corrections_and_loggers_side_by_side() {
    let job_toml = r#"
[[meter]]
id = "M1"
correct = "Temperature"

[[material]]
kind = "oak floor"
species_a = 0.9
species_b = -0.5
species_source = "invented"

[[side_by_side]]
reference = "1001"
loggers = ["1002", "logs/hall.csv"]
from = "2025-06-03 09:00"
to = "2025-06-03 11:00"
apply = true
"#;
    let job = parse(&JobFiles { job_toml: Some(job_toml.into()), ..JobFiles::default() }).unwrap();
    assert_eq!(job.meters[0].correction, Some(MeterCorrection::Temperature));
    let species = job.materials[0].species.as_ref().unwrap();
    assert_eq!((species.coefficients.a, species.coefficients.b, species.source.as_str()), (0.9, -0.5, "invented"));
    let beside = &job.side_by_side[0];
    let hall = LoggerSelector::File { file: "logs/hall.csv".into(), channel: None };
    assert_eq!(beside.loggers, [LoggerSelector::Serial("1002".into()), hall]);
    assert!(beside.apply);
}
