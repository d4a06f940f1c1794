//! A log written in a dialect.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use chrono::{Datelike, NaiveDateTime, TimeDelta, Timelike};
use encoding_rs::Encoding;
use rust_xlsxwriter::{Format, Workbook, Worksheet};
use zip::write::SimpleFileOptions;

use crate::axes::Dialect;
use crate::books::{ods, xls};
use crate::log::Log;
use crate::oracle::one_half;
use crate::third::{Third, third};

/// A file as it would lie in a job's folder.
pub struct Written {
    pub path: String,
    pub bytes: Vec<u8>,
    /// What its logger is called when it has no serial number.
    pub stem: String,
}

/// A cell: its text, and what it is in a workbook.
#[derive(Debug, Clone)]
pub struct Cell {
    pub text: String,
    pub value: Value,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    Text,
    /// A line of its own, without cells.
    Line,
    Number(f64),
    /// Days since the end of 1899, shown as date and time, as date, or as time.
    Moment(f64, &'static str),
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self { text, value: Value::Text }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

/// Rows above, names, rows of data, rows below.
pub struct Sheet {
    pub above: Vec<String>,
    pub rows: Vec<Vec<Cell>>,
    pub below: Vec<String>,
}

impl Sheet {
    /// Every line as cells.
    pub fn lines(&self) -> Vec<Vec<Cell>> {
        let whole = |lines: &[String]| lines.iter().map(|line| vec![line.as_str().into()]).collect::<Vec<Vec<Cell>>>();
        [whole(&self.above), self.rows.clone(), whole(&self.below)].concat()
    }
}

/// Serial number and room of the loggers that stand below each other.
pub const SECTIONS: [[&str; 2]; 2] = [["20-4471", "Bath"], ["20-4472", "Hall"]];

/// Whether loggers below each other are told by their serial numbers; else they are by their rooms.
pub fn below_by_serial(dialect: &Dialect) -> bool {
    matches!(dialect.of("above"), "five lines" | "thirty lines")
}

pub fn write(log: &Log, dialect: &Dialect) -> Written {
    let stem = match dialect.of("another date") {
        "file name" => log.wall(dialect, log.rows() - 1).format("log_%Y-%m-%d").to_string(),
        _ => "log".to_owned(),
    };
    let parts: &[Part] = match dialect.of("layout") {
        "file per quantity" | "sheet per quantity" => &[Part::Temps, Part::Humidities],
        _ => &[Part::All],
    };
    let sheets: Vec<(Part, Sheet)> = parts.iter().map(|part| (*part, sheet(log, dialect, *part))).collect();
    if dialect.workbook() {
        let kind = dialect.of("container").split(' ').next().unwrap();
        let named: Vec<(&str, &Sheet)> = sheets.iter().map(|(part, sheet)| (part.sheet(), sheet)).collect();
        let bytes = match kind {
            "xls" => xls(&named, dialect.typed()),
            "ods" => ods(&named, dialect.typed()),
            _ => workbook(dialect, &named),
        };
        return Written { path: format!("{stem}.{kind}"), bytes, stem };
    }
    let files: Vec<(String, Vec<u8>)> = sheets
        .iter()
        .map(|(part, sheet)| (format!("{stem}{}.csv", part.ending()), bytes(dialect, &text(dialect, sheet))))
        .collect();
    let name = files[0].0.clone();
    let (path, bytes) = match dialect.of("container") {
        "gzip" => (format!("{name}.gz"), gzipped(&files[0].1)),
        "zip" => ("all.zip".to_owned(), zipped(&files)),
        _ => (name, files[0].1.clone()),
    };
    Written { path, bytes, stem }
}

/// When the file was exported, as its clock shows it.
pub fn exported(log: &Log, dialect: &Dialect) -> NaiveDateTime {
    log.wall(dialect, log.rows() - 1) + TimeDelta::hours(1)
}

/// Which quantities a file or sheet holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    All,
    Temps,
    Humidities,
}

impl Part {
    fn ending(self) -> &'static str {
        match self {
            Self::All => "",
            Self::Temps => "_temp",
            Self::Humidities => "_rh",
        }
    }

