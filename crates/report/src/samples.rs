//! The tidy frame as `samples.parquet`: every sample used, in canonical units, with the line it came from.

use std::num::NonZeroUsize;

use grainfall_record::TidyFrame;
use polars::prelude::{ParquetCompression, ParquetWriter};

use crate::Error;

/// The samples as one Parquet file: one row group, zstd; equal frames give equal bytes.
///
/// # Errors
/// [`Error::Samples`] when the frame library refuses.
pub fn parquet(frame: &TidyFrame) -> Result<Vec<u8>, Error> {
    let mut data = frame.to_data_frame().map_err(|fault| Error::Samples { reason: fault.to_string() })?;
    let rows = NonZeroUsize::new(frame.len()).map_or(1, NonZeroUsize::get);
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes)
        .with_compression(ParquetCompression::Zstd(None))
        .with_row_group_size(Some(rows))
        .finish(&mut data)
        .map_err(|fault| Error::Samples { reason: fault.to_string() })?;
    Ok(bytes)
}
