//! Workbooks to sheets of cells.
//!
//! Everything that decides how much memory a workbook takes is checked before it is opened. What is then still broken
//! in it may stop the reader of the format in its tracks, which ends in a refusal of the file and nothing more.

use std::cell::Cell;
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{Data, DataRef, Reader, SheetType, Xls, Xlsx};

use super::cells::{Cells, DaysFrom};
use super::unpack::{self, Shut};
use super::{compound, ods};

/// The sheets of a workbook by name; one that cannot be read says why.
pub(crate) type Sheets = Vec<(String, Result<Cells, Shut>)>;

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

/// Whether a panic on this thread would now end as the refusal of a workbook.
///
/// A program whose panic hook asks this keeps silent about what the ledger will say.
#[must_use]
pub fn panic_is_a_refusal() -> bool {
    GUARDED.get()
}

/// The form of a workbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Workbook {
    Xlsx,
    Xls,
    Ods,
}

impl Workbook {
    pub fn name(self) -> &'static str {
        match self {
            Self::Xlsx => "a spreadsheet (xlsx)",
            Self::Xls => "a spreadsheet (xls)",
            Self::Ods => "a spreadsheet (ods)",
        }
    }

    /// The sheets of a workbook, in its order. A sheet that cannot be read is an error of its own.
    ///
    /// # Errors
    /// When the workbook is damaged, locked or larger than is read.
    pub fn sheets(self, bytes: &[u8]) -> Result<Sheets, Shut> {
        let whole = |sheets: Vec<Cells>| sheets.into_iter().map(|cells| (cells.name.clone(), Ok(cells))).collect();
        let read = || match self {
            Self::Xlsx => {
                unpack::check_parts(bytes)?;
                xlsx(bytes)
            }
            Self::Xls => {
                compound::check(bytes)?;
                xls(bytes)
            }
            Self::Ods => {
                unpack::check_parts(bytes)?;
                ods::sheets(bytes).map(whole)
            }
        };
        GUARDED.set(true);
        let sheets = catch_unwind(AssertUnwindSafe(read)).unwrap_or_else(|_| Err(self.damaged()));
        GUARDED.set(false);
        sheets
    }

    fn damaged(self) -> Shut {
        Shut::new(
            format!("{}, damaged or incomplete", self.name()),
            "copy or download it again, or open it and save each sheet as CSV",
        )
    }
}

fn locked() -> Shut {
    Shut::new("a spreadsheet locked with a password", "open it and save each sheet as CSV")
}

fn xlsx(bytes: &[u8]) -> Result<Sheets, Shut> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| match error {
        calamine::XlsxError::Password => locked(),
        _ => Workbook::Xlsx.damaged(),
    })?;
    let days_from = if book.has_1904_epoch() { DaysFrom::Y1904 } else { DaysFrom::Y1900 };
    let names: Vec<String> = sheet_names(book.sheets_metadata());
    Ok(names
        .into_iter()
        .map(|name| {
            let cells = xlsx_sheet(&mut book, &name, days_from);
            (name, cells)
        })
        .collect())
}

/// One sheet, cell by cell: what lies between the cells takes no room.
fn xlsx_sheet(book: &mut Xlsx<Cursor<&[u8]>>, name: &str, days_from: DaysFrom) -> Result<Cells, Shut> {
    let damaged = |_| Workbook::Xlsx.damaged();
    let mut cells = Cells::new(name, days_from);
    let mut reader = book.worksheet_cells_reader(name).map_err(damaged)?;
    while let Some(cell) = reader.next_cell().map_err(damaged)? {
        let (row, column) = cell.get_position();
        match cell.get_value() {
            DataRef::Empty => {}
            DataRef::Int(value) => cells.text(row, column, &value.to_string())?,
            DataRef::Float(value) => cells.number(row, column, *value)?,
            DataRef::String(text) => cells.text(row, column, text)?,
            DataRef::SharedString(text) => cells.text(row, column, text)?,
            DataRef::Bool(value) => cells.text(row, column, if *value { "TRUE" } else { "FALSE" })?,
            DataRef::DateTime(date) if date.is_duration() => cells.length(row, column, date.as_f64())?,
            DataRef::DateTime(date) => cells.serial(row, column, date.as_f64())?,
            DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => cells.text(row, column, text)?,
            DataRef::Error(error) => cells.text(row, column, &error.to_string())?,
        }
    }
    Ok(cells)
}

fn xls(bytes: &[u8]) -> Result<Sheets, Shut> {
    let mut book: Xls<_> = Xls::new(Cursor::new(bytes)).map_err(|error| match error {
        calamine::XlsError::Password => locked(),
        _ => Workbook::Xls.damaged(),
    })?;
    let days_from = if book.has_1904_epoch() { DaysFrom::Y1904 } else { DaysFrom::Y1900 };
    let names: Vec<String> = sheet_names(book.sheets_metadata());
    Ok(names
        .into_iter()
        .map(|name| {
            let cells = xls_sheet(&mut book, &name, days_from);
            (name, cells)
        })
        .collect())
}

fn xls_sheet(book: &mut Xls<Cursor<&[u8]>>, name: &str, days_from: DaysFrom) -> Result<Cells, Shut> {
    let mut cells = Cells::new(name, days_from);
    let range = book.worksheet_range(name).map_err(|_| Workbook::Xls.damaged())?;
    let Some((first_row, first_column)) = range.start() else { return Ok(cells) };
    for (row, column, value) in range.used_cells() {
        let place = |first: u32, at: usize| u32::try_from(at).ok().and_then(|at| first.checked_add(at));
        let (Some(row), Some(column)) = (place(first_row, row), place(first_column, column)) else { continue };
        match value {
            Data::Empty => {}
            #[allow(clippy::cast_precision_loss)]
            Data::Int(value) => cells.number(row, column, *value as f64)?,
            Data::Float(value) => cells.number(row, column, *value)?,
            Data::String(text) => cells.text(row, column, text)?,
            Data::Bool(value) => cells.text(row, column, if *value { "TRUE" } else { "FALSE" })?,
            Data::DateTime(date) if date.is_duration() => cells.length(row, column, date.as_f64())?,
            Data::DateTime(date) => cells.serial(row, column, date.as_f64())?,
            Data::DateTimeIso(text) | Data::DurationIso(text) => cells.text(row, column, text)?,
            Data::Error(error) => cells.text(row, column, &error.to_string())?,
        }
    }
    Ok(cells)
}

fn sheet_names(sheets: &[calamine::Sheet]) -> Vec<String> {
    sheets.iter().filter(|sheet| sheet.typ == SheetType::WorkSheet).map(|sheet| sheet.name.clone()).collect()
}
