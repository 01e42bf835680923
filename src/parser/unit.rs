//! Units as recorders write them, in attributes, names and headers.

use crate::units::SpeedUnit;

/// Units of depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DepthUnit {
    Metres,
    Feet,
}

/// A unit of speed.
pub(super) fn speed_unit(text: &str) -> Option<SpeedUnit> {
    let text = text.trim();
    match text.to_ascii_lowercase().as_str() {
        "mps" | "ms" | "m_s" | "ms-1" => Some(SpeedUnit::MetresPerSecond),
        "km_h" => Some(SpeedUnit::KilometresPerHour),
        _ => text.parse().ok(),
    }
}

/// A unit of depth.
pub(super) fn depth_unit(text: &str) -> Option<DepthUnit> {
    match text.trim().to_ascii_lowercase().as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Some(DepthUnit::Metres),
        "ft" | "foot" | "feet" => Some(DepthUnit::Feet),
        _ => None,
    }
}
