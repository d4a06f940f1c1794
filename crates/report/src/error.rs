//! Why a report could not be made.

/// Why a report could not be made or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The zone of the job is not known.
    #[error("time zone `{found}` is not an IANA name; write one such as `America/Chicago` in job.toml")]
    TimeZone {
        /// The text found.
        found: String,
    },
    /// A chart could not be drawn.
    #[error("chart `{chart}`: {reason}")]
    Chart {
        /// The chart's id.
        chart: String,
        /// What the drawing library said.
        reason: String,
    },
    /// A chart could not be turned into an image.
    #[error("image of a chart: {reason}")]
    Image {
        /// What the image library said.
        reason: String,
    },
    /// The PDF could not be made.
    #[error("PDF: {reason}")]
    Pdf {
        /// What the typesetter said, one fault after the other.
        reason: String,
    },
    /// The page could not be made.
    #[error("page: {reason}")]
    Page {
        /// What the template engine said.
        reason: String,
    },
    /// A table could not be written.
    #[error("table `{table}`: {reason}")]
    Table {
        /// The table's file name.
        table: String,
        /// What the writer said.
        reason: String,
    },
    /// The workbook of the tables could not be written.
    #[error("sheet `{sheet}` of the workbook: {reason}; the same table is whole as CSV")]
    Workbook {
        /// The sheet.
        sheet: String,
        /// What the writer said.
        reason: String,
    },
    /// The samples could not be written.
    #[error("samples: {reason}")]
    Samples {
        /// What the frame library said.
        reason: String,
    },
    /// A document could not be written as JSON.
    #[error("`{document}`: {reason}")]
    Json {
        /// The file.
        document: &'static str,
        /// What the writer said.
        reason: String,
    },
    /// An output path leads out of the report folder.
    #[error("output `{path}` would lie outside the report folder; accepted are relative paths without `..`")]
    OutputPath {
        /// The path.
        path: String,
    },
    /// The report folder is a link, and nothing is written through one.
    #[error("`{path}` is a link, and a report is written into the job's own folder; remove the link")]
    ReportLink {
        /// The path.
        path: String,
    },
    /// A file has the name of the report folder.
    #[error("`{path}` is a file, and the report goes into a folder of this name; give the file another one")]
    ReportFile {
        /// The path.
        path: String,
    },
    /// A file or folder could not be written.
    #[error("`{path}`: could not {action}")]
    Write {
        /// The path.
        path: String,
        /// What was tried.
        action: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
}
