//! Keys of `job.toml`: equipment and what is recorded of it.

use super::{TEXT, TIME, TableForm, TableInfo, may, need};

/// `[[equipment]]`, and the columns of `equipment.csv`.
pub const EQUIPMENT: TableInfo = TableInfo {
    name: "equipment",
    form: TableForm::Repeated,
    meaning: "one stay of one unit; a unit that moves or comes back has one entry per stay",
    keys: &[
        need("unit", "the name of a unit", "\"D1\"", "the name the unit is known by on the job"),
        may("asset", TEXT, "\"100231\"", "asset number"),
        need(
            "kind",
            "one of `\"dehumidifier low-grain\"`, `\"dehumidifier refrigerant\"`, `\"dehumidifier desiccant\"`, `\"air mover\"`, `\"air scrubber\"`, `\"heater\"`",
            "\"dehumidifier low-grain\"",
            "what it is",
        ),
        may(
            "purpose",
            "`\"drying\"` or another purpose in words",
            "\"drying\"",
            "what it is there for; drying for dehumidifiers and air movers when left out",
        ),
        may("chamber", "the id of a chamber or a list of them", "\"A\"", "chambers it serves"),
        may("points", "a list of points", "[\"K1\", \"K2\"]", "points it serves, when not all of its chambers"),
        need("placed", TIME, "\"2025-03-08 12:40\"", "when it was placed"),
        may("placed_by", TEXT, "\"J. R.\"", "by whom"),
        may("placed_reason", TEXT, "\"kitchen floor wet\"", "why"),
        may("removed", TIME, "\"2025-03-11 10:15\"", "when it was removed; still on site when left out"),
        may("removed_by", TEXT, "\"J. R.\"", "by whom"),
        may("removed_reason", TEXT, "\"all points met\"", "why"),
        may("airflow", "an air flow with its unit such as `\"300 cfm\"`", "\"300 cfm\"", "air flow through the unit"),
        may(
            "rated_capacity",
            "a water rate with its unit such as `\"130 pint/day\"`",
            "\"130 pint/day\"",
            "rated water removal",
        ),
        may("rated_condition", TEXT, "\"80 F 60 %\"", "condition it was rated at; needs `rated_capacity`"),
        may("billed_days", "a number of days, 0 or more", "4", "days somebody billed for this stay"),
    ],
};

/// `[[condensate]]`.
pub const CONDENSATE: TableInfo = TableInfo {
    name: "condensate",
    form: TableForm::Repeated,
    meaning: "water collected from a unit since the entry before it (or since it was placed)",
    keys: &[
        need("time", TIME, "\"2025-03-09 09:00\"", "when it was measured"),
        need("unit", "the name of a unit", "\"D1\"", "which unit"),
        need("amount", "an amount of water with its unit such as `\"31 pint\"`", "\"31 pint\"", "how much"),
    ],
};

/// `[[hour_meter]]`.
pub const HOUR_METER: TableInfo = TableInfo {
    name: "hour_meter",
    form: TableForm::Repeated,
    meaning: "an hour meter read by hand",
    keys: &[
        need("time", TIME, "\"2025-03-09 09:00\"", "when it was read"),
        need("unit", "the name of a unit", "\"D1\"", "which unit"),
        need("hours", "a number of hours, 0 or more", "1204.5", "hours shown"),
    ],
};

/// `[[pause]]`.
pub const PAUSE: TableInfo = TableInfo {
    name: "pause",
    form: TableForm::Repeated,
    meaning: "a stop with a recorded reason, no fault of the equipment",
    keys: &[
        need("from", TIME, "\"2025-03-09 18:00\"", "start"),
        need("to", TIME, "\"2025-03-10 07:00\"", "end"),
        may("units", "a list of units", "[\"D1\", \"D2\"]", "units that stood still; all when left out"),
        need("reason", TEXT, "\"power out on the street\"", "why"),
    ],
};

/// `[[billed]]`.
pub const BILLED: TableInfo = TableInfo {
    name: "billed",
    form: TableForm::Repeated,
    meaning: "days billed for a unit, where its stays do not carry `billed_days`",
    keys: &[
        need("unit", "the name of a unit", "\"D1\"", "which unit"),
        need("days", "a number of days, 0 or more", "4", "how many"),
    ],
};
