//! The tables as one spreadsheet: a sheet each, numbers as numbers, days and instants as real dates.
//!
//! A spreadsheet knows no zones: instants are wall time in the job's zone, as its first sheet says; where the offset
//! changes within the record each has its offset in a column beside it.

use chrono::{DateTime, Datelike, NaiveDateTime, Timelike, Utc};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError};

use super::columns::{Kind, column};
use super::sheet::{Field, Sheet};
use crate::Error;
use crate::model::shown::Shown;
use crate::model::tool;
use crate::text_filter::for_any_faces;

/// Name of the workbook in the report folder.
pub const WORKBOOK: &str = "tables.xlsx";

/// Characters a cell holds at most (ECMA-376 consumers; stated by the library as the format's limit).
const MOST_CHARACTERS: usize = 32_767;

/// Name of the first sheet.
const ABOUT: &str = "about";

/// The workbook.
///
/// # Arguments
/// * `title`: what it is about.
/// * `clock`: the report's clock, which stands as the time of its making, so that equal reports are equal files.
///
/// # Errors
/// [`Error::Workbook`] when a table does not fit into a sheet or the file cannot be written.
pub fn workbook(title: &str, sheets: &[Sheet], shown: &Shown, clock: DateTime<Utc>) -> Result<Vec<u8>, Error> {
    let mut workbook = Workbook::new();
    let made = ExcelDateTime::from_timestamp(clock.timestamp()).map_err(|fault| failed(ABOUT, &fault))?;
    let properties = DocProperties::new().set_title(cut(title)).set_author(tool()).set_creation_datetime(&made);
    workbook.set_properties(&properties);
    about(workbook.add_worksheet(), title, shown).map_err(|fault| failed(ABOUT, &fault))?;
    for sheet in sheets {
        fill(workbook.add_worksheet(), sheet, shown).map_err(|fault| failed(sheet.name, &fault))?;
    }
    workbook.save_to_buffer().map_err(|fault| failed(WORKBOOK, &fault))
}

fn about(page: &mut Worksheet, title: &str, shown: &Shown) -> Result<(), XlsxError> {
    page.set_name(ABOUT)?;
    page.set_column_width(0, 24)?.set_column_width(1, 90)?;
    let zone = format!("{}; a cell with an instant is wall time there", shown.zone);
    let lines = [
        ("report", cut(title)),
        ("made by", tool()),
        ("time zone", zone),
        ("units", "in the names of the columns; scale_unit is the unit of the row".to_owned()),
        ("empty cell", "the record does not tell".to_owned()),
    ];
    for (row, (name, value)) in (0_u32..).zip(lines) {
        page.write_string_with_format(row, 0, name, &Format::new().set_bold())?;
        page.write_string(row, 1, value)?;
    }
    Ok(())
}

fn fill(page: &mut Worksheet, sheet: &Sheet, shown: &Shown) -> Result<(), XlsxError> {
    let head = Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top);
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let instant = Format::new().set_num_format("yyyy-mm-dd hh:mm:ss");
    page.set_name(sheet.name)?;
    page.set_freeze_panes(1, 0)?;
    let mut place = 0_u16;
    for (index, name) in sheet.header.iter().enumerate() {
        let kind = column(sheet.name, name).kind;
        page.write_string_with_format(0, place, name, &head)?;
        page.set_column_width(place, width(kind, name))?;
        let with_offset = kind == Kind::Instant && shown.offset_changes;
        if with_offset {
            page.write_string_with_format(0, place + 1, format!("{name}_utc_offset"), &head)?;
        }
        for (row, cells) in (1_u32..).zip(&sheet.rows) {
            match &cells[index] {
                Field::Empty => {}
                Field::Text(text) => {
                    page.write_string(row, place, cut(&for_any_faces(text).text))?;
                }
                Field::Number(number) => match number.parse::<f64>() {
                    Ok(value) => {
                        page.write_number(row, place, value)?;
                    }
                    Err(_) => {
                        page.write_string(row, place, number)?;
                    }
                },
                Field::Day(date) => {
                    page.write_datetime_with_format(row, place, &excel(date.and_time(chrono::NaiveTime::MIN))?, &day)?;
                }
                Field::Instant { local, iso } => {
                    page.write_datetime_with_format(row, place, &excel(*local)?, &instant)?;
                    if with_offset {
                        page.write_string(row, place + 1, iso.get(19..).unwrap_or_default())?;
                    }
                }
            }
        }
        place += if with_offset { 2 } else { 1 };
    }
    if !sheet.rows.is_empty() && place > 0 {
        page.autofilter(0, 0, sheet.rows.len() as u32, place - 1)?;
    }
    Ok(())
}

fn excel(local: NaiveDateTime) -> Result<ExcelDateTime, XlsxError> {
    let year = u16::try_from(local.year()).unwrap_or(u16::MAX);
    let (hour, minute, second) = (local.hour() as u16, local.minute() as u8, local.second());
    ExcelDateTime::from_ymd(year, local.month() as u8, local.day() as u8)?.and_hms(hour, minute, f64::from(second))
}

fn width(kind: Kind, name: &str) -> f64 {
    let least: f64 = match kind {
        Kind::Text => 20.0,
        Kind::Instant => 19.0,
        Kind::Day => 11.0,
        Kind::YesNo | Kind::Whole | Kind::Number => 9.0,
    };
    least.max((name.chars().count() as f64 / 2.0).min(20.0))
}

fn cut(text: &str) -> String {
    crate::model::shown::cut(text, MOST_CHARACTERS)
}

fn failed(sheet: &str, fault: &XlsxError) -> Error {
    Error::Workbook { sheet: sheet.to_owned(), reason: fault.to_string() }
}
