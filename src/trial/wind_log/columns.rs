//! Which column of a wind log holds what.

use super::WindLogError;
use crate::trial::log_table::listed;
use crate::units::SpeedUnit;

/// The columns by their place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    pub(super) time: usize,
    pub(super) direction: usize,
    pub(super) speed: Option<(usize, SpeedUnit)>,
}

impl Columns {
    pub(super) fn find(headers: &csv::StringRecord, file: &str) -> Result<Self, WindLogError> {
        let names: Vec<String> = headers.iter().map(str::to_lowercase).collect();
        let missing = |wanted| WindLogError::NoColumn {
            file: file.to_owned(),
            wanted,
            found: listed(headers),
        };
        // Gusts and extremes have their own columns beside the means.
        let holds = |words: &[&str]| {
            names.iter().position(|name| {
                words.iter().any(|word| name.contains(word))
                    && !["gust", "max", "min "]
                        .iter()
                        .any(|word| name.contains(word))
            })
        };
        let time = holds(&["time", "date", "utc"]).ok_or_else(|| missing("time"))?;
        let direction = holds(&["dir", "from", "bearing"]).ok_or_else(|| missing("direction"))?;
        let speed = match holds(&["speed", "force", "velocity"]) {
            None => None,
            Some(column) => {
                let header = headers.get(column).unwrap_or_default();
                let unit = unit_of(header).ok_or_else(|| WindLogError::NoUnit {
                    file: file.to_owned(),
                    header: header.to_owned(),
                })?;
                Some((column, unit))
            }
        };
        Ok(Self {
            time,
            direction,
            speed,
        })
    }
}

/// The unit among a header's words: `speed (m/s)`, `speed_kn`, `wind speed [km/h]`.
fn unit_of(header: &str) -> Option<SpeedUnit> {
    let header = header.to_lowercase();
    SpeedUnit::ALL
        .into_iter()
        .find(|unit| header.ends_with(&format!("_{}", unit.column())))
        .or_else(|| {
            header
                .split(|c: char| !(c.is_ascii_alphabetic() || c == '/'))
                .find_map(|word| word.parse().ok())
        })
}

#[cfg(test)]
mod tests {
    use super::unit_of;
    use crate::units::SpeedUnit;

    #[test]
    fn finds_the_unit() {
        assert_eq!(unit_of("speed (m/s)"), Some(SpeedUnit::MetresPerSecond));
        assert_eq!(unit_of("wind_speed_m_s"), Some(SpeedUnit::MetresPerSecond));
        assert_eq!(unit_of("Speed [km/h]"), Some(SpeedUnit::KilometresPerHour));
        assert_eq!(unit_of("speed_kn"), Some(SpeedUnit::Knots));
        assert_eq!(unit_of("speed mph"), Some(SpeedUnit::MilesPerHour));
        assert_eq!(unit_of("speed"), None);
    }
}
