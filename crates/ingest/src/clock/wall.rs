//! Stamps of a wall clock that follows daylight saving.
//!
//! The hour that occurs twice is resolved by the order of the rows, before anything is sorted:
//! - stamps that go back once within the hour: rows before are the first pass, rows after the second;
//! - every stamp twice in a row (a file sorted by text): the first is the first pass, the next the second;
//! - the hour once only: the pass that makes the steps to its neighbours more even, else neither.
//!
//! At the same time the stamps are weighed: steps that stay even on the wall through a change, an hour that occurs
//! twice and yet is there once, and stamps that cannot exist speak for a clock that never changes.

use chrono::{DateTime, NaiveDateTime, Utc};
use chrono_tz::Tz;
use grainfall_record::Certainty;

use super::at_offset;
use super::zone::{Local, Lookup};

/// Microseconds of a second.
const SECOND: i64 = 1_000_000;

/// What the stamps say.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Reading {
    pub instants: Vec<Option<DateTime<Utc>>>,
    /// Stamps that cannot exist.
    never: Vec<usize>,
    /// Changes at which an hour is there twice.
    twice: usize,
    /// Changes crossed in even steps of true time.
    even_in_utc: usize,
    /// Changes crossed in even steps of the wall, with the position after.
    even_on_wall: Vec<usize>,
    /// A log that begins within an hour that occurs twice, and shows one pass of it.
    pub begins: Option<Begins>,
    /// Whether a log that begins within such an hour goes on evenly over the change.
    crosses: bool,
    /// Stamps of an hour that occurs twice where no row shows which pass; they have no instant.
    pub open: Vec<usize>,
}

/// The beginning of a log within an hour that occurs twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Begins {
    /// The row.
    pub at: usize,
    /// Offsets of both passes, in seconds.
    pub passes: (i32, i32),
    /// Whether the row after the hour tells the pass, were the clock known to follow the changes.
    told: bool,
}

/// A stretch of stamps that can be either of two instants.
struct Fold {
    /// Places in time order of the rows.
    members: Vec<usize>,
    early: i32,
    late: i32,
}

/// Reads stamps in row order; rows may be newest first.
pub(super) fn read(zone: Tz, stamps: &[NaiveDateTime]) -> Reading {
    let mut reading = Reading { instants: vec![None; stamps.len()], ..Reading::default() };
    let back = stamps.windows(2).filter(|pair| pair[1] < pair[0]).count();
    let forth = stamps.windows(2).filter(|pair| pair[1] > pair[0]).count();
    // Rows in the direction of time.
    let order: Vec<usize> = if back > forth { (0..stamps.len()).rev().collect() } else { (0..stamps.len()).collect() };
    let mut lookup = Lookup::new(zone);
    let mut offsets: Vec<Option<i32>> = vec![None; order.len()];
    let mut folds: Vec<Fold> = Vec::new();
    for (place, at) in order.iter().enumerate() {
        match lookup.at(stamps[*at]) {
            Local::One(offset) => offsets[place] = Some(offset),
            Local::Never => reading.never.push(*at),
            Local::Twice(early, late) => match folds.last_mut() {
                Some(fold) if near(stamps[order[fold.members[0]]], stamps[*at]) => fold.members.push(place),
                _ => folds.push(Fold { members: vec![place], early, late }),
            },
        }
    }
    let walls: Vec<i64> = order.iter().map(|at| micros(stamps[*at])).collect();
    let step = usual_step(&walls);
    for fold in &folds {
        match resolve(fold, &walls, step, &mut offsets) {
            Pass::Both => reading.twice += 1,
            Pass::One => {}
            Pass::None => reading.even_on_wall.extend(fold.members.last().and_then(|last| order.get(last + 1))),
            Pass::Open => reading.open.extend(fold.members.iter().map(|place| order[*place])),
            // The change itself is there, in even steps of true time.
            Pass::Begins { told: true, crosses: true } => reading.crosses = true,
            Pass::Begins { told, .. } => {
                reading.begins = Some(Begins { at: order[0], passes: (fold.early, fold.late), told });
            }
        }
    }
    for (place, at) in order.iter().enumerate() {
        reading.instants[*at] = offsets[place].and_then(|offset| at_offset(stamps[*at], offset));
    }
    if let Some(step) = step {
        weigh(&walls, &offsets, step, &order, &mut reading);
    }
    reading.never.sort_unstable();
    reading.open.sort_unstable();
    reading
}

