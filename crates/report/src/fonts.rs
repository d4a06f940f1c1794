//! The faces every report is set in; no font of the machine is ever used.
//!
//! Inter 4.0 under the SIL Open Font License 1.1 (`assets/fonts/OFL.txt`). The same faces set the PDF, are drawn into
//! the images of charts, and measure the text of charts before it is placed.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::layout::Abs;
use typst::text::{Font, FontInstance, FontVariations};

/// Name of the family, as PDF, SVG and page ask for it.
pub const FAMILY: &str = "Inter";

/// Weight of a face, as charts use it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// 400.
    Regular,
    /// 600.
    SemiBold,
    /// 700.
    Bold,
}

impl Weight {
    /// The number that CSS and SVG use.
    #[must_use]
    pub const fn number(self) -> u16 {
        match self {
            Self::Regular => 400,
            Self::SemiBold => 600,
            Self::Bold => 700,
        }
    }
}

/// The embedded faces: regular, semi-bold, bold, italic.
#[must_use]
pub fn all() -> &'static [&'static [u8]] {
    &ALL
}

/// Width of a line of text in px, the sum of the advances of its glyphs.
///
/// Kerning is left out: it changes a line by less than 2 % and mostly narrows it. A character without a glyph counts
/// as one em.
///
/// # Arguments
/// * `text`: one line.
/// * `size`: font size, px; any positive number.
/// * `weight`: the face.
///
/// ```
/// use grainfall_report::fonts::{Weight, text_width};
/// let one = text_width("0", 100.0, Weight::Regular);
/// assert!((text_width("00", 100.0, Weight::Regular) - 2.0 * one).abs() < 1e-9);
/// ```
#[must_use]
pub fn text_width(text: &str, size: f64, weight: Weight) -> f64 {
    let [regular, semi_bold, bold] = &*MEASURED;
    let face = match weight {
        Weight::Regular => regular,
        Weight::SemiBold => semi_bold,
        Weight::Bold => bold,
    };
    let advance = |c: char| {
        let face = face.as_ref()?;
        face.x_advance(face.ttf().glyph_index(c)?.0).map(|em| em.get() * size)
    };
    text.chars().map(|c| advance(c).unwrap_or(size)).sum()
}

static REGULAR: &[u8] = include_bytes!("../assets/fonts/Inter-Regular.otf");
static SEMI_BOLD: &[u8] = include_bytes!("../assets/fonts/Inter-SemiBold.otf");
static BOLD: &[u8] = include_bytes!("../assets/fonts/Inter-Bold.otf");
static ITALIC: &[u8] = include_bytes!("../assets/fonts/Inter-Italic.otf");

static ALL: [&[u8]; 4] = [REGULAR, SEMI_BOLD, BOLD, ITALIC];

/// The faces the page carries, by weight: the Latin, Greek and sign part of two of the faces above, as WOFF2. Made by
/// `assets/fonts/subset.sh`. What lies outside is set in the reader's own faces.
pub const FOR_THE_PAGE: [(u16, &[u8]); 2] = [
    (400, include_bytes!("../assets/fonts/Inter-Regular.page.woff2")),
    (600, include_bytes!("../assets/fonts/Inter-SemiBold.page.woff2")),
];

static MEASURED: LazyLock<[Option<FontInstance>; 3]> = LazyLock::new(|| {
    [REGULAR, SEMI_BOLD, BOLD].map(|face| {
        let face = Font::new(Bytes::new(face), 0)?;
        let variant = face.info().variant;
        Some(face.instantiate(variant, Abs::pt(12.0), &FontVariations::default()))
    })
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_face_is_of_the_family_and_can_be_read() {
        for face in all() {
            let font = Font::new(Bytes::new(*face), 0).expect("a face");
            assert_eq!(font.info().family.as_str(), FAMILY);
        }
    }

    /// A line is as wide as the image library sets it, but for kerning.
    #[test]
    fn widths_agree_with_the_text_as_set() {
        use resvg::usvg;
        for (text, weight) in [
            ("Mon 6 Oct 08:42", Weight::Regular),
            ("grains of water per pound of dry air (GPP)", Weight::Regular),
            ("Water in the air, Chamber A", Weight::SemiBold),
            ("12.1 ± 3.4 %MC ≤ 40…", Weight::SemiBold),
        ] {
            let svg = format!(
                "<svg xmlns='http://www.w3.org/2000/svg' width='900' height='100'><text x='0' y='60' \
                 font-family='Inter' font-size='40' font-weight='{}'>{text}</text></svg>",
                weight.number()
            );
            let tree = usvg::Tree::from_str(&svg, &crate::raster::options()).expect("an SVG");
            // The box of a text reaches from its start to the end of its last advance.
            let set = f64::from(tree.root().bounding_box().width());
            let measured = text_width(text, 40.0, weight);
            assert!((set - measured).abs() <= 0.02 * set, "`{text}` is {set} px wide, measured {measured}");
        }
    }
}
