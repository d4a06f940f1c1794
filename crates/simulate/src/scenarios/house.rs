//! The house that the suite's scenarios start from: varied by a seed in building, schedule and instruments, with nothing
//! gone wrong in it yet.
//!
//! A wet chamber, in every other house a second one beside it, a dehumidifier with its own inlet and outlet loggers in
//! each, air movers, three or four points a chamber, a visit every morning in which doors stand open for some minutes. Steps are coarser than the sample's and the
//! chambers roomier, so that one house takes a fraction of a second.

use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::Error;
use crate::clock::day_start;
use crate::generate::visit_reason;
use crate::moist::pressure_at_elevation_pa;
use crate::rng::Rng;
use crate::scenario::{
    AirSource, Bias, Chamber, ChamberSheet, DayRule, DehumidifierModel, Event, Export, Flaws, Goal, JobSheet, Kind,
    Loading, Logger, Machine, Material, MaterialSheet, Meter, MeterResponse, PlannedAir, PlannedReading, Point, Role,
    Scale, Scenario, Shape, StampClock, Stay, Unaffected, Visit, Weather, What, Zone,
};

/// Cubic metres per second in a cubic foot per minute.
const CFM: f64 = 0.028_316_846_592 / 60.0;

/// Where a house can stand: zone and elevation in feet.
const PLACES: [(Tz, f64); 4] = [
    (chrono_tz::America::Chicago, 620.0),
    (chrono_tz::America::New_York, 30.0),
    (chrono_tz::America::Denver, 5280.0),
    (chrono_tz::Europe::Berlin, 115.0),
];

/// What a scenario asks of its house.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ask {
    /// Mornings with a visit, the one of set-up included.
    pub(super) visits: u32,
    /// Zone and day of the loss; drawn when `None`.
    pub(super) when: Option<(Tz, NaiveDate)>,
    /// Least and greatest moisture of wood at the start, % of dry mass.
    pub(super) wood_pct: (f64, f64),
    /// Whether there are two chambers; drawn when `None`.
    pub(super) two_chambers: Option<bool>,
    /// How equipment-days are counted; drawn when `None`.
    pub(super) day_rule: Option<DayRule>,
}

impl Default for Ask {
    fn default() -> Self {
        Self { visits: 7, when: None, wood_pct: (18.0, 34.0), two_chambers: None, day_rule: None }
    }
}

/// A house in the making.
pub(super) struct House {
    /// The scenario so far.
    pub(super) scenario: Scenario,
    /// Random numbers for what the scenario adds.
    pub(super) rng: Rng,
    zone: Tz,
    loss_day: NaiveDate,
    visits: u32,
}

impl House {
    /// A house of a scenario and a seed.
    pub(super) fn new(name: &str, seed: u64, ask: Ask) -> Result<Self, Error> {
        let mut rng = Rng::stream(seed, name);
        let place = PLACES[usize::try_from(rng.whole(0, 3)).unwrap_or(0)];
        let drawn = NaiveDate::from_yo_opt(2025, u32::try_from(rng.whole(1, 340)).unwrap_or(1)).unwrap_or_default();
        let (zone, loss_day) = ask.when.unwrap_or((place.0, drawn));
        let calendar = rng.unit() < 0.25;
        let day_rule = ask.day_rule.unwrap_or(if calendar { DayRule::Calendar } else { DayRule::Hours24 });
        let second = rng.unit() < 0.5;
        let chambers: &[&str] = if ask.two_chambers.unwrap_or(second) { &["A", "B"] } else { &["A"] };
        let mut house =
            Self { scenario: bare(name, seed, (zone, place.1), loss_day)?, rng, zone, loss_day, visits: ask.visits };
        let loss_min = house.rng.whole(14 * 60, 20 * 60);
        house.scenario.from = house.at(0, loss_min);
        house.scenario.job.loss_at = house.scenario.from;
        house.scenario.job.day_rule = day_rule;
        house.weather();
        for id in chambers {
            house.chamber(id, ask.wood_pct);
        }
        house.references();
        house.machines(chambers);
        house.visits();
        house.loggers(chambers);
        Ok(house)
    }

