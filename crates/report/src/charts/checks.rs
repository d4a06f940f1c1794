//! What holds for every chart: well-formed, named, apart, inside, small and the same twice.

use std::collections::BTreeSet;

use grainfall_analysis::evidence::ChamberEvidence;
use resvg::usvg::roxmltree::{Document, Node};

use super::scene::Scene;
use super::{Chart, draw_all, progress};
use crate::fonts::{Weight, text_width};
use crate::raster;
use crate::sample_evidence::{crowd, sample, stress};
use crate::units_shown::UnitSystem;

fn all_charts() -> Vec<(&'static str, Chart)> {
    let mut charts = Vec::new();
    for (name, analysis) in [("sample", sample()), ("stress", stress())] {
        for units in UnitSystem::ALL {
            charts.extend(draw_all(&analysis, units).expect("drawn").into_iter().map(|chart| (name, chart)));
        }
    }
    charts
}

/// Left, top, right, bottom of a text in px, as measured in the embedded face.
fn text_box(node: Node<'_, '_>) -> (f64, f64, f64, f64) {
    let units =
        |node: Node<'_, '_>, name: &str| node.attribute(name).map(|v| v.parse::<f64>().expect("a number") / 10.0);
    let size = units(node, "font-size").expect("a size");
    let weight_of = |node: Node<'_, '_>| {
        node.attribute("font-weight").map(|weight| if weight == "400" { Weight::Regular } else { Weight::SemiBold })
    };
    let weight = weight_of(node).unwrap_or(Weight::Regular);
    let mut width = 0.0;
    for part in node.children() {
        width += if part.is_text() {
            text_width(part.text().unwrap_or(""), size, weight)
        } else {
            let size = units(part, "font-size").unwrap_or(size);
            let words = part.text().unwrap_or("");
            units(part, "dx").unwrap_or(0.0) + text_width(words, size, weight_of(part).unwrap_or(weight))
        };
    }
    let x = units(node, "x").expect("a place");
    let left = match node.attribute("text-anchor") {
        None => x,
        Some("middle") => x - width / 2.0,
        Some("end") => x - width,
        Some(other) => panic!("{other}"),
    };
    let baseline = units(node, "y").expect("a place");
    // Ink of the family reaches from the capitals' height to a fifth of the size below the line.
    (left, baseline - 0.73 * size, left + width, baseline + 0.2 * size)
}

fn texts_are_apart(name: &str, chart: &Chart) {
    let document = Document::parse(&chart.svg).expect("well-formed");
    let texts: Vec<Node<'_, '_>> = document.descendants().filter(|node| node.has_tag_name("text")).collect();
    assert!(texts.len() > 5, "{name} {}", chart.id);
    let boxes: Vec<(f64, f64, f64, f64)> = texts.iter().map(|node| text_box(*node)).collect();
    for (i, a) in boxes.iter().enumerate() {
        let words = texts[i].text().unwrap_or("");
        assert!(
            a.0 >= 0.0 && a.1 >= 0.0 && a.2 <= f64::from(chart.width) && a.3 <= f64::from(chart.height),
            "{name} {}: `{words}` leaves the sheet: {a:?}",
            chart.id
        );
        for (j, b) in boxes.iter().enumerate().take(i) {
            let apart = a.2 <= b.0 + 0.5 || b.2 <= a.0 + 0.5 || a.3 <= b.1 + 0.5 || b.3 <= a.1 + 0.5;
            assert!(apart, "{name} {}: `{words}` {a:?} over `{}` {b:?}", chart.id, texts[j].text().unwrap_or(""));
        }
    }
}

#[test]
fn no_two_texts_overlap_and_none_leaves_the_sheet() {
    for (name, chart) in all_charts() {
        texts_are_apart(name, &chart);
    }
}

/// No number of series makes two texts of a chart overlap, or one leave its sheet.
#[test]
fn texts_stay_apart_at_any_count_of_series() {
    for count in 1..=40 {
        let name = format!("{count} series");
        for chart in draw_all(&crowd(count), UnitSystem::ALL[count % 2]).expect("drawn") {
            texts_are_apart(&name, &chart);
        }
        let mut analysis = sample();
        let chamber = analysis.evidence.chambers[0].clone();
        analysis.evidence.chambers = (1..=count)
            .map(|nth| ChamberEvidence { id: format!("C{nth}"), name: format!("Room number {nth}"), ..chamber.clone() })
            .collect();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        for chart in progress::draw(&scene).expect("drawn") {
            texts_are_apart(&name, &chart);
        }
    }
}

