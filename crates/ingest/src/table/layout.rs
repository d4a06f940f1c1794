//! Where the log is in a table: preamble, header rows, first row of data, and a name for every column.

use rayon::prelude::*;

use super::{Delimiter, Table};
use crate::columns::heading::tokens;
use crate::notes::{Notes, quoted};
use crate::number::{Mark, Number, marked, number};
use crate::time::source::Count;
use crate::time::stamp::Stamp;
use crate::words::{longest, words};

/// Rows looked at to find the shape, and cells of them: wide tables need fewer rows.
const SAMPLE_ROWS: usize = 4000;
const SAMPLE_CELLS: usize = 40_000;
/// Rows of names above the data at most.
const HEADER_ROWS: usize = 4;

/// What one cell looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Empty,
    Number,
    /// A date, with or without a time.
    Dated,
    /// A time of day alone, or hours and minutes since a start.
    Time,
    Missing,
    Word,
}

impl Kind {
    pub fn of(cell: &str) -> Self {
        if cell.is_empty() {
            return Self::Empty;
        }
        let first = cell.as_bytes()[0];
        let numeric = first.is_ascii_digit() || matches!(first, b'-' | b'+' | b'.' | b',' | 0xE2);
        if numeric {
            let plain = cell.bytes().all(|b| b.is_ascii_digit());
            if plain && cell.len() >= 8 && Stamp::parse(cell).is_some() {
                return Self::Dated;
            }
            for mark in [Mark::Point, Mark::Comma] {
                if let Number::Value(_, rest) = number(cell, mark) {
                    let (unit, _) = if rest.is_empty() { ("", "") } else { marked(cell, rest) };
                    if unit.is_empty() || words().unit(unit).is_some() {
                        return Self::Number;
                    }
                }
            }
        }
        if cell.len() <= 48
            && let Some(stamp) = Stamp::parse(cell)
        {
            return if stamp.date.is_some() { Self::Dated } else { Self::Time };
        }
        if numeric && Count::Clock.micros(cell).is_some() {
            return Self::Time;
        }
        if words().is_missing(cell) { Self::Missing } else { Self::Word }
    }
}

/// The shape of a table that holds a log.
#[derive(Debug, Clone, Default)]
pub(crate) struct Layout {
    /// Name of each column; `column 3` where the file gives none.
    pub names: Vec<String>,
    /// Other names of each column, from further header rows.
    pub aliases: Vec<Vec<String>>,
    /// Text of the units row for each column; empty where there is none.
    pub units: Vec<String>,
    /// Rows that make the header, in file order.
    pub header: Vec<usize>,
    /// First row of data.
    pub first: usize,
    /// The commonest number of cells in a row of data.
    pub width: usize,
    /// Rows before the header.
    pub preamble: usize,
    /// Whether the names come from the file.
    pub named: bool,
    /// What separates the cells.
    pub delimiter: Delimiter,
    /// Whether commas seem to be decimal marks and delimiters at once.
    pub torn_decimals: bool,
}

/// Why a table holds no log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum NoLog {
    /// Rows, but none with numbers beside a time.
    Rows,
    /// A header of a log, and no row under it.
    HeaderOnly { line: u64 },
}

