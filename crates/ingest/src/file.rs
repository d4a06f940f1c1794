//! One file from bytes to parts: the steps in order, and where each of them may end.

use std::borrow::Cow;
use std::collections::BTreeMap;

use grainfall_record::{Certainty, DateOrder, Hours, InputFile, Outcome, Quantity};
use sha2::{Digest, Sha256};

use crate::columns::heading::{Heading, tokens};
use crate::columns::long::Long;
use crate::columns::profile::Profiles;
use crate::columns::{identity, plan, scale};
use crate::container::{Container, container};
use crate::hints::{FileHints, Said};
use crate::notes::{Notes, cut, logger_line, quoted};
use crate::part::{Assembly, Part};
use crate::rows::Reader;
use crate::siblings::Shown;
use crate::table::layout::{Kind, NoLog, layout, shown};
use crate::table::sections::sections;
use crate::table::{Delimiter, Grid, Layout, Table, choose, facts, fill, fixed};
use crate::text::decode;
use crate::time::evidence::Around;
use crate::time::face::Halves;
use crate::time::order::{Order, Undecided};
use crate::time::source::Source;
use crate::time::{face, order, source, zone};
use crate::words::{longest, words};

/// A file read: its entry in the ledger (samples not yet counted) and the parts of its loggers.
#[derive(Debug)]
pub(crate) struct FileRead {
    pub input: InputFile,
    pub parts: Vec<Part>,
    /// SHA-256 of what was read, which is not the file's where it is packed; empty for the sheets of a workbook.
    pub content: String,
    /// Whether it lies within an archive.
    pub packed: bool,
    /// What its stamps show of the way they are written, for files like it.
    pub shown: Option<Shown>,
}

/// Why reading ended without samples.
enum End {
    NotALog(String),
    Refused { reason: String, remedy: String },
}

impl End {
    fn refused(reason: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Refused { reason: reason.into(), remedy: remedy.into() }
    }
}

/// SHA-256 in lower-case hexadecimal.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut text, byte| {
        for half in [byte >> 4, byte & 15] {
            text.push(char::from_digit(half.into(), 16).unwrap_or('0'));
        }
        text
    })
}

/// The longest line of text that is read: a thousand columns of numbers take a hundredth of it.
const LONGEST_LINE: usize = 1 << 20;
/// The most cells of a row that are read: as many as a spreadsheet has columns.
const WIDEST_ROW: usize = 16_384;

/// A file before its content is looked at.
#[derive(Debug, Clone)]
pub(crate) struct Outside {
    /// Path within the folder; within an archive or a workbook with the name of the part behind a slash.
    pub path: String,
    pub sha256: String,
    pub bytes: u64,
}

impl Outside {
    /// A file of these bytes.
    pub fn of(path: &str, bytes: &[u8]) -> Self {
        Self { path: path.to_owned(), sha256: sha256(bytes), bytes: bytes.len() as u64 }
    }

    /// The file with what became of it.
    pub fn ended(self, outcome: Outcome) -> FileRead {
        self.noted(outcome, Notes::default())
    }

    fn noted(self, outcome: Outcome, notes: Notes) -> FileRead {
        let input = InputFile {
            path: self.path,
            sha256: self.sha256,
            bytes: self.bytes,
            outcome,
            decisions: notes.decisions,
            refused: notes.refused,
            facts: BTreeMap::new(),
        };
        FileRead { input, parts: Vec::new(), content: String::new(), packed: false, shown: notes.shown }
    }
}

/// Reads the bytes of a file whose path within the folder is `name`. Archives and workbooks in them are refused:
/// whoever opens those gives their content here. `notes` hold what was decided before. A file of several loggers one
/// below the other gives an entry for itself and one for each, with a path within it.
pub(crate) fn read(name: &str, bytes: &[u8], said: Said<'_>, mut notes: Notes) -> Vec<FileRead> {
    let (all, outside) = rayon::join(|| steps(name, bytes, said, &mut notes), || Outside::of(name, bytes));
    let content = outside.sha256.clone();
    let whole = all.iter().all(|one| one.label.is_none());
    let mut read = Vec::new();
    if !whole {
        let reason = format!("{} logs one below the other, listed on their own", all.len());
        read.push(outside.clone().ended(Outcome::NotALog { reason }));
    }
    for One { label, read: ended, notes, found } in all {
        let Some(label) = label else {
            read.push(FileRead { content: content.clone(), ..done(outside.clone(), ended, notes, found) });
            continue;
        };
        let within = Outside { path: format!("{name}/{label}"), ..outside.clone() };
        let mut one = done(within, ended, notes, found);
        one.content = format!("{content}/{label}");
        for part in &mut one.parts {
            part.lies_within(name, &label);
        }
        read.push(one);
    }
    read
}

