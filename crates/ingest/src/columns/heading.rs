//! What the name of a column says: the quantity, the unit, what is left over (a place or a number).

use grainfall_record::{Certainty, Quantity};

use crate::units::Unit;
use crate::words::{first, longest, words};

/// The words of a name: lower case, split at anything that is no letter or digit, between a small and a capital
/// letter, and between letters and digits.
pub(crate) fn tokens(name: &str) -> Vec<String> {
    pieces(name).into_iter().map(|piece| piece.to_lowercase()).collect()
}

/// The same words as written.
pub(crate) fn pieces(name: &str) -> Vec<String> {
    let mut pieces = Vec::new();
    let mut piece = String::new();
    let mut last: Option<char> = None;
    for c in name.chars() {
        if !c.is_alphanumeric() {
            flush(&mut pieces, &mut piece);
            last = None;
            continue;
        }
        if let Some(before) = last {
            let camel = before.is_lowercase() && c.is_uppercase();
            let digit = before.is_numeric() != c.is_numeric();
            if camel || digit {
                flush(&mut pieces, &mut piece);
            }
        }
        piece.push(c);
        last = Some(c);
    }
    flush(&mut pieces, &mut piece);
    pieces
}

fn flush(pieces: &mut Vec<String>, piece: &mut String) {
    let piece = std::mem::take(piece);
    if piece.is_empty() {
        return;
    }
    if piece.chars().any(is_ideograph) {
        return words().divide(&piece, pieces);
    }
    match words().compound(&piece) {
        Some(at) => pieces.extend([piece[..at].to_owned(), piece[at..].to_owned()]),
        None => pieces.push(piece),
    }
}

/// A letter of a script that writes words without blanks between them.
pub(crate) fn is_ideograph(c: char) -> bool {
    matches!(c, '\u{3041}'..='\u{30FF}' | '\u{3400}'..='\u{9FFF}' | '\u{F900}'..='\u{FAFF}')
}

/// A unit and where it was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct FoundUnit {
    pub unit: Unit,
    pub place: UnitPlace,
}

/// Where a unit was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum UnitPlace {
    Name,
    UnitsRow,
}

/// What a column's names say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Heading {
    pub quantity: Option<Quantity>,
    /// The word or unit that showed the quantity, and how sure that is.
    pub shown_by: String,
    pub certainty: Certainty,
    pub unit: Option<FoundUnit>,
    /// What is left of the name: the place or number of the sensor, as written.
    pub label: String,
    /// Why a column of this name is no sample of its quantity.
    pub left_out: Option<String>,
    /// A mean over the logging interval.
    pub mean: bool,
    /// A serial number within the name.
    pub serial: Option<String>,
}

impl Heading {
    /// Reads a column's name, its further names, and its cell of the units row.
    pub fn read(name: &str, aliases: &[String], units_row: &str) -> Self {
        let main = Name::read(name);
        let others: Vec<Name> = aliases.iter().map(|alias| Name::read(alias)).collect();
        let all = || std::iter::once(&main).chain(&others);
        let row_unit = words()
            .unit(units_row.trim_matches(['(', ')', '[', ']']))
            .map(|unit| FoundUnit { unit, place: UnitPlace::UnitsRow });
        let unit = main.unit.map(|unit| FoundUnit { unit, place: UnitPlace::Name }).or(row_unit);
        let left_out = all().find_map(|one| {
            first(&words().left_out, &one.all).map(|phrase| format!("`{}`: {}", phrase.words.join(" "), phrase.means))
        });
        let mean = all().any(|one| first(&words().means, &one.all).is_some());
        let matched = all().find_map(|one| Some((one, longest(&words().quantities, &one.words)?)));
        let mut heading = Self {
            quantity: None,
            shown_by: String::new(),
            certainty: Certainty::Settled,
            unit,
            label: main.label(None),
            left_out,
            mean,
            serial: main.serial.clone(),
        };
        if let Some((from, found)) = matched {
            heading.shown_by = format!("`{}` in its name", from.words[found.start..found.start + found.len].join(" "));
            heading.quantity = Some(found.means);
            if std::ptr::eq(from, &main) {
                heading.label = main.label(Some((found.start, found.len)));
            } else {
                heading.label = String::new();
            }
            if let Some(unit) = unit
                && !unit.unit.fits(found.means)
            {
                heading.by_odd_unit(found.means, unit);
            }
        } else if let Some(unit) = unit {
            heading.by_unit(unit, &main);
        }
        heading
    }

