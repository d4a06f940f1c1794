//! The page: the model as one self-contained HTML file that needs no network and no script.
//!
//! Left out: the wording (`model`), the charts (`charts`), which are drawn in line.

use std::collections::BTreeMap;

use minijinja::syntax::SyntaxConfig;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, Value};
use serde_json::Value as Json;

use crate::charts::Chart;
use crate::model::Model;
use crate::text_filter::for_any_faces;
use crate::{Error, text};

const TEMPLATE: &str = include_str!("../../assets/report.html");
const STYLE: &str = include_str!("../../assets/report.css");

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
///
/// # Errors
/// [`Error::Page`] when the template engine refuses.
pub fn page(model: &Model, charts: &[Chart]) -> Result<Page, Error> {
    let json = serde_json::to_value(model)
        .map_err(|fault| Error::Json { document: "report.html", reason: fault.to_string() })?;
    let mut replaced_characters = 0;
    let report = value(&json, &mut replaced_characters);
    // Drawings are our own markup with every text escaped, and their ids begin with the chart's own.
    let drawings: Vec<Value> = charts.iter().map(|chart| Value::from_safe_string(chart.svg.clone())).collect();
    let context = BTreeMap::from([
        ("report", report),
        ("drawings", Value::from(drawings)),
        ("replaced", Value::from(text::replaced(replaced_characters))),
        ("style", Value::from_safe_string(STYLE.to_owned())),
    ]);
    let html = set("report.html", TEMPLATE, context)?;
    Ok(Page { html, replaced_characters })
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
