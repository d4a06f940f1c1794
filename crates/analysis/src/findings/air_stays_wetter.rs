//! Air that stays wetter than the unaffected area after every point of its chamber closed: the points may miss wet
//! material. It changes no verdict.

use super::{Draft, Record};
use crate::evidence::{DifferenceKind, FindingKind, GoalVerdict, Subject};
use crate::thresholds::DAY_LEAST_SHARE;
use crate::words::{moment, number};
use grainfall_words::say;

/// Grains in a gram of water per kilogram: 7000 grains a pound by definition, so 7 GPP are 1 g/kg.
const GPP_PER_G_KG: f64 = 7.0;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for chamber in record.chambers.iter().filter(|chamber| chamber.verdict == GoalVerdict::Met) {
        let Some(met_at) = chamber.met_at else { continue };
        let later = record.differences.iter().filter(|difference| {
            difference.chamber == chamber.id
                && difference.kind == DifferenceKind::AffectedMinusUnaffected
                && difference.mean_gpp > difference.u_gpp
        });
        for difference in later {
            let Some(day) = record.days.iter().find(|day| day.date == difference.date && day.from >= met_at) else {
                continue;
            };
            drafts.push(Draft {
                kind: FindingKind::AirStaysWetter,
                subject: Subject::Chamber(chamber.id.clone()),
                from: day.from,
                to: Some(day.to.min(record.clock)),
                text: say!(
                    words,
                    "air_stays_wetter.text",
                    chamber = chamber.name,
                    met_at = moment(met_at, zone),
                    mean_gpp = number(words, difference.mean_gpp, 1),
                    mean_gpp_g_kg = number(words, difference.mean_gpp / GPP_PER_G_KG, 2),
                    sample_share = if difference.sample_share < DAY_LEAST_SHARE {
                        say!(
                            words,
                            "air_stays_wetter.on_of_the_day",
                            sample_share = number(words, 100.0 * difference.sample_share, 0)
                        )
                    } else {
                        String::new()
                    }
                ),
                threshold: say!(words, "air_stays_wetter.threshold", u_gpp = number(words, difference.u_gpp, 1)),
                rows: Vec::new(),
            });
        }
    }
    drafts
}
