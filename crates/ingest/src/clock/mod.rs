//! From the stamps of a logger to instants: which rule holds, and what the stamps themselves say against it.
//!
//! Order of authority: an offset in the stamp, the job's word on the logger, a zone stated in the file, the job's
//! zone read as a wall clock, and UTC as a stated guess.

mod fixed;
mod wall;
mod zone;

use chrono::{DateTime, FixedOffset, NaiveDateTime, Utc};
use chrono_tz::Tz;
use grainfall_record::{Certainty, Clock};

use crate::notes::logger_line;
use crate::time::order::Undecided;
use crate::time::zone::{Stated, Statement, shown};

/// How stamps without an offset become instants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    Utc,
    Offset(i32),
    Wall(Tz),
    /// The zone's offset at the first stamp, throughout.
    Fixed(Tz),
    /// The zone's standard offset, throughout.
    Standard(Tz),
}

/// A rule with the reason for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Chosen {
    pub rule: Rule,
    pub reason: String,
    pub certainty: Certainty,
    /// Whether the stamps may overrule it: a wall clock that no one stated.
    pub open: bool,
}

impl Chosen {
    /// The rule for times counted from a start: a wall clock tells the start alone.
    pub fn counted(self) -> Self {
        match self.rule {
            Rule::Wall(zone) => {
                Self { rule: Rule::Fixed(zone), reason: format!("{}; counted from the start", self.reason), ..self }
            }
            _ => self,
        }
    }
}

/// The line that names the zone of a job.
const ZONE_LINE: &str = "add the job's zone under `[job]` in job.toml, as in `time_zone = \"America/Chicago\"`";

/// Chooses the rule before the stamps are looked at.
pub(crate) fn choose(said: Option<Clock>, statement: Option<&Statement>, zone: Option<Tz>) -> Chosen {
    let stated = |rule, reason: &str| Chosen { rule, reason: reason.into(), certainty: Certainty::Stated, open: false };
    match (said, zone) {
        (Some(Clock::Utc), _) => return stated(Rule::Utc, "the job says so"),
        (Some(Clock::Offset(seconds)), _) => return stated(Rule::Offset(seconds), "the job says so"),
        (Some(Clock::Wall), Some(zone)) => return stated(Rule::Wall(zone), "the job says so"),
        (Some(Clock::Fixed), Some(zone)) => return stated(Rule::Fixed(zone), "the job says so"),
        // Without a zone the job's word cannot be followed.
        (Some(Clock::Wall | Clock::Fixed), None) | (None, _) => {}
    }
    let settled = |rule, reason, open| Chosen { rule, reason, certainty: Certainty::Settled, open };
    let local = match statement {
        Some(Statement { stated: Stated::Offset(0), place }) => {
            return settled(Rule::Utc, format!("stated in {place}"), false);
        }
        Some(Statement { stated: Stated::Offset(seconds), place }) => {
            return settled(Rule::Offset(*seconds), format!("stated in {place}"), false);
        }
        Some(Statement { stated: Stated::Zone(zone), place }) => {
            return settled(Rule::Wall(*zone), format!("stated in {place}"), true);
        }
        Some(Statement { stated: Stated::LocalStandard, place }) => match zone {
            Some(zone) => {
                let reason = format!("{place} says local standard time, and the job's zone is {zone}");
                return settled(Rule::Standard(zone), reason, false);
            }
            None => Some(place),
        },
        None => None,
    };
    if let Some(zone) = zone {
        return settled(Rule::Wall(zone), "the stamps carry no offset and the job gives the zone".into(), true);
    }
    let what = match (local, said) {
        (Some(place), _) => format!("{place} says local standard time, but of which zone is not known"),
        (None, Some(_)) => "the job says what its clock does, but not in which zone".into(),
        (None, None) => "the stamps carry no offset, and neither the file nor the job says their zone".into(),
    };
    Chosen { rule: Rule::Utc, reason: format!("{what}; {ZONE_LINE}"), certainty: Certainty::Guess, open: false }
}