    fn sheet(self) -> &'static str {
        match self {
            Self::All => "Data",
            Self::Temps => "Temperature",
            Self::Humidities => "Humidity",
        }
    }
}

/// A number with what a dialect puts behind it: its unit, or marks at some rows.
fn behind(dialect: &Dialect, last: Option<i32>, unit: &str, row: usize) -> Cell {
    let cell = number(dialect, last.map(i64::from), 1);
    let mark = match dialect.of("behind numbers") {
        "unit" => unit,
        // A letter marks a number with decimals only.
        "marks" if row % 3 == 1 && unit == "%" && !matches!(dialect.of("names"), "scaled" | "scale above") => "H",
        "marks" if row % 3 == 1 => "*",
        _ => "",
    };
    if last.is_none() || mark.is_empty() { cell } else { format!("{}{mark}", cell.text).into() }
}

/// A number of the log as a dialect writes it. `last` is in units of the last decimal.
fn number(dialect: &Dialect, last: Option<i64>, places: usize) -> Cell {
    let missing = dialect.of("missing");
    let Some(last) = last else { return if missing == "empty" { "".into() } else { missing.into() } };
    if matches!(dialect.of("names"), "scaled" | "scale above") {
        return Cell { text: last.to_string(), value: Value::Number(last as f64) };
    }
    let (sign, size) = (if last < 0 { "-" } else { "" }, last.unsigned_abs());
    let ten = 10_u64.pow(u32::try_from(places).unwrap());
    let mark = dialect.number_of_decimals();
    let decimals = |rest: u64| if places == 0 { String::new() } else { format!("{mark}{rest:0places$}") };
    let (whole, rest) = (size / ten, size % ten);
    let text = match dialect.of("numbers") {
        "exponents" => {
            let digits = format!("{size:05}");
            let power = i32::try_from(digits.len()).unwrap() - 1 - i32::try_from(places).unwrap();
            format!("{sign}{}{mark}{}e{power:+03}", &digits[..1], &digits[1..])
        }
        "plus signs" => format!("{}{whole}{}", if last < 0 { "-" } else { "+" }, decimals(rest)),
        "grouped" if whole >= 1000 => {
            let group = if mark == "," { "." } else { "," };
            format!("{sign}{}{group}{:03}{}", whole / 1000, whole % 1000, decimals(rest))
        }
        "padded" => format!("{sign}{whole:03}{}", decimals(rest)),
        _ => format!("{sign}{whole}{}", decimals(rest)),
    };
    let value = last as f64 / ten as f64;
    Cell { text, value: Value::Number(value) }
}

/// Days since 1899-12-30; 1970-01-01 is day 25569.
fn serial_day(wall: NaiveDateTime) -> f64 {
    25_569.0 + wall.and_utc().timestamp_millis() as f64 / 86_400_000.0
}

