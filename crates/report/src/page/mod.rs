//! The page: the model as one self-contained HTML file that needs no network, and no script to be read.
//!
//! Reading order: this file; [`morning`] (what comes first); `chart_answers` (the data the script reads); `dark` (charts
//! on a dark screen); `policy` (what the page may do). Template, style and script are in `assets/page`.
//!
//! Left out: the wording (`model`), the charts (`charts`), which are drawn in line.

mod chart_answers;
mod dark;
pub mod morning;
mod policy;

use std::collections::{BTreeMap, BTreeSet};

use grainfall_analysis::evidence::Evidence;
use minijinja::syntax::SyntaxConfig;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, Value};
use serde_json::Value as Json;

use crate::Error;
use crate::charts::Chart;
use crate::fonts;
use crate::model::shown::Shown;
use crate::model::{self, Model};
use crate::text_filter::for_any_faces;
use crate::words::{Manner, Words};
use morning::Morning;

const TEMPLATE: &str = include_str!("../../assets/page/report.html");
const STYLE: &str = include_str!("../../assets/page/report.css");
const SCRIPT: &str = include_str!("../../assets/page/report.js");

/// The page with what was changed to make it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// The file.
    pub html: String,
    /// Characters written out as `[U+XXXX]`.
    pub replaced_characters: u64,
}

/// The model as a page.
///
/// # Arguments
/// * `charts`: the charts the model's chart blocks count.
/// * `evidence`: what the model was made from; what comes first is gathered from it.
///
/// # Errors
/// [`Error::Page`] when the template engine refuses, [`Error::TimeZone`] when the job's zone is not known.
pub fn page(model: &Model, charts: &[Chart], evidence: &Evidence, manner: Manner) -> Result<Page, Error> {
    let shown = Shown::new(manner, evidence)?;
    let mut morning = morning::morning(evidence, &shown);
    drop_dangling_links(model, &mut morning);
    let mut replaced_characters = 0;
    let report = value(&json("report.html", model)?, &mut replaced_characters);
    let morning = value(&json("report.html", &morning)?, &mut 0);
    // Drawings are our own markup with every text escaped, and their ids begin with the chart's own.
    let drawings: Vec<Value> = charts
        .iter()
        .map(|chart| {
            let fields = [
                ("id", Value::from(chart.id.clone())),
                ("title", Value::from(for_any_faces(&chart.title).text)),
                ("svg", Value::from_safe_string(chart.svg.clone())),
            ];
            Value::from(BTreeMap::from(fields))
        })
        .collect();
    let style = format!("{}{STYLE}{}", faces(), dark::style());
    let context = BTreeMap::from([
        ("report", report),
        ("morning", morning),
        ("drawings", Value::from(drawings)),
        ("answers", Value::from_safe_string(chart_answers::json(charts, &shown)?)),
        ("replaced", Value::from(shown.words.replaced(replaced_characters))),
        ("words", Value::from(section(shown.words, "page"))),
        ("language", Value::from(shown.words.code())),
        ("policy", Value::from(policy::policy(SCRIPT, &style))),
        ("style", Value::from_safe_string(style)),
        ("script", Value::from_safe_string(SCRIPT.to_owned())),
    ]);
    let html = set("report.html", TEMPLATE, context)?;
    Ok(Page { html, replaced_characters })
}

/// The texts of a section as the template reads them.
pub(crate) fn section(words: Words, name: &str) -> BTreeMap<String, Value> {
    words.section(name).iter().map(|(key, text)| (key.to_string(), Value::from(*text))).collect()
}

/// A template filled; every text in it is escaped.
///
/// # Errors
/// [`Error::Page`] when the template engine refuses.
pub(crate) fn set(
    name: &'static str,
    template: &'static str,
    context: BTreeMap<&'static str, Value>,
) -> Result<String, Error> {
    let refused = |fault: minijinja::Error| Error::Page { reason: format!("{fault:#}") };
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(UndefinedBehavior::SemiStrict);
    let syntax = SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build().map_err(refused)?;
    environment.set_syntax(syntax);
    environment.add_template(name, template).map_err(refused)?;
    environment.get_template(name).and_then(|template| template.render(Value::from(context))).map_err(refused)
}

/// The faces the page is set in, carried by the page itself.
fn faces() -> String {
    let face = |(weight, bytes): &(u16, &[u8])| {
        format!(
            "@font-face {{ font-family: {}; font-weight: {weight}; src: url({}) format(\"woff2\"); }}\n",
            fonts::FAMILY,
            policy::data_address("font/woff2", bytes)
        )
    };
    fonts::FOR_THE_PAGE.iter().map(face).collect()
}

/// A link of the morning whose anchor the model does not have becomes plain text.
fn drop_dangling_links(model: &Model, morning: &mut Morning) {
    let anchors: BTreeSet<String> = model::anchors(&model.sections);
    let rungs = morning.ladders.iter_mut().flat_map(|ladder| &mut ladder.rungs).map(|rung| &mut rung.link);
    for link in morning.actions.iter_mut().map(|action| &mut action.link).chain(rungs) {
        if !anchors.contains(link.as_str()) {
            link.clear();
        }
    }
}

/// Part of a page as JSON.
pub(crate) fn json(document: &'static str, part: &impl serde::Serialize) -> Result<Json, Error> {
    serde_json::to_value(part).map_err(|fault| Error::Json { document, reason: fault.to_string() })
}

/// The template engine's value of a JSON value, every text filtered.
pub(crate) fn value(json: &Json, replaced: &mut u64) -> Value {
    match json {
        Json::Null => Value::from(()),
        Json::Bool(flag) => Value::from(*flag),
        Json::Number(number) => number
            .as_i64()
            .map(Value::from)
            .or_else(|| number.as_f64().map(Value::from))
            .unwrap_or_else(|| Value::from(number.to_string())),
        Json::String(text) => {
            let filtered = for_any_faces(text);
            *replaced += filtered.replaced;
            Value::from(filtered.text)
        }
        Json::Array(items) => Value::from(items.iter().map(|item| value(item, replaced)).collect::<Vec<_>>()),
        Json::Object(fields) => {
            let fields: BTreeMap<String, Value> =
                fields.iter().map(|(key, item)| (key.clone(), value(item, replaced))).collect();
            Value::from(fields)
        }
    }
}
