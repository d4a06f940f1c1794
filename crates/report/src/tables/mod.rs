//! The evidence as tables for spreadsheets and programs: `tables/*.csv`.
//!
//! RFC 4180, UTF-8, one header row whose names carry units, instants in ISO 8601 with the zone's offset, an empty cell
//! where the record has no value. A text that a spreadsheet would run as a formula gets a leading apostrophe; numbers
//! are left alone.
//!
//! `csv-metadata.json` beside them says what each column holds, in the vocabulary of the W3C; [`workbook`] is the same
//! tables as one spreadsheet, with real dates.
//!
//! Reading order: [`sheet`] (cells and bytes), [`columns`] (what a column's name says), [`metadata`], then the tables
//! by subject: [`air`], [`materials`], [`equipment`],
//! [`notes`], [`outlook`].

pub mod air;
pub mod columns;
pub mod equipment;
pub mod materials;
pub mod metadata;
pub mod notes;
pub mod outlook;
pub mod sheet;
pub mod workbook;

use grainfall_analysis::evidence::Evidence;

use crate::model::shown::Shown;
use crate::{Error, UnitSystem};
use sheet::Sheet;

/// Name of the file that describes the tables, beside them.
pub const METADATA: &str = "csv-metadata.json";

/// All tables, sorted by name.
///
/// # Errors
/// [`Error::TimeZone`] when the job's zone is not known.
pub fn all(evidence: &Evidence, units: UnitSystem) -> Result<Vec<Sheet>, Error> {
    let shown = Shown::new(units, evidence)?;
    let mut sheets: Vec<Sheet> = vec![
        air::condensate(evidence, &shown),
        air::daily_air(evidence, &shown),
        air::daily_unit_air(evidence, &shown),
        air::differences(evidence, &shown),
        air::hand_air(evidence, &shown),
        equipment::equipment_days(evidence, &shown),
        equipment::equipment_stays(evidence, &shown),
        equipment::equipment_totals(evidence),
        equipment::hour_meters(evidence, &shown),
        equipment::pauses(evidence, &shown),
        equipment::runs(evidence, &shown),
        materials::drying_rates(evidence),
        materials::points(evidence, &shown),
        materials::readings(evidence, &shown),
        notes::findings(evidence, &shown),
        notes::missing(evidence),
        notes::visits(evidence, &shown),
        outlook::completeness(evidence, &shown),
        outlook::earliest_leaves(evidence, &shown),
        outlook::forecasts(evidence, &shown),
        outlook::mould(evidence, &shown),
        outlook::sizing(evidence),
    ];
    sheets.sort_by_key(|sheet| sheet.name);
    Ok(sheets)
}