/// The cells that say when, for a row.
fn time_cells(log: &Log, dialect: &Dialect, row: usize) -> Vec<Cell> {
    let instant = log.written_time(dialect, row);
    let t = log.wall(dialect, row);
    let form = |form: &str| t.format(form).to_string();
    let one = |text: &str| vec![form(text).into()];
    let whole = |numbers: &[i64]| -> Vec<Cell> {
        numbers.iter().map(|n| Cell { text: n.to_string(), value: Value::Number(*n as f64) }).collect()
    };
    let months = &dialect.language().months;
    let month = months[t.month0() as usize];
    let elapsed = instant - log.written_time(dialect, 0);
    let day = |t: NaiveDateTime| [i64::from(t.year()), t.month().into(), t.day().into()];
    let dates = dialect.typed();
    match dialect.of("times") {
        "iso" if dates => {
            vec![Cell { text: form("%F %T"), value: Value::Moment(serial_day(t), "yyyy-mm-dd hh:mm:ss") }]
        }
        "iso" => one("%Y-%m-%d %H:%M:%S"),
        "iso Z" => vec![instant.format("%Y-%m-%dT%H:%M:%SZ").to_string().into()],
        "iso offset" => vec![(instant + TimeDelta::hours(2)).format("%Y-%m-%dT%H:%M:%S+02:00").to_string().into()],
        "iso slashes" => one("%Y/%m/%d %H:%M"),
        "compact" => one("%Y%m%dT%H%M%S"),
        "us am pm" => one("%-m/%-d/%Y %-I:%M:%S %p"),
        "us two-digit year" => one("%m/%d/%y %H:%M"),
        "day first slashes" => one("%d/%m/%Y %H:%M"),
        "day first dots" => one("%d.%m.%y %H:%M"),
        "month name" => vec![format!("{} {month} {}", t.day(), form("%Y %H:%M")).into()],
        "month name first" => vec![format!("{month} {}", form("%-d, %Y %-I:%M %p")).into()],
        "weekday before" => one("%a %m/%d/%Y %H:%M"),
        "weekday behind" => one("%d/%m/%Y (%a) %H:%M"),
        "time before date" => one("%H:%M %d.%m.%Y"),
        "date and time columns" if dates => {
            let serial = serial_day(t);
            vec![
                Cell { text: form("%d.%m.%Y"), value: Value::Moment(serial.floor(), "dd.mm.yyyy") },
                Cell { text: form("%H:%M"), value: Value::Moment(serial.fract(), "hh:mm") },
            ]
        }
        "date and time columns" => vec![form("%d.%m.%Y").into(), form("%H:%M").into()],
        "date, time and half columns" => vec![form("%Y-%m-%d").into(), form("%-I:%M").into(), form("%p").into()],
        "date and hour columns" => {
            let clock = whole(&[t.hour().into(), t.minute().into()]);
            [one("%Y-%m-%d"), clock].concat()
        }
        "parts" => whole(&[&day(t)[..], &[t.hour().into(), t.minute().into()]].concat()),
        "epoch s" => whole(&[instant.timestamp()]),
        "epoch ms" => whole(&[instant.timestamp_millis()]),
        "epoch us" => vec![instant.timestamp_micros().to_string().into()],
        "epoch ns" => vec![instant.timestamp_nanos_opt().unwrap().to_string().into()],
        "serial" => {
            let days = serial_day(t);
            let text = format!("{days:.6}").replace('.', dialect.number_of_decimals());
            vec![Cell { text, value: Value::Number(days) }]
        }
        "elapsed minutes" => whole(&[elapsed.num_minutes()]),
        "elapsed seconds" => whole(&[elapsed.num_seconds()]),
        "elapsed hh:mm:ss" => {
            let minutes = elapsed.num_minutes();
            vec![format!("{:02}:{:02}:00", minutes / 60, minutes % 60).into()]
        }
        "hour 24" if t.hour() == 0 && t.minute() == 0 => {
            vec![(t - TimeDelta::days(1)).format("%Y-%m-%d 24:00").to_string().into()]
        }
        "hour 24" => one("%Y-%m-%d %H:%M"),
        "two formats" if row.is_multiple_of(2) => one("%Y-%m-%d %H:%M:%S"),
        "two formats" => one("%Y/%m/%d %-I:%M %p"),
        "signs" => one("%Y年%-m月%-d日 %-H時%M分"),
        "half before time" => one("%Y-%m-%d %p %I:%M"),
        "jitter" => one("%Y-%m-%d %H:%M:%S%.3f"),
        "twelve hours unmarked" => one("%m/%d/%Y %I:%M"),
        "twelve hours, year first" if one_half(log, dialect) => one("%Y-%m-%d %H:%M"),
        "twelve hours, year first" => one("%Y-%m-%d %I:%M"),
        other => panic!("{other}"),
    }
}

fn time_names(dialect: &Dialect) -> Vec<&'static str> {
    let language = dialect.language();
    match dialect.of("times") {
        "date and time columns" => vec![language.date, language.time],
        "date, time and half columns" => vec![language.date, language.time, "AM/PM"],
        "date and hour columns" => vec![language.date, "hour", "minute"],
        "parts" => vec!["year", "month", "day", "hour", "minute"],
        "elapsed minutes" => vec!["Elapsed time (min)"],
        "elapsed seconds" => vec!["Elapsed (s)"],
        "elapsed hh:mm:ss" => vec!["Elapsed"],
        _ => vec![language.stamp],
    }
}

