//! The unit of a column whose name gives none: by other columns, by physics, by range, else a guess that says so.
//!
//! Each quantity has its own rule. A rule that cannot decide leaves the unit open, and the column is then offered
//! instead of read.

use std::collections::BTreeMap;

use grainfall_record::{Certainty, Quantity};

use super::Candidate;
use super::heading::tokens;
use super::physics::{dew_point_c, ratio_kg_kg, vapour_pa, wet_bulb_c};
use super::profile::{Profiles, quantile};
use crate::units::Unit;
use crate::words::words;

/// Pressure assumed where only the size of a number matters, Pa.
const ABOUT_PA: f64 = 101_325.0;
/// Rows with all columns present that a comparison needs.
const ENOUGH: usize = 5;

/// Settles every open unit that can be settled.
pub(super) fn settle(candidates: &mut [Candidate], profiles: &Profiles, facts: &BTreeMap<String, String>) {
    for index in of(candidates, Quantity::RelativeHumidity) {
        relative_humidity(&mut candidates[index], profiles);
    }
    temperatures(candidates, profiles, facts);
    for index in 0..candidates.len() {
        if candidates[index].unit.is_some() {
            continue;
        }
        match candidates[index].quantity {
            Quantity::HumidityRatio => ratio(candidates, index, profiles),
            Quantity::VapourPressure => vapour_pressure(candidates, index, profiles),
            Quantity::Pressure => pressure(&mut candidates[index], profiles),
            Quantity::Moisture => give(&mut candidates[index], Unit::Percent, None, "read on its own scale as written"),
            Quantity::AbsoluteHumidity => {
                let why = "no unit is given and g/m3 is the usual one";
                give(&mut candidates[index], Unit::GramsPerM3, Some(Certainty::Guess), why);
            }
            Quantity::Enthalpy => enthalpy(candidates, index),
            _ => {}
        }
    }
}

fn of(candidates: &[Candidate], quantity: Quantity) -> Vec<usize> {
    (0..candidates.len()).filter(|i| candidates[*i].quantity == quantity && candidates[*i].unit.is_none()).collect()
}

fn is_temperature(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::AirTemp | Quantity::DewPoint | Quantity::WetBulb | Quantity::SurfaceTemp)
}

fn give(candidate: &mut Candidate, unit: Unit, certainty: Option<Certainty>, why: &str) {
    candidate.unit = Some(unit);
    candidate.reason.push_str(&format!("; {why}"));
    if certainty == Some(Certainty::Guess) && candidate.certainty == Certainty::Settled {
        candidate.certainty = Certainty::Guess;
    }
}

/// Percent, or a share of 1 when no value is above 1.1.
fn relative_humidity(candidate: &mut Candidate, profiles: &Profiles) {
    let profile = &profiles.columns[candidate.index];
    if profile.numbers == 0 {
        return;
    }
    if profile.high <= 1.1 && profile.high > 0.0 && profile.integers < profile.numbers {
        give(candidate, Unit::Fraction, None, "no value is above 1.1, so it is a share of 1");
    } else {
        give(candidate, Unit::Percent, None, "its values are percent");
    }
}

/// All temperatures of a file are taken to share one unit where no name says otherwise.
fn temperatures(candidates: &mut [Candidate], profiles: &Profiles, facts: &BTreeMap<String, String>) {
    let open: Vec<usize> = (0..candidates.len())
        .filter(|i| is_temperature(candidates[*i].quantity) && candidates[*i].unit.is_none())
        .collect();
    if open.is_empty() {
        return;
    }
    let told = by_sibling(candidates).or_else(|| by_fact(facts)).or_else(|| by_physics(candidates, profiles));
    let range = || by_range(candidates, &open, profiles);
    let (unit, certainty, why) = match told.map_or_else(range, Ranged::Tells) {
        Ranged::Tells(verdict) => verdict,
        Ranged::Either(why) => {
            open.iter().for_each(|index| candidates[*index].reason.push_str(&format!("; {why}")));
            return;
        }
        Ranged::Empty => {
            (Unit::Celsius, Certainty::Guess, "no unit is given and there are no values to judge by".into())
        }
    };
    for index in open {
        give(&mut candidates[index], unit, Some(certainty), &why);
    }
}

/// What the size of temperatures tells of their unit.
enum Ranged {
    Tells(Verdict),
    /// Air of a building in either unit.
    Either(String),
    Empty,
}

/// A unit, how sure it is, and why.
pub(super) type Verdict = (Unit, Certainty, String);

/// The unit of temperature in which the other columns of a file follow from each other, whatever its names say.
pub(super) fn by_physics(candidates: &[Candidate], profiles: &Profiles) -> Option<Verdict> {
    by_dew_point(candidates, profiles)
        .or_else(|| by_ratio(candidates, profiles))
        .or_else(|| by_wet_bulb(candidates, profiles))
}

