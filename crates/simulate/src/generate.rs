//! Scenarios of any length and size from a seed, for load tests and properties over many jobs.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::Error;
use crate::clock::day_start;
use crate::moist::pressure_at_elevation_pa;
use crate::rng::Rng;
use crate::scenario::{
    AirSource, Bias, Chamber, ChamberSheet, DayRule, DehumidifierModel, Export, Flaws, Goal, JobSheet, Kind, Loading,
    Logger, Machine, Material, MaterialSheet, Meter, MeterResponse, PlannedAir, PlannedReading, Point, Role, Scale,
    Scenario, Shape, StampClock, Stay, Unaffected, Visit, Weather, What, Zone,
};

/// How large a scenario is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Days of drying, at least 1; a visit on each morning and one more at the end.
    pub days: u32,
    /// Drying points, at least 1.
    pub points: usize,
    /// Units, at least 1.
    pub units: usize,
    /// Minutes between a logger's samples, at least 1.
    pub interval_min: u32,
}

/// Places a job can be: zone and elevation in feet.
const PLACES: [(Tz, f64); 5] = [
    (chrono_tz::America::Chicago, 620.0),
    (chrono_tz::America::New_York, 30.0),
    (chrono_tz::America::Denver, 5280.0),
    (chrono_tz::Europe::Berlin, 115.0),
    (chrono_tz::Australia::Lord_Howe, 60.0),
];
/// Points that share a chamber.
const POINTS_A_CHAMBER: usize = 8;

/// A scenario of a size from a seed: one chamber for about eight points, a dehumidifier and air movers in each.
///
/// # Errors
/// [`Error::Invalid`] for a size of nothing.
///
/// # Examples
/// ```
/// use grainfall_simulate::generate::{Size, scenario};
/// let size = Size { days: 30, points: 40, units: 25, interval_min: 15 };
/// let job = scenario(size, 7)?;
/// assert_eq!((job.stays.len(), job.chambers.len()), (25, 5));
/// assert_eq!(job.visits.len(), 31);
/// # Ok::<(), grainfall_simulate::Error>(())
/// ```
pub fn scenario(size: Size, seed: u64) -> Result<Scenario, Error> {
    let name = format!("generated-{seed}");
    if size.days == 0 || size.points == 0 || size.units == 0 || size.interval_min == 0 {
        return Err(Error::Invalid {
            scenario: name,
            what: format!("{size:?} holds a 0: days, points, units and interval are at least 1"),
        });
    }
    let mut rng = Rng::stream(seed, "generate");
    let (zone, elevation_ft) = PLACES[index(&mut rng, PLACES.len())];
    let chambers = size.points.div_ceil(POINTS_A_CHAMBER).min(size.units);
    // Any day of 2025 but its last, so that clock changes fall inside some jobs.
    let first_day = NaiveDate::from_yo_opt(2025, u32::try_from(rng.whole(1, 364)).unwrap_or(1)).unwrap_or_default();
    let plan = Plan { size, zone, first_day, chambers };
    let job = JobSheet {
        number: format!("G-{seed}"),
        title: format!("Generated job {seed}"),
        claim: "invented".to_owned(),
        zone,
        elevation: format!("{elevation_ft} ft"),
        loss_at: plan.morning(0, -14 * 60),
        category: 1,
        class: 2,
        edition: "ANSI/IICRC S500-2021".to_owned(),
        day_rule: if rng.unit() < 0.75 { DayRule::Hours24 } else { DayRule::Calendar },
        pull_window_min: 240,
        confirm_readings: if rng.unit() < 0.8 { 1 } else { 2 },
    };
    let end = plan.morning(size.days, 6 * 60);
    let weather = Weather {
        mean_temp_c: rng.between(2.0, 24.0),
        temp_swing_k: rng.between(2.0, 7.0),
        mean_dew_point_c: rng.between(-2.0, 14.0),
        front_at: Some(plan.morning(size.days / 2, rng.whole(0, 720))),
        front_temp_k: rng.between(-7.0, 4.0),
        front_dew_point_k: rng.between(-7.0, 4.0),
        irregular_k: rng.between(0.5, 3.0),
    };
    let unaffected = Unaffected {
        mean_temp_c: rng.between(20.0, 23.5),
        temp_swing_k: 0.8,
        mean_rh_pct: rng.between(35.0, 52.0),
        rh_swing_pct: 3.0,
    };
    let points = points(&plan, &mut rng);
    let stays = stays(&plan, &mut rng);
    let (loggers, exports) = loggers(&plan, &stays, plan.morning(0, 60), end);
    let visits = visits(&plan, &points, &mut rng);
    Ok(Scenario {
        name,
        seed,
        step_s: 10,
        from: job.loss_at,
        to: end,
        pressure_pa: pressure_at_elevation_pa(elevation_ft * 0.3048)?,
        job,
        weather,
        unaffected,
        chambers: (0..chambers).map(|number| chamber(&plan, &points, number)).collect(),
        materials: vec![
            MaterialSheet { kind: "wood".to_owned(), scale: Scale::Wood, goal: None },
            MaterialSheet { kind: "board".to_owned(), scale: Scale::Relative, goal: None },
        ],
        points,
        stays,
        pauses: Vec::new(),
        events: Vec::new(),
        loggers,
        exports,
        meters: meters(),
        visits,
    })
}

