//! Any interval log plus hints to the tidy frame and the ledger.
//!
//! Answers: which loggers a folder of exports holds, every sample of each as an instant and values in canonical units,
//! and, file by file, how it was understood and why, which rows and cells were refused and why, and what a person can
//! add to the job where the files leave something open.
//!
//! What a file means is inferred from the file: how consistent its rows are, what its names and units say, what range
//! its numbers have, whether its columns agree by physics, whether its stamps can exist. There is no list of formats.
//! Whatever is decided is written down as a decision with its reason and its certainty; a value is never changed, and
//! never made up.
//!
//! Leaves out: files other than delimited text, spreadsheets and archives of these (they are refused with what to do),
//! the job itself, any judgement.
//!
//! What a file can cost is bounded before it is opened: bytes that come out of an archive, cells of a sheet, length of
//! a line. What a file claims of its size, its encoding or its kind is checked against its bytes.
//!
//! Reading order of the modules:
//! 1. `folder`: the entry points; walks, hashes, reads in parallel, puts the result together;
//! 2. `open`: what is within a file: itself, the members of an archive, the sheets of a workbook;
//! 3. `file`: the steps from bytes, or from a sheet, to samples;
//! 4. `container`, `text`: what kind of file it is, archives and workbooks, and the characters of text;
//! 5. `table`: delimiter, rows and cells, cells of a sheet, preamble and header, logs below each other, group fields filled
//!    down;
//! 6. `time`: which cells say when, the forms of stamps, the order of dates, statements about zones;
//! 7. `columns`: quantities, units, and which columns belong to one logger; `words` holds the tables of words;
//! 8. `rows`: each row to a moment and values, or to a refusal; `number`, `units`, `limits` serve it; `refused`: of what
//!    time a refusal is;
//! 9. `clock`: stamps to instants; one file per rule;
//! 10. `siblings`: what one file of a folder settles for another that the same program wrote;
//! 11. `part`, `merge`: samples to loggers, over all files;
//! 12. `kept`: files that were read before.

mod clock;
mod columns;
mod container;
mod error;
mod file;
mod folder;
mod hints;
mod kept;
mod limits;
mod merge;
mod notes;
mod number;
mod open;
mod part;
mod refused;
mod rows;
mod siblings;
mod table;
mod text;
mod time;
mod units;
mod words;

pub use container::panic_is_a_refusal;
pub use error::IngestError;
pub use folder::{Progress, Reading, read_bytes, read_file, read_folder, read_folder_again, shown};
