//! The wind of the result: given, logged, or read off the idle drift.

use jiff::tz::TimeZone;
use serde::Serialize;

use super::headings::{HeadingFit, carried_toward};
use super::result::{Wind, WindSource};
use super::settings::Settings;
use crate::geometry::Plane;
use crate::notes::Resolved;
use crate::segmenter::{Segmented, Stop};
use crate::trial::idle::{Drift, Idle, IdleKind, common_drift, idle};
use crate::trial::wind_log::WindLog;
use crate::units::{Bearing, Current, Speed};

/// How the wind is taken from the drift.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindRules {
    /// Where the boat never lay adrift during the trial, stops count that are no farther from it
    /// than this, s (common practice, no source) ...
    pub near_trial_s: f64,
    /// ... and tell the wind of the trial to this, degrees: it veers by a point or two meanwhile, and
    /// people idle otherwise before and after a trial (common practice, no source).
    pub veer_deg: f64,
    /// A direction no better known than this, degrees, gives way to that of legs on several
    /// headings: one label is 45 degrees wide.
    pub most_se_deg: f64,
    /// A direction known no better than this, degrees, is none: it would be a label of 45 degrees
    /// off as often as not.
    pub guess_se_deg: f64,
    /// Drift along the line under way over drift along it idle, from which on a current is
    /// likely. In wind alone it stays well below one. Source: our own simulated days.
    pub current_ratio: f64,
}

impl Default for WindRules {
    fn default() -> Self {
        Self {
            near_trial_s: 2700.0,
            veer_deg: 20.0,
            most_se_deg: 30.0,
            guess_se_deg: 45.0,
            current_ratio: 0.7,
        }
    }
}

/// The wind, and whether a current may pose as it.
///
/// `onboard` is what wind instruments in the recordings wrote; it stands where no log was given.
pub(super) fn wind(
    found: Option<&Segmented>,
    fits: &[HeadingFit],
    stops: &Stops,
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
    let said = asked.current.or(noted.notes.current);
    let still_water = said.map(|current| current == Current::None);
    from_drift(found, fits, stops, asked, speed_m_s, still_water)
}

/// What the boat did at each stop, and the drift that the stops near the trial have in common.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Stops {
    pub(super) idles: Vec<Idle>,
    pub(super) drift: Option<Drift>,
    /// Whether these lie within the trial.
    during: bool,
}

impl Stops {
    pub(super) fn of(found: &Segmented, asked: &Settings) -> Self {
        let judged = |stop: &Stop| {
            let record = found.records.iter().find(|record| {
                let times = record.times();
                (times.first().zip(times.last()))
                    .is_some_and(|(a, b)| *a <= stop.from && stop.from < *b)
            });
            let path = record
                .and_then(|record| Some((record, Plane::at(record.position(stop.from)?))))
                .map(|(record, plane)| record.on(&plane, stop.from, stop.to));
            let path = path.unwrap_or_default();
            idle(&path, stop.from, stop.to, stop.way, &asked.rules.idle)
        };
        let idles: Vec<Idle> = found.stops.iter().map(judged).collect();
        let near = drift_of(&idles, found, asked);
        let (drift, during) = near.map_or((None, false), |(drift, during)| (Some(drift), during));
        Self {
            idles,
            drift,
            during,
        }
    }
}