    /// Minutes after midnight of a day of the job; the loss is on day 0, the set-up on day 1.
    pub(super) fn at(&self, day: u32, minutes: i64) -> DateTime<Utc> {
        day_start(self.zone, self.loss_day + Days::new(u64::from(day))) + TimeDelta::minutes(minutes)
    }

    /// The last day with a visit.
    pub(super) fn last_day(&self) -> u32 {
        self.visits
    }

    /// Ids of its chambers.
    pub(super) fn chambers(&self) -> Vec<String> {
        self.scenario.chambers.iter().map(|chamber| chamber.id.clone()).collect()
    }

    /// Ids of the drying points of a chamber, in order.
    pub(super) fn points_of(&self, chamber: &str) -> Vec<String> {
        let zone = Zone::Chamber(chamber.to_owned());
        let of = |point: &&Point| point.role == Role::Drying && point.zone == zone;
        self.scenario.points.iter().filter(of).map(|point| point.id.clone()).collect()
    }

    /// Names of its dehumidifiers.
    pub(super) fn dehumidifiers(&self) -> Vec<String> {
        let of = |stay: &&Stay| matches!(stay.machine, Machine::Dehumidifier(_));
        self.scenario.stays.iter().filter(of).map(|stay| stay.unit.clone()).collect()
    }

    /// The logger that measures an air.
    pub(super) fn logger(&mut self, source: &AirSource) -> Option<&mut Logger> {
        self.scenario.loggers.iter_mut().find(|logger| logger.source == *source)
    }

    /// A dehumidifier stands still from some hour of a day on, for 2 to 7 h.
    pub(super) fn stop(&mut self, unit: &str, day: u32) {
        let start = self.rng.whole(13 * 60, 23 * 60);
        let length = self.rng.whole(120, 420);
        let (from, to) = (self.at(day, start), self.at(day, start + length));
        self.scenario.events.push(Event::UnitStopped { unit: unit.to_owned(), from, to });
    }

    /// A chamber stands open to outdoor air for 3 to 5 h from some hour of a day on.
    pub(super) fn open(&mut self, chamber: &str, day: u32) {
        let start = self.rng.whole(13 * 60, 20 * 60);
        let length = self.rng.whole(180, 300);
        let ach_1_h = self.rng.between(5.0, 8.0);
        let (from, to) = (self.at(day, start), self.at(day, start + length));
        self.scenario.events.push(Event::ChamberOpened { chamber: chamber.to_owned(), from, to, ach_1_h });
    }

    /// Water comes to a point again in the evening of a day: as much as 6 to 10 % of its dry mass.
    pub(super) fn rewet(&mut self, point: &str, day: u32) {
        let minutes = self.rng.whole(14 * 60, 22 * 60);
        let at = self.at(day, minutes);
        let share = self.rng.between(0.06, 0.10);
        let dry_kg_m2 = self.scenario.point(point).map_or(9.0, |point| point.dry_kg_m2);
        self.scenario.events.push(Event::Rewetted { point: point.to_owned(), at, water_kg_m2: share * dry_kg_m2 });
    }

    /// Makes every chamber so many times as large, in volume and in all that follows from it.
    pub(super) fn resize(&mut self, times: f64) {
        for chamber in &mut self.scenario.chambers {
            chamber.volume_m3 *= times;
            chamber.heat_capacity_j_k *= times;
            chamber.ua_unaffected_w_k *= times;
            chamber.ua_outdoor_w_k *= times;
            let floor_m2 = chamber.volume_m3 / 2.4;
            chamber.sheet.floor_area = format!("{:.0} ft2", floor_m2 * 10.764);
            chamber.sheet.volume = format!("{:.0} ft3", chamber.volume_m3 * 35.315);
        }
    }

    /// A second logger in a chamber, beside the first.
    pub(super) fn beside(&mut self, chamber: &str, bias: Bias) {
        let source = AirSource::Chamber(chamber.to_owned());
        let Some(mut twin) = self.logger(&source).cloned() else { return };
        twin.serial = format!("{}X", twin.serial);
        twin.bias = bias;
        let file = format!("loggers/beside-{}.csv", chamber.to_lowercase());
        self.scenario.exports.push(Export { file, shape: Shape::PreambleComma, loggers: vec![twin.serial.clone()] });
        self.scenario.loggers.push(twin);
    }

