//! Ticks at round numbers and round times, and axes drawn with them.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use plotters::coord::ranged1d::{BoldPoints, Ranged};
use plotters::coord::types::RangedCoordf64;

use super::sheet::{Align, Area, Letters, Pen, Pt, Scale, Sheet};
use super::style::{Ink, TICK};
use super::text;
use crate::units::ClockFace;

/// A marked value of an axis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tick {
    /// The value.
    pub(crate) at: f64,
    /// How it is written.
    pub(crate) label: String,
}

/// The largest of 1, 2 and 5 times a power of ten that is not above `value`.
pub(crate) fn round_down(value: f64) -> f64 {
    if !(value.is_finite() && value > 0.0) {
        return 1.0;
    }
    let power = 10_f64.powf(value.log10().floor());
    // A hair of tolerance: 10^floor(log10 v) may come out just above v.
    let times = value / power * (1.0 + 1e-9);
    let factor = if times >= 5.0 {
        5.0
    } else if times >= 2.0 {
        2.0
    } else {
        1.0
    };
    factor * power
}

/// Decimals needed to write multiples of `step`.
fn decimals(step: f64) -> usize {
    (-(step.log10() + 1e-9).floor()).clamp(0.0, 6.0) as usize
}

/// Up to `most` ticks at round numbers inside `low..=high`; `signed` writes `+` before what is
/// above zero.
pub(crate) fn ticks(low: f64, high: f64, most: usize, signed: bool) -> Vec<Tick> {
    let length = high - low;
    if !(length.is_finite() && length > 0.0) {
        return Vec::new();
    }
    // The library leaves out a last tick that lies near the end, so it is asked beyond.
    let beyond = high + length / most.max(1) as f64;
    let mut found = RangedCoordf64::from(low..beyond).key_points(BoldPoints(most + 1));
    found.retain(|at| (low..=high).contains(at));
    let step = match found.as_slice() {
        [first, second, ..] => second - first,
        _ => length,
    };
    let decimals = decimals(step);
    let label = |at: f64| {
        if signed {
            text::signed(at, decimals)
        } else {
            text::number(at, decimals)
        }
    };
    let tick = |at: f64| Tick {
        at,
        label: label(at),
    };
    found.into_iter().take(MAX_TICKS).map(tick).collect()
}

/// More than any axis can show; a guard against arithmetic that makes no headway.
const MAX_TICKS: usize = 100;

/// A range of values with room at both ends.
///
/// Values that are all alike, or none, give a range of some length all the same.
pub(crate) fn padded(values: impl IntoIterator<Item = f64>, share: f64, least: f64) -> [f64; 2] {
    let mut range: Option<[f64; 2]> = None;
    for value in values.into_iter().filter(|v| v.is_finite()) {
        let [low, high] = range.unwrap_or([value, value]);
        range = Some([low.min(value), high.max(value)]);
    }
    let [low, high] = range.unwrap_or([0.0, least]);
    let pad = (high - low).max(least) * share;
    let short = ((least - (high - low)) / 2.0).max(0.0);
    [low - pad - short, high + pad + short]
}

/// Steps between ticks of time, seconds.
const TIME_STEPS: [i64; 14] = [
    10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400,
];

/// At most `count` ticks at round local times inside a span; values are Unix seconds.
pub(crate) fn time_ticks(
    from: f64,
    to: f64,
    count: f64,
    zone: &TimeZone,
    face: ClockFace,
) -> Vec<Tick> {
    let length = to - from;
    if !(length.is_finite() && length > 0.0) {
        return Vec::new();
    }
    let mut step = TIME_STEPS
        .into_iter()
        .find(|step| length / (*step as f64) <= count)
        .unwrap_or(86_400);
    while length / step as f64 > count {
        step *= 2;
    }
    // Round in local time: counted from local midnight, whatever the offset from UTC.
    let offset = Timestamp::from_second(from as i64)
        .map_or(0, |start| i64::from(zone.to_offset(start).seconds()));
    let first = (from as i64 + offset).div_euclid(step) * step - offset;
    let mut found = Vec::new();
    let mut at = first;
    while (at as f64) <= to && found.len() < MAX_TICKS {
        if at as f64 >= from {
            found.push(Tick {
                at: at as f64,
                label: clock(at, zone, face, step < 60),
            });
        }
        at += step;
    }
    found
}

/// A local time as `09:47` or `9:47 am`, with seconds where they matter.
fn clock(seconds: i64, zone: &TimeZone, face: ClockFace, with_seconds: bool) -> String {
    let Ok(time) = Timestamp::from_second(seconds) else {
        return String::new();
    };
    let local = zone.to_datetime(time);
    let format = if with_seconds {
        face.second()
    } else {
        face.minute()
    };
    local.strftime(format).to_string()
}

