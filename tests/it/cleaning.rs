//! Cleaning: days with every fault a recorder makes, and counts that add up.

use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use thereback::clean::{CleanRules, CleanedAll, RecordingSummary, clean_all};
use thereback::track::{Fix, Position, RecordedTrack, Recording, SetAside, Track};

/// Metres in a degree of latitude on the sphere of mean radius.
const METRES_PER_DEGREE: f64 = 6_371_008.8 * std::f64::consts::PI / 180.0;

fn start() -> Timestamp {
    Timestamp::from_second(1_938_330_720).unwrap_or_default()
}

fn try_fix(second: f64, north_m: f64, east_m: f64) -> Option<Fix> {
    let latitude = 57.7 + north_m / METRES_PER_DEGREE;
    let longitude = 11.9 + east_m / METRES_PER_DEGREE / 57.7_f64.to_radians().cos();
    Some(Fix::bare(
        start() + SignedDuration::from_secs_f64(second),
        Position::new(latitude, longitude)?,
    ))
}

/// North at `speed_m_s`, a fix every `every_s`, from second `from` on.
fn north(from: u32, count: u32, every_s: u32, speed_m_s: f64) -> Vec<Fix> {
    let seconds = (0..count).map(|i| f64::from(from + i * every_s));
    seconds
        .filter_map(|s| try_fix(s, speed_m_s * s, 0.0))
        .collect()
}

fn recording(segments: Vec<Vec<Fix>>) -> Recording {
    Recording {
        file: "day.gpx".to_owned(),
        points_met: segments.iter().map(Vec::len).sum(),
        tracks: vec![RecordedTrack {
            name: None,
            segments,
        }],
        ..Recording::default()
    }
}

/// One recording, cleaned.
#[derive(Debug)]
struct Cleaned {
    tracks: Vec<Track>,
    set_aside: Vec<SetAside>,
    remarks: Vec<String>,
}

#[track_caller]
fn cleaned(segments: Vec<Vec<Fix>>) -> Cleaned {
    cleaned_by(&[recording(segments)], &CleanRules::default())
}

#[track_caller]
fn cleaned_by(recordings: &[Recording], rules: &CleanRules) -> Cleaned {
    let all = clean_all(recordings.to_vec(), rules);
    check_counts(&all, recordings);
    let RecordingSummary {
        set_aside, remarks, ..
    } = all.recordings.first().cloned().unwrap_or_default();
    Cleaned {
        tracks: all.tracks,
        set_aside,
        remarks,
    }
}

/// Tracks in order, none at the time of another, and of each recording every point counted.
#[track_caller]
fn check_counts(all: &CleanedAll, given: &[Recording]) {
    assert!(all.tracks.windows(2).all(|w| w[0].end() < w[1].start()));
    assert_eq!(all.recordings.len(), given.len());
    for (index, (summary, given)) in all.recordings.iter().zip(given).enumerate() {
        let own = all.tracks.iter().filter(|t| t.recording() == index);
        assert_eq!(
            own.map(|t| t.fixes().len()).sum::<usize>(),
            summary.fixes_used
        );
        assert_eq!(
            summary.fixes_used + aside(&summary.set_aside, ""),
            summary.points_met
        );
        assert_eq!(
            summary.points_met,
            given.points_met + aside(&given.set_aside, "")
        );
    }
}

/// How many were set aside for reasons that contain `word`.
fn aside(set_aside: &[SetAside], word: &str) -> usize {
    let for_it = set_aside.iter().filter(|s| s.reason.contains(word));
    for_it.map(|s| s.count).sum()
}

fn lengths(tracks: &[Track]) -> Vec<usize> {
    tracks.iter().map(|t| t.fixes().len()).collect()
}

#[test]
fn a_clean_day_goes_through_untouched() {
    let day = north(0, 28_800, 1, 4.0);
    let cleaned = cleaned(vec![day.clone()]);
    assert_eq!(
        cleaned.tracks.first().map(Track::fixes),
        Some(day.as_slice())
    );
    assert!(cleaned.set_aside.is_empty() && cleaned.remarks.is_empty());
}