/// Stamps as instants.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Resolved {
    /// One per stamp; `None` where the stamp cannot exist.
    pub instants: Vec<Option<DateTime<Utc>>>,
    /// How, in the words of the ledger: `wall clock of America/Chicago`, `UTC`.
    pub label: String,
    pub reason: String,
    pub certainty: Certainty,
    /// The zone whose wall clock it is.
    wall: Option<Tz>,
    /// Stamps without an instant that occur twice; the others without one never occur.
    twice: Vec<usize>,
    /// A clock that never changes, by the offset of a zone at its first stamp.
    pub fixed: Option<Fixed>,
}

/// A clock that never changes: the zone whose offset it keeps, and that offset in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Fixed {
    pub zone: Tz,
    pub seconds: i32,
}

impl Resolved {
    /// Why a stamp has no instant.
    pub fn impossible(&self, at: usize) -> String {
        let zone = self.wall.map_or("its zone", Tz::name);
        if self.twice.binary_search(&at).is_ok() {
            format!("occurs twice in {zone}, where the clocks go back, and no row shows which time it is")
        } else {
            format!("does not exist in {zone}: the clocks go forward over it")
        }
    }
}

/// Resolves the stamps of one logger, in the order of their rows. `lines` are the lines they stand in in `file`.
///
/// # Errors
/// When they begin in an hour that occurs twice and can be of either pass.
pub(crate) fn resolve(
    file: &str,
    chosen: &Chosen,
    stamps: &[NaiveDateTime],
    lines: &[u64],
) -> Result<Resolved, Undecided> {
    let either = |zone: Tz, at: usize, passes: (i32, i32)| {
        let line = lines.get(at).copied().unwrap_or(0);
        undecided(file, zone, stamps[at], line, passes)
    };
    let begins_twice = |zone: Tz| match fixed::begins_twice(zone, stamps) {
        Some((at, passes)) => Err(either(zone, at, passes)),
        None => Ok(()),
    };
    let mut resolved = Resolved {
        instants: Vec::new(),
        label: String::new(),
        reason: chosen.reason.clone(),
        certainty: chosen.certainty,
        wall: None,
        twice: Vec::new(),
        fixed: None,
    };
    let constant = |resolved: &mut Resolved, seconds: i32, label: String| {
        resolved.instants = stamps.iter().map(|stamp| at_offset(*stamp, seconds)).collect();
        resolved.label = label;
    };
    match chosen.rule {
        Rule::Utc => constant(&mut resolved, 0, "UTC".into()),
        Rule::Offset(seconds) => constant(&mut resolved, seconds, format!("offset {}", shown(seconds))),
        Rule::Standard(zone) => {
            let seconds = fixed::standard_offset(zone, stamps);
            constant(&mut resolved, seconds, format!("fixed at {}, the standard time of {zone}", shown(seconds)));
        }
        Rule::Fixed(zone) => {
            begins_twice(zone)?;
            let seconds = fixed::first_offset(zone, stamps);
            resolved.fixed = Some(Fixed { zone, seconds });
            constant(&mut resolved, seconds, fixed_label(zone, seconds));
        }
        Rule::Wall(zone) => {
            let reading = wall::read(zone, stamps);
            match reading.against(zone, stamps, lines).filter(|_| chosen.open) {
                Some((reason, certainty)) => {
                    begins_twice(zone)?;
                    let seconds = fixed::first_offset(zone, stamps);
                    resolved.fixed = Some(Fixed { zone, seconds });
                    constant(&mut resolved, seconds, fixed_label(zone, seconds));
                    resolved.reason = reason;
                    resolved.certainty = certainty;
                }
                None => {
                    if let Some(begins) = reading.undecided(chosen.open) {
                        return Err(either(zone, begins.at, begins.passes));
                    }
                    if let Some(shown) = reading.shown() {
                        resolved.reason.push_str(&format!("; {shown}"));
                    }
                    resolved.instants = reading.instants;
                    resolved.label = format!("wall clock of {zone}");
                    resolved.wall = Some(zone);
                    resolved.twice = reading.open;
                }
            }
        }
    }
    Ok(resolved)
}

