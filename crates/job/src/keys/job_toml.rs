//! Keys of `job.toml`: the job, its chambers, loggers, meters, materials and points.

use super::{DATE, GOAL, HOURS, ID, SCALE, TEXT, TIME, TableForm, TableInfo, may, need};

/// `[job]`.
pub const JOB: TableInfo = TableInfo {
    name: "job",
    form: TableForm::Once,
    meaning: "the job as a whole",
    keys: &[
        may("number", TEXT, "\"2025-014\"", "job number"),
        may("title", TEXT, "\"Larch Street, kitchen and den\"", "what people call the job"),
        may("claim", TEXT, "\"C-1044\"", "claim reference"),
        may(
            "time_zone",
            "an IANA zone such as `\"America/Chicago\"`",
            "\"America/Chicago\"",
            "zone of the job's civil days and of every time written without an offset; UTC when left out",
        ),
        may(
            "elevation",
            "a length with its unit such as `\"620 ft\"`",
            "\"620 ft\"",
            "height above sea level; instead of `pressure`",
        ),
        may(
            "pressure",
            "a pressure with its unit such as `\"29.3 inHg\"`",
            "\"29.3 inHg\"",
            "station pressure; instead of `elevation`",
        ),
        may(
            "pressure_accuracy",
            "a pressure with its unit such as `\"0.3 kPa\"`, above 0 to 10 kPa",
            "\"0.3 kPa\"",
            "how far a stated or logged pressure may be off either way: half-width of rectangular limits",
        ),
        may("loss_at", TIME, "\"2025-03-08 06:30\"", "when the water came"),
        may("category", "1, 2 or 3", "2", "category of water at the start; later changes go in `[[category]]`"),
        may("class", "1, 2, 3 or 4", "2", "class of water at the start; later changes go in `[[class]]`"),
        may("edition", TEXT, "\"2021\"", "edition of the standard that category and class are taken from"),
        may(
            "equipment_day",
            "`\"24h\"` or `\"calendar\"`",
            "\"24h\"",
            "how equipment-days are counted; 24 h periods from placing when left out",
        ),
        may(
            "pull_window",
            HOURS,
            "\"4 h\"",
            "how long after the reading that met the last goal a unit may leave so that a period begun meanwhile takes the verdict before it; 4 h when left out",
        ),
        may(
            "confirm_readings",
            "a whole number from 1 to 10",
            "1",
            "how many readings in a row must meet a goal; 1 when left out",
        ),
        may(
            "date_order",
            "`\"month-first\"` or `\"day-first\"`",
            "\"month-first\"",
            "order of dates such as 3/8/2025 where a file cannot settle it",
        ),
    ],
};

/// `[[category]]`.
pub const CATEGORY: TableInfo = TableInfo {
    name: "category",
    form: TableForm::Repeated,
    meaning: "a change of the category of water",
    keys: &[
        need("value", "1, 2 or 3", "3", "the category from then on"),
        need("from", TIME, "\"2025-03-09 10:00\"", "from when"),
        need("reason", TEXT, "\"sewer line found open\"", "why it changed"),
        may("edition", TEXT, "\"2021\"", "edition of the standard; the one of `[job]` when left out"),
    ],
};

/// `[[class]]`.
pub const CLASS: TableInfo = TableInfo {
    name: "class",
    form: TableForm::Repeated,
    meaning: "a change of the class of water",
    keys: &[
        need("value", "1, 2, 3 or 4", "3", "the class from then on"),
        need("from", TIME, "\"2025-03-09 10:00\"", "from when"),
        need("reason", TEXT, "\"wet subfloor under the hardwood\"", "why it changed"),
        may("edition", TEXT, "\"2021\"", "edition of the standard; the one of `[job]` when left out"),
    ],
};

/// `[[chamber]]`.
pub const CHAMBER: TableInfo = TableInfo {
    name: "chamber",
    form: TableForm::Repeated,
    meaning: "a drying chamber: the enclosed air that is dried together",
    keys: &[
        need("id", ID, "\"A\"", "short id that other entries name"),
        may("name", TEXT, "\"Kitchen and den\"", "what people call it; the id when left out"),
        may("floor_area", "an area with its unit such as `\"412 ft2\"`", "\"412 ft2\"", "floor area"),
        may("volume", "a volume with its unit such as `\"3300 ft3\"`", "\"3300 ft3\"", "air volume"),
        may("from", TIME, "\"2025-03-08 12:00\"", "set up; from the start when left out"),
        may("to", TIME, "\"2025-03-12 09:00\"", "taken down; to the end when left out"),
        may(
            "parent",
            "the id of another chamber",
            "\"A\"",
            "the chamber it was split from; until `from` its points lay there",
        ),
        may("drying_from", TIME, "\"2025-03-09 15:00\"", "when drying starts (after demolition or decontamination)"),
        may(
            "before_drying_reason",
            TEXT,
            "\"humidity held down during demolition\"",
            "why equipment stood there before `drying_from`",
        ),
        may(
            "air_goals",
            "a list such as `[{ gpp = \"at most 55\", hold = \"24 h\" }]`",
            "[{ gpp = \"at most 55\", hold = \"24 h\" }]",
            "goals on the chamber's affected air",
        ),
    ],
};

