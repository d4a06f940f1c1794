//! Each kind of chart against a small image of it that somebody has looked at.
//!
//! Images are kept in `tests/golden/charts`. `UPDATE_GOLDEN=1` writes them anew; look at them before keeping them. A
//! chart that looks otherwise is written beside its kept image to `target/golden`, kept left, found right.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use grainfall_report::UnitSystem;
use grainfall_report::charts::{Chart, draw_all};
use grainfall_report::raster;
use grainfall_report::sample_evidence::sample;
use resvg::tiny_skia::Pixmap;

/// Size of a kept image over that of its chart.
const SCALE: f32 = 0.5;

/// Steps of 255 by which a pixel may differ in any colour: what another rounding of edges makes.
const PIXEL_TOLERANCE: u8 = 40;

/// Share of the pixels that may differ by more: about one word of a label. A line that moves is ten times that.
const SHARE_TOLERANCE: f64 = 0.002;

#[test]
fn charts_look_as_they_were_looked_at() {
    let charts = draw_all(&sample(), UnitSystem::Us).expect("drawn");
    let kinds: BTreeMap<String, &Chart> =
        charts.iter().rev().map(|chart| (format!("{:?}", chart.kind).to_lowercase(), chart)).collect();
    assert_eq!(kinds.len(), 8, "every kind of chart is in the sample");
    let mut changed = Vec::new();
    for (kind, chart) in kinds {
        let found = raster::png(&chart.svg, SCALE).expect("an image");
        let kept = kept_images().join(format!("{kind}.png"));
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::write(&kept, &found).expect("written");
        }
        let kept_bytes = std::fs::read(&kept).unwrap_or_else(|error| panic!("{}: {error}", kept.display()));
        let (kept_image, found) = (decoded(&kept_bytes), decoded(&found));
        let share = differing(&kept_image, &found);
        if share > SHARE_TOLERANCE {
            let place = side_by_side(&kind, &kept_image, &found);
            changed.push(format!("{kind}: {:.2} % of the pixels, see {}", share * 100.0, place.display()));
        }
    }
    assert!(changed.is_empty(), "charts look otherwise (kept left, found right):\n{}", changed.join("\n"));
}

#[test]
fn a_line_that_moves_is_seen() {
    let charts = draw_all(&sample(), UnitSystem::Us).expect("drawn");
    let mut analysis = sample();
    analysis.tracks[0].gpp.iter_mut().flatten().for_each(|gpp| *gpp += 4.0);
    let moved = draw_all(&analysis, UnitSystem::Us).expect("drawn");
    let image = |chart: &Chart| decoded(&raster::png(&chart.svg, SCALE).expect("an image"));
    let at = charts.iter().position(|chart| chart.id == "air-A").expect("the chart");
    let share = differing(&image(&charts[at]), &image(&moved[at]));
    assert!(share > 2.0 * SHARE_TOLERANCE, "{share}");
}

fn kept_images() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/golden/charts")
}

fn decoded(png: &[u8]) -> Pixmap {
    Pixmap::decode_png(png).expect("a PNG")
}

/// Share of pixels that differ; all of them where the sizes do.
fn differing(kept: &Pixmap, found: &Pixmap) -> f64 {
    if (kept.width(), kept.height()) != (found.width(), found.height()) {
        return 1.0;
    }
    let far = |a: u8, b: u8| a.abs_diff(b) > PIXEL_TOLERANCE;
    let pairs = kept.pixels().iter().zip(found.pixels());
    let count =
        pairs.filter(|(a, b)| far(a.red(), b.red()) || far(a.green(), b.green()) || far(a.blue(), b.blue())).count();
    count as f64 / kept.pixels().len() as f64
}

/// Writes both images beside one another; returns where.
fn side_by_side(kind: &str, kept: &Pixmap, found: &Pixmap) -> PathBuf {
    let gap = 8;
    let mut both = Pixmap::new(kept.width() + gap + found.width(), kept.height().max(found.height())).expect("a size");
    both.fill(resvg::tiny_skia::Color::WHITE);
    let paint = resvg::tiny_skia::PixmapPaint::default();
    let still = resvg::tiny_skia::Transform::identity();
    both.draw_pixmap(0, 0, kept.as_ref(), &paint, still, None);
    both.draw_pixmap((kept.width() + gap) as i32, 0, found.as_ref(), &paint, still, None);
    let target =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| kept_images().join("../../../target"), PathBuf::from);
    let place = target.join("golden").join(format!("{kind}.png"));
    std::fs::create_dir_all(place.parent().expect("a folder")).expect("made");
    std::fs::write(&place, both.encode_png().expect("encoded")).expect("written");
    place
}
