//! Where faults and references gather while the files are read.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use grainfall_record::{DateOrder, RowRef};

use crate::fault::{Column, Fault, FaultKind, Spot, Unknown};
use crate::model::Zone;

/// What is shared by all readers of one job.
pub(crate) struct Desk {
    faults: RefCell<Vec<Fault>>,
    references: RefCell<Vec<Reference>>,
    /// The job's zone; UTC until `[job]` is read.
    pub zone: Cell<Zone>,
    /// The order of dates that `[job]` states.
    pub date_order: Cell<Option<DateOrder>>,
    /// Whether job.toml could be parsed: when not, nothing is said about ids it would have listed.
    pub job_known: Cell<bool>,
}

/// An entry names another one.
#[derive(Debug)]
struct Reference {
    at: Spot,
    key: &'static str,
    what: Target,
    id: String,
}

/// What an id names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Target {
    Chamber,
    Point,
    Unit,
    Meter,
    Material,
}

impl Target {
    /// The word messages use.
    pub fn word(self) -> &'static str {
        match self {
            Self::Chamber => "chamber",
            Self::Point => "point",
            Self::Unit => "unit",
            Self::Meter => "meter",
            Self::Material => "material",
        }
    }
}

/// The ids that are listed, with entries that have other faults: a fault in an entry must not make its id unknown.
#[derive(Debug, Default)]
pub(crate) struct Listed(BTreeMap<Target, BTreeSet<String>>);

impl Listed {
    pub fn add(&mut self, what: Target, id: &str) {
        self.0.entry(what).or_default().insert(id.to_owned());
    }

    pub fn has(&self, what: Target, id: &str) -> bool {
        self.0.get(&what).is_some_and(|ids| ids.contains(id))
    }

    pub fn ids(&self, what: Target) -> impl Iterator<Item = &str> {
        self.0.get(&what).into_iter().flatten().map(String::as_str)
    }
}

impl Desk {
    pub fn new(zone: Zone) -> Self {
        Self {
            faults: RefCell::default(),
            references: RefCell::default(),
            zone: Cell::new(zone),
            date_order: Cell::new(None),
            job_known: Cell::new(true),
        }
    }

    /// Records a fault.
    pub fn fault(&self, at: &Spot, kind: FaultKind) {
        self.faults.borrow_mut().push(Fault { at: at.clone(), kind });
    }

    /// Notes that an entry names another, to be looked up once everything is read.
    pub fn refer(&self, at: &Spot, key: &'static str, what: Target, id: &str) {
        self.references.borrow_mut().push(Reference { at: at.clone(), key, what, id: id.to_owned() });
    }

    /// A fault for every reference to something that is not listed.
    pub fn resolve(&self, listed: &Listed) {
        if !self.job_known.get() {
            return;
        }
        for Reference { at, key, what, id } in self.references.take() {
            // Meters and materials may be named without being described.
            let free = match what {
                Target::Meter => listed.ids(what).next().is_none(),
                Target::Material => crate::suggest(&id, listed.ids(what)).is_none(),
                Target::Chamber | Target::Point | Target::Unit => false,
            };
            if !free && !listed.has(what, &id) {
                let unknown = Unknown::new(&id, listed.ids(what));
                self.fault(&at, FaultKind::UnknownId { key: key.to_owned(), what: what.word(), unknown });
            }
        }
    }

    pub fn into_faults(self) -> Vec<Fault> {
        self.faults.into_inner()
    }
}

impl Spot {
    pub(crate) fn file(file: &Arc<str>) -> Self {
        Self { file: Arc::clone(file), line: None, column: None }
    }

    pub(crate) fn line(file: &Arc<str>, line: u64) -> Self {
        Self { file: Arc::clone(file), line: Some(line), column: None }
    }

    pub(crate) fn character(file: &Arc<str>, line: u64, column: u64) -> Self {
        Self { file: Arc::clone(file), line: Some(line), column: Some(Column::Character(column)) }
    }

    pub(crate) fn row(&self) -> RowRef {
        RowRef { file: Arc::clone(&self.file), row: self.line.unwrap_or(1) }
    }
}
