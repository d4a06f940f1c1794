//! Which loggers of the samples a person's words mean.

use grainfall_record::{Ledger, LoggerSelector, LoggerSeries, TidyFrame};

/// Whether a selector means the logger with this id.
///
/// A serial number means every logger read with that serial; a file means every logger read from it, by relative path
/// or by file name alone, and with a channel only the one of that channel. An archive or a workbook means all that is
/// in it.
pub(crate) fn matches(ledger: &Ledger, selector: &LoggerSelector, id: &str) -> bool {
    let Some(logger) = ledger.logger(id) else {
        return matches!(selector, LoggerSelector::Serial(serial) if serial == id);
    };
    match selector {
        LoggerSelector::Serial(serial) => logger.serial.as_deref() == Some(serial) || logger.id == *serial,
        LoggerSelector::File { file, channel } => {
            let named = |path: &str| path == file || path.rsplit('/').next() == Some(file);
            // What lies in an archive or a workbook is also meant by its name.
            let within =
                |path: &String| path.match_indices('/').any(|(at, _)| file.contains('.') && named(&path[..at]));
            let in_file = logger.files.iter().any(|path| named(path) || within(path));
            in_file && (channel.is_none() || logger.channel == *channel)
        }
    }
}

/// The series a selector means, by logger id.
pub(crate) fn series<'a>(frame: &'a TidyFrame, ledger: &Ledger, selector: &LoggerSelector) -> Vec<&'a LoggerSeries> {
    frame.series().iter().filter(|series| matches(ledger, selector, &series.logger)).collect()
}
