//! One file from bytes to parts: the steps in order, and where each of them may end.

use std::collections::BTreeMap;

use grainfall_record::{Certainty, InputFile, Outcome, Quantity, ReadingHints};
use sha2::{Digest, Sha256};

use crate::columns::heading::{Heading, tokens};
use crate::columns::profile::Profiles;
use crate::columns::{identity, plan};
use crate::container::{Container, container};
use crate::hints::FileHints;
use crate::notes::{Notes, cut, logger_line, quoted};
use crate::part::{Assembly, Part};
use crate::rows::Reader;
use crate::table::layout::{Kind, NoLog, layout, shown};
use crate::table::{Delimiter, Table, choose, facts};
use crate::text::decode;
use crate::time::{order, source, zone};
use crate::words::{longest, words};

/// A file read: its entry in the ledger (samples not yet counted) and the parts of its loggers.
#[derive(Debug)]
pub(crate) struct FileRead {
    pub input: InputFile,
    pub parts: Vec<Part>,
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

/// Reads the bytes of a file whose path within the folder is `name`.
pub(crate) fn read(name: &str, bytes: &[u8], hints: &ReadingHints) -> FileRead {
    let mut notes = Notes::default();
    let mut found = BTreeMap::new();
    let (outcome, parts) = match steps(name, bytes, hints, &mut notes, &mut found) {
        Ok((rows, parts)) => (Outcome::Read { rows, samples: 0 }, parts),
        Err(End::NotALog(reason)) => (Outcome::NotALog { reason }, Vec::new()),
        Err(End::Refused { reason, remedy }) => (Outcome::Refused { reason, remedy }, Vec::new()),
    };
    let input = InputFile {
        path: name.to_owned(),
        sha256: sha256(bytes),
        bytes: bytes.len() as u64,
        outcome,
        decisions: notes.decisions,
        refused: notes.refused,
        facts: found,
    };
    FileRead { input, parts }
}

fn steps(
    name: &str,
    bytes: &[u8],
    hints: &ReadingHints,
    notes: &mut Notes,
    found: &mut BTreeMap<String, String>,
) -> Result<(u64, Vec<Part>), End> {
    if bytes.is_empty() {
        return Err(End::NotALog("the file is empty".into()));
    }
    match container(bytes) {
        Container::Text => {}
        Container::Closed { what, remedy } => return Err(End::refused(format!("{what}, which is not opened"), remedy)),
        Container::Other { what } => return Err(End::NotALog(what.into())),
    }
    if u32::try_from(bytes.len()).is_err() {
        return Err(End::refused("the file has 4 GiB or more", "split it into files of some months each"));
    }
    let text = decode(bytes, notes);
    if u32::try_from(text.len()).is_err() {
        return Err(End::refused("the text has 4 GiB or more", "split it into files of some months each"));
    }
    let Some(delimiter) = choose(&text, notes) else { return Err(no_rows(&text)) };
    let table = Table::split(&text, delimiter);
    let layout = layout(&table, delimiter, notes).map_err(|no_log| match no_log {
        NoLog::Rows => End::NotALog("text without rows of numbers beside a time".into()),
        NoLog::HeaderOnly { line } => header_only(line),
    })?;
    *found = facts::facts(&table, &layout);
    let file_hints = FileHints::of(hints, name).within(&text);
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
    let profiles = Profiles::of(&table, &layout);
    if let Some(mark) = profiles.mark {
        notes.settled("decimal mark", mark.name(), "by the numbers of the sample");
    }
    let Some(time) = source::choose(&layout, &profiles, notes) else {
        return Err(no_time(&table, &layout, &profiles));
    };
    let mut taken = [time.columns.as_slice(), &time.spare].concat();
    let who = identity(&layout, &profiles, &taken);
    taken.extend(who.as_ref().map(|who| who.index));
    let columns = plan(name, &layout, &profiles, found, &file_hints, &taken, notes);
    if columns.columns.is_empty() {
        return Err(no_quantity(name, &layout, &columns));
    }
    let order = order::decide(&table, &layout, &time.source, hints.date_order, notes)
        .map_err(|undecided| End::Refused { reason: undecided.reason, remedy: undecided.remedy })?;
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
        columns: &columns.columns,
        identity: who.as_ref(),
    };
    let rows = reader.read(notes);
    let count = rows.rows;
    let statement = time.statement.clone().or_else(|| zone::in_facts(found));
    let assembly = Assembly {
        columns: &columns.columns,
        identity: who.as_ref(),
        serial: serial.as_deref(),
        hints: &file_hints,
        statement: statement.as_ref(),
        zone: hints.time_zone,
    };
    let parts = assembly.parts(rows, notes);
    if parts.is_empty() {
        return Err(no_sample(&columns.columns, count));
    }
    Ok((count, parts))
}

/// The serial number of the file's one logger.
fn serial(
    found: &BTreeMap<String, String>,
    plan: &crate::columns::Plan,
    who: Option<&crate::columns::IdentityColumn>,
    profiles: &Profiles,
    layout: &crate::table::Layout,
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
fn no_time(table: &Table<'_>, layout: &crate::table::Layout, profiles: &Profiles) -> End {
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
fn no_quantity(name: &str, layout: &crate::table::Layout, plan: &crate::columns::Plan) -> End {
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
