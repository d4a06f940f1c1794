//! Which line of which file a number came from.

use std::sync::Arc;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A line of an input file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub struct RowRef {
    /// Path relative to the job folder, with `/` between folders.
    #[serde(with = "shared_text")]
    #[schemars(with = "String")]
    pub file: Arc<str>,
    /// Line (or spreadsheet row) in the file as an editor counts it, from 1.
    pub row: u64,
}

impl RowRef {
    /// A line of a file.
    #[must_use]
    pub fn new(file: impl Into<Arc<str>>, row: u64) -> Self {
        Self { file: file.into(), row }
    }
}

impl std::fmt::Display for RowRef {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} line {}", self.file, self.row)
    }
}

/// A shared text is written and read as a plain string.
mod shared_text {
    use std::sync::Arc;

    use serde::{Deserialize, Deserializer, Serializer};

    pub fn serialize<S: Serializer>(text: &Arc<str>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(text)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Arc<str>, D::Error> {
        String::deserialize(deserializer).map(Arc::from)
    }
}

/// File names held once, so that a sample's source costs two small numbers.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FileTable {
    names: Vec<Arc<str>>,
}

impl FileTable {
    /// The number that stands for `name`, given out on first use.
    ///
    /// # Panics
    /// With more than `u32::MAX` files.
    pub fn id(&mut self, name: &str) -> u32 {
        let index = self.names.iter().position(|known| &**known == name).unwrap_or_else(|| {
            self.names.push(Arc::from(name));
            self.names.len() - 1
        });
        u32::try_from(index).expect("fewer files than u32 can count")
    }

    /// The name behind a number, if it was given out by this table.
    #[must_use]
    pub fn name(&self, id: u32) -> Option<&Arc<str>> {
        self.names.get(id as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_keeps_its_number() {
        let mut table = FileTable::default();
        let a = table.id("a.csv");
        let b = table.id("b.csv");
        assert_ne!(a, b);
        assert_eq!(table.id("a.csv"), a);
        assert_eq!(table.name(b).map(|n| &**n), Some("b.csv"));
        assert_eq!(table.name(9), None);
    }
}
