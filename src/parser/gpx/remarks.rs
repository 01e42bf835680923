//! What was odd about a GPX file as a whole, in words.

use jiff::Timestamp;

use super::gathered::{CutOff, Gathered};
use crate::parser::lines::Lines;
use crate::parser::text::clipped;
use crate::track::WEEK_ROLLOVER_S;

/// How long after its last fix a file may be written and the rollover still be named, seconds.
///
/// A day's track is saved within days; two months leave room for a card read
/// after the season. An invented but ample figure.
const SAVED_WITHIN_S: i64 = 60 * 86_400;

/// How long before its last fix a file may say it was written, seconds: zones and clocks differ.
const SAVED_BEFORE_S: i64 = 2 * 86_400;

/// Longest element name repeated.
const NAME_CHARACTERS: usize = 40;

/// All remarks on a file, one sentence each; beside the cut-off stand the bytes not read.
pub(super) fn remarks(
    gathered: &Gathered,
    cut_off: Option<(&CutOff, usize)>,
    lines: &Lines,
) -> Vec<String> {
    let mut remarks = Vec::new();
    if gathered.documents > 1 {
        remarks.push(format!(
            "Holds {} documents joined end to end; all were read.",
            gathered.documents
        ));
    }
    if gathered.routes > 0 {
        remarks.push(format!(
            "{} with {} passed over: a route is a plan, not a record.",
            count(gathered.routes, "route"),
            count(gathered.route_points, "point"),
        ));
    }
    if gathered.lost_waypoints > 0 {
        remarks.push(format!(
            "{} without a usable position passed over.",
            count(gathered.lost_waypoints, "waypoint")
        ));
    }
    if gathered.oddities.wrapped > 0 {
        remarks.push(format!(
            "{} beyond 180 degrees taken round the Earth.",
            count(gathered.oddities.wrapped, "longitude")
        ));
    }
    if gathered.oddities.zoneless > 0 {
        remarks.push(format!(
            "{} without a zone taken as UTC.",
            count(gathered.oddities.zoneless, "time")
        ));
    }
    if gathered.oddities.converted > 0 {
        remarks.push(format!(
            "{} given in another unit than metres and seconds converted.",
            count(gathered.oddities.converted, "recorded value")
        ));
    }
    if gathered.oddities.unknown_units > 0 {
        remarks.push(format!(
            "{} in an unknown unit left out.",
            count(gathered.oddities.unknown_units, "recorded value")
        ));
    }
    if gathered.broken.places > 0 {
        remarks.push(format!(
            "Broken markup at {}, first at line {}: {} passed over.",
            count(gathered.broken.places, "place"),
            lines.line_of(gathered.broken.first),
            count(gathered.broken.bytes, "byte"),
        ));
    }
    if gathered.mismatched.places > 0 {
        remarks.push(format!(
            "Start and end tags do not match at {}, first at line {}; points were read as far as they go.",
            count(gathered.mismatched.places, "place"),
            lines.line_of(gathered.mismatched.first),
        ));
    }
    remarks.extend(cut_off.map(|(cut, unread)| cut_off_remark(cut, unread, lines)));
    remarks.extend(rollover_remark(gathered));
    remarks
}

/// What a file without track points holds, for the error.
pub(super) fn found_instead(
    gathered: &Gathered,
    cut_off: Option<&CutOff>,
    lines: &Lines,
) -> String {
    let mut found = Vec::new();
    if !gathered.waypoints.is_empty() {
        found.push(count(gathered.waypoints.len(), "waypoint"));
    }
    if gathered.routes > 0 {
        found.push(count(gathered.routes, "route"));
    }
    if let Some(cut) = cut_off {
        found.push(format!(
            "a beginning that breaks off at line {}",
            lines.line_of(cut.from)
        ));
    }
    if found.is_empty() {
        return "an empty document".to_owned();
    }
    found.join(" and ")
}

fn cut_off_remark(cut: &CutOff, unread: usize, lines: &Lines) -> String {
    let line = lines.line_of(cut.from);
    let inside = match &cut.inside {
        Some(name) => format!(", before `{}` is closed", clipped(name, NAME_CHARACTERS)),
        None => String::new(),
    };
    match unread {
        0 => format!("Ends at line {line}{inside}; every whole point was kept."),
        _ => format!(
            "Breaks off at line {line}{inside}: the last {} not read, every whole point before them kept.",
            count(unread, "byte"),
        ),
    }
}

/// A receiver's clock 1024 weeks behind shows where the file itself tells another date.
fn rollover_remark(gathered: &Gathered) -> Option<String> {
    let last = gathered.tracks.last()?.segments.last()?.last()?.time;
    let written = gathered.written?;
    let behind_s = written.as_second() - last.as_second();
    let rounds = (behind_s + SAVED_BEFORE_S).div_euclid(WEEK_ROLLOVER_S);
    let rest_s = behind_s - rounds * WEEK_ROLLOVER_S;
    if rounds == 0 || rest_s > SAVED_WITHIN_S {
        return None;
    }
    Some(format!(
        "The fixes are dated {}, the file {}: the receiver's clock is {} weeks {} (its week count of 1024 rolled over); only differences of time are used.",
        day(last),
        day(written),
        1024 * rounds.abs(),
        if rounds > 0 { "behind" } else { "ahead" },
    ))
}

fn day(time: Timestamp) -> String {
    time.strftime("%Y-%m-%d").to_string()
}

fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}
