//! Which recordings belong to one day on the water.

use jiff::Timestamp;

use crate::track::Recording;

/// Longest break between recordings of one day, s.
///
/// Six hours: a meal, a swap ashore or a change of cards is over sooner, a night
/// lasts longer. The calendar does not decide: days on the water pass midnight
/// and time zones. Common practice, no source.
const LONGEST_BREAK_S: i64 = 6 * 3600;

/// Share of the fixes at either end of a recording that is not asked for its span: single false
/// times must not join one day with another. Our own judgement.
const STRAY_SHARE: usize = 50;

/// Puts together what was recorded on one day: recordings that overlap in time, or follow one
/// another with breaks of up to six hours.
///
/// The days are in order of time; within a day the recordings keep the order in which they were
/// given. A recording is never split. One without fixes makes no day.
pub fn by_day(recordings: Vec<Recording>) -> Vec<Vec<Recording>> {
    let mut spans: Vec<(Span, usize, Recording)> = recordings
        .into_iter()
        .enumerate()
        .filter_map(|(place, recording)| Some((span(&recording)?, place, recording)))
        .collect();
    spans.sort_by_key(|(span, place, _)| (span.from, *place));
    let mut days: Vec<Vec<(usize, Recording)>> = Vec::new();
    let mut last: Option<Timestamp> = None;
    for (span, place, recording) in spans {
        let same_day =
            last.is_some_and(|to| span.from.duration_since(to).as_secs() <= LONGEST_BREAK_S);
        last = if same_day {
            last.max(Some(span.to))
        } else {
            Some(span.to)
        };
        match days.last_mut().filter(|_| same_day) {
            Some(day) => day.push((place, recording)),
            None => days.push(vec![(place, recording)]),
        }
    }
    days.into_iter()
        .map(|mut day| {
            day.sort_by_key(|(place, _)| *place);
            day.into_iter().map(|(_, recording)| recording).collect()
        })
        .collect()
}

struct Span {
    from: Timestamp,
    to: Timestamp,
}

/// From when to when nearly all of a recording's fixes are.
fn span(recording: &Recording) -> Option<Span> {
    let segments = recording.tracks.iter().flat_map(|track| &track.segments);
    let mut times: Vec<Timestamp> = segments.flatten().map(|fix| fix.time).collect();
    let last = times.len().checked_sub(1)?;
    let strays = times.len() / STRAY_SHARE;
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
        let days = by_day(given.collect());
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
        check(&[("nothing", &[])], &[]);
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
