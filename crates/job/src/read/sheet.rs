//! A CSV file as entries: header names matched to the known columns, lines counted as an editor counts them.

use std::collections::BTreeMap;
use std::sync::Arc;

use grainfall_record::DateOrder;

use super::desk::Desk;
use super::entry::{Entry, Field, Raw, Source};
use super::time::{self, Evidence};
use super::toml_text::as_u64;
use crate::fault::{Column, FaultKind, Spot, TwoWays, Unknown, cut};
use crate::keys::{Need, TableInfo};
use crate::suggest::plain;

/// A parsed CSV file.
pub(crate) struct Sheet {
    file: Arc<str>,
    table: &'static TableInfo,
    header_line: u64,
    columns: Vec<Option<HeaderColumn>>,
    lines: Vec<SheetLine>,
    date_order: Option<DateOrder>,
    decimal_comma: bool,
}

struct HeaderColumn {
    key: &'static str,
    header: String,
    unit: Option<String>,
}

struct SheetLine {
    line: u64,
    cells: csv::StringRecord,
}

impl Sheet {
    /// Parses a file. Faults of the header and of the lines' shape are recorded; `None` when nothing can be read.
    ///
    /// `time_columns` are the columns that hold times: they settle the order of dates.
    pub fn parse(
        desk: &Desk,
        file: &str,
        table: &'static TableInfo,
        time_columns: &[&'static str],
        text: &str,
    ) -> Option<Self> {
        let file: Arc<str> = Arc::from(file);
        let delimiter = delimiter(text);
        if let Some(at) = open_quote(text, delimiter) {
            let line = lines_before(text, at);
            let start = text.get(..at).map_or(0, |before| before.rfind(['\n', '\r']).map_or(0, |newline| newline + 1));
            let column = text.get(start..at).map_or(0, |before| before.chars().count());
            desk.fault(&Spot::character(&file, line, as_u64(column + 1)), FaultKind::OpenQuote);
            return None;
        }
        let mut records = records(desk, &file, text, delimiter)?.into_iter();
        let Some(header) = records.next() else {
            let columns = required(table);
            desk.fault(&Spot::file(&file), FaultKind::EmptyFile { columns });
            return None;
        };
        let columns = header_columns(desk, &file, table, &header);
        let mut sheet = Self {
            file,
            table,
            header_line: header.line,
            columns,
            lines: records.collect(),
            date_order: None,
            decimal_comma: delimiter != b',',
        };
        sheet.check_shape(desk);
        sheet.date_order = sheet.settle_date_order(desk, time_columns);
        Some(sheet)
    }

    /// The lines as entries; empty cells are not there.
    pub fn entries(&self) -> impl Iterator<Item = Entry<'_>> {
        self.lines.iter().map(|line| {
            let mut fields = BTreeMap::new();
            for (index, column) in self.columns.iter().enumerate() {
                let Some(column) = column else { continue };
                let cell = line.cells.get(index).unwrap_or("").trim();
                if !cell.is_empty() {
                    let at = self.spot(line.line, index, &column.header);
                    fields.insert(
                        column.key,
                        Field { raw: Raw::Cell(cell), written: cell, at, unit: column.unit.clone() },
                    );
                }
            }
            Entry { table: self.table, at: Spot::line(&self.file, line.line), fields, source: Source::Csv(self) }
        })
    }

    /// Whether the header names a column.
    pub fn has(&self, key: &str) -> bool {
        self.columns.iter().flatten().any(|column| column.key == key)
    }

    /// The order of dates of slashes; `None` when nothing settles it, which has been told.
    pub fn date_order(&self) -> Option<DateOrder> {
        self.date_order
    }

    /// Whether numbers may have a decimal comma: where commas do not part the cells.
    pub fn decimal_comma(&self) -> bool {
        self.decimal_comma
    }