/// One entry of a chamber's `air_goals`.
pub const AIR_GOAL: TableInfo = TableInfo {
    name: "air_goals",
    form: TableForm::Inline,
    meaning: "a goal on a chamber's affected air: one of `gpp`, `rh`, `dew_point`, and how long it must hold",
    keys: &[
        may("gpp", "`\"at most 55\"` or `\"at least 30\"`", "\"at most 55\"", "grains per pound of dry air"),
        may("rh", "`\"at most 45 %\"` or `\"at least 30 %\"`", "\"at most 45 %\"", "relative humidity"),
        may("dew_point", "`\"at most 50 F\"` or `\"at least 35 F\"`", "\"at most 50 F\"", "dew point"),
        need("hold", HOURS, "\"24 h\"", "how long it must hold without interruption"),
    ],
};

/// `[[logger]]`.
pub const LOGGER: TableInfo = TableInfo {
    name: "logger",
    form: TableForm::Repeated,
    meaning: "one placement of one logger; a logger that moves has one entry per place",
    keys: &[
        may("serial", TEXT, "\"20411873\"", "serial number found in the export; instead of `file`"),
        may(
            "file",
            "a path in the job folder or a file name",
            "\"kitchen.csv\"",
            "the export itself; instead of `serial`",
        ),
        may("channel", TEXT, "\"2\"", "which logger of a file that holds several; needs `file`"),
        may(
            "place",
            "one of `\"affected\"`, `\"unaffected\"`, `\"outdoor\"`, `\"inlet\"`, `\"outlet\"`, `\"surface\"`, `\"material\"`, `\"hvac\"`",
            "\"affected\"",
            "what it measures; unplaced when left out",
        ),
        may("chamber", "the id of a chamber", "\"A\"", "the chamber it stands in"),
        may("unit", "the name of a unit", "\"D1\"", "the unit whose inlet or outlet air it measures"),
        may("from", TIME, "\"2025-03-08 12:00\"", "from when it stood there"),
        may("to", TIME, "\"2025-03-10 09:00\"", "until when it stood there"),
        may(
            "clock",
            "`\"wall\"`, `\"fixed\"`, `\"utc\"` or an offset such as `\"-06:00\"`",
            "\"wall\"",
            "what its time stamps mean",
        ),
        may(
            "hours",
            "`\"24\"`, `\"am\"` or `\"pm\"`",
            "\"24\"",
            "what hours from 1 to 12 mean that say neither AM nor PM: hours of a whole day, or twelve counted twice a day from a first stamp before noon or from noon on; only where its file leaves it open",
        ),
        may(
            "temp_accuracy",
            "a temperature difference such as `\"0.5 F\"`",
            "\"0.5 F\"",
            "temperature accuracy of its data sheet, plus or minus",
        ),
        may(
            "rh_accuracy",
            "a humidity difference such as `\"2 %\"`",
            "\"2 %\"",
            "humidity accuracy of its data sheet, plus or minus",
        ),
        may(
            "accuracy_basis",
            "`\"limits\"` or `\"k=2\"`",
            "\"limits\"",
            "whether the accuracy is a limit (when left out) or an expanded uncertainty",
        ),
        may("calibrated", DATE, "\"2025-01-15\"", "calibration date"),
        may(
            "bias_temp",
            "a temperature difference such as `\"-0.4 F\"`",
            "\"-0.4 F\"",
            "measured bias, logger minus reference",
        ),
        may(
            "bias_rh",
            "a humidity difference such as `\"1.5 %\"`",
            "\"1.5 %\"",
            "measured bias, logger minus reference",
        ),
        may(
            "apply_bias",
            "`true` or `false`",
            "true",
            "whether the bias is taken off the readings; false when left out",
        ),
        may(
            "columns",
            "a table such as `{ \"Ch 1\" = { quantity = \"air temperature\", unit = \"F\" }, \"Battery\" = \"ignore\" }`",
            "{ \"Ch 1\" = { quantity = \"air temperature\", unit = \"F\" }, \"Battery\" = \"ignore\" }",
            "what columns hold where the header does not say",
        ),
    ],
};

/// `[[side_by_side]]`.
pub const SIDE_BY_SIDE: TableInfo = TableInfo {
    name: "side_by_side",
    form: TableForm::Repeated,
    meaning: "loggers that stood next to a reference, so that the record measures their bias",
    keys: &[
        need("reference", LOGGER_NAME, "\"20411873\"", "the logger that the others are compared with"),
        need("loggers", "a list of such names", "[\"20411874\", \"hall.csv\"]", "the others"),
        need("from", TIME, "\"2025-03-08 12:00\"", "from when they stood side by side, at least an hour"),
        need("to", TIME, "\"2025-03-08 14:00\"", "until when"),
        may(
            "apply",
            "`true` or `false`",
            "true",
            "whether each one's mean difference is taken off its readings; told and not taken off when left out",
        ),
    ],
};

const LOGGER_NAME: &str = "a serial number, or the name of an export";