/// The wind as the idle drift shows it, or else the legs.
///
/// `still_water`: whether the person said that no current runs; `None` where nothing was said.
fn from_drift(
    found: Option<&Segmented>,
    fits: &[HeadingFit],
    stops: &Stops,
    asked: &Settings,
    speed_m_s: Option<f64>,
    still_water: Option<bool>,
) -> (Wind, bool) {
    let Some((found, drift)) = found.zip(stops.drift.as_ref()) else {
        let why = if never_adrift(&stops.idles) {
            "the boat lay at anchor, or hardly moved, at each of its stops"
        } else {
            "the boat did not lie idle for long enough"
        };
        let legs = by_legs(fits, speed_m_s, asked);
        return (legs.unwrap_or_else(|| unknown(why, speed_m_s)), false);
    };
    let rules = &asked.rules.wind;
    let carried = carried_as_idle(found, stops, asked);
    // What share of the drift the water may make: none in still water, and all of it where a
    // current is known to run and nothing shows how strong.
    let share = match (still_water, carried) {
        (Some(true), _) => 0.0,
        (Some(false), None) => 1.0,
        (_, carried) => carried.unwrap_or(0.0).clamp(0.0, 1.0),
    };
    let current = share >= rules.current_ratio || still_water == Some(false);
    // Idle and under way the boat drifts with the same water, but the wind carries it most when it
    // lies idle: the less the water differs from still, the less of the drift under way comes off.
    let under_way = mean_drift(found);
    let less = |share: f64| {
        let (east, north) = drift.toward.unit();
        let velocity = [east * drift.speed, north * drift.speed];
        let left = [0, 1].map(|axis| velocity[axis] - share * under_way[axis]);
        (left, left[0].hypot(left[1]))
    };
    let (carried_by_wind, speed) = less(share);
    let Some(toward) = Bearing::of_vector(carried_by_wind[0], carried_by_wind[1]) else {
        return (
            unknown("the boat drifted idle as it did under way", speed_m_s),
            current,
        );
    };
    // How far the direction would turn if all of it were water, as one of two standard errors.
    let [east, north] = less(1.0).0;
    let doubt_deg = match (still_water, Bearing::of_vector(east, north)) {
        (Some(true), _) => 0.0,
        (_, Some(other)) => drift.toward.apart(other) / 2.0,
        (_, None) => 90.0,
    };
    let from_se_deg = (drift.se_deg * drift.speed / speed).hypot(doubt_deg);
    let from_se_deg = if stops.during {
        from_se_deg
    } else {
        from_se_deg.hypot(rules.veer_deg)
    };
    if from_se_deg > rules.most_se_deg
        && let Some(legs) = by_legs(fits, speed_m_s, asked)
    {
        return (legs, false);
    }
    if from_se_deg > rules.guess_se_deg {
        let why = if current {
            "the boat's idle drift and its drift along the line are much alike, as in a current"
        } else {
            "the boat hardly drifted while it lay idle, or now this way, now that"
        };
        return (unknown(why, speed_m_s), current);
    }
    let drifted = drift.toward;
    let when = if stops.during {
        ""
    } else {
        " before or after the trial"
    };
    let doubt = if still_water == Some(true) {
        ""
    } else if current {
        ", much as it did under way, as in a current"
    } else {
        "; a current that way would do the same"
    };
    let less = if toward.apart(drifted) > SAME_DEG {
        format!("; without what the water may have carried, toward {toward}")
    } else {
        String::new()
    };
    let drifted = Wind {
        from_deg: Some(toward.reciprocal().degrees()),
        from_se_deg: Some(from_se_deg),
        speed_m_s,
        source: WindSource::Drift,
        remark: Some(format!(
            "the boat drifted toward {drifted} while it lay idle{when}{doubt}{less}"
        )),
    };
    (drifted, current)
}

/// Directions this near, degrees, are one to whoever reads them off a chart.
const SAME_DEG: f64 = 5.0;

/// Whether the boat stayed in one place wherever it lay idle.
fn never_adrift(idles: &[Idle]) -> bool {
    let mut judged = idles.iter().filter(|i| i.se_m_s.is_some()).peekable();
    judged.peek().is_some() && judged.all(|i| i.kind == IdleKind::Anchored)
}

/// The mean drift of the double runs, m/s east and north.
fn mean_drift(found: &Segmented) -> [f64; 2] {
    let count = found.runs.len().max(1) as f64;
    [0, 1].map(|axis| found.runs.iter().map(|run| run.drift()[axis]).sum::<f64>() / count)
}

/// The common drift of the stops between the first and the last run, in the wind of the runs; where
/// they show none, of those near the trial. And whether it is that of the former.
fn drift_of(idles: &[Idle], found: &Segmented, asked: &Settings) -> Option<(Drift, bool)> {
    let trial = found.runs.first().zip(found.runs.last());
    let reaches = [(0.0, true), (asked.rules.wind.near_trial_s, false)];
    reaches.into_iter().find_map(|(reach, during)| {
        let near = |idle: &Idle| {
            trial.is_none_or(|(a, b)| idle.from >= a.start - reach && idle.to <= b.end + reach)
        };
        let own: Vec<Idle> = idles.iter().filter(|i| near(i)).cloned().collect();
        let drift = common_drift(&own, &asked.rules.idle)?;
        let mut used = drift.used.into_iter();
        let each = idles.iter();
        let used = each.map(|i| near(i) && used.next().unwrap_or(false));
        let used = used.collect();
        Some((Drift { used, ..drift }, during))
    })
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
    let runs = found.runs.first().zip(found.runs.last());
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

/// Drift along the line under way over that of the idle boat; negative where they are opposed.
///
/// Where the boat lay idle between the double runs, only that counts: the wind before and after the
/// trial may be another.
pub(super) fn carried_as_idle(found: &Segmented, stops: &Stops, asked: &Settings) -> Option<f64> {
    let drift = stops.drift.as_ref()?;
    let trial = found.runs.first().zip(found.runs.last());
    let (east, north) = drift.toward.unit();
    let (mut seconds, mut metres) = (0.0, 0.0);
    for (idle, used) in stops.idles.iter().zip(&drift.used) {
        let during = trial.is_some_and(|(a, b)| idle.from >= a.end && idle.to <= b.start);
        if let Some((e, n)) = idle.east_m_s.zip(idle.north_m_s)
            && during
            && *used
        {
            seconds += idle.to - idle.from;
            metres += (e * east + n * north) * (idle.to - idle.from);
        }
    }
    let speed = if seconds >= asked.rules.idle.least_s {
        metres / seconds
    } else {
        drift.speed
    };
    let (mut idle, mut under_way) = (0.0, 0.0);
    for run in &found.runs {
        let angle = run.axis.turn_to(drift.toward).degrees().to_radians();
        idle += (speed * angle.cos()).abs();
        under_way += run.drift_along * angle.cos().signum();
    }
    (idle > 0.0).then(|| under_way / idle)
}
