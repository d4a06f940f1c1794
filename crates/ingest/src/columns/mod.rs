//! Which columns hold what: names, units and numbers together, then which columns belong to one logger.

mod channels;
pub(crate) mod heading;
mod labels;
pub(crate) mod long;
pub(crate) mod physics;
pub(crate) mod profile;
pub(crate) mod scale;
mod settle;

use std::collections::BTreeMap;

use grainfall_record::{Certainty, Quantity};

use crate::hints::FileHints;
use crate::notes::{Notes, cut, logger_line, quoted};
use crate::number::Mark;
use crate::table::facts::usable;
use crate::table::layout::Layout;
use crate::units::Unit;
use crate::words::{Identity, longest, words};
use heading::{Heading, UnitPlace, tokens};
use profile::Profiles;

/// A column that is read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    pub index: usize,
    pub name: String,
    pub quantity: Quantity,
    pub unit: Unit,
    pub mark: Mark,
    /// What its numbers are divided by before anything else.
    pub divisor: f64,
    /// The step in which its numbers are written, in the canonical unit.
    pub step: f64,
    /// Which logger of the file it belongs to; `None` in a file of one.
    pub channel: Option<String>,
}

/// A column that may be read, on the way to one.
#[derive(Debug, Clone)]
struct Candidate {
    index: usize,
    name: String,
    quantity: Quantity,
    unit: Option<Unit>,
    /// Why this quantity and this unit.
    reason: String,
    certainty: Certainty,
    label: String,
    mean: bool,
}

/// A column that tells loggers apart or names the one there is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct IdentityColumn {
    pub index: usize,
    pub strength: Identity,
    /// Whether it holds one value only.
    pub constant: bool,
}

/// What is read of a table.
#[derive(Debug, Clone, Default)]
pub(crate) struct Plan {
    pub columns: Vec<Column>,
    /// Names of numeric columns that no word explains.
    pub unknown: Vec<String>,
    /// Columns whose quantity is known and whose unit is not.
    pub unsettled: Vec<(String, Quantity)>,
    /// A serial number found within column names.
    pub serial: Option<String>,
}

