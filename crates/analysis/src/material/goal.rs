//! The goal of a point: its own, else its material's, else common practice from the dry standard.

use grainfall_job::{DryStandard, GoalValue, Job, Point, Scale};

use crate::evidence::{DryStandardEvidence, GoalBasis, GoalEvidence};
use crate::rules::{RELATIVE_OVER_DRY_STANDARD, WOOD_ABOVE_DRY_STANDARD, WOOD_GOAL_CAP};
use crate::words::number;

/// The scale the goal is on: the goal's own, else the point's.
pub(crate) fn scale(job: &Job, point: &Point) -> Scale {
    written(job, point).and_then(|(goal, _)| goal.scale).unwrap_or(point.scale)
}

/// The goal; `None` when nobody wrote one and no dry standard allows the common practice.
pub(crate) fn of_point(job: &Job, point: &Point, dry_standard: Option<&DryStandardEvidence>) -> Option<GoalEvidence> {
    let scale = scale(job, point);
    if let Some((goal, basis)) = written(job, point) {
        let source = if basis == GoalBasis::Point { "written for the point" } else { "written for its material" };
        return Some(GoalEvidence {
            value: goal.value,
            basis,
            text: format!("at most {} {}, {source}", number(goal.value, 2), scale.unit()),
        });
    }
    let standard = dry_standard?.value;
    let value = common_practice(scale, standard)?;
    let rule = match scale {
        Scale::WoodMc => format!(
            "within {} points of the dry standard {} and not above {} % MC unless the dry standard is",
            number(WOOD_ABOVE_DRY_STANDARD, 1),
            number(standard, 2),
            number(WOOD_GOAL_CAP, 1)
        ),
        _ => {
            format!("at most {} times the dry standard {}", number(RELATIVE_OVER_DRY_STANDARD, 2), number(standard, 2))
        }
    };
    Some(GoalEvidence {
        value,
        basis: GoalBasis::CommonPractice,
        text: format!("at most {} {}: {rule} (common practice, no source)", number(value, 2), scale.unit()),
    })
}

/// Why a point has no goal, and the line that gives it one.
pub(crate) fn why_none(job: &Job, point: &Point) -> (String, String) {
    let scale = scale(job, point);
    let (of_point, word) = (format!("job.toml, [[point]] id = \"{}\"", point.id), scale.word());
    if common_practice(scale, 0.0).is_none() {
        let why = format!("no goal is written, and on the scale {word} none follows from a dry standard");
        return (why, format!("{of_point}: goal = ..."));
    }
    match &point.dry_standard {
        Some(DryStandard::ReferencePoints(points)) => (
            format!(
                "no goal is written and its dry standard is not known: no reading of {} on its scale",
                points.join(", ")
            ),
            format!("readings.csv: time, {}, value, {word}", points.join(" or ")),
        ),
        _ => (
            "no goal is written and no dry standard is known".to_owned(),
            format!("{of_point}: goal = ... or dry_standard = ..."),
        ),
    }
}

/// The default goal from a dry standard; `None` for scales without one.
fn common_practice(scale: Scale, dry_standard: f64) -> Option<f64> {
    match scale {
        // Where the dry standard itself is above the cap, the cap gives way to it and to no more.
        Scale::WoodMc => Some((dry_standard + WOOD_ABOVE_DRY_STANDARD).min(WOOD_GOAL_CAP).max(dry_standard)),
        Scale::Relative => Some(dry_standard * RELATIVE_OVER_DRY_STANDARD),
        Scale::WoodEquivalent | Scale::Gypsum | Scale::ConcreteRh => None,
    }
}

fn written(job: &Job, point: &Point) -> Option<(GoalValue, GoalBasis)> {
    if let Some(goal) = point.goal {
        return Some((goal, GoalBasis::Point));
    }
    let kind = point.material.as_ref()?;
    let material = job.materials.iter().find(|material| material.kind == *kind)?;
    let goal = material.goal?;
    // A material's goal is on the material's scale unless it says otherwise; at a point on another scale it says nothing.
    let scale = goal.scale.or(material.scale).unwrap_or(point.scale);
    (scale == point.scale).then_some((goal, GoalBasis::Material))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wood_stays_within_four_points_and_under_the_cap() {
        for (standard, goal) in [(8.0, 12.0), (12.0, 16.0), (14.0, 16.0), (17.0, 17.0)] {
            assert!((common_practice(Scale::WoodMc, standard).unwrap() - goal).abs() < 1e-12, "{standard}");
        }
    }

    #[test]
    fn relative_scales_allow_a_tenth() {
        assert!((common_practice(Scale::Relative, 40.0).unwrap() - 44.0).abs() < 1e-9);
    }

    #[test]
    fn other_scales_have_no_default() {
        for scale in [Scale::WoodEquivalent, Scale::Gypsum, Scale::ConcreteRh] {
            assert_eq!(common_practice(scale, 10.0), None);
        }
    }
}