/// One column of a logger's `columns`.
pub const COLUMN: TableInfo = TableInfo {
    name: "columns",
    form: TableForm::Inline,
    meaning: "what one column of an export holds",
    keys: &[
        need(
            "quantity",
            "a quantity such as `\"air temperature\"` or `\"relative humidity\"`",
            "\"air temperature\"",
            "what it measures",
        ),
        may("unit", TEXT, "\"F\"", "its unit as written; left to the file when left out"),
    ],
};

/// `[[meter]]`.
pub const METER: TableInfo = TableInfo {
    name: "meter",
    form: TableForm::Repeated,
    meaning: "a moisture meter",
    keys: &[
        need("id", ID, "\"M1\"", "short id that readings name"),
        may("kind", TEXT, "\"pin\"", "pin, non-invasive, in-situ probe"),
        may(
            "scales",
            "a scale or a list of scales such as `[\"wood\", \"relative\"]`",
            "[\"wood\", \"relative\"]",
            "scales it reads",
        ),
        may("accuracy", "a number in the scale's own unit", "1.0", "accuracy, plus or minus"),
        may(
            "correct",
            "`\"temperature\"` or `\"temperature and species\"`",
            "\"temperature\"",
            "what its readings of wood are to be corrected for, when the meter does not do so itself; nothing when left out",
        ),
        may("serial", TEXT, "\"88213\"", "serial number"),
        may("calibrated", DATE, "\"2025-01-15\"", "calibration date"),
    ],
};

/// `[[material]]`.
pub const MATERIAL: TableInfo = TableInfo {
    name: "material",
    form: TableForm::Repeated,
    meaning: "a material with its default scale and goal",
    keys: &[
        need("kind", TEXT, "\"oak floor\"", "the material that points name"),
        may("scale", SCALE, "\"wood\"", "scale of its points when they do not say"),
        may("goal", GOAL, "12", "goal of its points when they do not say: at most this"),
        may(
            "species_a",
            "a number from 0.1 to 10",
            "0.95",
            "slope of the species correction of resistance readings; needs `species_b` and `species_source`",
        ),
        may("species_b", "a number from -20 to 20", "0.6", "its offset, % MC"),
        may("species_source", TEXT, "\"Report 12, table 3\"", "where these two coefficients are published"),
    ],
};

/// `[[point]]`.
pub const POINT: TableInfo = TableInfo {
    name: "point",
    form: TableForm::Repeated,
    meaning: "a metered point",
    keys: &[
        need("id", ID, "\"K1\"", "short id that readings name"),
        may("chamber", "the id of a chamber", "\"A\"", "chamber it lies in; required unless it is a reference point"),
        may(
            "moved",
            "a list such as `[{ chamber = \"B\", from = \"2025-03-09 10:00\" }]`",
            "[{ chamber = \"B\", from = \"2025-03-09 10:00\" }]",
            "chambers it lay in afterwards, each from then on; needs `chamber`",
        ),
        may("location", TEXT, "\"north wall, 6 in up\"", "where it is, in words"),
        may("depth", TEXT, "\"1/2 in\"", "depth below the surface, as written"),
        may("material", "the kind of a material", "\"oak floor\"", "what it is made of"),
        may("scale", SCALE, "\"wood\"", "the scale its goal is on; its material's when left out"),
        may(
            "role",
            "`\"drying\"` or `\"reference\"`",
            "\"reference\"",
            "reference for unaffected material that shows what dry is; drying when left out",
        ),
        may(
            "dry_standard",
            "a number on the point's scale or a list of reference points such as `[\"R1\", \"R2\"]`",
            "[\"R1\", \"R2\"]",
            "what the material read before the loss",
        ),
        may("goal", GOAL, "15", "the point's own drying goal: at most this"),
        may("logger", TEXT, "\"20411873\"", "serial number of the logger of a logged point"),
        may(
            "logger_file",
            "a path in the job folder or a file name",
            "\"wood.csv\"",
            "export of a logged point; instead of `logger`",
        ),
        may("logger_channel", TEXT, "\"1\"", "channel in that file; needs `logger_file`"),
        may("ended", TIME, "\"2025-03-09 14:00\"", "taken out of the record from then on; needs `ended_reason`"),
        may("ended_reason", TEXT, "\"drywall removed\"", "why it ended; needs `ended`"),
    ],
};

/// One entry of a point's `moved`.
pub const MOVED: TableInfo = TableInfo {
    name: "moved",
    form: TableForm::Inline,
    meaning: "another chamber that a point lies in from then on",
    keys: &[
        need("chamber", "the id of a chamber", "\"B\"", "the chamber"),
        need("from", TIME, "\"2025-03-09 10:00\"", "from when"),
    ],
};

/// A goal written as a table.
pub const GOAL_VALUE: TableInfo = TableInfo {
    name: "goal",
    form: TableForm::Inline,
    meaning: "a goal on a scale of its own",
    keys: &[
        need("value", "a number on the scale", "15", "at most this"),
        may("scale", SCALE, "\"wood\"", "the scale; the point's when left out"),
    ],
};
