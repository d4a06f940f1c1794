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
    /// Why a stamp that cannot exist cannot.
    pub impossible: String,
    /// A clock that never changes, by the offset of a zone at its first stamp.
    pub fixed: Option<Fixed>,
}

/// A clock that never changes: the zone whose offset it keeps, and that offset in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Fixed {
    pub zone: Tz,
    pub seconds: i32,
}

/// Resolves the stamps of one logger, in the order of their rows. `lines` are the lines they stand in.
pub(crate) fn resolve(chosen: &Chosen, stamps: &[NaiveDateTime], lines: &[u64]) -> Resolved {
    let mut resolved = Resolved {
        instants: Vec::new(),
        label: String::new(),
        reason: chosen.reason.clone(),
        certainty: chosen.certainty,
        impossible: String::new(),
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
            let seconds = fixed::first_offset(zone, stamps);
            resolved.fixed = Some(Fixed { zone, seconds });
            constant(&mut resolved, seconds, fixed_label(zone, seconds));
            if chosen.open && fixed::begins_twice(zone, stamps) {
                resolved.reason.push_str(
                    "; its first stamp is of the hour that occurs twice and is read as of the first pass; if that is an hour off, add an offset such as `clock = \"-05:00\"` to its `[[logger]]` in job.toml",
                );
                resolved.certainty = Certainty::Guess;
            }
        }
        Rule::Wall(zone) => {
            let reading = wall::read(zone, stamps);
            match reading.against(zone, stamps, lines).filter(|_| chosen.open) {
                Some((reason, certainty)) => {
                    let seconds = fixed::first_offset(zone, stamps);
                    resolved.fixed = Some(Fixed { zone, seconds });
                    constant(&mut resolved, seconds, fixed_label(zone, seconds));
                    resolved.reason = reason;
                    resolved.certainty = certainty;
                }
                None => {
                    if let Some(shown) = reading.shown() {
                        resolved.reason.push_str(&format!("; {shown}"));
                    }
                    if let Some(doubt) = reading.doubt(stamps, lines) {
                        resolved.reason.push_str(&format!("; {doubt}"));
                        resolved.certainty = Certainty::Guess;
                    }
                    resolved.instants = reading.instants;
                    resolved.label = format!("wall clock of {zone}");
                    resolved.impossible = format!("does not exist in {zone}: the clocks go forward over it");
                }
            }
        }
    }
    resolved
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
        let resolved = resolve(&open, &walls, &[2, 3, 4, 5]);
        assert_eq!(resolved.label, "fixed at -06:00, the offset of America/Chicago at the first sample");
        assert_eq!(
            resolved.reason,
            "`2025-03-09 02:00` in line 3 does not exist on a wall clock of America/Chicago, so the clock never changed"
        );
        assert_eq!(resolved.certainty, Certainty::Settled);
        assert_eq!(resolved.instants[1].unwrap().to_rfc3339(), "2025-03-09T08:00:00+00:00");
        // Said by the job, the wall clock stands and the stamps are refused.
        let said = choose(Some(Clock::Wall), None, Some(Chicago));
        let resolved = resolve(&said, &walls, &[2, 3, 4, 5]);
        assert_eq!(resolved.instants.iter().filter(|i| i.is_none()).count(), 2);
        assert_eq!(resolved.impossible, "does not exist in America/Chicago: the clocks go forward over it");
    }
}
