//! One row per sample per logger: as a data frame, and as plain series of one logger each.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use polars::prelude::{
    Categorical8Type, Categorical16Type, Categorical32Type, CategoricalChunked, CategoricalPhysical, Column, DataFrame,
    DataType, FrozenCategories, Int64Chunked, IntoColumn, IntoSeries, NamedFrom, NewChunkedArray, PolarsError, Series,
    TimeUnit, TimeZone,
};

use crate::{FileTable, Quantity, RowRef};

/// Version of the tidy frame's columns; it changes when a reader of an older frame would misread a newer one.
pub const SCHEMA_VERSION: u32 = 1;

/// Why a frame could not be made or read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FrameError {
    /// Columns of one series differ in length.
    #[error("logger `{logger}`: column `{column}` has {found} values for {expected} instants")]
    Length {
        /// The logger.
        logger: String,
        /// The column.
        column: &'static str,
        /// Values found.
        found: usize,
        /// Instants in the series.
        expected: usize,
    },
    /// Instants of one series are not strictly increasing.
    #[error("logger `{logger}`: instants are not strictly increasing at sample {index}")]
    Order {
        /// The logger.
        logger: String,
        /// Position in the series.
        index: usize,
    },
    /// A value is NaN or infinite; a missing value is null.
    #[error("logger `{logger}`: column `{column}` holds a number that is not finite at sample {index}")]
    NotFinite {
        /// The logger.
        logger: String,
        /// The column.
        column: &'static str,
        /// Position in the series.
        index: usize,
    },
    /// Two series carry one name.
    #[error("logger `{logger}` appears twice")]
    SameLogger {
        /// The logger.
        logger: String,
    },
    /// The frame library refused.
    #[error("tidy frame: {0}")]
    Frame(#[from] PolarsError),
}

/// The samples of one logger in time order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LoggerSeries {
    /// The logger's id.
    pub logger: String,
    /// Instants, strictly increasing.
    pub time: Vec<DateTime<Utc>>,
    /// One column per quantity the logger has, in canonical units, each as long as `time`; `None` is missing.
    pub values: BTreeMap<Quantity, Vec<Option<f64>>>,
    /// File of each sample, a number of `file_table`.
    pub file: Vec<u32>,
    /// Line in that file.
    pub row: Vec<u64>,
    /// Names behind the numbers of `file`.
    pub file_table: Arc<FileTable>,
}

impl LoggerSeries {
    /// Number of samples.
    #[must_use]
    pub fn len(&self) -> usize {
        self.time.len()
    }

    /// Whether it has no sample.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.time.is_empty()
    }

    /// The column of a quantity, if the logger has it.
    #[must_use]
    pub fn column(&self, quantity: Quantity) -> Option<&[Option<f64>]> {
        self.values.get(&quantity).map(Vec::as_slice)
    }

    /// The line a sample was read from; `None` past the end.
    #[must_use]
    pub fn source(&self, index: usize) -> Option<RowRef> {
        let name = self.file_table.name(*self.file.get(index)?)?;
        Some(RowRef { file: Arc::clone(name), row: *self.row.get(index)? })
    }

    /// The samples at these positions; those past the end are left out.
    #[must_use]
    pub fn slice(&self, range: std::ops::Range<usize>) -> Self {
        let end = range.end.min(self.len());
        let range = range.start.min(end)..end;
        Self {
            logger: self.logger.clone(),
            time: self.time[range.clone()].to_vec(),
            values: self.values.iter().map(|(of, column)| (*of, column[range.clone()].to_vec())).collect(),
            file: self.file[range.clone()].to_vec(),
            row: self.row[range].to_vec(),
            file_table: Arc::clone(&self.file_table),
        }
    }

    fn check(&self) -> Result<(), FrameError> {
        let expected = self.len();
        let length = |column, found| {
            if found == expected {
                Ok(())
            } else {
                Err(FrameError::Length { logger: self.logger.clone(), column, found, expected })
            }
        };
        length("file", self.file.len())?;
        length("row", self.row.len())?;
        for (quantity, column) in &self.values {
            length(quantity.column(), column.len())?;
            if let Some(index) = column.iter().position(|v| v.is_some_and(|v| !v.is_finite())) {
                return Err(FrameError::NotFinite { logger: self.logger.clone(), column: quantity.column(), index });
            }
        }
        match self.time.windows(2).position(|pair| pair[0] >= pair[1]) {
            Some(index) => Err(FrameError::Order { logger: self.logger.clone(), index: index + 1 }),
            None => Ok(()),
        }
    }
}

