//! Every kind of fault with its text: what was found, what is accepted, what to do.

use grainfall_record::RowRef;

use super::{TwoWays, Unknown, ticked};

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FaultKind {
    /// The file is too large to be one of the job's own.
    #[error(
        "is larger than {limit_mib} MiB; the job's own files are short texts; a logger export under this name needs another name"
    )]
    TooLarge {
        /// The limit.
        limit_mib: u64,
    },
    /// The file could not be read.
    #[error("cannot be read: {reason}; check that it is a file and that it may be read")]
    Unreadable {
        /// What the system said.
        reason: String,
    },
    /// The file is a link to somewhere else.
    #[error("is a link that leads out of the folder; put the file itself here")]
    LeadsOut,
    /// Two files differ only in the case of their names.
    #[error("is here twice, as `{first}` and `{second}`; one is accepted; merge them or rename one")]
    TwoNames {
        /// One name.
        first: String,
        /// The other.
        second: String,
    },
    /// The file is not UTF-8.
    #[error(
        "found {found}; UTF-8 is accepted, with or without a byte order mark; save the file as UTF-8 (spreadsheets call it `CSV UTF-8`)"
    )]
    NotUtf8 {
        /// What it looks like.
        found: String,
    },

    /// TOML that cannot be parsed.
    #[error("is not valid TOML here: {problem}; every line is `key = value`, text in quotes, or a `[heading]`")]
    Syntax {
        /// What the parser said.
        problem: String,
    },
    /// A key or table that is there twice.
    #[error("`{key}` is here a second time; it is accepted once; merge or remove one")]
    SameKey {
        /// The key.
        key: String,
    },
    /// A table that is not known.
    #[error("unknown table `{}`{}", .0.found, .0.list("accepted tables"))]
    UnknownTable(Unknown),
    /// A key of `[job]` above any heading.
    #[error("`{key}` stands outside any table; write it below the heading `{heading}`")]
    OutsideTable {
        /// The key.
        key: String,
        /// The heading it belongs to.
        heading: String,
    },
    /// A key that is not known.
    #[error("unknown key `{}` in `{table}`{}", .unknown.found, .unknown.list("accepted keys"))]
    UnknownKey {
        /// The table.
        table: String,
        /// The key.
        unknown: Unknown,
    },
    /// A table in the wrong brackets, or a value where a table belongs.
    #[error("`{name}` is {found}; it is written under the heading `{heading}`")]
    TableForm {
        /// The name.
        name: String,
        /// What was found.
        found: &'static str,
        /// How it is written.
        heading: String,
    },
    /// A key that must be there.
    #[error("{entry} has no `{key}`; add `{key}`: {accepts}")]
    MissingKey {
        /// The entry, as a message says it.
        entry: String,
        /// The key.
        key: &'static str,
        /// What it accepts.
        accepts: String,
    },
    /// A value of the wrong kind.
    #[error("`{key}` is {found}; accepted: {accepts}")]
    Value {
        /// The key.
        key: String,
        /// What was found, as a message says it.
        found: String,
        /// What it accepts.
        accepts: String,
    },
    /// A text without a letter.
    #[error("`{key}` is empty; write {accepts} or remove it")]
    Empty {
        /// The key.
        key: String,
        /// What it accepts.
        accepts: String,
    },
    /// A word that is none of those accepted.
    #[error("`{key}` is `{}`{}", .unknown.found, .unknown.list("accepted"))]
    Word {
        /// The key.
        key: String,
        /// The word.
        unknown: Unknown,
    },
    /// A percentage of nothing in particular.
    #[error("`{key}` is `{found}`, which does not say of what; accepted: {}", ticked(.accepted))]
    WhichPercent {
        /// The key.
        key: String,
        /// What was found.
        found: String,
        /// The scales.
        accepted: Vec<String>,
    },
    /// A quantity that cannot be read.
    #[error("`{key}`: {problem}")]
    Quantity {
        /// The key.
        key: String,
        /// What was found, why it cannot be used, and which units are accepted.
        problem: String,
    },
    /// Two keys that exclude one another.
    #[error("{entry} has both `{first}` and `{second}`; one of them is accepted; remove the other")]
    Both {
        /// The entry, as a message says it.
        entry: String,
        /// One key.
        first: &'static str,
        /// The other.
        second: &'static str,
    },
    /// One of several keys is required.
    #[error("{entry} has neither {}; add one of them", joined(.keys, " nor "))]
    Neither {
        /// The entry or file, as a message says it.
        entry: String,
        /// The keys.
        keys: Vec<&'static str>,
    },
    /// A key that needs another.
    #[error("`{key}` needs {0} beside it; add {0} or remove `{key}`", joined(.others, " or "))]
    Needs {
        /// The key.
        key: &'static str,
        /// The keys of which it needs one.
        others: Vec<&'static str>,
    },
    /// A zone that is not known.
    #[error("`time_zone` is `{found}`, which is no zone of the IANA list{} accepted: names such as `America/Chicago`, `Europe/Berlin` or `UTC`", offer(.nearest))]
    UnknownZone {
        /// What was found.
        found: String,
        /// A zone it was probably meant to be.
        nearest: Option<String>,
    },
    /// A zone name that looks like a place's time but never changes with daylight saving.
    #[error(
        "`time_zone` is `{found}`, which never changes for daylight saving; write the place's zone, such as `{place}`, or the fixed offset `{fixed}`"
    )]
    FixedZone {
        /// What was found.
        found: String,
        /// A zone that follows daylight saving.
        place: String,
        /// The fixed zone, named as such.
        fixed: String,
    },
    /// A wall time that the clocks skipped.
    #[error("`{found}` does not exist in {zone}: the clocks skipped it; write the offset: `{}` or `{}`", .ways.first, .ways.second)]
    SkippedTime {
        /// The time as written.
        found: String,
        /// The zone.
        zone: String,
        /// The time with the offset before and after the change.
        ways: TwoWays,
    },
    /// A wall time that came twice.
    #[error("`{found}` happens twice in {zone}; write the offset: `{}` for the first, `{}` for the second", .ways.first, .ways.second)]
    RepeatedTime {
        /// The time as written.
        found: String,
        /// The zone.
        zone: String,
        /// The time with both offsets.
        ways: TwoWays,
    },
    /// Dates of slashes that read both ways.
    #[error("`{found}` is {} or {}, and nothing in the file settles which; add `date_order = \"month-first\"` (or `\"day-first\"`) under `[job]` in job.toml", .ways.first, .ways.second)]
    DateOrder {
        /// The first such date.
        found: String,
        /// Its two readings.
        ways: TwoWays,
    },
    /// A file with month-first and day-first dates.
    #[error("`{found}` puts the {} first, but line {other_line} has `{other}`; one order a file is accepted; write both as YYYY-MM-DD", if *.month_first { "month" } else { "day" })]
    MixedDateOrder {
        /// The date that contradicts.
        found: String,
        /// Whether it puts the month first.
        month_first: bool,
        /// The line of the date it contradicts.
        other_line: u64,
        /// That date.
        other: String,
    },

    /// A CSV file with nothing in it.
    #[error("is empty; the first line names the columns: {}", ticked(.columns))]
    EmptyFile {
        /// The columns that are required.
        columns: Vec<String>,
    },
    /// A header that is not known.
    #[error("unknown column `{}`{}", .0.found, .0.list("accepted columns"))]
    UnknownColumn(Unknown),
    /// A column that must be there.
    #[error("has no column `{column}`; add it: {accepts}; found {}", ticked(.found))]
    MissingColumn {
        /// The column.
        column: &'static str,
        /// What it accepts.
        accepts: String,
        /// The headers found.
        found: Vec<String>,
    },
    /// A column that is there twice.
    #[error(
        "column `{column}` is here twice, as `{first}` and `{second}`; one is accepted; remove or rename the other"
    )]
    SameColumn {
        /// The column.
        column: &'static str,
        /// One header.
        first: String,
        /// The other.
        second: String,
    },
    /// A line with more cells than headers.
    #[error(
        "has {found} cells, but the header names {expected} columns (first extra cell `{extra}`); put text that holds the separator in double quotes"
    )]
    ExtraCells {
        /// Cells found.
        found: usize,
        /// Columns in the header.
        expected: usize,
        /// The first extra cell that is not empty.
        extra: String,
    },
    /// A quote that is never closed.
    #[error(
        "a double quote opens a cell here and none closes it, so the rest of the file would be one cell; close it, or remove it"
    )]
    OpenQuote,
    /// A cell that must not be empty.
    #[error("`{column}` is empty; write {accepts}")]
    EmptyCell {
        /// The column.
        column: &'static str,
        /// What it accepts.
        accepts: String,
    },
    /// No reading, and no reason for it.
    #[error("no value and no reason; write the value, or put the reason in `note` (no access)")]
    NoReason,
    /// A reading below the meter's range.
    #[error(
        "`value` is `{found}`, below the meter's range; write the lowest value the meter shows and put `{found}` in `note`"
    )]
    BelowRange {
        /// What was found.
        found: String,
    },

    /// An id given twice.
    #[error("{what} `{id}` is already on line {first_line}; ids are used once; rename or remove one")]
    SameId {
        /// What it is: `chamber`, `point`.
        what: &'static str,
        /// The id.
        id: String,
        /// The line of the first.
        first_line: u64,
    },
    /// An id that names nothing.
    #[error("`{key}` names {what} `{}`, which is not listed in {}{}", .unknown.found, place(.what), listed(.what, .unknown))]
    UnknownId {
        /// The key.
        key: String,
        /// What it names: `chamber`, `point`.
        what: &'static str,
        /// The id and the known ones.
        unknown: Unknown,
    },
    /// A drying point outside any chamber.
    #[error(
        "point `{id}` has no `chamber`; add the chamber it lies in, or `role = \"reference\"` for unaffected material"
    )]
    PointWithoutChamber {
        /// The point.
        id: String,
    },
    /// A point without a scale.
    #[error("point `{id}` has no `scale`, and neither has {material}; add `scale`: {accepts}")]
    PointWithoutScale {
        /// The point.
        id: String,
        /// Its material, as a message says it.
        material: String,
        /// The scales.
        accepts: &'static str,
    },
    /// A span that ends before it starts.
    #[error("`{end}` (`{end_time}`) is not after `{start}` (`{start_time}`); correct one of them")]
    Backwards {
        /// The key of the start.
        start: &'static str,
        /// The start as written.
        start_time: String,
        /// The key of the end.
        end: &'static str,
        /// The end as written.
        end_time: String,
    },
    /// A point that moved before the move ahead of it.
    #[error(
        "`from` is `{time}`, not after the move before it (`{before}`); write the moves of a point in order of time"
    )]
    MoveBackwards {
        /// The time as written.
        time: String,
        /// The time of the move before it.
        before: String,
    },
    /// A point moved into a chamber that was not there yet.
    #[error(
        "point `{point}` lies in chamber `{chamber}` from `{time}`, before that chamber was set up (`from` is `{set_up}`); correct one of them"
    )]
    BeforeChamber {
        /// The point.
        point: String,
        /// The chamber.
        chamber: String,
        /// When the point came into it.
        time: String,
        /// When the chamber was set up.
        set_up: String,
    },
    /// A reading that is to be corrected for a species nobody described.
    #[error(
        "meter `{meter}` is to be corrected for the species, but {material} of point `{point}` has no `species_a`, `species_b` and `species_source`; add the three to its `[[material]]`, or write `correct = \"temperature\"`"
    )]
    NoSpecies {
        /// The meter.
        meter: String,
        /// The material, as a message says it.
        material: String,
        /// The point.
        point: String,
    },
    /// Two stays of one unit at one time.
    #[error(
        "unit `{unit}` is already placed on line {other_line} from `{from}` to {to}; a unit stands in one place at a time; correct `placed` or `removed` of one"
    )]
    StaysOverlap {
        /// The unit.
        unit: String,
        /// The line of the other stay.
        other_line: u64,
        /// Start of the other stay.
        from: String,
        /// End of the other stay.
        to: String,
    },
    /// Stays of one unit that disagree on what it is.
    #[error(
        "unit `{unit}` is `{found}` here and `{other}` on line {other_line}; a unit is one kind; correct one or rename the unit"
    )]
    KindDiffers {
        /// The unit.
        unit: String,
        /// The kind here.
        found: &'static str,
        /// The kind there.
        other: &'static str,
        /// The line of the other.
        other_line: u64,
    },
    /// Two placements of one logger at one time.
    #[error(
        "logger {logger} is already placed on line {other_line} from {from} to {to}; a logger stands in one place at a time; give both entries `from` and `to`"
    )]
    PlacementsOverlap {
        /// The logger, as a message says it.
        logger: String,
        /// The line of the other placement.
        other_line: u64,
        /// Start of the other placement.
        from: String,
        /// End of the other placement.
        to: String,
    },
    /// An inlet or outlet of nothing.
    #[error("`place` is `{place}`, but no `unit` says of which; add `unit`: the name of a unit such as `D1`")]
    PlaceWithoutUnit {
        /// The place.
        place: &'static str,
    },
    /// A chamber that is its own ancestor, or points that rest on one another.
    #[error("`{key}` goes round in a circle: {}; remove one of these links", circle(.path))]
    Circle {
        /// The key.
        key: &'static str,
        /// The ids along the circle, the first one repeated at the end.
        path: Vec<String>,
    },
    /// A dry standard from a point that is no reference point.
    #[error(
        "`dry_standard` names point `{id}` (line {line}), which is not a reference point; add `role = \"reference\"` to it or name another"
    )]
    NotAReference {
        /// The point named.
        id: String,
        /// Its line.
        line: u64,
    },
    /// A dry standard from a point that cannot be compared.
    #[error(
        "`dry_standard` of point `{point}` names `{id}` (line {line}), which has another {what}: `{found}` instead of `{expected}`; name reference points of the same material and scale"
    )]
    OtherReference {
        /// The point.
        point: String,
        /// The point named.
        id: String,
        /// Its line.
        line: u64,
        /// `material` or `scale`.
        what: &'static str,
        /// What the point named has.
        found: String,
        /// What the point has.
        expected: String,
    },
    /// A reading before the loss.
    #[error(
        "`{time}` is before the loss (`loss_at` is `{loss}`), and point `{point}` is not a reference point; correct the time or `loss_at`"
    )]
    BeforeLoss {
        /// The time as written.
        time: String,
        /// The loss.
        loss: String,
        /// The point.
        point: String,
    },
    /// A time nowhere near the job.
    #[error("`{key}` is `{time}`, more than {limit_days} days from `loss_at` (`{loss}`); correct one of them")]
    FarFromLoss {
        /// The key.
        key: String,
        /// The time as written.
        time: String,
        /// The loss.
        loss: String,
        /// The limit.
        limit_days: i64,
    },
    /// Equipment in two files.
    #[error(
        "equipment is listed in job.toml (line {line}) and in equipment.csv; one is accepted; move the entries into one of them"
    )]
    EquipmentTwice {
        /// The line in job.toml.
        line: u64,
    },
    /// Billed days in two places.
    #[error("unit `{unit}` has `billed_days` on {stay} as well; its billed days are written once; remove one")]
    BilledTwice {
        /// The unit.
        unit: String,
        /// Its stay.
        stay: RowRef,
    },
    /// Two dated changes at one time.
    #[error(
        "`from` is `{time}`, and so is the one on line {other_line}; one change at a time is accepted; correct or remove one"
    )]
    SameChange {
        /// The time.
        time: String,
        /// The line of the other.
        other_line: u64,
    },
}

fn joined(keys: &[&'static str], word: &str) -> String {
    keys.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(word)
}

fn offer(nearest: &Option<String>) -> String {
    nearest.as_ref().map_or_else(|| ";".to_owned(), |nearest| format!("; did you mean `{nearest}`?"))
}

/// Where things of a kind are listed.
fn place(what: &str) -> &'static str {
    if what == "unit" { "job.toml or equipment.csv" } else { "job.toml" }
}

fn listed(what: &str, unknown: &Unknown) -> String {
    if unknown.known.is_empty() {
        format!("; no {what} is listed; add one or correct the name")
    } else {
        unknown.list(&format!("known {what}s"))
    }
}

fn circle(path: &[String]) -> String {
    path.iter().map(|id| format!("`{id}`")).collect::<Vec<_>>().join(" -> ")
}