/// Finds the log in a table.
pub(crate) fn layout(table: &Table<'_>, delimiter: Delimiter, notes: &mut Notes) -> Result<Layout, NoLog> {
    let body = Body::find(table);
    let Some(first) = body.first(table) else {
        return Err(header_only(table).map_or(NoLog::Rows, |line| NoLog::HeaderOnly { line }));
    };
    let width = body.width.max(2);
    let mut layout = Layout { first, width, delimiter, preamble: first, ..Layout::default() };
    let mut names_row = None;
    let mut units_row = None;
    let mut group_row = None;
    let mut other_rows = Vec::new();
    let mut row = first;
    let mut blanks = 0;
    while row > 0 && layout.header.len() < HEADER_ROWS {
        row -= 1;
        if table.is_blank(row) {
            blanks += 1;
            if blanks > 2 || !layout.header.is_empty() {
                break;
            }
            continue;
        }
        if !is_wordy(table, row, delimiter) || table.filled_width(row) < 2 && width > 1 {
            break;
        }
        // Between blanks a sentence looks like many cells.
        let blanks = matches!(delimiter, Delimiter::Blanks | Delimiter::Places);
        if blanks && table.pieces(row, delimiter).len() < 2 && (names_row.is_some() || !is_names(table.whole(row))) {
            break;
        }
        let role = if is_units_row(table, row) && units_row.is_none() {
            units_row = Some(row);
            true
        } else if names_row.is_none() {
            // The row next to the data: it names at least half of the columns.
            let fits = table.filled_width(row) * 2 >= width || delimiter == Delimiter::Blanks;
            if fits {
                names_row = Some(row);
            }
            fits
        } else if is_more_names(table, row, width) {
            other_rows.push(row);
            true
        } else if group_row.is_none() && is_group_row(table, row, names_row.unwrap_or(row), width) {
            group_row = Some(row);
            true
        } else {
            false
        };
        if !role {
            break;
        }
        layout.header.push(row);
        layout.preamble = row;
    }
    layout.header.reverse();
    layout.named = names_row.is_some();
    let shift = names_row.map_or(Shift::None, |row| shift(table, &body, row, first, width, delimiter));
    let line = |row: Option<usize>| match row {
        Some(row) => shift.apply(&header_cells(table, row, width, delimiter)),
        None => Vec::new(),
    };
    let names = line(names_row);
    let units = line(units_row);
    let groups = group_row.map(|row| fill_right(&line(Some(row)))).unwrap_or_default();
    let columns = width.max(names.len());
    for column in 0..columns {
        let name = names.get(column).map_or("", |name| name.trim_start_matches('#').trim());
        let group = groups.get(column).map_or("", String::as_str);
        let name = match (name.is_empty(), group.is_empty()) {
            (true, _) => format!("column {}", column + 1),
            (false, true) => name.to_owned(),
            (false, false) => format!("{group} {name}"),
        };
        layout.names.push(name);
        layout.units.push(units.get(column).cloned().unwrap_or_default());
        layout.aliases.push(
            other_rows
                .iter()
                .rev()
                .filter_map(|row| shift.apply(&header_cells(table, *row, width, delimiter)).get(column).cloned())
                .filter(|name| !name.is_empty())
                .collect(),
        );
    }
    layout.torn_decimals = delimiter == Delimiter::Comma
        && layout.named
        && names.len() >= 2
        && width == 1 + 2 * (names.len() - 1)
        && width > names.len();
    describe(table, &layout, units_row, shift, notes);
    Ok(layout)
}

fn describe(table: &Table<'_>, layout: &Layout, units_row: Option<usize>, shift: Shift, notes: &mut Notes) {
    if layout.preamble > 0 {
        notes.settled(
            "preamble",
            format!("lines 1 to {}", table.line(layout.preamble).saturating_sub(1)),
            "rows before the names that do not have the shape of the data",
        );
    }
    let first = table.line(layout.first);
    if layout.header.is_empty() {
        notes.settled("header", "none", format!("data begin in line {first} and no row of names stands above"));
        return;
    }
    let lines: Vec<String> = layout.header.iter().map(|row| table.line(*row).to_string()).collect();
    let mut reason = format!("words above the numbers, which begin in line {first}");
    if let Some(row) = units_row {
        reason.push_str(&format!("; line {} holds units", table.line(row)));
    }
    notes.settled("header", format!("line {}", lines.join(", ")), reason);
    match shift {
        Shift::None => {}
        Shift::First => notes.settled(
            "unnamed column",
            "the first",
            "the header has one name less than the rows have cells, and its time name fits one column further right",
        ),
        Shift::After(column) => notes.settled(
            "unnamed column",
            format!("column {}", column + 2),
            "the header has one name less than the rows have cells; date and time stand in two cells under one name",
        ),
    }
}

