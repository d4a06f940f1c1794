//! Whole reports made from the sample evidence.

mod golden;
mod hostile;
mod same_bytes;
mod schema;
mod summary_first;
mod support;
mod table_description;
mod workbook;