/// Microseconds of a wall time, counted as if it were UTC.
fn micros(wall: NaiveDateTime) -> i64 {
    wall.and_utc().timestamp_micros()
}

fn near(a: NaiveDateTime, b: NaiveDateTime) -> bool {
    (micros(a) - micros(b)).abs() < 12 * 3600 * SECOND
}

/// The median step between rows, when there is one.
fn usual_step(walls: &[i64]) -> Option<i64> {
    let mut steps: Vec<i64> = walls.windows(2).map(|pair| pair[1] - pair[0]).filter(|step| *step > 0).collect();
    let middle = steps.len() / 2;
    if steps.is_empty() { None } else { Some(*steps.select_nth_unstable(middle).1) }
}

fn even(step: i64, usual: i64) -> bool {
    (step - usual).abs() * 4 <= usual
}

/// How often an hour that occurs twice is there.
enum Pass {
    Both,
    /// Once, and the rows show which.
    One,
    /// Once, and without the hole that either pass would leave beside it.
    None,
    /// Once, and either pass would do.
    Open,
    /// Once, at the beginning: a clock that never changed may show the first pass so, and one that did the second.
    Begins {
        /// Whether the row behind it tells the pass of a clock that changed.
        told: bool,
        /// Whether that row is an even step of true time away over the change, and is not on the wall.
        crosses: bool,
    },
}

/// Gives the members of a fold their offsets.
fn resolve(fold: &Fold, walls: &[i64], step: Option<i64>, offsets: &mut [Option<i32>]) -> Pass {
    let wall = |member: usize| walls[fold.members[member]];
    // Stamps of one time need not be alike to the millisecond.
    let slack = step.map_or(0, |usual| usual / 10);
    let again = |m: usize| (wall(m) - wall(m - 1)).abs() <= slack;
    let count = fold.members.len();
    if let Some(turn) = (1..count).find(|m| wall(*m) < wall(m - 1) && !again(*m)) {
        for (at, place) in fold.members.iter().enumerate() {
            offsets[*place] = Some(if at < turn { fold.early } else { fold.late });
        }
        return Pass::Both;
    }
    let doubled = (1..count).filter(|m| again(*m)).count();
    if doubled > 0 && doubled * 3 >= count {
        for (at, place) in fold.members.iter().enumerate() {
            let second = at > 0 && again(at);
            offsets[*place] = Some(if second { fold.late } else { fold.early });
        }
        return Pass::Both;
    }
    // Once only: the pass in which the steps to the neighbours are more even.
    let first = fold.members[0];
    let last = fold.members[count - 1];
    let shift = i64::from(fold.early - fold.late) * SECOND;
    let uneven = |true_step: i64| step.map_or(0, |usual| (true_step - usual).abs());
    let (mut early, mut late, mut neither) = (0, 0, 0);
    if let Some(before) = first.checked_sub(1) {
        let on_wall = walls[first] - walls[before];
        early += uneven(on_wall);
        late += uneven(on_wall + shift);
        neither += uneven(on_wall);
    }
    if let Some(after) = walls.get(last + 1) {
        let on_wall = after - walls[last];
        early += uneven(on_wall + shift);
        late += uneven(on_wall);
        neither += uneven(on_wall);
    }
    let second = late < early;
    for place in &fold.members {
        offsets[*place] = Some(if second { fold.late } else { fold.early });
    }
    if first == 0 {
        let usual = step.unwrap_or(0);
        let crosses = walls.get(last + 1).is_some_and(|after| {
            let on_wall = after - walls[last];
            even(on_wall + shift, usual) && !even(on_wall, usual)
        });
        Pass::Begins { told: early != late, crosses }
    } else if neither * 2 <= early.min(late) && early.min(late) > 0 {
        Pass::None
    } else if early == late {
        fold.members.iter().for_each(|place| offsets[*place] = None);
        Pass::Open
    } else {
        Pass::One
    }
}