struct Plan {
    size: Size,
    zone: Tz,
    first_day: NaiveDate,
    chambers: usize,
}

impl Plan {
    /// Minutes after nine hours into a day of the job.
    fn morning(&self, day: u32, minutes: i64) -> DateTime<Utc> {
        let date = self.first_day + chrono::Days::new(u64::from(day));
        day_start(self.zone, date) + TimeDelta::minutes(9 * 60 + minutes)
    }

    fn chamber_of(&self, number: usize) -> String {
        format!("C{}", number % self.chambers + 1)
    }
}

fn index(rng: &mut Rng, count: usize) -> usize {
    let last = i64::try_from(count).unwrap_or(1) - 1;
    usize::try_from(rng.whole(0, last)).unwrap_or(0)
}

fn chamber(plan: &Plan, points: &[Point], number: usize) -> Chamber {
    let id = plan.chamber_of(number);
    let area: f64 =
        points.iter().filter(|point| point.zone == Zone::Chamber(id.clone())).map(|point| point.area_m2).sum();
    let volume_m3 = 2.4 * area.max(8.0);
    Chamber {
        sheet: ChamberSheet {
            name: format!("Chamber {id}"),
            floor_area: format!("{:.0} ft2", area.max(8.0) * 10.764),
            volume: format!("{:.0} ft3", volume_m3 * 35.315),
            drying_from: None,
            before_drying_reason: None,
        },
        id,
        volume_m3,
        ach_unaffected_1_h: 0.4,
        ach_outdoor_1_h: 0.1,
        ua_unaffected_w_k: 60.0 + 4.0 * area,
        ua_outdoor_w_k: 10.0 + area,
        heat_capacity_j_k: 1.5e4 * volume_m3,
        movers_for_full_speed: 4.0,
        start_temp_c: 21.0,
        start_rh_pct: 70.0,
    }
}

fn points(plan: &Plan, rng: &mut Rng) -> Vec<Point> {
    let mut points: Vec<Point> = (0..plan.size.points)
        .map(|number| {
            let wood = rng.unit() < 0.6;
            let start = if wood { rng.between(18.0, 44.0) } else { rng.between(8.0, 24.0) };
            let core_time_h = if wood { rng.between(20.0, 90.0) } else { rng.between(8.0, 40.0) };
            let id = format!("P{:02}", number + 1);
            let zone = Zone::Chamber(plan.chamber_of(number));
            let area_m2 = rng.between(2.0, 8.0);
            point(id, zone, wood, (area_m2, Loading::MoisturePct(start), core_time_h))
        })
        .collect();
    for (id, wood) in [("R1", true), ("R2", false), ("R3", true)] {
        let mut reference = point(id.to_owned(), Zone::Unaffected, wood, (1.0, Loading::Dry, 48.0));
        reference.role = Role::Reference;
        reference.goal = Goal::None;
        points.push(reference);
    }
    points
}

