//! What the fuzz targets try, as plain functions from bytes: `fuzz/fuzz_targets` and the tests over
//! the kept corpus run the same.
//!
//! A body returns nothing; it panics where a promise of the library is broken.

pub(crate) mod analyse;
pub(crate) mod fields;
pub(crate) mod notes;
pub(crate) mod readers;
pub(crate) mod scene;

/// A target's name and its body.
pub(crate) type Target = (&'static str, fn(&[u8]));

/// All targets.
pub(crate) const TARGETS: [Target; 6] = [
    ("gpx", readers::gpx),
    ("nmea", readers::nmea),
    ("table", readers::table),
    ("time_and_numbers", fields::time_and_numbers),
    ("notes", notes::notes),
    ("analyse", analyse::analyse),
];
