//! Split, shifted, moved, mirrored, doubled, exported and read again: the day stays the day.

use std::fmt::Write as _;

use jiff::{SignedDuration, Timestamp};
use thereback::parser::read;
use thereback::report::data::{legs_geojson, legs_gpx};
use thereback::simulate::GpxStyle;
use thereback::track::{Fix, RecordedTrack};
use thereback::trial::Trial;
use thereback::units::Bearing;

use crate::properties::{
    Allowed, SEEDS, SPEED_SHARE, analysed, at_longitude, day, moved, recording, same,
};
use crate::reading::fixes;
use crate::reading_nmea_any::rmc;

#[test]
fn a_shift_in_time_shifts_the_times_alone() {
    // Whole weeks and an odd number of seconds: no clock shows the same.
    let later = SignedDuration::from_secs(3 * 604_800 + 4321);
    for seed in SEEDS {
        let segments = day(seed).segments;
        let shifted = moved(&segments, |fix| Fix {
            time: fix.time + later,
            ..fix
        });
        let before = analysed(&[recording("a", segments)]);
        let after = analysed(&[recording("a", shifted)]);
        same(
            &before,
            &after,
            Allowed {
                later,
                ..Allowed::ROUNDING
            },
        );
    }
}

#[test]
fn a_move_along_the_parallel_changes_nothing() {
    for seed in SEEDS {
        let segments = day(seed).segments;
        let before = analysed(&[recording("a", segments.clone())]);
        // The second one lies across the date line.
        let first = segments[0][0].position.longitude();
        for by in [-7.0, (180.0 - first).round()] {
            let elsewhere = moved(&segments, |fix| {
                let longitude = fix.position.longitude() + by;
                at_longitude(fix, (longitude + 180.0).rem_euclid(360.0) - 180.0)
            });
            let after = analysed(&[recording("a", elsewhere)]);
            // Doubles are a little coarser at 180 degrees than at 10.
            let allowed = Allowed {
                ends_s: 20.0,
                speed_share: SPEED_SHARE,
                ..Allowed::ROUNDING
            };
            same(&before, &after, allowed);
        }
    }
}

#[test]
fn a_mirror_mirrors_courses_alone() {
    for seed in SEEDS {
        let segments = day(seed).segments;
        let middle = segments[0][0].position.longitude();
        let mirrored = moved(&segments, |fix| Fix {
            course: fix
                .course
                .and_then(|course| Bearing::new(-course.degrees())),
            ..at_longitude(fix, 2.0 * middle - fix.position.longitude())
        });
        let before = analysed(&[recording("a", segments)]);
        let after = analysed(&[recording("a", mirrored)]);
        let allowed = Allowed {
            mirrored: true,
            ends_s: 20.0,
            speed_share: SPEED_SHARE,
            ..Allowed::ROUNDING
        };
        same(&before, &after, allowed);
    }
}

#[test]
fn fixes_written_twice_change_nothing() {
    for seed in SEEDS {
        let segments = day(seed).segments;
        let doubled: Vec<Vec<Fix>> = segments
            .iter()
            .map(|segment| {
                let copies = |(at, fix): (usize, &Fix)| vec![*fix; 1 + usize::from(at % 3 == 0)];
                segment.iter().enumerate().flat_map(copies).collect()
            })
            .collect();
        let before = analysed(&[recording("a", segments)]);
        let after = analysed(&[recording("a", doubled)]);
        assert!(after.tracks[0].fixes_read > before.tracks[0].fixes_read);
        assert_eq!(after.tracks[0].fixes_used, before.tracks[0].fixes_used);
        same(&before, &after, Allowed::ROUNDING);
    }
}

#[test]
fn recorded_speeds_and_courses_measure_nothing() {
    for seed in SEEDS {
        let segments = day(seed).segments;
        let bare = moved(&segments, |fix| Fix::bare(fix.time, fix.position));
        let before = analysed(&[recording("a", segments)]);
        let after = analysed(&[recording("a", bare)]);
        assert!(
            after
                .legs
                .iter()
                .all(|leg| leg.recorded_speed_m_s.is_none())
        );
        same(&before, &after, Allowed::ROUNDING);
    }
}

/// The fixes in `parts` pieces of about the same length.
fn pieces(segments: &[Vec<Fix>], parts: usize) -> Vec<Vec<Fix>> {
    let all: Vec<Fix> = segments.concat();
    all.chunks(all.len().div_ceil(parts))
        .map(<[Fix]>::to_vec)
        .collect()
}