fn degrees(dialect: &Dialect) -> String {
    let unit = dialect.of("unit");
    if unit == "K" { "K".to_owned() } else { format!("°{unit}") }
}

/// The lines above the names.
fn above(log: &Log, dialect: &Dialect) -> Vec<String> {
    let first = log.wall(dialect, 0);
    let last = log.wall(dialect, log.rows() - 1);
    let mut lines: Vec<String> = Vec::new();
    if dialect.of("times").starts_with("elapsed") {
        lines.push(format!("Start time: {}", first.format("%Y-%m-%d %H:%M:%S")));
    }
    match dialect.of("clock") {
        "stated offset" => lines.push("Time zone: UTC-06:00".into()),
        "stated zone" => lines.push("Time zone: America/Chicago".into()),
        "standard time" => lines.push("All times are local standard time".into()),
        _ => {}
    }
    match dialect.of("names") {
        "scale above" => lines.push("Scale factor: 0.1".into()),
        "unit above" => lines.push(format!("Temperature unit: {}", degrees(dialect))),
        _ => {}
    }
    match dialect.of("another date") {
        "exported above" => lines.push(format!("Exported: {}", exported(log, dialect).format("%Y-%m-%d %H:%M"))),
        "printed in one form" => {
            // The 28th of the month after, in the form of the stamps.
            let day = (last + TimeDelta::days(31)).with_day(28).unwrap();
            let form = match dialect.of("times") {
                "us am pm" => "%-m/%-d/%Y",
                "us two-digit year" => "%m/%d/%y",
                "weekday before" | "twelve hours unmarked" => "%m/%d/%Y",
                "day first slashes" | "weekday behind" => "%d/%m/%Y",
                "day first dots" => "%d.%m.%y",
                "date and time columns" | "time before date" => "%d.%m.%Y",
                _ => "%Y-%m-%d",
            };
            lines.push(format!("Checked: {}", day.format(form)));
        }
        _ => {}
    }
    let serial = "Serial number: 20-4471".to_owned();
    let needed = lines.len();
    match dialect.of("above") {
        "nothing" => {}
        "one line" if needed == 0 => lines.push("Interval: 10 min".into()),
        "one line" => {}
        "five lines" => {
            lines.extend([serial, String::new(), "Printed by: nobody".into(), "Unit in the hall".into()]);
        }
        "remarks" => {
            lines.push(serial);
            lines.push("Unit in the hall".into());
            lines.iter_mut().for_each(|line| line.insert_str(0, "# "));
        }
        _ => {
            lines.push(serial);
            lines.extend((1..=28).map(|n| format!("Setting {n}: {}", n * 7 % 10)));
            lines.push(String::new());
        }
    }
    lines
}

