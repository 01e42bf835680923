//! Figures and names in words: what the sentences of a plan are made of.

use jiff::SignedDuration;
use jiff::civil::Time;

use super::drawn::{Plan, StepKind};
use crate::report::words::name;
use crate::rounding::NO_BREAK_SPACE;
use crate::units::{Bearing, Speed, SpeedUnit};

/// A share as a percentage, `5 %`, `1.3 %`.
pub(crate) fn percent(share: f64) -> String {
    let value = (share * 1000.0).round() / 10.0;
    format!("{value}{NO_BREAK_SPACE}%")
}

/// A chance as a whole percentage.
pub(crate) fn chance(share: f64) -> String {
    // No plan is certain.
    let whole = (share * 100.0).round().clamp(0.0, 99.0);
    format!("{whole}{NO_BREAK_SPACE}%")
}

/// A speed with its unit, to a tenth.
pub(crate) fn speed(m_s: f64, unit: SpeedUnit) -> String {
    format!(
        "{:.1}{NO_BREAK_SPACE}{unit}",
        Speed::metres_per_second(m_s).in_unit(unit)
    )
}

/// A short distance in the unit that goes with the speeds'.
pub(crate) fn metres(metres: f64, unit: SpeedUnit) -> String {
    let (symbol, length) = unit.short_distance();
    format!("{:.0}{NO_BREAK_SPACE}{symbol}", metres / length)
}

/// A span of time: `50 s`, `15 min`, `2 h 05 min`.
pub fn span(seconds: f64) -> String {
    if seconds < 90.0 {
        return format!("{seconds:.0}{NO_BREAK_SPACE}s");
    }
    let minutes = (seconds / 60.0).round() as u64;
    match minutes / 60 {
        0 => format!("{minutes}{NO_BREAK_SPACE}min"),
        hours => format!(
            "{hours}{NO_BREAK_SPACE}h {:02}{NO_BREAK_SPACE}min",
            minutes % 60
        ),
    }
}

/// The time of the day where the start is given, else hours and minutes after the start.
pub(crate) fn clock(plan: &Plan, seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as i64;
    time(plan, seconds).map_or_else(
        || format!("{}:{:02}", minutes / 60, minutes % 60),
        |time| time.strftime("%H:%M").to_string(),
    )
}

/// The time of the day to the minute, where the start is given.
pub(crate) fn time(plan: &Plan, seconds: f64) -> Option<Time> {
    let minutes = SignedDuration::from_mins((seconds / 60.0).round() as i64);
    plan.asked.start.map(|start| start.wrapping_add(minutes))
}

/// Name of a setting: its place in the order of speed.
pub(crate) fn setting(plan: &Plan, number: usize) -> String {
    let named: &[&str] = match plan.asked.speeds_m_s.len() {
        1 => &["one"],
        2 => &["slow", "fast"],
        3 => &["slow", "middle", "fast"],
        _ => &[],
    };
    named
        .get(number)
        .map_or_else(|| (number + 1).to_string(), |word| (*word).to_owned())
}

/// A setting with its speed: `slow (2.4 kn)`.
pub(crate) fn setting_with_speed(plan: &Plan, number: usize) -> String {
    let speed = plan.speed(number).map_or_else(String::new, |v| {
        format!(" ({})", speed(v, plan.asked.units))
    });
    format!("{}{speed}", setting(plan, number))
}

/// The title of the trial.
pub(crate) fn title(plan: &Plan) -> String {
    let parts = || -> Vec<String> { plan.asked.parts.iter().rev().map(|p| name(p)).collect() };
    let title = plan.asked.title.as_deref();
    title.map_or_else(|| parts().join(" against "), name)
}

/// What a step is, for a line of text.
pub(crate) fn step(plan: &Plan, kind: StepKind) -> String {
    match kind {
        StepKind::SetUp => {
            "recorder on; five minutes adrift, engine off; then the run-up".to_owned()
        }
        StepKind::Swap { part } => format!("swap: {}", name(plan.part(part))),
        StepKind::DoubleRun {
            number,
            part,
            setting: at,
        } => format!(
            "double run {number}: {}, {}",
            name(plan.part(part)),
            setting_with_speed(plan, at)
        ),
    }
}

/// Courses of a double run, out and back.
pub(crate) fn courses(plan: &Plan) -> Option<[Bearing; 2]> {
    plan.line.map(|line| [line.out, line.back])
}