/// Where the title of an axis of levels lies, from the top of the sheet.
pub(crate) const TITLE: f64 = TICK + 4.0;
/// Length of a tick mark.
const TICK_LENGTH: f64 = 4.0;
/// Height of the ticks and their labels below an axis.
pub(crate) const FOOT: f64 = TICK_LENGTH + TICK + 6.0;

/// Draws level grid lines with their labels at the left.
pub(crate) fn draw_levels(sheet: &mut Sheet, scale: &Scale, ticks: &[Tick]) {
    let area = scale.area;
    for tick in ticks {
        let y = scale.y(tick.at);
        let (from, to) = (Pt::new(area.left, y), Pt::new(area.right, y));
        sheet.line(from, to, Pen::new(Ink::Grid));
        let at = from.by(-8.0, TICK * 0.35);
        sheet.text(&tick.label, at, Letters::new(TICK, Align::End).muted());
    }
}

/// Draws the axis along the lower edge: line, ticks, labels.
pub(crate) fn draw_foot(sheet: &mut Sheet, scale: &Scale, ticks: &[Tick]) {
    let area = scale.area;
    let foot = Pt::new(area.left, area.bottom);
    sheet.line(foot, Pt::new(area.right, area.bottom), Pen::new(Ink::Muted));
    for tick in ticks {
        let at = Pt::new(scale.x(tick.at), area.bottom);
        sheet.line(at, at.by(0.0, TICK_LENGTH), Pen::new(Ink::Muted));
        // A label at the edge moves in rather than be cut.
        let half = text::width(&tick.label, TICK) / 2.0;
        let label = Pt::new(at.x.min(sheet.width() - half), at.y + TICK_LENGTH + TICK);
        sheet.text(
            &tick.label,
            label,
            Letters::new(TICK, Align::Middle).muted(),
        );
    }
}

/// Draws the title of an axis along the lower edge, `below` it.
pub(crate) fn draw_foot_title(sheet: &mut Sheet, area: Area, below: f64, title: &str) {
    // Below the middle of the axis, but within the sheet.
    let half = (text::width(title, TICK) / 2.0).min(sheet.width() / 2.0);
    let x = area.middle().x.clamp(half, sheet.width() - half);
    let at = Pt::new(x, area.bottom + below + TICK);
    sheet.text(title, at, Letters::new(TICK, Align::Middle).muted());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn labels(low: f64, high: f64, most: usize, expected: &[&str]) {
        let found: Vec<String> = ticks(low, high, most, false)
            .into_iter()
            .map(|t| t.label)
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn ticks_are_round() {
        labels(0.0, 4.2, 6, &["0", "1", "2", "3", "4"]);
        labels(2.31, 2.74, 6, &["2.4", "2.5", "2.6", "2.7"]);
        labels(-12.0, 7.0, 6, &["−10", "−5", "0", "5"]);
        labels(
            0.0,
            0.0004,
            6,
            &["0.0000", "0.0001", "0.0002", "0.0003", "0.0004"],
        );
        labels(5.0, 5.0, 6, &[]);
    }

    #[test]
    fn round_lengths_go_by_one_two_five() {
        for (value, round) in [
            (1.0, 1.0),
            (1.9, 1.0),
            (2.0, 2.0),
            (4.9, 2.0),
            (730.0, 500.0),
            (0.07, 0.05),
        ] {
            assert!((round_down(value) / round - 1.0).abs() < 1e-9, "{value}");
        }
        for broken in [0.0, -3.0, f64::NAN, f64::INFINITY] {
            assert!((round_down(broken) - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn times_are_round_in_local_time() -> Result<(), jiff::Error> {
        // Kathmandu keeps UTC+05:45 (IANA time zone database).
        let zone = TimeZone::get("Asia/Kathmandu")?;
        let from: Timestamp = "2025-06-14T04:00:00Z".parse()?;
        let start = from.as_second() as f64;
        let labels: Vec<String> = time_ticks(start, start + 7200.0, 6.0, &zone, ClockFace::Hours24)
            .into_iter()
            .map(|t| t.label)
            .collect();
        assert_eq!(labels, ["10:00", "10:30", "11:00", "11:30"]);
        Ok(())
    }

    #[test]
    fn padding_gives_a_length_to_anything() {
        for values in [vec![], vec![3.0], vec![3.0, 3.0], vec![f64::NAN]] {
            let [low, high] = padded(values, 0.1, 1.0);
            assert!(high - low >= 1.0);
        }
    }
}
