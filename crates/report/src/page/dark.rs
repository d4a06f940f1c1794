//! The charts on dark paper: for every colour a chart is drawn in, the one that takes its place on a dark screen.
//!
//! The drawings are the same; the page's style sheet overrides their colours by value, so that nothing in a drawing
//! can be missed or mixed up, and print and files stay as they are.

use std::fmt::Write as _;

use plotters::style::RGBColor;

use crate::theme::{self, hex};

/// Drawn colour, and the colour on dark paper: lighter, of the same hue, each at least 3:1 on it (WCAG 2.2, 1.4.11),
/// and text at least 4.5:1 (1.4.3).
const PAIRS: [(RGBColor, RGBColor); 15] = [
    (theme::PAPER, RGBColor(22, 26, 31)),
    (theme::BLACK, RGBColor(250, 250, 248)),
    (theme::TEXT, RGBColor(233, 235, 237)),
    (theme::QUIET_TEXT, RGBColor(170, 177, 185)),
    (theme::AXIS, RGBColor(137, 145, 153)),
    (theme::GRID, RGBColor(47, 54, 61)),
    (theme::SHADE, RGBColor(38, 43, 50)),
    (theme::SOLID, RGBColor(159, 183, 207)),
    (theme::UNCERTAINTY, RGBColor(33, 62, 84)),
    (theme::ORANGE, RGBColor(240, 180, 60)),
    (theme::SKY_BLUE, RGBColor(120, 198, 242)),
    (theme::BLUISH_GREEN, RGBColor(38, 190, 146)),
    (theme::BLUE, RGBColor(82, 168, 228)),
    (theme::VERMILLION, RGBColor(240, 126, 56)),
    (theme::REDDISH_PURPLE, RGBColor(222, 150, 188)),
];

/// Rules for a dark screen.
pub(super) fn style() -> String {
    let mut rules = String::from("@media screen and (prefers-color-scheme: dark) {\n");
    for (drawn, dark) in PAIRS {
        let (drawn, dark) = (hex(drawn), hex(dark));
        let _ = writeln!(rules, "figure [fill=\"{drawn}\"] {{ fill: {dark}; }}");
        let _ = writeln!(rules, "figure [stroke=\"{drawn}\"] {{ stroke: {dark}; }}");
    }
    rules.push_str("}\n");
    rules
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::UnitSystem;
    use crate::charts::draw_all;
    use crate::sample_evidence::{sample, stress};

    /// Relative luminance.
    ///
    /// # Source
    /// WCAG 2.2, definition of relative luminance.
    fn luminance(colour: RGBColor) -> f64 {
        let part = |byte: u8| {
            let share = f64::from(byte) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(colour.0) + 0.7152 * part(colour.1) + 0.0722 * part(colour.2)
    }

    /// Contrast ratio, 1 to 21 (WCAG 2.2, definition of contrast ratio).
    fn contrast(a: RGBColor, b: RGBColor) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_colour_of_a_drawing_has_its_dark_one() {
        let known: BTreeSet<String> = PAIRS.iter().map(|pair| hex(pair.0)).collect();
        assert_eq!(known.len(), PAIRS.len());
        for analysis in [sample(), stress()] {
            for chart in draw_all(&analysis, UnitSystem::Us).expect("drawn") {
                for attribute in ["fill=\"", "stroke=\""] {
                    for part in chart.svg.split(attribute).skip(1) {
                        let colour = part.split('"').next().unwrap_or("");
                        assert!(colour == "none" || known.contains(colour), "{} {colour}", chart.id);
                    }
                }
            }
        }
    }

    #[test]
    fn lines_and_texts_stand_out_from_dark_paper() {
        let paper = PAIRS[0].1;
        for (drawn, dark) in PAIRS {
            let found = contrast(dark, paper);
            let least = match drawn {
                theme::PAPER | theme::GRID | theme::SHADE | theme::UNCERTAINTY => 1.0,
                theme::TEXT | theme::QUIET_TEXT => 4.5,
                _ => 3.0,
            };
            assert!(found >= least, "{} on dark paper: {found:.2}, at least {least}", hex(drawn));
        }
        // The number of a day stands in paper's colour on a filled cell.
        let solid = PAIRS.iter().find(|pair| pair.0 == theme::SOLID).expect("a pair").1;
        assert!(contrast(solid, paper) >= 4.5);
    }
}
