//! Which columns belong to one logger: by what is left of their names, by position, by physics.

use std::collections::{BTreeMap, BTreeSet};

use grainfall_record::{Certainty, Quantity};

use super::Candidate;
use super::heading::Heading;
use super::physics::dew_point_c;
use super::profile::{Profiles, quantile};
use crate::notes::{Notes, quoted};
use crate::table::layout::Layout;
use crate::units::Unit;
use crate::words::words;

/// Channel of the columns without a label in a file whose other columns have one.
const MAIN: &str = "main";

/// `Te` and `RHe`: no word alone, but a pair of symbols with the same letters behind.
pub(super) fn pair_symbols(layout: &Layout, headings: &mut [Heading]) {
    if !layout.named {
        return;
    }
    let ending = |name: &str, symbol: &str| -> Option<String> {
        let plain = name.trim();
        let start = plain.get(..symbol.len())?;
        let rest = plain.get(symbol.len()..)?;
        let fits = start.eq_ignore_ascii_case(symbol)
            && (1..=12).contains(&rest.len())
            && rest.chars().all(char::is_alphanumeric);
        fits.then(|| rest.to_lowercase())
    };
    let endings =
        |symbol: &str| -> BTreeSet<String> { layout.names.iter().filter_map(|name| ending(name, symbol)).collect() };
    let shared: BTreeSet<String> = endings("T").intersection(&endings("RH")).cloned().collect();
    for (heading, name) in headings.iter_mut().zip(&layout.names) {
        if heading.quantity.is_some() {
            continue;
        }
        for (symbol, quantity) in [("RH", Quantity::RelativeHumidity), ("T", Quantity::AirTemp)] {
            if let Some(rest) = ending(name, symbol)
                && shared.contains(&rest)
            {
                heading.quantity = Some(quantity);
                heading.shown_by = format!("`T{rest}` and `RH{rest}` are a pair");
                heading.label = name.trim()[symbol.len()..].to_owned();
                break;
            }
        }
    }
}

type Grouped = Vec<(Candidate, Option<String>)>;
type LeftOut = Vec<(String, String)>;

/// Gives every column its channel. Also returns columns that say again what another one says, with the reason.
pub(super) fn group(candidates: Vec<Candidate>, profiles: &Profiles, notes: &mut Notes) -> (Grouped, LeftOut) {
    let (mut candidates, left_out) = drop_doubles(candidates, profiles);
    number_repeats(&mut candidates);
    let labels: Vec<String> = {
        let mut seen = Vec::new();
        for candidate in &candidates {
            let label = candidate.label.to_lowercase();
            if !seen.contains(&label) {
                seen.push(label);
            }
        }
        seen
    };
    if labels.len() <= 1 || !are_places(&candidates) {
        return (candidates.into_iter().map(|c| (c, None)).collect(), left_out);
    }
    let channels = attach(&candidates, profiles);
    // The first spelling of a label names its channel.
    let mut spelling: BTreeMap<String, String> = BTreeMap::new();
    for candidate in &candidates {
        spelling.entry(candidate.label.to_lowercase()).or_insert_with(|| candidate.label.clone());
    }
    let named: Vec<Option<String>> = channels
        .into_iter()
        .map(|label| match spelling.get(&label) {
            Some(text) if !text.is_empty() => Some(text.clone()),
            _ => Some(MAIN.to_owned()),
        })
        .collect();
    let distinct: BTreeSet<&str> = named.iter().flatten().map(String::as_str).collect();
    notes.settled(
        "channels",
        quoted(distinct.iter().copied(), 12),
        format!("{} loggers side by side, told apart by the rest of the column names", distinct.len()),
    );
    (candidates.into_iter().zip(named).collect(), left_out)
}

/// Leaves out a mean where there is a plain column, and the same values in a second unit.
fn drop_doubles(candidates: Vec<Candidate>, profiles: &Profiles) -> (Vec<Candidate>, LeftOut) {
    let mut left_out = Vec::new();
    let mut kept: Vec<Candidate> = Vec::new();
    let same = |a: &Candidate, b: &Candidate| {
        a.quantity == b.quantity && a.label.eq_ignore_ascii_case(&b.label) && a.index != b.index
    };
    let all = candidates.clone();
    for candidate in candidates {
        let stated = candidate.certainty == Certainty::Stated;
        let plain = all.iter().find(|other| same(other, &candidate) && !other.mean);
        if candidate.mean
            && !stated
            && let Some(plain) = plain
        {
            left_out.push((
                candidate.name.clone(),
                format!("a mean over the interval beside the plain column `{}`", plain.name),
            ));
            continue;
        }
        let twin =
            kept.iter().find(|k| same(k, &candidate) && k.unit != candidate.unit && agree(k, &candidate, profiles));
        if let Some(twin) = twin.filter(|_| !stated) {
            left_out.push((candidate.name.clone(), format!("the values of `{}` in another unit", twin.name)));
            continue;
        }
        kept.push(candidate);
    }
    (kept, left_out)
}

