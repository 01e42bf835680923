//! Local time: the zone at a position, or by its name.
//!
//! Both tables are compiled in, so that the same input gives the same output on every machine.

use jiff::tz::TimeZone;
#[cfg(feature = "places")]
use tzf_rs::EmbeddedFinder;

use super::section::nearest;
use crate::track::Position;

/// The time zone in force at a position: its IANA name and its rules.
///
/// At sea these are the nautical zones, `Etc/GMT-1` and the like. `None` where the tables know
/// no zone. Boundaries are simplified by some hundred metres, so near a border the neighbour's
/// zone may come back.
///
/// # Example: an inland lake
/// ```
/// use thereback::track::Position;
/// use thereback::notes::zone;
/// let here = Position::new(58.9, 14.9).unwrap();
/// assert_eq!(zone::at(here).unwrap().0, "Europe/Stockholm");
/// ```
#[cfg(feature = "places")]
pub fn at(position: Position) -> Option<(String, TimeZone)> {
    let finder = EmbeddedFinder::new();
    let name = finder.get_tz_name(position.longitude(), position.latitude());
    let zone = named(name).ok()?;
    Some((zone.iana_name().unwrap_or(name).to_owned(), zone))
}

/// Without the boundaries no zone is known by its place.
#[cfg(not(feature = "places"))]
pub fn at(_: Position) -> Option<(String, TimeZone)> {
    None
}

/// The time zone of an IANA name, letters' case aside, or of a city that is in the list once:
/// `Europe/Stockholm`, `utc`, `Helsinki`, `new york`.
///
/// # Errors
/// [`ZoneError`] for a name that is not in the table, or a city that is there several times, with
/// those that may be meant.
pub fn named(name: &str) -> Result<TimeZone, ZoneError> {
    let known = |name: &str| TimeZone::get(name).ok().filter(|zone| !zone.is_unknown());
    if let Some(zone) = known(name.trim()) {
        return Ok(zone);
    }
    let all: Vec<String> = (jiff::tz::db().available())
        .map(|name| name.as_str().to_owned())
        .collect();
    let plain = |name: &str| name.trim().to_lowercase().replace([' ', '-'], "_");
    let typed = plain(name);
    let is_city = |zone: &&String| {
        zone.rsplit_once('/')
            .is_some_and(|(_, city)| plain(city) == typed)
    };
    let cities: Vec<String> = all.iter().filter(is_city).cloned().collect();
    if let [city] = cities.as_slice()
        && let Some(zone) = known(city)
    {
        return Ok(zone);
    }
    let near = || nearest(&typed, all.iter().map(String::as_str)).map(str::to_owned);
    Err(ZoneError {
        name: name.to_owned(),
        suggestions: if cities.is_empty() {
            near().into_iter().collect()
        } else {
            cities
        },
    })
}

/// The IANA name of the zone that [`named`] finds.
///
/// # Errors
/// As [`named`].
pub fn name_of(name: &str) -> Result<String, ZoneError> {
    let zone = named(name)?;
    Ok(zone.iana_name().unwrap_or(name).to_owned())
}

/// A name that is not that of one time zone.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{name}` is not a time zone\nhint: {}", hint(suggestions))]
pub struct ZoneError {
    /// The name as met.
    pub name: String,
    /// The names that may be meant.
    pub suggestions: Vec<String>,
}

fn hint(suggestions: &[String]) -> String {
    let names: Vec<String> = suggestions.iter().map(|name| format!("`{name}`")).collect();
    if names.is_empty() {
        return "names go `Area/City`, such as `Europe/Stockholm` or `America/New_York`".to_owned();
    }
    format!("did you mean {}?", names.join(" or "))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{at, named};
    use crate::track::Position;

    #[track_caller]
    fn check(latitude: f64, longitude: f64, expected: &str) {
        let (name, _) = at(Position::new(latitude, longitude).unwrap()).unwrap();
        assert_eq!(name, expected);
    }

    /// Places and their zones: IANA time zone database, `zone1970.tab` (from memory).
    #[test]
    fn knows_places() {
        check(59.33, 18.07, "Europe/Stockholm");
        check(51.5, -0.12, "Europe/London");
        check(40.7, -74.0, "America/New_York");
        check(-36.85, 174.76, "Pacific/Auckland");
        check(35.68, 139.76, "Asia/Tokyo");
    }

    /// Nautical zones are 15 degrees wide, centred on multiples of 15 degrees; POSIX signs in
    /// the names run the other way (IANA time zone database, `etcetera`).
    #[test]
    fn knows_the_sea() {
        check(30.0, -45.0, "Etc/GMT+3");
        check(0.0, -15.0, "Etc/GMT+1");
    }

    #[test]
    fn answers_at_the_edges_of_the_map() {
        for (latitude, longitude) in [
            (90.0, 0.0),
            (-90.0, 0.0),
            (0.0, 180.0),
            (0.0, -180.0),
            (90.0, 180.0),
        ] {
            let _ = at(Position::new(latitude, longitude).unwrap());
        }
    }

    #[test]
    fn takes_names_in_any_case() {
        let zone = named("europe/stockholm").unwrap();
        assert_eq!(zone.iana_name(), Some("Europe/Stockholm"));
    }

    #[test]
    fn takes_a_city_alone() {
        let zone = |name: &str| named(name).unwrap().iana_name().map(str::to_owned);
        assert_eq!(zone("Helsinki").as_deref(), Some("Europe/Helsinki"));
        assert_eq!(zone("new york").as_deref(), Some("America/New_York"));
        assert_eq!(
            zone("port-au-prince").as_deref(),
            Some("America/Port-au-Prince")
        );
    }

    #[test]
    fn suggests_what_was_meant() {
        let suggestion = |name: &str| named(name).unwrap_err().suggestions.first().cloned();
        assert_eq!(
            suggestion("Europe/Stokholm").as_deref(),
            Some("Europe/Stockholm")
        );
        // This city is in the list in two places.
        assert_eq!(named("louisville").unwrap_err().suggestions.len(), 2);
        assert_eq!(suggestion("somewhere over the rainbow"), None);
        assert_eq!(suggestion("Etc/Unknown").as_deref(), None);
        assert_eq!(suggestion(""), None);
    }
}
