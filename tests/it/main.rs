//! All integration tests, one crate.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::duplicate_mod,
    reason = "a test may fail loudly, and an example shares its judge with the tests"
)]

mod browser;
mod browser_page;
mod buys;
mod charts;
mod charts_any;
mod charts_days;
mod charts_log;
mod charts_sums;
mod cleaning;
mod commands;
mod commands_folders;
mod commands_hostile;
mod commands_input;
mod commands_notes;
mod commands_output;
mod compare;
mod day_reading;
mod fuzz_bodies;
mod fuzzed;
mod gallery;
mod headings;
mod judge;
mod memory;
mod notes;
mod notes_written;
mod page;
mod planning;
mod plans_read;
mod properties;
mod properties_days;
mod published_check;
mod published_circular;
mod published_coverage;
mod published_curves;
mod published_data;
mod published_distribution;
mod published_geodesy;
mod published_models;
mod published_nist;
mod published_properties;
mod published_units;
mod published_wind;
mod reading;
mod reading_bad;
mod reading_gzip;
mod reading_long;
mod reading_nmea;
mod reading_nmea_any;
mod reading_nmea_day;
mod reading_nmea_log;
mod reading_tables;
mod rehearsing;
mod report;
mod report_data;
mod report_figures;
mod report_fixture;
mod report_geojson;
mod report_variants;
mod report_words;
mod several_days;
mod several_days_coverage;
mod simulated_days;
mod stats_never_panic;
//mod study_small;
mod varied;
mod wind_log;