/// Checks that each leg that counts and that no cut comes near is a leg of the day in pieces too.
#[track_caller]
fn same_but_at_cuts(whole: &Trial, parts: &Trial, cuts: &[Timestamp]) {
    /// A cut nearer than this may move a leg's end, s.
    const NEAR_S: f64 = 60.0;
    /// Ends within this are the same end, s: the scale of the misfit is the track's own, and a slow
    /// boat's turn has no sharp beginning (25 s at 0.95 m/s was met on these days).
    const ENDS_S: f64 = 30.0;
    /// The approach is fitted over all legs, so a leg cut in two changes where all others are steady,
    /// and by that their speeds: within what they are uncertain by, in standard errors.
    const ERRORS: f64 = 2.0;
    let apart = |a: Timestamp, b: Timestamp| b.duration_since(a).as_secs_f64();
    let (mut compared, mut gone) = (0, 0);
    let counted = || whole.legs.iter().filter(|leg| leg.included);
    for leg in counted() {
        let near =
            |cut: &Timestamp| apart(leg.start, *cut) > -NEAR_S && apart(*cut, leg.end) > -NEAR_S;
        let measured = leg.speed_m_s.zip(leg.speed_se_m_s);
        let Some((speed, error)) = measured.filter(|_| !cuts.iter().any(near)) else {
            continue;
        };
        let again = parts.legs.iter().find(|other| {
            apart(leg.start, other.start).abs() <= ENDS_S
                && apart(leg.end, other.end).abs() <= ENDS_S
        });
        // Of a stretch that may be one leg or two the search takes what the whole day makes likelier,
        // and a cut changes the day.
        let Some(again) = again else {
            gone += 1;
            continue;
        };
        let errors = again.speed_m_s.map(|other| (other - speed).abs() / error);
        assert!(
            errors.is_some_and(|errors| errors < ERRORS),
            "leg {}: {speed} m/s, {errors:?} errors off",
            leg.leg
        );
        compared += 1;
    }
    assert!(gone <= 2, "{gone} legs are gone");
    assert!(
        2 * compared >= counted().count(),
        "only {compared} legs compared"
    );
}

#[test]
fn a_track_in_pieces_has_the_same_legs() {
    for seed in SEEDS {
        let segments = day(seed).segments;
        let whole = analysed(&[recording("a", vec![segments.concat()])]);
        let cut = pieces(&segments, 5);
        let cuts: Vec<Timestamp> = cut.iter().skip(1).map(|piece| piece[0].time).collect();
        same_but_at_cuts(&whole, &analysed(&[recording("a", cut.clone())]), &cuts);
        let mut tracks = recording("a", cut.clone());
        let track = |segment: &Vec<Fix>| RecordedTrack {
            name: None,
            segments: vec![segment.clone()],
        };
        tracks.tracks = cut.iter().map(track).collect();
        same_but_at_cuts(&whole, &analysed(&[tracks]), &cuts);
        let named = |(at, part): (usize, &Vec<Fix>)| recording(&at.to_string(), vec![part.clone()]);
        let files: Vec<_> = cut.iter().enumerate().map(named).collect();
        same_but_at_cuts(&whole, &analysed(&files), &cuts);
        let turned: Vec<_> = files.iter().rev().cloned().collect();
        same(&analysed(&files), &analysed(&turned), Allowed::ROUNDING);
    }
}

#[test]
fn what_is_exported_and_read_again_is_the_same_day() {
    for seed in SEEDS {
        let day = day(seed);
        let before = analysed(&[recording("a", day.segments.clone())]);
        for style in [GpxStyle::V1_0, GpxStyle::V1_1] {
            let again = read(&day.to_gpx(style), "a").unwrap();
            same(&before, &analysed(&[again]), Allowed::ROUNDING);
        }
        let mut table = String::from("time,lat,lon\n");
        let mut log = String::new();
        for fix in day.fixes() {
            let (lat, lon) = (fix.position.latitude(), fix.position.longitude());
            writeln!(table, "{},{lat},{lon}", fix.time).unwrap();
            log += &(rmc(fix) + "\r\n");
        }
        // One segment each: a table has no breaks, and a log none but in time.
        let joined = analysed(&[recording("a", vec![day.segments.concat()])]);
        let from_table = read(table.as_bytes(), "a").unwrap();
        same(&joined, &analysed(&[from_table]), Allowed::ROUNDING);
        // Minutes with seven decimals are 0.2 mm.
        let from_log = read(log.as_bytes(), "a").unwrap();
        let allowed = Allowed {
            ends_s: 20.0,
            speed_share: SPEED_SHARE,
            ..Allowed::ROUNDING
        };
        same(&joined, &analysed(&[from_log]), allowed);
    }
}

#[test]
fn exported_legs_lie_on_the_track() {
    for seed in SEEDS {
        let day = day(seed);
        let found = analysed(&[recording("a", day.segments.clone())]);
        let again = read(&legs_gpx(&found), "legs.gpx").unwrap();
        assert_eq!(again.tracks.len(), found.legs.len());
        for fix in fixes(&again) {
            let at = day.fixes().find(|known| known.time == fix.time);
            let known = at
                .unwrap_or_else(|| panic!("no fix at {}", fix.time))
                .position;
            let apart = (known.latitude() - fix.position.latitude()).abs()
                + (known.longitude() - fix.position.longitude()).abs();
            assert!(apart < 1e-6, "{apart} degrees at {}", fix.time);
        }
        let json: serde_json::Value =
            serde_json::from_slice(&legs_geojson(&found).unwrap()).unwrap();
        assert_eq!(json["features"].as_array().unwrap().len(), found.legs.len());
    }
}