#[test]
fn nothing_gives_nothing() {
    assert!(cleaned(vec![]).tracks.is_empty());
    assert!(cleaned(vec![vec![]]).tracks.is_empty());
    let alone = cleaned(vec![north(0, 1, 1, 4.0)]);
    assert_eq!(
        (alone.tracks.len(), aside(&alone.set_aside, "alone")),
        (0, 1)
    );
}

#[test]
fn repeats_are_set_aside_and_disorder_is_sorted() {
    let day = north(0, 100, 1, 4.0);
    let mut given = day.clone();
    given.extend_from_within(20..23);
    given.swap(50, 60);
    let cleaned = cleaned(vec![given]);
    assert_eq!(cleaned.tracks.first().map(Track::fixes), Some(&day[..]));
    assert_eq!(aside(&cleaned.set_aside, "repeated time"), 3);
    assert_eq!(
        cleaned.remarks,
        ["13 of 103 fixes were out of order in time and were sorted."]
    );
}

#[test]
fn long_holes_part_tracks_and_the_recorders_own_segments_do_not() {
    // A hole of 600 s is within a track, one of 601 s parts two.
    let segments = vec![
        north(0, 10, 60, 4.0),
        north(540 + 600, 10, 1, 4.0),
        north(1150, 10, 1, 4.0),
        north(1159 + 601, 10, 1, 4.0),
    ];
    assert_eq!(lengths(&cleaned(segments).tracks), [30, 10]);
}

#[test]
fn tracks_that_follow_one_another_are_joined_in_any_order() {
    let mut given = recording(vec![north(100, 50, 1, 4.0)]);
    given
        .tracks
        .extend(recording(vec![north(0, 100, 1, 4.0)]).tracks);
    let whole = cleaned(vec![north(0, 150, 1, 4.0)]);
    let parts = clean_all(vec![given], &CleanRules::default());
    assert_eq!(parts.tracks, whole.tracks);
    assert!(parts.recordings.iter().all(|r| r.remarks.is_empty()));
}

#[test]
fn recorders_by_distance_and_adaptive_ones_stay_whole() {
    // 20 m apart at 0.3 m/s: 67 s; and a minute between fixes on a straight.
    assert_eq!(lengths(&cleaned(vec![north(0, 50, 67, 0.3)]).tracks), [50]);
    assert_eq!(lengths(&cleaned(vec![north(0, 50, 60, 8.0)]).tracks), [50]);
    // Idle for half an hour, and for a night.
    let idle = |hole_s: f64| {
        let mut day = north(0, 50, 5, 2.0);
        let start = day.clone();
        day.extend(start.into_iter().rev().enumerate().map(|(i, mut fix)| {
            let second = 245.0 + hole_s + 5.0 * i as f64;
            fix.time = self::start() + SignedDuration::from_secs_f64(second);
            fix
        }));
        lengths(&cleaned(vec![day]).tracks)
    };
    assert_eq!(idle(1800.0), [100]);
    assert_eq!(idle(12.0 * 3600.0), [50, 50]);
}

#[test]
fn segments_out_of_order_or_backwards_are_sorted_with_a_remark() {
    let parts = || (0..3).map(|i| north(100 * i, 10, 1, 4.0));
    let in_order = cleaned(parts().collect());
    assert!(in_order.remarks.is_empty());
    let backwards = |mut segment: Vec<Fix>| {
        segment.reverse();
        segment
    };
    for given in [parts().rev().collect(), parts().map(backwards).collect()] {
        let sorted = cleaned(given);
        assert_eq!(sorted.tracks, in_order.tracks);
        assert!(sorted.remarks.iter().any(|r| r.contains("were sorted")));
    }
}

#[test]
fn interference_in_hundreds_of_tiny_segments_is_left_out() {
    let mut segments = vec![north(0, 1000, 1, 4.0)];
    for i in 0..200_u32 {
        let from = 1000 + 3 * i;
        let place = 200_000.0 + 5000.0 * f64::from(i % 9);
        let at = |s: u32| try_fix(f64::from(from + s), place, place);
        segments.push((0..3).filter_map(at).collect());
    }
    segments.push(north(1600, 1000, 1, 4.0));
    // Some of them out of order.
    segments.swap(10, 150);
    segments.swap(20, 199);
    let cleaned = cleaned(segments);
    // The hole that they leave is ten minutes and a second long.
    assert_eq!(lengths(&cleaned.tracks), [1000, 1000]);
    assert_eq!(aside(&cleaned.set_aside, "faster than 25 m/s"), 600);
}