/// Whether two columns hold the same values in their units, within one degree or one hundredth.
fn agree(a: &Candidate, b: &Candidate, profiles: &Profiles) -> bool {
    let canonical = |c: &Candidate, value: Option<f64>| c.unit?.canonical(c.quantity, value?);
    let (left, right) = (&profiles.columns[a.index].values, &profiles.columns[b.index].values);
    let mut pairs = 0;
    for (x, y) in left.iter().zip(right) {
        if let (Some(x), Some(y)) = (canonical(a, *x), canonical(b, *y)) {
            if (x - y).abs() > 0.6_f64.max(0.01 * x.abs()) {
                return false;
            }
            pairs += 1;
        }
    }
    pairs > 0
}

/// `Temp, RH, Temp, RH`: repeats of one name are numbered, in step or from left to right.
fn number_repeats(candidates: &mut [Candidate]) {
    let mut labels: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, candidate) in candidates.iter().enumerate() {
        labels.entry(candidate.label.to_lowercase()).or_default().push(at);
    }
    for members in labels.into_values() {
        let mut counts: BTreeMap<Quantity, usize> = BTreeMap::new();
        for at in &members {
            *counts.entry(candidates[*at].quantity).or_default() += 1;
        }
        let most = counts.values().copied().max().unwrap_or(0);
        if most < 2 {
            continue;
        }
        let in_step = counts.values().all(|n| *n == most || *n == 1);
        let mut seen: BTreeMap<Quantity, usize> = BTreeMap::new();
        let mut walking = 1;
        let mut current: BTreeSet<Quantity> = BTreeSet::new();
        for at in members {
            let quantity = candidates[at].quantity;
            let number = if in_step {
                let n = seen.entry(quantity).or_default();
                *n += 1;
                *n
            } else {
                if !current.insert(quantity) {
                    walking += 1;
                    current = BTreeSet::from([quantity]);
                }
                walking
            };
            let label = &mut candidates[at].label;
            *label = if label.is_empty() { number.to_string() } else { format!("{label} {number}") };
        }
    }
}

/// Whether the labels are places of several loggers rather than remarks on the columns of one: a quantity occurs
/// under two labels, or labels differ by a number or a word for a place.
fn are_places(candidates: &[Candidate]) -> bool {
    let mut by_quantity: BTreeMap<Quantity, usize> = BTreeMap::new();
    for candidate in candidates {
        *by_quantity.entry(candidate.quantity).or_default() += 1;
    }
    if by_quantity.values().any(|count| *count > 1) {
        return true;
    }
    let strong: BTreeSet<String> = candidates
        .iter()
        .map(|c| c.label.to_lowercase())
        .filter(|label| label.split(' ').any(|word| words().is_place(word)))
        .collect();
    strong.len() > 1
}

/// The label of every column; one without a label joins the channel it fits.
fn attach(candidates: &[Candidate], profiles: &Profiles) -> Vec<String> {
    let mut labels: Vec<String> = candidates.iter().map(|c| c.label.to_lowercase()).collect();
    // A temperature or humidity without a label is a logger of its own.
    let own = candidates.iter().any(|c| {
        c.label.is_empty() && matches!(c.quantity, Quantity::AirTemp | Quantity::RelativeHumidity | Quantity::Moisture)
    });
    if own {
        return labels;
    }
    for (at, candidate) in candidates.iter().enumerate().filter(|(_, c)| c.label.is_empty()) {
        let physics = (candidate.quantity == Quantity::DewPoint).then(|| by_dew_point(candidates, candidate, profiles));
        // Else the column before it, or after it at the start.
        let beside = || {
            candidates[..at]
                .iter()
                .rev()
                .chain(&candidates[at..])
                .find(|c| !c.label.is_empty())
                .map(|c| c.label.to_lowercase())
        };
        if let Some(label) = physics.flatten().or_else(beside) {
            labels[at] = label;
        }
    }
    labels
}

/// The one channel from whose temperature and humidity a dew point follows.
fn by_dew_point(candidates: &[Candidate], dew: &Candidate, profiles: &Profiles) -> Option<String> {
    let celsius = |c: &Candidate, value: Option<f64>| c.unit.unwrap_or(Unit::Celsius).canonical(c.quantity, value?);
    let mut fits: Vec<(f64, String)> = Vec::new();
    for temp in candidates.iter().filter(|c| c.quantity == Quantity::AirTemp && !c.label.is_empty()) {
        let label = temp.label.to_lowercase();
        let humid =
            candidates.iter().find(|c| c.quantity == Quantity::RelativeHumidity && c.label.to_lowercase() == label)?;
        let mut residuals: Vec<f64> = (0..profiles.rows)
            .filter_map(|row| {
                let value = |c: &Candidate| celsius(c, *profiles.columns[c.index].values.get(row)?);
                Some((dew_point_c(value(temp)?, value(humid)?)? - value(dew)?).abs())
            })
            .collect();
        residuals.sort_by(f64::total_cmp);
        fits.push((quantile(&residuals, 0.5)?, label));
    }
    fits.sort_by(|a, b| a.0.total_cmp(&b.0));
    match &fits[..] {
        [(good, label)] if *good <= 0.5 => Some(label.clone()),
        [(good, label), (bad, _), ..] if *good <= 0.5 && *bad >= 3.0 * (good + 0.1) => Some(label.clone()),
        _ => None,
    }
}
