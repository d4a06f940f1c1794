//! Days of equipment beside readings and bills.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use grainfall_simulate::scenario::{Role, Zone};
use grainfall_simulate::scenarios;
use grainfall_simulate::truth::Verdict;

use crate::dowel;
use crate::house::{House, chamber, clean, clean_evidence, unit};
use crate::open::{self, Open};
use crate::proof::{Due, Truth};

/// Nobody comes on four or five days in a row.
pub fn unread() -> Truth {
    let house = House::of(scenarios::missing_days(1).unwrap());
    let scenario = house.scenario();
    let tz = scenario.job.zone;
    let day_of = |time: DateTime<Utc>| time.with_timezone(&tz).date_naive();
    let visited: Vec<NaiveDate> = scenario.visits.iter().map(|visit| day_of(visit.at)).collect();
    let (first, last) = (visited[0], visited[visited.len() - 1]);
    let missed: Vec<NaiveDate> =
        first.iter_days().take_while(|day| *day <= last).filter(|day| !visited.contains(day)).collect();
    assert!(missed.len() >= 4, "{missed:?}");
    let start = |day: NaiveDate| grainfall_simulate::clock::day_start(tz, day);
    let (from, to) = (start(missed[0]), start(missed[missed.len() - 1].succ_opt().unwrap()));
    // The days follow each other: one finding a chamber.
    let due = scenario.chambers.iter().map(|one| Due::between(chamber(&one.id), from, to)).collect();
    Truth { with: house.judged(), due, without: vec![("a visit every day", clean_evidence())] }
}

/// From 13 May to 5 June the second dowel's probe wrote `NA`; a unit stood beside it from 1 to 8 June.
pub fn unread_open() -> Option<Open> {
    let job = dowel::job_between("BC2", 12.0, "2014-06-01 00:00", "2014-06-10 00:00")
        + &open::unit("dehumidifier low-grain", "2014-06-01 00:00", Some("2014-06-08 00:00"));
    let (from, to) = ("2014-06-01T00:00:00Z".parse().unwrap(), "2014-06-05T00:00:00Z".parse().unwrap());
    let first = dowel::series_between(&open::path(dowel::LOGS[1])?, 8, "2014-06-01T00:00:00Z", "2014-06-10T00:00:00Z");
    assert_eq!(first[0].0, "2014-06-05T10:00:00Z".parse::<DateTime<Utc>>().unwrap(), "the fifth has a reading");
    Open::silent(&dowel::LOGS, job, "four days without a point on the curve")
        .judged_at("2014-06-09T00:00:00Z".parse().unwrap())
        .raised(vec![Due::between(chamber("A"), from, to)])
        .present()
}

/// The last three visits do not take place; the equipment stays.
pub fn stop_early() -> Truth {
    let mut scenario = scenarios::clean(1).unwrap();
    let kept = scenario.visits.len() - 3;
    scenario.visits.truncate(kept);
    let house = House::of(scenario);
    let scenario = house.scenario();
    let due = scenario.chambers.iter().map(|one| {
        let zone = Zone::Chamber(one.id.clone());
        let own = scenario.points.iter().filter(|point| point.role == Role::Drying && point.zone == zone);
        let last = own.flat_map(|point| house.read_at(&point.id)).max().unwrap();
        let stays = scenario.stays.iter().filter(|stay| stay.chambers.contains(&one.id));
        Due::between(chamber(&one.id), last, stays.filter_map(|stay| stay.removed).max().unwrap())
    });
    Truth {
        due: due.collect(),
        with: house.judged(),
        without: vec![("a last visit on the last day", clean_evidence())],
    }
}

/// The second dowel's probe wrote its last number on 20 September at 11:00; a unit stood there to the 22nd.
pub fn stop_early_open() -> Option<Open> {
    let (from, to) = ("2014-09-15 00:00", "2014-09-23 00:00");
    let job = dowel::job_between("BC2", 8.0, from, to)
        + &open::unit("dehumidifier low-grain", from, Some("2014-09-22 00:00"));
    let series = dowel::series_between(&open::path(dowel::LOGS[1])?, 8, "2014-09-15T00:00:00Z", "2014-09-23T00:00:00Z");
    let last = series[series.len() - 1].0;
    let due = Due::between(chamber("A"), last, "2014-09-22T00:00:00Z".parse().unwrap());
    Open::silent(&dowel::LOGS, job, "the curve ends a day and a half before the unit left").raised(vec![due]).present()
}

