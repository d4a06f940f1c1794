//! Labels that lie: what a column's name and unit say, against the range of its numbers and against the columns beside
//! it. Where two of them disagree it is said; a label is overruled only where range and physics both speak against it,
//! or where no value could be what it says.

use grainfall_record::{Certainty, Quantity};

use super::Candidate;
use super::profile::{Profiles, quantile};
use super::settle::by_physics;
use crate::limits::limits;
use crate::notes::{Notes, cut};
use crate::units::Unit;

/// Columns left out, with the reason.
pub(super) type LeftOut = Vec<(String, String)>;

/// Weighs every label. Columns that cannot be what they are called are taken out.
pub(super) fn weigh(candidates: &mut Vec<Candidate>, profiles: &Profiles, notes: &mut Notes) -> LeftOut {
    let mut left_out = impossible(candidates, profiles);
    left_out.extend(two_units(candidates, profiles));
    candidates.retain(|candidate| !left_out.iter().any(|(name, _)| *name == candidate.name));
    for candidate in candidates.iter_mut() {
        share_of_one(candidate, profiles);
    }
    temperatures(candidates, profiles);
    above_dry_bulb(candidates, profiles, notes);
    left_out
}

fn is_open(candidate: &Candidate) -> bool {
    candidate.certainty != Certainty::Stated
}

/// Relative humidity most of whose values lie outside its limits is none.
fn impossible(candidates: &[Candidate], profiles: &Profiles) -> LeftOut {
    let humid = candidates.iter().filter(|c| c.quantity == Quantity::RelativeHumidity && is_open(c));
    humid
        .filter_map(|candidate| {
            let unit = candidate.unit?;
            let (low, high) = limits(candidate.quantity);
            let sorted = profiles.columns[candidate.index].sorted();
            let outside = sorted
                .iter()
                .filter(|value| unit.canonical(candidate.quantity, **value).is_some_and(|v| v < low || v > high));
            let (least, most) = (quantile(&sorted, 0.0)?, quantile(&sorted, 1.0)?);
            (outside.count() * 2 > sorted.len()).then(|| {
                let reason = format!(
                    "{}, but its values ({least:.1} to {most:.1}) cannot be relative humidity",
                    candidate.reason
                );
                (candidate.name.clone(), reason)
            })
        })
        .collect()
}

/// Temperatures that step from one unit to the other within a log, as a logger that was set anew does.
fn two_units(candidates: &[Candidate], profiles: &Profiles) -> LeftOut {
    let open = candidates.iter().filter(|c| {
        matches!(c.quantity, Quantity::AirTemp | Quantity::DewPoint | Quantity::WetBulb | Quantity::SurfaceTemp)
            && is_open(c)
    });
    open.filter_map(|candidate| {
        let step = unit_step(&profiles.columns[candidate.index].values)?;
        let (from, to) = if step.before > step.after { ("degF", "degC") } else { ("degC", "degF") };
        let reason = format!(
            "{}, but its values step from {:.1} to {:.1} and stay there, as the same air does from {from} to {to}: the log \
             changes its unit; cut the export in two where it steps, and give each part its unit",
            candidate.reason, step.before, step.after
        );
        Some((candidate.name.clone(), reason))
    })
    .collect()
}

/// The two values between which a column steps from one unit of temperature to the other.
#[derive(Debug, PartialEq)]
struct UnitStep {
    before: f64,
    after: f64,
}

/// Values that a side of a step needs.
const SIDE: usize = 5;
/// How far the air itself may go between two samples, or a side's middle from the other's, degF. Project convention.
const NEAR_F: (f64, f64) = (4.0, 12.0);

/// Air of a building, degC: below, a step to frost is likelier than one to another unit. Project convention.
const INDOORS_C: std::ops::RangeInclusive<f64> = 5.0..=45.0;

/// The step of a column that lies on one side of it before and on the other after, where both sides are the same air
/// read in the two units.
fn unit_step(values: &[Option<f64>]) -> Option<UnitStep> {
    let values: Vec<f64> = values.iter().copied().flatten().collect();
    let in_f = |celsius: f64| celsius.mul_add(1.8, 32.0);
    // The widest step is the only one that can part all values.
    let wide = |at: &usize| (values[*at] - values[*at - 1]).abs();
    let at = (1..values.len()).max_by(|a, b| wide(a).total_cmp(&wide(b)))?;
    let (before, after) = values.split_at(at);
    if before.len() < SIDE || after.len() < SIDE {
        return None;
    }
    let (last, first) = (values[at - 1], values[at]);
    let (low, high) = if last < first { (before, after) } else { (after, before) };
    let parted = low.iter().copied().reduce(f64::max)? < high.iter().copied().reduce(f64::min)?;
    let middle = |side: &[f64]| {
        let mut sorted = side.to_vec();
        sorted.sort_by(f64::total_cmp);
        quantile(&sorted, 0.5)
    };
    let (low, high) = (middle(low)?, middle(high)?);
    let same_step = (in_f(last.min(first)) - last.max(first)).abs() <= NEAR_F.0;
    let same_air = (in_f(low) - high).abs() <= NEAR_F.1;
    (parted && same_step && same_air && INDOORS_C.contains(&low)).then_some(UnitStep { before: last, after: first })
}