/// All samples of a job: sorted by logger, then time.
///
/// | column | type | meaning |
/// |---|---|---|
/// | `time` | datetime, us, UTC | the instant |
/// | `logger` | categorical | which logger |
/// | one per [`Quantity`] present in any logger | f64, null = missing | canonical units |
/// | `file` | categorical | file read |
/// | `row` | u64 | line in that file |
#[derive(Debug, Clone, Default)]
pub struct TidyFrame {
    series: Vec<LoggerSeries>,
}

impl TidyFrame {
    /// A frame of these series, sorted by logger id.
    ///
    /// # Errors
    /// [`FrameError`] when a series breaks the rules of [`LoggerSeries`] or two carry one id.
    pub fn new(mut series: Vec<LoggerSeries>) -> Result<Self, FrameError> {
        series.sort_by(|a, b| a.logger.cmp(&b.logger));
        for one in &series {
            one.check()?;
        }
        if let Some(pair) = series.windows(2).find(|pair| pair[0].logger == pair[1].logger) {
            return Err(FrameError::SameLogger { logger: pair[0].logger.clone() });
        }
        Ok(Self { series })
    }

    /// The series, sorted by logger id.
    #[must_use]
    pub fn series(&self) -> &[LoggerSeries] {
        &self.series
    }

    /// The series of one logger.
    #[must_use]
    pub fn logger(&self, id: &str) -> Option<&LoggerSeries> {
        self.series.binary_search_by(|s| s.logger.as_str().cmp(id)).ok().map(|i| &self.series[i])
    }

    /// The same loggers with the samples at these positions alone, one range for each series in order.
    #[must_use]
    pub fn slices(&self, ranges: &[std::ops::Range<usize>]) -> Self {
        Self { series: self.series.iter().zip(ranges).map(|(series, range)| series.slice(range.clone())).collect() }
    }

    /// Samples in all.
    #[must_use]
    pub fn len(&self) -> usize {
        self.series.iter().map(LoggerSeries::len).sum()
    }

    /// Whether there is no sample.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// First and last instant over all loggers; `None` when empty.
    #[must_use]
    pub fn span(&self) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
        let first = self.series.iter().filter_map(|s| s.time.first()).min()?;
        let last = self.series.iter().filter_map(|s| s.time.last()).max()?;
        Some((*first, *last))
    }

    /// The same rows as a data frame with the columns of the table above.
    ///
    /// # Errors
    /// [`FrameError::Frame`] when the frame library refuses.
    pub fn to_data_frame(&self) -> Result<DataFrame, FrameError> {
        let rows = self.len();
        let micros = self.series.iter().flat_map(|s| s.time.iter().map(DateTime::timestamp_micros));
        let time = Int64Chunked::from_iter_values("time".into(), micros)
            .into_datetime(TimeUnit::Microseconds, Some(TimeZone::UTC))
            .into_column();
        let loggers = self.series.iter().flat_map(|s| std::iter::repeat_n(s.logger.as_str(), s.len()));
        let mut columns = vec![time, categorical("logger", loggers)?];
        for quantity in Quantity::ALL {
            if self.series.iter().any(|s| s.values.contains_key(&quantity)) {
                let mut values: Vec<Option<f64>> = Vec::with_capacity(rows);
                for one in &self.series {
                    match one.column(quantity) {
                        Some(column) => values.extend_from_slice(column),
                        None => values.resize(values.len() + one.len(), None),
                    }
                }
                columns.push(Series::new(quantity.column().into(), values).into_column());
            }
        }
        let files =
            self.series.iter().flat_map(|s| s.file.iter().map(|id| s.file_table.name(*id).map_or("", |name| &**name)));
        columns.push(categorical("file", files)?);
        let row: Vec<u64> = self.series.iter().flat_map(|s| s.row.iter().copied()).collect();
        columns.push(Series::new("row".into(), row).into_column());
        Ok(DataFrame::new(rows, columns)?)
    }
}

