//! Where an open point's material settles: wood in the affected air of the last 24 h, other scales at the dry standard.

use chrono::{DateTime, Utc};
use grainfall_psychrometrics::wood::equilibrium_moisture;
use grainfall_psychrometrics::{Celsius, RelativeHumidity};

use crate::air::cover::{cells, instants_within, within};
use crate::air::daily::{share, weighted_mean};
use crate::air::instant::micros;
use crate::evidence::{
    AirTrack, DryStandardBasis, Equilibrium, EquilibriumBasis, PointEvidence, SourceRow, TrackPlace,
};
use crate::thresholds::{
    DRY_STANDARD_HIGH_SHARE, DRY_STANDARD_LOW_SHARE, EQUILIBRIUM_SAMPLE_SHARE, EQUILIBRIUM_WINDOW,
    WOOD_EQUILIBRIUM_HALF_WIDTH_PCT,
};

/// Mean air of a chamber over the last 24 h.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LastAir {
    pub air_temp_c: f64,
    pub rh_pct: f64,
    /// Of the best covered logger.
    pub sample_share: f64,
    pub from: DateTime<Utc>,
    pub to: DateTime<Utc>,
    /// First and last row.
    pub rows: Vec<SourceRow>,
}

/// The affected air of a chamber over the 24 h up to `until`: the mean of its affected loggers, each time-weighted.
/// `None` without a sample in that time.
pub(crate) fn last_air(chamber: &str, tracks: &[AirTrack], until: DateTime<Utc>) -> Option<LastAir> {
    let from = until - EQUILIBRIUM_WINDOW;
    let span = (micros(from), micros(until));
    let mut means: Vec<(f64, f64, f64)> = Vec::new();
    let mut rows = Vec::new();
    let affected = |track: &&AirTrack| track.place == TrackPlace::Affected && track.chamber.as_deref() == Some(chamber);
    for track in tracks.iter().filter(affected) {
        let cells = cells(&track.time, |i| track.gpp[i].is_some(), track.interval_s);
        let parts: Vec<(usize, i64)> = within(&cells, span.0, span.1).collect();
        let range = instants_within(&track.time, span.0, span.1 + 1);
        let (Some(temp), Some(rh)) = (
            weighted_mean(&parts, range.clone(), &track.air_temp_c),
            weighted_mean(&parts, range.clone(), &track.rh_pct),
        ) else {
            continue;
        };
        let covered = share(parts.iter().map(|(_, length)| length).sum(), span.1 - span.0);
        means.push((temp, rh, covered));
        rows.extend(range.clone().next().map(|i| track.rows[i].clone()));
        rows.extend(range.last().map(|i| track.rows[i].clone()));
    }
    #[allow(clippy::cast_precision_loss)]
    let n = means.len() as f64;
    (!means.is_empty()).then(|| LastAir {
        air_temp_c: means.iter().map(|mean| mean.0).sum::<f64>() / n,
        rh_pct: means.iter().map(|mean| mean.1).sum::<f64>() / n,
        sample_share: means.iter().map(|mean| mean.2).fold(0.0, f64::max),
        from,
        to: until,
        rows,
    })
}

/// Where wood settles in this air, % MC; `None` outside the range of the sorption equation.
pub(crate) fn of_wood(air: &LastAir) -> Option<f64> {
    let rh = RelativeHumidity::from_percent(air.rh_pct).ok()?;
    Some(equilibrium_moisture(Celsius::new(air.air_temp_c), rh).ok()?.get())
}

/// The range of equilibrium of a point at the clock; `None` where the record does not tell.
pub(crate) fn of_point(point: &PointEvidence, tracks: &[AirTrack], clock: DateTime<Utc>) -> Option<Equilibrium> {
    if point.scale == "wood"
        && let Some(air) = point.chamber.as_deref().and_then(|chamber| last_air(chamber, tracks, clock))
        && air.sample_share >= EQUILIBRIUM_SAMPLE_SHARE
        && let Some(middle) = of_wood(&air)
    {
        return Some(Equilibrium {
            low: (middle - WOOD_EQUILIBRIUM_HALF_WIDTH_PCT).max(0.0),
            middle,
            high: middle + WOOD_EQUILIBRIUM_HALF_WIDTH_PCT,
            basis: EquilibriumBasis::WoodInAir,
            air_temp_c: Some(air.air_temp_c),
            rh_pct: Some(air.rh_pct),
            sample_share: Some(air.sample_share),
            rows: air.rows,
        });
    }
    let standard = point.dry_standard.as_ref()?;
    let goal = point.goal.as_ref()?.value;
    let middle = standard.value;
    Some(Equilibrium {
        low: middle * DRY_STANDARD_LOW_SHARE,
        middle,
        // A goal at the dry standard leaves no way between them.
        high: middle + (goal - middle).max(0.0) * DRY_STANDARD_HIGH_SHARE,
        basis: EquilibriumBasis::DryStandard,
        air_temp_c: None,
        rh_pct: None,
        sample_share: None,
        rows: match &standard.basis {
            DryStandardBasis::Stated { row } => vec![row.clone()],
            DryStandardBasis::ReferencePoints { rows, .. } => rows.clone(),
        },
    })
}
