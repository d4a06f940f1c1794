//! Where results are kept between runs: a folder of the user's own, which may be deleted at any time.

use std::env;
use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use grainfall_keep::Store;

/// The code of this build, by its version and its sources: what other code worked out is never taken for this one's.
pub const CODE: &str = concat!(env!("CARGO_PKG_VERSION"), "-", env!("GRAINFALL_CODE"));

/// Where results are kept.
#[derive(Debug, Clone, Default, Args)]
pub struct KeptArgs {
    /// Keep what was read in this folder, so that it is not read again; it may be deleted at any time and never
    /// changes a result [default: $GRAINFALL_CACHE, else `grainfall` in the user's cache folder]
    #[arg(long, value_name = "FOLDER")]
    pub cache: Option<PathBuf>,
    /// Keep nothing, and read everything again
    #[arg(long, conflicts_with = "cache")]
    pub no_cache: bool,
}

impl KeptArgs {
    /// The store asked for. The usual folder is done without where it cannot be written; one that was asked for is
    /// not.
    pub fn store(&self) -> Result<Store> {
        match (&self.cache, usual_folder()) {
            _ if self.no_cache => Ok(Store::none()),
            (Some(asked), _) => Store::open(asked, CODE).context("`--cache` needs a folder that can be written"),
            (None, Some(usual)) => Ok(Store::open(&usual, CODE).unwrap_or_else(|_| Store::none())),
            (None, None) => Ok(Store::none()),
        }
    }
}

/// The place of the user's caches, as each system has it.
fn usual_folder() -> Option<PathBuf> {
    let folder = |name: &str| env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    if let Some(asked) = folder("GRAINFALL_CACHE") {
        return Some(asked);
    }
    let caches = if cfg!(windows) {
        folder("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        folder("HOME").map(|home| home.join("Library/Caches"))
    } else {
        folder("XDG_CACHE_HOME").or_else(|| folder("HOME").map(|home| home.join(".cache")))
    };
    Some(caches?.join("grainfall"))
}