/// Counts the changes of offset that are crossed in even steps, in true time or on the wall.
fn weigh(walls: &[i64], offsets: &[Option<i32>], step: i64, order: &[usize], reading: &mut Reading) {
    for place in 2..walls.len().saturating_sub(1) {
        let (Some(before), Some(after)) = (offsets[place - 1], offsets[place]) else { continue };
        if before == after {
            continue;
        }
        // Even steps on both sides, or the log is too irregular to tell.
        let calm = even(walls[place - 1] - walls[place - 2], step) && even(walls[place + 1] - walls[place], step);
        if !calm {
            continue;
        }
        let on_wall = walls[place] - walls[place - 1];
        let in_utc = on_wall - i64::from(after - before) * SECOND;
        if even(in_utc, step) {
            reading.even_in_utc += 1;
        } else if even(on_wall, step) {
            reading.even_on_wall.push(order[place]);
        }
    }
}

impl Reading {
    /// Why the clock is one that never changes, if the stamps say so.
    pub fn against(&self, zone: Tz, stamps: &[NaiveDateTime], lines: &[u64]) -> Option<(String, Certainty)> {
        let line = |at: usize| lines.get(at).copied().unwrap_or(0);
        let text = |at: usize| stamps[at].format("%Y-%m-%d %H:%M").to_string();
        if self.twice > 0 || self.even_in_utc > 0 || self.crosses {
            return None;
        }
        if let Some(at) = self.never.first() {
            let reason = format!(
                "`{}` in line {} does not exist on a wall clock of {zone}, so the clock never changed",
                text(*at),
                line(*at)
            );
            return Some((reason, Certainty::Settled));
        }
        let at = self.even_on_wall.first()?;
        let reason = format!(
            "the stamps run on evenly to `{}` in line {} where clocks of {zone} change, so this clock seems not to; if it does, add `clock = \"wall\"` to its `[[logger]]` in job.toml",
            text(*at),
            line(*at)
        );
        Some((reason, Certainty::Guess))
    }

    /// A beginning that can be of either pass. `open` where nobody said that the clock follows the changes.
    pub fn undecided(&self, open: bool) -> Option<Begins> {
        let follows = !open || self.twice > 0 || self.even_in_utc > 0 || self.crosses;
        self.begins.filter(|begins| !follows || !begins.told)
    }