fn sheet(log: &Log, dialect: &Dialect, part: Part) -> Sheet {
    let language = dialect.language();
    let (temp, rh) = (language.temp, language.rh);
    let degrees = degrees(dialect);
    let measured = |tenths: Option<i32>| number(dialect, tenths.map(i64::from), 1);
    let name = |word: &str, unit: &str, place: &str| match dialect.of("names") {
        "brackets" => format!("{word}{place} ({unit})"),
        "underscore" => {
            let unit = unit.replace('°', "deg");
            format!("{word}{}_{unit}", place.replace(' ', "_"))
        }
        "scaled" => format!("{word}{place} (0.1 {unit})"),
        "unit above" if unit == "%" => format!("{word}{place} (%)"),
        "unit above" | "units row" => format!("{word}{place}"),
        _ => format!("{word}{place} ({unit})"),
    };
    let mut names: Vec<String> = time_names(dialect).into_iter().map(str::to_owned).collect();
    let stamps = names.len();
    let mut units: Vec<String> = vec![String::new(); stamps];
    let weekday = dialect.is("another date", "weekday column");
    if weekday {
        names.push("Weekday".into());
        units.push(String::new());
    }
    let rows = log.rows();
    let other = |row: usize| (row + 5) % rows;
    let temp_of = |at: usize| behind(dialect, log.tenths(dialect, at), &degrees, at);
    let rh_of = |at: usize| behind(dialect, log.humidities[at], "%", at);
    let pair = |at: usize| vec![temp_of(at), rh_of(at)];
    let pair_names = |place: &str| [name(temp, &degrees, place), name(rh, "%", place)];
    let pair_units = [degrees.clone(), "%".to_owned()];
    let extra = third(dialect.of("third quantity"));
    let extra_unit = |third: &Third| if third.unit == "temperature" { degrees.clone() } else { third.unit.to_owned() };
    let extra_cell = |third: &Third, at: usize| {
        number(dialect, log.thirds[at].map(|value| third.number(dialect, value)), third.places)
    };
    // Each line of data as the cells after its time.
    let mut data: Vec<(usize, Vec<Cell>)> = Vec::new();
    match dialect.of("layout") {
        "side by side" => {
            for place in [" 1", " 2"] {
                names.extend(pair_names(place));
                units.extend(pair_units.clone());
            }
            data.extend((0..rows).map(|row| (row, [pair(row), pair(other(row))].concat())));
        }
        "logger column" => {
            names.push("Sensor".into());
            names.extend(pair_names(""));
            units.push(String::new());
            units.extend(pair_units.clone());
            for row in 0..rows {
                for (sensor, at) in [("1", row), ("2", other(row))] {
                    let mut cells: Vec<Cell> = vec![sensor.into()];
                    cells.extend(pair(at));
                    cells.extend(extra.map(|third| extra_cell(third, at)));
                    data.push((row, cells));
                }
            }
        }
        "quantity column" => {
            names.extend(["Parameter", "Value", "Unit"].map(str::to_owned));
            let word = |text: &str| if dialect.blanks() { text.replace(' ', "_") } else { text.to_owned() };
            for row in 0..rows {
                let [t, h] = [log.tenths(dialect, row), log.humidities[row]];
                data.push((row, vec![word(temp).into(), measured(t), degrees.as_str().into()]));
                data.push((row, vec![word(rh).into(), measured(h), "%".into()]));
            }
        }
        "units in cells" | "no header" => {
            names.extend([temp.to_owned(), rh.to_owned()]);
            let gap = if dialect.blanks() { "" } else { " " };
            let with = |tenths: Option<i32>, unit: &str| -> Cell {
                let text = measured(tenths).text;
                if tenths.is_some() { format!("{text}{gap}{unit}").into() } else { text.into() }
            };
            let row = |row: usize| vec![with(log.tenths(dialect, row), &degrees), with(log.humidities[row], "%")];
            data.extend((0..rows).map(|at| (at, row(at))));
        }
        _ => {
            let both = [
                (Part::Temps, name(temp, &degrees, ""), degrees.clone()),
                (Part::Humidities, name(rh, "%", ""), "%".to_owned()),
            ];
            let meant: Vec<_> = both.into_iter().filter(|(of, ..)| part == Part::All || *of == part).collect();
            names.extend(meant.iter().map(|(_, name, _)| name.clone()));
            units.extend(meant.iter().map(|(.., unit)| unit.clone()));
            data.extend((0..rows).map(|row| {
                let cells = meant.iter().map(|(of, ..)| match of {
                    Part::Temps => temp_of(row),
                    _ => rh_of(row),
                });
                let mut cells: Vec<Cell> = cells.collect();
                cells.extend(extra.map(|third| extra_cell(third, row)));
                (row, cells)
            }));
        }
    }
    if let Some(third) = extra {
        names.push(name(third.name, &extra_unit(third), ""));
        units.push(extra_unit(third));
    }
    let beside = |row: usize| -> Vec<Cell> {
        match dialect.of("beside") {
            "flags" => vec!["V".into(), if row.is_multiple_of(5) { "S" } else { "V" }.into()],
            "remarks" => vec![if row == 3 { "door open" } else { "" }.into()],
            "hundred columns" => (0..100)
                .map(|n| {
                    let value = (row * 7 + n * 13) % 1000;
                    Cell { text: value.to_string(), value: Value::Number(value as f64) }
                })
                .collect(),
            _ => Vec::new(),
        }
    };
    match dialect.of("beside") {
        "flags" => names.extend(["Temp flag", "RH flag"].map(str::to_owned)),
        "remarks" => names.push("Remark".into()),
        "hundred columns" => names.extend((0..100).map(|n| format!("ch{n}x"))),
        _ => {}
    }
    units.resize(names.len(), String::new());
    let numbered = dialect.is("row numbers", "yes");
    if numbered {
        names.insert(0, "No.".into());
        units.insert(0, String::new());
    }
    in_order(dialect, &mut data);
    let heads: Vec<Vec<Cell>> = match dialect.of("layout") {
        "no header" => Vec::new(),
        _ if dialect.is("names", "units row") => {
            vec![
                names.iter().map(|name| name.as_str().into()).collect(),
                units.iter().map(|u| u.as_str().into()).collect(),
            ]
        }
        _ => vec![names.iter().map(|name| name.as_str().into()).collect()],
    };
    let line = |count: usize, (row, cells): &(usize, Vec<Cell>)| {
        let mut all = time_cells(log, dialect, *row);
        if weekday {
            all.push(log.wall(dialect, *row).format("%A").to_string().into());
        }
        all.extend(cells.iter().cloned());
        all.extend(beside(*row));
        if numbered {
            let number = count + 1;
            all.insert(0, Cell { text: number.to_string(), value: Value::Number(number as f64) });
        }
        all
    };
    if dialect.is("layout", "below each other") {
        return below_each_other(log, dialect, &heads, &data, line, other);
    }
    let half = data.len() / 2;
    let mut out = heads.clone();
    for (count, one) in data.iter().enumerate() {
        if count == half && !dialect.is("header again", "no") {
            out.extend(heads.first().cloned());
            if dialect.is("header again", "with rows again") {
                out.extend(data[half / 2..half].iter().enumerate().map(|(at, one)| line(half / 2 + at, one)));
            }
        }
        out.push(line(count, one));
    }
    Sheet { above: above(log, dialect), rows: out, below: below(dialect) }
}

