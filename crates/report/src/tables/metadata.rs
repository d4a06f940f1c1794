//! What the tables hold, for programs: one file beside them.
//!
//! # Source
//! W3C Recommendation "Metadata Vocabulary for Tabular Data" (17 December 2015): table groups (5.3), tables (5.4),
//! schemas (5.5), columns (5.6), datatypes (5.11); common properties by prefixed names (5.8). The name of the file is one
//! of the two at which a reader of a table looks for it ("Model for Tabular Data and Metadata on the Web", 5.3).

use serde_json::{Value, json};

use super::METADATA;
use super::columns::{Column, Kind, column};
use super::sheet::Sheet;
use crate::Error;
use crate::model::tool;
use crate::summary::pretty;

/// The description of tables.
///
/// # Arguments
/// * `title`: what they are about.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn metadata(title: &str, sheets: &[Sheet]) -> Result<Vec<u8>, Error> {
    let tables: Vec<Value> = sheets.iter().map(table).collect();
    let group = json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "dc:title": title,
        "dc:creator": tool(),
        "tables": tables,
    });
    pretty(METADATA, &group)
}

fn table(sheet: &Sheet) -> Value {
    let columns: Vec<Value> = sheet
        .header
        .iter()
        .map(|name| {
            let Column { kind, unit } = column(sheet.name, name);
            let mut about = json!({ "name": name, "titles": name, "datatype": datatype(kind) });
            if let Some(unit) = unit {
                about["schema:unitText"] = json!(unit);
            }
            about
        })
        .collect();
    json!({ "url": format!("{}.csv", sheet.name), "tableSchema": { "columns": columns } })
}

fn datatype(kind: Kind) -> Value {
    match kind {
        Kind::Text => json!("string"),
        Kind::YesNo => json!({ "base": "boolean", "format": "yes|no" }),
        Kind::Whole => json!("nonNegativeInteger"),
        Kind::Number => json!("decimal"),
        Kind::Day => json!("date"),
        Kind::Instant => json!("dateTimeStamp"),
    }
}