    /// A quantity word and a unit that does not fit it: humidity in g/m3, g/kg or gr/lb is another quantity.
    fn by_odd_unit(&mut self, quantity: Quantity, unit: FoundUnit) {
        let humid =
            matches!(quantity, Quantity::RelativeHumidity | Quantity::AbsoluteHumidity | Quantity::HumidityRatio);
        let other = [Quantity::AbsoluteHumidity, Quantity::HumidityRatio, Quantity::RelativeHumidity]
            .into_iter()
            .find(|other| humid && unit.unit.fits(*other));
        match other {
            Some(other) => {
                self.quantity = Some(other);
                self.shown_by = format!("{} and its unit {}", self.shown_by, unit.unit.name());
            }
            None => {
                self.quantity = None;
                let shown = std::mem::take(&mut self.shown_by);
                self.left_out.get_or_insert(format!("{shown} does not fit its unit {}", unit.unit.name()));
            }
        }
    }

    /// No quantity word: a unit of temperature tells an air temperature, a bare `%RH` or `%` a relative humidity.
    fn by_unit(&mut self, unit: FoundUnit, name: &Name) {
        let symbol = name.words.iter().position(|word| words().is_percent_symbol(word));
        if let Some(at) = symbol.filter(|_| unit.unit == Unit::Percent) {
            self.quantity = Some(Quantity::RelativeHumidity);
            self.shown_by = format!("`{}` with the unit %", name.words[at]);
            self.label = name.label(Some((at, 1)));
            return;
        }
        let temperature = unit.unit.fits(Quantity::AirTemp) && unit.unit != Unit::Kelvin;
        let bare = name.words.iter().all(|word| words().is_neutral(word) || word.bytes().all(|b| b.is_ascii_digit()));
        if temperature && (bare || name.words.len() <= 3) {
            self.quantity = Some(Quantity::AirTemp);
        } else if unit.unit == Unit::Percent && bare && unit.place == UnitPlace::Name {
            self.quantity = Some(Quantity::RelativeHumidity);
        } else if unit.unit == Unit::GrainsPerPound && bare {
            self.quantity = Some(Quantity::HumidityRatio);
        } else {
            return;
        }
        self.shown_by = format!("its unit {}, with no word for a quantity", unit.unit.name());
        self.certainty = Certainty::Guess;
    }
}

/// One name taken apart.
#[derive(Debug)]
struct Name {
    /// Words without the unit's.
    words: Vec<String>,
    /// The same as written.
    written: Vec<String>,
    /// Words with everything in brackets.
    all: Vec<String>,
    unit: Option<Unit>,
    serial: Option<String>,
}

impl Name {
    fn read(raw: &str) -> Self {
        let unscaled = super::scale::mark(raw).map(|(name, _)| name);
        let raw = unscaled.as_deref().unwrap_or(raw);
        let mut rest = String::with_capacity(raw.len());
        let mut unit = None;
        let mut serial = None;
        let mut at = raw;
        // Brackets: a unit, `key: value` facts, or more words.
        while let Some(open) = at.find(['(', '[', '{']) {
            let close = match at.as_bytes()[open] {
                b'(' => ')',
                b'[' => ']',
                _ => '}',
            };
            let Some(len) = at[open..].find(close) else { break };
            let inner = at[open + 1..open + len].trim();
            rest.push_str(&at[..open]);
            rest.push(' ');
            if let Some(found) = words().unit(inner) {
                unit = unit.or(Some(found));
            } else if inner.contains(':') {
                serial = serial.or_else(|| serial_in(inner));
            } else {
                rest.push_str(inner);
                rest.push(' ');
            }
            at = &at[open + len + 1..];
        }
        rest.push_str(at);
        if unit.is_none() {
            unit = signed_unit(&mut rest);
        }
        if unit.is_none() {
            unit = trailing_unit(&mut rest);
        }
        let written = pieces(&rest);
        let words = written.iter().map(|piece| piece.to_lowercase()).collect();
        Self { words, written, all: tokens(raw), unit, serial }
    }

