//! The common forms of a stamp, read byte by byte without trying any other: most rows of most logs.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};

use super::stamp::{Order, century, half};

/// The wall time of `2024-03-04 15:30:00`, `3/4/2024 3:30 PM` and the like. `None` says nothing of the text: the full
/// reading decides.
pub(crate) fn wall(text: &str, order: Order) -> Option<NaiveDateTime> {
    let mut scan = Scan { bytes: text.as_bytes(), at: 0 };
    let date = scan.date(order)?;
    if !scan.take(b' ') && !scan.take(b'T') {
        return None;
    }
    Some(date.and_time(scan.time()?))
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Scan<'_> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn take(&mut self, byte: u8) -> bool {
        let found = self.peek() == Some(byte);
        self.at += usize::from(found);
        found
    }

    /// One to four digits: their value and number.
    fn digits(&mut self) -> Option<(u32, usize)> {
        let start = self.at;
        let mut value = 0;
        while let Some(digit) = self.peek().map(|byte| byte.wrapping_sub(b'0')).filter(|digit| *digit < 10) {
            if self.at - start == 4 {
                return None;
            }
            value = value * 10 + u32::from(digit);
            self.at += 1;
        }
        (self.at > start).then_some((value, self.at - start))
    }

    fn two(&mut self) -> Option<u32> {
        match self.digits()? {
            (value, 2) => Some(value),
            _ => None,
        }
    }

    fn short(&mut self) -> Option<u32> {
        match self.digits()? {
            (value, 1 | 2) => Some(value),
            _ => None,
        }
    }

    fn date(&mut self, order: Order) -> Option<NaiveDate> {
        let (first, len) = self.digits()?;
        let mark = self.peek().filter(|mark| matches!(mark, b'/' | b'-' | b'.'))?;
        self.at += 1;
        let second = self.short()?;
        if !self.take(mark) {
            return None;
        }
        if len == 4 {
            return NaiveDate::from_ymd_opt(i32::try_from(first).ok()?, second, self.short()?);
        }
        if len > 2 {
            return None;
        }
        let (last, len) = self.digits()?;
        let year = |number: u32, len: usize| match len {
            4 => i32::try_from(number).ok(),
            2 => Some(century(u8::try_from(number).ok()?)),
            _ => None,
        };
        match order {
            Order::MonthFirst => NaiveDate::from_ymd_opt(year(last, len)?, first, second),
            Order::DayFirst => NaiveDate::from_ymd_opt(year(last, len)?, second, first),
            Order::YearFirst => None,
        }
    }

    fn time(&mut self) -> Option<NaiveTime> {
        let mut hour = self.short()?;
        if !self.take(b':') {
            return None;
        }
        let minute = self.two()?;
        let second = if self.take(b':') { self.two()? } else { 0 };
        if self.at < self.bytes.len() {
            self.take(b' ');
            let pm = match self.peek()? {
                b'A' | b'a' => false,
                b'P' | b'p' => true,
                _ => return None,
            };
            if !matches!(self.bytes[self.at + 1..], [b'M' | b'm']) {
                return None;
            }
            hour = u32::try_from(half(hour.into(), pm)?).ok()?;
        }
        NaiveTime::from_hms_opt(hour, minute, second)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::stamp::Stamp;
    use super::*;

    const ORDERS: [Order; 3] = [Order::MonthFirst, Order::DayFirst, Order::YearFirst];

    #[test]
    fn common_forms_are_read() {
        for (text, want) in [
            ("2024-03-04 15:30", "2024-03-04 15:30:00"),
            ("2024/3/4T5:30:09", "2024-03-04 05:30:09"),
            ("03/04/2024 12:05:00 AM", "2024-03-04 00:05:00"),
            ("3/4/24 1:05PM", "2024-03-04 13:05:00"),
        ] {
            assert_eq!(wall(text, Order::MonthFirst).unwrap().to_string(), want, "{text}");
        }
        for text in ["2024-03-04", "2024-03-04 24:00", "2024-03-04 10:00Z", "13/1/2024 10:00", "4. 3. 2024 10:00", ""] {
            assert!(wall(text, Order::MonthFirst).is_none(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_read_is_what_the_full_reading_reads(
            text in "[0-9]{1,4}[-/. ][0-9]{1,2}[-/. ][0-9]{1,4}[ T]{1,2}[0-9]{1,3}:[0-9]{1,2}(:[0-9]{1,2})?( ?[APap]\\.?[Mm]?)?Z?",
        ) {
            for order in ORDERS {
                if let Some(wall) = wall(&text, order) {
                    let stamp = Stamp::parse(&text).unwrap();
                    prop_assert_eq!(stamp.wall(order), Some(wall));
                    prop_assert_eq!(stamp.offset, None);
                }
            }
        }
    }
}
