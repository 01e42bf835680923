//! Whether times that do not fit would fit in another time zone.

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::zone;
use crate::track::Position;

/// Zones are whole or half hours apart, up to this many halves (IANA time zone database: offsets
/// from -12 to +14 hours).
const MOST_HALF_HOURS: i64 = 52;

/// Asks whether another zone was meant, where all `times` fit in it; each has the instants that it
/// can mean in `zone`. UTC comes first, then the zone of the place, then any other.
///
/// A single time fits in some zone by chance, so it is only held against the first two.
pub(super) fn question(
    times: &[Vec<Timestamp>],
    zone: &TimeZone,
    place: Option<Position>,
    fits: impl Fn(Timestamp) -> bool,
) -> Option<String> {
    let at = *times.first()?.first()?;
    let offset = |zone: &TimeZone| SignedDuration::from_secs(zone.to_offset(at).seconds().into());
    let all_fit = |shift: SignedDuration| {
        let fits = |time: &Timestamp| time.checked_add(shift).is_ok_and(&fits);
        !shift.is_zero() && times.iter().all(|candidates| candidates.iter().any(fits))
    };
    if all_fit(offset(zone)) {
        return Some(
            "the times fit if they were written in UTC: was `timezone = \"UTC\"` meant?".to_owned(),
        );
    }
    let there = place.and_then(zone::at);
    let there = there.filter(|(_, there)| all_fit(offset(zone) - offset(there)));
    if let Some((name, _)) = there {
        return Some(format!(
            "the times fit in the time zone of the place: was `timezone = \"{name}\"` meant?"
        ));
    }
    let halves = |step: i64| (step..=MOST_HALF_HOURS).step_by(2).flat_map(|n| [n, -n]);
    let shift = halves(2)
        .chain(halves(1))
        .find(|n| all_fit(SignedDuration::from_mins(30 * n)))
        .filter(|_| times.len() > 1)?;
    let hours = shift.abs() as f64 / 2.0;
    Some(format!(
        "the times fit if they were {hours} hour{} {}: was another `timezone` meant?",
        if shift.abs() == 2 { "" } else { "s" },
        if shift > 0 { "later" } else { "earlier" }
    ))
}
