//! Visits to Larch Street.

use super::at;
use crate::Error;
use crate::scenario::{AirSource, PlannedAir, PlannedReading, Visit, What};

/// A visit in progress: entries follow one another by the minutes given.
struct Walk {
    visit: Visit,
    minutes: i64,
}

impl Walk {
    fn new(arrival: &str, by: &str, reason: &str, note: &str) -> Result<Self, Error> {
        let credential = match by {
            "MO" => "lead technician, invented certificate T-118",
            _ => "technician, invented certificate T-204",
        };
        Ok(Self {
            visit: Visit {
                at: at(arrival)?,
                by: by.to_owned(),
                credential: credential.to_owned(),
                instruments: "meters M1 and M2, hygrometer H1".to_owned(),
                reason: reason.to_owned(),
                photos: String::new(),
                note: note.to_owned(),
                readings: Vec::new(),
                air: Vec::new(),
                condensate: Vec::new(),
                hour_meters: Vec::new(),
            },
            minutes: 4,
        })
    }

    fn read(&mut self, point: &str, what: What, note: &str) {
        self.visit.readings.push(PlannedReading {
            point: point.to_owned(),
            after_min: self.minutes,
            what,
            note: note.to_owned(),
        });
        self.minutes += 3;
    }

    /// The points in the order walked; wood is read with the temperature of its surface.
    fn read_all(&mut self, points: &[&str]) {
        for point in points {
            let wood = !matches!(*point, "P4" | "P5" | "P8" | "R2");
            self.read(point, if wood { What::ValueAndSurface } else { What::Value }, "");
        }
    }

    fn air(&mut self, sources: &[AirSource]) {
        for source in sources {
            self.visit.air.push(PlannedAir { source: source.clone(), after_min: self.minutes });
            self.minutes += 2;
        }
    }

    fn machines(&mut self, condensate: &[&str], hour_meters: &[&str]) {
        let entry = |unit: &&str| ((*unit).to_owned(), self.minutes);
        self.visit.condensate = condensate.iter().map(entry).collect();
        self.visit.hour_meters = hour_meters.iter().map(entry).collect();
    }
}

pub(super) fn visits() -> Result<Vec<Visit>, Error> {
    let chamber = |id: &str| AirSource::Chamber(id.to_owned());
    let outlet = |unit: &str| AirSource::Outlet(unit.to_owned());
    let rooms = [AirSource::Outdoor, AirSource::Unaffected, chamber("A"), chamber("B")];
    let with = |outlets: &[&str]| -> Vec<AirSource> {
        rooms.iter().cloned().chain(outlets.iter().map(|unit| outlet(unit))).collect()
    };
    let daily = "daily monitoring";

    let mut first =
        Walk::new("06 09:38", "MO", "inspection and set-up", "water shut off; wet carpet pad and baseboard taken out")?;
    first.visit.photos = "0001-0038".to_owned();
    first.read_all(&["R1", "R2", "P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8"]);
    first.air(&rooms);

    let mut day_2 = Walk::new("07 08:47", "JT", daily, "")?;
    day_2.read_all(&["P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8"]);
    day_2.air(&with(&["D1", "D2"]));
    day_2.machines(&["D1", "D2"], &["D1"]);

    let mut day_3 = Walk::new(
        "08 09:12",
        "JT",
        daily,
        "unit D1 found running; its breaker had tripped in the night and was reset by the occupant",
    )?;
    day_3.visit.photos = "0039-0044".to_owned();
    day_3.read_all(&["P1", "P2", "P3"]);
    day_3.read("P3", What::Value, "second spot, 1 ft nearer to the stairs");
    day_3.read_all(&["P4", "P5", "P6", "P7", "P8"]);
    day_3.air(&with(&["D1", "D2"]));
    day_3.machines(&[], &["D1"]);

    let mut day_4 = Walk::new("09 08:33", "MO", daily, "")?;
    day_4.read_all(&["P1", "P2", "P3", "P4"]);
    day_4.read("P5", What::NoReading("no access: furniture stacked against the wall".to_owned()), "");
    day_4.read_all(&["P6", "P7", "P8"]);
    day_4.air(&with(&["D1", "D2"]));
    day_4.machines(&["D1", "D2"], &["D1"]);

    let mut day_5 = Walk::new("10 09:21", "JT", daily, "air movers F7 and F8 taken out of chamber B")?;
    day_5.read_all(&["P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8"]);
    day_5.air(&with(&["D1", "D2"]));
    day_5.machines(&["D1"], &["D1"]);

    let mut day_6 = Walk::new("11 08:55", "JT", daily, "")?;
    day_6.read_all(&["P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8"]);
    day_6.air(&with(&["D1", "D2"]));
    day_6.machines(&["D1"], &["D1"]);

    let mut day_7 = Walk::new("12 09:44", "MO", daily, "D2 and F9 taken out of chamber B")?;
    day_7.read_all(&["P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8"]);
    day_7.air(&with(&["D1", "D2"]));
    day_7.machines(&["D1", "D2"], &["D1"]);

    let mut last = Walk::new("13 09:08", "JT", "final readings and removal", "all equipment taken out of chamber A")?;
    last.visit.photos = "0045-0061".to_owned();
    last.read_all(&["P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8", "R1", "R2"]);
    last.air(&with(&["D1"]));
    last.machines(&["D1"], &["D1"]);

    Ok([first, day_2, day_3, day_4, day_5, day_6, day_7, last].into_iter().map(|walk| walk.visit).collect())
}