/// What was read of a file, or of one of the logs in it.
struct One {
    label: Option<String>,
    read: Result<(u64, Vec<Part>), End>,
    notes: Notes,
    found: BTreeMap<String, String>,
}

/// Reads a sheet of a workbook. `notes` hold what was decided of it before.
pub(crate) fn read_sheet(outside: Outside, grid: &Grid, said: Said<'_>, mut notes: Notes) -> FileRead {
    let mut found = BTreeMap::new();
    let table = Table::of_grid(grid);
    let path = outside.path.clone();
    let read = log(&path, table, Delimiter::Cells, &grid.text, said, &mut notes, &mut found);
    done(outside, read, notes, found)
}

fn done(
    outside: Outside,
    read: Result<(u64, Vec<Part>), End>,
    notes: Notes,
    found: BTreeMap<String, String>,
) -> FileRead {
    let (outcome, parts) = match read {
        Ok((rows, parts)) => (Outcome::Read { rows, samples: 0 }, parts),
        Err(End::NotALog(reason)) => (Outcome::NotALog { reason }, Vec::new()),
        Err(End::Refused { reason, remedy }) => (Outcome::Refused { reason, remedy }, Vec::new()),
    };
    let mut read = outside.noted(outcome, notes);
    read.input.facts = found;
    read.parts = parts;
    read
}

/// From bytes to a table, and the logs in it.
fn steps(name: &str, bytes: &[u8], said: Said<'_>, notes: &mut Notes) -> Vec<One> {
    let one = |read, notes: &mut Notes, found| vec![One { label: None, read, notes: std::mem::take(notes), found }];
    let text = match characters(bytes, notes) {
        Ok(text) => text,
        Err(end) => return one(Err(end), notes, BTreeMap::new()),
    };
    let Some(delimiter) = choose(&text, notes) else { return one(Err(no_rows(&text)), notes, BTreeMap::new()) };
    let places = (delimiter == Delimiter::Blanks).then(|| fixed::places(&text)).flatten();
    let (table, delimiter) = match places {
        Some(places) => {
            let value = format!("{} columns", places.len());
            notes.settled(
                "fixed places",
                value,
                "cells are missing in some rows, and those left stand below each other",
            );
            (Table::at_places(&text, &places), Delimiter::Places)
        }
        None => (Table::split(&text, delimiter), delimiter),
    };
    let sections = sections(&table, delimiter);
    if sections.is_empty() {
        let mut found = BTreeMap::new();
        let read = log(name, table, delimiter, &text, said, notes, &mut found);
        return one(read, notes, found);
    }
    let shared: BTreeMap<String, String> = layout(&table, delimiter, &mut Notes::default())
        .map(|layout| facts::facts(&table, &layout))
        .unwrap_or_default()
        .into_iter()
        .filter(|(key, _)| !facts::is_own(key))
        .collect();
    let number = sections.len();
    sections
        .into_iter()
        .map(|section| {
            let mut notes = notes.clone();
            let reason =
                format!("one of {number} one below the other, told apart by the lines above them or by their rows");
            notes.settled("log", section.label.as_str(), reason);
            let mut found = shared.clone();
            let path = format!("{name}/{}", section.label);
            let read = log(&path, table.pick(&section.rows), delimiter, &text, said, &mut notes, &mut found);
            One { label: Some(section.label), read, notes, found }
        })
        .collect()
}

/// The text of a file, if it is one and can be read.
fn characters<'a>(bytes: &'a [u8], notes: &mut Notes) -> Result<Cow<'a, str>, End> {
    if bytes.is_empty() {
        return Err(End::NotALog("the file is empty".into()));
    }
    match container(bytes) {
        Container::Text => {}
        Container::Gzip | Container::Zip | Container::Workbook(_) => {
            return Err(End::refused("an archive within an archive", "unpack it and put the files into the folder"));
        }
        Container::Closed { what, remedy } => return Err(End::refused(format!("{what}, which is not opened"), remedy)),
        Container::Other { what } => return Err(End::NotALog(what.into())),
    }
    if u32::try_from(bytes.len()).is_err() {
        return Err(End::refused(
            "the file has 4 GiB or more once unpacked",
            "split it into files of some months each",
        ));
    }
    if let Some((line, length)) = long_line(bytes) {
        return Err(End::refused(
            format!("line {line} has {length} bytes; a row of a log has no more than {LONGEST_LINE}"),
            "export it again with one sample in a line",
        ));
    }
    let text = decode(bytes, notes);
    if u32::try_from(text.len()).is_err() {
        return Err(End::refused("the text has 4 GiB or more", "split it into files of some months each"));
    }
    Ok(text)
}

