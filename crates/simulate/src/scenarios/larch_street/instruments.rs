//! Loggers, their exports, and meters of Larch Street.

use super::at;
use crate::Error;
use crate::scenario::{
    AirSource, Bias, Export, Flag, Flaws, Logger, Meter, MeterResponse, Scale, Shape, StampClock, TextColumn,
};

pub(super) fn loggers() -> Result<Vec<Logger>, Error> {
    let from = at("06 11:00")?;
    let to = at("13 12:15")?;
    let logger = |serial: &str, source: AirSource, interval_min| Logger {
        serial: serial.to_owned(),
        stated: source.clone(),
        source,
        interval_min,
        from,
        to,
        clock: StampClock::Wall,
        clock_ahead_s: 0,
        temp_limit_k: 0.5 / 1.8,
        rh_limit_pct: 2.0,
        bias: Bias::Drawn,
        calibrated: Some("2025-06-03".to_owned()),
        flaws: Flaws::default(),
    };
    let chamber = |id: &str| AirSource::Chamber(id.to_owned());
    let inlet = |unit: &str| AirSource::Inlet(unit.to_owned());
    let outlet = |unit: &str| AirSource::Outlet(unit.to_owned());
    let mut outdoor = logger("G-1041", AirSource::Outdoor, 15);
    outdoor.flaws.flags.push(Flag { at: at("08 21:00")?, column: TextColumn::Rh, text: "wet sensor".to_owned() });
    let unaffected = logger("G-1042", AirSource::Unaffected, 15);
    let mut affected_a = logger("G-1043", chamber("A"), 15);
    affected_a.flaws.repeated = vec![at("07 09:15")?, at("10 14:30")?];
    let mut affected_b = logger("K7", chamber("B"), 15);
    affected_b.flaws.gaps.push((at("09 13:20")?, at("09 14:50")?));
    affected_b.flaws.flags.push(Flag { at: at("11 04:00")?, column: TextColumn::Temp, text: "low battery".to_owned() });
    let mut inlet_2 = logger("K8", inlet("D2"), 15);
    inlet_2.flaws.repeated = vec![at("08 16:00")?];
    let mut outlet_2 = logger("K9", outlet("D2"), 15);
    // The loggers of a unit leave with it.
    inlet_2.to = at("12 10:40")?;
    outlet_2.to = at("12 10:40")?;
    let (mut inlet_1, mut outlet_1) = (logger("B-301", inlet("D1"), 10), logger("B-302", outlet("D1"), 10));
    inlet_1.to = at("13 11:30")?;
    outlet_1.to = at("13 11:30")?;
    // A small difference of two airs, one of them hot, is all that tells of a unit: it gets the closest sensors.
    for logger in [&mut inlet_1, &mut outlet_1, &mut inlet_2, &mut outlet_2] {
        logger.rh_limit_pct = 1.0;
        logger.temp_limit_k = 0.4 / 1.8;
    }
    Ok(vec![outdoor, unaffected, affected_a, inlet_1, outlet_1, affected_b, inlet_2, outlet_2])
}

pub(super) fn exports() -> Vec<Export> {
    let export = |file: &str, shape, loggers: &[&str]| Export {
        file: file.to_owned(),
        shape,
        loggers: loggers.iter().map(|serial| (*serial).to_owned()).collect(),
    };
    vec![
        export("loggers/outdoor.csv", Shape::PreambleComma, &["G-1041"]),
        export("loggers/upstairs-hall.csv", Shape::PreambleComma, &["G-1042"]),
        export("loggers/living-room.csv", Shape::PreambleComma, &["G-1043"]),
        export("loggers/d1-channels.csv", Shape::WideSemicolon, &["B-301", "B-302"]),
        export("loggers/bathroom.tsv", Shape::LongTab, &["K7", "K8", "K9"]),
    ]
}

pub(super) fn meters() -> Vec<Meter> {
    vec![
        Meter {
            id: "M1".to_owned(),
            kind: "pin".to_owned(),
            scales: vec![Scale::Wood],
            accuracy: 1.0,
            resolution: 0.1,
            highest: 40.0,
            response: MeterResponse::Content,
            serial: "PM-2207".to_owned(),
            calibrated: Some("2025-08-19".to_owned()),
        },
        Meter {
            id: "M2".to_owned(),
            kind: "non-invasive".to_owned(),
            scales: vec![Scale::Relative],
            accuracy: 1.5,
            resolution: 1.0,
            highest: 100.0,
            response: MeterResponse::Level { base: 10.0, gain: 3.0 },
            serial: "NI-0931".to_owned(),
            calibrated: Some("2025-08-19".to_owned()),
        },
    ]
}
