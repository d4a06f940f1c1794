//! The program while it watches.

#![allow(clippy::disallowed_types, reason = "it runs the program")]

use std::ffi::OsStr;
use std::io::{self, BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Condvar, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::memory;

/// How long an event may take on a busy machine.
const LONGEST: Duration = Duration::from_secs(60);

/// The watching process and what it told.
pub struct Watch {
    child: Child,
    told: Arc<Lines<Value>>,
    notes: Arc<Lines<String>>,
    /// Events that were looked at by [`Watch::next`].
    taken: usize,
}

/// Lines as they come.
#[derive(Default)]
struct Lines<T> {
    list: Mutex<Vec<T>>,
    came: Condvar,
}

impl<T: Clone + Send + 'static> Lines<T> {
    /// Listens until the end of a pipe.
    fn of(pipe: impl Read + Send + 'static, parse: impl Fn(&str) -> T + Send + 'static) -> Arc<Self> {
        let lines = Arc::new(Self { list: Mutex::new(Vec::new()), came: Condvar::new() });
        let ours = Arc::clone(&lines);
        thread::spawn(move || {
            for line in BufReader::new(pipe).lines().map_while(Result::ok) {
                let one = parse(&line);
                ours.list.lock().expect("no thread panics").push(one);
                ours.came.notify_all();
            }
        });
        lines
    }

    fn all(&self) -> Vec<T> {
        self.list.lock().expect("no thread panics").clone()
    }

    fn count(&self, which: impl Fn(&T) -> bool) -> usize {
        self.list.lock().expect("no thread panics").iter().filter(|one| which(one)).count()
    }

    /// Line `at`, waited for.
    fn wait_for(&self, at: usize, longest: Duration) -> Option<T> {
        let list = self.list.lock().expect("no thread panics");
        let waited = self.came.wait_timeout_while(list, longest, |list| list.len() <= at);
        waited.expect("no thread panics").0.get(at).cloned()
    }
}

impl Watch {
    /// Starts the program on a folder.
    ///
    /// # Panics
    /// When it cannot be started.
    #[must_use]
    pub fn start<A: AsRef<OsStr>>(program: &Path, arguments: &[A], folder: &Path) -> Self {
        Self::start_by(Command::new(program), arguments, folder)
    }

    /// Starts the program by a command that begins with it, or with what runs it.
    ///
    /// # Panics
    /// When it cannot be started.
    #[must_use]
    pub fn start_by<A: AsRef<OsStr>>(mut command: Command, arguments: &[A], folder: &Path) -> Self {
        command.args(["watch", "--json"]).args(arguments).arg(folder);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap_or_else(|error| panic!("{command:?} cannot be started: {error}"));
        let event = |line: &str| serde_json::from_str(line).unwrap_or_else(|_| panic!("no JSON: {line}"));
        let told = Lines::of(child.stdout.take().expect("piped"), event);
        let notes = Lines::of(child.stderr.take().expect("piped"), str::to_owned);
        Self { child, told, notes, taken: 0 }
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

    /// The events of one kind it told of.
    ///
    /// # Panics
    /// When the thread that listens has.
    #[must_use]
    pub fn told(&self, kind: &str) -> Vec<Value> {
        self.told.all().into_iter().filter(|event| event["event"] == kind).collect()
    }

    /// The reports it told of.
    ///
    /// # Panics
    /// When the thread that listens has.
    #[must_use]
    pub fn told_reports(&self) -> Vec<Value> {
        self.told("report")
    }

    /// What it said on stderr.
    ///
    /// # Panics
    /// When the thread that listens has.
    #[must_use]
    pub fn notes(&self) -> String {
        self.notes.all().join("\n")
    }

    /// The next event, which must be of this kind and about a folder whose path ends so.
    ///
    /// # Panics
    /// When it is another one, or none comes.
    #[track_caller]
    pub fn next(&mut self, kind: &str, name: &str) -> Value {
        let event = self.next_within(LONGEST);
        let event = event.unwrap_or_else(|| panic!("no event; due was {kind} of {name}; notes: {}", self.notes()));
        assert_eq!(event["event"], kind, "{event}");
        assert!(event["folder"].as_str().unwrap_or_default().ends_with(name), "{event}");
        event
    }

    /// The next event of whatever kind, waited for no longer than asked.
    ///
    /// # Panics
    /// When the thread that listens has.
    pub fn next_within(&mut self, longest: Duration) -> Option<Value> {
        let event = self.told.wait_for(self.taken, longest)?;
        self.taken += 1;
        Some(event)
    }

    /// Waits for a while in which no event may come.
    ///
    /// # Panics
    /// When one comes.
    #[track_caller]
    pub fn is_silent_for(&self, time: Duration) {
        if let Some(event) = self.told.wait_for(self.taken, time) {
            panic!("nothing had changed: {event}");
        }
    }

    /// Waits until it told of so many reports.
    ///
    /// # Panics
    /// When it ends before, or takes longer.
    pub fn wait_for(&mut self, reports: usize, longest: Duration) {
        self.wait_until("report", reports, longest);
    }

    /// Waits until it told of so many events of a kind.
    ///
    /// # Panics
    /// When it ends before, or takes longer.
    pub fn wait_until(&mut self, kind: &str, count: usize, longest: Duration) {
        let begun = Instant::now();
        while self.told.count(|event| event["event"] == kind) < count {
            if let Some(code) = self.child.try_wait().expect("a child") {
                panic!("the watch ended early: {code}: {}", self.notes());
            }
            if begun.elapsed() >= longest {
                let told = self.told.all();
                panic!("not {count} of {kind} after {longest:?}; the last told: {:?}", told.last());
            }
            thread::sleep(Duration::from_millis(5));
        }
    }

    /// Waits until nothing has been told for a while.
    pub(crate) fn come_to_rest(&self) {
        let mut before = usize::MAX;
        while before != self.told_reports().len() {
            before = self.told_reports().len();
            thread::sleep(Duration::from_secs(3));
        }
    }

    /// Kills it, as a power cut would; gives what it said on stderr.
    ///
    /// # Errors
    /// When the system refuses.
    pub fn kill(mut self) -> io::Result<String> {
        self.child.kill()?;
        self.child.wait()?;
        Ok(self.notes())
    }

    /// Sends it a signal by its name, as `INT`.
    ///
    /// # Panics
    /// When that cannot be done.
    pub fn signal(&self, name: &str) {
        let id = self.id().to_string();
        let sent = Command::new("kill").args(["-s", name, &id]).status().expect("`kill` is there");
        assert!(sent.success());
    }

    /// Waits for its end; gives the exit code.
    ///
    /// # Panics
    /// When the system does not tell.
    pub fn ended(&mut self) -> Option<i32> {
        self.child.wait().expect("a child").code()
    }

    /// Ctrl-C, and the exit code.
    ///
    /// # Panics
    /// When the signal cannot be sent.
    pub fn interrupt(&mut self) -> Option<i32> {
        self.signal("INT");
        self.ended()
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        // Only where a check failed: otherwise it has ended.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
