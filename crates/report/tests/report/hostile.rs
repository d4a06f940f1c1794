//! Whatever a file or a person wrote comes out as text, or as `[U+XXXX]`, and never stops a report.

use grainfall_report::sample_evidence::sample;
use grainfall_report::text_filter::is_covered;
use grainfall_report::{Outputs, Settings, render};

use crate::support::{Inputs, change_every_text};

fn rendered(change: &dyn Fn(&str) -> String) -> Outputs {
    let mut inputs = Inputs::around(sample(), Settings::default());
    change_every_text(&mut inputs, change);
    render(&inputs.render_input(), &|_| {}).expect("no text stops a report")
}

fn text(outputs: &Outputs, path: &str) -> String {
    String::from_utf8(outputs.files[path].clone()).expect("texts are UTF-8")
}

#[test]
fn markup_of_any_kind_stays_text() {
    let markup = "#panic(\"stop\") $x^2$ [*b*] _i_ `r` = h <l> @ref \\ // /* {{ 7*7 }} {% raw %} \
                  <script>alert(1)</script> &amp; \" ' </style> ]]> =cmd() ";
    let outputs = rendered(&|old| format!("{markup}{old}"));
    let page = text(&outputs, "report.html");
    // The page's own: its data block and its script.
    assert_eq!((page.matches("<script").count(), page.matches("</script").count()), (2, 2), "no script from data");
    assert!(page.contains("&lt;script&gt;alert(1)"), "the text is there, escaped");
    assert!(page.contains("{{ 7*7 }}") && page.contains("{% raw %}"), "template signs are not run");
    assert_eq!(page.matches("</style>").count(), 1, "no text ends the style");
    assert!(outputs.files["report.pdf"].starts_with(b"%PDF-"));
}

#[test]
fn formulas_are_neutralised_in_every_table() {
    let outputs = rendered(&|old| format!("=cmd({old})"));
    for (path, bytes) in outputs.files.iter().filter(|(path, _)| path.ends_with(".csv")) {
        let mut reader = csv::ReaderBuilder::new().from_reader(bytes.as_slice());
        for record in reader.records() {
            for cell in &record.expect("tables are well formed") {
                assert!(!cell.starts_with(['=', '+', '@', '\t', '\r']), "{path}: {cell}");
                assert!(!cell.starts_with('-') || cell.parse::<f64>().is_ok(), "{path}: {cell}");
            }
        }
    }
}

#[test]
fn characters_without_a_glyph_are_named() {
    let odd = "\u{feff}\u{202e}\u{5d0}\u{5d1}\u{202c}\u{1f4a7}\u{5e72}\u{71e5}\u{0}\u{7}\u{1b}[31m\u{e000}\u{10ffff}e\u{301} ";
    let outputs = rendered(&|old| format!("{odd}{old}"));
    let page = text(&outputs, "report.html");
    assert!(page.contains("[U+FEFF]") && page.contains("[U+202E]") && page.contains("[U+0000]"));
    assert!(page.contains('\u{5e72}'), "a page leaves characters to the reader's faces");
    assert!(!page.contains('\u{202e}') && !page.contains('\u{0}'));
    let manifest: serde_json::Value = serde_json::from_slice(&outputs.files["manifest.json"]).expect("JSON");
    let replaced = manifest["replaced_characters"]["report.pdf"].as_u64().expect("a count");
    assert!(replaced > 1000, "counted: {replaced}");
}

#[test]
fn names_of_500_characters_do_not_stop_a_report() {
    let long = "x".repeat(500);
    let outputs = rendered(&|old| format!("{old}{long}"));
    assert!(outputs.files["report.pdf"].starts_with(b"%PDF-"));
}

#[test]
fn empty_texts_do_not_stop_a_report() {
    let outputs = rendered(&|old| if old.len() > 8 { String::new() } else { old.to_owned() });
    assert!(outputs.files["report.pdf"].starts_with(b"%PDF-"));
}

/// Every character that passes the filter is set by the archival PDF writer without complaint.
#[test]
fn every_covered_character_can_be_set() {
    let covered: Vec<char> = (0..=0x10_ffff).filter_map(char::from_u32).filter(|c| is_covered(*c)).collect();
    assert!(covered.len() > 1000, "{} characters", covered.len());
    let mut inputs = Inputs::around(sample(), Settings::default());
    let all: String = covered.iter().flat_map(|c| [*c, ' ']).collect();
    let mixed: String = covered.iter().collect();
    inputs.analysis.evidence.chambers[0].why = format!("{all} {mixed}");
    inputs.analysis.evidence.job.title = Some(covered.iter().skip(200).take(100).collect());
    let outputs = render(&inputs.render_input(), &|_| {}).expect("covered characters are set");
    assert!(outputs.files["report.pdf"].starts_with(b"%PDF-"));
}