/// The first line that is longer than any row of a log, from 1, with its length.
fn long_line(bytes: &[u8]) -> Option<(usize, usize)> {
    let is_end = |byte: &u8| matches!(byte, b'\n' | b'\r');
    let mut at = 0;
    // From line end to line end, each as far ahead as a row may be long.
    while bytes.len() - at > LONGEST_LINE {
        match bytes[at..=at + LONGEST_LINE].iter().rposition(is_end) {
            Some(end) => at += end + 1,
            None => {
                let length = bytes[at..].iter().position(is_end).unwrap_or(bytes.len() - at);
                let before = &bytes[..at];
                let ends = before.iter().enumerate();
                let ends = ends.filter(|(i, b)| **b == b'\n' || **b == b'\r' && bytes.get(i + 1) != Some(&b'\n'));
                return Some((ends.count() + 1, length));
            }
        }
    }
    None
}

/// From a table to samples. `text` is all of its text; `found` holds facts of the file already.
fn log(
    name: &str,
    mut table: Table<'_>,
    delimiter: Delimiter,
    text: &str,
    said: Said<'_>,
    notes: &mut Notes,
    found: &mut BTreeMap<String, String>,
) -> Result<(u64, Vec<Part>), End> {
    if let Some(row) = (0..table.rows()).find(|row| table.is_wider(*row, WIDEST_ROW)) {
        return Err(End::refused(
            format!("line {} has {} cells; at most {WIDEST_ROW} are read", table.line(row), table.width(row)),
            "export it again with one sample in a line",
        ));
    }
    let layout = layout(&table, delimiter, notes).map_err(|no_log| match no_log {
        NoLog::Rows => End::NotALog("text without rows of numbers beside a time".into()),
        NoLog::HeaderOnly { line } => header_only(line),
    })?;
    let shared = std::mem::replace(found, facts::facts(&table, &layout));
    for (key, value) in shared {
        found.entry(key).or_insert(value);
    }
    let file_hints = FileHints::of(said.hints, name).within(text);
    if layout.torn_decimals {
        let reason = format!(
            "{} names above rows of {} cells: the comma seems to be both the decimal mark and the mark between columns",
            table.filled_width(layout.header.last().copied().unwrap_or(0)),
            layout.width
        );
        return Err(End::refused(
            reason,
            "export it again with semicolons or tabs between the columns, or with decimal points",
        ));
    }
    fill::down(&mut table, &layout, notes);
    let mut layout = layout;
    let mut profiles = Profiles::of(&table, &layout);
    if let Some(mark) = profiles.mark {
        notes.settled("decimal mark", mark.name(), "by the numbers of the sample");
    }
    let Some(time) = source::choose(&layout, &profiles, found, notes) else {
        return Err(no_time(&table, &layout, &profiles));
    };
    let mut taken = [time.columns.as_slice(), &time.spare].concat();
    let long = Long::find(&table, &mut layout, &mut profiles, &taken, notes);
    taken.extend(long.iter().flat_map(Long::taken));
    let who = identity(&layout, &profiles, &taken);
    taken.extend(who.as_ref().map(|who| who.index));
    scale::apply(&layout, &mut profiles, found, &taken, notes);
    let columns = plan(name, &layout, &profiles, found, &file_hints, &taken, notes);
    if columns.columns.is_empty() {
        return Err(no_quantity(name, &layout, &columns));
    }
    let end = |undecided: Undecided| End::Refused { reason: undecided.reason, remedy: undecided.remedy };
    let (order, halves) = {
        let around = Around { name, facts: found, told: said.told(name) };
        stamps(&table, &layout, &time.source, around, said.hints.date_order, file_hints.hours(), notes).map_err(end)?
    };
    let serial = serial(found, &columns, who.as_ref(), &profiles, &layout, notes);
    if let Some(who) = who.as_ref().filter(|who| !who.constant) {
        let profile = &profiles.columns[who.index];
        let reason = format!("`{}` tells them apart, and each of its texts repeats", cut(&layout.names[who.index], 40));
        notes.settled("loggers", quoted(profile.texts.keys().map(String::as_str), 12), reason);
    }
    let reader = Reader {
        table: &table,
        layout: &layout,
        profiles: &profiles,
        source: &time.source,
        order,
        halves: &halves,
        columns: &columns.columns,
        identity: who.as_ref(),
        long: long.as_ref(),
    };
    let rows = reader.read(notes);
    let count = rows.rows;
    // From here on only the samples are needed.
    drop(table);
    let statement = time.statement.clone().or_else(|| zone::in_facts(found));
    let assembly = Assembly {
        file: name,
        columns: &columns.columns,
        identity: who.as_ref(),
        serial: serial.as_deref(),
        hints: &file_hints,
        statement: statement.as_ref(),
        zone: said.hints.time_zone,
        counted: matches!(time.source, Source::Elapsed { .. }),
    };
    let parts = assembly.parts(rows, notes).map_err(end)?;
    if parts.is_empty() {
        return Err(no_sample(&columns.columns, count));
    }
    Ok((count, parts))
}

