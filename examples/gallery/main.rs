//! Writes a gallery of awkward days into `output/gallery/`, to leaf through from `index.html`.
//!
//! ```text
//! cargo run --release --example gallery
//! ```
//! The files are the golden renderings as well: a test makes them again and compares.

mod days;

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

fn main() -> Result<()> {
    let folder = Path::new("output/gallery");
    fs::create_dir_all(folder).context("cannot make `output/gallery`")?;
    for leaf in days::leaves(|_| true)? {
        let path = folder.join(leaf.name);
        fs::write(&path, leaf.text)
            .with_context(|| format!("cannot write `{}`", path.display()))?;
    }
    Ok(())
}
