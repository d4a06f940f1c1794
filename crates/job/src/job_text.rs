//! From the texts of the job's files to a checked [`Job`], or to every fault in them.

use crate::fault::{Fault, FaultKind, Faults, Spot};
use crate::keys;
use crate::model::{
    AirReading, BilledDays, Chamber, CondensateEntry, Dated, HourMeterEntry, Job, LoggerPlacement, Material, Meter,
    Pause, Point, Reading, SideBySide, Stay, Visit, WaterCategory, WaterClass,
};
use crate::read::desk::{Desk, Listed};
use crate::read::entry::{Entry, Placed};
use crate::read::job::Head;
use crate::read::sheet::Sheet;
use crate::read::toml_text::TomlText;
use crate::read::{air, chamber, equipment, job, logger, point, reading, visit};
use crate::{AIR_CSV, EQUIPMENT_CSV, JOB_TOML, READINGS_CSV, VISITS_CSV, check};

/// The texts of the job's own files; `None` for a file that is not there. A byte order mark at the start is skipped.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct JobFiles {
    /// `job.toml`.
    pub job_toml: Option<String>,
    /// `readings.csv`.
    pub readings: Option<String>,
    /// `air.csv`.
    pub air: Option<String>,
    /// `visits.csv`.
    pub visits: Option<String>,
    /// `equipment.csv`.
    pub equipment: Option<String>,
}

/// Parses and checks the job's own files. No file at all is an empty job in UTC.
///
/// # Errors
/// [`Faults`]: everything that is wrong in any of the files, with line and column.
///
/// ```
/// use grainfall_job::{JobFiles, parse};
/// let job_toml = "[job]\ntime_zone = \"America/Chicago\"\n\n[[chamber]]\nid = \"A\"\nflor_area = \"412 ft2\"\n";
/// let faults = parse(&JobFiles { job_toml: Some(job_toml.into()), ..JobFiles::default() }).unwrap_err();
/// assert!(faults.to_string().starts_with(
///     "job.toml line 6, column 1: unknown key `flor_area` in `[[chamber]]`; did you mean `floor_area`?"
/// ));
/// ```
pub fn parse(files: &JobFiles) -> Result<Job, Faults> {
    parse_named(files, &Names::default(), Vec::new())
}

/// The names under which the files were found.
pub(crate) struct Names {
    pub job_toml: String,
    pub readings: String,
    pub air: String,
    pub visits: String,
    pub equipment: String,
}

impl Default for Names {
    fn default() -> Self {
        Self {
            job_toml: JOB_TOML.to_owned(),
            readings: READINGS_CSV.to_owned(),
            air: AIR_CSV.to_owned(),
            visits: VISITS_CSV.to_owned(),
            equipment: EQUIPMENT_CSV.to_owned(),
        }
    }
}

/// Everything read, with where it is written.
#[derive(Debug)]
pub(crate) struct Draft {
    pub head: Head,
    pub category: Vec<Dated<WaterCategory>>,
    pub class: Vec<Dated<WaterClass>>,
    pub chambers: Vec<Placed<Chamber>>,
    pub loggers: Vec<Placed<LoggerPlacement>>,
    pub side_by_side: Vec<Placed<SideBySide>>,
    pub meters: Vec<Placed<Meter>>,
    pub materials: Vec<Placed<Material>>,
    pub points: Vec<Placed<Point>>,
    pub stays: Vec<Placed<Stay>>,
    pub condensate: Vec<Placed<CondensateEntry>>,
    pub hour_meters: Vec<Placed<HourMeterEntry>>,
    pub pauses: Vec<Placed<Pause>>,
    pub billed: Vec<Placed<BilledDays>>,
    pub readings: Vec<Placed<Reading>>,
    pub air_readings: Vec<Placed<AirReading>>,
    pub visits: Vec<Placed<Visit>>,
}

