//! Reading a file of reference values, and comparing with it.

use std::collections::BTreeMap;
use std::path::Path;

/// One row of a reference file.
pub struct Row {
    file: String,
    number: usize,
    cells: BTreeMap<String, String>,
}

impl Row {
    /// A cell as text.
    pub fn text(&self, column: &str) -> &str {
        self.cells.get(column).unwrap_or_else(|| panic!("{} has no column `{column}`", self.file))
    }

    /// A cell as a number; `nan` marks a state the source refused and must not be asked for.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        let value: f64 = text.parse().unwrap_or_else(|_| panic!("{} row {}: `{text}`", self.file, self.number));
        assert!(value.is_finite(), "{} row {}: {column} is `{text}`", self.file, self.number);
        value
    }

    /// Half of the last printed digit of a cell.
    pub fn half_digit(&self, column: &str) -> f64 {
        let decimals = self.text(column).split_once('.').map_or(0, |(_, decimals)| decimals.len());
        0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap())
    }

    /// Where the row is, for messages.
    pub fn place(&self) -> String {
        format!("{} row {}", self.file, self.number)
    }

    /// Compares with a cell, by an absolute tolerance.
    pub fn assert_abs(&self, got: f64, column: &str, abs_tol: f64) {
        let want = self.number(column);
        assert!((got - want).abs() <= abs_tol, "{} {column}: got {got}, want {want} +- {abs_tol}", self.place());
    }

    /// Compares with a cell, by a relative tolerance.
    pub fn assert_rel(&self, got: f64, column: &str, rel_tol: f64) {
        self.assert_abs(got, column, rel_tol * self.number(column).abs());
    }

    /// Compares with a printed cell: half of its last digit, plus a share of it for differently rounded constants.
    pub fn assert_printed(&self, got: f64, column: &str, rel_tol: f64) {
        self.assert_abs(got, column, self.half_digit(column) + rel_tol * self.number(column).abs());
    }
}

/// The rows of a reference file; fails unless there are exactly `expected` of them.
pub fn rows(file: &str, expected: usize) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference").join(file);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(&path).unwrap();
    let head = reader.headers().unwrap().clone();
    let rows: Vec<Row> = reader
        .records()
        .enumerate()
        .map(|(index, record)| {
            let cells = head.iter().zip(&record.unwrap()).map(|(h, c)| (h.to_owned(), c.to_owned())).collect();
            Row { file: file.to_owned(), number: index + 1, cells }
        })
        .collect();
    assert_eq!(rows.len(), expected, "rows of {file}");
    rows
}
