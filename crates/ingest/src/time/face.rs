//! Clocks that count twelve hours twice a day and say neither AM nor PM.
//!
//! Such stamps show no hour of 0 or above 12. The order of the rows tells the halves apart: time goes on, by the usual
//! step, so a log that passes noon or midnight has one reading only. One that passes neither has two: where its stamps
//! can be hours of a whole day they are read so, and that is said; else they are refused.

use chrono::{NaiveDateTime, NaiveTime, TimeDelta, Timelike};

use super::order::{Order, Undecided};
use super::source::{Moment, Source};
use super::stamp::Stamp;
use crate::notes::{Notes, cut};
use crate::table::{Layout, Table};

/// Rows below which nothing is said of a log that may be of a morning.
const FEW_ROWS: usize = 6;

/// Half of the day of every row of a table, where the stamps do not say it themselves.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Halves {
    /// Rows of the second half; empty where hours mean what they say.
    pm: Vec<bool>,
}

impl Halves {
    /// The moment of a row with its half put in.
    pub fn apply(&self, row: usize, moment: Moment) -> Moment {
        match (self.pm.get(row), moment) {
            (Some(pm), Moment::Wall(wall)) => Moment::Wall(in_half(wall, *pm)),
            _ => moment,
        }
    }
}

/// A time of the face in one half of its day.
fn in_half(wall: NaiveDateTime, pm: bool) -> NaiveDateTime {
    let hour = wall.hour() % 12 + if pm { 12 } else { 0 };
    wall.date().and_time(wall.time().with_hour(hour).unwrap_or(NaiveTime::MIN))
}

/// A row whose stamp can be of either half.
struct Seen {
    row: usize,
    wall: NaiveDateTime,
}

/// The halves of a table's stamps.
pub(crate) fn halves(
    table: &Table<'_>,
    layout: &Layout,
    source: &Source,
    order: Order,
    notes: &mut Notes,
) -> Result<Halves, Undecided> {
    let Some(column) = source.clock_column() else { return Ok(Halves::default()) };
    let mut seen: Vec<Seen> = Vec::new();
    let mut spans = Vec::new();
    for row in layout.first..table.rows() {
        let cells = table.open(row, &mut spans);
        let Some(moment) = source.read(cells, order) else { continue };
        let Moment::Wall(wall) = moment else { return Ok(Halves::default()) };
        if !(1..=12).contains(&wall.hour())
            || Stamp::parse(cells.cell(column)).is_none_or(|s| s.half || s.time.is_none())
        {
            return Ok(Halves::default());
        }
        seen.push(Seen { row, wall });
    }
    let back = seen.windows(2).filter(|pair| pair[1].wall.date() < pair[0].wall.date()).count();
    let forth = seen.windows(2).filter(|pair| pair[1].wall.date() > pair[0].wall.date()).count();
    let backward = if back == forth {
        let later = seen.windows(2).filter(|pair| pair[1].wall > pair[0].wall).count();
        later * 2 < seen.windows(2).filter(|pair| pair[1].wall != pair[0].wall).count()
    } else {
        back > forth
    };
    if backward {
        seen.reverse();
    }
    let Some(paths) = Paths::over(&seen) else { return Ok(Halves::default()) };
    if paths.as_written == paths.best || paths.best > 0 && !paths.turns {
        // Hours of a whole day explain the rows as well as any halves do.
        if (paths.open.is_some() || paths.best > 0) && seen.len() >= FEW_ROWS {
            notes.guess(
                "hours",
                "read as written",
                "no hour is 0 or above 12 and none says AM or PM; if the clock counts twelve hours twice a day, export the file with hours from 0 to 23",
            );
        }
        return Ok(Halves::default());
    }
    let text = |at: usize| cut(table.cell(seen[at].row, column), 40);
    let line = |at: usize| table.line(seen[at].row);
    let clock = |at: usize, pm: bool| in_half(seen[at].wall, pm).format("%H:%M");
    // Over a long gap a half day more would not show.
    let leap = (1..seen.len()).find(|at| {
        in_half(seen[*at].wall, paths.pm[*at]) - in_half(seen[at - 1].wall, paths.pm[at - 1]) > TimeDelta::hours(6)
    });
    if let Some(at) = paths.open.or(leap) {
        return Err(Undecided {
            reason: format!(
                "`{}` in line {} can be {} or {}, and every row of the file fits each reading: no hour is 0 or above 12, and none says AM or PM",
                text(at),
                line(at),
                clock(at, false),
                clock(at, true)
            ),
            remedy: "export it again with hours from 0 to 23, or with AM and PM".into(),
        });
    }
    let turn = (1..seen.len()).find(|at| paths.pm[*at] != paths.pm[at - 1]).unwrap_or(0);
    let mut halves = Halves { pm: vec![false; table.rows()] };
    for (one, pm) in seen.iter().zip(&paths.pm) {
        halves.pm[one.row] = *pm;
    }
    notes.settled(
        "hours",
        "twelve, counted twice a day",
        format!(
            "no hour is 0 or above 12 and none says AM or PM; the clock goes on from row to row only if `{}` in line {} is {}",
            text(turn),
            line(turn),
            clock(turn, paths.pm[turn])
        ),
    );
    Ok(halves)
}

