//! Rows of a log that cannot be: their figures contradict each other, or the boat.

use serde::Serialize;

use super::{Point, count};
use crate::stats::quantile::median;
use crate::stats::summary::mean;
use crate::track::SetAside;

/// When a row cannot be.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiftRules {
    /// Volts may lie so many times above or below the middle of the log's. A battery of any kind
    /// stays within a fifth of its nominal voltage; half of it, or twice it, is a lost contact
    /// (common practice, no source).
    pub volts_factor: f64,
    /// Zero error of a meter, as a share of the largest draw: a row further below zero is none of
    /// the motor's. Clamp meters for direct current err by 1-2 % of their range (common practice,
    /// no source).
    pub zero_share: f64,
    /// A row that repeats to the last digit is stuck where the boat meanwhile went so many times
    /// as fast as at its slowest, in means of a minute. A turn halves the speed and a current may
    /// change it as much; three times is a stop, at which no motor draws as on a leg (common
    /// practice, no source).
    pub stuck_speeds: f64,
    /// Longest time between two rows of one draw, s: a lever stays where it is through a leg of
    /// some minutes (common practice, no source).
    pub longest_gap_s: f64,
}

impl Default for SiftRules {
    fn default() -> Self {
        Self {
            volts_factor: 2.0,
            zero_share: 0.01,
            stuck_speeds: 3.0,
            longest_gap_s: 120.0,
        }
    }
}

/// Takes out the rows whose own figures cannot be, and counts them by reason.
pub fn impossible(points: &mut Vec<Point>, rules: &SiftRules, aside: &mut Vec<SetAside>) {
    let live = |p: &Point| p.volts.filter(|v| *v > 0.0);
    let usual = median(&points.iter().filter_map(live).collect::<Vec<_>>());
    let largest = points.iter().map(|p| p.watts).fold(0.0, f64::max);
    let possible =
        |v: f64, usual: f64| (usual / rules.volts_factor..=usual * rules.volts_factor).contains(&v);
    points.retain(|p| {
        let reason = if p
            .volts
            .zip(usual)
            .is_some_and(|(v, usual)| !possible(v, usual))
        {
            "volts that no battery has, far from all the others"
        } else if p.watts < -rules.zero_share * largest {
            "a draw below zero"
        } else {
            return true;
        };
        count(aside, reason, p.line);
        false
    });
}

/// Takes out the rows that what the boat did contradicts, and counts them by reason: a draw stuck
/// through a stop, and none at all within a leg. `speeds` are pairs of time (s) and speed (m/s) in
/// order of time, `legs` start and end of the steady parts.
pub fn contradicted(
    points: &mut Vec<Point>,
    speeds: &[[f64; 2]],
    legs: &[[f64; 2]],
    rules: &SiftRules,
    aside: &mut Vec<SetAside>,
) {
    /// Length of the means of the speed, s: a turn is over in less.
    const MINUTE_S: f64 = 60.0;
    let within = |t: f64| legs.iter().any(|[from, to]| (*from..=*to).contains(&t));
    let is_stuck = |alike: &[Point]| -> bool {
        let (Some(first), Some(last)) = (alike.first(), alike.last()) else {
            return false;
        };
        let from = speeds.partition_point(|s| s[0] < first.t);
        let to = speeds.partition_point(|s| s[0] <= last.t);
        let own = speeds.get(from..to).unwrap_or_default();
        let minute = |s: &[f64; 2]| ((s[0] - first.t) / MINUTE_S).floor();
        let minutes = own.chunk_by(|a, b| minute(a).total_cmp(&minute(b)).is_eq());
        let means: Vec<f64> = minutes
            .filter_map(|m| mean(&m.iter().map(|s| s[1]).collect::<Vec<_>>()))
            .collect();
        let least = means.iter().copied().fold(f64::INFINITY, f64::min);
        let most = means.iter().copied().fold(0.0, f64::max);
        most > rules.stuck_speeds * least && alike.iter().any(|p| within(p.t))
    };
    let same = |a: &Point, b: &Point| (a.watts, a.amps, a.volts) == (b.watts, b.amps, b.volts);
    let stuck: Vec<bool> = points
        .chunk_by(same)
        .flat_map(|alike| std::iter::repeat_n(is_stuck(alike), alike.len()))
        .collect();
    let mut stuck = stuck.into_iter();
    points.retain(|p| {
        let reason = if stuck.next().unwrap_or(false) {
            "a draw that stays the same to the last digit while the boat stops"
        } else if p.watts <= 0.0 && within(p.t) {
            "no draw while the boat holds its speed on a leg"
        } else {
            return true;
        };
        count(aside, reason, p.line);
        false
    });
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn point(t: f64, volts: f64, amps: f64) -> Point {
        Point {
            t,
            watts: volts * amps,
            amps: Some(amps),
            volts: Some(volts),
            line: t as u64 + 2,
        }
    }

    /// Every fifth row reads 0 V: the mean of the others is the draw.
    #[test]
    fn rows_that_contradict_themselves_go() {
        let volts = |i: u32| if i.is_multiple_of(5) { 0.0 } else { 25.0 };
        let mut points: Vec<Point> = (0..100)
            .map(|i| point(f64::from(i), volts(i), 25.6))
            .collect();
        points.push(point(100.0, 25.0, -12.0));
        // The zero of the meter is off by a little.
        points.push(point(101.0, 25.0, -0.1));
        let mut aside = Vec::new();
        impossible(&mut points, &SiftRules::default(), &mut aside);
        let counts: Vec<_> = aside.iter().map(|a| (a.count, a.first_line)).collect();
        assert_eq!(counts, [(20, Some(2)), (1, Some(102))]);
        assert_eq!(points.len(), 81);
    }

    #[test]
    fn a_draw_stuck_through_a_stop_goes_and_one_held_through_a_turn_stays() {
        let rules = SiftRules::default();
        let speed = |t: u32, slow: f64| {
            let v = if (300..420).contains(&t) { slow } else { 1.5 };
            [f64::from(t), v]
        };
        let legs = [[0.0, 300.0], [420.0, 700.0]];
        for (slow, kept) in [(0.9, 701), (0.1, 0)] {
            let speeds: Vec<[f64; 2]> = (0..=700).map(|t| speed(t, slow)).collect();
            let mut points: Vec<Point> =
                (0..=700).map(|t| point(f64::from(t), 25.0, 10.0)).collect();
            let mut aside = Vec::new();
            contradicted(&mut points, &speeds, &legs, &rules, &mut aside);
            assert_eq!(points.len(), kept, "{slow}");
            assert_eq!(aside.iter().map(|a| a.count).sum::<usize>(), 701 - kept);
        }
        let mut points: Vec<Point> = (0..=700)
            .map(|t| {
                point(
                    f64::from(t),
                    25.0,
                    if t == 9 || t == 350 { 0.0 } else { 10.0 },
                )
            })
            .collect();
        let speeds: Vec<[f64; 2]> = (0..=700).map(|t| speed(t, 0.9)).collect();
        let mut aside = Vec::new();
        contradicted(&mut points, &speeds, &legs, &rules, &mut aside);
        assert_eq!((points.len(), aside[0].first_line), (700, Some(11)));
    }
}