/// A log that begins in an hour that occurs twice and can be of either pass.
fn undecided(file: &str, zone: Tz, stamp: NaiveDateTime, line: u64, (early, late): (i32, i32)) -> Undecided {
    let utc = |seconds: i32| at_offset(stamp, seconds).map_or_else(String::new, |at| at.format("%H:%M").to_string());
    Undecided {
        reason: format!(
            "`{}` in line {line} can be {} or {} in UTC, and every row of the file fits each reading: the log begins in the hour that occurs twice in {zone}, where the clocks go back",
            stamp.format("%Y-%m-%d %H:%M"),
            utc(early),
            utc(late)
        ),
        remedy: format!(
            "add {} to job.toml if that is the first pass of the hour, or `clock = \"{}\"` if it is the second",
            logger_line(file, &format!("clock = \"{}\"", shown(early))),
            shown(late)
        ),
    }
}

/// How a clock that never changes is described.
pub(crate) fn fixed_label(zone: Tz, seconds: i32) -> String {
    format!("fixed at {}, the offset of {zone} at the first sample", shown(seconds))
}

fn at_offset(stamp: NaiveDateTime, seconds: i32) -> Option<DateTime<Utc>> {
    Some(stamp.checked_sub_offset(FixedOffset::east_opt(seconds)?)?.and_utc())
}

#[cfg(test)]
mod tests {
    use chrono_tz::America::Chicago;

    use super::*;

    fn stamps(texts: &[&str]) -> Vec<NaiveDateTime> {
        texts.iter().map(|t| NaiveDateTime::parse_from_str(t, "%Y-%m-%d %H:%M").unwrap()).collect()
    }

    #[test]
    fn the_order_of_authority() {
        let statement = Statement { stated: Stated::Offset(7200), place: "the column name `t_UTC+2`".into() };
        let chosen = choose(Some(Clock::Utc), Some(&statement), Some(Chicago));
        assert_eq!((chosen.rule, chosen.certainty), (Rule::Utc, Certainty::Stated));
        let chosen = choose(None, Some(&statement), Some(Chicago));
        assert_eq!(chosen.rule, Rule::Offset(7200));
        assert_eq!(chosen.reason, "stated in the column name `t_UTC+2`");
        assert_eq!(choose(None, None, Some(Chicago)).rule, Rule::Wall(Chicago));
        let chosen = choose(None, None, None);
        assert_eq!((chosen.rule, chosen.certainty), (Rule::Utc, Certainty::Guess));
        assert_eq!(
            chosen.reason,
            "the stamps carry no offset, and neither the file nor the job says their zone; add the job's zone under \
             `[job]` in job.toml, as in `time_zone = \"America/Chicago\"`"
        );
    }

    #[test]
    fn a_zone_that_is_missing_is_asked_for() {
        let lst = Statement { stated: Stated::LocalStandard, place: "line 9 of the preamble".into() };
        let chosen = choose(None, Some(&lst), None);
        assert!(
            chosen
                .reason
                .starts_with("line 9 of the preamble says local standard time, but of which zone is not known; add")
        );
        let chosen = choose(Some(Clock::Wall), None, None);
        assert!(chosen.reason.starts_with("the job says what its clock does, but not in which zone; add"));
        assert_eq!(choose(None, Some(&lst), Some(Chicago)).rule, Rule::Standard(Chicago));
    }

    #[test]
    fn a_stamp_that_cannot_exist_shows_a_fixed_clock() {
        let walls = stamps(&["2025-03-09 01:30", "2025-03-09 02:00", "2025-03-09 02:30", "2025-03-09 03:00"]);
        let open = choose(None, None, Some(Chicago));
        let resolved = resolve("log.csv", &open, &walls, &[2, 3, 4, 5]).unwrap();
        assert_eq!(resolved.label, "fixed at -06:00, the offset of America/Chicago at the first sample");
        assert_eq!(
            resolved.reason,
            "`2025-03-09 02:00` in line 3 does not exist on a wall clock of America/Chicago, so the clock never changed"
        );
        assert_eq!(resolved.certainty, Certainty::Settled);
        assert_eq!(resolved.instants[1].unwrap().to_rfc3339(), "2025-03-09T08:00:00+00:00");
        // Said by the job, the wall clock stands and the stamps are refused.
        let said = choose(Some(Clock::Wall), None, Some(Chicago));
        let resolved = resolve("log.csv", &said, &walls, &[2, 3, 4, 5]).unwrap();
        assert_eq!(resolved.instants.iter().filter(|i| i.is_none()).count(), 2);
        assert_eq!(resolved.impossible(1), "does not exist in America/Chicago: the clocks go forward over it");
    }
}
