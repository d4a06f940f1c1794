//! Files whose dates fit both orders, settled by other files of the folder that the same program wrote: the same names
//! above the columns, the same mark between the cells, dates in the same form.

use grainfall_record::{Certainty, DateOrder, ReadingHints};
use serde::{Deserialize, Serialize};

use crate::file::FileRead;
use crate::table::{Delimiter, Layout};
use crate::time::order::Order;
use crate::time::stamp::DateText;

/// How the dates of a file came to their order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Dates {
    shape: Shape,
    /// The order its own evidence leaves; `None` where both fit.
    pub order: Option<Order>,
}

/// What files of one program have in common.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Shape {
    names: Vec<String>,
    delimiter: Delimiter,
    /// The mark between the numbers of a date, and whether its year has four digits.
    date: (u8, bool),
}

impl Dates {
    /// Of a file with a row of names whose dates need an order; `None` of any other.
    pub fn of(layout: &Layout, date: DateText, order: Option<Order>) -> Option<Self> {
        let date = match date {
            DateText::Known(_) => return None,
            DateText::TwoAndYear { mark, .. } => (mark, true),
            DateText::Three { mark, .. } => (mark, false),
        };
        layout
            .named
            .then(|| Self { shape: Shape { names: layout.names.clone(), delimiter: layout.delimiter, date }, order })
    }
}

/// Reads every file again whose dates fit both orders, where files like it leave one. `again` reads all that is within
/// the file of a path.
pub(crate) fn settle(
    read: &mut [FileRead],
    hints: &ReadingHints,
    again: impl Fn(&str, &ReadingHints) -> Vec<FileRead>,
) {
    let open: Vec<usize> =
        (0..read.len()).filter(|at| read[*at].dates.as_ref().is_some_and(|dates| dates.order.is_none())).collect();
    for at in open {
        let Some((order, path)) = order_of_siblings(read, at) else { continue };
        let order = match order {
            Order::MonthFirst => DateOrder::MonthFirst,
            Order::DayFirst => DateOrder::DayFirst,
            Order::YearFirst => continue,
        };
        let with_order = ReadingHints { date_order: Some(order), ..hints.clone() };
        let all = again(&read[at].input.path, &with_order);
        let Some(mut one) = all.into_iter().find(|one| one.input.path == read[at].input.path) else { continue };
        for decision in one.input.decisions.iter_mut().filter(|decision| decision.topic == "date order") {
            decision.reason = format!(
                "its own dates fit both orders; `{path}`, with the same names and the same form of dates, has this one"
            );
            decision.certainty = Certainty::Settled;
        }
        one.packed = read[at].packed;
        read[at] = one;
    }
}

/// The order of all files like one, and the first of them.
fn order_of_siblings(read: &[FileRead], at: usize) -> Option<(Order, String)> {
    let shape = &read[at].dates.as_ref()?.shape;
    let mut like = read.iter().filter_map(|one| {
        let dates = one.dates.as_ref().filter(|dates| dates.shape == *shape)?;
        Some((dates.order?, &one.input.path))
    });
    let (order, path) = like.next()?;
    like.all(|(other, _)| other == order).then(|| (order, path.clone()))
}
