//! The offset of a log's clock, found where the draw and the speed step together.
//!
//! Both are put into 10 s means; the lag at which they correlate best is the offset. It is believed
//! where the best correlation is high and no other lag comes near it: a boat that runs alike all day
//! fits in many places, and then no offset is given.

use serde::Serialize;

/// How the offset is sought.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AlignRules {
    /// Length of the means compared, s.
    pub mean_s: f64,
    /// Largest offset sought, s: clocks in another time zone are up to 14 h away, and wrong by some minutes.
    pub farthest_s: f64,
    /// Least correlation that is believed. On the lake sample and two made-up draws the true lag gave 0.9 and more.
    pub least_correlation: f64,
    /// Lags further than this from the best one, s, are rivals: nearer ones share its peak, for legs last minutes.
    pub apart_s: f64,
    /// How much less a rival must correlate. Source: the lake sample and two made-up draws, on which the nearest rival of
    /// trials with several settings and a swap lay 0.1 and more below.
    pub least_margin: f64,
    /// Share of the log, or of the track where that is shorter, that must lie over the other at a lag.
    pub least_overlap: f64,
}

impl Default for AlignRules {
    fn default() -> Self {
        Self {
            mean_s: 10.0,
            farthest_s: 15.0 * 3600.0,
            least_correlation: 0.6,
            apart_s: 60.0,
            least_margin: 0.05,
            least_overlap: 0.6,
        }
    }
}

/// An offset found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aligned {
    /// To be added to the log's times, s.
    pub offset_s: f64,
    /// Correlation of draw and speed there.
    pub correlation: f64,
    /// How much less the best rival correlates.
    pub margin: f64,
}

/// Why none is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NotAligned {
    /// Too little of log or track, or one of them does not change.
    NoSteps,
    /// The draw follows the speed nowhere.
    NoMatch {
        /// Best correlation.
        correlation: f64,
    },
    /// Several lags fit as well.
    Ambiguous {
        /// How much less the best rival correlates.
        margin: f64,
    },
}

/// Fewest means that must lie over each other: five minutes.
const FEWEST: usize = 30;

/// Most bins of a series: a week of 10 s means.
const MOST_BINS: f64 = 60_480.0;

/// Finds what to add to the times of `draw` so that it follows `speed`; both pairs of time (s) and
/// value, in order of time.
///
/// # Errors
/// [`NotAligned`] where nothing fits, or several lags do.
pub fn align(
    draw: &[[f64; 2]],
    speed: &[[f64; 2]],
    rules: &AlignRules,
) -> Result<Aligned, NotAligned> {
    let step = rules.mean_s;
    let (Some(draw), Some(speed)) = (Binned::new(draw, step), Binned::new(speed, step)) else {
        return Err(NotAligned::NoSteps);
    };
    let needed = (rules.least_overlap * draw.known.min(speed.known) as f64) as usize;
    // So many bins to add to the draw's clock, whole bins apart.
    let apart = speed.first - draw.first;
    let most = (rules.farthest_s / step) as i64;
    let mut found: Vec<(i64, f64)> = Vec::new();
    for lag in -most..=most {
        if let Some(r) = correlation(&draw, &speed, lag - apart, needed.max(FEWEST)) {
            found.push((lag, r));
        }
    }
    let best = found
        .iter()
        .copied()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .ok_or(NotAligned::NoSteps)?;
    if best.1 < rules.least_correlation {
        return Err(NotAligned::NoMatch {
            correlation: best.1,
        });
    }
    let rival = found
        .iter()
        .filter(|(lag, _)| ((lag - best.0) as f64 * step).abs() > rules.apart_s)
        .map(|(_, r)| *r)
        .fold(0.0, f64::max);
    let margin = best.1 - rival;
    if margin < rules.least_margin {
        return Err(NotAligned::Ambiguous { margin });
    }
    let at = |lag: i64| found.iter().find(|(l, _)| *l == lag).map(|(_, r)| *r);
    // The top of the parabola through the peak and its neighbours.
    let shift = match (at(best.0 - 1), at(best.0 + 1)) {
        (Some(before), Some(after)) => {
            let bend = before - 2.0 * best.1 + after;
            if bend < 0.0 {
                (0.5 * (before - after) / bend).clamp(-0.5, 0.5)
            } else {
                0.0
            }
        }
        _ => 0.0,
    };
    Ok(Aligned {
        offset_s: (best.0 as f64 + shift) * step,
        correlation: best.1,
        margin,
    })
}