/// Two loggers in one file, the rows of the second as those of the first five rows later, each with its lines above.
fn below_each_other(
    log: &Log,
    dialect: &Dialect,
    heads: &[Vec<Cell>],
    data: &[(usize, Vec<Cell>)],
    line: impl Fn(usize, &(usize, Vec<Cell>)) -> Vec<Cell>,
    other: impl Fn(usize) -> usize,
) -> Sheet {
    let above = |section: usize| -> Vec<String> {
        let [serial, room] = SECTIONS[section];
        let mut lines = above(log, dialect);
        lines.iter_mut().for_each(|line| *line = line.replace(SECTIONS[0][0], serial));
        if !below_by_serial(dialect) {
            lines.push(format!("Location: {room}"));
        }
        lines
    };
    let cells = |row: usize| data.iter().find(|(of, _)| *of == row).map(|(_, cells)| cells.clone()).unwrap();
    let mut rows = heads.to_vec();
    rows.extend(data.iter().enumerate().map(|(count, one)| line(count, one)));
    if data.len().is_multiple_of(2) {
        rows.push(vec![Cell { text: String::new(), value: Value::Line }]);
    }
    rows.extend(above(1).into_iter().map(|text| vec![Cell { text, value: Value::Line }]));
    rows.extend(heads.to_vec());
    let shifted = data.iter().map(|(row, _)| (*row, cells(other(*row))));
    rows.extend(shifted.enumerate().map(|(count, one)| line(count, &one)));
    Sheet { above: above(0), rows, below: below(dialect) }
}

fn below(dialect: &Dialect) -> Vec<String> {
    let lines: &[&str] = match dialect.of("end") {
        "statistics" => &["", "Average", "Maximum"],
        "legend" => &["", "Legend:", "V = valid", "S = suspect"],
        "blank rows" => &["", "", ""],
        _ => &[],
    };
    lines.iter().map(|line| (*line).to_owned()).collect()
}

fn in_order(dialect: &Dialect, data: &mut Vec<(usize, Vec<Cell>)>) {
    match dialect.of("order") {
        "newest first" => data.reverse(),
        "some rows late" => {
            for at in (4..data.len().saturating_sub(4)).step_by(11) {
                let one = data.remove(at);
                data.insert(at + 3, one);
            }
        }
        _ => {}
    }
}