/// Plans the columns of a table. `taken` are columns already used for time or identity.
pub(crate) fn plan(
    file: &str,
    layout: &Layout,
    profiles: &Profiles,
    facts: &BTreeMap<String, String>,
    hints: &FileHints<'_>,
    taken: &[usize],
    notes: &mut Notes,
) -> Plan {
    let mut plan = Plan::default();
    let mut candidates = Vec::new();
    let (mut empty, mut texts, mut unknown) = (Vec::new(), Vec::new(), Vec::new());
    let mut left_out: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    let mut headings = Vec::new();
    for (index, name) in layout.names.iter().enumerate() {
        let heading = Heading::read(if layout.named { name } else { "" }, &layout.aliases[index], &layout.units[index]);
        headings.push(heading);
    }
    channels::pair_symbols(layout, &mut headings);
    for (index, name) in layout.names.iter().enumerate() {
        let heading = &headings[index];
        if plan.serial.is_none() {
            plan.serial.clone_from(&heading.serial);
        }
        if taken.contains(&index) {
            continue;
        }
        let profile = &profiles.columns[index];
        let topic = format!("column {}", cut(name, 60));
        let hint = hints.column(name, &layout.aliases[index]);
        if let Some(hint) = hint {
            match stated(index, name, hint, heading) {
                Ok(Some(candidate)) => candidates.push(candidate),
                Ok(None) => notes.decide(topic, "not read", "the job says to leave it out", Certainty::Stated),
                Err(reason) => notes.decide(topic, "not read", reason, Certainty::Stated),
            }
            continue;
        }
        if profile.present() == 0 {
            empty.push(name.as_str());
            continue;
        }
        let by_suffix = suffix_unit(profile);
        if let Some(reason) = &heading.left_out
            && (heading.quantity.is_some() || heading.unit.is_some() || !profile.is_numeric())
        {
            left_out.entry(reason).or_default().push(name);
            continue;
        }
        let quantity = heading.quantity.or_else(|| by_suffix.and_then(quantity_of_suffix));
        match quantity {
            Some(quantity) if profile.numbers * 2 >= profile.present() && profile.numbers > 0 => {
                let mut candidate = candidate(index, name, quantity, heading);
                if heading.quantity.is_none() {
                    let unit = by_suffix.map_or("", Unit::name);
                    candidate.reason = format!("its values carry the unit {unit}, and no word names a quantity");
                    candidate.certainty = Certainty::Guess;
                }
                if let Some(unit) = by_suffix.filter(|unit| unit.fits(quantity)) {
                    candidate.unit = Some(unit);
                    candidate.reason.push_str("; the unit stands behind its values");
                }
                candidates.push(candidate);
            }
            Some(quantity) => {
                let example = profile.texts.keys().next().map_or("", String::as_str);
                let reason = format!(
                    "{} speaks of {}, but its cells are not numbers (`{}`)",
                    heading.shown_by,
                    quantity.label(),
                    cut(example, 40)
                );
                notes.settled(topic, "not read", reason);
            }
            None if profile.is_numeric() => {
                unknown.push(format!("`{}` ({} to {})", cut(name, 40), short(profile.low), short(profile.high)));
                plan.unknown.push(name.clone());
            }
            None => texts.push(name.as_str()),
        }
    }
    for (reason, names) in left_out {
        match names[..] {
            [name] => notes.settled(format!("column {}", cut(name, 60)), "not read", reason),
            _ => notes.settled("columns not read", quoted(names.iter().copied(), 12), reason),
        }
    }
    if let Some(first) = plan.unknown.first() {
        let line = format!("columns = {{ \"{}\" = {{ quantity = \"...\", unit = \"...\" }} }}", cut(first, 60));
        let more = unknown.len().saturating_sub(12);
        let shown: Vec<String> = unknown.into_iter().take(12).collect();
        let value = if more > 0 { format!("{} and {more} more", shown.join(", ")) } else { shown.join(", ") };
        let reason =
            format!("not read: no word in their names tells a quantity; to read one add {}", logger_line(file, &line));
        notes.settled("columns of numbers", value, reason);
    }
    if !empty.is_empty() {
        notes.settled(
            "columns without values",
            quoted(empty.iter().copied(), 12),
            "no cell of the sample holds a value",
        );
    }
    if !texts.is_empty() {
        notes.settled("columns of words", quoted(texts.iter().copied(), 12), "not read: they hold no numbers");
    }
    settle::settle(&mut candidates, profiles, facts);
    for (name, reason) in labels::weigh(&mut candidates, profiles, notes) {
        notes.settled(format!("column {}", cut(&name, 60)), "not read", reason);
    }
    finish(file, candidates, profiles, notes, &mut plan);
    plan
}

/// Channels, decisions and the final list.
fn finish(file: &str, candidates: Vec<Candidate>, profiles: &Profiles, notes: &mut Notes, plan: &mut Plan) {
    let mut kept = Vec::new();
    for candidate in candidates {
        if candidate.unit.is_some() {
            kept.push(candidate);
            continue;
        }
        let line = format!(
            "columns = {{ \"{}\" = {{ quantity = \"{}\", unit = \"...\" }} }}",
            cut(&candidate.name, 60),
            candidate.quantity.label()
        );
        let reason =
            format!("{}; its unit cannot be told; to read it add {}", candidate.reason, logger_line(file, &line));
        notes.settled(format!("column {}", cut(&candidate.name, 60)), "not read", reason);
        plan.unsettled.push((candidate.name, candidate.quantity));
    }
    let (grouped, doubles) = channels::group(kept, profiles, notes);
    for (name, reason) in doubles {
        notes.settled(format!("column {}", cut(&name, 60)), "not read", reason);
    }
    for (candidate, channel) in grouped {
        let Some(unit) = candidate.unit else { continue };
        let mut reason = candidate.reason;
        if candidate.certainty == Certainty::Guess {
            let line = format!(
                "columns = {{ \"{}\" = {{ quantity = \"{}\", unit = \"{}\" }} }}",
                cut(&candidate.name, 60),
                candidate.quantity.label(),
                unit.name()
            );
            reason.push_str(&format!("; to settle it add {}, with the right unit", logger_line(file, &line)));
        }
        let mut value = format!("{}, {}", candidate.quantity.label(), unit.name());
        if let Some(channel) = &channel {
            value.push_str(&format!(", channel {channel}"));
        }
        notes.decide(format!("column {}", cut(&candidate.name, 60)), value, reason, candidate.certainty);
        plan.columns.push(Column {
            index: candidate.index,
            name: candidate.name,
            quantity: candidate.quantity,
            unit,
            mark: profiles.columns[candidate.index].mark.unwrap_or(Mark::Point),
            divisor: profiles.columns[candidate.index].divisor,
            step: profiles.columns[candidate.index].step()
                * unit.linear(candidate.quantity).map_or(1.0, |(factor, _)| factor),
            channel,
        });
    }
}