/// Means over whole steps of time; `None` in bins without a value.
struct Binned {
    /// Number of the first bin since 1970.
    first: i64,
    values: Vec<Option<f64>>,
    known: usize,
}

impl Binned {
    fn new(points: &[[f64; 2]], step: f64) -> Option<Self> {
        let (first, last) = (points.first()?, points.last()?);
        let first = (first[0] / step).floor();
        let count = (last[0] / step).floor() - first + 1.0;
        if !(1.0..=MOST_BINS).contains(&count) {
            return None;
        }
        let mut sums = vec![(0.0, 0_u32); count as usize];
        for [t, value] in points {
            let place = (t / step).floor() - first;
            if let Some((sum, n)) = sums.get_mut(place as usize) {
                *sum += value;
                *n += 1;
            }
        }
        let values: Vec<Option<f64>> = sums
            .into_iter()
            .map(|(sum, n)| (n > 0).then(|| sum / f64::from(n)))
            .collect();
        let known = values.iter().flatten().count();
        (known >= FEWEST).then_some(Self {
            first: first as i64,
            values,
            known,
        })
    }
}

/// Correlation of the draw, moved by so many bins, with the speed where both are known.
fn correlation(draw: &Binned, speed: &Binned, moved: i64, needed: usize) -> Option<f64> {
    let (mut n, mut sx, mut sy, mut sxx, mut syy, mut sxy) = (0_usize, 0.0, 0.0, 0.0, 0.0, 0.0);
    let from = usize::try_from(-moved).unwrap_or(0);
    for (place, value) in draw.values.iter().enumerate().skip(from) {
        let other = i64::try_from(place).map(|place| place + moved);
        let Ok(other) = other.and_then(usize::try_from) else {
            continue;
        };
        if other >= speed.values.len() {
            break;
        }
        let (Some(x), Some(Some(y))) = (value, speed.values.get(other)) else {
            continue;
        };
        n += 1;
        sx += x;
        sy += y;
        sxx += x * x;
        syy += y * y;
        sxy += x * y;
    }
    if n < needed {
        return None;
    }
    let count = n as f64;
    let (vx, vy) = (sxx - sx * sx / count, syy - sy * sy / count);
    let r = (sxy - sx * sy / count) / (vx * vy).sqrt();
    (vx > 0.0 && vy > 0.0 && r.is_finite()).then_some(r)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn series(steps: &[(u32, f64)], start: f64) -> Vec<[f64; 2]> {
        let mut points = Vec::new();
        for (seconds, value) in steps {
            for _ in 0..*seconds {
                let t = start + points.len() as f64;
                // A little unrest, so that nothing is constant.
                let value = value + 0.01 * (t * 0.7).sin();
                points.push([t, value]);
            }
        }
        points
    }

    #[test]
    fn steps_tell_the_offset() {
        let day = [
            (300, 0.1),
            (240, 1.5),
            (70, 0.4),
            (250, 1.5),
            (400, 0.2),
            (200, 2.2),
            (60, 0.4),
            (210, 2.2),
            (600, 0.1),
        ];
        let speed = series(&day, 1_000_000.0);
        let draw: Vec<[f64; 2]> = speed
            .iter()
            .map(|[t, v]| [t - 3725.0, 40.0 * v.max(0.0).powi(3)])
            .collect();
        let found = align(&draw, &speed, &AlignRules::default()).unwrap();
        assert!((found.offset_s - 3725.0).abs() < 5.0, "{found:?}");
    }

    #[test]
    fn a_day_that_repeats_itself_is_refused() {
        let day: Vec<(u32, f64)> = (0..12).flat_map(|_| [(200, 1.5), (60, 0.2)]).collect();
        let speed = series(&day, 0.0);
        let draw: Vec<[f64; 2]> = speed.iter().map(|[t, v]| [t + 40.0, *v]).collect();
        let found = align(&draw, &speed, &AlignRules::default());
        assert!(
            matches!(found, Err(NotAligned::Ambiguous { .. })),
            "{found:?}"
        );
    }
}
