//! `[[chamber]]` with its air goals.

use std::fmt::Display;
use std::str::FromStr;

use grainfall_psychrometrics::{Celsius, CubicMetres, GrainsPerPound, RelativeHumidity, SquareMetres};

use super::desk::{Desk, Listed, Target};
use super::entry::{Entry, Field, Placed, plain_number, read_quantity};
use crate::keys;
use crate::model::{AirGoal, AirGoalQuantity, Chamber, Comparison, Span};

/// The chambers of the file; an entry without a usable id is left out (its faults are recorded).
pub(crate) fn read(desk: &Desk, listed: &mut Listed, entries: &[Entry<'_>]) -> Vec<Placed<Chamber>> {
    entries.iter().filter_map(|entry| chamber(desk, listed, entry)).collect()
}

fn chamber(desk: &Desk, listed: &mut Listed, entry: &Entry<'_>) -> Option<Placed<Chamber>> {
    let id = entry.text(desk, "id");
    let name = entry.text(desk, "name");
    let floor_area = entry.quantity::<SquareMetres>(desk, "floor_area");
    let volume = entry.quantity::<CubicMetres>(desk, "volume");
    let span = Span { from: entry.time(desk, "from"), to: entry.time(desk, "to") };
    let parent = entry.reference(desk, "parent", Target::Chamber);
    let drying_from = entry.time(desk, "drying_from");
    let before_drying_reason = entry.text(desk, "before_drying_reason");
    entry.needs(desk, "before_drying_reason", &["drying_from"]);
    let air_goals = air_goals(desk, entry);
    let id = id?;
    listed.add(Target::Chamber, &id);
    Some(entry.placed(Chamber {
        name: name.unwrap_or_else(|| id.clone()),
        id,
        floor_area,
        volume,
        span,
        parent,
        drying_from,
        before_drying_reason,
        air_goals,
        line: entry.row(),
    }))
}

fn air_goals(desk: &Desk, entry: &Entry<'_>) -> Vec<AirGoal> {
    entry.tables(desk, "air_goals", &keys::AIR_GOAL).iter().filter_map(|goal| air_goal(desk, goal)).collect()
}

fn air_goal(desk: &Desk, entry: &Entry<'_>) -> Option<AirGoal> {
    entry.one_of(desk, &["gpp", "rh", "dew_point"]);
    entry.not_both(desk, "gpp", "rh");
    entry.not_both(desk, "gpp", "dew_point");
    if !entry.has("gpp") {
        entry.not_both(desk, "rh", "dew_point");
    }
    let hold = entry.length(desk, "hold");
    let gpp = limit::<GrainsPerPound>(desk, entry, "gpp").map(|(side, gpp)| (side, gpp.get()));
    let rh = limit::<RelativeHumidity>(desk, entry, "rh").map(|(side, rh)| (side, rh.percent()));
    let dew_point = limit::<Celsius>(desk, entry, "dew_point").map(|(side, dew_point)| (side, dew_point.get()));
    let (quantity, (comparison, value)) = [
        (AirGoalQuantity::GrainsPerPound, gpp),
        (AirGoalQuantity::RelativeHumidity, rh),
        (AirGoalQuantity::DewPoint, dew_point),
    ]
    .into_iter()
    .find_map(|(quantity, limit)| Some((quantity, limit?)))?;
    Some(AirGoal { quantity, comparison, value, hold: hold? })
}

/// `at most 55` or `at least 30 %`: which side meets the goal, and the value. Grains per pound may be a bare number,
/// because the key is their unit.
fn limit<T>(desk: &Desk, entry: &Entry<'_>, key: &'static str) -> Option<(Comparison, T)>
where
    T: FromStr,
    T::Err: Display,
{
    let field: &Field<'_> = entry.fields.get(key)?;
    let text = entry.text(desk, key)?;
    let sides = [("at most ", Comparison::AtMost), ("at least ", Comparison::AtLeast)];
    let side = sides
        .into_iter()
        .find(|(words, _)| text.get(..words.len()).is_some_and(|start| start.eq_ignore_ascii_case(words)));
    let Some((words, comparison)) = side else {
        entry.refuse(desk, key, field);
        return None;
    };
    let value = text.get(words.len()..).unwrap_or("").trim();
    let value = if key == "gpp" && plain_number(value).is_some() { format!("{value} GPP") } else { value.to_owned() };
    Some((comparison, read_quantity(desk, &field.at, key, &value)?))
}
