//! Points: what their material did.

use chrono::{TimeDelta, Utc};
use grainfall_simulate::scenario::{Ended, Event, Goal, Loading, Point, Role, Zone};
use grainfall_simulate::scenarios;

use crate::dowel;
use crate::house::{House, clean, clean_evidence, point, wood};
use crate::open::{self, Open};
use crate::proof::{Due, Truth};

/// Houses in which points get wet again: every reading that loses a goal by the rules as the simulator reads them.
pub fn reopened() -> Truth {
    let house = House::of(scenarios::rewetting(REOPENING_SEED).unwrap());
    let points = house.made.truth.points.iter();
    let due = points.flat_map(|one| one.reopened.iter().map(|time| Due::at(point(&one.point), *time))).collect();
    Truth { with: house.judged(), due, without: vec![("goals that are kept", clean_evidence())] }
}

/// A house whose point had met its goal before it got wet again.
const REOPENING_SEED: u64 = 2;

/// A dowel outdoors loses 12 % again in a night.
pub fn reopened_open() -> Option<Open> {
    let series = dowel::series(&open::path(dowel::LOGS[1])?, dowel::CHANNELS[0].1);
    let lost = dowel::plain_walk(&series, 12.0).1;
    let due = lost.into_iter().map(|time| Due::at(point("W1"), time)).collect();
    july("the curve comes back over 12 %").map(|open| open.raised(due))
}

/// The July job of the first dowel with a goal of 12 %.
fn july(why: &'static str) -> Option<Open> {
    Open::silent(&dowel::LOGS, dowel::job("BC1", 12.0), why).judged_at(dowel::end().unwrap()).present()
}

/// Two points of each chamber get wet again, each by more than a meter's error can hide: the first house of which that is so.
pub fn rewetting() -> Truth {
    let houses = (1..).map(|seed| House::of(scenarios::rewetting(seed).unwrap()));
    let (house, due) = houses.take(12).find_map(|house| rises(&house).map(|due| (house, due))).unwrap();
    Truth { with: house.judged(), due, without: vec![("points that dry", clean_evidence())] }
}

/// The rises due in a house; `None` where one of them is too small to be told from a meter's error.
fn rises(house: &House) -> Option<Vec<Due>> {
    let mut due = Vec::new();
    for event in &house.scenario().events {
        let Event::Rewetted { point: id, at, .. } = event else { continue };
        let read = house.read_at(id);
        let (before, after) =
            (*read.iter().rfind(|time| *time <= at).unwrap(), *read.iter().find(|time| *time > at).unwrap());
        let accuracy = house.scenario().meter(&house.scenario().point(id).unwrap().meter).unwrap().accuracy;
        let rose = house.truth(id, after) - house.truth(id, before);
        // A rise counts from a tenth of the reading before, too.
        if rose <= 2.0 * accuracy + 0.1 * house.truth(id, before) {
            return None;
        }
        // The core goes on taking up water from the wet skin: the rise may last to the reading after.
        due.push(Due::between(point(id), before, after).ends(after, after + TimeDelta::hours(26)));
    }
    Some(due)
}

