//! The wind of the result: given, logged, or read off the idle drift.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::Serialize;

use super::headings::{HeadingFit, carried_toward};
use super::idle::{Drift, Idle, IdleKind, IdleRules, common_drift, idle};
use super::wind_log::WindLog;
use crate::geometry::Plane;
use crate::segmenter::{Segmented, Stop};
use crate::units::{Bearing, Current, Speed};

/// The true wind, where it is known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wind {
    /// Direction it blows from, degrees true.
    pub from_deg: Option<f64>,
    /// Standard error of the direction, degrees.
    pub from_se_deg: Option<f64>,
    /// Speed.
    pub speed_m_s: Option<f64>,
    /// Where it comes from.
    pub source: WindSource,
    /// Why there is none, or what to keep in mind; a sentence.
    pub remark: Option<String>,
}

/// Where the wind comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum WindSource {
    /// The command line or the notes.
    Given,
    /// A station's log, or the wind instruments in the recordings.
    Log,
    /// The drift while the boat lay idle.
    Drift,
    /// Legs on several headings.
    Legs,
    /// Not known.
    None,
}

/// What is taken for granted of stops and wind.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct DayRules {
    /// What the boat did at its stops.
    pub idle: IdleRules,
    /// The wind.
    pub wind: WindRules,
}

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

/// What is known of a day's wind and water beside its track.
#[derive(Debug, Clone, Copy)]
pub(crate) struct WindKnown<'a> {
    /// Where the person says it blew from.
    pub(crate) from: Option<Bearing>,
    /// The speed that the person states.
    pub(crate) speed: Option<Speed>,
    /// Whether the water runs, where the person says so.
    pub(crate) current: Option<Current>,
    /// A station's log.
    pub(crate) log: Option<&'a WindLog>,
    /// What wind instruments in the recordings wrote; it counts where no log was given.
    pub(crate) onboard: Option<&'a WindLog>,
    /// The zone of times without one.
    pub(crate) zone: &'a TimeZone,
    /// The rules.
    pub(crate) rules: &'a DayRules,
}

/// The wind, and whether a current may pose as it.
pub(crate) fn wind(
    found: Option<&Segmented>,
    fits: &[HeadingFit],
    stops: &Stops,
    known: WindKnown<'_>,
) -> (Wind, bool) {
    let speed_m_s = known.speed.map(Speed::as_metres_per_second);
    if let Some(from) = known.from {
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
        let of = |log, whose| from_log(found, log, whose, speed_m_s, known.zone);
        (known.log.and_then(|log| of(log, "the log")))
            .or_else(|| of(known.onboard?, "the wind instruments"))
    });
    if let Some(logged) = logged {
        return (logged, false);
    }
    let still_water = known.current.map(|current| current == Current::None);
    from_drift(found, fits, stops, known.rules, speed_m_s, still_water)
}

/// What the boat did at each stop, and the drift that the stops near the trial have in common.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Stops {
    pub(crate) idles: Vec<Idle>,
    pub(crate) drift: Option<Drift>,
    /// Whether these lie within the trial.
    during: bool,
}

impl Stops {
    pub(crate) fn of(found: &Segmented, rules: &DayRules) -> Self {
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
            idle(&path, stop.from, stop.to, stop.way, &rules.idle)
        };
        let idles: Vec<Idle> = found.stops.iter().map(judged).collect();
        let near = drift_of(&idles, found, rules);
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
    rules: &DayRules,
    speed_m_s: Option<f64>,
    still_water: Option<bool>,
) -> (Wind, bool) {
    let Some((found, drift)) = found.zip(stops.drift.as_ref()) else {
        let why = if never_adrift(&stops.idles) {
            "the boat lay at anchor, or hardly moved, at each of its stops"
        } else {
            "the boat did not lie idle for long enough"
        };
        let legs = by_legs(fits, speed_m_s, rules);
        return (legs.unwrap_or_else(|| unknown(why, speed_m_s)), false);
    };
    let carried = carried_as_idle(found, stops, rules);
    // What share of the drift the water may make: none in still water, and all of it where a
    // current is known to run and nothing shows how strong.
    let share = match (still_water, carried) {
        (Some(true), _) => 0.0,
        (Some(false), None) => 1.0,
        (_, carried) => carried.unwrap_or(0.0).clamp(0.0, 1.0),
    };
    let current = share >= rules.wind.current_ratio || still_water == Some(false);
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
        from_se_deg.hypot(rules.wind.veer_deg)
    };
    if from_se_deg > rules.wind.most_se_deg
        && let Some(legs) = by_legs(fits, speed_m_s, rules)
    {
        return (legs, false);
    }
    if from_se_deg > rules.wind.guess_se_deg {
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
fn drift_of(idles: &[Idle], found: &Segmented, rules: &DayRules) -> Option<(Drift, bool)> {
    let trial = found.runs.first().zip(found.runs.last());
    let reaches = [(0.0, true), (rules.wind.near_trial_s, false)];
    reaches.into_iter().find_map(|(reach, during)| {
        let near = |idle: &Idle| {
            trial.is_none_or(|(a, b)| idle.from >= a.start - reach && idle.to <= b.end + reach)
        };
        let own: Vec<Idle> = idles.iter().filter(|i| near(i)).cloned().collect();
        let drift = common_drift(&own, &rules.idle)?;
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
fn by_legs(fits: &[HeadingFit], speed_m_s: Option<f64>, rules: &DayRules) -> Option<Wind> {
    let (toward, se_deg) = carried_toward(fits)?;
    (se_deg <= rules.wind.most_se_deg).then(|| Wind {
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
pub(crate) fn carried_as_idle(found: &Segmented, stops: &Stops, rules: &DayRules) -> Option<f64> {
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
    let speed = if seconds >= rules.idle.least_s {
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

/// A stretch in which the boat lay idle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IdleDrift {
    /// From.
    pub start: Timestamp,
    /// To.
    pub end: Timestamp,
    /// Direction of the drift, degrees true.
    pub toward_deg: f64,
    /// Speed of the drift.
    pub speed_m_s: f64,
    /// Whether it was used for the wind.
    pub used: bool,
}

/// The drifts of the stops in which the boat was not held.
pub(crate) fn idle_drifts(found: &Segmented, stops: &Stops) -> Vec<IdleDrift> {
    let used = |index: usize| {
        let drift = stops.drift.as_ref();
        drift.is_some_and(|d| d.used.get(index).copied().unwrap_or(false))
    };
    (stops.idles.iter().enumerate())
        .filter(|(_, idle)| idle.kind != IdleKind::Anchored)
        .filter_map(|(index, idle)| {
            let (east, north) = (idle.east_m_s?, idle.north_m_s?);
            Some(IdleDrift {
                start: found.clock.time(idle.from),
                end: found.clock.time(idle.to),
                toward_deg: Bearing::of_vector(east, north)?.degrees(),
                speed_m_s: east.hypot(north),
                used: used(index),
            })
        })
        .collect()
}