/// A categorical column whose categories are its own values, sorted: equal input gives equal bytes when written.
fn categorical<'a>(name: &str, values: impl Iterator<Item = &'a str>) -> Result<Column, FrameError> {
    let values: Vec<&str> = values.collect();
    let mut categories = values.clone();
    categories.sort_unstable();
    categories.dedup();
    let frozen = FrozenCategories::new(categories)?;
    let dtype = DataType::from_frozen_categories(frozen);
    let physical = match &dtype {
        DataType::Enum(categories, _) => categories.physical(),
        _ => unreachable!("frozen categories make an enum"),
    };
    let texts = values.into_iter().map(Some);
    Ok(match physical {
        CategoricalPhysical::U8 => {
            CategoricalChunked::<Categorical8Type>::from_str_iter(name.into(), dtype, texts)?.into_series()
        }
        CategoricalPhysical::U16 => {
            CategoricalChunked::<Categorical16Type>::from_str_iter(name.into(), dtype, texts)?.into_series()
        }
        CategoricalPhysical::U32 => {
            CategoricalChunked::<Categorical32Type>::from_str_iter(name.into(), dtype, texts)?.into_series()
        }
    }
    .into_column())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(logger: &str, seconds: &[i64], quantity: Quantity) -> LoggerSeries {
        let mut files = FileTable::default();
        let file = files.id(&format!("{logger}.csv"));
        LoggerSeries {
            logger: logger.into(),
            time: seconds.iter().map(|s| DateTime::from_timestamp(*s, 0).unwrap()).collect(),
            values: BTreeMap::from([(quantity, seconds.iter().map(|s| (*s > 0).then_some(21.5)).collect())]),
            file: vec![file; seconds.len()],
            row: (2..).take(seconds.len()).collect(),
            file_table: Arc::new(files),
        }
    }

    #[test]
    fn rows_are_sorted_by_logger_and_keep_their_source() {
        let frame = TidyFrame::new(vec![
            series("B", &[0, 60], Quantity::AirTemp),
            series("A", &[30], Quantity::RelativeHumidity),
        ])
        .unwrap();
        let data = frame.to_data_frame().unwrap();
        assert_eq!(data.get_column_names(), ["time", "logger", "air_temp_c", "rh_pct", "file", "row"]);
        assert_eq!(data.height(), 3);
        let logger: Vec<_> = data
            .column("logger")
            .unwrap()
            .cast(&DataType::String)
            .unwrap()
            .str()
            .unwrap()
            .iter()
            .map(|v| v.unwrap().to_owned())
            .collect();
        assert_eq!(logger, ["A", "B", "B"]);
        assert_eq!(data.column("air_temp_c").unwrap().null_count(), 2, "absent and missing are null");
        assert_eq!(frame.logger("B").unwrap().source(1).unwrap(), RowRef::new("B.csv", 3));
        assert_eq!(frame.span().unwrap().1.timestamp(), 60);
    }

    #[test]
    fn a_repeated_instant_is_refused() {
        let error = TidyFrame::new(vec![series("A", &[60, 60], Quantity::AirTemp)]).unwrap_err();
        assert_eq!(error.to_string(), "logger `A`: instants are not strictly increasing at sample 1");
    }

    #[test]
    fn a_number_that_is_not_finite_is_refused() {
        let mut bad = series("A", &[60], Quantity::AirTemp);
        bad.values.insert(Quantity::RelativeHumidity, vec![Some(f64::NAN)]);
        let error = TidyFrame::new(vec![bad]).unwrap_err();
        assert_eq!(error.to_string(), "logger `A`: column `rh_pct` holds a number that is not finite at sample 0");
    }

    #[test]
    fn one_logger_twice_is_refused() {
        let error = TidyFrame::new(vec![series("A", &[1], Quantity::AirTemp), series("A", &[2], Quantity::AirTemp)])
            .unwrap_err();
        assert_eq!(error.to_string(), "logger `A` appears twice");
    }
}