/// What a step back costs: as much as two steps that are not the usual one.
const BACK: usize = 2;

/// The choice of halves under which the clock goes on best.
struct Paths {
    best: usize,
    /// The cost of reading the hours as they stand.
    as_written: usize,
    /// The halves of one of the best choices.
    pm: Vec<bool>,
    /// The first row that another choice, as good, gives the other half.
    open: Option<usize>,
    /// Whether the hours as they stand go back by half a day less one step, as a face of twelve hours does at one.
    turns: bool,
}

impl Paths {
    /// `None` for rows of one time only.
    fn over(seen: &[Seen]) -> Option<Self> {
        let usual = usual_step(seen)?;
        let cost = |step: TimeDelta| {
            if step < TimeDelta::zero() {
                BACK
            } else {
                usize::from((step - usual).abs() * 2 > usual && !step.is_zero())
            }
        };
        let as_written = seen.windows(2).map(|pair| cost(pair[1].wall - pair[0].wall)).sum();
        // Rows of one stamp stand side by side for several loggers: they share their half.
        let step = |at: usize, half: bool, next: bool| {
            let (a, b) = (seen[at].wall, seen[at + 1].wall);
            (a != b || half == next).then(|| cost(in_half(b, next) - in_half(a, half)))
        };
        let mut rest = vec![[0_usize; 2]; seen.len()];
        for at in (0..seen.len() - 1).rev() {
            for half in [false, true] {
                let ways = [false, true].map(|next| Some(step(at, half, next)? + rest[at + 1][usize::from(next)]));
                rest[at][usize::from(half)] = ways.into_iter().flatten().min().unwrap_or(usize::MAX / 2);
            }
        }
        let best = rest[0][0].min(rest[0][1]);
        let mut open = (rest[0][0] == rest[0][1]).then_some(0);
        let mut pm = vec![rest[0][0] > best];
        for at in 0..seen.len() - 1 {
            let left = rest[at][usize::from(pm[at])];
            let good =
                |next: bool| step(at, pm[at], next).is_some_and(|cost| cost + rest[at + 1][usize::from(next)] == left);
            if good(false) && good(true) {
                open = open.or(Some(at + 1));
            }
            pm.push(!good(false));
        }
        let turns = seen.windows(2).any(|pair| {
            let step = pair[1].wall - pair[0].wall;
            step < TimeDelta::zero() && (step + TimeDelta::hours(12) - usual).abs() * 2 <= usual
        });
        Some(Self { best, as_written, pm, open, turns })
    }
}

/// The median of the steps between rows, on the face of the clock; `None` where there is none.
fn usual_step(seen: &[Seen]) -> Option<TimeDelta> {
    let half_day = TimeDelta::hours(12);
    let face = |wall: NaiveDateTime| in_half(wall, false).time() - NaiveTime::MIN;
    let mut steps: Vec<TimeDelta> = seen
        .windows(2)
        .map(|pair| {
            let step = face(pair[1].wall) - face(pair[0].wall);
            if step < TimeDelta::zero() { step + half_day } else { step }
        })
        .filter(|step| !step.is_zero())
        .collect();
    steps.sort_unstable();
    steps.get(steps.len() / 2).copied()
}
