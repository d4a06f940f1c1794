//! Progress of long work: only on a terminal, on stderr.

use std::io::IsTerminal;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

use crate::terminal::inert;
use crate::timings::Timings;

/// One line of progress; silent when stderr is no terminal.
pub struct Progress {
    bar: ProgressBar,
    /// How long each part of the work took.
    pub timings: Timings,
}

impl Progress {
    /// Begins with a first message.
    pub fn start(message: &str) -> Self {
        let bar = if std::io::stderr().is_terminal() {
            let bar = ProgressBar::new_spinner();
            if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} ({elapsed})") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(Duration::from_millis(120));
            bar
        } else {
            ProgressBar::hidden()
        };
        bar.set_message(message.to_owned());
        Self { bar, timings: Timings::start() }
    }

    /// Says nothing.
    pub fn none() -> Self {
        Self { bar: ProgressBar::hidden(), timings: Timings::start() }
    }

    /// Begins to count things done, with rate and time left.
    pub fn counting(things: usize) -> Self {
        if !std::io::stderr().is_terminal() {
            return Self::none();
        }
        let bar = ProgressBar::new(things as u64);
        if let Ok(style) = ProgressStyle::with_template("{bar:20} {pos} of {len}, {per_sec}, {eta} left: {msg}") {
            bar.set_style(style);
        }
        Self { bar, timings: Timings::start() }
    }

    /// Counts one more thing done.
    pub fn done(&self, message: String) {
        self.say(message);
        self.bar.inc(1);
    }

    /// Says what is being done now.
    pub fn say(&self, message: String) {
        self.bar.set_message(inert(&message));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
