//! A goal that the air of the chamber cannot bring about.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{Goal, Scenario};

/// A goal below what wood holds in the air of any dried chamber: at 80 F the Wood Handbook's Table 4-2 gives 3.5 % MC
/// only at less than 20 % RH.
const TOO_DRY_PCT: f64 = 3.5;

/// The first point of both chambers has such a goal.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn unreachable_goal(seed: u64) -> Result<Scenario, Error> {
    let ask = Ask { two_chambers: Some(true), ..Ask::default() };
    let mut house = House::new("unreachable-goal", seed, ask)?;
    for chamber in house.chambers() {
        let zone = crate::scenario::Zone::Chamber(chamber);
        if let Some(point) = house.scenario.points.iter_mut().find(|point| point.zone == zone) {
            point.goal = Goal::Written(TOO_DRY_PCT);
        }
    }
    Ok(house.scenario)
}
