//! Rates over many simulated days of many waters, boats and recording styles.
//!
//! `THEREBACK_DAYS=400 cargo test --release simulated -- --nocapture` prints them for more days.

use thereback::analysis::{Settings, analyse};
use thereback::rehearse::{simulate, varied_scenario};

use crate::judge::Score;

#[test]
fn simulated_days_are_read_right() {
    let days = std::env::var("THEREBACK_DAYS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(60);
    let mut score = Score::default();
    for number in 0..days {
        let day = simulate(&varied_scenario(number), number);
        let analysis = analyse(&[day.recording("day.gpx")], &Settings::default());
        score.judge(&day, &analysis);
    }
    eprintln!("{}", score.table());
    for remark in &score.remarks {
        eprintln!("{remark}");
    }
}
