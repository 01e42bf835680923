//! Cleaning: days with every fault a recorder makes, and counts that add up.

use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use thereback::clean::{CleanRules, Cleaned, clean, clean_all};
use thereback::track::{Fix, Position, RecordedTrack, Recording, SetAside, Track};
use thereback::units::Speed;

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

#[track_caller]
fn cleaned(segments: Vec<Vec<Fix>>) -> Cleaned {
    let recording = recording(segments);
    let cleaned = clean(3, recording.clone(), &CleanRules::default());
    check_counts(&cleaned);
    assert_eq!(cleaned.points_met, recording.points_met);
    assert!(cleaned.tracks.iter().all(|track| track.recording() == 3));
    cleaned
}

#[track_caller]
fn check_counts(cleaned: &Cleaned) {
    let used: usize = cleaned.tracks.iter().map(|t| t.fixes().len()).sum();
    assert_eq!(used, cleaned.fixes_used);
    assert_eq!(used + aside(&cleaned.set_aside, ""), cleaned.points_met);
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
fn repeats_and_backward_points_are_counted_apart() {
    let mut day = north(0, 100, 1, 4.0);
    let again: Vec<Fix> = day.iter().skip(20).take(3).copied().collect();
    day.splice(50..50, again);
    let earlier = try_fix(-600.0, 0.0, 0.0);
    day.splice(80..80, earlier);
    let cleaned = cleaned(vec![day]);
    assert_eq!(lengths(&cleaned.tracks), [100]);
    assert_eq!(aside(&cleaned.set_aside, "repeated time"), 3);
    assert_eq!(aside(&cleaned.set_aside, "backwards"), 1);
}

#[test]
fn holes_and_the_recorders_own_breaks_part_tracks() {
    // 120 s is still one track, 121 s is two; a new segment is always another.
    let mut day = north(0, 10, 60, 4.0);
    day.extend(north(540 + 120, 10, 60, 4.0));
    day.extend(north(1200 + 121, 10, 60, 4.0));
    let cleaned = cleaned(vec![day, north(2000, 5, 1, 4.0), north(2005, 5, 1, 4.0)]);
    assert_eq!(lengths(&cleaned.tracks), [20, 10, 5, 5]);
}

#[test]
fn recorders_by_distance_and_adaptive_ones_stay_whole() {
    // 20 m apart at 0.3 m/s: 67 s; and a minute between fixes on a straight.
    assert_eq!(lengths(&cleaned(vec![north(0, 50, 67, 0.3)]).tracks), [50]);
    assert_eq!(lengths(&cleaned(vec![north(0, 50, 60, 8.0)]).tracks), [50]);
}

#[test]
fn segments_out_of_order_are_sorted_and_told() {
    let (a, b, c) = (
        north(0, 10, 1, 4.0),
        north(100, 10, 1, 4.0),
        north(200, 10, 1, 4.0),
    );
    let sorted = cleaned(vec![a.clone(), b.clone(), c.clone()]);
    let shuffled = cleaned(vec![c, a, b]);
    assert_eq!(shuffled.tracks, sorted.tracks);
    assert!(sorted.remarks.is_empty());
    assert!(shuffled.remarks.iter().any(|r| r.contains("out of order")));
}

#[test]
fn a_segment_that_runs_backwards_whole_is_turned_round() {
    let mut reversed = north(0, 50, 1, 4.0);
    reversed.reverse();
    let cleaned = cleaned(vec![reversed]);
    assert_eq!(lengths(&cleaned.tracks), [50]);
    assert!(
        cleaned
            .remarks
            .iter()
            .any(|r| r.contains("backwards as a whole"))
    );
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
    assert_eq!(lengths(&cleaned.tracks), [1000, 1000]);
    assert_eq!(aside(&cleaned.set_aside, "faster than 25 m/s"), 600);
}

#[test]
fn a_craft_faster_than_the_limit_is_told_to_raise_it() {
    let fast = vec![north(0, 300, 10, 40.0)];
    let cleaned = cleaned(fast.clone());
    assert!(
        cleaned
            .remarks
            .iter()
            .any(|r| r.contains("raise the limit"))
    );
    let rules = CleanRules {
        max_speed_m_s: 45.0,
        ..CleanRules::default()
    };
    assert_eq!(lengths(&clean(0, recording(fast), &rules).tracks), [300]);
}

#[test]
fn zero_positions_made_by_other_readers_are_left_out() {
    let mut day = north(0, 10, 1, 4.0);
    if let (Some(fix), Some(zero)) = (day.get_mut(0), Position::new(0.0, 0.0)) {
        fix.position = zero;
    }
    let cleaned = cleaned(vec![day]);
    assert_eq!(aside(&cleaned.set_aside, "position 0, 0"), 1);
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
fn speeds_in_another_unit_are_mended_and_told() {
    let mut day = north(0, 200, 1, 4.0);
    for fix in &mut day {
        fix.speed = Some(Speed::metres_per_second(14.4));
    }
    let cleaned = cleaned(vec![day]);
    assert!(cleaned.remarks.iter().any(|r| r.contains("taken as km/h")));
    let speed = cleaned
        .tracks
        .first()
        .and_then(|t| t.fixes().first()?.speed);
    assert!(speed.is_some_and(|s| (s.as_metres_per_second() - 4.0).abs() < 1e-9));
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
    let cleaned = clean(0, given.clone(), &CleanRules::default());
    check_counts(&cleaned);
    assert_eq!((cleaned.points_met, cleaned.fixes_used), (17, 10));
    assert_eq!(cleaned.remarks, ["Odd."]);
}

#[test]
fn of_two_recorders_the_denser_stands() {
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
        text.contains("max_speed_m_s = 25.0") && text.contains("max_gap_s = 120.0"),
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
        let given = [recording(segments), recording(more)];
        for recording in &given {
            check_counts(&clean(0, recording.clone(), &CleanRules::default()));
        }
        let all = clean_all(given.to_vec(), &CleanRules::default());
        prop_assert!(all.tracks.windows(2).all(|w| w[0].end() < w[1].start()));
        for (index, summary) in all.recordings.iter().enumerate() {
            let own = all.tracks.iter().filter(|t| t.recording() == index);
            prop_assert_eq!(own.map(|t| t.fixes().len()).sum::<usize>(), summary.fixes_used);
            prop_assert_eq!(summary.fixes_used + aside(&summary.set_aside, ""), summary.points_met);
        }
    }

    #[test]
    fn cleaning_what_is_clean_changes_nothing(segments in any_segments()) {
        let once = clean(0, recording(segments), &CleanRules::default());
        let again = once.tracks.iter().map(|t| t.fixes().to_vec()).collect();
        let twice = clean(0, recording(again), &CleanRules::default());
        prop_assert_eq!(twice.tracks, once.tracks);
    }

    #[test]
    fn shuffled_segments_give_the_same_tracks(
        order in Just((0..12_u32).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let day = |order: &[u32]| order.iter().map(|i| north(100 * i, 50, 1, 4.0)).collect();
        let sorted: Vec<u32> = (0..12).collect();
        prop_assert_eq!(cleaned(day(&order)).tracks, cleaned(day(&sorted)).tracks);
    }

    #[test]
    fn shuffled_fixes_never_panic(fixes in Just(north(0, 60, 1, 4.0)).prop_shuffle()) {
        prop_assert!(cleaned(vec![fixes]).fixes_used > 0);
    }

    #[test]
    fn no_rules_panic(
        segments in any_segments(),
        numbers in prop::array::uniform4(prop_oneof![Just(f64::NAN), Just(-1.0), Just(f64::INFINITY), Just(0.0)]),
    ) {
        let rules = CleanRules {
            max_speed_m_s: numbers[0],
            position_slack_m: numbers[1],
            anywhere_after_s: numbers[2],
            max_gap_s: numbers[3],
            earliest_year: i16::MIN,
            latest_year: i16::MAX,
            min_frozen_fixes: 0,
        };
        check_counts(&clean(0, recording(segments), &rules));
    }
}
