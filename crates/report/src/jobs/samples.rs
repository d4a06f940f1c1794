//! The samples of one job as Parquet files by civil day, for a set whose folders name job and day.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use chrono_tz::Tz;
use grainfall_record::{LoggerSeries, Quantity, TidyFrame};
use polars::prelude::{Column, DataFrame, DataType, IntoColumn, ParquetCompression, ParquetWriter, Series};

use crate::Error;

/// The samples of each civil day of a zone as one Parquet file.
///
/// Every file has the same columns, so that a reader can take the set as one table: `time`, `logger`, every quantity
/// (null where no logger has it), `file`, `row`; `logger` and `file` are plain text.
///
/// # Errors
/// [`Error::Samples`] when the frame library refuses.
pub fn by_day(frame: &TidyFrame, tz: Tz) -> Result<BTreeMap<NaiveDate, Vec<u8>>, Error> {
    let mut days: BTreeMap<NaiveDate, Vec<LoggerSeries>> = BTreeMap::new();
    for one in frame.series() {
        let mut rows: BTreeMap<NaiveDate, Vec<usize>> = BTreeMap::new();
        for (at, time) in one.time.iter().enumerate() {
            rows.entry(time.with_timezone(&tz).date_naive()).or_default().push(at);
        }
        for (day, rows) in rows {
            days.entry(day).or_default().push(picked(one, &rows));
        }
    }
    days.into_iter().map(|(day, series)| Ok((day, parquet(series)?))).collect()
}

/// Some samples of a series.
fn picked(one: &LoggerSeries, rows: &[usize]) -> LoggerSeries {
    LoggerSeries {
        logger: one.logger.clone(),
        time: rows.iter().map(|at| one.time[*at]).collect(),
        values: one
            .values
            .iter()
            .map(|(quantity, column)| (*quantity, rows.iter().map(|at| column[*at]).collect()))
            .collect(),
        file: rows.iter().map(|at| one.file[*at]).collect(),
        row: rows.iter().map(|at| one.row[*at]).collect(),
        file_table: one.file_table.clone(),
    }
}

fn parquet(series: Vec<LoggerSeries>) -> Result<Vec<u8>, Error> {
    let fault = |fault: &dyn std::fmt::Display| Error::Samples { reason: fault.to_string() };
    let data = TidyFrame::new(series).and_then(|frame| frame.to_data_frame()).map_err(|error| fault(&error))?;
    let rows = data.height();
    let column = |name: &str| data.column(name).ok().cloned();
    let text = |name: &str| -> Result<Column, Error> {
        let column = data.column(name).map_err(|error| fault(&error))?;
        column.cast(&DataType::String).map_err(|error| fault(&error))
    };
    let mut columns: Vec<Column> = column("time").into_iter().collect();
    columns.push(text("logger")?);
    columns.extend(Quantity::ALL.map(|quantity| {
        let name = quantity.column();
        column(name).unwrap_or_else(|| Series::full_null(name.into(), rows, &DataType::Float64).into_column())
    }));
    columns.push(text("file")?);
    columns.extend(column("row"));
    let mut data = DataFrame::new(rows, columns).map_err(|error| fault(&error))?;
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes)
        .with_compression(ParquetCompression::Zstd(None))
        .finish(&mut data)
        .map_err(|error| fault(&error))?;
    Ok(bytes)
}
