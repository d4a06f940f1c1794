//! Equipment of Larch Street.

use super::at;
use crate::Error;
use crate::scenario::{DehumidifierModel, Kind, Machine, Stay};

/// Cubic metres per second in a cubic foot per minute.
const CFM: f64 = 0.028_316_846_592 / 60.0;

/// A stay as these lists write it.
struct Placing<'a> {
    unit: &'a str,
    chamber: &'a str,
    placed: &'a str,
    removed: &'a str,
    placed_reason: &'a str,
    removed_reason: &'a str,
    billed_days: Option<f64>,
}

impl Placing<'_> {
    fn stay(&self, number: usize, kind: Kind, machine: Machine) -> Result<Stay, Error> {
        Ok(Stay {
            unit: self.unit.to_owned(),
            asset: Some(format!("{}", 3100 + 7 * number)),
            kind,
            purpose: None,
            chambers: vec![self.chamber.to_owned()],
            points: Vec::new(),
            placed: at(self.placed)?,
            placed_by: "MO".to_owned(),
            placed_reason: self.placed_reason.to_owned(),
            removed: Some(at(self.removed)?),
            removed_by: Some("JT".to_owned()),
            removed_reason: Some(self.removed_reason.to_owned()),
            airflow: None,
            rated_capacity: None,
            rated_condition: None,
            billed_days: self.billed_days,
            hour_meter_start_h: None,
            machine,
        })
    }
}

pub(super) fn stays() -> Result<Vec<Stay>, Error> {
    let met_a = "goals of chamber A met";
    let met_b = "goals of chamber B met";
    let d1 = Placing {
        unit: "D1",
        chamber: "A",
        placed: "06 11:10",
        removed: "13 11:35",
        placed_reason: "wet subfloor and walls in living room and hall",
        removed_reason: met_a,
        billed_days: Some(8.0),
    };
    let d2 = Placing {
        unit: "D2",
        chamber: "B",
        placed: "06 11:30",
        removed: "12 10:40",
        placed_reason: "wet subfloor and plaster in bathroom and closet",
        removed_reason: "chamber B dry; taken out with the next truck",
        billed_days: Some(7.0),
    };
    let mut stays = vec![
        Stay {
            airflow: Some("250 cfm".to_owned()),
            rated_capacity: Some("130 pint/day".to_owned()),
            rated_condition: Some("80 F 60 %".to_owned()),
            hour_meter_start_h: Some(1482.3),
            ..d1.stay(
                0,
                Kind::DehumidifierLowGrain,
                Machine::Dehumidifier(DehumidifierModel {
                    airflow_m3_s: 0.98 * 250.0 * CFM,
                    contact_share: 0.52,
                    coil_temp_c: 2.0,
                    limit_kg_s: 9.0e-4,
                    power_w: 720.0,
                }),
            )?
        },
        Stay {
            airflow: Some("150 cfm".to_owned()),
            rated_capacity: Some("70 pint/day".to_owned()),
            rated_condition: Some("80 F 60 %".to_owned()),
            ..d2.stay(
                1,
                Kind::DehumidifierLowGrain,
                Machine::Dehumidifier(DehumidifierModel {
                    airflow_m3_s: 1.03 * 150.0 * CFM,
                    contact_share: 0.45,
                    coil_temp_c: 2.5,
                    limit_kg_s: 5.0e-4,
                    power_w: 480.0,
                }),
            )?
        },
    ];
    let mover = |unit, chamber, placed, removed, removed_reason, billed_days| Placing {
        unit,
        chamber,
        placed,
        removed,
        placed_reason: "air over wet surfaces",
        removed_reason,
        billed_days,
    };
    let movers = [
        mover("F1", "A", "06 11:20", "13 10:50", met_a, Some(7.0)),
        mover("F2", "A", "06 11:22", "13 10:52", met_a, Some(7.0)),
        mover("F3", "A", "06 11:24", "13 10:55", met_a, None),
        mover("F4", "A", "06 11:26", "13 10:57", met_a, None),
        mover("F5", "A", "06 11:28", "13 11:00", met_a, None),
        mover("F6", "A", "06 11:29", "13 11:02", met_a, None),
        mover("F7", "B", "06 11:34", "10 10:15", met_b, Some(4.0)),
        mover("F8", "B", "06 11:36", "10 10:18", met_b, None),
        mover("F9", "B", "06 11:38", "12 10:45", "chamber B dry; taken out with the next truck", Some(6.0)),
    ];
    for mover in &movers {
        stays.push(mover.stay(
            stays.len(),
            Kind::AirMover,
            Machine::AirMover { power_w: if mover.chamber == "A" { 190.0 } else { 150.0 } },
        )?);
    }
    let scrubber = Placing {
        unit: "S1",
        chamber: "A",
        placed: "06 11:45",
        removed: "08 10:05",
        placed_reason: "dust from removing baseboard and carpet pad",
        removed_reason: "removal work finished",
        billed_days: None,
    };
    stays.push(Stay {
        purpose: Some("air cleaning".to_owned()),
        airflow: Some("500 cfm".to_owned()),
        ..scrubber.stay(stays.len(), Kind::AirScrubber, Machine::Heat { power_w: 190.0 })?
    });
    Ok(stays)
}