/// The characters of a file of text.
fn text(dialect: &Dialect, sheet: &Sheet) -> String {
    let quoted = dialect.is("quotes", "all");
    let delimiter = match dialect.of("delimiter") {
        "comma" => ",",
        "semicolon" => ";",
        "tab" => "\t",
        "pipe" => "|",
        _ => "  ",
    };
    let mut widths: Vec<usize> = Vec::new();
    let is_line = |row: &[Cell]| matches!(row, [one] if one.value == Value::Line);
    for row in sheet.rows.iter().filter(|row| !is_line(row)) {
        widths.resize(widths.len().max(row.len()), 0);
        row.iter().zip(&mut widths).for_each(|(cell, width)| *width = (*width).max(cell.text.chars().count()));
    }
    let fixed = dialect.is("delimiter", "fixed places");
    let join = |cells: &[Cell]| {
        let cells: Vec<String> = cells
            .iter()
            .zip(&widths)
            .map(|(cell, width)| match &cell.text {
                text if quoted => format!("\"{text}\""),
                text if fixed => format!("{text:>width$}"),
                text => text.clone(),
            })
            .collect();
        cells.join(delimiter)
    };
    let mut lines: Vec<String> = sheet.above.clone();
    lines.extend(sheet.rows.iter().map(|row| if is_line(row) { row[0].text.clone() } else { join(row) }));
    for line in &sheet.below {
        lines.push(match line.as_str() {
            "Average" | "Maximum" => join(&[line.as_str().into(), "21".into(), "45".into()]),
            other => other.to_owned(),
        });
    }
    let line_end = match dialect.of("line end") {
        "LF" => "\n",
        "CRLF" => "\r\n",
        _ => "\r",
    };
    let mut text = lines.join(line_end);
    match dialect.of("end") {
        "none" => {}
        "torn row" => {
            // The next row as far as its first value.
            let last = lines.last().unwrap();
            let cut = last.char_indices().nth(last.chars().count() * 3 / 5).map_or(0, |(at, _)| at);
            let _ = write!(text, "{line_end}{}", &last[..cut]);
        }
        "zero bytes" => text.push_str(&format!("{line_end}{}", "\0".repeat(64))),
        _ => text.push_str(line_end),
    }
    text
}

fn bytes(dialect: &Dialect, text: &str) -> Vec<u8> {
    let older = |number: usize| {
        let label = *dialect.language().older.get(number).or(dialect.language().older.last()).unwrap();
        let (bytes, _, lost) = Encoding::for_label(label.as_bytes()).unwrap().encode(text);
        if lost { text.as_bytes().to_vec() } else { bytes.into_owned() }
    };
    match dialect.of("bytes") {
        "UTF-8" => text.as_bytes().to_vec(),
        "UTF-8 mark" => [b"\xEF\xBB\xBF", text.as_bytes()].concat(),
        "UTF-16LE mark" => std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect(),
        "UTF-16BE mark" => std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect(),
        "UTF-16LE" => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        "UTF-16BE" => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        "older" => older(0),
        _ => older(1),
    }
}

fn gzipped(bytes: &[u8]) -> Vec<u8> {
    let mut writer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    writer.write_all(bytes).unwrap();
    writer.finish().unwrap()
}

fn zipped(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        writer.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn workbook(dialect: &Dialect, sheets: &[(&str, &Sheet)]) -> Vec<u8> {
    let mut book = Workbook::new();
    for (name, sheet) in sheets {
        let page = book.add_worksheet();
        page.set_name(*name).unwrap();
        for (row, cells) in (0..).zip(sheet.lines()) {
            for (cell, column) in cells.iter().zip(0..) {
                put(page, row, column, cell, dialect.typed());
            }
        }
    }
    book.save_to_buffer().unwrap()
}

fn put(page: &mut Worksheet, row: u32, column: u16, cell: &Cell, typed: bool) {
    match cell.value {
        Value::Number(number) if typed => page.write_number(row, column, number),
        Value::Moment(days, form) if typed => {
            page.write_number_with_format(row, column, days, &Format::new().set_num_format(form))
        }
        _ if cell.text.is_empty() => return,
        _ => page.write_string(row, column, &cell.text),
    }
    .unwrap();
}
