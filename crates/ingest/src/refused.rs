//! Of what time a refused row or cell is: by the stamp of its row, else by the rows around it.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_record::Refusal;

use crate::time::source::Moment;

/// A row that was read, with its instant.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stamped {
    line: u64,
    instant: DateTime<Utc>,
    /// How far its stamp is ahead of UTC; `None` where the stamp says its instant by itself.
    ahead: Option<TimeDelta>,
}

impl Stamped {
    pub fn new(line: u64, moment: Moment, instant: DateTime<Utc>) -> Self {
        let ahead = match moment {
            Moment::Wall(wall) => Some(wall.and_utc() - instant),
            Moment::Instant(_) => None,
        };
        Self { line, instant, ahead }
    }
}

/// Gives refusals their times.
///
/// # Arguments
/// * `rows`: the rows of the file that have an instant, in any order;
/// * `own`: lines and stamps of rows that were refused as a whole, in file order.
pub(crate) fn date(refused: &mut [Refusal], mut rows: Vec<Stamped>, own: &[(u64, Moment)]) {
    rows.sort_by_key(|row| row.line);
    for refusal in refused {
        let ends = match rows.binary_search_by_key(&refusal.row, |row| row.line) {
            Ok(at) => Some((rows[at].instant, rows[at].instant)),
            Err(at) => {
                let near = [at.checked_sub(1).and_then(|above| rows.get(above)), rows.get(at)];
                let stamp = own.binary_search_by_key(&refusal.row, |(line, _)| *line).ok().map(|at| own[at].1);
                let known = stamp.and_then(|stamp| instant(stamp, near));
                known.map(|instant| (instant, instant)).or_else(|| between(near))
            }
        };
        (refusal.from, refusal.to) = ends.unzip();
    }
}

/// Moves the times of refusals with the samples of their file.
pub(crate) fn shift(refused: &mut [Refusal], by: TimeDelta) {
    for end in refused.iter_mut().flat_map(|refusal| [&mut refusal.from, &mut refusal.to]).flatten() {
        *end = end.checked_add_signed(by).unwrap_or(*end);
    }
}

/// The instant of a stamp by the clock of the rows beside it. The row is damaged: its stamp is believed where it lies
/// between theirs.
fn instant(stamp: Moment, near: [Option<&Stamped>; 2]) -> Option<DateTime<Utc>> {
    let instant = match stamp {
        Moment::Instant(instant) => instant,
        Moment::Wall(wall) => {
            let mut ahead = near.iter().flatten().filter_map(|row| row.ahead);
            let first = ahead.next()?;
            // Where the clocks change between them nothing tells which of the two holds.
            if ahead.any(|other| other != first) {
                return None;
            }
            wall.and_utc().checked_sub_signed(first)?
        }
    };
    let (from, to) = between(near)?;
    let inside = near.iter().any(Option::is_none) || (from..=to).contains(&instant);
    inside.then_some(instant)
}

/// The instants of the rows above and below, the earlier one first.
fn between(near: [Option<&Stamped>; 2]) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
    let instants = || near.iter().flatten().map(|row| row.instant);
    Some((instants().min()?, instants().max()?))
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDateTime;

    use super::*;
    use crate::notes::refusal;

    fn wall(text: &str) -> NaiveDateTime {
        NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap()
    }

    /// Rows of a clock five hours behind UTC.
    fn rows(walls: &[(u64, &str)]) -> Vec<Stamped> {
        let row = |(line, text): &(u64, &str)| {
            let wall = wall(text);
            Stamped::new(*line, Moment::Wall(wall), wall.and_utc() + TimeDelta::hours(5))
        };
        walls.iter().map(row).collect()
    }

    fn dated(row: u64, rows: Vec<Stamped>, own: &[(u64, Moment)]) -> Option<(String, String)> {
        let mut refused = [refusal(row, None, "", "")];
        date(&mut refused, rows, own);
        let [one] = refused;
        let text = |time: DateTime<Utc>| time.format("%m-%d %H:%M").to_string();
        Some((text(one.from?), text(one.to?)))
    }

    const LOG: [(u64, &str); 3] = [(5, "2025-06-02 10:00"), (6, "2025-06-02 10:10"), (8, "2025-06-02 10:30")];

    fn span(from: &str, to: &str) -> Option<(String, String)> {
        Some((format!("06-02 {from}"), format!("06-02 {to}")))
    }

    #[test]
    fn a_cell_has_the_time_of_its_row() {
        assert_eq!(dated(6, rows(&LOG), &[]), span("15:10", "15:10"));
    }

    #[test]
    fn a_row_without_a_stamp_lies_between_its_neighbours() {
        assert_eq!(dated(7, rows(&LOG), &[]), span("15:10", "15:30"));
        let newest_first: Vec<(u64, &str)> = LOG.iter().map(|(line, text)| (20 - line, *text)).collect();
        assert_eq!(dated(13, rows(&newest_first), &[]), span("15:10", "15:30"));
        assert_eq!(dated(9, rows(&LOG), &[]), span("15:30", "15:30"), "below the last row");
        assert_eq!(dated(7, Vec::new(), &[]), None);
    }

    #[test]
    fn a_damaged_row_has_the_time_of_its_stamp_where_that_can_be() {
        let own = |text| [(7, Moment::Wall(wall(text)))];
        assert_eq!(dated(7, rows(&LOG), &own("2025-06-02 10:20")), span("15:20", "15:20"));
        assert_eq!(dated(7, rows(&LOG), &own("2095-06-02 10:20")), span("15:10", "15:30"));
        let last = [(9, Moment::Wall(wall("2025-06-02 10:40")))];
        assert_eq!(dated(9, rows(&LOG), &last), span("15:40", "15:40"));
    }

    #[test]
    fn a_stamp_between_two_clocks_is_not_settled() {
        let mut rows = rows(&LOG);
        rows[2].ahead = Some(TimeDelta::hours(-4));
        assert_eq!(dated(7, rows, &[(7, Moment::Wall(wall("2025-06-02 10:20")))]), span("15:10", "15:30"));
    }
}
