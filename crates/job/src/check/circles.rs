//! What rests on what: parents of chambers, and dry standards on reference points of the same kind.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::fault::FaultKind;
use crate::job_text::Draft;
use crate::model::{DryStandard, Point, PointRole};
use crate::read::desk::Desk;
use crate::read::entry::Placed;

pub(super) fn check(desk: &Desk, draft: &Draft) {
    let parents: BTreeMap<&str, Vec<&str>> = draft
        .chambers
        .iter()
        .map(|chamber| (chamber.item.id.as_str(), chamber.item.parent.iter().map(String::as_str).collect()))
        .collect();
    for (id, path) in circles(draft.chambers.iter().map(|chamber| chamber.item.id.as_str()), &parents) {
        if let Some(chamber) = draft.chambers.iter().find(|chamber| chamber.item.id == id) {
            desk.fault(chamber.spots.of("parent"), FaultKind::Circle { key: "parent", path });
        }
    }
    let points: BTreeMap<&str, &Placed<Point>> =
        draft.points.iter().map(|point| (point.item.id.as_str(), point)).collect();
    let standards: BTreeMap<&str, Vec<&str>> =
        points.iter().map(|(id, point)| (*id, named(&point.item).iter().map(String::as_str).collect())).collect();
    for (id, path) in circles(draft.points.iter().map(|point| point.item.id.as_str()), &standards) {
        if let Some(point) = points.get(id) {
            desk.fault(point.spots.of("dry_standard"), FaultKind::Circle { key: "dry_standard", path });
        }
    }
    for point in &draft.points {
        for id in named(&point.item).iter().filter(|id| **id != point.item.id) {
            if let Some(reference) = points.get(id.as_str()) {
                comparable(desk, point, reference);
            }
        }
    }
}

fn named(point: &Point) -> &[String] {
    match &point.dry_standard {
        Some(DryStandard::ReferencePoints(ids)) => ids,
        _ => &[],
    }
}

fn comparable(desk: &Desk, point: &Placed<Point>, reference: &Placed<Point>) {
    let at = point.spots.of("dry_standard");
    let (id, line) = (reference.item.id.clone(), reference.spots.line());
    if reference.item.role != PointRole::Reference {
        desk.fault(at, FaultKind::NotAReference { id, line });
        return;
    }
    let differs = |what, found: &str, expected: &str| FaultKind::OtherReference {
        point: point.item.id.clone(),
        id: id.clone(),
        line,
        what,
        found: found.to_owned(),
        expected: expected.to_owned(),
    };
    if let (Some(found), Some(expected)) = (&reference.item.material, &point.item.material)
        && found != expected
    {
        desk.fault(at, differs("material", found, expected));
    }
    let (found, expected) = (reference.item.scale, point.item.scale);
    if found != expected {
        desk.fault(at, differs("scale", found.word(), expected.word()));
    }
}

/// Circles among links, each once: the id it is found at, in the given order, and the ids along it.
fn circles<'a>(
    ids: impl Iterator<Item = &'a str>,
    links: &BTreeMap<&'a str, Vec<&'a str>>,
) -> Vec<(&'a str, Vec<String>)> {
    let mut told: BTreeSet<&str> = BTreeSet::new();
    let mut found = Vec::new();
    for id in ids {
        if told.contains(id) {
            continue;
        }
        if let Some(path) = way_back(id, links) {
            told.extend(path.iter().copied());
            found.push((id, path.into_iter().map(str::to_owned).collect()));
        }
    }
    found
}

/// The shortest way along links from an id back to itself, with the id at both ends.
fn way_back<'a>(start: &'a str, links: &BTreeMap<&'a str, Vec<&'a str>>) -> Option<Vec<&'a str>> {
    let mut came_from: BTreeMap<&str, &str> = BTreeMap::new();
    let mut queue = VecDeque::from([start]);
    while let Some(id) = queue.pop_front() {
        for next in links.get(id).into_iter().flatten().copied() {
            if next == start {
                let mut path = vec![start, id];
                let mut at = id;
                while at != start {
                    at = came_from.get(at).copied()?;
                    path.push(at);
                }
                if id == start {
                    path.pop();
                    path.push(start);
                }
                path.reverse();
                return Some(path);
            }
            if links.contains_key(next) && !came_from.contains_key(next) {
                came_from.insert(next, id);
                queue.push_back(next);
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_back_is_found_and_told_once() {
        let links = BTreeMap::from([("a", vec!["b"]), ("b", vec!["c", "d"]), ("c", vec!["b"]), ("d", vec!["d"])]);
        assert_eq!(way_back("a", &links), None);
        assert_eq!(way_back("b", &links), Some(vec!["b", "c", "b"]));
        assert_eq!(way_back("d", &links), Some(vec!["d", "d"]));
        let told: Vec<_> = circles(["a", "b", "c", "d"].into_iter(), &links).into_iter().map(|(id, _)| id).collect();
        assert_eq!(told, ["b", "d"]);
    }
}
