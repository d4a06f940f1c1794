//! Group fields that a hand-written sheet gives once: date, time and place stand in the first row of a group and are
//! left empty below.
//!
//! They are taken over only where the table makes it plain, and never a measured value: the fields stand left of what
//! every row holds, are empty together, and begin with the first row; or only the date is left out and the times of
//! day beside it climb until the next date.

use super::{Layout, Table};
use crate::columns::heading::Heading;
use crate::notes::{Notes, quoted};
use crate::table::layout::Kind;
use crate::time::stamp::Stamp;

/// Rows looked at first.
const SAMPLE_ROWS: usize = 2000;
/// Columns in which group fields are looked for.
const COLUMNS: usize = 64;
/// Groups needed.
const GROUPS: usize = 2;

/// Fills group fields down where it is plain that they hold for the rows below.
pub(crate) fn down(table: &mut Table<'_>, layout: &Layout, notes: &mut Notes) {
    let columns = layout.names.len().min(COLUMNS);
    let Some(date) = sparse_dates(table, layout, columns) else { return };
    let rows: Vec<usize> = (layout.first..table.rows()).filter(|row| !table.is_blank(*row)).collect();
    let leads: Vec<bool> = rows.iter().map(|row| !table.cell(*row, date).is_empty()).collect();
    let groups = leads.iter().filter(|lead| **lead).count();
    let followers = rows.len() - groups;
    if groups < GROUPS || followers < groups || leads.first() != Some(&true) {
        return;
    }
    let together = |column: usize| same_pattern(table, &rows, &leads, column);
    // Fields left of the first column that the rows of a group have of their own.
    let mut block = Vec::new();
    for column in 0..columns {
        if together(column) {
            block.push(column);
        } else if rows.iter().any(|row| !table.cell(*row, column).is_empty()) {
            break;
        }
    }
    let (fields, reason) = if block.contains(&date) && block.iter().any(|column| !is_time(table, &rows, *column)) {
        let fields: Vec<usize> =
            block.into_iter().filter(|column| may_be_filled(table, layout, &rows, *column)).collect();
        (fields, format!("empty together in {followers} of {} rows, left of what every row holds", rows.len()))
    } else if let Some(time) = (0..columns).find(|column| climbs_within_groups(table, &rows, &leads, *column)) {
        let name = quoted([layout.names[time].as_str()], 1);
        (
            vec![date],
            format!("empty in {followers} of {} rows, and the times in {name} climb until the next date", rows.len()),
        )
    } else {
        return;
    };
    let names = quoted(fields.iter().map(|column| layout.names[*column].as_str()), 12);
    notes.guess("filled down", names, format!("{reason}; each holds for the rows below it"));
    let cells = table.cells_mut();
    for column in fields {
        let mut last = None;
        for row in &rows {
            let place = cells.starts[*row] as usize + column;
            if place >= cells.starts[*row + 1] as usize {
                continue;
            }
            let (start, end) = cells.spans[place];
            if start < end {
                last = Some((start, end));
            } else if let Some(above) = last {
                cells.spans[place] = above;
            }
        }
    }
}

/// The first column that holds dates where it holds anything, and nothing in a third of the rows or more.
fn sparse_dates(table: &Table<'_>, layout: &Layout, columns: usize) -> Option<usize> {
    let rows: Vec<usize> = (layout.first..table.rows()).filter(|row| !table.is_blank(*row)).take(SAMPLE_ROWS).collect();
    let sample = table.pick(&rows);
    (0..columns).find(|column| {
        let filled: Vec<&str> =
            (0..rows.len()).map(|row| sample.cell(row, *column)).filter(|cell| !cell.is_empty()).collect();
        !filled.is_empty()
            && filled.len() * 3 <= rows.len() * 2
            && filled.iter().all(|cell| Kind::of(cell) == Kind::Dated)
    })
}

/// Whether a column is filled where the date is and empty where it is not, but for one row in fifty.
fn same_pattern(table: &Table<'_>, rows: &[usize], leads: &[bool], column: usize) -> bool {
    let other = rows.iter().zip(leads).filter(|(row, lead)| table.cell(**row, column).is_empty() == **lead).count();
    let below = rows.iter().zip(leads).filter(|(row, lead)| !**lead && !table.cell(**row, column).is_empty()).count();
    other * 50 <= rows.len() && below == 0
}

