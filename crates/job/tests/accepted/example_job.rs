//! A whole invented job, from its files to its types.

use std::path::Path;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use grainfall_job::*;
use grainfall_psychrometrics::{AirFlow, Celsius, CelsiusDelta, CubicMetres, Metres, SquareMetres};
use grainfall_record::{Clock, ColumnHint, DateOrder, Hours, LoggerSelector, Quantity, RowRef};

fn job() -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/example");
    load(&folder).unwrap_or_else(|error| panic!("{error}"))
}

/// An instant in UTC, as `2025-03-08 12:30`.
fn utc(text: &str) -> DateTime<Utc> {
    chrono::NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").expect("a time of the test").and_utc()
}

/// Equal up to rounding in a conversion of units.
fn close(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-9 * expected.abs().max(1.0)
}

#[test]
fn the_job_itself() {
    let job = job();
    assert_eq!(job.number.as_deref(), Some("2025-014"));
    assert_eq!(job.title.as_deref(), Some("Larch Street, kitchen and den"));
    assert_eq!(job.claim.as_deref(), Some("C-1044"));
    assert_eq!(job.zone, Zone::stated(chrono_tz::America::Chicago));
    assert_eq!(job.pressure, PressureSource::Elevation(Metres::from_feet(620.0)));
    // 06:30 in Chicago on 8 March 2025 is still winter time, six hours behind UTC.
    assert_eq!(job.loss_at, Some(utc("2025-03-08 12:30")));
    assert_eq!(job.equipment_day, EquipmentDayRule::Hours24);
    assert_eq!(job.pull_window, TimeDelta::hours(3));
    assert_eq!(job.confirm_readings, 2);
    assert_eq!(job.date_order, Some(DateOrder::MonthFirst));
    assert_eq!(job.files, ["air.csv", "job.toml", "readings.csv", "visits.csv"]);
}

#[test]
fn category_and_class_change_with_their_reasons() {
    let job = job();
    assert_eq!(
        job.category,
        [
            Dated { value: WaterCategory::Two, from: None, reason: None, edition: Some("2021".into()) },
            Dated {
                value: WaterCategory::Three,
                // Summer time began that morning: five hours behind UTC.
                from: Some(utc("2025-03-09 20:00")),
                reason: Some("sewer line found open".into()),
                edition: Some("2021".into()),
            },
        ]
    );
    assert_eq!(job.class[1].value, WaterClass::Four);
    assert_eq!(job.class[1].from, Some(utc("2025-03-10 14:00")));
    assert_eq!(job.class[1].edition.as_deref(), Some("2015"));
}

#[test]
fn chambers() {
    let job = job();
    let a = job.chamber("A").unwrap();
    assert_eq!(a.name, "Kitchen and den");
    assert_eq!(a.floor_area, Some(SquareMetres::from_square_feet(412.0)));
    assert_eq!(a.volume, Some(CubicMetres::from_cubic_feet(3300.0)));
    assert_eq!(a.line, RowRef::new("job.toml", 29));
    let goals: Vec<_> = a.air_goals.iter().map(|goal| (goal.quantity, goal.comparison, goal.hold)).collect();
    assert_eq!(
        goals,
        [
            (AirGoalQuantity::GrainsPerPound, Comparison::AtMost, TimeDelta::hours(24)),
            (AirGoalQuantity::RelativeHumidity, Comparison::AtMost, TimeDelta::hours(12)),
            (AirGoalQuantity::DewPoint, Comparison::AtMost, TimeDelta::hours(24)),
        ]
    );
    assert!(
        close(a.air_goals[0].value, 55.0) && close(a.air_goals[1].value, 45.0) && close(a.air_goals[2].value, 10.0)
    );
    let b = job.chamber("B").unwrap();
    assert_eq!((b.name.as_str(), b.parent.as_deref()), ("B", Some("A")));
    assert_eq!(b.drying_from, Some(utc("2025-03-10 17:00")));
    assert_eq!(b.before_drying_reason.as_deref(), Some("humidity held down during demolition"));
}

