//! The axes of which dialects are drawn, with their weights.

use std::fmt;

use proptest::prelude::*;

use crate::languages::{Language, language};

/// The name of an axis, and its values with their weights.
pub type Axis = (&'static str, &'static [(&'static str, u32)]);

/// Every axis.
#[rustfmt::skip]
pub static AXES: [Axis; 23] = [
    ("layout", &[
        ("one logger", 10), ("side by side", 3), ("logger column", 3), ("quantity column", 3), ("units in cells", 2),
        ("no header", 1), ("file per quantity", 1), ("sheet per quantity", 1), ("below each other", 2),
    ]),
    ("container", &[
        ("none", 16), ("gzip", 1), ("zip", 1), ("xlsx with date cells", 2), ("xlsx with text cells", 1),
        ("xls with date cells", 1), ("xls with text cells", 1), ("ods with date cells", 1), ("ods with text cells", 1),
    ]),
    ("delimiter", &[("comma", 5), ("semicolon", 4), ("tab", 3), ("pipe", 1), ("blanks", 2), ("fixed places", 2)]),
    ("decimal mark", &[("point", 3), ("comma", 2)]),
    ("numbers", &[("plain", 8), ("exponents", 1), ("plus signs", 1), ("grouped", 1), ("padded", 1)]),
    ("behind numbers", &[("nothing", 10), ("unit", 1), ("marks", 1)]),
    ("quotes", &[("none", 3), ("all", 1)]),
    ("times", &[
        ("iso", 4), ("iso Z", 2), ("iso offset", 2), ("iso slashes", 1), ("compact", 1), ("us am pm", 4),
        ("us two-digit year", 2), ("day first slashes", 2), ("day first dots", 3), ("month name", 2),
        ("month name first", 1), ("weekday before", 1), ("weekday behind", 1), ("time before date", 1),
        ("date and time columns", 3), ("date, time and half columns", 1), ("date and hour columns", 1), ("parts", 2),
        ("epoch s", 1), ("epoch ms", 1), ("epoch us", 1), ("epoch ns", 1), ("serial", 2), ("elapsed minutes", 2),
        ("elapsed seconds", 1), ("elapsed hh:mm:ss", 1), ("hour 24", 1), ("two formats", 2), ("signs", 1),
        ("half before time", 1), ("jitter", 1), ("twelve hours unmarked", 1),
        ("twelve hours, year first", 1),
    ]),
    ("clock", &[
        ("UTC", 10), ("wall New York", 3), ("wall Lord Howe", 1), ("never changed", 2), ("stated offset", 1),
        ("stated zone", 1), ("standard time", 1),
    ]),
    ("another date", &[
        ("nowhere", 6), ("file name", 1), ("exported above", 1), ("printed in one form", 1), ("weekday column", 1),
    ]),
    ("bytes", &[
        ("UTF-8", 6), ("UTF-8 mark", 2), ("UTF-16LE mark", 1), ("UTF-16BE mark", 1), ("UTF-16LE", 1), ("UTF-16BE", 1),
        ("older", 3), ("older, second", 1),
    ]),
    ("line end", &[("LF", 3), ("CRLF", 3), ("CR", 1)]),
    ("unit", &[("C", 3), ("F", 3), ("K", 1)]),
    ("names", &[("brackets", 4), ("underscore", 2), ("units row", 2), ("scaled", 1), ("scale above", 1), ("unit above", 1)]),
    ("language", &[
        ("English", 4), ("German", 2), ("Spanish", 1), ("French", 1), ("Dutch", 1), ("Italian", 1), ("Portuguese", 1),
        ("Polish", 1), ("Czech", 1), ("Danish", 1), ("Norwegian", 1), ("Swedish", 1), ("Finnish", 1), ("Japanese", 1),
        ("Chinese", 1), ("Chinese, traditional", 1),
    ]),
    ("third quantity", &[
        ("none", 6), ("dew point", 1), ("wet bulb", 1), ("surface temperature", 1), ("GPP", 1), ("humidity ratio g/kg", 1),
        ("absolute humidity", 1), ("vapour pressure hPa", 1), ("vapour pressure kPa", 1), ("enthalpy kJ/kg", 1),
        ("enthalpy Btu/lb", 1), ("pressure hPa", 1), ("pressure kPa", 1), ("pressure inHg", 1), ("pressure mmHg", 1),
        ("pressure Pa", 1), ("moisture", 1), ("weight kg", 1), ("weight lb", 1),
    ]),
    ("above", &[("nothing", 3), ("one line", 2), ("five lines", 2), ("remarks", 1), ("thirty lines", 1)]),
    ("missing", &[
        ("empty", 4), ("NA", 1), ("---", 1), ("NaN", 1), ("OL", 1), ("M", 1), ("ERR", 1), ("LOW BATT", 1), ("-999", 1),
        ("-200", 1), ("9999", 1),
    ]),
    ("order", &[("oldest first", 4), ("newest first", 2), ("some rows late", 1)]),
    ("end", &[
        ("line end", 4), ("none", 1), ("statistics", 1), ("legend", 1), ("blank rows", 1), ("torn row", 1), ("zero bytes", 1),
    ]),
    ("row numbers", &[("no", 3), ("yes", 1)]),
    ("beside", &[("nothing", 6), ("flags", 1), ("remarks", 1), ("hundred columns", 1)]),
    ("header again", &[("no", 5), ("in the middle", 1), ("with rows again", 1)]),
];

/// One value of each axis.
#[derive(Clone)]
pub struct Dialect(pub Vec<&'static str>);

impl fmt::Debug for Dialect {
    /// The values that are not the first of their axis.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let values = AXES.iter().zip(&self.0).filter(|((_, values), value)| values[0].0 != **value);
        f.debug_map().entries(values.map(|((name, _), value)| (name, value))).finish()
    }
}

impl Dialect {
    pub fn of(&self, axis: &str) -> &'static str {
        self.0[place(axis)]
    }

    pub fn is(&self, axis: &str, value: &str) -> bool {
        assert!(AXES[place(axis)].1.iter().any(|(known, _)| *known == value), "{axis} has no {value}");
        self.of(axis) == value
    }

    pub fn language(&self) -> &'static Language {
        language(self.of("language"))
    }

    pub fn workbook(&self) -> bool {
        ["xlsx", "xls", "ods"].iter().any(|kind| self.of("container").starts_with(kind))
    }

    /// Whether the cells of a workbook hold numbers and dates.
    pub fn typed(&self) -> bool {
        self.of("container").ends_with("date cells")
    }

    /// Whether every cell says its time of day by twelve hours, without AM or PM.
    pub fn twelve(&self) -> bool {
        self.of("times").starts_with("twelve hours")
    }

    /// Whether cells are set apart by blanks only.
    pub fn blanks(&self) -> bool {
        !self.workbook() && matches!(self.of("delimiter"), "blanks" | "fixed places")
    }

    /// Whether every stamp says its instant itself.
    pub fn absolute(&self) -> bool {
        self.of("times").starts_with("epoch") || matches!(self.of("times"), "iso Z" | "iso offset")
    }

    /// Whether its clock follows, or may follow, a zone that changes.
    pub fn changes(&self) -> bool {
        matches!(self.of("clock"), "wall New York" | "wall Lord Howe" | "never changed" | "stated zone")
    }

    pub fn number_of_decimals(&self) -> &'static str {
        if self.is("decimal mark", "comma") { "," } else { "." }
    }

    fn put(&mut self, axis: &str, value: &'static str) {
        assert!(self.is(axis, self.of(axis)) && AXES[place(axis)].1.iter().any(|(known, _)| *known == value));
        self.0[place(axis)] = value;
    }

    fn put_where(&mut self, holds: bool, axis: &str, value: &'static str) {
        if holds {
            self.put(axis, value);
        }
    }

    /// Combinations that no writer can make are changed into the nearest that one can.
    fn sane(mut self) -> Self {
        // A sheet needs a workbook, two files need an archive, and neither has a third quantity.
        let sheets = self.is("layout", "sheet per quantity");
        self.put_where(sheets && !self.workbook(), "container", "xlsx with date cells");
        self.put_where(self.is("layout", "file per quantity"), "container", "zip");
        // Sections are put together as text, each with its own lines above.
        let below = self.is("layout", "below each other");
        self.put_where(below && self.workbook(), "container", "none");
        let plain = matches!(self.of("layout"), "one logger" | "logger column");
        self.put_where(!plain, "third quantity", "none");
        if self.workbook() {
            for (axis, value) in [("delimiter", "comma"), ("quotes", "none"), ("line end", "LF"), ("bytes", "UTF-8")] {
                self.put(axis, value);
            }
            self.put_where(matches!(self.of("end"), "torn row" | "zero bytes" | "none"), "end", "line end");
        }
        if self.typed() {
            self.put_where(!self.is("times", "date and time columns"), "times", "iso");
            self.put("numbers", "plain");
            self.put("decimal mark", "point");
        }
        let words = self.blanks();
        if words {
            self.put("quotes", "none");
            // An empty cell leaves no trace between blanks.
            self.put_where(self.is("delimiter", "blanks") && self.is("missing", "empty"), "missing", "NA");
            self.put_where(self.is("missing", "LOW BATT"), "missing", "ERR");
            self.put_where(self.is("names", "units row"), "names", "brackets");
            self.put_where(self.is("beside", "remarks"), "beside", "nothing");
            let whole = [
                "month name",
                "month name first",
                "half before time",
                "weekday before",
                "weekday behind",
                "time before date",
                "signs",
                "two formats",
                "iso offset",
                "date, time and half columns",
            ];
            self.put_where(whole.contains(&self.of("times")), "times", "iso");
        }
        // One column of values has one unit a row; a units row has none to give, and neither do cells with units.
        let layout = self.of("layout");
        self.put_where(matches!(layout, "quantity column" | "units in cells" | "no header"), "names", "brackets");
        self.put_where(matches!(layout, "file per quantity" | "sheet per quantity"), "row numbers", "no");
        let again = matches!(layout, "one logger" | "side by side" | "units in cells");
        self.put_where(!again, "header again", "no");
        if layout == "no header" {
            self.put("row numbers", "no");
            self.put("beside", "nothing");
            let named =
                ["serial", "elapsed minutes", "elapsed seconds", "elapsed hh:mm:ss", "parts", "date and hour columns"];
            self.put_where(named.contains(&self.of("times")), "times", "iso");
        }
        let scaled = matches!(self.of("names"), "scaled" | "scale above");
        self.put_where(scaled, "numbers", "plain");
        let own_units = matches!(layout, "quantity column" | "units in cells" | "no header");
        self.put_where(own_units || scaled && self.is("behind numbers", "unit"), "behind numbers", "nothing");
        self.put_where(scaled && self.is("missing", "-200"), "missing", "-999");
        // A third quantity has a scale of its own.
        self.put_where(scaled || self.is("names", "unit above"), "third quantity", "none");
        self.put_where(self.is("numbers", "grouped") && !plain, "numbers", "plain");
        self.put_where(self.is("numbers", "grouped"), "third quantity", "pressure hPa");
        let grouped = self.is("numbers", "grouped");
        self.put_where(
            grouped && !matches!(self.of("names"), "brackets" | "units row" | "underscore"),
            "names",
            "brackets",
        );
        let comma = self.is("delimiter", "comma") && !self.workbook();
        self.put_where(comma && self.is("times", "month name first"), "quotes", "all");
        // A comma within a number is only readable between commas in quotes.
        let commas = self.is("decimal mark", "comma") || self.is("numbers", "grouped");
        self.put_where(comma && commas, "quotes", "all");
        let above = self.of("times").starts_with("elapsed")
            || self.of("clock").starts_with("stat")
            || self.is("clock", "standard time")
            || matches!(self.of("names"), "scale above" | "unit above");
        self.put_where(below && self.is("above", "remarks"), "above", "five lines");
        self.put_where(above && self.is("above", "nothing"), "above", "one line");
        self.put_where(self.absolute(), "clock", "UTC");
        let in_order = self.changes() || self.twelve();
        self.put_where(in_order && self.is("order", "some rows late"), "order", "oldest first");
        self.put_where(in_order && self.is("header again", "with rows again"), "header again", "in the middle");
        self
    }
}

fn place(axis: &str) -> usize {
    AXES.iter().position(|(name, _)| *name == axis).unwrap_or_else(|| panic!("no axis {axis}"))
}

pub fn dialect() -> impl Strategy<Value = Dialect> {
    prop::collection::vec(any::<u32>(), AXES.len()).prop_map(|draws| {
        let pick = |((_, values), draw): (&Axis, u32)| {
            let mut rest = draw % values.iter().map(|(_, weight)| weight).sum::<u32>();
            for (value, weight) in *values {
                if rest < *weight {
                    return *value;
                }
                rest -= weight;
            }
            values[0].0
        };
        Dialect(AXES.iter().zip(draws).map(pick).collect()).sane()
    })
}