/// What is known of the rows of data.
pub(super) struct Body {
    /// The column of dates, where there is one.
    dated: Option<usize>,
    /// The commonest number of cells.
    width: usize,
}

impl Body {
    pub fn find(table: &Table<'_>) -> Self {
        let widest = (0..table.rows().min(400)).map(|row| table.width(row)).max().unwrap_or(1);
        let rows = table.rows().min(SAMPLE_ROWS).min((SAMPLE_CELLS / widest.max(1)).max(400));
        let kinds: Vec<Vec<Kind>> = (0..rows).into_par_iter().map(|row| kinds(table, row)).collect();
        let mut dated: Vec<usize> = Vec::new();
        for row in kinds.iter().filter(|row| row.len() >= 2) {
            for (column, kind) in row.iter().enumerate().take(200) {
                if *kind == Kind::Dated {
                    if dated.len() <= column {
                        dated.resize(column + 1, 0);
                    }
                    dated[column] += 1;
                }
            }
        }
        let most = dated.iter().copied().max().unwrap_or(0);
        let column = dated.iter().position(|count| most > 0 && *count * 10 >= most * 9);
        // A date column of a numeric table fills most of its rows; a single date among numbers is a fact.
        let plain = Self { dated: None, width: 2 };
        let numeric = kinds.iter().filter(|row| plain.holds(row)).count();
        let dated = column.filter(|_| most * 4 >= numeric);
        let mut widths: std::collections::BTreeMap<usize, usize> = std::collections::BTreeMap::new();
        let loose = Self { dated, width: 2 };
        for row in kinds.iter().filter(|row| loose.holds(row)) {
            *widths.entry(row.len()).or_default() += 1;
        }
        let width = widths.into_iter().max_by_key(|(width, rows)| (*rows, *width)).map_or(0, |(width, _)| width);
        Self { dated, width }
    }

    /// Whether a row has the shape of data.
    pub fn is_data(&self, table: &Table<'_>, row: usize) -> bool {
        self.holds(&kinds(table, row))
    }

    /// Whether cells of these kinds have the shape of data.
    fn holds(&self, row: &[Kind]) -> bool {
        if row.len() < 2 || row.len() + 1 < self.width {
            return false;
        }
        if let Some(dated) = self.dated {
            let beside = |(column, kind): (usize, &Kind)| column != dated && !matches!(kind, Kind::Word | Kind::Dated);
            return row.get(dated) == Some(&Kind::Dated) && row.iter().enumerate().any(beside);
        }
        let (mut numbers, mut clocks, mut typed, mut filled) = (0, 0, 0, 0);
        for kind in row {
            match kind {
                Kind::Empty => {}
                Kind::Number => {
                    numbers += 1;
                    typed += 1;
                    filled += 1;
                }
                Kind::Word => filled += 1,
                kind => {
                    clocks += usize::from(*kind == Kind::Time);
                    typed += 1;
                    filled += 1;
                }
            }
        }
        // Flags, units and names beside the numbers may be many in a row that begins with one.
        let begins = matches!(row.first(), Some(Kind::Number | Kind::Time));
        let enough = if begins { typed * 3 >= filled } else { typed * 2 >= filled };
        numbers >= 1 && numbers + clocks >= 2 && enough
    }

    /// The first row of data: another one follows soon, or nothing does.
    fn first(&self, table: &Table<'_>) -> Option<usize> {
        let rows = table.rows();
        (0..rows).find(|row| {
            self.is_data(table, *row) && {
                let mut next = (row + 1..rows).filter(|r| !table.is_blank(*r)).take(3).peekable();
                next.peek().is_none() || next.any(|r| self.is_data(table, r)) || self.only(table, *row)
            }
        })
    }

    fn only(&self, table: &Table<'_>, row: usize) -> bool {
        (row + 1..table.rows().min(row + SAMPLE_ROWS)).all(|r| !self.is_data(table, r))
    }
}