    fn weather(&mut self) {
        let rng = &mut self.rng;
        let mean_temp_c = rng.between(4.0, 22.0);
        self.scenario.weather = Weather {
            mean_temp_c,
            temp_swing_k: rng.between(2.0, 6.0),
            mean_dew_point_c: mean_temp_c - rng.between(4.0, 10.0),
            front_at: None,
            front_temp_k: rng.between(-6.0, 3.0),
            front_dew_point_k: rng.between(-6.0, 3.0),
            irregular_k: rng.between(0.5, 2.5),
        };
        self.scenario.unaffected = Unaffected {
            mean_temp_c: rng.between(20.0, 23.0),
            temp_swing_k: 0.7,
            mean_rh_pct: rng.between(36.0, 50.0),
            rh_swing_pct: 3.0,
        };
        let (day, minutes) = (self.rng.whole(2, i64::from(self.visits.max(3))), self.rng.whole(0, 1439));
        self.scenario.weather.front_at = Some(self.at(u32::try_from(day).unwrap_or(2), minutes));
    }

    fn chamber(&mut self, id: &str, wood_pct: (f64, f64)) {
        let number = self.scenario.points.len();
        let count = self.rng.whole(3, 4);
        let mut area = 0.0;
        for index in 0..count {
            let wood = index == 0 || self.rng.unit() < 0.5;
            let rng = &mut self.rng;
            let area_m2 = rng.between(3.0, 7.0);
            area += area_m2;
            let (start, core_time_h) = if wood {
                (rng.between(wood_pct.0, wood_pct.1), rng.between(40.0, 90.0))
            } else {
                (rng.between(10.0, 22.0), rng.between(16.0, 36.0))
            };
            let id_of_point = format!("P{}", number + usize::try_from(index).unwrap_or(0) + 1);
            let point = point(&id_of_point, Zone::Chamber(id.to_owned()), wood);
            self.scenario.points.push(Point { area_m2, core_time_h, start: Loading::MoisturePct(start), ..point });
        }
        // Floor of the materials metered, and as much again of what stayed dry.
        let floor_m2 = (2.0 * area).max(20.0);
        let volume_m3 = 2.4 * floor_m2;
        let rng = &mut self.rng;
        self.scenario.chambers.push(Chamber {
            id: id.to_owned(),
            sheet: ChamberSheet {
                name: format!("Chamber {id}"),
                floor_area: format!("{:.0} ft2", floor_m2 * 10.764),
                volume: format!("{:.0} ft3", volume_m3 * 35.315),
                drying_from: None,
                before_drying_reason: None,
            },
            volume_m3,
            ach_unaffected_1_h: rng.between(0.2, 0.5),
            ach_outdoor_1_h: rng.between(0.05, 0.15),
            ua_unaffected_w_k: 60.0 + 4.0 * floor_m2,
            ua_outdoor_w_k: 10.0 + floor_m2,
            heat_capacity_j_k: 1.5e4 * volume_m3,
            movers_for_full_speed: 4.0,
            start_temp_c: 21.0,
            start_rh_pct: 68.0,
        });
    }

    fn references(&mut self) {
        for (id, wood) in [("R1", true), ("R2", false)] {
            let reference = point(id, Zone::Unaffected, wood);
            self.scenario.points.push(Point { role: Role::Reference, goal: Goal::None, ..reference });
        }
    }

    fn machines(&mut self, chambers: &[&str]) {
        let set_up = self.rng.whole(10 * 60 + 30, 12 * 60);
        let leave = self.rng.whole(11 * 60, 12 * 60);
        for (index, chamber) in chambers.iter().enumerate() {
            let cfm = if index == 0 { 250.0 } else { 160.0 };
            let stated = self.rng.between(0.96, 1.04);
            let model = DehumidifierModel {
                airflow_m3_s: stated * cfm * CFM,
                contact_share: self.rng.between(0.45, 0.55),
                coil_temp_c: self.rng.between(1.0, 3.0),
                limit_kg_s: 9.0e-4,
                power_w: 3.0 * cfm,
            };
            let unit = format!("D{}", index + 1);
            let dehumidifier = self.stay(&unit, chamber, (set_up, leave), Machine::Dehumidifier(model));
            self.scenario.stays.push(Stay { airflow: Some(format!("{cfm:.0} cfm")), ..dehumidifier });
            for mover in 0..(4 - index) {
                let unit = format!("F{}{}", index + 1, mover + 1);
                let stay = self.stay(&unit, chamber, (set_up + 5, leave + 5), Machine::AirMover { power_w: 130.0 });
                self.scenario.stays.push(stay);
            }
        }
    }

