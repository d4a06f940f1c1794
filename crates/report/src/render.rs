//! From evidence to every file of a report.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::Analysis;
use grainfall_keep::Store;
use grainfall_record::{Ledger, TidyFrame};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::charts::{self, Chart, ChartScope};
use crate::model::shown::Shown;
use crate::words::{Manner, Words};
use crate::{Error, UnitSystem, manifest, model, page, pdf, raster, rows_hash, samples, summary, tables};

/// Name of the samples in the report folder.
pub const SAMPLES: &str = "samples.parquet";

/// Pixels of an image per unit of its chart.
const IMAGE_SCALE: f32 = 2.0;

/// What a report is made from.
#[derive(Debug, Clone, Copy)]
pub struct RenderInput<'a> {
    /// What the record shows.
    pub analysis: &'a Analysis,
    /// Every sample used.
    pub frame: &'a TidyFrame,
    /// Every input seen, and what was refused.
    pub ledger: &'a Ledger,
    /// The job's own files, by path.
    pub job_files: &'a [JobFile],
    /// What the person who asked chose.
    pub settings: &'a Settings,
}

/// One of the job's own files.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct JobFile {
    /// Path relative to the job folder.
    pub path: String,
    /// SHA-256 of its bytes, lower-case hexadecimal.
    pub sha256: String,
    /// Size in bytes.
    pub bytes: u64,
}

/// Choices of the person who asked for the report.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Settings {
    /// Units people read.
    pub units: UnitSystem,
    /// The clock asked for; `None` for the last sample.
    pub as_of: Option<DateTime<Utc>>,
    /// Whether the tables are written as a spreadsheet too.
    pub workbook: Workbook,
    /// Language people read.
    pub words: Words,
}

impl Settings {
    /// How the report speaks to people.
    #[must_use]
    pub fn manner(&self) -> Manner {
        Manner { units: self.units, words: self.words }
    }
}

/// What becomes of the tables beside their CSV files.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Workbook {
    /// Nothing.
    #[default]
    None,
    /// One spreadsheet with a sheet for each.
    Xlsx,
}

/// Files of a report: relative path with `/` between folders, and bytes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Outputs {
    /// The files, sorted by path.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// A part of the work of [`render`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Drawing the charts and laying out what the report says.
    Charts,
    /// Setting the PDF.
    Pdf,
    /// Writing the page.
    Page,
    /// Turning charts into images.
    Images,
    /// Writing tables, samples and summary.
    Tables,
    /// Hashing everything into the manifest.
    Manifest,
}

impl Stage {
    /// Every part, in the order of a report.
    pub const ALL: [Self; 6] = [Self::Charts, Self::Pdf, Self::Page, Self::Images, Self::Tables, Self::Manifest];
}

/// A moment in the work of [`render`]. Parts may overlap: PDF, page, images and tables are made side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// A part begins.
    Begins(Stage),
    /// A part has been done.
    Ends(Stage),
}

/// Told of each step, from whichever thread takes it.
pub type Progress<'a> = dyn Fn(Step) + Sync + 'a;

/// Makes every file of a report.
///
/// # Arguments
/// * `progress`: told when each part begins and ends.
///
/// # Errors
/// The first fault of any document; none of the outputs is then given.
pub fn render(input: &RenderInput<'_>, progress: &Progress<'_>) -> Result<Outputs, Error> {
    render_again(input, &Store::none(), progress)
}

/// Makes every file of a report as [`render`] does, but for the images of charts that were drawn before.
///
/// # Arguments
/// * `store`: what was drawn before, and where what is drawn now is kept.
///
/// # Errors
/// As [`render`].
pub fn render_again(input: &RenderInput<'_>, store: &Store, progress: &Progress<'_>) -> Result<Outputs, Error> {
    let clock = input.analysis.evidence.clock;
    let (charts, model) = done(Stage::Charts, progress, || {
        let charts = charts::draw_all(input.analysis, input.settings.manner())?;
        let model = model::build(input, &charts)?;
        Ok((charts, model))
    })?;
    let (pdf, (page, (images, tables))) = rayon::join(
        || done(Stage::Pdf, progress, || pdf::pdf(&model, &charts, clock)),
        || {
            rayon::join(
                || {
                    done(Stage::Page, progress, || {
                        page::page(&model, &charts, &input.analysis.evidence, input.settings.manner())
                    })
                },
                || {
                    rayon::join(
                        || done(Stage::Images, progress, || images(&charts, store)),
                        || {
                            done(Stage::Tables, progress, || {
                                Ok((data(input, &model.title)?, rows_hash::rows_sha256(input.frame)))
                            })
                        },
                    )
                },
            )
        },
    );
    let (pdf, page, (mut files, rows_sha256)) = (pdf?, page?, tables?);
    let replaced = BTreeMap::from([("report.html", page.replaced_characters), ("report.pdf", pdf.replaced_characters)]);
    files.insert("report.pdf".to_owned(), pdf.bytes);
    files.insert("report.html".to_owned(), page.html.into_bytes());
    files.extend(images?);
    for chart in charts {
        files.insert(format!("charts/{}.svg", chart.id), chart.svg.into_bytes());
    }
    let mut outputs = Outputs { files };
    let manifest = done(Stage::Manifest, progress, || manifest::json(input, &outputs, rows_sha256, replaced))?;
    outputs.files.insert(manifest::MANIFEST.to_owned(), manifest);
    Ok(outputs)
}

/// Does a part of the work and says so.
fn done<T>(stage: Stage, progress: &Progress<'_>, work: impl FnOnce() -> Result<T, Error>) -> Result<T, Error> {
    progress(Step::Begins(stage));
    let made = work();
    progress(Step::Ends(stage));
    made
}

/// Tables, samples and summary.
fn data(input: &RenderInput<'_>, title: &str) -> Result<BTreeMap<String, Vec<u8>>, Error> {
    let (evidence, units) = (&input.analysis.evidence, input.settings.units);
    let mut files = BTreeMap::new();
    let sheets = tables::all(evidence, units)?;
    for sheet in &sheets {
        files.insert(format!("tables/{}.csv", sheet.name), sheet.bytes()?);
    }
    files.insert(format!("tables/{}", tables::METADATA), tables::metadata::metadata(title, &sheets)?);
    if input.settings.workbook == Workbook::Xlsx {
        let shown = Shown::new(input.settings.manner(), evidence)?;
        let workbook = tables::workbook::workbook(title, &sheets, &shown, evidence.clock)?;
        files.insert(tables::workbook::WORKBOOK.to_owned(), workbook);
    }
    files.insert(SAMPLES.to_owned(), samples::parquet(input.frame)?);
    files.insert(manifest::SUMMARY.to_owned(), summary::json(evidence, units)?);
    Ok(files)
}

/// Images of the charts of the job and of its chambers; a day's chart is for the page and the PDF.
fn images(charts: &[Chart], store: &Store) -> Result<Vec<(String, Vec<u8>)>, Error> {
    charts
        .par_iter()
        .filter(|chart| !matches!(chart.scope, ChartScope::Day(_)))
        .map(|chart| Ok((format!("charts/{}.png", chart.id), image(&chart.svg, store)?)))
        .collect()
}

fn image(svg: &str, store: &Store) -> Result<Vec<u8>, Error> {
    let key = store.key("image", &[svg.as_bytes()]);
    if let Some(image) = store.get(&key) {
        return Ok(image);
    }
    let image = raster::png(svg, IMAGE_SCALE)?;
    store.put(&key, &image);
    Ok(image)
}
