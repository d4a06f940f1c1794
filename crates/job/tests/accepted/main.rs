//! What the files may say, and what it becomes.

mod any_text;
mod documented;
mod example_job;
mod forms;
