//! What must not depend on how a day was recorded: properties of the whole way, on simulated days.

use jiff::{SignedDuration, Timestamp};
use thereback::simulate::{SimulatedDay, simulate};
use thereback::track::{Fix, Position, RecordedTrack, Recording};
use thereback::trial::{Settings, Trial, analyse};

use crate::varied::varied_scenario;

/// The days tried: as many kinds of recorder and sea as the time of a test allows.
pub(crate) const SEEDS: [u64; 4] = [201, 202, 205, 208];

/// Speeds agree to this share: a tenth of the error of a leg's speed at its best (0.55 %, our own
/// simulated days).
pub(crate) const SPEED_SHARE: f64 = 5e-4;

pub(crate) fn day(seed: u64) -> SimulatedDay {
    simulate(&varied_scenario(seed), seed)
}

/// One file with these segments.
pub(crate) fn recording(file: &str, segments: Vec<Vec<Fix>>) -> Recording {
    let points_met = segments.iter().map(Vec::len).sum();
    Recording {
        file: file.to_owned(),
        tracks: vec![RecordedTrack {
            name: None,
            segments,
        }],
        points_met,
        ..Recording::default()
    }
}

pub(crate) fn analysed(recordings: &[Recording]) -> Trial {
    analyse(recordings, &Settings::default())
}

/// How one analysis may differ from another: what was done to the track.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Allowed {
    /// By how much it was shifted in time.
    pub(crate) later: SignedDuration,
    /// How far the ends of legs may lie apart, s.
    pub(crate) ends_s: f64,
    /// Whether east and west were changed for one another.
    pub(crate) mirrored: bool,
    /// Share by which speeds may differ.
    pub(crate) speed_share: f64,
}

impl Allowed {
    /// Nothing but the last digits.
    pub(crate) const ROUNDING: Self = Self {
        later: SignedDuration::ZERO,
        ends_s: 0.0,
        mirrored: false,
        speed_share: 1e-6,
    };
}

/// Checks that legs, double runs and comparisons are the same but for what is allowed.
#[track_caller]
pub(crate) fn same(before: &Trial, after: &Trial, allowed: Allowed) {
    assert!(!before.double_runs.is_empty(), "a day without a trial");
    assert_eq!(before.legs.len(), after.legs.len(), "legs");
    let apart =
        |a: Timestamp, b: Timestamp| (b - allowed.later).duration_since(a).as_secs_f64().abs();
    for (a, b) in before.legs.iter().zip(&after.legs) {
        assert!(
            apart(a.start, b.start) <= allowed.ends_s,
            "leg {} starts",
            a.leg
        );
        assert!(apart(a.end, b.end) <= allowed.ends_s, "leg {} ends", a.leg);
        let course = if allowed.mirrored {
            -b.course_deg
        } else {
            b.course_deg
        };
        let turned = (a.course_deg - course + 180.0).rem_euclid(360.0) - 180.0;
        assert!(turned.abs() < 0.05, "leg {}: course {turned}", a.leg);
        let name = format!("leg {}", a.leg);
        close(a.speed_m_s, b.speed_m_s, allowed.speed_share, &name);
        assert_eq!(
            (a.double_run, &a.configuration, &a.setting, a.included),
            (b.double_run, &b.configuration, &b.setting, b.included),
            "leg {}",
            a.leg
        );
    }
    for (a, b) in before.double_runs.iter().zip(&after.double_runs) {
        assert_eq!(a.legs, b.legs);
        let name = format!("double run {}", a.double_run);
        close(
            Some(a.mean_m_s),
            Some(b.mean_m_s),
            allowed.speed_share,
            &name,
        );
    }
    assert_eq!(before.comparisons.len(), after.comparisons.len());
    for (a, b) in before.comparisons.iter().zip(&after.comparisons) {
        assert_eq!((&a.baseline, &a.changed), (&b.baseline, &b.changed));
        let share = allowed.speed_share;
        close(a.baseline_m_s, b.baseline_m_s, share, "baseline");
        close(a.changed_m_s, b.changed_m_s, share, "changed");
    }
}

#[track_caller]
fn close(a: Option<f64>, b: Option<f64>, share: f64, what: &str) {
    let agree = match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= share * a.abs(),
        (a, b) => a == b,
    };
    assert!(agree, "{what}: {a:?} and {b:?}");
}

/// Every fix somewhere else or at another time.
pub(crate) fn moved(segments: &[Vec<Fix>], change: impl Fn(Fix) -> Fix) -> Vec<Vec<Fix>> {
    let moved = segments
        .iter()
        .map(|segment| segment.iter().copied().map(&change).collect());
    moved.collect()
}

/// At another longitude.
pub(crate) fn at_longitude(fix: Fix, longitude: f64) -> Fix {
    let position = Position::new(fix.position.latitude(), longitude).unwrap();
    Fix { position, ..fix }
}
