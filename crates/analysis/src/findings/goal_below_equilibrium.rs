//! A goal for wood that the air of the last 24 h cannot bring about.

use super::{Draft, Record};
use crate::evidence::{FindingKind, GoalVerdict, Subject};
use crate::forecast::equilibrium::{last_air, of_wood};
use crate::thresholds::{EQUILIBRIUM_SAMPLE_SHARE, EQUILIBRIUM_WINDOW};
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .points
        .iter()
        .filter(|point| !point.reference && point.ended.is_none() && point.scale == "wood")
        .filter(|point| point.verdict == GoalVerdict::NotMet)
        .filter_map(|point| {
            let goal = point.goal.as_ref()?.value;
            let air = last_air(point.chamber.as_deref()?, record.tracks, record.clock)?;
            let settles_at = of_wood(&air)?;
            (air.sample_share >= EQUILIBRIUM_SAMPLE_SHARE && goal <= settles_at).then(|| Draft {
                kind: FindingKind::GoalBelowEquilibrium,
                subject: Subject::Point(point.id.clone()),
                from: air.from,
                to: Some(air.to),
                text: say!(
                    words,
                    "goal_below_equilibrium.text",
                    point = point.id,
                    goal = number(words, goal, 1),
                    unit = point.unit,
                    equilibrium_window = number(words, hours(EQUILIBRIUM_WINDOW), 0),
                    to = moment(air.to, zone),
                    air_temp_f =
                        number(words, grainfall_psychrometrics::Celsius::new(air.air_temp_c).to_fahrenheit(), 1),
                    air_temp_c = number(words, air.air_temp_c, 1),
                    rh_pct = number(words, air.rh_pct, 1),
                    settles_at = number(words, settles_at, 1)
                ),
                threshold: say!(
                    words,
                    "goal_below_equilibrium.threshold",
                    equilibrium_sample_share = number(words, 100.0 * EQUILIBRIUM_SAMPLE_SHARE, 0)
                ),
                rows: air.rows,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, steady};
    use crate::evidence::{FindingKind, Outlook};
    use crate::testing::{evidence, of_kind, point, reading};
    use grainfall_job::Place;

    /// 25 C / 40 %: 7.6 % MC; 20 C / 65 %: 12.0 % (Wood Handbook equation, C form).
    fn found(air: (f64, f64), samples: usize, goal: f64) -> (usize, Outlook) {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected)];
        job.points = vec![point("P1", goal)];
        job.readings = (6..11)
            .zip([28.0, 22.6, 18.8, 16.1, 14.0])
            .map(|(day, value)| reading(&format!("2025-10-{day:02}T09:00:00Z"), "P1", value))
            .collect();
        let series = steady("W", "2025-10-09T12:00:00Z", 600, samples, air);
        let evidence = evidence(&job, vec![series], "2025-10-10T12:00:00Z");
        let outlook = evidence.points[0].forecast.as_ref().unwrap().outlook;
        (of_kind(&evidence, FindingKind::GoalBelowEquilibrium).len(), outlook)
    }

    #[test]
    fn a_goal_below_what_wood_settles_at() {
        assert_eq!(found((20.0, 65.0), 145, 11.5), (1, Outlook::CannotBeReached));
        assert_eq!(found((25.0, 40.0), 145, 11.5), (0, Outlook::Range));
    }

    #[test]
    fn half_a_day_of_air_says_nothing() {
        assert_eq!(found((20.0, 65.0), 73, 11.5).0, 0);
    }
}
