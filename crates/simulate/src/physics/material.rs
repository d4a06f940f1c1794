//! Wet materials: a skin that meets the air and a core behind it.

use super::{BEHIND_W_M2_K, EVAPORATION_J_KG, SURFACE_J_M2_K, mass_transfer};
use crate::scenario::{Loading, Material, Point};
use crate::{Error, moist};

/// Water in one point's material.
#[derive(Debug, Clone)]
pub(super) struct Node {
    material: Material,
    skin_dry_kg_m2: f64,
    core_dry_kg_m2: f64,
    exchange_kg_m2_s: f64,
    open_share: f64,
    pub(super) area_m2: f64,
    skin_kg_m2: f64,
    core_kg_m2: f64,
    pub(super) surface_temp_c: f64,
}

/// What a surface gave to the air in a step.
pub(super) struct Given {
    /// Water, kg/s.
    pub(super) water_kg_s: f64,
    /// Heat the surface took from the room, W.
    pub(super) heat_taken_w: f64,
}

impl Node {
    pub(super) fn new(point: &Point, room_temp_c: f64, dry_pct: f64) -> Self {
        let moisture = match point.start {
            Loading::MoisturePct(pct) => pct,
            Loading::Dry => dry_pct,
        } / 100.0;
        let skin_dry_kg_m2 = point.dry_kg_m2 * point.skin_share;
        let core_dry_kg_m2 = point.dry_kg_m2 - skin_dry_kg_m2;
        Self {
            material: point.material,
            skin_dry_kg_m2,
            core_dry_kg_m2,
            exchange_kg_m2_s: core_dry_kg_m2 / (point.core_time_h * 3600.0),
            open_share: point.open_share,
            area_m2: point.area_m2,
            skin_kg_m2: moisture * skin_dry_kg_m2,
            core_kg_m2: moisture * core_dry_kg_m2,
            surface_temp_c: room_temp_c,
        }
    }

    /// Moisture content of skin and core together, % of dry mass.
    pub(super) fn moisture_pct(&self) -> f64 {
        100.0 * (self.skin_kg_m2 + self.core_kg_m2) / (self.skin_dry_kg_m2 + self.core_dry_kg_m2)
    }

    /// All its water, kg.
    pub(super) fn water_kg(&self) -> f64 {
        self.area_m2 * (self.skin_kg_m2 + self.core_kg_m2)
    }

    /// Takes up water, spread over skin and core by their dry mass; returns the water, kg.
    pub(super) fn take_up(&mut self, water_kg_m2: f64) -> f64 {
        let skin = water_kg_m2 * self.skin_dry_kg_m2 / (self.skin_dry_kg_m2 + self.core_dry_kg_m2);
        self.skin_kg_m2 += skin;
        self.core_kg_m2 += water_kg_m2 - skin;
        self.area_m2 * water_kg_m2
    }

    /// One step in air of a temperature and a vapour pressure, with a convective coefficient.
    pub(super) fn step(
        &mut self,
        room_temp_c: f64,
        room_vapour_pa: f64,
        convective_w_m2_k: f64,
        step_s: f64,
    ) -> Result<Given, Error> {
        let skin_pct = 100.0 * self.skin_kg_m2 / self.skin_dry_kg_m2;
        let activity = activity(self.material, self.surface_temp_c, skin_pct)?;
        let surface_pa = activity * moist::saturation_pa(self.surface_temp_c)?;
        let evaporation = self.open_share * mass_transfer(convective_w_m2_k) * (surface_pa - room_vapour_pa);
        let from_core =
            self.exchange_kg_m2_s * (self.core_kg_m2 / self.core_dry_kg_m2 - self.skin_kg_m2 / self.skin_dry_kg_m2);
        let heat = (convective_w_m2_k + BEHIND_W_M2_K) * (room_temp_c - self.surface_temp_c);
        self.skin_kg_m2 += (from_core - evaporation) * step_s;
        self.core_kg_m2 -= from_core * step_s;
        self.surface_temp_c += (heat - EVAPORATION_J_KG * evaporation) * step_s / SURFACE_J_M2_K;
        Ok(Given { water_kg_s: self.area_m2 * evaporation, heat_taken_w: self.area_m2 * heat })
    }
}

/// Water activity at a moisture content, % of dry mass.
fn activity(material: Material, temp_c: f64, moisture_pct: f64) -> Result<f64, Error> {
    Ok(match material {
        Material::Wood => moist::wood_activity(temp_c, moisture_pct)?,
        Material::Mineral { free_pct, shape } => {
            let x = moisture_pct / free_pct;
            if x >= 1.0 { 1.0 } else { x * (1.0 + shape) / (x + shape) }
        }
    })
}

/// Moisture content in equilibrium with air of a relative humidity, % of dry mass.
pub(super) fn equilibrium_moisture_pct(material: Material, temp_c: f64, rh_pct: f64) -> Result<f64, Error> {
    let activity = rh_pct / 100.0;
    Ok(match material {
        Material::Wood => moist::wood_equilibrium_pct(temp_c, rh_pct)?,
        Material::Mineral { free_pct, shape } => free_pct * activity * shape / (1.0 + shape - activity),
    })
}

/// The steepest slope of water activity over moisture content, per % of dry mass.
pub(super) fn steepest_activity_per_pct(material: Material) -> f64 {
    match material {
        // The sorption curve is steepest at its foot: 10 % RH is 2.0 % MC at 130 F (Wood Handbook, Table 4-2), and the
        // slope at zero is less than twice that chord's.
        Material::Wood => 0.1,
        Material::Mineral { free_pct, shape } => (1.0 + shape) / (shape * free_pct),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn wood_is_wet_above_fibre_saturation_and_follows_the_handbook_below() {
        // 70 F / 50 % is 9.2 % MC in the Wood Handbook's Table 4-2, printed to 0.1: the equation itself gives 9.25.
        let activity_at = |pct| activity(Material::Wood, 21.11, pct).unwrap();
        assert!((activity_at(9.25) - 0.50).abs() < 0.003, "{}", activity_at(9.25));
        assert!((activity_at(40.0) - 1.0).abs() < 1e-15);
    }

    proptest! {
        #[test]
        fn activity_and_equilibrium_moisture_are_inverse(
            rh_pct in 5.0..98.0_f64, temp_c in 5.0..40.0_f64, free_pct in 2.0..20.0_f64, shape in 0.2..2.0_f64,
        ) {
            for material in [Material::Wood, Material::Mineral { free_pct, shape }] {
                let moisture = equilibrium_moisture_pct(material, temp_c, rh_pct).unwrap();
                let back = activity(material, temp_c, moisture).unwrap();
                prop_assert!((back - rh_pct / 100.0).abs() < 1e-7, "{material:?}: {back}");
            }
        }

        #[test]
        fn activity_rises_with_moisture(low in 0.5..30.0_f64, more in 0.01..5.0_f64, temp_c in 5.0..40.0_f64) {
            for material in [Material::Wood, Material::Mineral { free_pct: 6.0, shape: 0.5 }] {
                let at = |pct| activity(material, temp_c, pct).unwrap();
                let (a, b) = (at(low), at(low + more));
                prop_assert!(b >= a, "{material:?}: {a} at {low}, {b} at {}", low + more);
            }
        }
    }
}
