//! Writes scenarios' job folders and truths below a folder: `grainfall-simulate FOLDER [SCENARIO...]`; without a name
//! those of the sample data.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use grainfall_simulate::scenarios::{self, Make};
use grainfall_simulate::{Error, Made};

fn main() -> ExitCode {
    let mut arguments = std::env::args_os().skip(1);
    let Some(folder) = arguments.next() else {
        return failed("expected the folder to write below: `grainfall-simulate sample-data`");
    };
    let mut wanted: Vec<Make> = Vec::new();
    for name in arguments {
        let Some((_, make)) = scenarios::named().find(|(known, _)| name == *known) else {
            let known: Vec<&str> = scenarios::named().map(|(known, _)| *known).collect();
            return failed(&format!("no scenario is called `{}`; there are {}", name.display(), known.join(", ")));
        };
        wanted.push(*make);
    }
    if wanted.is_empty() {
        wanted.extend(scenarios::ALL.iter().map(|(_, make)| *make));
    }
    match write_all(Path::new(&folder), &wanted) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => failed(&error.to_string()),
    }
}

fn write_all(folder: &Path, wanted: &[Make]) -> Result<(), Error> {
    wanted.iter().try_for_each(|make| Made::from_scenario(make()?)?.write(folder))
}

fn failed(message: &str) -> ExitCode {
    // Nothing is left to do when standard error is closed.
    let _ = writeln!(std::io::stderr(), "error: {message}");
    ExitCode::from(2)
}
