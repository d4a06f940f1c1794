//! `watch`: keeps reports current while exports are dropped in.
//!
//! Reading order: `jobs` (which folders are jobs), `look` (what their files look like from outside), `pace` (when a
//! folder has come to rest), `bell` (what the system says has changed), `remote` (where it does not), `refresh` (one
//! fresh report), `state` (what it says that the one before did not), `line` (how that is told).
//!
//! What the system tells of changes only says where to look and when. Whether a report is made rests on what is found
//! there: a folder whose files look as before is left alone, and so is one whose report is current. Without events,
//! as on most network folders, looking from time to time finds the same.

mod bell;
mod jobs;
mod line;
mod look;
mod pace;
mod refresh;
mod remote;
mod state;

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use grainfall_keep::Store;
use grainfall_report::manifest::MANIFEST;
use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;

use crate::args::WatchArgs;
use crate::commands::report::REPORT;
use crate::exit_code::Outcome;
use crate::folder;
use crate::terminal;
use bell::{Bell, Touched};
use jobs::Found;
use line::{Event, Form};
use look::Look;
use pace::Pace;
use refresh::Refreshed;
use state::State;

/// How often everything is looked at when the system tells of changes: it may miss some.
const SELDOM: Duration = Duration::from_secs(30);

/// How often everything is looked at when it does not.
const OFTEN: Duration = Duration::from_secs(5);

/// How long a request to stop may go unseen.
const HEED_STOP: Duration = Duration::from_millis(200);

/// How long after a failure the same is tried again without a change.
const TRY_AGAIN: Duration = Duration::from_secs(60);

/// Reports after which the store is kept within its limit.
const TIDY_AFTER: u64 = 100;

/// Watches until it is stopped.
pub fn run(args: &WatchArgs) -> Result<Outcome> {
    let stop = stop_on_signals()?;
    let mut given = Vec::new();
    for one in &args.folders {
        folder::check_is_folder(one)?;
        given.push(one.canonicalize().with_context(|| format!("`{}` cannot be opened", one.display()))?);
    }
    let mut watch = Watch {
        args,
        given,
        places: Vec::new(),
        bell: Bell::silent(),
        every: OFTEN,
        quiet: Duration::from_secs_f64(args.settle_s),
        form: if args.json { Form::Json } else { Form::Text },
        store: args.kept.store()?,
        jobs: BTreeMap::new(),
        closed: BTreeMap::new(),
        reports: 0,
        stop,
    };
    watch.run()?;
    watch.form.tell(&Event::Stopped { reports: watch.reports })?;
    Ok(Outcome::Done)
}

/// A first Ctrl-C ends the run after the report at hand, a second one at once.
fn stop_on_signals() -> Result<Arc<AtomicBool>> {
    let stop = Arc::new(AtomicBool::new(false));
    for signal in [SIGINT, SIGTERM] {
        flag::register_conditional_shutdown(signal, 2, Arc::clone(&stop))?;
        flag::register(signal, Arc::clone(&stop))?;
    }
    Ok(stop)
}

/// Everything that is watched.
struct Watch<'a> {
    args: &'a WatchArgs,
    given: Vec<PathBuf>,
    /// What the folders given were when the bell was hung over them.
    places: Vec<Option<Place>>,
    bell: Bell,
    every: Duration,
    quiet: Duration,
    form: Form,
    store: Store,
    jobs: BTreeMap<PathBuf, Job>,
    /// Folders that could not be opened when they were looked at last, and why.
    closed: BTreeMap<PathBuf, String>,
    reports: u64,
    stop: Arc<AtomicBool>,
}

/// One job.
struct Job {
    /// As it is told: what cannot be shown in a path is.
    shown: String,
    pace: Pace,
    state: State,
    /// Why there was no report the last time, and when to try again.
    failed: Option<(String, Instant)>,
    /// Whether it was told that another run is at work on it.
    is_busy: bool,
}

