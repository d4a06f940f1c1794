//! Writes every scenario's job folder and truth below a folder: `grainfall-simulate FOLDER`.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use grainfall_simulate::{Error, Made, scenarios};

fn main() -> ExitCode {
    let mut arguments = std::env::args_os().skip(1);
    let (Some(folder), None) = (arguments.next(), arguments.next()) else {
        return failed("expected one argument, the folder to write below: `grainfall-simulate sample-data`");
    };
    match write_all(Path::new(&folder)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => failed(&error.to_string()),
    }
}

fn write_all(folder: &Path) -> Result<(), Error> {
    scenarios::ALL.iter().try_for_each(|(_, make)| Made::from_scenario(make()?)?.write(folder))
}

fn failed(message: &str) -> ExitCode {
    // Nothing is left to do when standard error is closed.
    let _ = writeln!(std::io::stderr(), "error: {message}");
    ExitCode::from(2)
}
