//! Why a folder could not be read at all. What is wrong with one file is in the ledger instead.

use std::path::PathBuf;

use grainfall_record::FrameError;

/// Reading stopped before there was anything to report.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum IngestError {
    /// The folder or the file asked for cannot be opened.
    #[error("cannot read `{}`: {source}; give the path of a logger export, or of a folder with some", path.display())]
    Unreadable {
        /// The folder or file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The folder holds no file to read.
    #[error(
        "`{}` holds no file to read; put the logger exports into it (files in `report/`, files whose name begins with a dot and the job's own files are not exports)",
        path.display()
    )]
    Empty {
        /// The folder.
        path: PathBuf,
    },
    /// The samples read do not make a frame.
    #[error(transparent)]
    Frame(#[from] FrameError),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages() {
        let gone = std::io::Error::new(std::io::ErrorKind::NotFound, "no such file");
        assert_eq!(
            IngestError::Unreadable { path: "jobs/a".into(), source: gone }.to_string(),
            "cannot read `jobs/a`: no such file; give the path of a logger export, or of a folder with some"
        );
        assert_eq!(
            IngestError::Empty { path: "jobs/a".into() }.to_string(),
            "`jobs/a` holds no file to read; put the logger exports into it (files in `report/`, files whose name \
             begins with a dot and the job's own files are not exports)"
        );
    }
}
