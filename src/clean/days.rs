//! Which recordings belong to one day on the water.

use jiff::Timestamp;

use super::CleanRules;
use crate::track::Recording;

/// Puts together what was recorded on one day: recordings that overlap in time, or follow one
/// another with breaks of up to [`CleanRules::night_s`].
///
/// The days are in order of time; within a day the recordings keep the order in which they were
/// given. A recording is never split. Those without fixes go with the first day.
pub fn by_day(recordings: Vec<Recording>, rules: &CleanRules) -> Vec<Vec<Recording>> {
    let mut empty = Vec::new();
    let mut spans: Vec<(Span, usize, Recording)> = recordings
        .into_iter()
        .enumerate()
        .filter_map(|(place, recording)| {
            let Some(span) = span(&recording, rules) else {
                empty.push((place, recording));
                return None;
            };
            Some((span, place, recording))
        })
        .collect();
    spans.sort_by_key(|(span, place, _)| (span.from, *place));
    let mut days: Vec<(Timestamp, Vec<(usize, Recording)>)> = Vec::new();
    for (span, place, recording) in spans {
        let is_near = |until| span.from.duration_since(until).as_secs_f64() <= rules.night_s;
        match days.last_mut().filter(|(until, _)| is_near(*until)) {
            Some((until, day)) => {
                *until = span.to.max(*until);
                day.push((place, recording));
            }
            None => days.push((span.to, vec![(place, recording)])),
        }
    }
    match days.first_mut() {
        Some((_, day)) => day.extend(empty),
        None if empty.is_empty() => {}
        None => days.push((Timestamp::UNIX_EPOCH, empty)),
    }
    days.into_iter()
        .map(|(_, mut day)| {
            day.sort_by_key(|(place, _)| *place);
            day.into_iter().map(|(_, recording)| recording).collect()
        })
        .collect()
}

struct Span {
    from: Timestamp,
    to: Timestamp,
}

/// From when to when a recording's fixes are, but for strays at either end: single false times
/// must not join one day with another.
fn span(recording: &Recording, rules: &CleanRules) -> Option<Span> {
    let segments = recording.tracks.iter().flat_map(|track| &track.segments);
    let mut times: Vec<Timestamp> = segments.flatten().map(|fix| fix.time).collect();
    let last = times.len().checked_sub(1)?;
    let strays = (rules.stray_share * last as f64) as usize;
    let (_, &mut from, _) = times.select_nth_unstable(strays);
    let (_, &mut to, _) = times.select_nth_unstable(last - strays);
    Some(Span { from, to })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fixes_at;
    use crate::track::RecordedTrack;

    const HOUR: i64 = 3600;

    fn recording(file: &str, seconds: &[i64]) -> Recording {
        Recording {
            file: file.to_owned(),
            tracks: vec![RecordedTrack {
                name: None,
                segments: vec![fixes_at(seconds)],
            }],
            ..Recording::default()
        }
    }

    #[track_caller]
    fn check(recordings: &[(&str, &[i64])], expected: &[&[&str]]) {
        let given = recordings.iter().map(|(file, at)| recording(file, at));
        let days = by_day(given.collect(), &CleanRules::default());
        let files: Vec<Vec<&str>> = days
            .iter()
            .map(|day| day.iter().map(|r| r.file.as_str()).collect())
            .collect();
        assert_eq!(files, expected);
    }

    #[test]
    fn nights_part_days_and_meals_do_not() {
        check(
            &[
                ("tuesday", &[26 * HOUR, 30 * HOUR]),
                ("monday, late", &[5 * HOUR, 7 * HOUR]),
                ("monday", &[0, 2 * HOUR]),
            ],
            &[&["monday, late", "monday"], &["tuesday"]],
        );
        check(&[("nothing", &[])], &[&["nothing"]]);
    }

    #[test]
    fn a_recording_over_several_days_holds_them_together() {
        check(
            &[
                ("all", &[0, 100 * HOUR]),
                ("inside", &[50 * HOUR, 51 * HOUR]),
                ("after", &[104 * HOUR]),
                ("apart", &[111 * HOUR]),
            ],
            &[&["all", "inside", "after"], &["apart"]],
        );
    }

    #[test]
    fn one_false_time_joins_nothing() {
        let mut times: Vec<i64> = (0..100).collect();
        times.push(1000 * HOUR);
        check(
            &[("monday", &times), ("tuesday", &[24 * HOUR])],
            &[&["monday"], &["tuesday"]],
        );
    }
}
