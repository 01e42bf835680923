//! Circles through points, and the drift of one from whole turns.

use super::finite;
use super::summary::mean;

/// A point of the plane at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedPoint {
    /// Seconds (any unit), increasing.
    pub time: f64,
    /// East, metres (any unit).
    pub east: f64,
    /// North, metres (any unit).
    pub north: f64,
}

/// A drift found from whole turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drift {
    /// East, in the points' unit of length over that of time.
    pub east: f64,
    /// North.
    pub north: f64,
    /// Pairs of positions one whole turn apart.
    pub pairs: usize,
    /// The duration of a whole turn, mean over the pairs.
    pub period: f64,
    /// How many whole turns the pairs cover: 1 for a track of two turns.
    pub turns: f64,
    /// The standard deviation of the pairs' drifts about their mean, east and north together. The pairs
    /// overlap, so it says how steady the drift was, and is no standard error.
    pub spread: f64,
}

/// The drift of a boat that turns steadily, from positions one whole turn of the course apart.
///
/// `vᵢ = (position one turn later - position)/time between`, averaged over all positions that have one: IMO MSC/Circ.1053 (2002),
/// *Explanatory notes to the standards for ship manoeuvrability*, 3.4.2.5, which wants a turn of 720° (form of the formula
/// from memory). The course over the ground is read between neighbouring points; one whole turn of it is one of the
/// heading, as long as the boat is faster than the drift. Turning must be steady and points close: a step of 120° or more between
/// neighbours is refused. `None` for less than one and a tenth of a turn, times that do not increase, or anything not finite.
pub fn drift_of_turns(points: &[TimedPoint]) -> Option<Drift> {
    let courses = wound_courses(points)?;
    let last = *courses.last()?;
    if last.abs() < LEAST_TURN {
        return None;
    }
    let sign = last.signum();
    let whole = 2.0 * std::f64::consts::PI;
    let (mut east, mut north, mut period) = (Vec::new(), Vec::new(), Vec::new());
    // The course of a step is that at its middle, and so is the position.
    let middles = || points.windows(2).filter_map(middle).zip(&courses);
    let mut later = middles().zip(middles().skip(1)).peekable();
    for (here, course) in middles() {
        let wanted = sign * course + whole;
        // The first step past the wanted course; it only moves on as long as the turning is steady.
        while later.peek().is_some_and(|(_, (_, c))| sign * **c < wanted) {
            later.next();
        }
        let Some(((a, from), (b, to))) = later.peek() else {
            break;
        };
        let share = (wanted - sign * **from) / (sign * (**to - **from));
        if !(0.0..=1.0).contains(&share) {
            continue;
        }
        let between = |x: f64, y: f64| x + share * (y - x);
        let time = between(a.time, b.time) - here.time;
        east.push((between(a.east, b.east) - here.east) / time);
        north.push((between(a.north, b.north) - here.north) / time);
        period.push(time);
    }
    let (e, n) = (mean(&east)?, mean(&north)?);
    let squares: f64 = east
        .iter()
        .zip(&north)
        .map(|(a, b)| (a - e).powi(2) + (b - n).powi(2))
        .sum();
    Some(Drift {
        east: e,
        north: n,
        pairs: east.len(),
        period: mean(&period)?,
        turns: last.abs() / whole - 1.0,
        spread: finite((squares / east.len() as f64).sqrt())?,
    })
}

/// With less than this turned there are too few pairs: one turn and a tenth, radians.
const LEAST_TURN: f64 = 1.1 * 2.0 * std::f64::consts::PI;

/// A larger turn between neighbours might as well be one the other way, radians (120°).
const LARGEST_STEP: f64 = 2.0 * std::f64::consts::PI / 3.0;

fn middle(pair: &[TimedPoint]) -> Option<TimedPoint> {
    let [a, b] = pair else { return None };
    Some(TimedPoint {
        time: f64::midpoint(a.time, b.time),
        east: f64::midpoint(a.east, b.east),
        north: f64::midpoint(a.north, b.north),
    })
}

/// The course of every step, radians clockwise, unwound from zero at the first.
fn wound_courses(points: &[TimedPoint]) -> Option<Vec<f64>> {
    let mut courses: Vec<f64> = Vec::with_capacity(points.len());
    let mut before = None;
    for pair in points.windows(2) {
        let [a, b] = pair else { return None };
        let (e, n) = (b.east - a.east, b.north - a.north);
        let sound = b.time > a.time && e.hypot(n) > 0.0 && e.hypot(n).is_finite();
        if !sound {
            return None;
        }
        let course = e.atan2(n);
        let wound = match before.zip(courses.last()) {
            None => 0.0,
            Some((before, wound)) => {
                let whole = 2.0 * std::f64::consts::PI;
                let turn: f64 = course - before;
                let turn = turn - whole * (turn / whole).round();
                if turn.abs() >= LARGEST_STEP {
                    return None;
                }
                wound + turn
            }
        };
        before = Some(course);
        courses.push(wound);
    }
    Some(courses)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn undefined_drifts_are_none() {
        assert_eq!(drift_of_turns(&[]), None);
        let point = |time: f64, angle: f64| TimedPoint {
            time,
            east: angle.sin(),
            north: angle.cos(),
        };
        let half: Vec<TimedPoint> = (0..20)
            .map(|i| point(f64::from(i), f64::from(i) * 0.15))
            .collect();
        assert_eq!(drift_of_turns(&half), None);
        let still = [point(0.0, 1.0), point(1.0, 1.0)];
        assert_eq!(drift_of_turns(&still), None);
    }
}
