//! Rows of a file to samples of its loggers: stamps become instants, channels become loggers.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDateTime, Utc};
use chrono_tz::Tz;
use grainfall_record::{Certainty, Quantity, Refusal};
use rayon::prelude::*;

use crate::clock;
use crate::columns::physics::{Steps, contradiction_c};
use crate::columns::{Column, IdentityColumn};
use crate::hints::FileHints;
use crate::notes::{Notes, count, refusal};
use crate::refused::{Stamped, date};
use crate::rows::{Group, Key, Rows};
use crate::table::facts::usable;
use crate::time::order::Undecided;
use crate::time::source::Moment;
use crate::time::zone::Statement;
use crate::words::Identity;

/// The samples of one logger in one file, in file order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Part {
    pub serial: Option<String>,
    /// The path its name is made from where that is not the file's: a workbook of several sheets, a packed file.
    pub named: Option<String>,
    /// Channel within the file.
    pub channel: Option<String>,
    /// What stands behind the base of its name: nothing when its serial number names it or it is alone in its file.
    pub label: Option<String>,
    pub time: Vec<DateTime<Utc>>,
    pub row: Vec<u64>,
    pub values: BTreeMap<Quantity, Vec<Option<f64>>>,
    pub clock: String,
    /// A clock that never changes, and where its offset comes from.
    pub fixed: Option<clock::Fixed>,
}

impl Part {
    /// Names it by a place within a file, a sheet or a section, where no serial number does.
    pub fn lies_within(&mut self, file: &str, place: &str) {
        self.named = Some(file.to_owned());
        if self.serial.is_none() {
            let within = |text: Option<&String>| match text {
                Some(text) => format!("{place}/{text}"),
                None => place.to_owned(),
            };
            let (channel, label) = (within(self.channel.as_ref()), within(self.label.as_ref()));
            (self.channel, self.label) = (Some(channel), Some(label));
        }
    }
}

/// What one group of rows gave.
#[derive(Default)]
struct Made {
    parts: Vec<Part>,
    /// Whose clock, how it was read, why, and how sure that is.
    clocks: Vec<(String, String, String, Certainty)>,
    refused: Vec<Refusal>,
    /// Its rows with their instants, where something is refused.
    stamped: Vec<Stamped>,
}

/// The instants of rows, and how those were read that do not say them themselves.
type Instants = (Vec<Option<DateTime<Utc>>>, Option<clock::Resolved>);

/// What is known of a file when its rows become parts.
#[derive(Debug)]
pub(crate) struct Assembly<'a> {
    /// The file's path.
    pub file: &'a str,
    pub columns: &'a [Column],
    pub identity: Option<&'a IdentityColumn>,
    pub serial: Option<&'a str>,
    pub hints: &'a FileHints<'a>,
    pub statement: Option<&'a Statement>,
    pub zone: Option<Tz>,
    /// Whether times are counted from a start: such a count has no change of clocks in it.
    pub counted: bool,
}