fn point(id: String, zone: Zone, wood: bool, (area_m2, start, core_time_h): (f64, Loading, f64)) -> Point {
    let references: &[&str] = if wood { &["R1", "R3"] } else { &["R2"] };
    Point {
        location: format!("invented place {id}"),
        id,
        zone,
        depth: None,
        role: Role::Drying,
        kind: if wood { "wood" } else { "board" }.to_owned(),
        material: if wood { Material::Wood } else { Material::Mineral { free_pct: 6.0, shape: 0.5 } },
        area_m2,
        dry_kg_m2: 9.0,
        skin_share: 0.2,
        core_time_h,
        open_share: 0.7,
        start,
        meter: if wood { "M1" } else { "M2" }.to_owned(),
        scale: if wood { Scale::Wood } else { Scale::Relative },
        goal: Goal::References(references.iter().map(|id| (*id).to_owned()).collect()),
        ended: None,
    }
}

fn meters() -> Vec<Meter> {
    let meter = |id: &str, scale, accuracy, resolution, highest, response| Meter {
        id: id.to_owned(),
        kind: if scale == Scale::Wood { "pin" } else { "non-invasive" }.to_owned(),
        scales: vec![scale],
        accuracy,
        resolution,
        highest,
        response,
        serial: format!("{id}-1"),
        calibrated: None,
    };
    vec![
        meter("M1", Scale::Wood, 1.0, 0.1, 40.0, MeterResponse::Content),
        meter("M2", Scale::Relative, 1.5, 0.5, 100.0, MeterResponse::Level { base: 10.0, gain: 3.0 }),
    ]
}

fn stays(plan: &Plan, rng: &mut Rng) -> Vec<Stay> {
    let mut dehumidifiers = 0;
    let mut movers = 0;
    (0..plan.size.units)
        .map(|number| {
            let dehumidifier = number < plan.chambers || number % 6 == 5;
            let (unit, kind, machine) = if dehumidifier {
                dehumidifiers += 1;
                (format!("D{dehumidifiers}"), Kind::DehumidifierLowGrain, Machine::Dehumidifier(model(rng)))
            } else {
                movers += 1;
                (format!("F{movers}"), Kind::AirMover, Machine::AirMover { power_w: 120.0 })
            };
            // Most leave at the last visit, some at one before it.
            let day = if rng.unit() < 0.7 {
                plan.size.days
            } else {
                u32::try_from(rng.whole(1, i64::from(plan.size.days))).unwrap_or(1)
            };
            let placed = plan.morning(0, 90 + rng.whole(0, 60));
            let removed = plan.morning(day, 90 + rng.whole(0, 120));
            Stay {
                asset: Some(format!("{}", 500 + number)),
                unit,
                kind,
                purpose: None,
                chambers: vec![plan.chamber_of(number)],
                points: Vec::new(),
                placed,
                placed_by: "AB".to_owned(),
                placed_reason: "wet materials".to_owned(),
                removed: Some(removed),
                removed_by: Some("AB".to_owned()),
                removed_reason: Some("taken out".to_owned()),
                airflow: dehumidifier.then(|| "250 cfm".to_owned()),
                rated_capacity: dehumidifier.then(|| "130 pint/day".to_owned()),
                rated_condition: dehumidifier.then(|| "80 F 60 %".to_owned()),
                billed_days: None,
                hour_meter_start_h: None,
                machine,
            }
        })
        .collect()
}

