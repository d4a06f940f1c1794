//! What a place of a text can be filled with.
//!
//! A number with decimals is not among it: [`Words::figure`](crate::Words::figure) writes it as the language does first.

use std::borrow::Cow;

/// Something that fills a place.
pub trait Fill {
    /// Appends it to a text.
    fn fill(&self, out: &mut String);

    /// The number it is, where it is a whole one: it may choose the form of a text.
    fn count(&self) -> Option<u64> {
        None
    }
}

impl Fill for str {
    fn fill(&self, out: &mut String) {
        out.push_str(self);
    }
}

impl Fill for String {
    fn fill(&self, out: &mut String) {
        out.push_str(self);
    }
}

impl Fill for Cow<'_, str> {
    fn fill(&self, out: &mut String) {
        out.push_str(self);
    }
}

impl<T: Fill + ?Sized> Fill for &T {
    fn fill(&self, out: &mut String) {
        (**self).fill(out);
    }

    fn count(&self) -> Option<u64> {
        (**self).count()
    }
}

macro_rules! whole_numbers {
    ($($number:ty),+) => {$(
        impl Fill for $number {
            fn fill(&self, out: &mut String) {
                out.push_str(&self.to_string());
            }

            fn count(&self) -> Option<u64> {
                u64::try_from(*self).ok()
            }
        }
    )+};
}
whole_numbers!(u8, u16, u32, u64, usize, i32, i64);
