//! Clocks that count twelve hours twice a day and say neither AM nor PM.
//!
//! Such stamps show no hour of 0 or above 12. The order of the rows tells the halves apart: time goes on, by the usual
//! step, so a log that passes noon or midnight has one reading only. One that passes neither has two. Then the job
//! decides, what stands around the rows, or another file that the same program wrote. Where none of these does, a date
//! that begins with its year is followed by hours of a whole day (ISO 8601-1:2019, 4.3.8, hours from 00 to 23; from
//! memory), and so is one with dots, as they are used where clocks count so (common practice, no source): that is read
//! as written, as a guess. Any other file is refused.

use chrono::{NaiveDateTime, NaiveTime, TimeDelta, Timelike};
use grainfall_record::{Certainty, Hours};

use super::evidence::{Around, stamps, starts};
use super::order::{Order, Undecided};
use super::source::{Moment, Source};
use super::stamp::{DateText, Stamp};
use crate::notes::{Notes, cut, logger_line};
use crate::siblings::{Answer, Face};
use crate::table::{Layout, Table};

/// Rows below which nothing is said of a log that may be of a morning, where its dates speak for a whole day.
const FEW_ROWS: usize = 6;

/// Half of the day of every row of a table, where the stamps do not say it themselves.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Halves {
    /// Rows of the second half; empty where hours mean what they say.
    pm: Vec<bool>,
    /// What the hours show.
    shown: Answer<Face>,
}

impl Halves {
    /// Hours that mean what they say.
    fn none(shown: Answer<Face>) -> Self {
        Self { pm: Vec::new(), shown }
    }

    /// The moment of a row with its half put in.
    pub fn apply(&self, row: usize, moment: Moment) -> Moment {
        match (self.pm.get(row), moment) {
            (Some(pm), Moment::Wall(wall)) => Moment::Wall(in_half(wall, *pm)),
            _ => moment,
        }
    }
}

/// What a file shows of its hours.
pub(crate) fn answer(halves: &Result<Halves, Undecided>) -> Answer<Face> {
    halves.as_ref().map_or(Answer::Open, |halves| halves.shown)
}

/// A time of the face in one half of its day.
fn in_half(wall: NaiveDateTime, pm: bool) -> NaiveDateTime {
    let hour = wall.hour() % 12 + if pm { 12 } else { 0 };
    wall.date().and_time(wall.time().with_hour(hour).unwrap_or(NaiveTime::MIN))
}

/// Whether an hour without AM and PM is one of a whole day.
fn is_whole_day(hour: u32) -> bool {
    !(1..=12).contains(&hour)
}

/// A row whose stamp can be of either half.
#[derive(Clone, Copy)]
struct Seen {
    row: usize,
    wall: NaiveDateTime,
}

/// The halves of a table's stamps. `said` is what the job says of its hours.
pub(crate) fn halves(
    table: &Table<'_>,
    layout: &Layout,
    source: &Source,
    order: Order,
    around: Around<'_>,
    said: Option<Hours>,
    notes: &mut Notes,
) -> Result<Halves, Undecided> {
    let Some(column) = source.clock_column() else { return Ok(Halves::default()) };
    let mut seen: Vec<Seen> = Vec::new();
    let mut spans = Vec::new();
    for row in layout.first..table.rows() {
        let cells = table.open(row, &mut spans);
        let Some(moment) = source.read(cells, order) else { continue };
        let Moment::Wall(wall) = moment else { return Ok(Halves::default()) };
        let stamp = Stamp::parse(cells.cell(column));
        // A last row without its end may be cut within its time.
        if stamp.is_none() && row + 1 == table.rows() && !table.ended {
            continue;
        }
        let Some(stamp) = stamp.filter(|stamp| !stamp.half) else {
            return Ok(Halves::default());
        };
        if stamp.time.is_none() {
            continue;
        }
        if is_whole_day(wall.hour()) {
            return Ok(Halves::none(Answer::Shown(Face::WholeDay)));
        }
        seen.push(Seen { row, wall });
    }
    let Some(date) = seen.first().and_then(|first| source.stamp(table, first.row)) else {
        return Ok(Halves::default());
    };
    if is_backward(&seen) {
        seen.reverse();
    }
    let rows = Rows { table, column, name: around.name, seen };
    let turned =
        Paths::over(&rows.seen, None).filter(|paths| paths.as_written > paths.best && (paths.best == 0 || paths.turns));
    match (turned, said) {
        (Some(paths), Some(said)) if paths.unsure(&rows.seen).is_some() => rows.said(&rows.seen, said, notes),
        (Some(paths), _) => rows.turned(paths, notes),
        (None, _) => rows.as_written(&date, order, around, said, notes),
    }
}

/// Whether the rows run from the newest to the oldest.
fn is_backward(seen: &[Seen]) -> bool {
    let back = seen.windows(2).filter(|pair| pair[1].wall.date() < pair[0].wall.date()).count();
    let forth = seen.windows(2).filter(|pair| pair[1].wall.date() > pair[0].wall.date()).count();
    if back != forth {
        return back > forth;
    }
    let later = seen.windows(2).filter(|pair| pair[1].wall > pair[0].wall).count();
    later * 2 < seen.windows(2).filter(|pair| pair[1].wall != pair[0].wall).count()
}

