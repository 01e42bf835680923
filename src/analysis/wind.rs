//! The wind of the result: given, logged, or read off the idle drift.

use jiff::tz::TimeZone;

use super::headings::{HeadingFit, carried_toward};
use super::result::{Wind, WindSource};
use super::settings::Settings;
use crate::geometry::{PlanePoint, Stretch};
use crate::notes::Resolved;
use crate::segmenter::Segmented;
use crate::trial::wind::{Drift, kept};
use crate::trial::wind_log::WindLog;
use crate::units::Speed;

/// The wind, and whether a current may pose as it.
///
/// `onboard` is what wind instruments in the recordings wrote; it stands where no log was given.
pub(super) fn wind(
    found: Option<&Segmented>,
    fits: &[HeadingFit],
    drift: Option<&Drift>,
    asked: &Settings,
    onboard: Option<&WindLog>,
    noted: &Resolved,
    zone: &TimeZone,
) -> (Wind, bool) {
    let speed_m_s = asked
        .wind_speed
        .or(noted.notes.wind.speed)
        .map(Speed::as_metres_per_second);
    if let Some(from) = asked.wind_from.or(noted.notes.wind.from) {
        let given = Wind {
            from_deg: Some(from.degrees()),
            from_se_deg: None,
            speed_m_s,
            source: WindSource::Given,
            remark: None,
        };
        return (given, false);
    }
    let logged = found.and_then(|found| {
        let given = asked.wind_log.as_ref();
        given
            .and_then(|log| from_log(found, log, "the log", speed_m_s, zone))
            .or_else(|| from_log(found, onboard?, "the wind instruments", speed_m_s, zone))
    });
    if let Some(logged) = logged {
        return (logged, false);
    }
    // Where the drift tells nothing, legs on several headings may.
    let none =
        |why: &str| by_legs(fits, speed_m_s, asked).unwrap_or_else(|| unknown(why, speed_m_s));
    let (Some(found), Some(drift)) = (found, drift) else {
        return (none("the boat did not drift idle for long enough"), false);
    };
    if drift.speed < asked.rules.wind.least_drift_m_s {
        return (
            none("the boat hardly drifted while it lay idle, so next to no wind blew"),
            false,
        );
    }
    let rules = &asked.rules.wind;
    if drift.se_deg > rules.most_se_deg || drift.agreeing < rules.least_agreeing {
        return (
            none("the boat's idle drifts do not agree on a direction"),
            false,
        );
    }
    if kept(drift, &found.drifts, &found.paths).is_some_and(|kept| kept < rules.least_kept) {
        return (
            none("the boat slowed down while it lay idle, as it does when it glides on in a calm"),
            false,
        );
    }
    if current_likely(found, drift, asked) {
        let why =
            "the boat's idle drift and its drift along the line are much alike, as in a current";
        return (unknown(why, speed_m_s), true);
    }
    let toward = found.plane.true_course(drift.toward, PlanePoint::default());
    let drifted = Wind {
        from_deg: Some(toward.reciprocal().degrees()),
        from_se_deg: Some(drift.se_deg),
        speed_m_s,
        source: WindSource::Drift,
        remark: Some(format!(
            "the boat drifted toward {toward} while it lay idle"
        )),
    };
    (drifted, false)
}

fn unknown(why: &str, speed_m_s: Option<f64>) -> Wind {
    Wind {
        from_deg: None,
        from_se_deg: None,
        speed_m_s,
        source: WindSource::None,
        remark: Some(why.to_owned()),
    }
}

/// The wind by which heading was fastest.
fn by_legs(fits: &[HeadingFit], speed_m_s: Option<f64>, asked: &Settings) -> Option<Wind> {
    let (toward, se_deg) = carried_toward(fits)?;
    (se_deg <= asked.rules.wind.most_se_deg).then(|| Wind {
        from_deg: Some(toward.reciprocal().degrees()),
        from_se_deg: Some(se_deg),
        speed_m_s,
        source: WindSource::Legs,
        remark: Some(format!(
            "the boat was fastest toward {toward}, as before a wind; a current that way would do the same"
        )),
    })
}

/// The mean of the log over the trial, or over the whole track where there is no double run.
fn from_log(
    found: &Segmented,
    log: &WindLog,
    whose: &str,
    speed_m_s: Option<f64>,
    zone: &TimeZone,
) -> Option<Wind> {
    let runs = found.double_runs.first().zip(found.double_runs.last());
    let (from, to) = match runs {
        Some((first, last)) => (first.start, last.end),
        None => (
            found.paths.first()?.first()?.t,
            found.paths.last()?.last()?.t,
        ),
    };
    let mean = log.mean(found.clock.time(from), found.clock.time(to), zone)?;
    let from_deg = mean.from?.degrees();
    Some(Wind {
        from_deg: Some(from_deg),
        from_se_deg: None,
        speed_m_s: speed_m_s.or(mean.speed.map(Speed::as_metres_per_second)),
        source: WindSource::Log,
        remark: Some(format!("mean of {} readings of {whose}", mean.readings)),
    })
}

/// Whether the drift along the line under way is about that of the idle boat.
///
/// Where the boat lay idle between the double runs, only that counts: the wind before and after the
/// trial may be another.
fn current_likely(found: &Segmented, drift: &Drift, asked: &Settings) -> bool {
    carried_as_idle(found, drift, asked)
        .is_some_and(|ratio| ratio >= asked.rules.wind.current_ratio)
}

/// Drift along the line under way over that of the idle boat; negative where they are opposed.
pub(super) fn carried_as_idle(found: &Segmented, drift: &Drift, asked: &Settings) -> Option<f64> {
    let trial = found.double_runs.first().zip(found.double_runs.last());
    let during: Vec<&Stretch> = found
        .drifts
        .iter()
        .zip(&drift.used)
        .filter(|(d, used)| {
            **used && trial.is_some_and(|(a, b)| d.start >= a.end && d.end <= b.start)
        })
        .map(|(d, _)| d)
        .collect();
    let seconds: f64 = during.iter().map(|d| d.duration()).sum();
    let speed = if seconds >= asked.rules.wind.least_s {
        during
            .iter()
            .map(|d| {
                let off = d.course.apart(drift.toward).to_radians();
                d.motion.speed() * off.cos() * d.duration() / seconds
            })
            .sum()
    } else {
        drift.speed
    };
    let (mut idle, mut under_way) = (0.0, 0.0);
    for run in &found.double_runs {
        let angle = run.axis.turn_to(drift.toward).degrees().to_radians();
        idle += (speed * angle.cos()).abs();
        under_way += run.half_difference() * angle.cos().signum();
    }
    (idle > 0.0).then(|| under_way / idle)
}
