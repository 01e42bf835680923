//! What the gain buys: from the day's double runs, the notes and the log of the draw.

mod draw;
mod equal_speed;
mod home;
mod known;
mod power;
mod propeller;
mod reach;
mod result;
mod speeds;

pub use result::*;

use jiff::tz::TimeZone;

use super::outcome::Counted;
use super::result::Analysis;
use super::settings::Settings;
use crate::compare::Posterior;
use crate::notes::Resolved;
use known::Known;

/// Everything that follows from an analysis whose runs, cells, comparisons and gauge stand.
pub(super) fn buys(
    analysis: &Analysis,
    counted: &Counted<'_>,
    noted: &Resolved,
    (asked, zone, posterior): (&Settings, &TimeZone, Option<&Posterior>),
) -> Buys {
    let known = Known {
        analysis,
        counted,
        noted,
        asked,
        zone,
        posterior,
    };
    let calm = speeds::calm(&known);
    let drawn = draw::drawn(&known);
    Buys {
        equal_speed: equal_speed::equal_speed(&known),
        reach: reach::reach(&known, &drawn, &calm),
        propeller: propeller::propeller(&known, &drawn),
        power: power::power(&known, drawn),
        calm,
    }
}
