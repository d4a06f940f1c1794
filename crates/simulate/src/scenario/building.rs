//! Chambers, unaffected area, weather, wet materials, and what happens to them.

use chrono::{DateTime, Utc};

use super::{ChamberSheet, Ended, Goal, Scale};

/// A drying chamber: one well-mixed body of air.
#[derive(Debug, Clone, PartialEq)]
pub struct Chamber {
    /// Short id.
    pub id: String,
    /// What the technician writes of it.
    pub sheet: ChamberSheet,
    /// Air volume, m3.
    pub volume_m3: f64,
    /// Air changes with the unaffected area, 1/h.
    pub ach_unaffected_1_h: f64,
    /// Air changes with outdoor air, 1/h.
    pub ach_outdoor_1_h: f64,
    /// Heat conductance to the unaffected area, W/K.
    pub ua_unaffected_w_k: f64,
    /// Heat conductance to outdoor air, W/K.
    pub ua_outdoor_w_k: f64,
    /// Heat capacity of air, furniture and linings that follow the air, J/K.
    pub heat_capacity_j_k: f64,
    /// Air movers that give every surface the full air speed.
    pub movers_for_full_speed: f64,
    /// Air temperature at the start, degC.
    pub start_temp_c: f64,
    /// Relative humidity at the start, %.
    pub start_rh_pct: f64,
}

/// The dry part of the building: kept at a temperature and a humidity by its own conditioning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unaffected {
    /// Mean air temperature, degC.
    pub mean_temp_c: f64,
    /// Half the daily swing of temperature, K.
    pub temp_swing_k: f64,
    /// Mean relative humidity, %.
    pub mean_rh_pct: f64,
    /// Half the daily swing of relative humidity, % points.
    pub rh_swing_pct: f64,
}

/// Outdoor air: a daily cycle, a front that passes, and slow irregular changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weather {
    /// Mean temperature before the front, degC.
    pub mean_temp_c: f64,
    /// Half the daily swing, K; warmest at 15:00 local time.
    pub temp_swing_k: f64,
    /// Mean dew point before the front, degC.
    pub mean_dew_point_c: f64,
    /// When the middle of the front passes; `None` for settled weather.
    pub front_at: Option<DateTime<Utc>>,
    /// Change of temperature over the front, K.
    pub front_temp_k: f64,
    /// Change of dew point over the front, K.
    pub front_dew_point_k: f64,
    /// Half-width of the irregular changes of temperature, K; those of the dew point are half as wide.
    pub irregular_k: f64,
}

/// Where a point's material lies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Zone {
    /// In a drying chamber.
    Chamber(String),
    /// In the unaffected area.
    Unaffected,
}

/// Whether a point dries or shows what dry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Must meet its goal.
    Drying,
    /// Unaffected material that sets a dry standard.
    Reference,
}

/// How a material holds and gives up water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Material {
    /// Wood: water activity by the Wood Handbook sorption equation, 1 above fibre saturation.
    Wood,
    /// A mineral board or plaster: a stated monotone curve, `a = x (1 + s) / (x + s)` with `x` the moisture content
    /// over `free_pct`, and 1 above it.
    Mineral {
        /// Moisture content, % of dry mass, from which water is free (`a = 1`).
        free_pct: f64,
        /// Shape `s` of the curve: the smaller, the steeper its foot.
        shape: f64,
    },
}

/// A metered point and the area of material it stands for: a skin that meets the air and a core behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Short id.
    pub id: String,
    /// Where it lies.
    pub zone: Zone,
    /// Where it is, in words.
    pub location: String,
    /// Depth below the surface, as written.
    pub depth: Option<String>,
    /// Drying or reference.
    pub role: Role,
    /// Kind of material, as the job lists it.
    pub kind: String,
    /// How the material holds water.
    pub material: Material,
    /// Area the point stands for, m2.
    pub area_m2: f64,
    /// Dry mass per area, skin and core together, kg/m2.
    pub dry_kg_m2: f64,
    /// Share of the dry mass that is skin.
    pub skin_share: f64,
    /// Time in which the core would follow the skin, h: core mass over the exchange between core and skin.
    pub core_time_h: f64,
    /// Share of the surface left open by paint or covering, more than 0, at most 1.
    pub open_share: f64,
    /// How wet it is at the start.
    pub start: Loading,
    /// Meter it is read with.
    pub meter: String,
    /// Scale it is read on.
    pub scale: Scale,
    /// Its drying goal.
    pub goal: Goal,
    /// Taken out of the record from then on, and why.
    pub ended: Option<Ended>,
}

/// Moisture of a material at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Loading {
    /// Moisture content of skin and core, % of dry mass.
    MoisturePct(f64),
    /// In equilibrium with the mean air of the unaffected area.
    Dry,
}

/// What happens unplanned.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A unit stands still though nobody meant it to.
    UnitStopped {
        /// Which unit.
        unit: String,
        /// Start.
        from: DateTime<Utc>,
        /// End.
        to: DateTime<Utc>,
    },
    /// A chamber stands open to outdoor air.
    ChamberOpened {
        /// Which chamber.
        chamber: String,
        /// Start.
        from: DateTime<Utc>,
        /// End.
        to: DateTime<Utc>,
        /// Extra air changes with outdoor air meanwhile, 1/h.
        ach_1_h: f64,
    },
    /// Water comes again.
    Rewetted {
        /// Which point.
        point: String,
        /// When, on a whole minute.
        at: DateTime<Utc>,
        /// Water taken up, kg/m2, spread over skin and core by their mass.
        water_kg_m2: f64,
    },
}
