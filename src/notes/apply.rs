//! A day read once more with what a person said of it: corrections, swaps and names.

use jiff::Timestamp;

use super::corrections::Corrections;
use super::note::ConfigurationNote;
use super::objection::{About, Objection};
use super::resolve::Marks;
use super::when::Clock;
use crate::segmenter::{Assigned, DayRead, Known, Leg, Run, Stop};

/// Reads a day once more, its legs corrected and its parts and settings as the notes have them, and
/// names what it finds; without notes the day stays as it was read. Times in what is objected to
/// are those of `clock`.
pub fn apply(day: DayRead, marks: &Marks, clock: &Clock) -> (DayRead, Assigned, Vec<Objection>) {
    let mut objections = Vec::new();
    if marks.is_empty() {
        let assigned = day.assigned();
        return (day, assigned, objections);
    }
    let corrections = Corrections {
        notes: &marks.legs,
        clock,
    };
    let corrected = corrections.of_legs(&day, &mut objections);
    let swaps = Swaps::of(marks, &day, clock, &mut objections);
    let swaps = swaps.as_ref();
    objections.extend(swaps.and_then(|swaps| came_back(&day, marks, swaps, clock)));
    let before = day.clone();
    let settings = marks.settings.len();
    let day = day.again(corrected, |middles| Known {
        parts: swaps.map(|swaps| middles.iter().map(|t| swaps.part_at(*t)).collect()),
        order: (swaps.is_none() && marks.configurations.len() > 1).then(|| marks.order()),
        settings: (settings > 0).then_some(settings),
    });
    let mut assigned = day.assigned();
    name(&mut assigned, marks, swaps.is_some(), &mut objections);
    corrections.of_runs(&day, &mut assigned, &mut objections);
    objections.extend(corrections.unpaired(&before, &day));
    (day, assigned, objections)
}

/// Less probable readings of the track question no notes, `[0, 1]`. Common practice, no source.
const SURE: f64 = 0.8;

/// Questions a part that came back by the track, where the notes have one part on before and after
/// a stop.
fn came_back(day: &DayRead, marks: &Marks, swaps: &Swaps, clock: &Clock) -> Option<Objection> {
    let read = day.assigned();
    if read.probability.is_none_or(|p| p < SURE) {
        return None;
    }
    let parts: Vec<(usize, usize)> = (read.runs.iter().zip(&day.runs))
        .map(|(found, run)| (found.configuration, swaps.part_at(run.middle())))
        .collect();
    let is_back = |at: &usize| {
        let (Some(own), Some(last)) = (parts.get(*at), parts.get(at - 1)) else {
            return false;
        };
        own.0 != last.0 && own.1 == last.1 && parts.iter().take(at - 1).any(|p| p.0 == own.0)
    };
    let at = (1..parts.len()).find(is_back)?;
    let (own, before) = (parts.get(at)?, day.runs.get(at - 1)?);
    let first = parts.iter().find(|p| p.0 == own.0)?;
    if first.1 == own.1 {
        return None;
    }
    let run = day.runs.get(at)?;
    let stop = (day.stops().into_iter())
        .filter(|stop| stop.to > before.end && stop.from < run.start)
        .max_by(|a, b| a.duration().total_cmp(&b.duration()))?;
    let names = marks.names();
    let (name, earlier) = (*names.get(own.1)?, *names.get(first.1)?);
    let note = marks.configurations.iter().find(|note| note.name == name)?;
    let span = clock.span([stop.from, stop.to].map(|t| day.clock().time(t)));
    let what = format!(
        "after the stop from {span} the boat was as fast as with `{earlier}` again, but the notes \
         still have `{name}`; if `{earlier}` was fitted again, add a [[configuration]] with its \
         name and a time in that stop"
    );
    Some(Objection::new(note.line, About::Other, what))
}

