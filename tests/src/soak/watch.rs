//! The program while it watches.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::memory;

/// The watching process and what it told.
pub struct Watch {
    child: Child,
    told: Arc<Mutex<Vec<Value>>>,
}

impl Watch {
    /// Starts the program on a folder, with a cache below `root`.
    ///
    /// # Panics
    /// When it cannot be started.
    #[must_use]
    pub fn start(program: &Path, arguments: &[&str], root: &Path, folder: &Path) -> Self {
        let mut child = Command::new(program)
            .args(["watch", "--json", "--cache"])
            .arg(root.join("cache"))
            .args(arguments)
            .arg(folder)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap_or_else(|error| panic!("`{}` cannot be started: {error}", program.display()));
        let told = Arc::<Mutex<Vec<Value>>>::default();
        let (out, list) = (child.stdout.take().expect("piped"), Arc::clone(&told));
        thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                let event = serde_json::from_str(&line).unwrap_or_else(|_| panic!("no JSON: {line}"));
                list.lock().expect("no thread panics").push(event);
            }
        });
        Self { child, told }
    }

    /// Number of the process.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Processor time it has used, s; `None` where the system does not tell.
    #[must_use]
    pub fn processor_s(&self) -> Option<f64> {
        memory::processor_s(self.id())
    }

    /// The reports it told of.
    ///
    /// # Panics
    /// When the thread that listens has.
    #[must_use]
    pub fn told_reports(&self) -> Vec<Value> {
        let told = self.told.lock().expect("no thread panics");
        told.iter().filter(|event| event["event"] == "report").cloned().collect()
    }

    /// Waits until it told of so many reports.
    ///
    /// # Panics
    /// When it ends before, or takes longer.
    pub fn wait_for(&mut self, reports: usize, longest: Duration) {
        let begun = Instant::now();
        while self.told_reports().len() < reports {
            if let Some(code) = self.child.try_wait().expect("a child") {
                panic!("the watch ended early: {code}");
            }
            assert!(begun.elapsed() < longest, "not {reports} reports after {longest:?}: {:?}", self.told.lock());
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until nothing has been told for a while.
    pub(super) fn come_to_rest(&self) {
        let mut before = usize::MAX;
        while before != self.told_reports().len() {
            before = self.told_reports().len();
            thread::sleep(Duration::from_secs(3));
        }
    }

    /// Ctrl-C, and the exit code.
    ///
    /// # Panics
    /// When the signal cannot be sent.
    pub fn interrupt(&mut self) -> Option<i32> {
        let sent = Command::new("kill").arg("-INT").arg(self.child.id().to_string()).status().expect("`kill` is there");
        assert!(sent.success());
        self.child.wait().expect("a child").code()
    }
}

impl std::ops::Drop for Watch {
    fn drop(&mut self) {
        // Only where a check failed: otherwise it has ended.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
