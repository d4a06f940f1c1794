//! `tables/csv-metadata.json` is what the W3C recommendation asks for, and says of the tables what is true.
//!
//! Sources: W3C Recommendation "Metadata Vocabulary for Tabular Data", 17 December 2015; section numbers stand at each
//! check.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate};
use grainfall_report::sample_evidence::{sample, stress};
use grainfall_report::{Outputs, Settings, UnitSystem, render};
use serde_json::Value;

use crate::support::Inputs;

/// Built-in datatypes (5.11.1) that are used here.
const DATATYPES: [&str; 6] = ["string", "boolean", "nonNegativeInteger", "decimal", "date", "dateTimeStamp"];

fn outputs(analysis: grainfall_analysis::evidence::Analysis, units: UnitSystem) -> Outputs {
    let inputs = Inputs::around(analysis, Settings { units, ..Settings::default() });
    render(&inputs.render_input(), &|_| {}).expect("the report is made")
}

fn described(outputs: &Outputs) -> Value {
    serde_json::from_slice(&outputs.files["tables/csv-metadata.json"]).expect("JSON")
}

#[test]
fn the_structure_is_the_one_of_the_recommendation() {
    let outputs = outputs(sample(), UnitSystem::Us);
    let group = described(&outputs);
    // 5.2: the context is the namespace, alone or first in an array with an object of @base or @language after it.
    assert_eq!(group["@context"][0], "http://www.w3.org/ns/csvw");
    let second = group["@context"][1].as_object().expect("an object");
    assert!(!second.is_empty() && second.keys().all(|key| key == "@language" || key == "@base"));
    // 5.3.1: a table group has an array of tables, not empty; every other property is one of the vocabulary or a
    // prefixed name (5.8).
    let tables = group["tables"].as_array().expect("an array");
    assert!(!tables.is_empty());
    let known = ["@context", "tables", "dialect", "notes", "tableDirection", "tableSchema", "transformations"];
    assert!(group.as_object().expect("an object").keys().all(|key| known.contains(&key.as_str()) || key.contains(':')));
    let mut urls = BTreeSet::new();
    for table in tables {
        // 5.4.1: a table has a url, relative to the file.
        let url = table["url"].as_str().expect("a url");
        assert!(outputs.files.contains_key(&format!("tables/{url}")), "{url}");
        assert!(urls.insert(url.to_owned()), "{url} is there twice");
        let columns = table["tableSchema"]["columns"].as_array().expect("columns");
        let mut names = BTreeSet::new();
        for column in columns {
            // 5.6.1: a name is a URI template variable (letters, digits, `_`) and does not begin with `_`; no two alike.
            let name = column["name"].as_str().expect("a name");
            assert!(name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') && !name.starts_with('_'), "{name}");
            assert!(names.insert(name), "{url}: {name} is there twice");
            let datatype = column["datatype"].as_str().or(column["datatype"]["base"].as_str()).expect("a datatype");
            assert!(DATATYPES.contains(&datatype), "{url}: {name}: {datatype}");
        }
    }
    let written: BTreeSet<String> = outputs
        .files
        .keys()
        .filter_map(|path| path.strip_prefix("tables/"))
        .filter(|p| p.ends_with(".csv"))
        .map(str::to_owned)
        .collect();
    assert_eq!(urls, written);
}

#[test]
fn titles_are_the_headers_and_every_cell_is_of_its_datatype() {
    for (analysis, units) in [(sample(), UnitSystem::Us), (stress(), UnitSystem::Si)] {
        let outputs = outputs(analysis, units);
        let mut cells = 0;
        for table in described(&outputs)["tables"].as_array().expect("tables") {
            let url = table["url"].as_str().expect("a url");
            let columns = table["tableSchema"]["columns"].as_array().expect("columns");
            let mut reader = csv::Reader::from_reader(outputs.files[&format!("tables/{url}")].as_slice());
            // 5.6.1: titles are what the header row holds.
            let titles: Vec<&str> = columns.iter().map(|column| column["titles"].as_str().expect("a title")).collect();
            assert_eq!(reader.headers().expect("a header").iter().collect::<Vec<_>>(), titles, "{url}");
            for row in reader.records() {
                for (cell, column) in row.expect("a row").iter().zip(columns) {
                    // 5.7, null: an empty string, of any datatype.
                    if cell.is_empty() {
                        continue;
                    }
                    cells += 1;
                    assert!(
                        is_of(cell, &column["datatype"]),
                        "{url}: {} is {}: `{cell}`",
                        column["name"],
                        column["datatype"]
                    );
                }
            }
        }
        assert!(cells > 1000, "{cells}");
    }
}

/// XML Schema Part 2 for the lexical forms; 6.4.3 of "Model for Tabular Data" for the format of a boolean.
fn is_of(cell: &str, datatype: &Value) -> bool {
    match datatype.as_str() {
        Some("string") => true,
        Some("nonNegativeInteger") => cell.parse::<u64>().is_ok(),
        Some("decimal") => {
            cell.trim_start_matches('-').chars().all(|c| c.is_ascii_digit() || c == '.') && cell.parse::<f64>().is_ok()
        }
        Some("date") => NaiveDate::parse_from_str(cell, "%Y-%m-%d").is_ok(),
        Some("dateTimeStamp") => DateTime::parse_from_rfc3339(cell).is_ok(),
        _ if datatype["base"] == "boolean" => datatype["format"]
            .as_str()
            .and_then(|format| format.split_once('|'))
            .is_some_and(|(yes, no)| cell == yes || cell == no),
        _ => false,
    }
}

#[test]
fn units_stand_beside_numbers() {
    for (units, wanted) in [(UnitSystem::Us, "degree Fahrenheit"), (UnitSystem::Si, "degree Celsius")] {
        let group = described(&outputs(sample(), units));
        let daily = group["tables"]
            .as_array()
            .expect("tables")
            .iter()
            .find(|t| t["url"] == "daily_air.csv")
            .expect("daily air");
        let columns = daily["tableSchema"]["columns"].as_array().expect("columns");
        let temp = columns
            .iter()
            .find(|c| c["name"].as_str().is_some_and(|name| name.starts_with("air_temp_mean")))
            .expect("a column");
        assert_eq!(temp["schema:unitText"], wanted);
        assert_eq!(temp["datatype"], "decimal");
    }
}
