//! A simulated job as a folder of files, as a technician would have it.

mod hand;
mod job_toml;
mod shapes;

use std::fs;
use std::path::Path;

use crate::Error;
use crate::instruments::Record;
use crate::scenario::Scenario;

/// The files of a job, path below its folder and text, in the order written.
#[must_use]
pub fn job_files(scenario: &Scenario, record: &Record) -> Vec<(String, String)> {
    let mut files = vec![
        ("job.toml".to_owned(), job_toml::text(scenario, record)),
        ("readings.csv".to_owned(), hand::readings(scenario, record)),
        ("air.csv".to_owned(), hand::air(scenario, record)),
        ("visits.csv".to_owned(), hand::visits(scenario)),
    ];
    files.extend(scenario.exports.iter().map(|export| (export.file.clone(), shapes::text(scenario, record, export))));
    files
}

/// Writes the files of a job below a folder, which is made when missing; nothing else in it is touched.
///
/// # Errors
/// [`Error::Write`] when a file or folder cannot be written.
pub fn write_job(scenario: &Scenario, record: &Record, folder: &Path) -> Result<(), Error> {
    for (path, text) in job_files(scenario, record) {
        write(&folder.join(path), &text)?;
    }
    Ok(())
}

/// Writes one file and the folders above it.
pub(crate) fn write(path: &Path, text: &str) -> Result<(), Error> {
    let fault = |source| Error::Write { path: path.to_owned(), source };
    if let Some(parent) = path.parent() {
        fs::create_dir_all(parent).map_err(fault)?;
    }
    fs::write(path, text).map_err(fault)
}

/// A field of a comma-separated file, quoted where RFC 4180 asks for it.
fn field(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}

/// A line of a comma-separated file.
fn line(fields: &[&str]) -> String {
    let mut line = fields.iter().map(|text| field(text)).collect::<Vec<_>>().join(",");
    line.push('\n');
    line
}