    /// What is left of the name without the words of the quantity and neutral words.
    fn label(&self, quantity: Option<(usize, usize)>) -> String {
        let inside = |at: usize| quantity.is_some_and(|(start, len)| (start..start + len).contains(&at));
        let mut kept: Vec<&str> = Vec::new();
        for (at, word) in self.words.iter().enumerate() {
            let mean = words().means.iter().any(|phrase| phrase.words == [word.clone()]);
            if !inside(at) && !words().is_neutral(word) && !mean {
                kept.push(&self.written[at]);
            }
        }
        // `BC1` is one word in the file.
        let joined = kept.join(" ");
        let squeezed = kept.concat();
        if quantity.is_none() && kept.len() == self.written.len() && self.all.len() == kept.len() {
            squeezed
        } else {
            joined
        }
    }
}

/// `S/N: 123` among `key: value` facts within brackets.
fn serial_in(text: &str) -> Option<String> {
    text.split([',', ';']).find_map(|part| {
        let (key, value) = part.split_once(':')?;
        let tokens = tokens(key);
        let found = longest(&words().identity, &tokens)?;
        let serial = found.means == crate::words::Identity::Serial && !value.trim().is_empty();
        serial.then(|| value.trim().to_owned())
    })
}

/// A unit marked by its own sign, `°` or `%`, anywhere in the name; it is cut out.
fn signed_unit(name: &mut String) -> Option<Unit> {
    let at = name.find(['°', 'º', '˚', '∘', '℃', '℉', '%'])?;
    let sign = name[at..].chars().next()?.len_utf8();
    let after = &name[at + sign..];
    let word_len = after.find(|c: char| !(c.is_alphanumeric() || c == '.' || c == ' ')).unwrap_or(after.len());
    // The longest spelling that begins at the sign.
    let mut ends: Vec<usize> = after[..word_len].char_indices().map(|(i, c)| i + c.len_utf8()).collect();
    ends.insert(0, 0);
    for end in ends.into_iter().rev() {
        let to = at + sign + end;
        let boundary = name[to..].chars().next().is_none_or(|c| !c.is_alphanumeric());
        if boundary && let Some(unit) = words().unit(&name[at..to]) {
            name.replace_range(at..to, " ");
            return Some(unit);
        }
    }
    None
}

/// A unit in the last words of the name (`Temp, F`, `temp_degF`, `Press_mm_hg`, `TempC`); it is cut off.
fn trailing_unit(name: &mut String) -> Option<Unit> {
    let mut starts: Vec<usize> = Vec::new();
    let mut last: Option<char> = None;
    for (at, c) in name.char_indices() {
        let breaks = match last {
            None => true,
            Some(before) => !is_unit_char(before) && is_unit_char(c) || before.is_lowercase() && c.is_uppercase(),
        };
        if breaks && is_unit_char(c) {
            starts.push(at);
        }
        last = Some(c);
    }
    // Three words at most, the longest spelling first; never the whole name.
    let candidates: Vec<usize> = starts.iter().skip(1).rev().take(3).rev().copied().collect();
    for at in candidates {
        let text = name[at..].trim_matches(|c: char| !is_unit_char(c));
        if let Some(unit) = words().unit(text) {
            name.truncate(at);
            return Some(unit);
        }
    }
    None
}

fn is_unit_char(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '/' | '"' | '*')
}

#[cfg(test)]
mod tests {
    use super::*;
    use Quantity as Q;

    #[track_caller]
    fn check(name: &str, quantity: Option<Q>, unit: Option<Unit>, label: &str) {
        let heading = Heading::read(name, &[], "");
        assert_eq!(
            (heading.quantity, heading.unit.map(|u| u.unit), heading.label.as_str()),
            (quantity, unit, label),
            "{name}"
        );
    }

