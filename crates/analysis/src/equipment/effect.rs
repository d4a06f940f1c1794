//! What a unit did in an equipment-day: printed beside the verdict, never overruling it.

use chrono::{DateTime, Utc};

use crate::air::AirAnalysis;
use crate::evidence::Effect;

/// What the unit did over a period; `None` for a unit whose outlet air is not logged, so that nothing is known of it.
pub(crate) fn over(air: &AirAnalysis, unit: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<Effect> {
    air.unit_air.iter().find(|one| one.unit == unit && one.why_not.is_none())?;
    let totals = air.unit_over(unit, from, to)?;
    Some(Effect {
        running_h: totals.running_h,
        did_not_run_h: totals.stopped_h,
        paused_h: totals.paused_h,
        not_shown_h: totals.not_shown_h,
        depression_gpp: totals.depression.map(|(mean, _)| mean),
        u_depression_gpp: totals.depression.map(|(_, u)| u),
        within_uncertainty: totals.within_uncertainty(),
        water_kg: totals.water.map(|(kg, _)| kg),
        u_water_kg: totals.water.map(|(_, u)| u),
    })
}
