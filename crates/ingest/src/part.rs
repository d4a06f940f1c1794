//! Rows of a file to samples of its loggers: stamps become instants, channels become loggers.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime, Utc};
use chrono_tz::Tz;
use grainfall_record::Quantity;

use crate::clock;
use crate::columns::{Column, IdentityColumn};
use crate::hints::FileHints;
use crate::notes::{Notes, count};
use crate::rows::{Group, Rows};
use crate::table::facts::usable;
use crate::time::source::Moment;
use crate::time::zone::Statement;
use crate::words::Identity;

/// The samples of one logger in one file, in file order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Part {
    pub serial: Option<String>,
    /// Channel within the file.
    pub channel: Option<String>,
    /// Whether the serial number alone names it: the channel is that number.
    pub serial_is_channel: bool,
    pub time: Vec<DateTime<Utc>>,
    pub row: Vec<u64>,
    pub values: BTreeMap<Quantity, Vec<Option<f64>>>,
    pub clock: String,
}

/// What is known of a file when its rows become parts.
#[derive(Debug)]
pub(crate) struct Assembly<'a> {
    pub columns: &'a [Column],
    pub identity: Option<&'a IdentityColumn>,
    pub serial: Option<&'a str>,
    pub hints: &'a FileHints<'a>,
    pub statement: Option<&'a Statement>,
    pub zone: Option<Tz>,
}

impl Assembly<'_> {
    /// The parts of a file, by identity and channel.
    pub fn parts(&self, rows: Rows, notes: &mut Notes) -> Vec<Part> {
        let mut parts = Vec::new();
        let mut channels: Vec<Option<&str>> = self.columns.iter().map(|c| c.channel.as_deref()).collect();
        channels.sort_unstable();
        channels.dedup();
        let several = rows.groups.len() > 1 || self.identity.is_some_and(|i| !i.constant);
        let mut clocks: Vec<(String, String, String, grainfall_record::Certainty)> = Vec::new();
        for (key, group) in rows.groups {
            let device = self.identity.is_some_and(|i| i.strength != Identity::Group && usable(&key, i.strength));
            let serial = if several && device { Some(key.as_str()) } else { self.serial };
            for channel in &channels {
                let members: Vec<usize> =
                    (0..self.columns.len()).filter(|c| self.columns[*c].channel.as_deref() == *channel).collect();
                let names: Vec<&str> = members.iter().map(|c| self.columns[*c].name.as_str()).collect();
                let full = match (several.then_some(key.as_str()), channel) {
                    (Some(key), Some(channel)) => Some(format!("{key}/{channel}")),
                    (Some(key), None) => Some(key.to_owned()),
                    (None, channel) => channel.map(str::to_owned),
                };
                let said = self
                    .hints
                    .clock(serial, full.as_deref(), &names)
                    .or_else(|| self.hints.clock(serial, channel.or(Some(&key)), &names));
                let chosen = clock::choose(said, self.statement, self.zone);
                let (instants, resolved) = self.instants(&group, &chosen, notes);
                let label = match &resolved {
                    Some(resolved) => resolved.label.clone(),
                    None => "UTC".to_owned(),
                };
                if let Some(resolved) = resolved {
                    let whose = full.clone().unwrap_or_default();
                    clocks.push((whose, resolved.label, resolved.reason, resolved.certainty));
                }
                let mut part = Part {
                    serial: serial.map(str::to_owned),
                    channel: full,
                    serial_is_channel: several && device && channel.is_none(),
                    clock: label,
                    ..Part::default()
                };
                fill(&mut part, self.columns, &members, &group, &instants);
                if !part.time.is_empty() {
                    parts.push(part);
                }
            }
        }
        note_clocks(clocks, notes);
        notes.refused.sort_by_key(|refusal| refusal.row);
        notes.refused.dedup();
        for part in &parts {
            note_order(part, notes);
        }
        parts
    }

    /// The instants of a group's rows; stamps that cannot exist are refused.
    fn instants(
        &self,
        group: &Group,
        chosen: &clock::Chosen,
        notes: &mut Notes,
    ) -> (Vec<Option<DateTime<Utc>>>, Option<clock::Resolved>) {
        let mut walls: Vec<NaiveDateTime> = Vec::new();
        let mut lines = Vec::new();
        for (moment, line) in group.moments.iter().zip(&group.lines) {
            if let Moment::Wall(wall) = moment {
                walls.push(*wall);
                lines.push(*line);
            }
        }
        if walls.is_empty() {
            let instants = group.moments.iter().map(|m| match m {
                Moment::Instant(instant) => Some(*instant),
                Moment::Wall(_) => None,
            });
            return (instants.collect(), None);
        }
        let resolved = clock::resolve(chosen, &walls, &lines);
        let mut next = resolved.instants.iter();
        let mut instants = Vec::with_capacity(group.moments.len());
        for (moment, line) in group.moments.iter().zip(&group.lines) {
            instants.push(match moment {
                Moment::Instant(instant) => Some(*instant),
                Moment::Wall(wall) => {
                    let instant = next.next().copied().flatten();
                    if instant.is_none() {
                        notes.refuse(
                            *line,
                            None,
                            &wall.format("%Y-%m-%d %H:%M:%S").to_string(),
                            resolved.impossible.clone(),
                        );
                    }
                    instant
                }
            });
        }
        (instants, Some(resolved))
    }
}

/// Rows with an instant and at least one value in the columns of the channel.
fn fill(part: &mut Part, columns: &[Column], members: &[usize], group: &Group, instants: &[Option<DateTime<Utc>>]) {
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

fn note_clocks(clocks: Vec<(String, String, String, grainfall_record::Certainty)>, notes: &mut Notes) {
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

fn note_order(part: &Part, notes: &mut Notes) {
    let back = part.time.windows(2).filter(|pair| pair[1] < pair[0]).count();
    if back == 0 {
        return;
    }
    let whose =
        part.channel.as_deref().map_or_else(|| "row order".to_owned(), |channel| format!("row order of {channel}"));
    let forth = part.time.windows(2).filter(|pair| pair[1] > pair[0]).count();
    if forth == 0 {
        notes.settled(whose, "newest first", "every stamp is earlier than the one above; sorted by time");
    } else {
        let value = format!("{} earlier than the one above", count(back, "row is", "rows are"));
        notes.settled(whose, value, "sorted by time after the clock was resolved");
    }
}
