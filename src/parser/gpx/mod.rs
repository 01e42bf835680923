//! GPX, every version and dialect: one streaming pass over the text.
//!
//! Elements are known by their local names. Nothing is asked of version,
//! creator, namespace or schema order; what is not known is passed over. Rules
//! of the format: GPX 1.1 schema documentation, topografix.com/GPX/1/1.

mod builder;
mod markup;
mod names;
mod point;

use jiff::Timestamp;

use self::builder::{Builder, CutOff};
use super::ReadError;
use super::source::Source;
use super::text::{clipped, count};
use crate::track::{Recording, WEEK_ROLLOVER_S};

/// Reads a GPX document, or several joined end to end.
pub(super) fn read(mut source: Source<'_>) -> Result<Recording, ReadError> {
    let mut builder = Builder::default();
    loop {
        let used = builder.read(source.piece(), source.place(), source.ended);
        if source.ended {
            break;
        }
        source.advance(used, builder.places());
        source.fill()?;
    }
    let length = source.place() + source.piece().len();
    let cut_off = builder.finish(length);
    let cut_at = cut_off.as_ref().map(|cut| cut.from);
    source.advance(source.piece().len(), builder.places().chain(cut_at));
    let file = source.file.clone();
    let line_of = |place| source.line_of(place);
    if builder.tracks.is_empty() {
        let lost = builder.faults.all_lost(line_of, &file);
        return Err(lost.unwrap_or_else(|| ReadError::NoTrack {
            file,
            found: found_instead(&builder, cut_off.as_ref(), &source),
        }));
    }
    let mut remarks = source.remarks();
    remarks.extend(all_remarks(&builder, cut_off.as_ref(), &source));
    let segments = builder.tracks.iter().flat_map(|track| &track.segments);
    let fixes: usize = segments.map(Vec::len).sum();
    Ok(Recording {
        file,
        points_met: fixes + builder.faults.total(),
        set_aside: builder.faults.set_aside(line_of),
        tracks: builder.tracks,
        waypoints: builder.waypoints,
        remarks,
        ..Recording::default()
    })
}

/// How long after its last fix a file may be written and the rollover still be named, seconds.
///
/// A day's track is saved within days; two months leave room for a card read
/// after the season. An invented but ample figure.
const SAVED_WITHIN_S: i64 = 60 * 86_400;

/// How long before its last fix a file may say it was written, seconds: zones and clocks differ.
const SAVED_BEFORE_S: i64 = 2 * 86_400;

/// Longest element name repeated.
const NAME_CHARACTERS: usize = 40;

/// What was odd about a file as a whole, one sentence each.
fn all_remarks(builder: &Builder, cut_off: Option<&CutOff>, source: &Source<'_>) -> Vec<String> {
    let mut remarks = Vec::new();
    if builder.documents > 1 {
        remarks.push(format!(
            "Holds {} documents joined end to end; all were read.",
            builder.documents
        ));
    }
    if builder.routes > 0 {
        remarks.push(format!(
            "{} with {} passed over: a route is a plan, not a record.",
            count(builder.routes, "route"),
            count(builder.route_points, "point"),
        ));
    }
    if builder.lost_waypoints > 0 {
        remarks.push(format!(
            "{} without a usable position passed over.",
            count(builder.lost_waypoints, "waypoint")
        ));
    }
    if builder.oddities.wrapped > 0 {
        remarks.push(format!(
            "{} beyond 180 degrees taken round the Earth.",
            count(builder.oddities.wrapped, "longitude")
        ));
    }
    if builder.oddities.zoneless > 0 {
        remarks.push(format!(
            "{} without a zone taken as UTC.",
            count(builder.oddities.zoneless, "time")
        ));
    }
    if builder.oddities.converted > 0 {
        remarks.push(format!(
            "{} given in another unit than metres and seconds converted.",
            count(builder.oddities.converted, "recorded value")
        ));
    }
    if builder.oddities.unknown_units > 0 {
        remarks.push(format!(
            "{} in an unknown unit left out.",
            count(builder.oddities.unknown_units, "recorded value")
        ));
    }
    if builder.broken.places > 0 {
        remarks.push(format!(
            "Broken markup at {}, first at line {}: {} passed over.",
            count(builder.broken.places, "place"),
            source.line_of(builder.broken.first),
            count(builder.broken.bytes, "byte"),
        ));
    }
    if builder.mismatched.places > 0 {
        remarks.push(format!(
            "Start and end tags do not match at {}, first at line {}; points were read as far as they go.",
            count(builder.mismatched.places, "place"),
            source.line_of(builder.mismatched.first),
        ));
    }
    remarks.extend(cut_off.map(|cut| cut_off_remark(cut, source)));
    remarks.extend(rollover_remark(builder));
    remarks
}

/// What a file without track points holds, for the error.
fn found_instead(builder: &Builder, cut_off: Option<&CutOff>, source: &Source<'_>) -> String {
    let mut found = Vec::new();
    if !builder.waypoints.is_empty() {
        found.push(count(builder.waypoints.len(), "waypoint"));
    }
    if builder.routes > 0 {
        found.push(count(builder.routes, "route"));
    }
    if let Some(cut) = cut_off {
        found.push(format!(
            "a beginning that breaks off at line {}",
            source.line_of(cut.from)
        ));
    }
    if found.is_empty() {
        return "an empty document".to_owned();
    }
    found.join(" and ")
}

fn cut_off_remark(cut: &CutOff, source: &Source<'_>) -> String {
    let line = source.line_of(cut.from);
    let inside = match &cut.inside {
        Some(name) => format!(", before `{}` is closed", clipped(name, NAME_CHARACTERS)),
        None => String::new(),
    };
    match cut.unread * source.encoding.bytes_a_character() {
        0 => format!("Ends at line {line}{inside}; every whole point was kept."),
        unread => format!(
            "Breaks off at line {line}{inside}: the last {} not read, every whole point before them kept.",
            count(unread, "byte"),
        ),
    }
}

/// A receiver's clock 1024 weeks behind shows where the file itself has another date.
fn rollover_remark(builder: &Builder) -> Option<String> {
    let last = builder.tracks.last()?.segments.last()?.last()?.time;
    let written = builder.written?;
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
