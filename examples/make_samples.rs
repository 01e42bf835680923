//! Writes the two sample days into `samples/`, each with its known answer beside it.
//!
//! ```text
//! cargo run --release --example make_samples
//! ```
//! From fixed scenarios and seeds: the same bytes every time.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use thereback::rehearse::{GpxStyle, Scenario, firth, lake, simulate};

const LAKE_SEED: u64 = 41;
const FIRTH_SEED: u64 = 7;

fn main() -> Result<()> {
    let folder = Path::new("samples");
    fs::create_dir_all(folder).context("cannot make `samples`")?;
    write(folder, "lake_trim", &lake(), LAKE_SEED, GpxStyle::V1_1)?;
    write(folder, "firth_scrub", &firth(), FIRTH_SEED, GpxStyle::V1_0)
}

fn write(folder: &Path, name: &str, day: &Scenario, seed: u64, style: GpxStyle) -> Result<()> {
    let simulated = simulate(day, seed);
    let track = folder.join(format!("{name}.gpx"));
    fs::write(&track, simulated.to_gpx(style))
        .with_context(|| format!("cannot write `{}`", track.display()))?;
    let answer = folder.join(format!("{name}.truth.json"));
    let mut text = serde_json::to_string_pretty(&simulated.truth)?;
    text.push('\n');
    fs::write(&answer, text).with_context(|| format!("cannot write `{}`", answer.display()))
}
