//! Notes and wind logs: any text, then resolved against a day and written again.

use jiff::tz::TimeZone;
use thereback::notes;

use super::scene::small_day;

/// Notes as any text. What they are understood as can be read back.
pub(crate) fn notes(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    if let Err(error) = thereback::parser::read_wind_log(text.as_bytes(), "wind.csv") {
        assert!(error.to_string().contains("\nhint: "), "{error}");
    }
    let read = match notes::read(&text, "notes.toml") {
        Ok(read) => read,
        Err(error) => {
            let text = error.to_string();
            assert!(text.chars().count() < 3000, "{text}");
            return;
        }
    };
    let recordings = [small_day().clone()];
    let resolved = notes::resolve(&read, &TimeZone::UTC, &recordings);
    for problem in &resolved.problems {
        assert!(!problem.is_empty());
    }
    let settings = thereback::trial::Settings {
        notes: Some(read),
        ..thereback::trial::Settings::default()
    };
    let analysis = thereback::trial::analyse(&recordings, &settings);
    let written = thereback::report::data::notes_toml(&analysis, settings.notes.as_ref().unwrap());
    if let Err(error) = notes::read(&written, "notes.toml") {
        panic!("what was written cannot be read: {error}\n{written}");
    }
}