#[test]
fn loggers() {
    let job = job();
    let [kitchen, inlet, outlet] = job.loggers.as_slice() else { panic!("three placements") };
    assert_eq!(kitchen.select, LoggerSelector::Serial("20411873".into()));
    assert_eq!((kitchen.place, kitchen.chamber.as_deref()), (Some(Place::Affected), Some("A")));
    assert_eq!(kitchen.clock, Some(Clock::Wall));
    assert_eq!(kitchen.accuracy.temp, Some(CelsiusDelta::from_fahrenheit_degrees(0.5)));
    assert_eq!((kitchen.accuracy.rh_pct, kitchen.accuracy.stated_at_k2), (Some(2.0), true));
    assert_eq!(kitchen.calibrated, NaiveDate::from_ymd_opt(2025, 1, 15));
    let bias = kitchen.bias.unwrap();
    assert_eq!((bias.temp, bias.rh_pct), (Some(CelsiusDelta::from_fahrenheit_degrees(-0.4)), Some(1.5)));
    assert!(bias.apply);

    let file = LoggerSelector::File { file: "exports/den.csv".into(), channel: Some("2".into()) };
    assert_eq!((&inlet.select, &outlet.select), (&file, &file));
    assert_eq!((inlet.place, inlet.unit.as_deref()), (Some(Place::Inlet), Some("D1")));
    assert_eq!(inlet.span, Span { from: Some(utc("2025-03-08 19:00")), to: Some(utc("2025-03-10 14:00")) });
    assert_eq!((inlet.clock, outlet.clock), (Some(Clock::Offset(-6 * 3600)), Some(Clock::Fixed)));
    assert_eq!((inlet.hours, outlet.hours), (Some(Hours::FromAfternoon), None));
    assert_eq!(inlet.columns["Ch 1"], ColumnHint { quantity: Some(Quantity::AirTemp), unit: Some("F".into()) });
    assert_eq!(inlet.columns["Ch 2"], ColumnHint { quantity: Some(Quantity::RelativeHumidity), unit: None });
    assert_eq!(inlet.columns["Battery"], ColumnHint { quantity: None, unit: None });
    assert_eq!((outlet.bias, outlet.accuracy), (None, SensorStatement::default()));
}

#[test]
fn meters_materials_and_points() {
    let job = job();
    assert_eq!(job.meter("M1").unwrap().scales, [Scale::WoodMc, Scale::WoodEquivalent, Scale::Gypsum]);
    assert_eq!(job.meter("M2").unwrap().scales, [Scale::Relative]);
    assert_eq!(job.material("oak floor").unwrap().goal, Some(GoalValue { value: 12.0, scale: None }));
    let k1 = job.point("K1").unwrap();
    assert_eq!((k1.scale, k1.role), (Scale::WoodMc, PointRole::Drying));
    assert_eq!(k1.dry_standard, Some(DryStandard::ReferencePoints(vec!["R1".into(), "R2".into()])));
    let k2 = job.point("K2").unwrap();
    assert_eq!(k2.scale, Scale::Gypsum);
    assert_eq!(k2.goal, Some(GoalValue { value: 15.0, scale: Some(Scale::WoodEquivalent) }));
    assert_eq!(k2.dry_standard, Some(DryStandard::Value(0.4)));
    assert_eq!(k2.ended, Some(Ended { at: utc("2025-03-09 19:00"), reason: "drywall removed".into() }));
    let logger = LoggerSelector::File { file: "exports/wood.csv".into(), channel: Some("BC1".into()) };
    assert_eq!(job.point("K3").unwrap().logger, Some(PointLogger { select: logger }));
    assert_eq!(job.point("R1").unwrap().role, PointRole::Reference);
    assert_eq!(job.point("R1").unwrap().chamber, None);
}

