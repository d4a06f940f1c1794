//! Progress of long work: only on a terminal, on stderr.

use std::io::IsTerminal;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

/// One line of progress; silent when stderr is no terminal.
pub struct Progress {
    bar: ProgressBar,
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
        Self { bar }
    }

    /// Says what is being done now.
    pub fn say(&self, message: String) {
        self.bar.set_message(message);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
