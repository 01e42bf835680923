//! The way through, stage by stage.

use super::legs::{double_runs, first_position, legs, lines, trail};
use super::outcome::{Counted, all_cells, averaging_shift, comparisons, configurations, settings};
use super::result::{Analysis, IdleDrift, SCHEMA, Trail, Wind, WindSource, Zone, ZoneSource};
use super::settings::Settings;
use super::warn::warnings;
use super::warning::Warning;
use crate::clean::clean_all;
use crate::segmenter::{Segmented, assign, segment};
use crate::track::Recording;
use crate::trial::wind::{Drift, idle_drift};
use crate::trial::zone;
use crate::units::Bearing;

/// Analyses the recordings of one day. Pure: the same recordings and settings give the same result.
pub fn analyse(recordings: &[Recording], asked: &Settings) -> Analysis {
    let cleaned = clean_all(recordings, &asked.rules.clean);
    let tracks = &cleaned.tracks;
    let found = segment(tracks, &asked.marks, &asked.rules.segment);
    let assigned = found
        .as_ref()
        .map(|found| assign(found, &asked.marks, &asked.rules.segment.group))
        .unwrap_or_default();
    let drift = found.as_ref().and_then(|found| drift_of(found, asked));
    let (wind, current) = wind(found.as_ref(), drift.as_ref(), asked);
    let from = wind.from_deg.and_then(Bearing::new);

    let mut analysis = Analysis {
        schema: SCHEMA,
        title: asked.title.clone(),
        units: asked.units.unwrap_or_default(),
        timezone: timezone(asked, first_position(tracks)),
        tracks: cleaned.summaries,
        wind,
        legs: Vec::new(),
        lines: Vec::new(),
        double_runs: Vec::new(),
        configurations: Vec::new(),
        settings: Vec::new(),
        cells: Vec::new(),
        comparisons: Vec::new(),
        idle: Vec::new(),
        settling_distance_m: None,
        warnings: Vec::new(),
        rules: asked.rules.clone(),
        trail: Trail::default(),
    };
    if let Some(found) = &found {
        let counted = Counted::new(found, &assigned);
        let comparison = &asked.rules.comparison;
        analysis.legs = legs(found, &assigned, tracks, from);
        analysis.lines = lines(found);
        analysis.double_runs = double_runs(found, &assigned);
        analysis.configurations = configurations(found, &assigned);
        analysis.settings = settings(&assigned);
        analysis.cells = all_cells(&counted, comparison);
        analysis.comparisons = comparisons(&counted, comparison);
        analysis.idle = idle(found, drift.as_ref());
        analysis.settling_distance_m = found.settling.map(|s| s.distance_m);
        analysis.trail = trail(found);
        if let Some(percent) = averaging_shift(&counted, comparison) {
            analysis
                .warnings
                .push(Warning::AveragingMatters { percent });
        }
    }
    if current {
        analysis.warnings.push(Warning::WindOrCurrent);
    }
    let further = warnings(&analysis, &assigned);
    analysis.warnings.extend(further);
    analysis
}

fn timezone(asked: &Settings, at: Option<crate::track::Position>) -> Zone {
    if let Some(name) = &asked.timezone {
        return Zone {
            name: name.clone(),
            source: ZoneSource::Given,
        };
    }
    at.and_then(zone::at).map_or_else(
        || Zone {
            name: "UTC".to_owned(),
            source: ZoneSource::None,
        },
        |name| Zone {
            name,
            source: ZoneSource::Position,
        },
    )
}

fn drift_of(found: &Segmented, asked: &Settings) -> Option<Drift> {
    let runs = &found.double_runs;
    let trial = runs
        .first()
        .zip(runs.last())
        .map(|(first, last)| (first.start, last.end));
    let slowest = runs.iter().map(|r| r.mean()).min_by(f64::total_cmp);
    idle_drift(&found.drifts, trial, slowest, &asked.rules.wind)
}

/// The wind, and whether a current may pose as it.
fn wind(found: Option<&Segmented>, drift: Option<&Drift>, asked: &Settings) -> (Wind, bool) {
    let speed_m_s = asked.wind_speed.map(|s| s.as_metres_per_second());
    let none = |reason: &str| Wind {
        from_deg: None,
        from_se_deg: None,
        speed_m_s,
        source: WindSource::None,
        remark: Some(reason.to_owned()),
    };
    if let Some(from) = asked.wind_from {
        let wind = Wind {
            from_deg: Some(from.degrees()),
            from_se_deg: None,
            speed_m_s,
            source: WindSource::Given,
            remark: None,
        };
        return (wind, false);
    }
    let (Some(found), Some(drift)) = (found, drift) else {
        return (none("the boat did not drift idle for long enough"), false);
    };
    let current = current_likely(found, drift, asked);
    let toward = found
        .plane
        .true_course(drift.toward, crate::geometry::PlanePoint::default());
    let wind = Wind {
        from_deg: Some(toward.reciprocal().degrees()),
        from_se_deg: Some(drift.se_deg),
        speed_m_s,
        source: WindSource::Drift,
        remark: Some(format!(
            "the boat drifted toward {toward} while it lay idle"
        )),
    };
    (wind, current)
}

/// Whether the drift along the line under way is about that of the idle boat.
fn current_likely(found: &Segmented, drift: &Drift, asked: &Settings) -> bool {
    let (mut idle, mut under_way) = (0.0, 0.0);
    for run in &found.double_runs {
        let angle = run.axis.turn_to(drift.toward).degrees().to_radians();
        idle += (drift.speed * angle.cos()).abs();
        under_way += run.half_difference() * angle.cos().signum();
    }
    idle > 0.0 && under_way / idle >= asked.rules.wind.current_ratio
}

fn idle(found: &Segmented, drift: Option<&Drift>) -> Vec<IdleDrift> {
    found
        .drifts
        .iter()
        .enumerate()
        .map(|(index, stretch)| IdleDrift {
            start: found.clock.time(stretch.start),
            end: found.clock.time(stretch.end),
            toward_deg: found
                .plane
                .true_course(stretch.course, stretch.motion.middle)
                .degrees(),
            speed_m_s: stretch.motion.speed(),
            used: drift.is_some_and(|d| d.used.get(index).copied().unwrap_or(false)),
        })
        .collect()
}