/// What the cells of a row look like.
fn kinds(table: &Table<'_>, row: usize) -> Vec<Kind> {
    table.row(row).map(Kind::of).collect()
}

/// Whether a row is mostly words.
pub(super) fn is_wordy(table: &Table<'_>, row: usize, delimiter: Delimiter) -> bool {
    let (mut filled, mut solid, mut letters) = (0_usize, 0_usize, false);
    // `Hall 1  Hall 2` between blanks is two names, not words and numbers.
    let names = if delimiter == Delimiter::Blanks { table.pieces(row, delimiter) } else { table.row(row).collect() };
    for cell in names {
        match Kind::of(cell) {
            Kind::Empty => continue,
            Kind::Number | Kind::Dated | Kind::Time => solid += 1,
            Kind::Missing | Kind::Word => letters |= cell.chars().any(|c| c.is_alphabetic() || matches!(c, '%' | '°')),
        }
        filled += 1;
    }
    letters && solid * 4 <= filled
}

/// Whether half of the words of a line, one blank apart, are names of quantities and times or their units.
fn is_names(line: &str) -> bool {
    let (mut all, mut known) = (0_usize, 0_usize);
    for word in line.split_whitespace() {
        let tokens = tokens(word);
        let named = longest(&words().quantities, &tokens).is_some() || longest(&words().time, &tokens).is_some();
        all += 1;
        known += usize::from(named || words().unit(word.trim_matches(['(', ')', '[', ']'])).is_some());
    }
    known * 2 >= all && !line.contains(": ")
}

/// Whether a row holds units: half of its words are units, one at least is no plain letter, and none names a time.
fn is_units_row(table: &Table<'_>, row: usize) -> bool {
    let (mut filled, mut units, mut plain) = (0_usize, 0_usize, true);
    for cell in table.row(row).filter(|cell| !cell.is_empty()) {
        filled += 1;
        let bare = cell.trim_matches(['(', ')', '[', ']']);
        if words().unit(bare).is_some() {
            units += 1;
            plain &= bare.len() == 1 && bare != "%";
        } else if longest(&words().time, &tokens(cell)).is_some_and(|found| found.len == tokens(cell).len())
            && !matches!(bare, "h" | "min" | "s" | "hh" | "mm")
            && bare.len() > 2
        {
            return false;
        }
    }
    // Other units (`mm`, `km/h`, `W/m2`) are short and not in the table.
    let short = table.row(row).filter(|cell| !cell.is_empty() && cell.chars().count() <= 6).count();
    // `K` or `F` alone may be the name of a column; below a name and with none for the time they are units.
    let below_names =
        |cell: usize| row > 0 && !table.cell(row, cell).is_empty() && table.cell(row - 1, cell).is_empty();
    if plain && units == filled && table.cell(row, 0).is_empty() && row > 0 && !table.is_blank(row - 1) {
        return units >= 1 && !(0..table.width(row)).any(below_names);
    }
    units >= 1 && !plain && (units * 2 >= filled || (units * 4 >= filled && short * 4 >= filled * 3))
}

/// Whether a row above the names is another row of names: as wide as the data and filled.
fn is_more_names(table: &Table<'_>, row: usize, width: usize) -> bool {
    let filled = table.row(row).filter(|cell| !cell.is_empty()).count();
    if table.width(row).abs_diff(width) > 1 || filled * 4 < width * 3 {
        return false;
    }
    // Few columns could be a pair of words in the preamble: such a row must speak of a quantity or a time.
    width >= 5
        || table.row(row).any(|cell| {
            let tokens = tokens(cell);
            longest(&words().quantities, &tokens).is_some() || longest(&words().time, &tokens).is_some()
        })
}

/// Whether a sparse row above repeated names says which group of columns is which.
fn is_group_row(table: &Table<'_>, row: usize, names: usize, width: usize) -> bool {
    let filled = table.row(row).filter(|cell| !cell.is_empty()).count();
    let mut seen: Vec<&str> = table.row(names).filter(|cell| !cell.is_empty()).collect();
    let all = seen.len();
    seen.sort_unstable();
    seen.dedup();
    filled >= 2 && table.width(row).abs_diff(width) <= 1 && seen.len() < all && filled < width
}

