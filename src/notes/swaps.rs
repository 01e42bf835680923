//! When the notes say that a part went on, held against what the boat did.

use super::marks::{Marks, Objection, ObjectionKind};
use crate::segmenter::{DayRead, Run, Stop};

/// When each part went on, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Swaps {
    /// From when on, s, and index of the part among the names of the notes.
    from: Vec<(f64, usize)>,
}

impl Swaps {
    /// The part on the boat at a time; before the first swap, the first part.
    pub(super) fn part_at(&self, t: f64) -> usize {
        let after = self.from.partition_point(|(from, _)| *from <= t);
        self.from
            .get(after.saturating_sub(1))
            .map_or(0, |(_, part)| *part)
    }
}

/// A watch or a memory is off by up to this, s: a swap noted during a leg is taken for the stop
/// within it (common practice, no source).
const WATCH_S: f64 = 600.0;

/// Times are noted to the minute, so one may lie this far inside a leg, s.
const MINUTE_S: f64 = 60.0;

/// Stops at least this long are named to a person, s.
const NAMED_S: f64 = 60.0;

/// The swaps that the notes time; `None` where they time none that can be.
///
/// A part cannot go on in the middle of a double run: the nearest stop is taken in its place, or the
/// time is refused. It may go on between two double runs without a stop, but seldom does: such a
/// time is used and questioned.
pub(super) fn resolve(
    marks: &Marks,
    found: &DayRead,
    objections: &mut Vec<Objection>,
) -> Option<Swaps> {
    let (stops, clock) = (found.stops(), found.clock());
    let named: Vec<&Stop> = stops.iter().filter(|s| s.duration() >= NAMED_S).collect();
    let off = |stop: &Stop, t: f64| (stop.from - t).max(t - stop.to).max(0.0);
    let nearest = |t: f64| (named.iter().copied()).min_by(|a, b| off(a, t).total_cmp(&off(b, t)));
    let times = |stop: &Stop| [clock.time(stop.from), clock.time(stop.to)];
    let mut from: Vec<(f64, usize, usize)> = Vec::new();
    for ((index, mark), part) in marks.configurations.iter().enumerate().zip(marks.order()) {
        let Some(at) = mark.from else {
            // The first one needs no time: it was on the boat from the start.
            if index == 0 {
                from.push((f64::NEG_INFINITY, part, index));
            }
            continue;
        };
        let t = clock.seconds(at);
        let legs = |run: &Run| Some([found.legs.get(run.legs[0])?, found.legs.get(run.legs[1])?]);
        let runs = || found.runs.iter().filter_map(legs);
        let within = |from: f64, to: f64| from + MINUTE_S < t && t < to - MINUTE_S;
        let stop_between = |from: f64, to: f64| named.iter().any(|s| s.from < to && from < s.to);
        // In the turn of a double run the boat is as good as on the leg nearer in time.
        let turning = || {
            runs()
                .find(|[a, b]| within(a.start, b.end) && !stop_between(a.end, b.start))
                .map(|[a, b]| if t - a.end < b.start - t { a } else { b })
        };
        let under_way = runs().flatten().find(|leg| within(leg.start, leg.end));
        let during = under_way.or_else(turning);
        let Some(leg) = during else {
            from.push((t, part, index));
            let before = (found.runs.iter().rev()).find(|run| run.middle() <= t);
            let after = found.runs.iter().find(|run| run.middle() > t);
            if let Some((before, after)) = before.zip(after)
                && !stop_between(before.end, after.start)
                && let Some(stop) = nearest(t)
            {
                objections.push(Objection {
                    line: mark.line,
                    what: ObjectionKind::SwapWithoutStop {
                        name: mark.name.clone(),
                        at,
                        nearest: times(stop),
                    },
                });
            }
            continue;
        };
        let nearest = nearest(t);
        let used = nearest.filter(|stop| off(stop, t) <= WATCH_S);
        from.extend(used.map(|stop| (f64::midpoint(stop.from, stop.to), part, index)));
        objections.push(Objection {
            line: mark.line,
            what: ObjectionKind::SwapUnderWay {
                name: mark.name.clone(),
                at,
                leg: leg.number,
                span: [clock.time(leg.start), clock.time(leg.end)],
                used: used.map(times),
                nearest: nearest.map(times),
            },
        });
    }
    from.sort_by(|a, b| a.0.total_cmp(&b.0));
    if found.runs.is_empty() {
        return None;
    }
    // A part that no double run was made with went on at another time than the notes say.
    let ends = from.iter().skip(1).map(|f| f.0).chain([f64::INFINITY]);
    let spans: Vec<((f64, usize, usize), f64)> = from.iter().copied().zip(ends).collect();
    let mut kept = Vec::new();
    for (position, ((t, part, index), end)) in spans.into_iter().enumerate() {
        let begin = if position == 0 { f64::NEG_INFINITY } else { t };
        let run = found
            .runs
            .iter()
            .any(|r| begin <= r.middle() && r.middle() < end);
        let mark = marks.configurations.get(index);
        match mark.and_then(|m| Some((m, m.from?))) {
            Some((mark, at)) if !run => objections.push(Objection {
                line: mark.line,
                what: ObjectionKind::NoRunWith {
                    name: mark.name.clone(),
                    at,
                    nearest: nearest(t).map(times),
                },
            }),
            _ => kept.push((t, part)),
        }
    }
    let timed = kept.iter().any(|(t, _)| t.is_finite());
    timed.then_some(Swaps { from: kept })
}
