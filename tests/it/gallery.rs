//! The golden renderings: three pages of the gallery, to the byte.

#[path = "../../examples/gallery/days.rs"]
mod days;

use std::path::Path;

use crate::browser::skipped;

/// A lake with a wind, a tidal firth, and legs on four headings.
const GOLDEN: [&str; 3] = ["lake-trim", "firth-scrub", "four-headings"];

#[test]
fn the_gallery_is_current() {
    // Sines and roots differ in their last bit from one mathematical library to another.
    if !cfg!(all(target_os = "linux", target_arch = "x86_64")) {
        skipped("the gallery: it was made on another kind of machine");
        return;
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("output/gallery");
    if !folder.exists() {
        skipped("the gallery: it is not in this copy");
        return;
    }
    let stale: Vec<String> = days::leaves(|name| GOLDEN.contains(&name))
        .unwrap()
        .into_iter()
        .filter(|leaf| {
            GOLDEN
                .iter()
                .any(|name| leaf.name == format!("{name}.html"))
        })
        .filter(|leaf| {
            std::fs::read_to_string(folder.join(&leaf.name))
                .ok()
                .as_ref()
                != Some(&leaf.text)
        })
        .map(|leaf| leaf.name)
        .collect();
    assert!(
        stale.is_empty(),
        "not current: {stale:?}\nhint: look at what changed after `cargo run --release --example gallery`"
    );
}