fn fill_right(cells: &[String]) -> Vec<String> {
    let mut last = String::new();
    cells
        .iter()
        .map(|cell| {
            if !cell.is_empty() {
                last.clone_from(cell);
            }
            last.clone()
        })
        .collect()
}

/// How names go to columns where there is one name less than columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shift {
    None,
    /// The first column has no name.
    First,
    /// The column after this one has no name.
    After(usize),
}

impl Shift {
    fn apply(self, names: &[String]) -> Vec<String> {
        let mut names = names.to_vec();
        match self {
            Self::None => {}
            Self::First => names.insert(0, String::new()),
            Self::After(column) => names.insert((column + 1).min(names.len()), String::new()),
        }
        names
    }
}

fn shift(table: &Table<'_>, body: &Body, row: usize, first: usize, width: usize, delimiter: Delimiter) -> Shift {
    let names = header_cells(table, row, width, delimiter);
    let rows: Vec<usize> =
        (first..table.rows()).filter(|r| table.width(*r) == width && body.is_data(table, *r)).take(20).collect();
    if names.len() + 1 != width || rows.is_empty() || rows.iter().all(|r| table.cell(*r, width - 1).is_empty()) {
        return Shift::None;
    }
    let time_name = names.iter().position(|name| {
        let tokens = tokens(name);
        longest(&words().time, &tokens).is_some_and(|found| found.len == tokens.len())
    });
    if let Some(dated) = body.dated {
        let dates_alone = rows.iter().all(|r| Stamp::parse(table.cell(*r, dated)).is_some_and(|s| s.time.is_none()));
        let times_next = rows.iter().all(|r| Kind::of(table.cell(*r, dated + 1)) == Kind::Time);
        if dates_alone && times_next && time_name == Some(dated) {
            return Shift::After(dated);
        }
        return if dated > 0 && time_name.is_some_and(|name| name + 1 == dated) { Shift::First } else { Shift::None };
    }
    let numbers: Vec<i64> = rows.iter().filter_map(|r| table.cell(*r, 0).parse().ok()).collect();
    let counts = numbers.len() == rows.len() && numbers.windows(2).all(|pair| pair[1] == pair[0] + 1);
    if counts { Shift::First } else { Shift::None }
}

/// The names of a header row. In a table of blanks, names may themselves hold single blanks.
fn header_cells(table: &Table<'_>, row: usize, width: usize, delimiter: Delimiter) -> Vec<String> {
    let cells: Vec<String> = table.row(row).map(str::to_owned).collect();
    if delimiter == Delimiter::Blanks && cells.len() >= width {
        let raw = table.whole(row);
        let wide: Vec<String> =
            raw.replace('\t', "  ").split("  ").map(|name| name.trim().to_owned()).filter(|n| !n.is_empty()).collect();
        if wide.len() < cells.len() && (wide.len() == width || wide.len() + 1 == width) {
            return wide;
        }
        let joined = with_brackets(&cells);
        if joined.len() == width || joined.len() + 1 == width {
            return joined;
        }
    }
    cells
}

/// Names with what stands in brackets behind them.
fn with_brackets(cells: &[String]) -> Vec<String> {
    let mut joined: Vec<String> = Vec::new();
    for cell in cells {
        match joined.last_mut() {
            Some(name) if cell.starts_with(['(', '[']) => *name = format!("{name} {cell}"),
            _ => joined.push(cell.clone()),
        }
    }
    joined
}

