//! The job as types. Times are instants, quantities are in canonical units; every entry knows its line.

mod air;
mod chamber;
mod equipment;
mod job;
mod logger;
mod lookup;
mod point;
mod visit;

pub use air::{AirPlace, AirReading, AirWater};
pub use chamber::{AirGoal, AirGoalQuantity, Chamber, Comparison};
pub use equipment::{
    AIR_CLEANING, BilledDays, CondensateEntry, EquipmentKind, HEAT, HourMeterEntry, Pause, Purpose, RatedCapacity,
    Stay, UnitId,
};
pub use job::{Dated, EquipmentDayRule, Job, Line, PressureSource, Span, WaterCategory, WaterClass, Zone};
pub use logger::{LoggerPlacement, Place, SensorStatement, SideBySide, StatedBias};
pub use point::{
    DryStandard, Ended, GoalValue, InChamber, Material, Meter, MeterCorrection, MovedTo, Point, PointLogger, PointRole,
    Reading, ReadingValue, Scale, Species,
};
pub use visit::Visit;
