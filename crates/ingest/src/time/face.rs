//! Clocks that count twelve hours twice a day and say neither AM nor PM.
//!
//! Such stamps show no hour of 0 or above 12, and where the face begins again the time of one date goes back by twelve
//! hours less one step. A log that never passes that place cannot be told from one of a morning; it is read as written
//! and that is said.

use chrono::{NaiveDateTime, TimeDelta, Timelike};

use super::order::{Order, Undecided};
use super::source::{Moment, Source};
use super::stamp::Stamp;
use crate::notes::{Notes, cut};
use crate::table::{Layout, Table};

/// Rows below which nothing is said of a log that may be of a morning.
const FEW_ROWS: usize = 6;
const HALF_DAY: TimeDelta = TimeDelta::hours(12);

/// Whether the stamps of a table can be read as they are.
pub(crate) fn check(
    table: &Table<'_>,
    layout: &Layout,
    source: &Source,
    order: Order,
    notes: &mut Notes,
) -> Result<(), Undecided> {
    let Some(column) = source.clock_column() else { return Ok(()) };
    let mut walls: Vec<(usize, NaiveDateTime)> = Vec::new();
    let mut spans = Vec::new();
    for row in layout.first..table.rows() {
        let Some(moment) = source.read(table.open(row, &mut spans), order) else { continue };
        let Moment::Wall(wall) = moment else { return Ok(()) };
        if wall.hour() == 0
            || wall.hour() > 12
            || Stamp::parse(table.cell(row, column)).is_none_or(|s| s.half || s.time.is_none())
        {
            return Ok(());
        }
        walls.push((row, wall));
    }
    let steps: Vec<TimeDelta> = walls.windows(2).map(|pair| pair[1].1 - pair[0].1).collect();
    let forth = steps.iter().filter(|step| **step > TimeDelta::zero()).count();
    let back = steps.iter().filter(|step| **step < TimeDelta::zero()).count();
    let forward = forth >= back;
    let mut sizes: Vec<TimeDelta> = steps.iter().map(|step| step.abs()).filter(|step| !step.is_zero()).collect();
    sizes.sort_unstable();
    let Some(usual) = sizes.get(sizes.len() / 2).copied() else { return Ok(()) };
    let turn = steps.iter().zip(walls.windows(2)).find(|(step, pair)| {
        let true_step = if forward { **step + HALF_DAY } else { HALF_DAY - **step };
        let same_day = pair[0].1.date() == pair[1].1.date();
        same_day
            && (if forward { **step < TimeDelta::zero() } else { **step > TimeDelta::zero() })
            && (true_step - usual).abs() * 2 <= usual
    });
    if let Some((_, pair)) = turn {
        let text = |at: usize| cut(table.cell(pair[at].0, column), 40);
        return Err(Undecided {
            reason: format!(
                "`{}` in line {} is followed by `{}`, and no hour is 0 or above 12: a clock of twelve hours without AM or PM",
                text(0),
                table.line(pair[0].0),
                text(1)
            ),
            remedy: "export it again with hours from 0 to 23, or with AM and PM".into(),
        });
    }
    if walls.len() >= FEW_ROWS {
        notes.guess(
            "hours",
            "read as written",
            "no hour is 0 or above 12 and none says AM or PM; if the clock counts twelve hours twice a day, export the file with hours from 0 to 23",
        );
    }
    Ok(())
}