/// The rows of a table, none of which says its half of the day, oldest first.
struct Rows<'t> {
    table: &'t Table<'t>,
    /// Where the time of day stands.
    column: usize,
    /// The file's path.
    name: &'t str,
    seen: Vec<Seen>,
}

const NEITHER: &str = "no hour is 0 or above 12 and none says AM or PM";
const TWELVE: &str = "twelve, counted twice a day";

impl Rows<'_> {
    fn text(&self, seen: Seen) -> String {
        cut(self.table.cell(seen.row, self.column), 40)
    }

    /// Rows that only twelve hours explain, where the clock goes on from each to the next.
    fn turned(&self, paths: Paths, notes: &mut Notes) -> Result<Halves, Undecided> {
        if let Some(at) = paths.unsure(&self.seen) {
            return Err(self.undecided(self.seen[at]));
        }
        let turn = (1..self.seen.len()).find(|at| paths.pm[*at] != paths.pm[at - 1]).unwrap_or(0);
        let reason = format!(
            "{NEITHER}; the clock goes on from row to row only if `{}` in line {} is {}",
            self.text(self.seen[turn]),
            self.table.line(self.seen[turn].row),
            in_half(self.seen[turn].wall, paths.pm[turn]).format("%H:%M")
        );
        notes.settled("hours", TWELVE, reason);
        Ok(self.halves(&self.seen, &paths.pm, Answer::Shown(Face::Twelve)))
    }

    /// Hours as the job says them to be. `seen` are the rows, oldest first.
    fn said(&self, seen: &[Seen], said: Hours, notes: &mut Notes) -> Result<Halves, Undecided> {
        let pm = match said {
            Hours::WholeDay => {
                let reason = format!("{NEITHER}, and the job says that they are hours of a whole day");
                notes.decide("hours", "read as written", reason, Certainty::Stated);
                return Ok(Halves::none(Answer::NotAsked));
            }
            Hours::FromMorning => false,
            Hours::FromAfternoon => true,
        };
        let halves = self.from(seen, pm)?;
        let half = if pm { "from noon on" } else { "before noon" };
        let reason = format!("{NEITHER}, and the job says that the first is {half}");
        notes.decide("hours", TWELVE, reason, Certainty::Stated);
        Ok(halves)
    }

    /// The halves of twelve hours that begin with this one.
    fn from(&self, seen: &[Seen], pm: bool) -> Result<Halves, Undecided> {
        let paths = Paths::over(seen, Some(pm));
        match paths.as_ref().and_then(|paths| paths.unsure(seen)) {
            Some(at) => Err(Undecided {
                remedy: "export it again with hours from 0 to 23, or with AM and PM: the step before this row is too long to tell".into(),
                ..self.undecided(seen[at])
            }),
            None => {
                let pm = paths.map_or_else(|| vec![pm; seen.len()], |paths| paths.pm);
                Ok(self.halves(seen, &pm, Answer::NotAsked))
            }
        }
    }

    /// Rows that hours of a whole day explain as well as any halves do.
    fn as_written(
        &self,
        date: &Stamp,
        order: Order,
        around: Around<'_>,
        said: Option<Hours>,
        notes: &mut Notes,
    ) -> Result<Halves, Undecided> {
        // Some rows may be late, or an hour be there twice.
        let mut sorted = self.seen.clone();
        sorted.sort_by_key(|seen| seen.wall);
        let cost = |rows: &[Seen]| Paths::over(rows, None).map_or(0, |paths| paths.as_written);
        let rows = if cost(&self.seen) <= cost(&sorted) { self.seen.clone() } else { sorted };
        let open = match Paths::over(&rows, None) {
            Some(paths) if paths.as_written == paths.best => paths.open,
            _ => Some(0),
        };
        let Some(open) = open else { return Ok(Halves::default()) };
        if let Some(said) = said {
            return self.said(&rows, said, notes);
        }
        if let Some((pm, reason)) = self.by_start(order, around)
            && let Ok(halves) = self.from(&rows, pm)
        {
            notes.settled("hours", TWELVE, reason);
            return Ok(halves);
        }
        if let Some(reason) = by_form(date, around) {
            notes.settled("hours", "read as written", reason);
            return Ok(Halves::none(Answer::Shown(Face::WholeDay)));
        }
        if let Some(path) = around.told.and_then(|told| told.whole_day.as_ref()) {
            let reason = format!(
                "{NEITHER}; `{path}`, with the same names and the same form of dates, has hours of a whole day"
            );
            notes.settled("hours", "read as written", reason);
            return Ok(Halves::none(Answer::NotAsked));
        }
        if !counts_whole_days(date, order) {
            return Err(self.undecided(rows[open]));
        }
        if self.seen.len() >= FEW_ROWS {
            let reason = format!(
                "{NEITHER}, but dates of this form go with hours of a whole day; if the clock counts twelve hours twice a day, add {} or `\"pm\"`, for the half of its first row, to job.toml",
                logger_line(self.name, "hours = \"am\"")
            );
            notes.guess("hours", "read as written", reason);
        }
        Ok(Halves::none(Answer::Open))
    }

    /// By a start beyond doubt, which is the moment of the first row in one half only.
    fn by_start(&self, order: Order, around: Around<'_>) -> Option<(bool, String)> {
        let first = self.seen.first()?;
        starts(around.facts).find_map(|(key, text, stamp)| {
            let wall = stamp.wall(order)?;
            let pm = wall.hour() >= 12;
            let sure = stamp.time.is_some() && (stamp.half || is_whole_day(wall.hour()));
            let meets = (in_half(first.wall, pm) - wall).abs() < TimeDelta::minutes(1);
            (sure && meets).then(|| (pm, format!("{NEITHER}; the first row is the `{key}`, `{text}`")))
        })
    }

    fn halves(&self, seen: &[Seen], pm: &[bool], shown: Answer<Face>) -> Halves {
        let mut halves = Halves { pm: vec![false; self.table.rows()], shown };
        for (one, pm) in seen.iter().zip(pm) {
            halves.pm[one.row] = *pm;
        }
        halves
    }

    fn undecided(&self, seen: Seen) -> Undecided {
        let clock = |pm: bool| in_half(seen.wall, pm).format("%H:%M");
        Undecided {
            reason: format!(
                "`{}` in line {} can be {} or {}, and every row of the file fits each reading: {NEITHER}",
                self.text(seen),
                self.table.line(seen.row),
                clock(false),
                clock(true)
            ),
            remedy: format!(
                "add {} to job.toml if its hours count to 23, else with `hours = \"am\"` or `hours = \"pm\"` for the half of its first row; or export it again with hours from 0 to 23",
                logger_line(self.name, "hours = \"24\"")
            ),
        }
    }
}