/// As [`parse`], for files found under these names; `earlier` are the faults of files that could not be read as text.
pub(crate) fn parse_named(files: &JobFiles, names: &Names, earlier: Vec<Fault>) -> Result<Job, Faults> {
    let desk = Desk::new(Head::default().zone);
    if earlier.iter().any(|fault| *fault.at.file == *names.job_toml) {
        desk.job_known.set(false);
    }
    let mut listed = Listed::default();
    let text = TomlText::new(&names.job_toml, plain(files.job_toml.as_deref().unwrap_or("")));
    let root = text.parse(&desk);
    if root.is_none() {
        desk.job_known.set(false);
    }
    let root = root.unwrap_or_default();
    let mut tables = text.entries(&desk, &root);
    let mut table = |info: &keys::TableInfo| tables.remove(info.name).unwrap_or_default();

    let head = table(&keys::JOB).first().map_or_else(Head::default, |entry| job::read(&desk, entry));
    let category = job::categories(&desk, &head, &table(&keys::CATEGORY));
    let class = job::classes(&desk, &head, &table(&keys::CLASS));
    let chambers = chamber::read(&desk, &mut listed, &table(&keys::CHAMBER));
    let loggers = logger::read(&desk, &table(&keys::LOGGER));
    let side_by_side = logger::read_side_by_side(&desk, &table(&keys::SIDE_BY_SIDE));
    let meters = point::read_meters(&desk, &mut listed, &table(&keys::METER));
    let materials = point::read_materials(&desk, &mut listed, &table(&keys::MATERIAL));
    let points = point::read_points(&desk, &mut listed, &materials, &table(&keys::POINT));
    let stays = stays(&desk, &mut listed, files, names, table(&keys::EQUIPMENT));
    let condensate = equipment::read_condensate(&desk, &table(&keys::CONDENSATE));
    let hour_meters = equipment::read_hour_meters(&desk, &table(&keys::HOUR_METER));
    let pauses = equipment::read_pauses(&desk, &table(&keys::PAUSE));
    let billed = equipment::read_billed(&desk, &table(&keys::BILLED));

    let sheet = |name: &str, info, text: &Option<String>| {
        text.as_deref().and_then(|text| Sheet::parse(&desk, name, info, &["time"], plain(text)))
    };
    let readings = sheet(&names.readings, &keys::READINGS, &files.readings)
        .map_or_else(Vec::new, |sheet| reading::read(&desk, &points, &sheet));
    let air_readings =
        sheet(&names.air, &keys::AIR, &files.air).map_or_else(Vec::new, |sheet| air::read(&desk, &sheet));
    let visits =
        sheet(&names.visits, &keys::VISITS, &files.visits).map_or_else(Vec::new, |sheet| visit::read(&desk, &sheet));

    let draft = Draft {
        head,
        category,
        class,
        chambers,
        loggers,
        side_by_side,
        meters,
        materials,
        points,
        stays,
        condensate,
        hour_meters,
        pauses,
        billed,
        readings,
        air_readings,
        visits,
    };
    desk.resolve(&listed);
    check::check(&desk, &draft);
    let mut faults = earlier;
    faults.extend(desk.into_faults());
    if faults.is_empty() { Ok(draft.job(file_names(files, names))) } else { Err(Faults::sorted(faults)) }
}

fn stays(
    desk: &Desk,
    listed: &mut Listed,
    files: &JobFiles,
    names: &Names,
    tables: Vec<Entry<'_>>,
) -> Vec<Placed<Stay>> {
    let first_table = tables.first().and_then(|entry| entry.at.line);
    let in_toml = equipment::read(desk, listed, tables);
    let Some(text) = files.equipment.as_deref() else { return in_toml };
    let sheet = Sheet::parse(desk, &names.equipment, &keys::EQUIPMENT, &["placed", "removed"], plain(text));
    let in_csv = sheet.map_or_else(Vec::new, |sheet| equipment::read(desk, listed, sheet.entries()));
    match first_table {
        None => in_csv,
        Some(line) => {
            desk.fault(&Spot::file(&names.equipment.as_str().into()), FaultKind::EquipmentTwice { line });
            in_toml
        }
    }
}

impl Draft {
    fn job(self, files: Vec<String>) -> Job {
        let mut job = Job {
            number: self.head.number,
            title: self.head.title,
            claim: self.head.claim,
            zone: self.head.zone,
            pressure: self.head.pressure,
            pressure_accuracy: self.head.pressure_accuracy,
            loss_at: self.head.loss_at,
            category: self.category,
            class: self.class,
            equipment_day: self.head.equipment_day,
            pull_window: self.head.pull_window,
            pull_window_stated: self.head.pull_window_stated,
            confirm_readings: self.head.confirm_readings,
            date_order: self.head.date_order,
            chambers: items(self.chambers),
            loggers: items(self.loggers),
            side_by_side: items(self.side_by_side),
            meters: items(self.meters),
            materials: items(self.materials),
            points: items(self.points),
            equipment: items(self.stays),
            condensate: items(self.condensate),
            hour_meters: items(self.hour_meters),
            pauses: items(self.pauses),
            billed: items(self.billed),
            readings: items(self.readings),
            air_readings: items(self.air_readings),
            visits: items(self.visits),
            files,
        };
        job.equipment.sort_by(|a, b| (&a.unit, a.placed).cmp(&(&b.unit, b.placed)));
        job.condensate.sort_by_key(|entry| entry.time);
        job.hour_meters.sort_by_key(|entry| entry.time);
        job.readings.sort_by_key(|reading| reading.time);
        job.air_readings.sort_by_key(|reading| reading.time);
        job.visits.sort_by_key(|visit| visit.time);
        job
    }
}

fn items<T>(placed: Vec<Placed<T>>) -> Vec<T> {
    placed.into_iter().map(|placed| placed.item).collect()
}

fn file_names(files: &JobFiles, names: &Names) -> Vec<String> {
    let mut read: Vec<String> = [
        (&files.job_toml, &names.job_toml),
        (&files.readings, &names.readings),
        (&files.air, &names.air),
        (&files.visits, &names.visits),
        (&files.equipment, &names.equipment),
    ]
    .into_iter()
    .filter(|(text, _)| text.is_some())
    .map(|(_, name)| name.clone())
    .collect();
    read.sort();
    read
}

/// A text without a byte order mark.
fn plain(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}