    fn stay(&self, unit: &str, chamber: &str, minutes: (i64, i64), machine: Machine) -> Stay {
        let dehumidifier = matches!(machine, Machine::Dehumidifier(_));
        Stay {
            unit: unit.to_owned(),
            asset: None,
            kind: if dehumidifier { Kind::DehumidifierLowGrain } else { Kind::AirMover },
            purpose: None,
            chambers: vec![chamber.to_owned()],
            points: Vec::new(),
            placed: self.at(1, minutes.0),
            placed_by: "AB".to_owned(),
            placed_reason: "wet materials".to_owned(),
            removed: Some(self.at(self.visits, minutes.1)),
            removed_by: Some("AB".to_owned()),
            removed_reason: Some("taken out with the last visit".to_owned()),
            airflow: None,
            rated_capacity: None,
            rated_condition: None,
            billed_days: None,
            hour_meter_start_h: None,
            machine,
        }
    }

    fn visits(&mut self) {
        for day in 1..=self.visits {
            let minutes = self.rng.whole(8 * 60 + 20, 9 * 60 + 40);
            let arrival = self.at(day, minutes);
            self.pass(arrival);
            let mut readings = Vec::new();
            let mut after_min = 4;
            for point in &self.scenario.points {
                if point.role == Role::Reference && day > 1 {
                    continue;
                }
                let what = if point.scale == Scale::Wood { What::ValueAndSurface } else { What::Value };
                readings.push(PlannedReading { point: point.id.clone(), after_min, what, note: String::new() });
                after_min += 3;
            }
            let air = [AirSource::Outdoor, AirSource::Unaffected]
                .into_iter()
                .chain(self.chambers().into_iter().map(AirSource::Chamber))
                .map(|source| PlannedAir { source, after_min })
                .collect();
            self.scenario.visits.push(Visit {
                at: arrival,
                by: "AB".to_owned(),
                credential: "invented certificate".to_owned(),
                instruments: "meters M1 and M2, hygrometer H1".to_owned(),
                reason: visit_reason(day - 1, self.visits - 1).to_owned(),
                photos: String::new(),
                note: String::new(),
                readings,
                air,
                condensate: Vec::new(),
                hour_meters: Vec::new(),
            });
        }
        self.scenario.to = self.at(self.visits, 14 * 60);
    }

    /// People come in and go out: each chamber's door stands open for a few minutes on both occasions.
    fn pass(&mut self, arrival: DateTime<Utc>) {
        for chamber in self.chambers() {
            for after_min in [0, 45] {
                let from = arrival + TimeDelta::minutes(after_min);
                let to = from + TimeDelta::minutes(self.rng.whole(3, 6));
                let ach_1_h = self.rng.between(1.0, 2.5);
                self.scenario.events.push(Event::ChamberOpened { chamber: chamber.clone(), from, to, ach_1_h });
            }
        }
    }