/// Nights of a dowel that lay outdoors: it takes up moisture from the air. Rises of more than a tenth within a few hours,
/// walked in the text of the file.
pub fn rewetting_open() -> Option<Open> {
    let (from, to) = ("2014-05-13T00:00:00Z", "2014-09-22T00:00:00Z");
    let series = dowel::series_between(&open::path(dowel::LOGS[1])?, dowel::CHANNELS[0].1, from, to);
    // From noon to noon the largest rise within a day, of days of 18 h and more; the middle of them is the usual one.
    let noon = |time: chrono::DateTime<Utc>| (time - TimeDelta::hours(12)).date_naive();
    let mut usual: Vec<f64> = series
        .chunk_by(|a, b| noon(a.0) == noon(b.0))
        .filter(|day| day[day.len() - 1].0 - day[0].0 >= TimeDelta::hours(18))
        .map(|day| {
            let rises = (0..day.len()).flat_map(|k| day[k..].iter().map(move |later| later.1 - day[k].1));
            rises.fold(0.0, f64::max)
        })
        .collect();
    usual.sort_by(f64::total_cmp);
    let middle = usual.len() / 2;
    let usual = if usual.len() % 2 == 1 { usual[middle] } else { f64::midpoint(usual[middle - 1], usual[middle]) };
    // A rise: from the lowest sample of the 36 h before, or since the last rise, to the last that is still higher by a tenth
    // and by twice the usual.
    let mut due: Vec<(usize, usize)> = Vec::new();
    let mut begun = 0;
    for now in 1..series.len() {
        let looked = (begun..now).rev().take_while(|k| series[now].0 - series[*k].0 <= TimeDelta::hours(36));
        let low = looked.min_by(|a, b| series[*a].1.total_cmp(&series[*b].1).then(b.cmp(a))).unwrap();
        let rise = series[now].1 - series[low].1;
        if rise > 0.1 * series[low].1 && rise > 2.0 * usual {
            begun = now;
            match due.last_mut().filter(|rise| rise.1 == low) {
                Some(rise) => rise.1 = now,
                None => due.push((low, now)),
            }
        }
    }
    let due = due.into_iter().map(|(low, high)| Due::between(point("W1"), series[low].0, series[high].0)).collect();
    let job = dowel::job_between("BC1", 12.0, "2014-05-13 00:00", "2014-09-22 00:00");
    let open = Open::silent(&dowel::LOGS, job, "rain falls on the dowel").present();
    open.map(|open| open.raised(due))
}

/// Wood that is as dry as the room keeps what it has; its goal of 3.5 % stays away.
pub fn stall() -> Truth {
    let mut scenario = scenarios::clean(2).unwrap();
    let dry = wood(&mut scenario);
    dry.goal = Goal::Written(3.5);
    dry.start = Loading::Dry;
    dry.core_time_h = 400.0;
    let id = dry.id.clone();
    let house = House::of(scenario);
    let read = house.read_at(&id);
    let (first, last) = (read[0], read[read.len() - 1]);
    // At its true pace the goal is more than a week away; the finding says two, by readings rounded to 0.1 %.
    let days = (last - first).as_seconds_f64() / 86_400.0;
    let (start, end) = (house.truth(&id, first), house.truth(&id, last));
    assert!((start - end) / days * 7.0 < end - 3.5, "{start} to {end} in {days} days");
    let due = Due::between(point(&id), first, last)
        .begins(first, last - TimeDelta::hours(48))
        .ends(first + TimeDelta::hours(48), last);
    Truth {
        with: house.judged(),
        due: vec![due],
        without: vec![("points that dry", House::of(scenarios::clean(2).unwrap()).judged())],
    }
}

/// Two days of a dry-down, and then a wave of nights and days about the goal.
pub fn stall_open() -> Option<Open> {
    july("the curve falls for two days and swings after that: it stands still nowhere")
}

/// The first point of both chambers has a goal of 3.5 %, which wood comes to in no dried chamber: at 80 F the Wood
/// Handbook's Table 4-2 has it only below 20 % RH (from memory).
pub fn unreachable() -> Truth {
    let house = House::of(scenarios::unreachable_goal(1).unwrap());
    let asked = house.scenario().points.iter().filter(|one| matches!(one.goal, Goal::Written(_)));
    let clock = house.scenario().to;
    let (day, hour) = (TimeDelta::hours(24), TimeDelta::hours(1));
    let due = asked.map(|one| Due::between(point(&one.id), clock - day, clock).within(hour)).collect();
    Truth { with: house.judged(), due, without: vec![("goals within reach", clean_evidence())] }
}