/// `RH (%)` over shares of 1, as spreadsheets store cells shown in percent.
fn share_of_one(candidate: &mut Candidate, profiles: &Profiles) {
    let profile = &profiles.columns[candidate.index];
    let shares = profile.numbers > 0 && profile.high <= 1.1 && profile.high > 0.0 && profile.integers < profile.numbers;
    let percent = candidate.quantity == Quantity::RelativeHumidity && candidate.unit == Some(Unit::Percent);
    if shares && percent && is_open(candidate) {
        candidate.unit = Some(Unit::Fraction);
        candidate.certainty = Certainty::Guess;
        candidate.reason.push_str(&format!(
            "; its label says %, but no air is as dry as its highest value, {:.2}, so it is a share of 1",
            profile.high
        ));
    }
}

/// A unit of temperature in a name, against the range of the values and against humidity and dew point beside them.
fn temperatures(candidates: &mut [Candidate], profiles: &Profiles) {
    let in_question = |one: &Candidate| {
        matches!(one.quantity, Quantity::AirTemp | Quantity::DewPoint | Quantity::WetBulb)
            && matches!(one.unit, Some(Unit::Celsius | Unit::Fahrenheit))
            && is_open(one)
    };
    if !candidates.iter().any(in_question) {
        return;
    }
    let physics = by_physics(candidates, profiles);
    let ranges: Vec<Option<(Unit, String)>> = candidates
        .iter()
        .map(|c| {
            let unit = c.unit.filter(|_| c.quantity == Quantity::AirTemp)?;
            Some((unit, out_of_range(unit, c.index, profiles)?))
        })
        .collect();
    for at in 0..candidates.len() {
        let one = &candidates[at];
        let Some(unit) = one.unit.filter(|_| in_question(one)) else { continue };
        let against = physics.as_ref().filter(|(other, ..)| *other != unit);
        let air_is_out = ranges.iter().flatten().any(|(of, _)| *of == unit);
        let candidate = &mut candidates[at];
        match (against, &ranges[at]) {
            (Some((other, _, why)), _) if air_is_out => {
                candidate.unit = Some(*other);
                candidate.certainty = Certainty::Guess;
                candidate.reason.push_str(&format!("; its label says {}, but {why}", unit.name()));
            }
            (Some((_, _, why)), _) => {
                candidate.certainty = Certainty::Guess;
                candidate.reason.push_str(&format!("; read as its label says, though {why}"));
            }
            (None, Some((_, range))) => {
                candidate.certainty = Certainty::Guess;
                candidate.reason.push_str(&format!("; read as its label says, though {range}"));
            }
            (None, None) => {}
        }
    }
}

/// What speaks against a unit in the range of a column of air temperatures (project convention, as for a unit that is
/// not given).
fn out_of_range(unit: Unit, column: usize, profiles: &Profiles) -> Option<String> {
    let sorted = profiles.columns[column].sorted();
    let (low, middle, high) = (quantile(&sorted, 0.01)?, quantile(&sorted, 0.5)?, quantile(&sorted, 0.99)?);
    let shown = format!("its values lie around {middle:.1} ({low:.1} to {high:.1})");
    match unit {
        Unit::Celsius if middle > 50.0 => Some(format!("{shown}, which few buildings' air has in degC")),
        Unit::Fahrenheit if low >= 5.0 && high <= 32.0 => {
            Some(format!("{shown}, which in degF would be a log that never leaves frost"))
        }
        _ => None,
    }
}

/// Dew points above the air temperature of their logger: names that may be exchanged.
fn above_dry_bulb(candidates: &[Candidate], profiles: &Profiles, notes: &mut Notes) {
    let celsius = |c: &Candidate, row: usize| {
        let value = *profiles.columns[c.index].values.get(row)?;
        c.unit?.canonical(c.quantity, value?)
    };
    for low in candidates.iter().filter(|c| matches!(c.quantity, Quantity::DewPoint | Quantity::WetBulb)) {
        let dry: Vec<&Candidate> = candidates.iter().filter(|c| c.quantity == Quantity::AirTemp).collect();
        let same = dry.iter().find(|c| c.label.eq_ignore_ascii_case(&low.label));
        let Some(dry) = same.or(dry.first().filter(|_| dry.len() == 1)) else { continue };
        let pairs: Vec<(f64, f64)> =
            (0..profiles.rows).filter_map(|row| Some((celsius(dry, row)?, celsius(low, row)?))).collect();
        // Half a degree for rounding and the accuracy of a sensor in saturated air.
        let above = pairs.iter().filter(|(dry, low)| *low > dry + 0.5).count();
        if pairs.len() >= 5 && above * 2 > pairs.len() {
            notes.guess(
                format!("{} and {}", cut(&dry.name, 40), cut(&low.name, 40)),
                "read as they are called",
                format!(
                    "in {above} of {} rows of the sample the {} is above the air temperature, which no air has: the names may be exchanged",
                    pairs.len(),
                    low.quantity.label()
                ),
            );
        }
    }
}