#[test]
fn every_chart_is_well_formed_named_and_finite() {
    for (name, chart) in all_charts() {
        let document = Document::parse(&chart.svg).expect("well-formed");
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let child = |tag: &str| {
            root.children().find(|node| node.has_tag_name(tag)).and_then(|node| node.text()).unwrap_or("").to_owned()
        };
        assert!(!child("title").is_empty() && !child("desc").is_empty(), "{name} {}", chart.id);
        let lower = chart.svg.to_lowercase();
        for bad in ["nan\"", "nan,", ",nan", "inf\"", "infinity", "null"] {
            assert!(!lower.contains(bad), "{name} {}: {bad}", chart.id);
        }
        assert!(chart.id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'), "{}", chart.id);
        assert!(chart.alt.ends_with('.') && chart.caption.ends_with('.'), "{name} {}: {}", chart.id, chart.alt);
        assert!(chart.alt.chars().count() <= 900, "{name} {}: {}", chart.id, chart.alt);
        let ids: Vec<&str> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        assert!(ids.iter().all(|id| id.starts_with(&chart.id)), "ids are the chart's own: {ids:?}");
    }
}

#[test]
fn the_smallest_text_is_a_readable_share_of_the_width() {
    for (name, chart) in all_charts() {
        let document = Document::parse(&chart.svg).expect("well-formed");
        for node in document.descendants().filter(|node| node.attribute("font-size").is_some()) {
            let size: f64 = node.attribute("font-size").expect("a size").parse().expect("a number");
            // At least 12 px on a drawing 960 px wide.
            assert!(size / 10.0 / f64::from(chart.width) >= 12.0 / 960.0, "{name} {} {size}", chart.id);
        }
    }
}

#[test]
fn ids_are_unique_and_charts_are_small() {
    for (name, analysis) in [("sample", sample()), ("stress", stress())] {
        let charts = draw_all(&analysis, UnitSystem::Us).expect("drawn");
        let ids: BTreeSet<String> = charts.iter().map(|chart| chart.id.to_lowercase()).collect();
        assert_eq!(ids.len(), charts.len());
        for chart in &charts {
            let most = if name == "sample" { 150_000 } else { 300_000 };
            assert!(chart.svg.len() < most, "{name} {}: {} bytes", chart.id, chart.svg.len());
        }
    }
}

#[test]
fn same_evidence_same_bytes() {
    for units in UnitSystem::ALL {
        assert_eq!(draw_all(&sample(), units).expect("drawn"), draw_all(&sample(), units).expect("drawn"));
    }
}

#[test]
fn all_kinds_and_scopes_are_there_in_order() {
    let charts = draw_all(&sample(), UnitSystem::Us).expect("drawn");
    let ids: Vec<&str> = charts.iter().map(|chart| chart.id.as_str()).collect();
    let wanted = [
        "equipment",
        "progress",
        "air-A",
        "temperature-humidity-A",
        "readings-A",
        "drive-A",
        "air-B",
        "temperature-humidity-B",
        "readings-B",
        "drive-B",
        "air-no-chamber",
        "temperature-humidity-no-chamber",
        "day-2025-10-06",
        "psychrometric-2025-10-06",
        "day-2025-10-07",
    ];
    assert_eq!(ids[..wanted.len()], wanted);
}

#[test]
fn a_record_without_anything_has_no_chart() {
    let mut analysis = sample();
    analysis.tracks.clear();
    analysis.depressions.clear();
    let evidence = &mut analysis.evidence;
    evidence.hand_air.clear();
    evidence.chambers.clear();
    evidence.points.clear();
    evidence.equipment.clear();
    evidence.loggers.clear();
    assert!(draw_all(&analysis, UnitSystem::Us).expect("drawn").is_empty());
    analysis.evidence.job.record_from = None;
    analysis.evidence.days.clear();
    assert!(draw_all(&analysis, UnitSystem::Us).expect("drawn").is_empty());
}

#[test]
fn loggers_alone_are_charted_without_a_job() {
    let mut analysis = sample();
    analysis.evidence.chambers.clear();
    analysis.evidence.points.clear();
    analysis.evidence.equipment.clear();
    analysis.evidence.unit_air.clear();
    analysis.evidence.findings.clear();
    analysis.evidence.visits.clear();
    analysis.depressions.clear();
    let charts = draw_all(&analysis, UnitSystem::Us).expect("drawn");
    let ids: Vec<&str> = charts.iter().map(|chart| chart.id.as_str()).collect();
    assert_eq!(ids[..2], ["air-no-chamber", "temperature-humidity-no-chamber"]);
    assert_eq!(charts.len(), 18, "and two of each day");
}

#[test]
fn hostile_names_come_out_as_text() {
    let mut analysis = sample();
    let hostile = "\u{feff}<script>alert(1)</script> & \"quotes\" \u{202e}\u{0} \u{1f4a7} \u{5e72}";
    let evidence = &mut analysis.evidence;
    evidence.chambers[0].name = hostile.repeat(4);
    evidence.chambers[1].id = hostile.to_owned();
    for point in &mut evidence.points {
        point.location = Some(hostile.repeat(3));
        point.unit = hostile.to_owned();
    }
    for unit in &mut evidence.equipment {
        unit.kind = hostile.repeat(2);
    }
    for (track, facts) in analysis.tracks.iter_mut().zip(&mut evidence.loggers) {
        track.label = format!("{hostile}{}", track.label);
        facts.label.clone_from(&track.label);
    }
    for chart in draw_all(&analysis, UnitSystem::Us).expect("drawn") {
        let document = Document::parse(&chart.svg).expect("well-formed");
        assert!(!document.descendants().any(|node| node.has_tag_name("script")), "{}", chart.id);
        assert!(chart.id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'), "{}", chart.id);
    }
}

#[test]
fn images_are_drawn_of_every_kind() {
    for chart in draw_all(&sample(), UnitSystem::Us).expect("drawn").iter().take(6) {
        let image = raster::png(&chart.svg, raster::DEFAULT_SCALE).expect("an image");
        assert_eq!(&image[..8], b"\x89PNG\r\n\x1a\n", "{}", chart.id);
        let side = |at: usize| u32::from_be_bytes([image[at], image[at + 1], image[at + 2], image[at + 3]]);
        assert_eq!((side(16), side(20)), (chart.width * 2, chart.height * 2), "{}", chart.id);
    }
}
