//! Takes the steps out of coarsely rounded coordinates.
//!
//! Some recorders keep four decimals of a degree, steps of 11 m north: at 1.5 m/s the
//! track stands still for seven seconds and then leaps. But the moment of the leap tells
//! more than the values: there the boat crossed from one step into the next, and its
//! coordinate was the boundary between them. So each coordinate is drawn as straight lines
//! between those moments, which leaves an error of about the way run between two fixes
//! in place of half a step that lasts as long as the step.

use crate::track::{Fix, Position};

/// Coarsest steps that are taken out, degrees: what is coarser is no track of a boat.
const COARSEST_DEG: f64 = 1.1e-3;

/// Finest steps that are taken out, degrees: 3 m, about the error of the receiver itself.
const FINEST_DEG: f64 = 2.9e-5;

/// Share of the fixes that must repeat a coordinate before it is worth while: where each fix
/// lies in a step of its own, nothing is known of the moment of crossing.
const LEAST_REPEATED: f64 = 0.5;

/// The positions of a track, each coordinate freed of its steps where it has coarse ones.
pub(super) fn unrounded(fixes: &[Fix]) -> Vec<Position> {
    let start = fixes.first().map(|fix| fix.time);
    let since = |fix: &Fix| start.map_or(0.0, |s| fix.time.duration_since(s).as_secs_f64());
    let times: Vec<f64> = fixes.iter().map(since).collect();
    let freed = |of: fn(&Position) -> f64| {
        let values: Vec<f64> = fixes.iter().map(|fix| of(&fix.position)).collect();
        smooth(&times, &values).unwrap_or(values)
    };
    let latitudes = freed(|p| p.latitude());
    let longitudes = freed(|p| p.longitude());
    (fixes.iter().zip(latitudes.into_iter().zip(longitudes)))
        .map(|(fix, (latitude, longitude))| {
            Position::new(latitude, longitude).unwrap_or(fix.position)
        })
        .collect()
}

/// A coordinate drawn through its crossings; `None` where its steps are not coarse.
fn smooth(times: &[f64], values: &[f64]) -> Option<Vec<f64>> {
    let step = step_of(values)?;
    if !(FINEST_DEG..=COARSEST_DEG).contains(&step) {
        return None;
    }
    let stays = |w: &&[f64]| (w[1] - w[0]).abs() < step / 2.0;
    let repeated = values.windows(2).filter(stays).count();
    if (repeated as f64) < LEAST_REPEATED * values.len() as f64 {
        return None;
    }
    // Where and when the coordinate went from one step to the next; a leap over several, and
    // across the antimeridian, is left as it is.
    let knots: Vec<(f64, f64)> = values
        .windows(2)
        .zip(times.windows(2))
        .filter(|(v, _)| {
            let leap = (v[1] - v[0]).abs();
            leap > step / 2.0 && leap < 1.5 * step
        })
        .map(|(v, t)| (f64::midpoint(t[0], t[1]), f64::midpoint(v[0], v[1])))
        .collect();
    let drawn = |(t, recorded): (&f64, &f64)| {
        let next = knots.partition_point(|knot| knot.0 < *t);
        let before = next.checked_sub(1).and_then(|i| knots.get(i));
        let Some((a, b)) = before.zip(knots.get(next)) else {
            return *recorded;
        };
        let drawn = a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0);
        // Never out of the step that was recorded.
        drawn.clamp(recorded - step / 2.0, recorded + step / 2.0)
    };
    Some(times.iter().zip(values).map(drawn).collect())
}

/// The step of a coordinate: the least difference between neighbours of which all are multiples.
fn step_of(values: &[f64]) -> Option<f64> {
    let leaps = || {
        let sizes = values.windows(2).map(|w| (w[1] - w[0]).abs());
        sizes.filter(|leap| *leap > 1e-9)
    };
    let step = leaps().min_by(f64::total_cmp)?;
    let whole = |leap: f64| {
        let steps = leap / step;
        (steps - steps.round()).abs() < 0.01 * steps.max(1.0)
    };
    leaps().all(whole).then_some(step)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::float_cmp)]
mod tests {
    use jiff::{SignedDuration, Timestamp};

    use super::*;

    fn fixes(at: impl Fn(f64) -> (f64, f64), decimals: i32) -> Vec<Fix> {
        let scale = 10.0_f64.powi(decimals);
        let round = |v: f64| (v * scale).round() / scale;
        (0..300)
            .map(|t| {
                let (latitude, longitude) = at(f64::from(t));
                Fix::bare(
                    Timestamp::UNIX_EPOCH + SignedDuration::from_secs(t.into()),
                    Position::new(round(latitude), round(longitude)).unwrap(),
                )
            })
            .collect()
    }

    /// 1.5 m/s to the north-east at 47 degrees north.
    fn steady(t: f64) -> (f64, f64) {
        (47.0 + 9.5e-6 * t, 9.0 + 1.4e-5 * t)
    }

    #[test]
    fn steps_of_four_decimals_become_a_line() {
        let fixes = fixes(steady, 4);
        let freed = unrounded(&fixes);
        for (t, position) in freed.iter().enumerate().skip(15).take(270) {
            let (latitude, longitude) = steady(t as f64);
            assert!((position.latitude() - latitude).abs() < 1.5e-5, "{t}");
            assert!((position.longitude() - longitude).abs() < 1.5e-5, "{t}");
        }
    }

    #[test]
    fn fine_coordinates_are_left_alone() {
        for decimals in [5, 6, 7] {
            let fixes = fixes(steady, decimals);
            let positions: Vec<Position> = fixes.iter().map(|f| f.position).collect();
            assert_eq!(unrounded(&fixes), positions);
        }
    }
}