fn model(rng: &mut Rng) -> DehumidifierModel {
    DehumidifierModel {
        airflow_m3_s: 0.118 * rng.between(0.95, 1.05),
        contact_share: rng.between(0.4, 0.55),
        coil_temp_c: rng.between(1.0, 4.0),
        limit_kg_s: 9.0e-4,
        power_w: 720.0,
    }
}

fn loggers(plan: &Plan, stays: &[Stay], from: DateTime<Utc>, to: DateTime<Utc>) -> (Vec<Logger>, Vec<Export>) {
    let mut loggers: Vec<Logger> = Vec::new();
    let mut exports = Vec::new();
    let mut export = |file: String, shape, sources: Vec<AirSource>| {
        let mut serials = Vec::new();
        for source in sources {
            let serial = format!("L{:03}", loggers.len() + 1);
            loggers.push(Logger {
                serial: serial.clone(),
                stated: source.clone(),
                source,
                interval_min: plan.size.interval_min,
                from,
                to,
                clock: StampClock::Wall,
                clock_ahead_s: 0,
                temp_limit_k: 0.5 / 1.8,
                rh_limit_pct: 2.0,
                bias: Bias::Drawn,
                calibrated: None,
                flaws: Flaws::default(),
            });
            serials.push(serial);
        }
        exports.push(Export { file, shape, loggers: serials });
    };
    export("loggers/outdoor.csv".to_owned(), Shape::PreambleComma, vec![AirSource::Outdoor]);
    export("loggers/unaffected.csv".to_owned(), Shape::PreambleComma, vec![AirSource::Unaffected]);
    let chambers = (0..plan.chambers).map(|number| AirSource::Chamber(plan.chamber_of(number)));
    export("loggers/chambers.tsv".to_owned(), Shape::LongTab, chambers.collect());
    for stay in stays.iter().filter(|stay| matches!(stay.machine, Machine::Dehumidifier(_))) {
        let unit = stay.unit.clone();
        let sources = vec![AirSource::Inlet(unit.clone()), AirSource::Outlet(unit)];
        export(format!("loggers/{}.csv", stay.unit.to_lowercase()), Shape::WideSemicolon, sources);
    }
    (loggers, exports)
}

/// What a visit is for, by its place among the visits of a job.
///
/// # Arguments
/// * `number`: of the visit, from `0`; `last`: that of the last one.
pub(crate) const fn visit_reason(number: u32, last: u32) -> &'static str {
    match number {
        0 => "inspection and set-up",
        _ if number == last => "last readings",
        _ => "daily monitoring",
    }
}

fn visits(plan: &Plan, points: &[Point], rng: &mut Rng) -> Vec<Visit> {
    (0..=plan.size.days)
        .map(|day| {
            let mut readings = Vec::new();
            let mut after_min = 3;
            for point in points {
                let reference = point.role == Role::Reference;
                if reference && day > 0 {
                    continue;
                }
                let missed = day > 0 && rng.unit() < 0.03;
                let what = if missed { What::NoReading("no access".to_owned()) } else { What::Value };
                readings.push(PlannedReading { point: point.id.clone(), after_min, what, note: String::new() });
                after_min += 1;
            }
            let air = [AirSource::Outdoor, AirSource::Unaffected]
                .into_iter()
                .chain((0..plan.chambers).map(|number| AirSource::Chamber(plan.chamber_of(number))))
                .map(|source| PlannedAir { source, after_min })
                .collect();
            Visit {
                at: plan.morning(day, rng.whole(-20, 20)),
                by: "AB".to_owned(),
                credential: "invented certificate".to_owned(),
                instruments: "meters M1 and M2".to_owned(),
                reason: visit_reason(day, plan.size.days).to_owned(),
                photos: String::new(),
                note: String::new(),
                readings,
                air,
                condensate: Vec::new(),
                hour_meters: Vec::new(),
            }
        })
        .collect()
}