#[test]
fn a_craft_faster_than_the_limit_gets_a_remark() {
    let fast = vec![north(0, 300, 10, 40.0)];
    let cleaned = cleaned(fast.clone());
    assert!(
        cleaned
            .remarks
            .iter()
            .any(|r| r.contains("raise `max_speed_m_s`"))
    );
    let rules = CleanRules {
        max_speed_m_s: 45.0,
        ..CleanRules::default()
    };
    assert_eq!(
        lengths(&cleaned_by(&[recording(fast)], &rules).tracks),
        [300]
    );
}

#[test]
fn a_boat_that_goes_on_elsewhere_gets_another_track() {
    let mut day = north(0, 1000, 1, 4.0);
    day.extend((1000..2000).filter_map(|s| try_fix(f64::from(s), 4.0 * f64::from(s), 5000.0)));
    let cleaned = cleaned(vec![day]);
    assert_eq!(lengths(&cleaned.tracks), [1000, 1000]);
    assert!(cleaned.set_aside.is_empty());
}

#[test]
fn a_boat_lying_still_keeps_its_fixes() {
    let still: Vec<Fix> = (0..600)
        .filter_map(|s| try_fix(f64::from(s), 0.0, 0.0))
        .collect();
    let cleaned = cleaned(vec![still]);
    assert_eq!(lengths(&cleaned.tracks), [600]);
    assert!(cleaned.remarks.is_empty());
}

#[test]
fn what_the_reader_set_aside_and_remarked_stays() {
    let mut given = recording(vec![north(0, 10, 1, 4.0)]);
    given.set_aside.push(SetAside {
        reason: "no time".to_owned(),
        count: 7,
        first_line: Some(12),
    });
    given.remarks.push("Odd.".to_owned());
    let cleaned = cleaned_by(&[given], &CleanRules::default());
    assert_eq!(lengths(&cleaned.tracks), [10]);
    assert_eq!(aside(&cleaned.set_aside, "no time"), 7);
    assert_eq!(cleaned.remarks, ["Odd."]);
}

#[test]
fn of_two_recorders_the_denser_is_used() {
    let plotter = recording(vec![north(0, 200, 10, 4.0)]);
    let handheld = recording(vec![north(505, 500, 1, 4.0)]);
    let all = clean_all(vec![plotter, handheld], &CleanRules::default());
    assert_eq!(lengths(&all.tracks), [51, 500, 99]);
    assert_eq!(
        all.tracks.iter().map(Track::recording).collect::<Vec<_>>(),
        [0, 1, 0]
    );
    let plotter = all.recordings.first();
    assert_eq!(plotter.map(|s| s.fixes_used), Some(150));
    assert_eq!(
        plotter.map(|s| aside(&s.set_aside, "recorded twice")),
        Some(50)
    );
    assert_eq!(
        plotter.map(|s| s.remarks.as_slice()),
        Some(
            &[
                "Over 8.3 minutes `day.gpx` was recording too and was used instead: \
                it has more fixes."
                    .to_owned()
            ][..]
        )
    );
}

#[test]
fn two_recorders_in_one_file_are_not_mixed_and_fill_each_others_holes() {
    let mut plotter = north(0, 600, 1, 4.0);
    plotter.drain(200..350);
    let mut given = recording(vec![plotter]);
    let beside = (0..600).filter_map(|s| try_fix(f64::from(s) + 0.5, 4.0 * f64::from(s), 6.0));
    given
        .tracks
        .extend(recording(vec![beside.collect()]).tracks);
    given.points_met = 450 + 600;
    let cleaned = cleaned_by(&[given], &CleanRules::default());
    // The other one begins half a second behind the hole, and stays in use.
    assert_eq!(lengths(&cleaned.tracks), [601]);
    let changes = cleaned.tracks[0].fixes().windows(2);
    let changes = changes.filter(|w| w[1].time.duration_since(w[0].time).as_millis() != 1000);
    assert_eq!(changes.count(), 1);
}