    fn loggers(&mut self, chambers: &[&str]) {
        let interval_min = [5, 10, 15, 20][usize::try_from(self.rng.whole(0, 3)).unwrap_or(0)];
        let (from, to) = (self.at(1, 10 * 60), self.scenario.to);
        // A unit's loggers leave with it.
        let unit_to = self.at(self.visits, 11 * 60);
        let mut add = |file: String, shape, sources: Vec<AirSource>| {
            let mut serials = Vec::new();
            for source in sources {
                let serial = format!("L{:02}", self.scenario.loggers.len() + 1);
                let of_unit = matches!(source, AirSource::Inlet(_) | AirSource::Outlet(_));
                self.scenario.loggers.push(Logger {
                    serial: serial.clone(),
                    stated: source.clone(),
                    source,
                    interval_min,
                    from,
                    to: if of_unit { unit_to } else { to },
                    clock: StampClock::Wall,
                    clock_ahead_s: 0,
                    temp_limit_k: if of_unit { 0.4 } else { 0.5 } / 1.8,
                    rh_limit_pct: if of_unit { 1.0 } else { 2.0 },
                    bias: Bias::Drawn,
                    calibrated: Some("2024-11-04".to_owned()),
                    flaws: Flaws::default(),
                });
                serials.push(serial);
            }
            self.scenario.exports.push(Export { file, shape, loggers: serials });
        };
        add("loggers/outdoor.csv".to_owned(), Shape::PreambleComma, vec![AirSource::Outdoor]);
        add("loggers/unaffected.csv".to_owned(), Shape::PreambleComma, vec![AirSource::Unaffected]);
        for (index, chamber) in chambers.iter().enumerate() {
            let unit = format!("D{}", index + 1);
            let name = chamber.to_lowercase();
            let air = vec![AirSource::Chamber((*chamber).to_owned())];
            add(format!("loggers/chamber-{name}.csv"), Shape::PreambleComma, air);
            let shape = if index == 0 { Shape::WideSemicolon } else { Shape::LongTab };
            let through = vec![AirSource::Inlet(unit.clone()), AirSource::Outlet(unit)];
            add(format!("loggers/unit-{name}.csv"), shape, through);
        }
    }
}

/// A scenario without a building.
fn bare(name: &str, seed: u64, (zone, elevation_ft): (Tz, f64), loss_day: NaiveDate) -> Result<Scenario, Error> {
    let start = day_start(zone, loss_day);
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
    Ok(Scenario {
        name: format!("{name}-{seed}"),
        seed,
        step_s: 30,
        from: start,
        to: start,
        pressure_pa: pressure_at_elevation_pa(elevation_ft * 0.3048)?,
        job: JobSheet {
            number: format!("S-{seed}"),
            title: format!("{name} {seed}"),
            claim: "invented".to_owned(),
            zone,
            elevation: format!("{elevation_ft} ft"),
            loss_at: start,
            category: 1,
            class: 2,
            edition: "ANSI/IICRC S500-2021".to_owned(),
            day_rule: DayRule::Hours24,
            pull_window_min: 240,
            confirm_readings: 1,
        },
        weather: Weather {
            mean_temp_c: 15.0,
            temp_swing_k: 4.0,
            mean_dew_point_c: 8.0,
            front_at: None,
            front_temp_k: 0.0,
            front_dew_point_k: 0.0,
            irregular_k: 1.0,
        },
        unaffected: Unaffected { mean_temp_c: 21.5, temp_swing_k: 0.7, mean_rh_pct: 45.0, rh_swing_pct: 3.0 },
        chambers: Vec::new(),
        materials: vec![
            MaterialSheet { kind: "plywood subfloor".to_owned(), scale: Scale::Wood, goal: None },
            MaterialSheet { kind: "gypsum board".to_owned(), scale: Scale::Relative, goal: None },
        ],
        points: Vec::new(),
        stays: Vec::new(),
        pauses: Vec::new(),
        events: Vec::new(),
        loggers: Vec::new(),
        exports: Vec::new(),
        meters: vec![
            meter("M1", Scale::Wood, 1.0, 0.1, 40.0, MeterResponse::Content),
            meter("M2", Scale::Relative, 1.5, 0.5, 100.0, MeterResponse::Level { base: 10.0, gain: 3.0 }),
        ],
        visits: Vec::new(),
    })
}

/// A point of wood or board with its meter; the scenario fills in how large and how wet.
fn point(id: &str, zone: Zone, wood: bool) -> Point {
    Point {
        id: id.to_owned(),
        zone,
        location: format!("invented place {id}"),
        depth: None,
        role: Role::Drying,
        kind: if wood { "plywood subfloor" } else { "gypsum board" }.to_owned(),
        material: if wood { Material::Wood } else { Material::Mineral { free_pct: 6.0, shape: 0.5 } },
        area_m2: 1.0,
        dry_kg_m2: 9.0,
        skin_share: 0.2,
        core_time_h: 48.0,
        open_share: if wood { 0.8 } else { 0.4 },
        start: Loading::Dry,
        meter: if wood { "M1" } else { "M2" }.to_owned(),
        scale: if wood { Scale::Wood } else { Scale::Relative },
        goal: Goal::References(vec![if wood { "R1" } else { "R2" }.to_owned()]),
        ended: None,
    }
}
