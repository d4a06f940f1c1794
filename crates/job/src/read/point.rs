//! `[[meter]]`, `[[material]]` and `[[point]]`.

use std::collections::BTreeMap;

use grainfall_psychrometrics::wood_resistance::SpeciesCoefficients;
use toml::de::DeValue;

use super::desk::{Desk, Listed, Target};
use super::entry::{Entry, Placed, Raw, toml_number};
use super::logger::selector;
use super::scale::{MOST, read_scale};
use super::time;
use crate::fault::FaultKind;
use crate::keys;
use crate::model::{
    DryStandard, Ended, Material, Meter, MeterCorrection, MovedTo, Point, PointLogger, PointRole, Scale, Species,
};

/// The meters of the file.
pub(crate) fn read_meters(desk: &Desk, listed: &mut Listed, entries: &[Entry<'_>]) -> Vec<Placed<Meter>> {
    entries.iter().filter_map(|entry| meter(desk, listed, entry)).collect()
}

/// The materials of the file.
pub(crate) fn read_materials(desk: &Desk, listed: &mut Listed, entries: &[Entry<'_>]) -> Vec<Placed<Material>> {
    entries.iter().filter_map(|entry| material(desk, listed, entry)).collect()
}

/// The points of the file; a point without a scale takes its material's.
pub(crate) fn read_points(
    desk: &Desk,
    listed: &mut Listed,
    materials: &[Placed<Material>],
    entries: &[Entry<'_>],
) -> Vec<Placed<Point>> {
    let scales: BTreeMap<&str, Option<Scale>> =
        materials.iter().map(|material| (material.item.kind.as_str(), material.item.scale)).collect();
    entries.iter().filter_map(|entry| point(desk, listed, &scales, entry)).collect()
}

fn meter(desk: &Desk, listed: &mut Listed, entry: &Entry<'_>) -> Option<Placed<Meter>> {
    let id = entry.text(desk, "id");
    let scales = entry.texts(desk, "scales");
    let scales = scales.into_iter().filter_map(|(text, at)| read_scale(desk, &at, "scales", &text)).collect();
    let kind = entry.text(desk, "kind");
    let accuracy = entry.number(desk, "accuracy", 0.0..=MOST);
    let words = [
        ("temperature", MeterCorrection::Temperature),
        ("temperature and species", MeterCorrection::TemperatureAndSpecies),
    ];
    let correction = entry.word(desk, "correct", &words);
    let serial = entry.text(desk, "serial");
    let calibrated = entry.date(desk, "calibrated");
    let id = id?;
    listed.add(Target::Meter, &id);
    Some(entry.placed(Meter { id, kind, scales, accuracy, correction, serial, calibrated, line: entry.row() }))
}

/// The keys of a species correction: all of them or none.
const SPECIES: [&str; 3] = ["species_a", "species_b", "species_source"];

fn material(desk: &Desk, listed: &mut Listed, entry: &Entry<'_>) -> Option<Placed<Material>> {
    let kind = entry.text(desk, "kind");
    let scale = entry.scale(desk, "scale");
    let goal = entry.goal(desk, "goal");
    for key in SPECIES {
        for other in SPECIES.into_iter().filter(|other| *other != key) {
            entry.needs(desk, key, &[other]);
        }
    }
    let a = entry.number(desk, "species_a", 0.1..=10.0);
    let b = entry.number(desk, "species_b", -20.0..=20.0);
    let source = entry.text(desk, "species_source");
    let species =
        a.zip(b).zip(source).map(|((a, b), source)| Species { coefficients: SpeciesCoefficients { a, b }, source });
    let kind = kind?;
    listed.add(Target::Material, &kind);
    Some(entry.placed(Material { kind, scale, goal, species, line: entry.row() }))
}

fn point(
    desk: &Desk,
    listed: &mut Listed,
    materials: &BTreeMap<&str, Option<Scale>>,
    entry: &Entry<'_>,
) -> Option<Placed<Point>> {
    let id = entry.text(desk, "id");
    if let Some(id) = &id {
        listed.add(Target::Point, id);
    }
    let chamber = entry.reference(desk, "chamber", Target::Chamber);
    entry.needs(desk, "moved", &["chamber"]);
    let moved = moved(desk, entry);
    let material = entry.reference(desk, "material", Target::Material);
    let own_scale = entry.scale(desk, "scale");
    let roles = [("drying", PointRole::Drying), ("reference", PointRole::Reference)];
    let role = entry.word(desk, "role", &roles);
    let dry_standard = dry_standard(desk, entry);
    let goal = entry.goal(desk, "goal");
    let logger = selector(desk, entry, "logger", "logger_file", "logger_channel").map(|select| PointLogger { select });
    entry.needs(desk, "ended", &["ended_reason"]);
    entry.needs(desk, "ended_reason", &["ended"]);
    let ended_at = entry.time(desk, "ended");
    let ended_reason = entry.text(desk, "ended_reason");
    let location = entry.text(desk, "location");
    let depth = entry.text(desk, "depth");
    let id = id?;
    let described = material.as_deref().and_then(|kind| materials.get(kind));
    let scale = own_scale.or_else(|| described.copied().flatten());
    if scale.is_none() && !entry.has("scale") {
        let material = match (&material, described) {
            (None, _) => "a material (it names none)".to_owned(),
            (Some(kind), Some(_)) => format!("its material `{kind}`"),
            (Some(kind), None) => format!("its material `{kind}`, which no `[[material]]` describes"),
        };
        let accepts = keys::POINT.key("scale").map_or("", |key| key.accepts);
        desk.fault(&entry.at, FaultKind::PointWithoutScale { id: id.clone(), material, accepts });
    }
    // An unreadable role is a fault already; it must not make the point a drying point without a chamber as well.
    if chamber.is_none()
        && !entry.has("chamber")
        && role != Some(PointRole::Reference)
        && (role.is_some() || !entry.has("role"))
    {
        desk.fault(&entry.at, FaultKind::PointWithoutChamber { id: id.clone() });
    }
    Some(entry.placed(Point {
        id,
        chamber,
        moved,
        location,
        depth,
        material,
        scale: scale?,
        role: role.unwrap_or(PointRole::Drying),
        dry_standard,
        goal,
        logger,
        ended: ended_at.zip(ended_reason).map(|(at, reason)| Ended { at, reason }),
        line: entry.row(),
    }))
}

/// The chambers a point lies in after its first, in order of time.
fn moved(desk: &Desk, entry: &Entry<'_>) -> Vec<MovedTo> {
    let mut moves: Vec<MovedTo> = Vec::new();
    for item in entry.tables(desk, "moved", &keys::MOVED) {
        let chamber = item.reference(desk, "chamber", Target::Chamber);
        let (Some(chamber), Some(from)) = (chamber, item.time(desk, "from")) else { continue };
        if let Some(last) = moves.last().filter(|last| from <= last.from) {
            let kind = FaultKind::MoveBackwards {
                time: item.spots().written("from").to_owned(),
                before: time::shown(last.from, desk.zone.get().tz),
            };
            desk.fault(item.spots().of("from"), kind);
        }
        moves.push(MovedTo { chamber, from });
    }
    moves
}

fn dry_standard(desk: &Desk, entry: &Entry<'_>) -> Option<DryStandard> {
    let field = entry.field(desk, "dry_standard")?;
    match field.raw {
        Raw::Toml(DeValue::Array(items)) if items.is_empty() => {
            entry.refuse(desk, "dry_standard", field);
            None
        }
        Raw::Toml(DeValue::Array(_) | DeValue::String(_)) => {
            let points = entry.references(desk, "dry_standard", Target::Point);
            (!points.is_empty()).then_some(DryStandard::ReferencePoints(points))
        }
        Raw::Toml(value) => {
            let number = toml_number(value).filter(|number| (0.0..=MOST).contains(number));
            if number.is_none() {
                entry.refuse(desk, "dry_standard", field);
            }
            number.map(DryStandard::Value)
        }
        Raw::Cell(_) => None,
    }
}