#[test]
fn the_same_file_given_twice_counts_once() {
    let day = recording(vec![north(0, 100, 1, 4.0)]);
    let all = clean_all(vec![day.clone(), day], &CleanRules::default());
    assert_eq!(lengths(&all.tracks), [100]);
    assert_eq!(
        all.recordings
            .iter()
            .map(|s| s.fixes_used)
            .collect::<Vec<_>>(),
        [100, 0]
    );
}

#[test]
fn rules_are_written_and_read_back_and_a_misspelt_one_is_refused() -> Result<(), toml::de::Error> {
    let rules = CleanRules::default();
    let text = toml::to_string(&rules).unwrap_or_default();
    assert!(
        text.contains("max_speed_m_s = 25.0") && text.contains("hole_s = 120.0"),
        "{text}"
    );
    assert_eq!(toml::from_str::<CleanRules>(&text)?, rules);
    assert_eq!(toml::from_str::<CleanRules>("")?, rules);
    assert!(toml::from_str::<CleanRules>("max_sped_m_s = 1.0").is_err());
    Ok(())
}

/// Any fixes at all, near and far, in any order.
fn any_segments() -> impl Strategy<Value = Vec<Vec<Fix>>> {
    let place = prop_oneof![-2000.0_f64..2000.0, -3e6_f64..3e6];
    let fix = (0_u32..4000, place.clone(), place)
        .prop_filter_map("in range", |(s, n, e)| try_fix(f64::from(s), n, e));
    prop::collection::vec(prop::collection::vec(fix, 0..40), 0..8)
}

proptest! {
    #[test]
    fn counts_add_up_whatever_is_given(segments in any_segments(), more in any_segments()) {
        let mut given = recording(segments);
        given.tracks.extend(recording(more.clone()).tracks);
        given.points_met += more.iter().map(Vec::len).sum::<usize>();
        cleaned_by(&[given, recording(more)], &CleanRules::default());
    }

    #[test]
    fn cleaning_what_is_clean_changes_nothing(segments in any_segments()) {
        let once = cleaned(segments);
        let again = once.tracks.iter().map(|t| t.fixes().to_vec()).collect();
        let twice = cleaned(again);
        prop_assert_eq!(twice.tracks, once.tracks);
        prop_assert!(twice.set_aside.is_empty());
    }

    #[test]
    fn order_and_segments_make_no_difference(
        order in Just((0..300_u32).collect::<Vec<_>>()).prop_shuffle(),
        mut cuts in prop::collection::vec(0_usize..300, 0..12),
    ) {
        let day = north(0, 300, 1, 4.0);
        let fixes: Vec<Fix> = order.iter().map(|&i| day[i as usize]).collect();
        cuts.extend([0, 300]);
        cuts.sort_unstable();
        let segments = cuts.windows(2).map(|w| fixes[w[0]..w[1]].to_vec()).collect();
        prop_assert_eq!(cleaned(segments).tracks, cleaned(vec![day]).tracks);
    }

    #[test]
    fn what_is_kept_has_no_impossible_step(segments in any_segments()) {
        for track in cleaned(segments).tracks {
            for pair in track.fixes().windows(2) {
                let [a, b] = [pair[0], pair[1]].map(|fix| fix.position);
                let north = (b.latitude() - a.latitude()) * METRES_PER_DEGREE;
                let seconds = pair[1].time.duration_since(pair[0].time).as_secs_f64();
                prop_assert!(north.abs() <= 25.0 * seconds + 15.0 + 1e-6);
            }
        }
    }

    #[test]
    fn no_rules_panic(
        segments in any_segments(),
        numbers in prop::array::uniform7(prop_oneof![
            Just(f64::NAN), Just(-1.0), Just(f64::INFINITY), Just(0.0), Just(1e300), Just(10.0)
        ]),
    ) {
        let rules = CleanRules {
            max_speed_m_s: numbers[0],
            position_slack_m: numbers[1],
            hole_s: numbers[2],
            break_after_s: numbers[3],
            clearly_better: numbers[4],
            credible_years: [i16::MIN, i16::MAX],
            night_s: numbers[5],
            stray_share: numbers[6],
        };
        cleaned_by(&[recording(segments.clone()), recording(segments)], &rules);
    }
}
