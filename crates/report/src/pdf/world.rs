//! What the typesetter can see: the template, the model, the charts, the embedded faces, and nothing else.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::charts::Chart;

const TEMPLATE: &str = include_str!("../../assets/report.typ");

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

static FONTS: LazyLock<(Vec<Font>, LazyHash<FontBook>)> = LazyLock::new(|| {
    let fonts: Vec<Font> = crate::fonts::all().iter().filter_map(|face| Font::new(Bytes::new(*face), 0)).collect();
    let book = FontBook::from_fonts(&fonts);
    (fonts, LazyHash::new(book))
});

/// One report's closed world.
pub(super) struct ReportWorld {
    main: Source,
    files: BTreeMap<String, Bytes>,
}

impl ReportWorld {
    /// The world of one report.
    pub(super) fn new(data: Vec<u8>, charts: &[Chart]) -> Self {
        let mut files = BTreeMap::from([("/data.json".to_owned(), Bytes::new(data))]);
        for (index, chart) in charts.iter().enumerate() {
            files.insert(format!("/chart-{index}.svg"), Bytes::from_string(chart.svg.clone()));
        }
        Self { main: Source::new(*MAIN, TEMPLATE.to_owned()), files }
    }
}

static MAIN: LazyLock<FileId> = LazyLock::new(|| {
    let path = VirtualPath::new("report.typ").unwrap_or_else(|_| unreachable!("a plain name is a virtual path"));
    RootedPath::new(VirtualRoot::Project, path).intern()
});

impl World for ReportWorld {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.1
    }

    fn main(&self) -> FileId {
        *MAIN
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == *MAIN { Ok(self.main.clone()) } else { Err(not_found(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.vpath().get_with_slash();
        self.files.get(path).cloned().ok_or_else(|| not_found(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.0.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn not_found(id: FileId) -> FileError {
    FileError::NotFound(PathBuf::from(id.vpath().get_with_slash()))
}