fn by_sibling(candidates: &[Candidate]) -> Option<Verdict> {
    let mut stated = candidates.iter().filter(|c| is_temperature(c.quantity)).filter_map(|c| Some((c.unit?, &c.name)));
    let (unit, name) = stated.next()?;
    stated
        .all(|(other, _)| other == unit)
        .then(|| (unit, Certainty::Settled, format!("{} like `{name}` in the same file", unit.name())))
}

/// `Temperature unit: F` around the data.
fn by_fact(facts: &BTreeMap<String, String>) -> Option<Verdict> {
    facts.iter().find_map(|(key, value)| {
        let about = tokens(key)
            .iter()
            .any(|t| matches!(t.as_str(), "unit" | "units" | "temperature" | "temp" | "scale" | "einheit"));
        let unit = words().unit(value).filter(|unit| about && unit.fits(Quantity::AirTemp))?;
        Some((unit, Certainty::Settled, format!("`{key}` above the data says {}", unit.name())))
    })
}

/// Rows of up to three columns in which all have a number.
fn together<'p>(profiles: &'p Profiles, columns: &'p [usize]) -> impl Iterator<Item = Vec<f64>> + 'p {
    (0..profiles.rows).filter_map(|row| columns.iter().map(|c| *profiles.columns[*c].values.get(row)?).collect())
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    if values.len() < ENOUGH { None } else { quantile(&values, 0.5) }
}

/// Pairs of temperature and relative humidity of one label, as positions in `candidates`.
fn pairs(candidates: &[Candidate]) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    for (t, temp) in candidates.iter().enumerate().filter(|(_, c)| c.quantity == Quantity::AirTemp) {
        let same = |c: &&(usize, &Candidate)| c.1.label.eq_ignore_ascii_case(&temp.label);
        let humid: Vec<(usize, &Candidate)> = candidates
            .iter()
            .enumerate()
            .filter(|(_, c)| c.quantity == Quantity::RelativeHumidity && c.unit.is_some())
            .collect();
        if let Some((h, _)) = humid.iter().find(same).or_else(|| humid.first().filter(|_| humid.len() == 1)) {
            pairs.push((t, *h));
        }
    }
    pairs
}

fn in_unit(unit: Unit, value: f64) -> f64 {
    unit.canonical(Quantity::AirTemp, value).unwrap_or(value)
}

fn percent(candidate: &Candidate, value: f64) -> f64 {
    candidate.unit.and_then(|unit| unit.canonical(Quantity::RelativeHumidity, value)).unwrap_or(value)
}

/// The unit in which the logged dew points follow from temperature and humidity. A file may hold several pairs of
/// those and one dew point: the pair that fits best is the one meant, and is asked about both units.
fn by_dew_point(candidates: &[Candidate], profiles: &Profiles) -> Option<Verdict> {
    let misfit = |unit: Unit, t: usize, h: usize, dew: &Candidate| -> Option<f64> {
        let columns = [candidates[t].index, candidates[h].index, dew.index];
        let residuals = together(profiles, &columns).filter_map(|row| {
            let expected = dew_point_c(in_unit(unit, row[0]), percent(&candidates[h], row[1]))?;
            Some((expected - in_unit(unit, row[2])).abs())
        });
        median(residuals.collect())
    };
    let mut best: Option<(Unit, f64, f64)> = None;
    for (t, h) in pairs(candidates) {
        for dew in candidates.iter().filter(|c| c.quantity == Quantity::DewPoint) {
            let celsius = misfit(Unit::Celsius, t, h, dew)?;
            let fahrenheit = misfit(Unit::Fahrenheit, t, h, dew)?;
            let one = if celsius <= fahrenheit {
                (Unit::Celsius, celsius, fahrenheit)
            } else {
                (Unit::Fahrenheit, fahrenheit, celsius)
            };
            if best.is_none_or(|b| one.1 < b.1) {
                best = Some(one);
            }
        }
    }
    let (unit, good, bad) = best?;
    let other = if unit == Unit::Celsius { Unit::Fahrenheit } else { Unit::Celsius };
    // Whole degrees and whole percent scatter by some tenths of a degree.
    (good <= 0.5 && bad >= 3.0 * good && bad - good >= 0.25).then(|| {
        let why = format!(
            "its dew points follow from temperature and humidity within {good:.2} degC when read as {}, {bad:.2} degC when read as {}",
            unit.name(),
            other.name()
        );
        (unit, Certainty::Settled, why)
    })
}

