//! The files of a job as plain text, read by nothing of the program: what stands on a line.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use chrono::{DateTime, NaiveDateTime, TimeZone, Utc};
use chrono_tz::Tz;
use grainfall_analysis::evidence::SourceRow;

/// Lines of every file of a folder, read when asked for.
pub struct Lines {
    folder: PathBuf,
    zone: Tz,
    known: Mutex<BTreeMap<String, Vec<String>>>,
}

/// A line of readings.csv.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub time: DateTime<Utc>,
    pub point: String,
    /// As written: `12.5`, `>40`, nothing.
    pub value: String,
    pub scale: String,
    pub meter: String,
    pub surface_temp_f: String,
}

impl Reading {
    /// Its number; of a lower bound the bound.
    pub fn number(&self) -> f64 {
        self.value.trim_start_matches('>').parse().unwrap()
    }

    /// Its value as a sentence has it.
    pub fn words(&self) -> String {
        let short = |text: &str| match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
            false => text.to_owned(),
        };
        match self.value.strip_prefix('>') {
            Some(bound) => format!("more than {}", short(bound)),
            None => short(&self.value),
        }
    }
}

impl Lines {
    pub fn of(folder: &Path, zone: Tz) -> Self {
        Self { folder: folder.to_owned(), zone, known: Mutex::default() }
    }

    /// The job's zone.
    pub fn zone(&self) -> Tz {
        self.zone
    }

    /// All lines of a file.
    pub fn all(&self, file: &str) -> Vec<String> {
        let mut known = self.known.lock().unwrap();
        let lines = known.entry(file.to_owned()).or_insert_with(|| {
            let text = std::fs::read_to_string(self.folder.join(file)).unwrap();
            text.lines().map(str::to_owned).collect()
        });
        lines.clone()
    }

    /// The line of a row; empty beyond the end.
    pub fn line(&self, row: &SourceRow) -> String {
        self.all(&row.file).get(usize::try_from(row.row).unwrap() - 1).cloned().unwrap_or_default()
    }

    /// The cells of a row of a log or table.
    pub fn cells(&self, row: &SourceRow) -> Vec<String> {
        let line = self.line(row);
        let mark = ['\t', ';'].into_iter().find(|mark| line.contains(*mark)).unwrap_or(',');
        line.split(mark).map(|cell| cell.trim_matches('"').to_owned()).collect()
    }

    /// A line of readings.csv.
    pub fn reading(&self, row: &SourceRow) -> Reading {
        assert_eq!(row.file, "readings.csv");
        self.parsed(&self.line(row))
    }

    /// Every line of readings.csv.
    pub fn readings(&self) -> Vec<Reading> {
        self.all("readings.csv").iter().skip(1).map(|line| self.parsed(line)).collect()
    }

    fn parsed(&self, line: &str) -> Reading {
        let head = self.all("readings.csv")[0].clone();
        let cells: Vec<&str> = line.split(',').collect();
        let cell = |name: &str| -> String {
            let at = head.split(',').position(|one| one == name);
            at.and_then(|at| cells.get(at)).map(|cell| (*cell).to_owned()).unwrap_or_default()
        };
        Reading {
            time: self.local(&cell("time"), "%Y-%m-%d %H:%M").unwrap(),
            point: cell("point"),
            value: cell("value"),
            scale: cell("scale"),
            meter: cell("meter"),
            surface_temp_f: cell("surface_temp_f"),
        }
    }

    /// The time on a line that begins with one: in UTC where it says so, else the job's wall clock.
    pub fn stamp(&self, row: &SourceRow) -> DateTime<Utc> {
        let first = self.cells(row).first().cloned().unwrap_or_default();
        let forms = ["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S", "%m/%d/%Y %I:%M %p"];
        let local = || forms.iter().find_map(|form| self.local(&first, form));
        let utc = first.ends_with('Z').then(|| first.parse().ok()).flatten();
        utc.or_else(local).unwrap_or_else(|| panic!("{} line {}: no time in `{first}`", row.file, row.row))
    }

    fn local(&self, text: &str, form: &str) -> Option<DateTime<Utc>> {
        let wall = NaiveDateTime::parse_from_str(text, form).ok()?;
        Some(self.zone.from_local_datetime(&wall).earliest()?.to_utc())
    }

    /// The table of job.toml that a line lies in.
    pub fn table(&self, row: &SourceRow) -> String {
        assert_eq!(row.file, "job.toml");
        let lines = self.all("job.toml");
        let at = usize::try_from(row.row).unwrap() - 1;
        let start = (0..=at).rev().find(|k| lines[*k].starts_with('[')).unwrap();
        let rest = lines[start + 1..].iter().take_while(|line| !line.starts_with('['));
        std::iter::once(&lines[start]).chain(rest).map(|line| format!("{line}\n")).collect()
    }

    /// What `key` is in such a table, without quotes.
    pub fn key(&self, row: &SourceRow, key: &str) -> Option<String> {
        let table = self.table(row);
        let value = table.lines().find_map(|line| line.strip_prefix(&format!("{key} = ")))?;
        Some(value.trim_matches('"').to_owned())
    }
}