/// The order of the dates of a table and the halves of the day of its rows. What they show goes into `notes`, also
/// where they cannot be told.
fn stamps(
    table: &Table<'_>,
    layout: &Layout,
    source: &Source,
    around: Around<'_>,
    order: Option<DateOrder>,
    hours: Option<Hours>,
    notes: &mut Notes,
) -> Result<(Order, Halves), Undecided> {
    let mut rows = (layout.first..table.rows()).take(100);
    notes.shown = rows.find_map(|row| source.stamp(table, row)).and_then(|stamp| Shown::of(layout, &stamp));
    let decided = order::decide(table, layout, source, around, order, notes);
    if let Some(shown) = &mut notes.shown {
        shown.order = order::answer(&decided);
    }
    let order = decided?.order;
    let halves = face::halves(table, layout, source, order, around, hours, notes);
    if let Some(shown) = &mut notes.shown {
        shown.hours = face::answer(&halves);
    }
    Ok((order, halves?))
}

/// The serial number of the file's one logger.
fn serial(
    found: &BTreeMap<String, String>,
    plan: &crate::columns::Plan,
    who: Option<&crate::columns::IdentityColumn>,
    profiles: &Profiles,
    layout: &Layout,
    notes: &mut Notes,
) -> Option<String> {
    let (serial, reason) = if let Some((key, value)) = facts::serial(found) {
        (value.to_owned(), format!("`{key}` above the data"))
    } else if let Some(serial) = &plan.serial {
        (serial.clone(), "stated in the column names".into())
    } else {
        let who = who.filter(|who| who.constant)?;
        let value = profiles.columns[who.index].constant()?;
        (value.to_owned(), format!("the only text of the column `{}`", cut(&layout.names[who.index], 40)))
    };
    notes.settled("serial number", serial.as_str(), reason);
    Some(serial)
}

/// No delimiter gives a row with two numbers or times.
fn no_rows(text: &str) -> End {
    // A header alone is an export without data.
    for delimiter in Delimiter::ALL {
        let table = Table::split(text.get(..text.len().min(16_384)).unwrap_or(text), delimiter);
        if delimiter != Delimiter::Blanks
            && let Err(NoLog::HeaderOnly { line }) = layout(&table, delimiter, &mut Notes::default())
        {
            return header_only(line);
        }
    }
    End::NotALog("text without rows of numbers beside a time".into())
}

fn header_only(line: u64) -> End {
    End::refused(
        format!("line {line} names a time and a quantity, but no row below holds a time and a number"),
        "export it again after the logger has recorded; if there are rows below, give them dates and times such as `2024-03-04 15:30`",
    )
}

