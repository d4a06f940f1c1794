//! The goal of a point: its own, else its material's, else common practice from the dry standard.

use grainfall_job::{DryStandard, GoalValue, Job, Point, Scale};
use grainfall_words::say;

use crate::evidence::{DryStandardEvidence, GoalBasis, GoalEvidence};
use crate::rules::{RELATIVE_OVER_DRY_STANDARD, WOOD_ABOVE_DRY_STANDARD, WOOD_GOAL_CAP};
use crate::words::number;

/// The scale the goal is on: the goal's own, else the point's.
pub(crate) fn scale(job: &Job, point: &Point) -> Scale {
    written(job, point).and_then(|(goal, _)| goal.scale).unwrap_or(point.scale)
}

/// The goal; `None` when nobody wrote one and no dry standard allows the common practice.
pub(crate) fn of_point(job: &Job, point: &Point, dry_standard: Option<&DryStandardEvidence>) -> Option<GoalEvidence> {
    let words = job.zone.words;
    let scale = scale(job, point);
    if let Some((goal, basis)) = written(job, point) {
        let source = if basis == GoalBasis::Point {
            say!(words, "goal.written_for_the_point")
        } else {
            say!(words, "goal.written_for_its_material")
        };
        return Some(GoalEvidence {
            value: goal.value,
            basis,
            text: say!(
                words,
                "goal.at_most",
                value = number(words, goal.value, 2),
                scale = scale.unit(),
                source = source
            ),
        });
    }
    let standard = dry_standard?.value;
    let value = common_practice(scale, standard)?;
    let rule = match scale {
        Scale::WoodMc => say!(
            words,
            "goal.within_points_of_the_dry",
            wood_above_dry_standard = number(words, WOOD_ABOVE_DRY_STANDARD, 1),
            standard = number(words, standard, 2),
            wood_goal_cap = number(words, WOOD_GOAL_CAP, 1)
        ),
        _ => {
            say!(
                words,
                "goal.at_most_times_the_dry",
                relative_over_dry_standard = number(words, RELATIVE_OVER_DRY_STANDARD, 2),
                standard = number(words, standard, 2)
            )
        }
    };
    Some(GoalEvidence {
        value,
        basis: GoalBasis::CommonPractice,
        text: say!(
            words,
            "goal.at_most_common_practice_no",
            value = number(words, value, 2),
            scale = scale.unit(),
            rule = rule
        ),
    })
}

/// Why a point has no goal, and the line that gives it one.
pub(crate) fn why_none(job: &Job, point: &Point) -> (String, String) {
    let words = job.zone.words;
    let scale = scale(job, point);
    let (of_point, word) = (say!(words, "goal.job_toml_point_id", point = point.id), scale.word());
    if common_practice(scale, 0.0).is_none() {
        let why = say!(words, "goal.none_on_this_scale", word = word);
        return (why, say!(words, "goal.goal", of_point = of_point));
    }
    match &point.dry_standard {
        Some(DryStandard::ReferencePoints(points)) => (
            match scale {
                Scale::Relative => say!(words, "goal.no_reference_with_its_meter", points = points.join(", ")),
                _ => say!(words, "goal.no_reference_was_read", points = points.join(", ")),
            },
            say!(words, "goal.readings_csv_time_value", points = points.join(say!(words, "goal.or")), word = word),
        ),
        _ => (
            say!(words, "goal.no_dry_standard").to_owned(),
            say!(words, "goal.goal_or_dry_standard", of_point = of_point),
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
