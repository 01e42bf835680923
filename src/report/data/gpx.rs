//! `legs.gpx`: each leg as a track, for any program that draws tracks.
//!
//! GPX 1.1. Its schema bounds longitude to `-180 <= lon < 180`, so the
//! antimeridian is always written as -180.

use std::fmt::Write as _;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use quick_xml::escape::escape;

use super::{LegPoint, rounded, runs};
use crate::day::Leg;
use crate::report::rounding::{NO_BREAK_SPACE, clock_span, degrees, speed_with_unit};
use crate::report::words::{self, name, wind_label};
use crate::trial::Trial;

const HEAD: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="thereback" xmlns="http://www.topografix.com/GPX/1/1" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="http://www.topografix.com/GPX/1/1 http://www.topografix.com/GPX/1/1/gpx.xsd">
"#;

/// The legs as GPX 1.1, a track each.
pub fn legs_gpx(trial: &Trial) -> Vec<u8> {
    let from = trial.days.iter().filter_map(|day| day.from).min();
    let mut out = format!(
        "{HEAD}  <metadata>\n    <name>{}</name>\n    <desc>{}</desc>{}\n  </metadata>\n",
        plain(&words::title(trial)),
        plain(&words::found(trial)),
        from.map_or_else(String::new, |from| format!("\n    {}", time(from)))
    );
    for leg in &trial.legs {
        let day = (trial.days.len() > 1).then(|| format!("day {}", leg.day));
        let _ = write!(
            out,
            "  <trk>\n    <name>{}</name>\n    <desc>{}</desc>\n",
            plain(&track_name(trial, leg, day)),
            plain(&description(leg))
        );
        for run in runs(trial, leg) {
            out.push_str("    <trkseg>\n");
            for point in &run {
                push_point(&mut out, point);
            }
            out.push_str("    </trkseg>\n");
        }
        out.push_str("  </trk>\n");
    }
    out.push_str("</gpx>\n");
    out.into_bytes()
}

fn push_point(out: &mut String, point: &LegPoint) {
    let latitude = rounded(point.position.latitude());
    let longitude = within_schema(rounded(point.position.longitude()));
    let time = time(point.time);
    let _ = writeln!(
        out,
        "      <trkpt lat=\"{latitude}\" lon=\"{longitude}\">{time}</trkpt>"
    );
}

/// `leg 3 · four blades · setting 1 · 2.95 kn`.
fn track_name(trial: &Trial, leg: &Leg, day: Option<String>) -> String {
    let mut parts: Vec<String> = day.into_iter().collect();
    parts.push(format!("leg {}", leg.leg));
    parts.extend(leg.configuration.as_deref().map(name));
    parts.extend(
        leg.setting
            .as_deref()
            .map(|setting| format!("setting {}", name(setting))),
    );
    parts.extend(
        leg.speed_m_s
            .map(|speed| speed_with_unit(speed, leg.speed_se_m_s, trial.units)),
    );
    parts.join(" · ")
}

fn description(leg: &Leg) -> String {
    let mut parts = vec![format!(
        "course {}, {} long",
        degrees(leg.course_deg),
        clock_span(leg.duration_s)
    )];
    parts.extend(
        leg.wind_label
            .map(|label| format!("wind {}", wind_label(label))),
    );
    parts.extend(leg.double_run.map(|run| format!("double run {run}")));
    if !leg.included {
        let why = leg
            .reason
            .as_deref()
            .map_or_else(|| "no reason given".to_owned(), name);
        parts.push(format!("not counted: {why}"));
    }
    parts.join("; ")
}

fn within_schema(longitude: f64) -> f64 {
    if longitude >= 180.0 {
        longitude - 360.0
    } else {
        longitude
    }
}

/// The element `time`; empty for times before the year 0, which the format cannot hold.
fn time(at: Timestamp) -> String {
    if at.to_zoned_datetime(TimeZone::UTC).year() < 0 {
        String::new()
    } else {
        format!("<time>{at}</time>")
    }
}

fn plain(text: &str) -> String {
    escape(text.replace(NO_BREAK_SPACE, " ").as_str()).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longitude_stays_within_the_schema() {
        let of = |degrees| within_schema(rounded(degrees)).to_string();
        let all = [179.999_999_99, 180.0, 179.999_999_9, -180.0, -1e-9].map(of);
        assert_eq!(all, ["-180", "-180", "179.9999999", "-180", "0"]);
    }
}