/// The names that the notes give, where they fit what was found.
fn name(assigned: &mut Assigned, marks: &Marks, timed: bool, objections: &mut Vec<Objection>) {
    let mut object = |line: Option<usize>, named: usize, kind: &str, times: &str, found: usize| {
        let plural = if named == 1 { "" } else { "s" };
        let what = format!(
            "{named} {kind}{plural} named{times}, but the track shows {found}, so the names were \
             not used"
        );
        objections.push(Objection::new(line.unwrap_or(1), About::Other, what));
    };
    let names: Vec<String> = marks.names().into_iter().map(str::to_owned).collect();
    let found = assigned.configurations.len();
    if !names.is_empty() && (timed || names.len() == found) {
        assigned.configurations = names;
        assigned.configurations_noted = true;
    } else if !names.is_empty() && found > 0 {
        let line = marks.configurations.first().map(|c| c.line);
        object(line, names.len(), "configuration", " without times", found);
    }
    let settings = &marks.settings;
    let (named, found) = (settings.len(), assigned.settings.len());
    if named > 0 && named == found {
        assigned.settings = settings.iter().map(|s| s.name.clone()).collect();
        assigned.percents = settings.iter().map(|s| s.percent).collect();
        assigned.settings_noted = true;
    } else if named > 0 && found > 0 {
        let line = settings.first().map(|s| s.line);
        object(line, named, "setting", "", found);
    }
}

/// A watch or a memory is off by up to this, s: a swap noted during a leg is taken for the stop
/// within it (common practice, no source).
const WATCH_S: f64 = 600.0;

/// Times are noted to the minute, so one may lie this far inside a leg, s.
const MINUTE_S: f64 = 60.0;

/// Stops at least this long are named to a person, s.
const NAMED_S: f64 = 60.0;

/// When each part went on by the notes, held against what the boat did.
#[derive(Debug)]
struct Swaps {
    /// From when on, s, and index of the part among the names of the notes; in order of time.
    from: Vec<(f64, usize)>,
}

/// One swap that the notes time.
struct Swap<'a> {
    t: f64,
    part: usize,
    note: &'a ConfigurationNote<Timestamp>,
}

