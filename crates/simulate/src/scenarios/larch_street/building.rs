//! Chambers, materials and points of Larch Street.

use crate::scenario::{Chamber, ChamberSheet, Goal, Loading, Material, MaterialSheet, Point, Role, Scale, Zone};

/// Cubic metres in a cubic foot.
const FT3: f64 = 0.028_316_846_592;

const GYPSUM: Material = Material::Mineral { free_pct: 6.0, shape: 0.5 };
const PLASTER: Material = Material::Mineral { free_pct: 8.0, shape: 0.6 };

pub(super) fn chambers() -> Vec<Chamber> {
    let sheet = |name: &str, floor_area: &str, volume: &str| ChamberSheet {
        name: name.to_owned(),
        floor_area: floor_area.to_owned(),
        volume: volume.to_owned(),
        drying_from: None,
        before_drying_reason: None,
    };
    vec![
        Chamber {
            id: "A".to_owned(),
            sheet: sheet("Living room and hall", "280 ft2", "2240 ft3"),
            volume_m3: 2240.0 * FT3,
            ach_unaffected_1_h: 0.35,
            ach_outdoor_1_h: 0.1,
            ua_unaffected_w_k: 170.0,
            ua_outdoor_w_k: 60.0,
            heat_capacity_j_k: 9.0e5,
            movers_for_full_speed: 6.0,
            start_temp_c: 21.5,
            start_rh_pct: 70.0,
        },
        Chamber {
            id: "B".to_owned(),
            sheet: sheet("Bathroom and closet", "70 ft2", "560 ft3"),
            volume_m3: 560.0 * FT3,
            ach_unaffected_1_h: 0.5,
            ach_outdoor_1_h: 0.1,
            ua_unaffected_w_k: 95.0,
            ua_outdoor_w_k: 20.0,
            heat_capacity_j_k: 3.0e5,
            movers_for_full_speed: 3.0,
            start_temp_c: 21.5,
            start_rh_pct: 70.0,
        },
    ]
}

pub(super) fn materials() -> Vec<MaterialSheet> {
    let sheet = |kind: &str, scale| MaterialSheet { kind: kind.to_owned(), scale, goal: None };
    vec![
        sheet("plywood subfloor", Scale::Wood),
        sheet("gypsum board", Scale::Relative),
        sheet("lime plaster", Scale::Relative),
    ]
}

/// A board of a material with its meter.
struct Board {
    kind: &'static str,
    material: Material,
    dry_kg_m2: f64,
    skin_share: f64,
    open_share: f64,
    meter: &'static str,
    scale: Scale,
    depth: &'static str,
    goal: fn() -> Goal,
}

const SUBFLOOR: Board = Board {
    kind: "plywood subfloor",
    material: Material::Wood,
    dry_kg_m2: 9.5,
    skin_share: 0.15,
    open_share: 0.8,
    meter: "M1",
    scale: Scale::Wood,
    depth: "3/8 in",
    goal: || Goal::References(vec!["R1".to_owned()]),
};
const WALL: Board = Board {
    kind: "gypsum board",
    material: GYPSUM,
    dry_kg_m2: 8.5,
    skin_share: 0.25,
    open_share: 0.4,
    meter: "M2",
    scale: Scale::Relative,
    depth: "surface to 3/4 in",
    goal: || Goal::References(vec!["R2".to_owned()]),
};
const PLASTER_WALL: Board = Board {
    kind: "lime plaster",
    material: PLASTER,
    dry_kg_m2: 18.0,
    skin_share: 0.2,
    open_share: 0.5,
    meter: "M2",
    scale: Scale::Relative,
    depth: "surface to 3/4 in",
    goal: || Goal::DryStandard(16.0),
};

impl Board {
    fn point(&self, id: &str, chamber: &str, location: &str, area_m2: f64, start_pct: f64, core_time_h: f64) -> Point {
        Point {
            id: id.to_owned(),
            zone: Zone::Chamber(chamber.to_owned()),
            location: location.to_owned(),
            depth: Some(self.depth.to_owned()),
            role: Role::Drying,
            kind: self.kind.to_owned(),
            material: self.material,
            area_m2,
            dry_kg_m2: self.dry_kg_m2,
            skin_share: self.skin_share,
            core_time_h,
            open_share: self.open_share,
            start: Loading::MoisturePct(start_pct),
            meter: self.meter.to_owned(),
            scale: self.scale,
            goal: (self.goal)(),
            ended: None,
        }
    }

    fn reference(&self, id: &str, location: &str) -> Point {
        Point {
            zone: Zone::Unaffected,
            role: Role::Reference,
            start: Loading::Dry,
            goal: Goal::None,
            ..self.point(id, "", location, 1.0, 0.0, 48.0)
        }
    }
}

pub(super) fn points() -> Vec<Point> {
    vec![
        SUBFLOOR.point("P1", "A", "living room, subfloor by the south wall", 9.0, 29.0, 98.0),
        SUBFLOOR.point("P2", "A", "living room, subfloor at the supply line", 8.0, 46.0, 95.0),
        SUBFLOOR.point("P3", "A", "hall, subfloor at the stairs", 9.0, 33.0, 104.0),
        WALL.point("P4", "A", "living room, east wall, 8 in above the floor", 7.0, 22.0, 28.0),
        WALL.point("P5", "A", "hall, north wall, 8 in above the floor", 6.0, 17.0, 28.0),
        SUBFLOOR.point("P6", "B", "bathroom, subfloor at the door", 3.5, 25.0, 102.0),
        SUBFLOOR.point("P7", "B", "closet, subfloor", 3.0, 22.0, 94.0),
        PLASTER_WALL.point("P8", "B", "closet, back wall, 10 in above the floor", 4.0, 13.0, 38.0),
        SUBFLOOR.reference("R1", "upstairs hall, subfloor at the linen shelf"),
        WALL.reference("R2", "upstairs hall, east wall, 8 in above the floor"),
    ]
}