impl Assembly<'_> {
    /// The parts of a file, by identity and channel.
    ///
    /// # Errors
    /// When the clock of one of them can be read two ways.
    pub fn parts(&self, rows: Rows, notes: &mut Notes) -> Result<Vec<Part>, Undecided> {
        let mut channels: Vec<Option<&str>> = self.columns.iter().map(|c| c.channel.as_deref()).collect();
        channels.sort_unstable();
        channels.dedup();
        let texts: BTreeSet<&str> = rows.groups.keys().map(|(text, _)| text.as_str()).collect();
        let several = texts.len() > 1 || self.identity.is_some_and(|i| !i.constant);
        let groups: Vec<(Key, Vec<Group>)> = rows.groups.into_iter().collect();
        let refuses = !notes.refused.is_empty();
        let made: Vec<Result<Made, Undecided>> = groups
            .into_par_iter()
            .map(|(key, pieces)| self.of_group(&key, pieces, &channels, several, refuses))
            .collect();
        let mut parts = Vec::new();
        let mut clocks = Vec::new();
        let mut stamped = Vec::new();
        for one in made {
            let one = one?;
            parts.extend(one.parts);
            clocks.extend(one.clocks);
            notes.refused.extend(one.refused);
            stamped.extend(one.stamped);
        }
        note_clocks(clocks, notes);
        notes.refused.sort_by_key(|refusal| refusal.row);
        notes.refused.dedup();
        date(&mut notes.refused, stamped, &rows.refused);
        note_orders(&parts, notes);
        note_saturation(&parts, self.columns, notes);
        Ok(parts)
    }

    /// The parts of one group, one per channel. `refuses` where something of the file is refused.
    fn of_group(
        &self,
        key: &Key,
        pieces: Vec<Group>,
        channels: &[Option<&str>],
        several: bool,
        refuses: bool,
    ) -> Result<Made, Undecided> {
        let mut made = Made::default();
        let mut group = Group::joined(pieces);
        let key = key.0.as_str();
        let device = self.identity.is_some_and(|i| i.strength != Identity::Group && usable(key, i.strength));
        let serial = if several && device { Some(key) } else { self.serial };
        for channel in channels {
            let members: Vec<usize> =
                (0..self.columns.len()).filter(|c| self.columns[*c].channel.as_deref() == *channel).collect();
            let names: Vec<&str> = members.iter().map(|c| self.columns[*c].name.as_str()).collect();
            let full = match (several.then_some(key), channel) {
                (Some(key), Some(channel)) => Some(format!("{key}/{channel}")),
                (Some(key), None) => Some(key.to_owned()),
                (None, channel) => channel.map(str::to_owned),
            };
            let said = self
                .hints
                .clock(serial, full.as_deref(), &names)
                .or_else(|| self.hints.clock(serial, channel.or(Some(key)), &names));
            let chosen = clock::choose(said, self.statement, self.zone);
            let chosen = if self.counted { chosen.counted() } else { chosen };
            let (instants, resolved) = self.instants(&group, &chosen, &mut made.refused)?;
            if made.stamped.is_empty() && (refuses || !made.refused.is_empty()) {
                made.stamped = stamped(&group, &instants);
            }
            let (label, fixed) = match &resolved {
                Some(resolved) => (resolved.label.clone(), resolved.fixed),
                None => ("UTC".to_owned(), None),
            };
            if let Some(resolved) = resolved {
                let whose = full.clone().unwrap_or_default();
                made.clocks.push((whose, resolved.label, resolved.reason, resolved.certainty));
            }
            // The channel is written as the job writes it, be it the name of a column of the only logger.
            let asked = self.hints.channel(full.as_deref(), &names).map(str::to_owned);
            let mut part = Part {
                serial: serial.map(str::to_owned),
                label: full.clone().filter(|_| !(several && device && channel.is_none())),
                channel: asked.or(full),
                clock: label,
                fixed,
                ..Part::default()
            };
            fill(&mut part, self.columns, &members, &mut group, &instants, channels.len() == 1);
            if !part.time.is_empty() {
                made.parts.push(part);
            }
        }
        Ok(made)
    }

    /// The instants of a group's rows; stamps that cannot exist are refused.
    fn instants(
        &self,
        group: &Group,
        chosen: &clock::Chosen,
        refused: &mut Vec<Refusal>,
    ) -> Result<Instants, Undecided> {
        let wall = |moment: &Moment| match moment {
            Moment::Wall(wall) => Some(*wall),
            Moment::Instant(_) => None,
        };
        let walls: Vec<NaiveDateTime> = group.moments.iter().filter_map(wall).collect();
        // The lines of those; all lines where no stamp is an instant by itself.
        let lines: Option<Vec<u64>> = (walls.len() < group.moments.len()).then(|| {
            let of_walls = group.moments.iter().zip(&group.lines).filter(|(moment, _)| wall(moment).is_some());
            of_walls.map(|(_, line)| *line).collect()
        });
        if walls.is_empty() {
            let instants = group.moments.iter().map(|m| match m {
                Moment::Instant(instant) => Some(*instant),
                Moment::Wall(_) => None,
            });
            return Ok((instants.collect(), None));
        }
        let mut resolved = clock::resolve(self.file, chosen, &walls, lines.as_deref().unwrap_or(&group.lines))?;
        if walls.len() == group.moments.len() && resolved.instants.iter().all(Option::is_some) {
            return Ok((std::mem::take(&mut resolved.instants), Some(resolved)));
        }
        let mut next = resolved.instants.iter().enumerate();
        let mut instants = Vec::with_capacity(group.moments.len());
        for (moment, line) in group.moments.iter().zip(&group.lines) {
            instants.push(match moment {
                Moment::Instant(instant) => Some(*instant),
                Moment::Wall(wall) => {
                    let (at, instant) = next.next().map_or((0, None), |(at, instant)| (at, *instant));
                    if instant.is_none() {
                        let found = wall.format("%Y-%m-%d %H:%M:%S").to_string();
                        refused.push(refusal(*line, None, &found, resolved.impossible(at)));
                    }
                    instant
                }
            });
        }
        Ok((instants, Some(resolved)))
    }
}

/// The rows of a group that have an instant.
fn stamped(group: &Group, instants: &[Option<DateTime<Utc>>]) -> Vec<Stamped> {
    let rows = group.lines.iter().zip(&group.moments).zip(instants);
    rows.filter_map(|((line, moment), instant)| Some(Stamped::new(*line, *moment, (*instant)?))).collect()
}

