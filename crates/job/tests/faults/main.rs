//! Every fault by example. Each case is a small job with all the messages it causes, word for word.

mod case;

mod csv_shape;
mod files;
mod pairs;
mod quantities;
mod readings;
mod times;
mod toml_shape;
mod whole_job;
mod words;
