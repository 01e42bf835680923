//! What the motor drew: the readings of a power log in time, sifted, set right and averaged.

use jiff::Timestamp;
use jiff::tz::TimeZone;

pub use crate::parser::{PowerLog, PowerRow};
use crate::track::SetAside;
use crate::units::seconds;

mod align;
mod mean;
mod sift;

pub use align::{AlignRules, Aligned, NotAligned, align};
pub use mean::{MeanDraw, energy, mean_draw};
pub use sift::{SiftRules, contradicted, impossible};

/// A reading at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Seconds since 1970.
    pub t: f64,
    /// Power, W.
    pub watts: f64,
    /// Current, A, where logged.
    pub amps: Option<f64>,
    /// Voltage, V, where logged.
    pub volts: Option<f64>,
    /// Line in the file.
    pub line: u64,
}

/// Counts one more row set aside for a reason.
fn count(all: &mut Vec<SetAside>, reason: &str, line: u64) {
    match all.iter_mut().find(|s| s.reason == reason) {
        Some(known) => known.count += 1,
        None => all.push(SetAside {
            reason: reason.to_owned(),
            count: 1,
            first_line: Some(line),
        }),
    }
}

impl PowerLog {
    /// Its readings as points in time, seconds since 1970, in order; local times are taken in `zone` on
    /// the date on which they lie nearest to `near`.
    pub fn points(&self, near: Timestamp, zone: &TimeZone) -> Vec<Point> {
        let mut points: Vec<Point> = self
            .readings
            .iter()
            .filter_map(|r| {
                Some(Point {
                    t: seconds(r.at.instant_near(near, zone)?),
                    watts: r.watts,
                    amps: r.amps,
                    volts: r.volts,
                    line: r.line,
                })
            })
            .collect();
        points.sort_by(|a, b| a.t.total_cmp(&b.t));
        points
    }
}
