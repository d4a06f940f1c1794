//! A chart's SVG as a PNG, set in the embedded faces only.

use std::sync::{Arc, LazyLock};

use resvg::{tiny_skia, usvg};

use crate::error::Error;
use crate::fonts;

/// Scale at which charts are written: twice their size in px, for print.
pub const DEFAULT_SCALE: f32 = 2.0;

/// Greatest side of an image, px: a larger one is a mistake in a drawing, not a chart.
const GREATEST_SIDE: f32 = 20_000.0;

/// The SVG drawn on white.
///
/// # Arguments
/// * `svg`: an SVG document.
/// * `scale`: px of the image per px of the drawing, above 0; [`DEFAULT_SCALE`] for print.
///
/// # Errors
/// [`Error::Image`] if the SVG cannot be read, if the image would have no or more than 20,000 px on a side, or if it
/// cannot be encoded.
pub fn png(svg: &str, scale: f32) -> Result<Vec<u8>, Error> {
    let fail = |reason: String| Error::Image { reason };
    let tree = usvg::Tree::from_str(svg, &options()).map_err(|error| fail(error.to_string()))?;
    let (width, height) = (tree.size().width() * scale, tree.size().height() * scale);
    if !(1.0..=GREATEST_SIDE).contains(&width) || !(1.0..=GREATEST_SIDE).contains(&height) {
        return Err(fail(format!("{width} x {height} px, accepted are 1 to {GREATEST_SIDE} px on a side")));
    }
    let mut image = tiny_skia::Pixmap::new(width.round() as u32, height.round() as u32)
        .ok_or_else(|| fail(format!("{width} x {height} px cannot be allocated")))?;
    image.fill(tiny_skia::Color::WHITE);
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut image.as_mut());
    image.encode_png().map_err(|error| fail(error.to_string()))
}

/// How SVGs are read: the embedded faces only, whatever family they ask for.
pub(crate) fn options() -> usvg::Options<'static> {
    usvg::Options { fontdb: Arc::clone(&FACES), font_family: fonts::FAMILY.to_owned(), ..usvg::Options::default() }
}

static FACES: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
    let mut faces = usvg::fontdb::Database::new();
    for face in fonts::all() {
        faces.load_font_source(usvg::fontdb::Source::Binary(Arc::new(*face)));
    }
    faces.set_sans_serif_family(fonts::FAMILY);
    faces.set_serif_family(fonts::FAMILY);
    Arc::new(faces)
});

#[cfg(test)]
mod tests {
    use super::*;

    const SVG: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='40' height='30'>\
                       <text x='2' y='20' font-family='Inter, sans-serif' font-size='16'>42</text></svg>";

    #[test]
    fn image_has_the_header_and_the_size_asked_for() {
        let image = png(SVG, 2.0).expect("an image");
        assert_eq!(&image[..8], b"\x89PNG\r\n\x1a\n");
        // Width and height of the IHDR chunk, big-endian (PNG specification, section 11.2.2).
        assert_eq!(&image[16..24], [0, 0, 0, 80, 0, 0, 0, 60]);
    }

    #[test]
    fn text_is_drawn_in_the_embedded_face_on_white() {
        let image = tiny_skia::Pixmap::decode_png(&png(SVG, 1.0).expect("an image")).expect("a PNG");
        let dark = image.pixels().iter().filter(|p| p.red() < 90).count();
        assert!((20..300).contains(&dark), "{dark} dark pixels");
        assert!(image.pixels().iter().all(|p| p.alpha() == 255));
        assert_eq!(image.pixel(0, 0).map(|p| p.red()), Some(255));
    }

    #[test]
    fn same_drawing_same_bytes() {
        assert_eq!(png(SVG, 2.0).expect("an image"), png(SVG, 2.0).expect("an image"));
    }

    #[test]
    fn what_is_no_svg_is_refused_with_the_reason() {
        let error = png("<svg", 2.0).expect_err("not an SVG").to_string();
        assert!(error.starts_with("image of a chart: "), "{error}");
        let error = png(SVG, 1e6).expect_err("too large").to_string();
        assert!(error.contains("accepted are 1 to 20000 px on a side"), "{error}");
    }
}