/// Rows with an instant and at least one value in the columns of the channel. `whole` when the group has no other
/// channel: its lists are then taken instead of copied where every row is used.
fn fill(
    part: &mut Part,
    columns: &[Column],
    members: &[usize],
    group: &mut Group,
    instants: &[Option<DateTime<Utc>>],
    whole: bool,
) {
    if whole && !group.bare && instants.iter().all(Option::is_some) {
        part.time = instants.iter().copied().flatten().collect();
        part.row = std::mem::take(&mut group.lines);
        for member in members {
            let values = std::mem::take(&mut group.values[*member]);
            if values.iter().any(Option::is_some) {
                part.values.entry(columns[*member].quantity).or_insert(values);
            }
        }
        return;
    }
    let keep: Vec<usize> = (0..group.moments.len())
        .filter(|row| instants[*row].is_some() && members.iter().any(|c| group.values[*c][*row].is_some()))
        .collect();
    part.time = keep.iter().filter_map(|row| instants[*row]).collect();
    part.row = keep.iter().map(|row| group.lines[*row]).collect();
    for member in members {
        let values: Vec<Option<f64>> = keep.iter().map(|row| group.values[*member][*row]).collect();
        if values.iter().any(Option::is_some) {
            part.values.entry(columns[*member].quantity).or_insert(values);
        }
    }
}

fn note_clocks(clocks: Vec<(String, String, String, Certainty)>, notes: &mut Notes) {
    if clocks.is_empty() {
        notes.settled("clock", "UTC", "every time is given in UTC or with its offset");
        return;
    }
    let mut told: Vec<(String, String)> = Vec::new();
    for (whose, label, reason, certainty) in clocks {
        if told.contains(&(label.clone(), reason.clone())) {
            continue;
        }
        let topic = if told.is_empty() || whose.is_empty() { "clock".to_owned() } else { format!("clock of {whose}") };
        told.push((label.clone(), reason.clone()));
        notes.decide(topic, label, reason, certainty);
    }
}

/// The order of rows, of each logger once.
fn note_orders(parts: &[Part], notes: &mut Notes) {
    let mut told: BTreeSet<Option<&str>> = BTreeSet::new();
    for part in parts {
        if told.insert(part.channel.as_deref()) && !note_order(part, notes) {
            told.remove(&part.channel.as_deref());
        }
    }
}

/// Whether there was something to say.
fn note_order(part: &Part, notes: &mut Notes) -> bool {
    let back = part.time.windows(2).filter(|pair| pair[1] < pair[0]).count();
    if back == 0 {
        return false;
    }
    let whose = match part.label.as_deref().or(part.channel.as_deref().filter(|_| part.serial.is_some())) {
        Some(channel) => format!("row order of {channel}"),
        None => "row order".to_owned(),
    };
    let forth = part.time.windows(2).filter(|pair| pair[1] > pair[0]).count();
    if forth == 0 {
        notes.settled(whose, "newest first", "every stamp is earlier than the one above; sorted by time");
    } else {
        let value = format!("{} earlier than the one above", count(back, "row is", "rows are"));
        notes.settled(whose, value, "sorted by time after the clock was resolved");
    }
    true
}

/// Rows whose dew point does not follow from their temperature and humidity. Both are kept.
fn note_saturation(parts: &[Part], columns: &[Column], notes: &mut Notes) {
    let step = |quantity: Quantity, channel: Option<&str>| {
        let found = columns.iter().find(|c| c.quantity == quantity && c.channel.as_deref() == channel);
        found.or_else(|| columns.iter().find(|c| c.quantity == quantity)).map_or(0.0, |column| column.step)
    };
    for part in parts {
        let (Some(temps), Some(humidities), Some(dews)) = (
            part.values.get(&Quantity::AirTemp),
            part.values.get(&Quantity::RelativeHumidity),
            part.values.get(&Quantity::DewPoint),
        ) else {
            continue;
        };
        let channel = part.label.as_deref();
        let steps = Steps {
            temp_c: step(Quantity::AirTemp, channel),
            rh_pct: step(Quantity::RelativeHumidity, channel),
            dew_c: step(Quantity::DewPoint, channel),
        };
        let (mut all, mut odd, mut worst) = (0_usize, Vec::new(), 0.0_f64);
        for (row, ((temp, rh), dew)) in temps.iter().zip(humidities).zip(dews).enumerate() {
            let (Some(temp), Some(rh), Some(dew)) = (*temp, *rh, *dew) else { continue };
            all += 1;
            if let Some(apart) = contradiction_c(temp, rh, dew, steps) {
                odd.push(part.row[row]);
                worst = worst.max(apart);
            }
        }
        if odd.is_empty() {
            continue;
        }
        let topic = match part.label.as_deref() {
            Some(channel) => format!("humidity and dew point of {channel}"),
            None => "humidity and dew point".to_owned(),
        };
        let lines: Vec<String> = odd.iter().take(8).map(u64::to_string).collect();
        let more = odd.len().saturating_sub(8);
        let shown = if more > 0 { format!("{} and {more} more", lines.join(", ")) } else { lines.join(", ") };
        let reason = format!(
            "their dew point is not the one of their temperature and humidity, by up to {worst:.1} degC more than rounding explains; all values are kept; {} {shown}",
            if odd.len() == 1 { "line" } else { "lines" }
        );
        notes.settled(topic, format!("{} of {all} contradict each other", count(odd.len(), "row", "rows")), reason);
    }
}
