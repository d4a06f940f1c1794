//! The program run by somebody who is not allowed everything.

#![allow(clippy::disallowed_types, reason = "it runs the program")]

use std::path::Path;
use std::process::Command;

/// A command that runs a program without the rights of root; `None` with a message where that cannot be done.
#[must_use]
#[allow(clippy::print_stderr)] // A skipped test says so.
pub fn as_nobody(program: &Path) -> Option<Command> {
    let command = || {
        if !is_root() {
            return Command::new(program);
        }
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]).arg(program);
        command
    };
    // The program may lie where this user may not go.
    let runs = command().arg("--version").output().is_ok_and(|output| output.status.success());
    if !runs {
        eprintln!("skipped: no way to run without the rights of root");
    }
    runs.then(command)
}

#[cfg(unix)]
fn is_root() -> bool {
    use std::os::unix::fs::MetadataExt;
    std::fs::metadata("/proc/self").is_ok_and(|data| data.uid() == 0)
}

#[cfg(not(unix))]
fn is_root() -> bool {
    false
}