/// Twelve hours into July's dry-down, in the first night after rain, the air of the day before is damp.
pub fn unreachable_open() -> Option<Open> {
    let path = open::path(dowel::LOGS[0])?;
    let clock = "2014-07-25T00:00:00Z".parse::<chrono::DateTime<Utc>>().unwrap();
    // Its mean humidity, from the file: the Wood Handbook's Table 4-2 has at least 14 % MC in air of 75 % and more at any
    // temperature up to 30 degC (from memory).
    let text = std::fs::read_to_string(path).unwrap();
    let day = text.lines().skip(1).filter_map(|line| {
        let cells: Vec<&str> = line.split(',').collect();
        let time = chrono::NaiveDateTime::parse_from_str(cells[0], "%Y-%m-%d %H:%M").ok()?.and_utc();
        (clock - TimeDelta::hours(24) <= time && time < clock).then(|| cells[13].parse::<f64>().unwrap())
    });
    let humidity: Vec<f64> = day.collect();
    #[allow(clippy::cast_precision_loss)]
    let mean = humidity.iter().sum::<f64>() / humidity.len() as f64;
    assert!(humidity.len() == 24 && mean > 75.0, "{mean} % in {} h", humidity.len());
    let due = Due::between(point("W1"), clock - TimeDelta::hours(24), clock).within(TimeDelta::hours(1));
    Open::silent(&dowel::LOGS, dowel::job("BC1", 12.0), "a day and night near saturation")
        .judged_at(clock)
        .raised(vec![due])
        .present()
}

/// Wood that read 14 % before the loss, by the job, dries to less than 12 % in any dried chamber, and not to less than 5.5 %
/// in this one.
pub fn over_dried() -> Truth {
    let with_standard = |standard: f64| {
        let mut scenario = scenarios::clean(1).unwrap();
        // No other point has a dry standard.
        scenario
            .points
            .iter_mut()
            .filter(|one| one.role == Role::Drying)
            .for_each(|one| one.goal = Goal::Written(14.0));
        let one = wood(&mut scenario);
        one.goal = Goal::DryStandard(standard);
        one.start = Loading::MoisturePct(20.0);
        let id = one.id.clone();
        (House::of(scenario), id)
    };
    let (house, id) = with_standard(14.0);
    let accuracy = house.scenario().meter(&house.scenario().point(&id).unwrap().meter).unwrap().accuracy;
    let margin = accuracy.max(1.0);
    let read = house.read_at(&id);
    // An honest reading lies within the meter's accuracy of the truth: none before the first instant may show it, every one
    // from the second on must.
    let may = read.iter().position(|time| house.truth(&id, *time) < 14.0 - margin + accuracy).unwrap();
    let must = read.iter().position(|time| house.truth(&id, *time) < 14.0 - margin - accuracy).unwrap();
    let last = read[read.len() - 1];
    assert!(must < read.len() - 1, "it shows before the last reading");
    let (wet, wet_id) = with_standard(5.5);
    let driest = wet.read_at(&wet_id).pop().unwrap();
    assert!(wet.truth(&wet_id, driest) > 5.5 - margin + accuracy);
    Truth {
        with: house.judged(),
        due: vec![Due::between(point(&id), read[may], last).begins(read[may], read[must]).ends(last, last)],
        without: vec![("wood that stays above what it read before the loss", wet.judged())],
    }
}

/// A dowel that is said to have read 16 % before: the first sample more than a point below it, and the last.
pub fn over_dried_open() -> Option<Open> {
    let job = dowel::job("BC1", 12.0).replace("goal = 12\n", "dry_standard = 16\ngoal = 12\n");
    let series = dowel::series(&open::path(dowel::LOGS[1])?, dowel::CHANNELS[0].1);
    let mut below = series.iter().filter(|(_, value)| *value < 15.0);
    let due = Due::between(point("W1"), below.next()?.0, below.next_back()?.0);
    Open::silent(&dowel::LOGS, job, "from the 26th on the curve lies below 15 %")
        .judged_at(dowel::end().unwrap())
        .raised(vec![due])
        .present()
}

/// A board is cut out.
pub fn ended() -> Truth {
    let house = clean();
    let zone = Zone::Chamber("A".to_owned());
    let own = |one: &&Point| one.role == Role::Drying && one.zone == zone;
    let (id, at) =
        (house.scenario().points.iter().rfind(own).unwrap().id.clone(), house.scenario().to - TimeDelta::hours(30));
    let with = house.written(|scenario| {
        let one = scenario.points.iter_mut().find(|one| one.id == id).unwrap();
        one.ended = Some(Ended { at, reason: "cut out and taken away".to_owned() });
    });
    Truth { with, due: vec![Due::at(point(&id), at)], without: vec![("points that stay", clean_evidence())] }
}

/// The probe was read to the end.
pub fn ended_open() -> Option<Open> {
    july("nothing is written of an end, and the curve goes on")
}