/// By an hour of a whole day around the rows, in a stamp whose date has the form of theirs: one program wrote both.
fn by_form(date: &Stamp, around: Around<'_>) -> Option<String> {
    stamps(around.facts).find_map(|(key, text, stamp)| {
        let same = match (date.date?, stamp.date?) {
            (DateText::Known(_), DateText::Known(_)) => date.year_first == stamp.year_first,
            (DateText::TwoAndYear { mark: a, .. }, DateText::TwoAndYear { mark: b, .. })
            | (DateText::Three { mark: a, .. }, DateText::Three { mark: b, .. }) => a == b,
            _ => false,
        };
        let (time, next_day) = stamp.time?;
        let whole = !stamp.half && stamp.offset.is_none() && (next_day || is_whole_day(time.hour()));
        (same && whole).then(|| format!("{NEITHER}; `{text}` in `{key}`, of the same form, is of a whole day"))
    })
}

/// Whether dates of this form go with hours of a whole day.
fn counts_whole_days(date: &Stamp, order: Order) -> bool {
    match date.date {
        Some(DateText::TwoAndYear { mark, .. }) => mark == b'.',
        Some(DateText::Three { mark, .. }) => mark == b'.' || order == Order::YearFirst,
        Some(DateText::Known(_)) | None => date.year_first,
    }
}

/// What a step costs that is not the usual one: less where a change of clocks explains it, as it does one of the usual
/// length and an hour or half an hour, and more where it leads back.
const CHANGED: usize = 1;
const UNUSUAL: usize = 2;
const BACK: usize = 4;

fn cost(step: TimeDelta, usual: TimeDelta) -> usize {
    let is = |other: TimeDelta| (step - other).abs() * 2 <= usual;
    if step.is_zero() || is(usual) {
        return 0;
    }
    let changes = [30, 60].map(TimeDelta::minutes);
    if changes.into_iter().any(|change| is(usual + change) || is(usual - change)) {
        CHANGED
    } else if step < TimeDelta::zero() {
        BACK
    } else {
        UNUSUAL
    }
}

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
    /// Over rows that begin with a half of the day, or with either. `None` for rows of one time only.
    fn over(seen: &[Seen], begin: Option<bool>) -> Option<Self> {
        let usual = usual_step(seen)?;
        let cost = |step: TimeDelta| cost(step, usual);
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
        let first = begin.unwrap_or(rest[0][0] > rest[0][1]);
        let best = rest[0][usize::from(first)];
        let mut open = (begin.is_none() && rest[0][0] == rest[0][1]).then_some(0);
        let mut pm = vec![first];
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

    /// The first row whose half is not told: another choice is as good, or it lies beyond a gap in which a half day
    /// more would not show.
    fn unsure(&self, seen: &[Seen]) -> Option<usize> {
        let at = |row: usize| in_half(seen[row].wall, self.pm[row]);
        self.open.or_else(|| (1..seen.len()).find(|row| at(*row) - at(row - 1) > TimeDelta::hours(6)))
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