    /// A fault when the header names none of several columns.
    pub fn one_of(&self, desk: &Desk, keys: &[&'static str]) {
        if !keys.iter().any(|key| self.has(key)) {
            let kind = FaultKind::Neither { entry: "the header".to_owned(), keys: keys.to_vec() };
            desk.fault(&Spot::line(&self.file, self.header_line), kind);
        }
    }

    fn spot(&self, line: u64, index: usize, header: &str) -> Spot {
        Spot { column: Some(Column::Header(index, header.to_owned())), ..Spot::line(&self.file, line) }
    }

    fn check_shape(&self, desk: &Desk) {
        for line in &self.lines {
            let extra = line.cells.iter().skip(self.columns.len()).find(|cell| !cell.trim().is_empty());
            if let Some(extra) = extra {
                let kind =
                    FaultKind::ExtraCells { found: line.cells.len(), expected: self.columns.len(), extra: cut(extra) };
                desk.fault(&Spot::line(&self.file, line.line), kind);
            }
        }
    }

    /// The order of the file's dates: its own evidence first, then what the job states. When neither settles it, one
    /// fault; when the file contradicts itself, one fault.
    fn settle_date_order(&self, desk: &Desk, time_columns: &[&'static str]) -> Option<DateOrder> {
        let mut settled: Option<(DateOrder, u64, String)> = None;
        let mut open: Option<(Spot, String, TwoWays)> = None;
        for line in &self.lines {
            for (index, column) in self.columns.iter().enumerate() {
                let Some(column) = column.as_ref().filter(|column| time_columns.contains(&column.key)) else {
                    continue;
                };
                let cell = line.cells.get(index).unwrap_or("").trim();
                let Some(written) = time::read(cell) else { continue };
                match written.date.evidence() {
                    Evidence::Only(order) => match &settled {
                        None => settled = Some((order, line.line, cell.to_owned())),
                        Some((first, other_line, other)) if *first != order => {
                            let kind = FaultKind::MixedDateOrder {
                                found: cut(cell),
                                month_first: order == DateOrder::MonthFirst,
                                other_line: *other_line,
                                other: cut(other),
                            };
                            desk.fault(&self.spot(line.line, index, &column.header), kind);
                            return None;
                        }
                        Some(_) => {}
                    },
                    Evidence::Either { month_first, day_first } if open.is_none() => {
                        let ways = TwoWays {
                            first: month_first.format("%-d %B %Y").to_string(),
                            second: day_first.format("%-d %B %Y").to_string(),
                        };
                        open = Some((self.spot(line.line, index, &column.header), cut(cell), ways));
                    }
                    Evidence::Either { .. } | Evidence::Indifferent => {}
                }
            }
        }
        match (settled, desk.date_order.get(), open) {
            (Some((order, ..)), ..) | (None, Some(order), _) => Some(order),
            (None, None, Some((at, found, ways))) => {
                // A job.toml that cannot be parsed may well state the order.
                if desk.job_known.get() {
                    desk.fault(&at, FaultKind::DateOrder { found, ways });
                }
                None
            }
            // Whatever dates of slashes there are read the same both ways.
            (None, None, None) => Some(DateOrder::MonthFirst),
        }
    }
}

/// The records that hold anything, with their lines.
fn records(desk: &Desk, file: &Arc<str>, text: &str, delimiter: u8) -> Option<Vec<SheetLine>> {
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(text.as_bytes());
    let mut lines = Vec::new();
    let mut cells = csv::StringRecord::new();
    let (mut counted_to, mut line) = (0, 1);
    loop {
        match reader.read_record(&mut cells) {
            Ok(false) => return Some(lines),
            Ok(true) => {}
            Err(error) => {
                desk.fault(&Spot::file(file), FaultKind::Unreadable { reason: error.to_string() });
                return None;
            }
        }
        // A record is said to start where the one before it ended, ahead of any blank lines.
        let start = cells.position().and_then(|position| usize::try_from(position.byte()).ok()).unwrap_or(counted_to);
        let blank = text.get(start..).map_or(0, |rest| rest.len() - rest.trim_start_matches(['\r', '\n']).len());
        line += newlines(text.get(counted_to..start + blank).unwrap_or(""));
        counted_to = start + blank;
        if cells.iter().any(|cell| !cell.trim().is_empty()) {
            lines.push(SheetLine { line, cells: cells.clone() });
        }
    }
}

/// The known column of each header; faults for unknown, missing and repeated ones.
fn header_columns(
    desk: &Desk,
    file: &Arc<str>,
    table: &'static TableInfo,
    header: &SheetLine,
) -> Vec<Option<HeaderColumn>> {
    let mut columns: Vec<Option<HeaderColumn>> = Vec::new();
    for (index, cell) in header.cells.iter().enumerate() {
        let cell = cell.trim();
        let known = known_column(table, cell);
        let at = Spot { column: Some(Column::Header(index, cut(cell))), ..Spot::line(file, header.line) };
        match &known {
            Some(column) => {
                if let Some(first) = columns.iter().flatten().find(|other| other.key == column.key) {
                    let kind = FaultKind::SameColumn {
                        column: column.key,
                        first: first.header.clone(),
                        second: column.header.clone(),
                    };
                    desk.fault(&at, kind);
                }
            }
            // A column without a name and without content is what spreadsheets leave behind.
            None if cell.is_empty() => {}
            None => {
                desk.fault(&at, FaultKind::UnknownColumn(Unknown::new(cell, table.keys.iter().map(|key| key.name))))
            }
        }
        columns.push(known);
    }
    let found: Vec<String> = header.cells.iter().map(|cell| cut(cell.trim())).filter(|cell| !cell.is_empty()).collect();
    // A misspelt column is told once, as unknown.
    let misspelt: Vec<&str> = header
        .cells
        .iter()
        .zip(&columns)
        .filter(|(_, known)| known.is_none())
        .filter_map(|(cell, _)| crate::suggest(cell, table.keys.iter().map(|key| key.name)))
        .collect();
    for key in table.keys.iter().filter(|key| key.need == Need::Required && !misspelt.contains(&key.name)) {
        if !columns.iter().flatten().any(|column| column.key == key.name) {
            let accepts = key.accepts.replace("`\"", "`").replace("\"`", "`").replace(" in quotes", "");
            let kind = FaultKind::MissingColumn { column: key.name, accepts, found: found.clone() };
            desk.fault(&Spot::line(file, header.line), kind);
        }
    }
    columns
}

/// The column a header names: `surface_temp`, `Surface Temp`, `surface_temp_f`, `surface temp (°F)`.
fn known_column(table: &'static TableInfo, header: &str) -> Option<HeaderColumn> {
    let key_of = |name: &str| table.keys.iter().find(|key| plain(key.name) == plain(name)).map(|key| key.name);
    let column = |key, unit: Option<&str>| HeaderColumn {
        key,
        header: cut(header),
        unit: unit.map(str::trim).filter(|unit| !unit.is_empty()).map(unit_word),
    };
    let letters = header.trim_matches(|c: char| c == '%' || c.is_whitespace());
    if let Some(key) = key_of(letters) {
        return Some(column(key, (letters != header.trim()).then_some("%")));
    }
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((name, unit)) = header.strip_suffix(close).and_then(|rest| rest.split_once(open)) {
            return key_of(name).map(|key| column(key, Some(unit)));
        }
    }
    let (name, unit) = header.rsplit_once(['_', ' ', ','])?;
    let is_unit = matches!(plain(unit).as_str(), "f" | "c" | "degf" | "degc" | "pct" | "percent" | "%" | "cfm" | "%rh");
    key_of(name).filter(|_| is_unit).map(|key| column(key, Some(unit)))
}

/// A unit in a header as it is written after a number.
fn unit_word(unit: &str) -> String {
    match plain(unit).as_str() {
        "f" | "degf" => "F".to_owned(),
        "c" | "degc" => "C".to_owned(),
        "pct" | "percent" | "%" | "%rh" => "%".to_owned(),
        _ => unit.to_owned(),
    }
}

fn required(table: &TableInfo) -> Vec<String> {
    table.keys.iter().filter(|key| key.need == Need::Required).map(|key| key.name.to_owned()).collect()
}

/// The separator of the first line that is not blank: the one of comma, semicolon and tab it holds most of.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let count = |separator: char| first.matches(separator).count();
    let mut best = (b',', count(','));
    for (byte, separator) in [(b';', ';'), (b'\t', '\t')] {
        if count(separator) > best.1 {
            best = (byte, count(separator));
        }
    }
    best.0
}

/// Where a quoted cell opens that never closes.
fn open_quote(text: &str, delimiter: u8) -> Option<usize> {
    let mut opened = None;
    let mut at_start = true;
    let mut bytes = text.bytes().enumerate().peekable();
    while let Some((at, byte)) = bytes.next() {
        match (opened, byte) {
            (None, b'"') if at_start => opened = Some(at),
            (None, _) => at_start = byte == delimiter || byte == b'\n' || byte == b'\r',
            (Some(_), b'"') => {
                if bytes.next_if(|(_, next)| *next == b'"').is_none() {
                    opened = None;
                    at_start = false;
                }
            }
            (Some(_), _) => {}
        }
    }
    opened
}

fn lines_before(text: &str, at: usize) -> u64 {
    1 + text.get(..at).map_or(0, newlines)
}

/// Line ends in a text: CRLF, LF or CR, each once.
fn newlines(text: &str) -> u64 {
    let bytes = text.as_bytes();
    let ends = (0..bytes.len()).filter(|at| match bytes[*at] {
        b'\n' => true,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => false,
    });
    as_u64(ends.count())
}