/// The unit in which the logged wet bulbs follow from temperature and humidity.
fn by_wet_bulb(candidates: &[Candidate], profiles: &Profiles) -> Option<Verdict> {
    let misfit = |unit: Unit| -> Option<f64> {
        let (t, h) = pairs(candidates).into_iter().next()?;
        let wet = candidates.iter().find(|c| c.quantity == Quantity::WetBulb)?;
        let columns = [candidates[t].index, candidates[h].index, wet.index];
        let residuals = together(profiles, &columns).filter_map(|row| {
            let expected = wet_bulb_c(in_unit(unit, row[0]), percent(&candidates[h], row[1]), ABOUT_PA)?;
            Some((expected - in_unit(unit, row[2])).abs())
        });
        median(residuals.collect())
    };
    let (celsius, fahrenheit) = (misfit(Unit::Celsius)?, misfit(Unit::Fahrenheit)?);
    let (unit, good, bad) = if celsius <= fahrenheit {
        (Unit::Celsius, celsius, fahrenheit)
    } else {
        (Unit::Fahrenheit, fahrenheit, celsius)
    };
    // Pressure is not known here; 15 kPa less moves the wet bulb of room air by half a degree.
    (good <= 0.7 && bad >= 3.0 * good && bad - good >= 0.5).then(|| {
        let why = format!(
            "its wet bulbs follow from temperature and humidity within {good:.2} degC when read as {}",
            unit.name()
        );
        (unit, Certainty::Settled, why)
    })
}

const RATIO_UNITS: [Unit; 3] = [Unit::KgPerKg, Unit::GramsPerKg, Unit::GrainsPerPound];

/// How far a logged humidity ratio is from the computed one, as the size of the logarithm of their quotient.
fn ratio_misfit(candidates: &[Candidate], w: usize, temp: Unit, unit: Unit, profiles: &Profiles) -> Option<f64> {
    let (t, h) = pairs(candidates).into_iter().next()?;
    let columns = [candidates[t].index, candidates[h].index, candidates[w].index];
    let logs = together(profiles, &columns).filter_map(|row| {
        let expected = ratio_kg_kg(in_unit(temp, row[0]), percent(&candidates[h], row[1]), ABOUT_PA)?;
        let found = unit.canonical(Quantity::HumidityRatio, row[2])?;
        (expected > 0.0 && found > 0.0).then(|| (found / expected).ln())
    });
    median(logs.collect()).map(f64::abs)
}

/// The unit of temperature in which a logged humidity ratio follows, whatever the unit of the ratio.
fn by_ratio(candidates: &[Candidate], profiles: &Profiles) -> Option<Verdict> {
    let w = candidates.iter().position(|c| c.quantity == Quantity::HumidityRatio)?;
    let misfit = |temp: Unit| {
        let units: Vec<Unit> = candidates[w].unit.map_or(RATIO_UNITS.to_vec(), |unit| vec![unit]);
        units.into_iter().filter_map(|unit| ratio_misfit(candidates, w, temp, unit, profiles)).min_by(f64::total_cmp)
    };
    let (celsius, fahrenheit) = (misfit(Unit::Celsius)?, misfit(Unit::Fahrenheit)?);
    let (unit, good, bad) = if celsius <= fahrenheit {
        (Unit::Celsius, celsius, fahrenheit)
    } else {
        (Unit::Fahrenheit, fahrenheit, celsius)
    };
    (good <= 0.25 && bad >= 0.7).then(|| {
        let why = format!("its humidity ratio follows from temperature and humidity only when read as {}", unit.name());
        (unit, Certainty::Settled, why)
    })
}

/// By the size of the numbers (project convention): air in a building is not above 50 degC for half of the time nor
/// above 75 degC at any, values between 200 and 400 are kelvin, and a log that stays between 5 and 45 around 12 to 32 would,
/// in degF, never leave frost. Around 35 to 50 it may be a room that is heated to dry or one that is not heated at all: a
/// wrong guess would turn one into the other.
fn by_range(candidates: &[Candidate], open: &[usize], profiles: &Profiles) -> Ranged {
    let air: Vec<usize> = open.iter().copied().filter(|i| candidates[*i].quantity == Quantity::AirTemp).collect();
    let judged = if air.is_empty() { open } else { &air };
    let mut values: Vec<f64> = judged.iter().flat_map(|i| profiles.columns[candidates[*i].index].sorted()).collect();
    values.sort_by(f64::total_cmp);
    let (Some(low), Some(middle), Some(high)) =
        (quantile(&values, 0.01), quantile(&values, 0.5), quantile(&values, 0.99))
    else {
        return Ranged::Empty;
    };
    let shown = format!("no unit is given; its values lie around {middle:.1} ({low:.1} to {high:.1})");
    // Whole numbers of this size may as well be tenths of a degree.
    let whole = judged.iter().all(|i| profiles.columns[candidates[*i].index].places == 0);
    Ranged::Tells(if low > 200.0 && high < 400.0 {
        let certainty = if whole { Certainty::Guess } else { Certainty::Settled };
        (Unit::Kelvin, certainty, format!("{shown}, which only in K are temperatures of air"))
    } else if middle > 50.0 || high > 75.0 {
        (Unit::Fahrenheit, Certainty::Settled, format!("{shown}, which no building's air has in degC"))
    } else if low >= 5.0 && high <= 45.0 && (12.0..=32.0).contains(&middle) {
        (Unit::Celsius, Certainty::Settled, format!("{shown}, which in degF would be a log that never leaves frost"))
    } else if middle <= 35.0 {
        (Unit::Celsius, Certainty::Guess, format!("{shown}, likelier in degC than in degF"))
    } else {
        return Ranged::Either(format!("{shown}, a heated room in degC or a cold one in degF"));
    })
}