impl Watch<'_> {
    fn run(&mut self) -> Result<()> {
        let mut touched = Touched::default();
        let mut look_at = Instant::now();
        let mut is_start = true;
        while !self.stop.load(Ordering::Relaxed) {
            if Instant::now() >= look_at {
                touched.all = true;
                self.hang_bell();
                look_at = Instant::now() + self.every;
            }
            if touched.all || self.is_elsewhere(&touched) {
                self.find_jobs()?;
            }
            if std::mem::take(&mut is_start) && self.jobs.is_empty() {
                terminal::note("no job is there yet; one is taken in when it appears");
            }
            self.look(&touched)?;
            if let Some(folder) = self.first_ready() {
                self.refresh(&folder)?;
            }
            let now = Instant::now();
            let next = self.next_ready().map_or(look_at, |ready| ready.min(look_at));
            touched = self.bell.wait(next.saturating_duration_since(now).min(HEED_STOP));
        }
        Ok(())
    }

    /// Asks the system for events: at the start, and again when a folder given is another one than before, as when it
    /// was deleted and made anew, or a network folder came back.
    fn hang_bell(&mut self) {
        let places: Vec<Option<Place>> = self.given.iter().map(|folder| Place::of(folder)).collect();
        if self.args.poll_s.is_some() || places == self.places {
            self.every = self.args.poll_s.map_or(self.every, Duration::from_secs_f64);
            return;
        }
        self.places = places;
        let there: Vec<PathBuf> = self.given.iter().filter(|folder| folder.is_dir()).cloned().collect();
        self.bell = Bell::over(&there).unwrap_or_else(|fault| {
            terminal::note(&format!("no events from the system ({fault}); looking every {} s", OFTEN.as_secs()));
            Bell::silent()
        });
        let remote: Vec<&PathBuf> = there.iter().filter(|folder| remote::is_remote(folder)).collect();
        for folder in &remote {
            terminal::note(&format!(
                "`{}` is a network folder, where the system may not tell of changes; looking every {} s",
                terminal::inert(&folder::shown(folder)),
                OFTEN.as_secs()
            ));
        }
        self.every = if self.bell.rings() && remote.is_empty() { SELDOM } else { OFTEN };
    }

    /// Whether something happened where no job is known yet.
    fn is_elsewhere(&self, touched: &Touched) -> bool {
        touched.folders.keys().any(|path| !self.jobs.keys().any(|folder| path.starts_with(folder)))
    }

    /// Takes in new jobs and lets go of those whose folder is gone.
    fn find_jobs(&mut self) -> Result<()> {
        let found = Found::below(&self.given);
        let gone: Vec<PathBuf> = self.jobs.keys().filter(|folder| !found.may_hold(folder)).cloned().collect();
        for folder in gone {
            if let Some(job) = self.jobs.remove(&folder) {
                self.form.tell(&Event::Gone { folder: &job.shown })?;
            }
        }
        for (folder, fault) in &found.closed {
            // A job is told of as such, where it is looked at.
            if !self.closed.contains_key(folder) && !self.jobs.contains_key(folder) {
                terminal::note(&format!("`{}` cannot be opened: {fault}", terminal::inert(&folder::shown(folder))));
            }
        }
        self.closed = found.closed;
        for folder in found.jobs {
            if self.jobs.contains_key(&folder) {
                continue;
            }
            let shown = folder::shown(&folder);
            self.form.tell(&Event::Watching { folder: &shown })?;
            let mut pace = Pace::default();
            pace.again(Instant::now());
            let state = State::of_report(&folder.join(REPORT));
            self.jobs.insert(folder, Job { shown, pace, state, failed: None, is_busy: false });
        }
        Ok(())
    }

    /// Looks at the jobs in which something happened, and at those that seem to have come to rest.
    fn look(&mut self, touched: &Touched) -> Result<()> {
        for (folder, job) in &mut self.jobs {
            let now = Instant::now();
            if job.failed.as_ref().is_some_and(|(_, again)| now >= *again) {
                job.pace.again(now);
            }
            let seems_ready = job.pace.ready_at(self.quiet).is_some_and(|ready| now >= ready);
            if !touched.is_in(folder) && !seems_ready {
                continue;
            }
            match Look::at(folder) {
                Ok(look) => {
                    job.pace.look(look, now);
                    // A file that came and went looks like nothing, and is a drop all the same.
                    if job.failed.is_some() && touched.is_input_of(folder) {
                        job.pace.drop(now);
                    }
                }
                // Gone: the next look for jobs says so.
                Err(fault) if fault.kind() == io::ErrorKind::NotFound => job.pace.read(),
                Err(fault) => {
                    job.pace.read();
                    job.fails(self.form, format!("the folder cannot be opened: {fault}"))?;
                }
            }
            // Somebody removed the report.
            if job.failed.is_none() && job.state != State::default() && !folder.join(REPORT).join(MANIFEST).is_file() {
                job.pace.again(now);
            }
        }
        Ok(())
    }

    fn next_ready(&self) -> Option<Instant> {
        self.jobs.values().filter_map(|job| job.pace.ready_at(self.quiet)).min()
    }

    /// The job that has been at rest for longest, one that has changed first.
    fn first_ready(&self) -> Option<PathBuf> {
        let now = Instant::now();
        let ready = self.jobs.iter().filter_map(|(folder, job)| {
            Some((!job.pace.is_pressing(), job.pace.ready_at(self.quiet).filter(|at| *at <= now)?, folder))
        });
        ready.min().map(|(_, _, folder)| folder.clone())
    }

    /// Makes one report fresh and tells what changed.
    fn refresh(&mut self, folder: &Path) -> Result<()> {
        let Some(job) = self.jobs.get_mut(folder) else { return Ok(()) };
        let settled = job.pace.ready_at(self.quiet).unwrap_or_else(Instant::now);
        job.pace.read();
        let refreshed = refresh::refresh(folder, (self.args.units.into(), self.args.style.style()), &self.store);
        let was_busy = std::mem::replace(&mut job.is_busy, matches!(refreshed, Ok(Refreshed::Busy)));
        match refreshed {
            Ok(Refreshed::Current) => job.failed = None,
            Ok(Refreshed::Busy) => {
                if !was_busy {
                    let folder = terminal::inert(&job.shown);
                    terminal::note(&format!("another run is writing into `{folder}`; it is waited for"));
                }
                job.pace.again(Instant::now());
            }
            Ok(Refreshed::Fresh(fresh)) => {
                let change = fresh.state.since(&job.state);
                self.form.tell(&Event::Report {
                    folder: &job.shown,
                    is_first: job.state == State::default(),
                    verdict: fresh.state.verdict(),
                    change: &change,
                    summary_s: (fresh.summary_at - settled).as_secs_f64(),
                    report_s: (fresh.report_at - settled).as_secs_f64(),
                })?;
                job.state = fresh.state;
                job.failed = None;
                self.reports += 1;
                if self.reports.is_multiple_of(TIDY_AFTER) {
                    self.store.tidy();
                }
            }
            Err(reason) => job.fails(self.form, format!("{reason:#}"))?,
        }
        Ok(())
    }
}

impl Job {
    /// There is no new report. The reason is told once.
    fn fails(&mut self, form: Form, reason: String) -> Result<()> {
        if self.failed.as_ref().is_none_or(|(told, _)| *told != reason) {
            form.tell(&Event::NoReport { folder: &self.shown, reason: &reason })?;
        }
        self.failed = Some((reason, Instant::now() + TRY_AGAIN));
        Ok(())
    }
}

/// Which folder stands at a path: another one there has another place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Place(u64, u64);

impl Place {
    /// Of the folder at a path; `None` without one.
    fn of(path: &Path) -> Option<Self> {
        let data = fs::metadata(path).ok().filter(fs::Metadata::is_dir)?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            Some(Self(data.dev(), data.ino()))
        }
        #[cfg(not(unix))]
        Some(Self(0, u64::from(data.is_dir())))
    }
}