impl Swaps {
    /// The swaps that the notes time; `None` where they time none that can be.
    ///
    /// A part cannot go on in the middle of a double run: the nearest stop is taken in its place, or
    /// the time is refused. It may go on between two double runs without a stop, but seldom does:
    /// such a time is used and questioned.
    fn of(
        marks: &Marks,
        day: &DayRead,
        clock: &Clock,
        objections: &mut Vec<Objection>,
    ) -> Option<Self> {
        let mut stops = day.stops();
        stops.retain(|stop| stop.duration() >= NAMED_S);
        let off = |stop: &Stop, t: f64| (stop.from - t).max(t - stop.to).max(0.0);
        let nearest = |t: f64| stops.iter().min_by(|a, b| off(a, t).total_cmp(&off(b, t)));
        let times = |from: f64, to: f64| [from, to].map(|t| day.clock().time(t));
        let idle = |t: f64| match nearest(t) {
            Some(stop) => format!(
                "the boat lay idle {}",
                clock.about(times(stop.from, stop.to))
            ),
            None => "the track shows no stop".to_owned(),
        };
        let mut swaps: Vec<Swap> = Vec::new();
        for (index, (note, part)) in marks.configurations.iter().zip(marks.order()).enumerate() {
            let Some(at) = note.from else {
                // The first one needs no time: it was on the boat from the start.
                if index == 0 {
                    let t = f64::NEG_INFINITY;
                    swaps.push(Swap { t, part, note });
                }
                continue;
            };
            let t = day.clock().seconds(at);
            let missed = format!(
                "no stop at {}, when `{}` was to be fitted",
                clock.shown(at),
                note.name
            );
            let under_way = under_way(day, &stops, t);
            let used = nearest(t).filter(|stop| off(stop, t) <= WATCH_S);
            let (about, what) = match (under_way, used) {
                (None, _) if is_between_runs_without_stop(day, &stops, t) && !stops.is_empty() => {
                    swaps.push(Swap { t, part, note });
                    let what = format!("{missed}; {}; the time was used as it is", idle(t));
                    (About::Other, what)
                }
                (None, _) => {
                    swaps.push(Swap { t, part, note });
                    continue;
                }
                (Some(leg), Some(used)) => {
                    let t = f64::midpoint(used.from, used.to);
                    swaps.push(Swap { t, part, note });
                    let what = format!(
                        "{missed}: leg {} was under way, {}; the stop from {} was taken instead",
                        leg.number,
                        clock.span(times(leg.start, leg.end)),
                        clock.about(times(used.from, used.to))
                    );
                    (About::Other, what)
                }
                (Some(leg), None) => {
                    let what = format!(
                        "{missed}: leg {} was under way, {}; {}, so the time was not used",
                        leg.number,
                        clock.span(times(leg.start, leg.end)),
                        idle(t)
                    );
                    (About::MissedSwap, what)
                }
            };
            objections.push(Objection::new(note.line, about, what));
        }
        swaps.sort_by(|a, b| a.t.total_cmp(&b.t));
        if day.runs.is_empty() {
            return None;
        }
        // A part that no double run was made with went on at another time than the notes say.
        let ends: Vec<f64> = swaps.iter().skip(1).map(|swap| swap.t).collect();
        let ends = ends.into_iter().chain([f64::INFINITY]);
        let mut from = Vec::new();
        for (index, (swap, end)) in swaps.iter().zip(ends).enumerate() {
            let begin = if index == 0 {
                f64::NEG_INFINITY
            } else {
                swap.t
            };
            let ran = |run: &Run| begin <= run.middle() && run.middle() < end;
            match swap.note.from {
                Some(at) if !day.runs.iter().any(ran) => {
                    let (name, at) = (&swap.note.name, clock.shown(at));
                    let what = format!(
                        "no double run was made with `{name}`, which was to be fitted at {at}; {}",
                        idle(swap.t)
                    );
                    objections.push(Objection::new(swap.note.line, About::MissedSwap, what));
                }
                _ => from.push((swap.t, swap.part)),
            }
        }
        from.iter()
            .any(|(t, _)| t.is_finite())
            .then_some(Self { from })
    }

    /// The part on the boat at a time; before the first swap, the first part.
    fn part_at(&self, t: f64) -> usize {
        let after = self.from.partition_point(|(from, _)| *from <= t);
        let swap = self.from.get(after.saturating_sub(1));
        swap.map_or(0, |(_, part)| *part)
    }
}

fn has_stop(stops: &[Stop], from: f64, to: f64) -> bool {
    stops.iter().any(|s| s.from < to && from < s.to)
}

/// The leg of a double run that was under way at a time, well inside it; in the turn the boat is as
/// good as on the leg nearer in time.
fn under_way<'a>(day: &'a DayRead, stops: &[Stop], t: f64) -> Option<&'a Leg> {
    let legs = |run: &Run| Some([day.legs.get(run.legs[0])?, day.legs.get(run.legs[1])?]);
    let runs = || day.runs.iter().filter_map(legs);
    let within = |from: f64, to: f64| from + MINUTE_S < t && t < to - MINUTE_S;
    let on_leg = runs().flatten().find(|leg| within(leg.start, leg.end));
    on_leg.or_else(|| {
        let [a, b] =
            runs().find(|[a, b]| within(a.start, b.end) && !has_stop(stops, a.end, b.start))?;
        Some(if t - a.end < b.start - t { a } else { b })
    })
}

fn is_between_runs_without_stop(day: &DayRead, stops: &[Stop], t: f64) -> bool {
    let before = (day.runs.iter().rev()).find(|run| run.middle() <= t);
    let after = day.runs.iter().find(|run| run.middle() > t);
    let between = before.zip(after);
    between.is_some_and(|(before, after)| !has_stop(stops, before.end, after.start))
}
