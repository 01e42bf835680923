//! The ends of a straight stretch, found on the fixes themselves.

use super::line::Motion;
use super::path::{PathPoint, between};
use super::stretch::{Stretch, StretchRules};

/// How much of the time from `d` to `4d` off the line is taken off again. At a steady rate of
/// turn from the heading itself it would be all of it; turns are eased into and out of, and a
/// boat that closes in on its line does so ever more slowly. Source: our own simulated days.
const LAG_SHARE: f64 = 0.7;

/// Finds where a stretch really begins and ends, to the fix.
///
/// The fit to the part next to an end is drawn on beyond it; the turn begins
/// where the track leaves that line for good. At a steady rate of turn the
/// distance from the line grows with the square of time, so the time from `d`
/// to `4d` away is about as long as the time from the start of the turn to `d`:
/// most of it is taken off again.
pub(super) fn settle_ends(
    path: &[PathPoint],
    start: f64,
    end: f64,
    rules: &StretchRules,
) -> Option<Stretch> {
    let inner = between(path, start + rules.sample_s, end - rules.sample_s);
    let whole = Motion::fit(inner)?;
    let mid = f64::midpoint(start, end);
    let window = rules.end_window_s;
    let late_from = (end - rules.sample_s - window).max(mid.min(end - 2.0 * rules.sample_s));
    let early_to =
        (start + 2.0 * rules.sample_s + window).min(mid.max(start + 3.0 * rules.sample_s));

    let late = between(path, late_from, end - 2.0 * rules.sample_s);
    let reach = 4.0 * rules.sample_s;
    let after = between(path, end - 2.0 * rules.sample_s, end + reach);
    let new_end = local_fit(late, &whole)
        .and_then(|fit| departure(&after.iter().copied(), &fit, late, rules, true))
        .unwrap_or_else(|| after.last().map_or(end, |p| p.t));

    let early = between(
        path,
        start + 3.0 * rules.sample_s,
        early_to.max(start + 6.0 * rules.sample_s),
    );
    let before = between(path, start - reach, start + 3.0 * rules.sample_s);
    let new_start = local_fit(early, &whole)
        .and_then(|fit| departure(&before.iter().rev().copied(), &fit, early, rules, false))
        .unwrap_or_else(|| before.first().map_or(start, |p| p.t));

    let points = between(path, new_start, new_end);
    let motion = Motion::fit(points)?;
    Some(Stretch {
        start: new_start,
        end: new_end,
        motion,
        course: motion.course()?,
    })
}

/// The line through the part next to an end; the whole stretch's where that part is too short.
fn local_fit(points: &[PathPoint], whole: &Motion) -> Option<Motion> {
    if points.len() >= 4 {
        Motion::fit(points)
    } else {
        Some(*whole)
    }
}

/// The time at which the points, walked outward, leave the line for good.
fn departure(
    outward: &(impl Iterator<Item = PathPoint> + Clone),
    line: &Motion,
    beside: &[PathPoint],
    rules: &StretchRules,
    braking_counts: bool,
) -> Option<f64> {
    let noise = line.cross_track_rms(beside);
    let limit = rules.departure_m.max(2.5 * noise);
    let distance = |p: PathPoint| {
        let offset = line.offset(p);
        // Where the boat only slows, without turning, the leg ends as well; at its
        // beginning it has yet to gather speed, so there only the side counts.
        let behind = if braking_counts {
            (-offset.ahead / 2.0).max(0.0)
        } else {
            0.0
        };
        offset.abeam.abs().max(behind)
    };
    let crossing = |limit: f64| -> Option<f64> {
        let mut found = None;
        let mut previous: Option<(f64, f64)> = None;
        for point in outward.clone() {
            let d = distance(point);
            if d > limit {
                // A boat on its loop of a turn crosses the line once more, farther out.
                if found.is_some_and(|left: f64| (point.t - left).abs() >= rules.departed_s) {
                    break;
                }
                if found.is_none() {
                    found = Some(match previous {
                        Some((t, before)) if d > before => {
                            t + (point.t - t) * ((limit - before) / (d - before)).clamp(0.0, 1.0)
                        }
                        _ => point.t,
                    });
                }
            } else {
                found = None;
            }
            previous = Some((point.t, d));
        }
        found
    };
    let near = crossing(limit)?;
    let lag = crossing(4.0 * limit).map_or(rules.sample_s, |far| (far - near).abs());
    let lag = LAG_SHARE * lag.min(2.0 * rules.sample_s);
    let sign = if braking_counts { -1.0 } else { 1.0 };
    Some(near + sign * lag)
}
