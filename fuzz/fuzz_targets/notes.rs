#![no_main]

#[path = "../../tests/it/fuzz_bodies/mod.rs"]
#[allow(dead_code, reason = "each target runs one body")]
mod fuzz_bodies;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzz_bodies::notes::notes(bytes));
