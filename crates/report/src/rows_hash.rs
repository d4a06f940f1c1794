//! A hash of the tidy frame's rows that does not depend on the file that holds them.
//!
//! Each row is one line of JSON, ended by a line feed: `[time in us since 1970 UTC,"logger",...,"file",line]` without
//! blanks. Between logger and file stands one element for each quantity of [`Quantity::ALL`] that any logger has, in
//! that order: `null`, or the value's 64 bits (IEEE 754 binary64, most significant first) as 16 hexadecimal digits in a
//! string. Rows are sorted by logger, then time. Before them stands a line with the names of the columns.

use std::io::Write as _;

use grainfall_record::{LoggerSeries, Quantity, TidyFrame};
use sha2::{Digest, Sha256};

use crate::manifest::hex;

/// SHA-256 of the rows, lower-case hexadecimal.
pub(crate) fn rows_sha256(frame: &TidyFrame) -> String {
    let quantities: Vec<Quantity> = Quantity::ALL
        .into_iter()
        .filter(|quantity| frame.series().iter().any(|one| one.values.contains_key(quantity)))
        .collect();
    let names: Vec<&str> = ["time", "logger"]
        .into_iter()
        .chain(quantities.iter().map(|quantity| quantity.column()))
        .chain(["file", "row"])
        .collect();
    let mut hash = Sha256::new();
    let mut line = serde_json::json!(names).to_string().into_bytes();
    line.push(b'\n');
    hash.update(&line);
    for one in frame.series() {
        let logger = text(&one.logger);
        let columns: Vec<Option<&[Option<f64>]>> = quantities.iter().map(|quantity| one.column(*quantity)).collect();
        let files: Vec<String> = (0..).map_while(|id| one.file_table.name(id).map(|name| text(name))).collect();
        for at in 0..one.len() {
            line.clear();
            row(&mut line, one, at, &logger, &columns, &files);
            hash.update(&line);
        }
    }
    hex(&hash.finalize())
}

fn row(
    line: &mut Vec<u8>,
    one: &LoggerSeries,
    at: usize,
    logger: &str,
    columns: &[Option<&[Option<f64>]>],
    files: &[String],
) {
    // Writing into memory does not fail.
    let _ = write!(line, "[{},{logger}", one.time[at].timestamp_micros());
    for column in columns {
        let _ = match column.and_then(|column| column[at]) {
            Some(value) => write!(line, ",\"{:016x}\"", value.to_bits()),
            None => write!(line, ",null"),
        };
    }
    let file = usize::try_from(one.file[at]).ok().and_then(|id| files.get(id)).map_or("\"\"", String::as_str);
    let _ = writeln!(line, ",{file},{}]", one.row[at]);
}

/// A text as a JSON string.
fn text(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use chrono::DateTime;
    use grainfall_record::FileTable;

    use super::*;

    #[test]
    fn rows_are_the_lines_that_the_documentation_says() {
        let mut files = FileTable::default();
        files.id("a.csv");
        let series = LoggerSeries {
            logger: "H\"1".to_owned(),
            time: vec![DateTime::from_timestamp(1, 0).unwrap(), DateTime::from_timestamp(61, 0).unwrap()],
            values: BTreeMap::from([(Quantity::AirTemp, vec![Some(20.5), None])]),
            file: vec![0, 0],
            row: vec![2, 3],
            file_table: Arc::new(files),
        };
        // 20.5 = 0x4034800000000000: sign 0, exponent 4 + 1023, fraction 0.28125 (IEEE 754-2019, 3.4, by hand).
        let lines = "[\"time\",\"logger\",\"air_temp_c\",\"file\",\"row\"]\n\
                     [1000000,\"H\\\"1\",\"4034800000000000\",\"a.csv\",2]\n[61000000,\"H\\\"1\",null,\"a.csv\",3]\n";
        let want = crate::manifest::sha256(lines.as_bytes());
        assert_eq!(rows_sha256(&TidyFrame::new(vec![series]).unwrap()), want);
    }
}
