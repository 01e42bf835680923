//! What was read in the track of a simulated day, held against what was run.

use jiff::Timestamp;

use crate::simulate::{TrueLeg, Truth};
use crate::trial::Trial;
use crate::units::Bearing;

/// A stretch that ends less than this before a leg, s, leads straight into it where both have one
/// heading and one speed: no one can say from the track where the one ends and the other begins.
const STRAIGHT_INTO_S: f64 = 40.0;
/// Headings that differ by less than this are one in that sense, degrees; and so do speeds.
const ONE_HEADING_DEG: f64 = 6.0;
const ONE_SPEED_SHARE: f64 = 0.1;
/// A leg found is a true one where they share this much of the time that either lasts.
const SAME_LEG: f64 = 0.5;

/// How much of the time of either a true leg and a leg found share, `[0, 1]`; 0 for an unknown leg.
///
/// A stretch that leads straight into the leg may be part of what was found.
pub fn leg_overlap(truth: &Truth, leg: usize, found: [Timestamp; 2]) -> f64 {
    let Some(own) = truth.legs.get(leg) else {
        return 0.0;
    };
    let before = leg.checked_sub(1).and_then(|before| truth.legs.get(before));
    let with = before.filter(|before| leads_straight_into(before, own));
    let whole = overlap(found, [own.start, own.end]);
    with.map_or(whole, |before| {
        whole.max(overlap(found, [before.start, own.end]))
    })
}

fn leads_straight_into(before: &TrueLeg, leg: &TrueLeg) -> bool {
    let [a, b] = [before, leg].map(|leg| Bearing::new(leg.course_deg));
    let one_way = a.zip(b).is_some_and(|(a, b)| a.apart(b) < ONE_HEADING_DEG);
    let one_speed = (before.speed_m_s / leg.speed_m_s - 1.0).abs() < ONE_SPEED_SHARE;
    one_way && one_speed && seconds(before.end, leg.start) < STRAIGHT_INTO_S
}

fn seconds(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64()
}

/// Intersection over union of two spans of time.
fn overlap(a: [Timestamp; 2], b: [Timestamp; 2]) -> f64 {
    let both = seconds(a[0].max(b[0]), a[1].min(b[1])).max(0.0);
    let either = seconds(a[0].min(b[0]), a[1].max(b[1]));
    if either > 0.0 { both / either } else { 0.0 }
}

/// For each double run found, which of the true ones it is; `None` where it is none of them.
pub fn true_double_runs(truth: &Truth, analysis: &Trial) -> Vec<Option<usize>> {
    let span = |number: usize| {
        let leg = analysis.legs.get(number.checked_sub(1)?)?;
        Some([leg.start, leg.end])
    };
    let same = |true_leg: usize, number: usize| {
        span(number).is_some_and(|span| leg_overlap(truth, true_leg, span) >= SAME_LEG)
    };
    (analysis.double_runs.iter())
        .map(|run| {
            (truth.double_runs.iter()).position(|own| {
                own.legs
                    .iter()
                    .zip(run.legs)
                    .all(|(leg, found)| same(*leg, found))
            })
        })
        .collect()
}

/// Whether every double run was found and none invented, and parts and settings are those run.
///
/// Without notes a part that comes back may have a name of its own: from the track alone it may be
/// a third one.
pub fn read_right(truth: &Truth, analysis: &Trial) -> bool {
    let found = true_double_runs(truth, analysis);
    let whole = (0..truth.double_runs.len()).all(|run| found.contains(&Some(run)))
        && found.len() == truth.double_runs.len();
    whole && groups_right(truth, analysis)
}

/// Whether the double runs that were found are in one group where they had one part in one series
/// at one setting, and in different ones where part or setting differed, settings slowest first.
pub fn groups_right(truth: &Truth, analysis: &Trial) -> bool {
    let series = series(truth);
    let setting = |name: &str| analysis.settings.iter().position(|s| s.name == name);
    let cells: Vec<_> = (true_double_runs(truth, analysis)
        .into_iter()
        .zip(&analysis.double_runs))
    .filter_map(|(own, found)| {
        let number = own?;
        let own = truth.double_runs.get(number)?;
        let series = *series.get(number)?;
        Some((own, series, &found.configuration, setting(&found.setting)))
    })
    .collect();
    cells
        .iter()
        .enumerate()
        .all(|(number, (own, series, part, setting))| {
            cells
                .iter()
                .skip(number + 1)
                .all(|(other, in_series, other_part, other_setting)| {
                    let parts = match (
                        series == in_series,
                        own.configuration == other.configuration,
                    ) {
                        (true, _) => part == other_part,
                        (false, true) => true,
                        (false, false) => part != other_part,
                    };
                    parts && own.setting.cmp(&other.setting) == setting.cmp(other_setting)
                })
        })
}

/// Number of the series of each true double run: a new one begins where the part was changed.
pub fn series(truth: &Truth) -> Vec<usize> {
    let parts = truth.double_runs.iter().map(|run| run.configuration);
    parts
        .scan((0, None), |(series, last), part| {
            *series += usize::from(last.is_some_and(|last| last != part));
            *last = Some(part);
            Some(*series)
        })
        .collect()
}