fn candidate(index: usize, name: &str, quantity: Quantity, heading: &Heading) -> Candidate {
    let mut reason = heading.shown_by.clone();
    let unit = heading.unit.filter(|found| found.unit.fits(quantity));
    match unit.map(|found| found.place) {
        Some(UnitPlace::Name) if heading.certainty == Certainty::Settled => {
            reason.push_str("; the unit is in its name")
        }
        Some(UnitPlace::UnitsRow) => reason.push_str("; the unit is in the units row"),
        _ => {}
    }
    let mut certainty = heading.certainty;
    if quantity == Quantity::Pressure && !names_station(name) {
        reason.push_str("; it does not say whether of the station or reduced to sea level, and is read as the pressure at the logger");
        certainty = Certainty::Guess;
    }
    Candidate {
        index,
        name: name.to_owned(),
        quantity,
        unit: unit.map(|found| found.unit),
        reason,
        certainty,
        label: heading.label.clone(),
        mean: heading.mean,
    }
}

/// Whether a pressure is said to be the station's own.
fn names_station(name: &str) -> bool {
    tokens(name).iter().any(|word| matches!(word.as_str(), "station" | "stn" | "absolute" | "local"))
}

/// A column about which the job says something.
fn stated(
    index: usize,
    name: &str,
    hint: &grainfall_record::ColumnHint,
    heading: &Heading,
) -> Result<Option<Candidate>, String> {
    let Some(quantity) = hint.quantity else { return Ok(None) };
    let mut candidate = candidate(index, name, quantity, heading);
    candidate.reason = "the job says so".into();
    candidate.certainty = Certainty::Stated;
    // A word that says something else is part of the place.
    if heading.quantity != Some(quantity) && heading.label.is_empty() {
        candidate.label = tokens(name).concat();
    }
    if let Some(text) = &hint.unit {
        let unit = Unit::spelled(text).filter(|unit| unit.fits(quantity));
        candidate.unit = Some(unit.ok_or_else(|| {
            format!("the job gives it the unit `{}`, which is no unit of {}", cut(text, 20), quantity.label())
        })?);
    }
    Ok(Some(candidate))
}

/// A number of a range, short.
fn short(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The unit behind most of a column's numbers.
fn suffix_unit(profile: &profile::Profile) -> Option<Unit> {
    let (unit, count) = profile.suffixes.iter().max_by_key(|(_, count)| **count)?;
    (*count * 2 > profile.numbers).then_some(*unit)
}

fn quantity_of_suffix(unit: Unit) -> Option<Quantity> {
    match unit {
        Unit::Celsius | Unit::Fahrenheit | Unit::Kelvin => Some(Quantity::AirTemp),
        Unit::Percent => Some(Quantity::RelativeHumidity),
        Unit::GrainsPerPound => Some(Quantity::HumidityRatio),
        _ => None,
    }
}

/// The column that tells loggers apart or names the only one.
pub(crate) fn identity(layout: &Layout, profiles: &Profiles, times: &[usize]) -> Option<IdentityColumn> {
    if !layout.named {
        return None;
    }
    let mut best: Option<IdentityColumn> = None;
    for (index, name) in layout.names.iter().enumerate() {
        let tokens = tokens(name);
        let Some(found) = longest(&words().identity, &tokens).filter(|found| found.len == tokens.len()) else {
            continue;
        };
        let profile = &profiles.columns[index];
        if times.contains(&index) || profile.present() * 10 < profiles.rows * 9 {
            continue;
        }
        let distinct = profile.texts.len();
        let repeats = !profile.texts_full && (distinct == 1 || distinct * 2 <= profile.present());
        let constant = distinct == 1;
        let names_one = profile.constant().is_some_and(|value| usable(value, found.means));
        if !repeats || constant && !names_one {
            continue;
        }
        let one = IdentityColumn { index, strength: found.means, constant };
        let better = best.as_ref().is_none_or(|b| (!one.constant, one.strength) > (!b.constant, b.strength));
        if better {
            best = Some(one);
        }
    }
    best
}