/// Rows of numbers, but no column of times.
fn no_time(table: &Table<'_>, layout: &Layout, profiles: &Profiles) -> End {
    let measures = (0..layout.names.len()).any(|column| {
        let heading = Heading::read(&layout.names[column], &layout.aliases[column], &layout.units[column]);
        layout.named
            && heading.quantity.is_some()
            && heading.left_out.is_none()
            && profiles.columns[column].is_numeric()
    });
    if !measures {
        return End::NotALog("rows of numbers without a column of times or a word for a quantity".into());
    }
    if let Some((column, _)) = source::elapsed_column(layout, profiles) {
        return End::refused(
            format!("`{}` counts from a start that the file does not state", cut(&layout.names[column], 40)),
            "write `Start time: 2024-03-04 15:30`, with the true start, in a line above the names, or export it with a date and time in every row",
        );
    }
    let time = layout.names.iter().position(|name| longest(&words().time, &tokens(name)).is_some());
    let shown_time = time.map(|column| (column, table.cell(layout.first, column))).filter(|(_, cell)| !cell.is_empty());
    let reason = match shown_time {
        Some((column, cell)) if Kind::of(cell) != Kind::Dated => format!(
            "`{}` in line {}, column `{}`, is no date and time that is understood",
            cut(cell, 40),
            table.line(layout.first),
            cut(&layout.names[column], 40)
        ),
        _ => format!("no column of times among {}", shown(layout)),
    };
    End::refused(
        reason,
        "export it with a date and time in every row, such as `2024-03-04 15:30` or `3/4/2024 3:30 PM`",
    )
}

/// Times, but no column whose quantity and unit are known.
fn no_quantity(name: &str, layout: &Layout, plan: &crate::columns::Plan) -> End {
    let entry = |column: &str, quantity: Quantity, unit: &str| {
        format!("\"{}\" = {{ quantity = \"{}\", unit = \"{unit}\" }}", cut(column, 60), quantity.label())
    };
    let (names, entries, what): (Vec<&str>, Vec<String>, _) = if let [(first, quantity), ..] = &plan.unsettled[..] {
        let names = plan.unsettled.iter().map(|(name, _)| name.as_str()).collect();
        (names, vec![entry(first, *quantity, example_unit(*quantity))], "with the right unit")
    } else {
        let names: Vec<&str> = plan.unknown.iter().map(String::as_str).collect();
        let entries = match names[..] {
            [] => return End::NotALog("times, but no numbers beside them".into()),
            [first, second, ..] if !layout.named => {
                vec![entry(first, Quantity::AirTemp, "F"), entry(second, Quantity::RelativeHumidity, "%")]
            }
            [first, ..] => vec![entry(first, Quantity::Moisture, "%")],
        };
        (names, entries, "with the right quantity and unit")
    };
    let line = format!("columns = {{ {} }}", entries.join(", "));
    let remedy = format!("say in job.toml what they hold: add {}, {what}", logger_line(name, &line));
    let shown = quoted(names.iter().copied(), 8);
    let reason = if !layout.named {
        format!("no row of names above the data, so it is not known what {shown} hold")
    } else if plan.unsettled.is_empty() {
        format!("times and numbers, but no column name tells a quantity; columns of numbers: {shown}")
    } else {
        format!("the unit of {shown} cannot be told")
    };
    End::refused(reason, remedy)
}

/// A unit to show in an example.
fn example_unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::AirTemp | Quantity::DewPoint | Quantity::WetBulb | Quantity::SurfaceTemp => "F",
        Quantity::HumidityRatio => "gr/lb",
        Quantity::VapourPressure | Quantity::Pressure => "hPa",
        Quantity::AbsoluteHumidity => "g/m3",
        Quantity::Enthalpy => "kJ/kg",
        Quantity::Weight => "g",
        _ => "%",
    }
}

/// Columns were found and every row was refused or empty.
fn no_sample(columns: &[crate::columns::Column], rows: u64) -> End {
    let names = quoted(columns.iter().map(|c| c.name.as_str()), 8);
    End::refused(
        format!("none of {rows} rows holds a usable time and value in {names}"),
        "see the refused rows for the reason of each; export the file again if it is damaged",
    )
}

/// The decision that says how rows of several files were put together.
pub(crate) fn note_joined(input: &mut InputFile, rows: u64, logger: &str) {
    input.decisions.push(grainfall_record::Decision {
        topic: format!("rows joined to {logger}"),
        value: rows.to_string(),
        reason: "another row of the instant lacked these quantities; its line is the one kept as the source".into(),
        certainty: Certainty::Settled,
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_line_that_is_read() {
        let line = |len: usize| "x".repeat(len);
        assert_eq!(long_line(format!("a\r\n{}\nb\n", line(LONGEST_LINE)).as_bytes()), None);
        let text = format!("a\r\nb\rc\n{}\nb\n", line(LONGEST_LINE + 1));
        assert_eq!(long_line(text.as_bytes()), Some((4, LONGEST_LINE + 1)));
        assert_eq!(long_line("ab\n".repeat(LONGEST_LINE).as_bytes()), None);
    }
}
