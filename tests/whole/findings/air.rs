//! What the air of a chamber tells of it.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate, TimeDelta};
use grainfall_simulate::clock::day_start;
use grainfall_simulate::scenario::{AirSource, Event, Goal, Loading, Point, Role, Scenario, Zone};
use grainfall_simulate::scenarios;

use crate::house::{self, House, chamber, clean_evidence};
use crate::open::{self, ATTIC, HOUSE, Open};
use crate::proof::{Due, Truth};

/// A large wet board that nobody found. The points that are known of its chamber are dry from the first reading on, and the
/// machines leave at midnight after two days: from then on the board keeps the chamber wetter than the unaffected area.
pub fn stays_wetter() -> Truth {
    let house = House::of(with_a_hidden_board());
    let scenario = house.scenario();
    let tz = scenario.job.zone;
    let first = scenario.visits[0].at.with_timezone(&tz).date_naive();
    // True daily means over whole hours: apart by far more than two loggers of +-2 %RH can err by, or the other way round.
    let (mut due, mut day) = (Vec::new(), first.succ_opt().unwrap());
    while day_start(tz, day) < scenario.to {
        let (from, to) = (day_start(tz, day), day_start(tz, day + Days::new(1)).min(scenario.to));
        let hours = (0..(to - from).num_hours()).map(|hour| from + TimeDelta::minutes(60 * hour + 30));
        let apart: Vec<f64> = hours
            .map(|time| {
                let gpp = |source: &AirSource| house.made.simulation.air(source, time).gpp();
                gpp(&AirSource::Chamber("A".to_owned())) - gpp(&AirSource::Unaffected)
            })
            .collect();
        #[allow(clippy::cast_precision_loss)]
        let mean = apart.iter().sum::<f64>() / apart.len() as f64;
        println!("{day}: truly {mean:.1} GPP wetter");
        assert!(!(0.0..8.0).contains(&mean), "{day}: {mean} GPP leaves it open");
        if mean > 0.0 {
            due.push(Due::between(chamber("A"), from, to));
        }
        day = day.succ_opt().unwrap();
    }
    assert!(due.len() >= 3, "{due:?}");
    Truth { with: unfound(&house), due, without: vec![("no such board", clean_evidence())] }
}

fn with_a_hidden_board() -> Scenario {
    let mut scenario = scenarios::clean(1).unwrap();
    scenario.unaffected.mean_rh_pct = 34.0;
    let in_a = |point: &&mut Point| point.role == Role::Drying && point.zone == Zone::Chamber("A".to_owned());
    for point in scenario.points.iter_mut().filter(in_a) {
        point.start = Loading::Dry;
        point.goal = Goal::Written(60.0);
    }
    let mut board = scenario.points.iter().find(|one| one.kind == "gypsum board").unwrap().clone();
    (board.id, board.role, board.zone) = (HIDDEN.to_owned(), Role::Drying, Zone::Chamber("A".to_owned()));
    (board.area_m2, board.core_time_h, board.start) = (60.0, 30.0, Loading::MoisturePct(40.0));
    scenario.points.push(board);
    let tz = scenario.job.zone;
    let leave = day_start(tz, scenario.visits[2].at.with_timezone(&tz).date_naive());
    let of_a = scenario.stays.iter_mut().filter(|stay| stay.chambers == ["A"]);
    of_a.for_each(|stay| stay.removed = Some(leave));
    scenario
}

const HIDDEN: &str = "PX";

/// The job without the board.
fn unfound(house: &House) -> std::sync::Arc<grainfall_analysis::evidence::Evidence> {
    house.written(|scenario| {
        scenario.points.retain(|point| point.id != HIDDEN);
    })
}

/// The bathroom of the Belgian house beside its driest room, whose one point of wood was read dry on the first evening. The
/// daily differences are taken from the file: 7.8 GPP and more on every day.
pub fn stays_wetter_open() -> Option<Open> {
    let (bath, dry) = (open::room_series(5)?, open::room_series(7)?);
    let mut days: BTreeMap<NaiveDate, Vec<f64>> = BTreeMap::new();
    for ((time, temp, rh), (_, dry_temp, dry_rh)) in bath.iter().zip(&dry) {
        let day = time.with_timezone(&chrono_tz::Europe::Brussels).date_naive();
        days.entry(day).or_default().push(open::gpp(*temp, *rh) - open::gpp(*dry_temp, *dry_rh));
    }
    let clock = bath[bath.len() - 1].0;
    let mut due = Vec::new();
    for (day, apart) in days.into_iter().skip(1) {
        #[allow(clippy::cast_precision_loss)]
        let mean = apart.iter().sum::<f64>() / apart.len() as f64;
        assert!(mean > 7.0, "{day}: {mean}");
        let start = |day: NaiveDate| day_start(chrono_tz::Europe::Brussels, day);
        due.push(Due::between(chamber("A"), start(day), start(day + Days::new(1)).min(clock)));
    }
    assert!(due.len() >= 40 && bath[0].0.year() == 2016);
    let loggers = [(HOUSE, Some("5"), "affected", Some("A")), (HOUSE, Some("7"), "unaffected", None)];
    let job = open::job("Europe/Brussels", &loggers)
        + "\n[[point]]\nid = \"B1\"\nchamber = \"A\"\nscale = \"wood\"\ngoal = 12\n";
    let readings = "time,point,value\n2016-01-11 18:00,B1,10\n".to_owned();
    Open::silent(&[HOUSE], job, "the bathroom's curve lies above the other's through all six weeks")
        .with_file("readings.csv", readings)
        .raised(due)
        .present()
}

/// Each chamber stands open to outdoor air for some hours on two days.
pub fn opened() -> Truth {
    let house = House::of(scenarios::opened_chamber(1).unwrap());
    let mut due = Vec::new();
    for event in &house.scenario().events {
        if let Event::ChamberOpened { chamber: id, from, to, .. } = event
            && *to - *from >= TimeDelta::hours(1)
        {
            let interval = house::step(house.logger(&AirSource::Chamber(id.clone())));
            let hour = TimeDelta::hours(1);
            due.push(
                Due::between(chamber(id), *from, *to)
                    .begins(*from - interval * 2, *from + hour)
                    .ends(*from + hour, *to + hour),
            );
        }
    }
    Truth {
        with: house.judged(),
        due,
        without: vec![
            ("doors through which people pass", clean_evidence()),
            ("machines that stop", House::of(scenarios::outage(1).unwrap()).judged()),
        ],
    }
}

/// Nobody opened a roof that is ventilated by its eaves: it follows the weather over hours.
pub fn opened_open() -> Option<Open> {
    Open::silent(&ATTIC, open::attic(), "its vapour follows the weather's slowly; no step towards it in nine months")
        .present()
}