/// The line of a header without data: a row that names a time and a quantity.
fn header_only(table: &Table<'_>) -> Option<u64> {
    (0..table.rows().min(200))
        .filter(|row| (2..=60).contains(&table.width(*row)))
        .find(|row| {
            let named: Vec<Vec<String>> = table.row(*row).map(tokens).collect();
            // Whole cells only: prose has such words too.
            let time =
                named.iter().any(|t| t.len() <= 3 && longest(&words().time, t).is_some_and(|f| f.len == t.len()));
            let quantity = named.iter().any(|t| t.len() <= 4 && longest(&words().quantities, t).is_some());
            time && quantity && table.row(*row).all(|cell| cell.chars().count() <= 40)
        })
        .map(|row| table.line(row))
}

/// Names of columns for a message.
pub(crate) fn shown(layout: &Layout) -> String {
    quoted(layout.names.iter().map(String::as_str), 12)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, delimiter: Delimiter) -> Result<Layout, NoLog> {
        layout(&Table::split(text, delimiter), delimiter, &mut Notes::default())
    }

    #[test]
    fn a_preamble_of_pairs_and_a_header() {
        let layout = read(
            "Serial,123\nStart,2024-01-01 00:00\n\nTime,Temp\n2024-01-01 00:00,21\n2024-01-01 00:10,22\n",
            Delimiter::Comma,
        )
        .unwrap();
        assert_eq!(layout.names, ["Time", "Temp"]);
        assert_eq!((layout.first, layout.preamble), (4, 3));
    }

    #[test]
    fn names_units_names() {
        let layout = read(
            "date;dry_bulb;humidity;rain\nid;Grad C;%;mm\nDatum;Temperatur;Feuchte;Regen\n01.04.20 08:00;-3,1;59;---\n",
            Delimiter::Semicolon,
        )
        .unwrap();
        assert_eq!(layout.names, ["Datum", "Temperatur", "Feuchte", "Regen"]);
        assert_eq!(layout.units, ["id", "Grad C", "%", "mm"]);
        assert_eq!(layout.aliases[1], ["dry_bulb"]);
        assert_eq!(layout.header, [0, 1, 2]);
    }

    #[test]
    fn a_short_header_leaves_the_row_number_unnamed() {
        let layout =
            read("\"date\",\"T\",\"RH\"\n\"1\",\"2015-02-02 14:19:00\",23.7,26.2\n", Delimiter::Comma).unwrap();
        assert_eq!(layout.names, ["column 1", "date", "T", "RH"]);
    }

    #[test]
    fn date_and_time_under_one_name() {
        let layout = read("Date/Time  Temp C  RH\n2024-01-01 00:00 21 45\n2024-01-01 00:10 21 45\n", Delimiter::Blanks);
        assert_eq!(layout.unwrap().names, ["Date/Time", "column 2", "Temp C", "RH"]);
    }

    #[test]
    fn no_header() {
        let layout = read("2024-01-01 00:00,21,45\n2024-01-01 00:10,22,46\n", Delimiter::Comma).unwrap();
        assert!(!layout.named);
        assert_eq!(layout.names, ["column 1", "column 2", "column 3"]);
    }

    #[test]
    fn groups_above_repeated_names() {
        let layout = read(
            ",Kitchen,,Bath,\nTime,Temp,RH,Temp,RH\n2024-01-01 00:00,21,45,22,50\n2024-01-01 00:10,21,45,22,50\n",
            Delimiter::Comma,
        )
        .unwrap();
        assert_eq!(layout.names, ["Time", "Kitchen Temp", "Kitchen RH", "Bath Temp", "Bath RH"]);
    }

    #[test]
    fn decimal_commas_between_commas() {
        let layout =
            read("t,T,RH\n2024-01-01 00:00,21,5,45,1\n2024-01-01 00:10,21,6,45,2\n", Delimiter::Comma).unwrap();
        assert!(layout.torn_decimals);
    }

    #[test]
    fn no_log() {
        assert_eq!(read("a,b\nc,d\n", Delimiter::Comma).unwrap_err(), NoLog::Rows);
        assert_eq!(read("x\nTime,Temp,RH\n", Delimiter::Comma).unwrap_err(), NoLog::HeaderOnly { line: 2 });
    }
}