/// Equipment stays until the eleventh visit; its days that are not due by the rules as the simulator reads them.
pub fn after_goals() -> Truth {
    let house = House::of(scenarios::left_too_long(1).unwrap());
    let mut due = Vec::new();
    for one in house.made.truth.units.iter().filter(|one| one.judged) {
        let idle = || one.periods.iter().filter(|period| period.verdict == Verdict::NotNeeded);
        if let (Some(first), Some(last)) = (idle().next(), idle().next_back()) {
            #[allow(clippy::cast_precision_loss, reason = "days of a job")]
            let days = idle().count() as f64;
            due.push(Due::between(unit(&one.unit), first.from, last.to).says(days, 0.0));
        }
    }
    assert!(due.len() >= 4, "{due:?}");
    // Taken away at the visit that met the last goal.
    let pulled = house.written(|scenario| {
        for stay in &mut scenario.stays {
            let chambers = house.made.truth.chambers.iter().filter(|one| stay.chambers.contains(&one.chamber));
            stay.removed = chambers.filter_map(|one| one.met_at).max().map(|met| met + TimeDelta::hours(1));
        }
    });
    Truth { with: house.judged(), due, without: vec![("units that leave with the last goal", pulled)] }
}

/// The first dowel met 16 % once and kept it; its unit stayed to the end.
pub fn after_goals_open() -> Option<Open> {
    let job =
        dowel::job("BC1", 16.0) + &open::unit("dehumidifier low-grain", "2014-07-24 12:00", Some("2014-07-28 00:00"));
    let series = dowel::series(&open::path(dowel::LOGS[1])?, dowel::CHANNELS[0].1);
    let met = dowel::plain_walk(&series, 16.0).0[0];
    let placed: DateTime<Utc> = "2014-07-24T12:00:00Z".parse().unwrap();
    // Its days begin at noon: the first that begins with the goal met.
    let first = (0..4).map(|day| placed + TimeDelta::days(day)).find(|start| *start >= met).unwrap();
    let due = Due::between(unit("D1"), first, dowel::end().unwrap());
    Open::silent(&dowel::LOGS, job, "the curve lies below 16 % from the 26th on")
        .judged_at(dowel::end().unwrap())
        .raised(vec![due])
        .present()
}

/// One unit is billed for two days more than it stood there, another for as many.
pub fn billed() -> Truth {
    let house = clean();
    let due_days = |name: &str| house.made.truth.units.iter().find(|one| one.unit == name).unwrap().recorded_days;
    #[allow(clippy::cast_precision_loss, reason = "days of a job")]
    let billed = |more: f64| {
        house.written(|scenario| {
            for (name, more) in [("D1", more), ("F11", 0.0)] {
                let stay = scenario.stays.iter_mut().find(|stay| stay.unit == name).unwrap();
                stay.billed_days = Some(due_days(name) as f64 + more);
            }
        })
    };
    let stay = house.scenario().stays.iter().find(|stay| stay.unit == "D1").unwrap();
    Truth {
        with: billed(2.0),
        due: vec![Due::between(unit("D1"), stay.placed, stay.removed.unwrap()).says(2.0, 0.0)],
        without: vec![("bills of the days recorded", billed(0.0)), ("no bill", clean_evidence())],
    }
}

/// Three and a half days by the hour, of which four are begun and four are billed.
pub fn billed_open() -> Option<Open> {
    let unit = open::unit("dehumidifier low-grain", "2014-07-24 12:00", Some("2014-07-28 00:00"));
    let job = dowel::job("BC1", 16.0) + &unit + "billed_days = 4\n";
    Open::silent(&dowel::LOGS, job, "a period begun counts as one, so that as many are billed as recorded").present()
}