    #[test]
    fn words_are_split_where_names_change() {
        assert_eq!(tokens("HourlyDryBulbTemperature"), ["hourly", "dry", "bulb", "temperature"]);
        assert_eq!(tokens("RH_1"), ["rh", "1"]);
        assert_eq!(tokens("T9"), ["t", "9"]);
        assert_eq!(tokens("RHe"), ["rhe"]);
        assert_eq!(tokens("Temp (°C)"), ["temp", "c"]);
    }

    #[test]
    fn quantities_units_and_labels() {
        check("Temp (°C)", Some(Q::AirTemp), Some(Unit::Celsius), "");
        check("Dew Point Temp (°C)", Some(Q::DewPoint), Some(Unit::Celsius), "");
        check("Rel Hum (%)", Some(Q::RelativeHumidity), Some(Unit::Percent), "");
        check("Stn Press (kPa)", Some(Q::Pressure), Some(Unit::Kilopascal), "");
        check("HourlyWetBulbTemperature", Some(Q::WetBulb), None, "");
        check("Press_mm_hg", Some(Q::Pressure), Some(Unit::MmHg), "");
        check("temp_degF", Some(Q::AirTemp), Some(Unit::Fahrenheit), "");
        check("Temp, °F", Some(Q::AirTemp), Some(Unit::Fahrenheit), "");
        check("Temperature Deg F", Some(Q::AirTemp), Some(Unit::Fahrenheit), "");
        check("TempC", Some(Q::AirTemp), Some(Unit::Celsius), "");
        check("Humidity %RH", Some(Q::RelativeHumidity), Some(Unit::Percent), "");
        check("RH, % (S/N: 1034, made: 2020)", Some(Q::RelativeHumidity), Some(Unit::Percent), "");
        check("T_out", Some(Q::AirTemp), None, "out");
        check("RH_1", Some(Q::RelativeHumidity), None, "1");
        check("Kitchen Temp", Some(Q::AirTemp), None, "Kitchen");
        check("HumidityRatio", Some(Q::HumidityRatio), None, "");
        check("Humidity (g/m³)", Some(Q::AbsoluteHumidity), Some(Unit::GramsPerM3), "");
        check("Kitchen [°F]", Some(Q::AirTemp), Some(Unit::Fahrenheit), "Kitchen");
        check("BC1", None, None, "BC1");
        check("Light", None, None, "Light");
        check("RV 2 (%)", Some(Q::RelativeHumidity), Some(Unit::Percent), "2");
        check("UR [%]", Some(Q::RelativeHumidity), Some(Unit::Percent), "");
        check("Temp (0.1 °C)", Some(Q::AirTemp), Some(Unit::Celsius), "");
        check("Temperatur (2m)", Some(Q::AirTemp), None, "2 m");
    }

    #[test]
    fn names_that_are_no_samples() {
        let reason = |name: &str| Heading::read(name, &[], "").left_out;
        assert_eq!(reason("Temp Flag").unwrap(), "`flag`: a quality flag, not a value");
        assert_eq!(
            reason("HourlySeaLevelPressure").unwrap(),
            "`sea level`: sea-level pressure is not the pressure at the logger"
        );
        assert_eq!(
            reason("Druck (auf Meereshoehe)").unwrap(),
            "`meereshoehe`: sea-level pressure is not the pressure at the logger"
        );
        assert_eq!(reason("Temp"), None);
    }

    #[test]
    fn other_names_and_the_units_row_help() {
        let heading = Heading::read("Fühler", &["dry_bulb_temperature_at_2_meter".into()], "Grad C");
        assert_eq!(heading.quantity, Some(Q::AirTemp));
        assert_eq!(heading.unit, Some(FoundUnit { unit: Unit::Celsius, place: UnitPlace::UnitsRow }));
        let heading = Heading::read("Maximumtemperatur", &["maximum_temperature_last_12_hours".into()], "Grad C");
        assert_eq!(heading.left_out.unwrap(), "`maximum`: an extreme over the interval, not a sample");
    }

    #[test]
    fn a_serial_number_in_a_name() {
        assert_eq!(Heading::read("Temp (serial no: 1034)", &[], "").serial.as_deref(), Some("1034"));
    }
}