fn is_time(table: &Table<'_>, rows: &[usize], column: usize) -> bool {
    let mut filled = rows.iter().map(|row| table.cell(*row, column)).filter(|cell| !cell.is_empty());
    filled.all(|cell| matches!(Kind::of(cell), Kind::Dated | Kind::Time))
}

/// Times and words may hold for rows below; numbers only where their name is no quantity.
fn may_be_filled(table: &Table<'_>, layout: &Layout, rows: &[usize], column: usize) -> bool {
    let numbers = rows.iter().map(|row| table.cell(*row, column)).filter(|cell| Kind::of(cell) == Kind::Number).count();
    let heading = Heading::read(&layout.names[column], &layout.aliases[column], &layout.units[column]);
    numbers == 0 || heading.quantity.is_none() && heading.unit.is_none()
}

/// Whether a column has a time of day in every row, never earlier than the one above within a group.
fn climbs_within_groups(table: &Table<'_>, rows: &[usize], leads: &[bool], column: usize) -> bool {
    let mut last = None;
    for (row, lead) in rows.iter().zip(leads) {
        let stamp = Stamp::parse(table.cell(*row, column)).filter(|stamp| stamp.date.is_none());
        let Some((time, _)) = stamp.and_then(|stamp| stamp.time) else { return false };
        if !*lead && last.is_some_and(|before| time < before) {
            return false;
        }
        last = Some(time);
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Delimiter, layout::layout};

    fn filled(text: &str) -> (Vec<Vec<String>>, Vec<String>) {
        let mut table = Table::split(text, Delimiter::Comma);
        let layout = layout(&table, Delimiter::Comma, &mut Notes::default()).unwrap();
        let mut notes = Notes::default();
        down(&mut table, &layout, &mut notes);
        let rows = (layout.first..table.rows()).map(|row| table.row(row).map(str::to_owned).collect()).collect();
        (rows, notes.decisions.into_iter().map(|d| d.value).collect())
    }

    #[test]
    fn group_fields_hold_below() {
        let (rows, said) = filled(
            "Room,Visit,Date,Point,MC (%),Temp (°C)\nHall,1,2024-01-01,1,12.5,20\n,,,2,13.5,\n,,,3,14.5,\nBath,2,2024-01-02,1,11.5,21\n,,,2,10.5,\n,,,3,9.5,\n",
        );
        assert_eq!(said, ["`Room`, `Visit`, `Date`"]);
        assert_eq!(rows[2], ["Hall", "1", "2024-01-01", "3", "14.5", ""]);
        assert_eq!(rows[4], ["Bath", "2", "2024-01-02", "2", "10.5", ""]);
    }

    #[test]
    fn a_date_given_once_a_day() {
        let (rows, said) = filled(
            "Date,Time,Temp (°C),RH (%)\n2024-01-01,08:00,20,50\n,12:00,21,51\n,16:00,22,52\n2024-01-02,08:00,20,50\n,12:00,21,49\n,16:00,22,48\n",
        );
        assert_eq!(said, ["`Date`"]);
        assert_eq!(rows[5], ["2024-01-02", "16:00", "22", "48"]);
    }

    #[test]
    fn what_is_not_plain_stays_empty() {
        // Dates alone, with nothing to tell that they hold below.
        let (_, said) =
            filled("Date,Temp (°C),RH (%)\n2024-01-01,20,50\n,21,51\n,22,52\n2024-01-02,20,50\n,21,49\n,22,48\n");
        assert!(said.is_empty(), "{said:?}");
        // Times that run backwards within a day.
        let (_, said) = filled(
            "Date,Time,Temp (°C)\n2024-01-01,12:00,20\n,08:00,21\n,16:00,22\n2024-01-02,08:00,20\n,12:00,21\n,10:00,22\n",
        );
        assert!(said.is_empty(), "{said:?}");
    }

    #[test]
    fn a_measured_value_is_never_filled() {
        let (rows, said) = filled(
            "Room,Date,Temp (°C),Point,MC (%)\nHall,2024-01-01,20,1,12.5\n,,,2,13.5\n,,,3,14.5\nBath,2024-01-02,21,1,11.5\n,,,2,10.5\n,,,3,9.5\n",
        );
        assert_eq!(said, ["`Room`, `Date`"]);
        assert_eq!(rows[1], ["Hall", "2024-01-01", "", "2", "13.5"]);
    }
}