    /// What the stamps say for the wall clock.
    pub fn shown(&self) -> Option<String> {
        match (self.twice, self.even_in_utc) {
            (0, 0) if self.crosses => Some("the rows go on evenly over the hour that the clocks repeat".into()),
            (0, 0) => None,
            (0, _) => Some("the stamps skip the hour that the clocks skip".into()),
            _ => Some("the hour that occurs twice is there twice, told apart by the order of rows".into()),
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono::TimeDelta;
    use chrono_tz::America::New_York;
    use chrono_tz::Australia::Lord_Howe;

    use super::*;

    fn stamps(texts: &[&str]) -> Vec<NaiveDateTime> {
        texts.iter().map(|t| NaiveDateTime::parse_from_str(t, "%Y-%m-%d %H:%M").unwrap()).collect()
    }

    fn utc(zone: Tz, texts: &[&str]) -> Vec<String> {
        read(zone, &stamps(texts))
            .instants
            .iter()
            .map(|i| i.map_or("never".into(), |i| i.format("%d %H:%M").to_string()))
            .collect()
    }

    #[test]
    fn a_repeated_hour_by_row_order() {
        let hour = [
            "2025-11-02 00:30",
            "2025-11-02 01:00",
            "2025-11-02 01:30",
            "2025-11-02 01:00",
            "2025-11-02 01:30",
            "2025-11-02 02:00",
        ];
        let want = ["02 04:30", "02 05:00", "02 05:30", "02 06:00", "02 06:30", "02 07:00"];
        assert_eq!(utc(New_York, &hour), want);
        let mut newest_first = hour;
        newest_first.reverse();
        let mut reversed = want;
        reversed.reverse();
        assert_eq!(utc(New_York, &newest_first), reversed);
    }

    #[test]
    fn hourly_stamps_that_repeat() {
        let hour = ["2013-11-03 00:00", "2013-11-03 01:00", "2013-11-03 01:00", "2013-11-03 02:00"];
        assert_eq!(utc(New_York, &hour), ["03 04:00", "03 05:00", "03 06:00", "03 07:00"]);
    }

    #[test]
    fn interleaved_hours_of_a_sorted_file() {
        let hour = [
            "2025-11-02 00:30",
            "2025-11-02 01:00",
            "2025-11-02 01:00",
            "2025-11-02 01:30",
            "2025-11-02 01:30",
            "2025-11-02 02:00",
        ];
        assert_eq!(utc(New_York, &hour), ["02 04:30", "02 05:00", "02 06:00", "02 05:30", "02 06:30", "02 07:00"]);
    }

    #[test]
    fn a_half_hour_change() {
        // Lord Howe Island goes from +11:00 to +10:30 at 02:00 on 2025-04-06, 15:00 UTC the day before.
        let half = ["2025-04-06 01:30", "2025-04-06 01:45", "2025-04-06 01:30", "2025-04-06 01:45", "2025-04-06 02:00"];
        assert_eq!(utc(Lord_Howe, &half), ["05 14:30", "05 14:45", "05 15:00", "05 15:15", "05 15:30"]);
    }

    #[test]
    fn a_skipped_hour() {
        let spring = ["2025-03-09 01:30", "2025-03-09 03:00", "2025-03-09 03:30"];
        assert_eq!(utc(New_York, &spring), ["09 06:30", "09 07:00", "09 07:30"]);
        assert_eq!(utc(New_York, &["2025-03-09 02:30"]), ["never"]);
    }

    #[test]
    fn an_hour_there_once_joins_its_neighbour() {
        // A log that starts in the second pass, if its clock changed.
        let late = ["2025-11-02 01:40", "2025-11-02 01:50", "2025-11-02 02:00", "2025-11-02 02:10"];
        assert_eq!(utc(New_York, &late), ["02 06:40", "02 06:50", "02 07:00", "02 07:10"]);
        // A log that ends in the first.
        let early = ["2025-11-02 00:40", "2025-11-02 00:50", "2025-11-02 01:00", "2025-11-02 01:10"];
        assert_eq!(utc(New_York, &early), ["02 04:40", "02 04:50", "02 05:00", "02 05:10"]);
    }

    #[test]
    fn even_steps_through_the_change_speak_for_a_fixed_clock() {
        let even: Vec<NaiveDateTime> =
            (0..12).map(|i| stamps(&["2025-11-02 00:00"])[0] + TimeDelta::minutes(20 * i)).collect();
        let reading = read(New_York, &even);
        let (reason, certainty) = reading.against(New_York, &even, &(2..14).collect::<Vec<u64>>()).unwrap();
        assert_eq!(
            reason,
            "the stamps run on evenly to `2025-11-02 02:00` in line 8 where clocks of America/New_York change, so \
             this clock seems not to; if it does, add `clock = \"wall\"` to its `[[logger]]` in job.toml"
        );
        assert_eq!(certainty, Certainty::Guess);
    }

    #[test]
    fn a_log_that_follows_the_change_shows_it() {
        let spring = stamps(&["2025-03-09 01:00", "2025-03-09 01:30", "2025-03-09 03:00", "2025-03-09 03:30"]);
        let reading = read(New_York, &spring);
        assert!(reading.against(New_York, &spring, &[1, 2, 3, 4]).is_none());
        assert_eq!(reading.shown().unwrap(), "the stamps skip the hour that the clocks skip");
    }
}