#[test]
fn equipment_is_sorted_by_unit_and_placing() {
    let job = job();
    let units = job.units();
    assert_eq!(units.keys().copied().collect::<Vec<_>>(), ["D1", "S1"]);
    let [first, second] = units["D1"].as_slice() else { panic!("two stays") };
    assert_eq!(first.kind, EquipmentKind::DehumidifierLowGrain);
    assert_eq!((&first.purpose, first.chambers.as_slice()), (&Purpose::Drying, ["A".to_owned()].as_slice()));
    assert_eq!((first.placed, first.removed), (utc("2025-03-08 18:40"), Some(utc("2025-03-10 14:00"))));
    assert_eq!(first.airflow, Some(AirFlow::from_cfm(300.0)));
    let rated = first.rated_capacity.as_ref().unwrap();
    assert!(close(rated.rate.to_pints_per_day(grainfall_psychrometrics::WaterDensity::AT_80_F), 130.0));
    assert_eq!(rated.condition.as_deref(), Some("80 F 60 %"));
    assert_eq!(first.billed_days, Some(2.0));
    assert_eq!((second.removed, second.chambers.len()), (None, 2));
    assert_eq!(second.points, ["K1", "K3"]);
    assert_eq!(units["S1"][0].purpose, Purpose::Other("air cleaning".into()));
    assert_eq!(job.hour_meters[0].hours.to_bits(), 1204.5_f64.to_bits());
    assert_eq!(job.condensate[0].unit, "D1");
    assert_eq!(job.pauses[0].units, ["D1"]);
    assert_eq!(job.billed[0].unit, "S1");
}

#[test]
fn readings_keep_every_line_of_a_visit() {
    let job = job();
    let seen: Vec<_> = job.readings.iter().map(|r| (r.line.row, r.point.as_str(), r.value.clone(), r.scale)).collect();
    assert_eq!(
        seen,
        [
            (9, "R2", ReadingValue::Measured(9.0), Scale::WoodMc),
            (2, "K1", ReadingValue::Above(40.0), Scale::WoodMc),
            (3, "K1", ReadingValue::Measured(38.5), Scale::WoodMc),
            (4, "K2", ReadingValue::OverRange, Scale::WoodEquivalent),
            (5, "R1", ReadingValue::Measured(9.5), Scale::WoodMc),
            (8, "K3", ReadingValue::Measured(85.0), Scale::Relative),
            (6, "K3", ReadingValue::NoReading("no access: cabinet in front".into()), Scale::Relative),
        ]
    );
    let second = &job.readings[2];
    assert_eq!(second.time, utc("2025-03-08 19:10"));
    assert_eq!(second.surface_temp, Some(Celsius::from_fahrenheit(66.0)));
    assert_eq!(second.note.as_deref(), Some("second reading, 6\" along"));
    assert_eq!(second.meter.as_deref(), Some("M1"));
    assert_eq!(second.line, RowRef::new("readings.csv", 3));
}

#[test]
fn air_readings_and_visits() {
    let job = job();
    let [affected, outdoor, outlet] = job.air_readings.as_slice() else { panic!("three readings") };
    assert_eq!(affected.place, AirPlace { place: Place::Affected, chamber: Some("A".into()), unit: None });
    assert_eq!(affected.air_temp, Celsius::from_fahrenheit(72.0));
    assert!(matches!(affected.water, AirWater::Rh(rh) if close(rh.percent(), 61.0)));
    assert!(matches!(outdoor.water, AirWater::Gpp(gpp) if close(gpp.get(), 38.0)));
    assert_eq!(outlet.place.unit.as_deref(), Some("D1"));
    let times: Vec<_> = job.visits.iter().map(|visit| (visit.time, visit.line.row)).collect();
    // The second visit is after the change to summer time.
    assert_eq!(times, [(utc("2025-03-08 18:30"), 3), (utc("2025-03-09 14:00"), 2)]);
    assert_eq!(job.visits[0].note.as_deref(), Some("door found open; closed it"));
    assert_eq!(job.visits[0].instruments.as_deref(), Some("M1, H3"));
}
