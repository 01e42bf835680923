//! A simulated day as a GPX file.

use std::fmt::Write as _;

use super::SimulatedDay;
use crate::track::{Fix, Position, Waypoint};

/// Which GPX is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GpxStyle {
    /// GPX 1.1: position and time only.
    V1_1,
    /// GPX 1.0: with `<course>` and `<speed>` (m/s) where the recorder stored them.
    V1_0,
}

/// Who wrote the file.
const CREATOR: &str = "thereback rehearse";

impl SimulatedDay {
    /// The day as a GPX file, positions with as many decimals as the recorder stores.
    ///
    /// The same day gives the same bytes. Element order and attributes follow the GPX 1.1 schema
    /// (topografix.com/GPX/1/1/gpx.xsd) and the GPX 1.0 schema.
    pub fn to_gpx(&self, style: GpxStyle) -> Vec<u8> {
        let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        let (version, space) = match style {
            GpxStyle::V1_1 => ("1.1", "http://www.topografix.com/GPX/1/1"),
            GpxStyle::V1_0 => ("1.0", "http://www.topografix.com/GPX/1/0"),
        };
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "<gpx version=\"{version}\" creator=\"{CREATOR}\" xmlns=\"{space}\">"
        );
        for waypoint in &self.waypoints {
            self.write_waypoint(&mut out, waypoint);
        }
        let _ = writeln!(out, "<trk><name>{}</name>", escaped(&self.truth.name));
        for segment in &self.segments {
            out.push_str("<trkseg>\n");
            for fix in segment {
                self.write_fix(&mut out, fix, style);
            }
            out.push_str("</trkseg>\n");
        }
        out.push_str("</trk>\n</gpx>\n");
        out.into_bytes()
    }

    fn write_waypoint(&self, out: &mut String, waypoint: &Waypoint) {
        self.write_place(out, "wpt", waypoint.position);
        if let Some(time) = waypoint.time {
            let _ = write!(out, "<time>{time}</time>");
        }
        let _ = writeln!(out, "<name>{}</name></wpt>", escaped(&waypoint.name));
    }

    fn write_fix(&self, out: &mut String, fix: &Fix, style: GpxStyle) {
        self.write_place(out, "trkpt", fix.position);
        let _ = write!(out, "<time>{}</time>", fix.time);
        if style == GpxStyle::V1_0 {
            if let Some(course) = fix.course {
                let _ = write!(out, "<course>{}</course>", course.degrees());
            }
            if let Some(speed) = fix.speed {
                let _ = write!(out, "<speed>{:.3}</speed>", speed.as_metres_per_second());
            }
        }
        out.push_str("</trkpt>\n");
    }

    fn write_place(&self, out: &mut String, element: &str, position: Position) {
        let decimals = usize::from(self.decimals);
        let _ = write!(
            out,
            "<{element} lat=\"{:.decimals$}\" lon=\"{:.decimals$}\">",
            position.latitude(),
            position.longitude()
        );
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}
