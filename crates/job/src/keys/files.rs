//! Columns of the CSV files.

use super::{TEXT_CELL, TIME_CELL, TableForm, TableInfo, may, need};

/// `readings.csv`.
pub const READINGS: TableInfo = TableInfo {
    name: "readings.csv",
    form: TableForm::File,
    meaning: "material readings by hand, one line each",
    keys: &[
        need("time", TIME_CELL, "2025-03-09 09:10", "when"),
        need("point", "the id of a point", "K1", "which point"),
        need("value", "a number, `>40`, `OL`, or `-` with the reason in the note", "18.5", "what the meter showed"),
        may(
            "scale",
            "`wood`, `wme`, `gypsum`, `concrete-rh` or `relative`",
            "wood",
            "on which scale; the point's when left out",
        ),
        may("meter", "the id of a meter", "M1", "with which meter"),
        may(
            "surface_temp",
            "a temperature with its unit such as `68 F`, in the cell or in the header",
            "68 F",
            "temperature of the surface",
        ),
        may("by", TEXT_CELL, "J. R.", "by whom"),
        may("note", TEXT_CELL, "behind the cabinet", "anything worth saying; the reason where there is no value"),
    ],
};

/// `air.csv`.
pub const AIR: TableInfo = TableInfo {
    name: "air.csv",
    form: TableForm::File,
    meaning: "air readings by hand, one line each",
    keys: &[
        need("time", TIME_CELL, "2025-03-09 09:05", "when"),
        need("place", "`affected`, `unaffected`, `outdoor`, `inlet`, `outlet` or `hvac`", "affected", "what air"),
        may("chamber", "the id of a chamber", "A", "in which chamber"),
        may("unit", "the name of a unit", "D1", "of which unit; required for inlet and outlet"),
        need(
            "air_temp",
            "a temperature with its unit such as `72 F`, in the cell or in the header",
            "72 F",
            "air temperature",
        ),
        may("rh", "a relative humidity in percent", "45 %", "relative humidity; either this or `gpp`"),
        may("gpp", "a number of grains per pound", "52", "grains per pound; either this or `rh`"),
        may("instrument", TEXT_CELL, "H3", "with which instrument"),
        may("by", TEXT_CELL, "J. R.", "by whom"),
    ],
};

/// `visits.csv`.
pub const VISITS: TableInfo = TableInfo {
    name: "visits.csv",
    form: TableForm::File,
    meaning: "visits, one line each",
    keys: &[
        need("time", TIME_CELL, "2025-03-09 09:00", "when"),
        may("by", TEXT_CELL, "J. R.", "by whom"),
        may("credential", TEXT_CELL, "drying technician", "their credential, as written"),
        may("instruments", TEXT_CELL, "M1, H3", "instruments used"),
        may("reason", TEXT_CELL, "daily monitoring", "why"),
        may("photos", TEXT_CELL, "0231-0240", "photos taken"),
        may("note", TEXT_CELL, "door found open", "anything worth saying"),
    ],
};