fn ratio(candidates: &mut [Candidate], index: usize, profiles: &Profiles) {
    if candidates[index].reason.contains("gpp") || candidates[index].reason.contains("grains") {
        return give(&mut candidates[index], Unit::GrainsPerPound, None, "its name is the unit");
    }
    let temp = pairs(candidates).first().and_then(|(t, _)| candidates[*t].unit);
    if let Some(temp) = temp {
        let mut fits: Vec<(f64, Unit)> = RATIO_UNITS
            .into_iter()
            .filter_map(|unit| Some((ratio_misfit(candidates, index, temp, unit, profiles)?, unit)))
            .collect();
        fits.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let [(good, unit), (bad, _), ..] = fits[..]
            && good <= 0.25
            && bad >= 0.7
        {
            let why = format!("{} because it follows from temperature and humidity", unit.name());
            return give(&mut candidates[index], unit, None, &why);
        }
    }
    let sorted = profiles.columns[candidates[index].index].sorted();
    match quantile(&sorted, 0.5) {
        Some(middle) if middle < 0.1 => {
            give(&mut candidates[index], Unit::KgPerKg, None, &format!("its values lie around {middle:.4}, so kg/kg"));
        }
        Some(middle) if middle > 40.0 => {
            let why = format!("its values lie around {middle:.0}, so gr/lb rather than g/kg");
            give(&mut candidates[index], Unit::GrainsPerPound, Some(Certainty::Guess), &why);
        }
        _ => {}
    }
}

fn vapour_pressure(candidates: &mut [Candidate], index: usize, profiles: &Profiles) {
    let Some((t, h)) = pairs(candidates).into_iter().next() else { return };
    let Some(temp) = candidates[t].unit else { return };
    let columns = [candidates[t].index, candidates[h].index, candidates[index].index];
    let mut fits: Vec<(f64, Unit)> = [Unit::Pascal, Unit::Hectopascal, Unit::Kilopascal, Unit::MmHg, Unit::InHg]
        .into_iter()
        .filter_map(|unit| {
            let logs = together(profiles, &columns).filter_map(|row| {
                let expected = vapour_pa(in_unit(temp, row[0]), percent(&candidates[h], row[1]))?;
                let found = unit.canonical(Quantity::VapourPressure, row[2])?;
                (expected > 0.0 && found > 0.0).then(|| (found / expected).ln())
            });
            Some((median(logs.collect())?.abs(), unit))
        })
        .collect();
    fits.sort_by(|a, b| a.0.total_cmp(&b.0));
    // The nearest pair of these units, hPa and mmHg, differs by a factor of 1.33 (0.29 in the logarithm).
    if let Some((misfit, unit)) = fits.first().copied()
        && misfit <= 0.1
    {
        let why = format!("{} because it follows from temperature and humidity", unit.name());
        give(&mut candidates[index], unit, None, &why);
    }
}

/// Air pressure differs by its unit more than by height, except between mmHg and hPa.
fn pressure(candidate: &mut Candidate, profiles: &Profiles) {
    let sorted = profiles.columns[candidate.index].sorted();
    let Some(middle) = quantile(&sorted, 0.5) else { return };
    let unit = match middle {
        20.0..=32.0 => Unit::InHg,
        10.0..=15.5 => Unit::Psi,
        60.0..=108.5 => Unit::Kilopascal,
        800.0..=1085.0 => Unit::Hectopascal,
        60_000.0..=108_500.0 => Unit::Pascal,
        _ => return,
    };
    let why = format!("its values lie around {middle:.1}, which only {} makes an air pressure", unit.name());
    give(candidate, unit, None, &why);
}

fn enthalpy(candidates: &mut [Candidate], index: usize) {
    let fahrenheit = candidates.iter().any(|c| is_temperature(c.quantity) && c.unit == Some(Unit::Fahrenheit));
    let unit = if fahrenheit { Unit::BtuPerPound } else { Unit::KilojoulesPerKg };
    let why = format!("{} because of the unit of the temperatures", unit.name());
    give(&mut candidates[index], unit, Some(Certainty::Guess), &why);
}
