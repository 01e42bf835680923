//! Awkward variants of the invented day.

use thereback::compare::{Difference, Percent, Verdict};
use thereback::day::{Trail, Wind, WindSource};
use thereback::stats::interval::Interval;
use thereback::track::SetAside;
use thereback::trial::{Trial, Warning, Zone, ZoneSource};

use super::report_fixture::{day, named};

/// The day without its second configuration.
pub(crate) fn one_configuration() -> Trial {
    let mut analysis = day();
    let keep = |name: Option<&str>| name != Some("four blades");
    analysis
        .legs
        .retain(|leg| keep(leg.configuration.as_deref()));
    analysis
        .double_runs
        .retain(|run| keep(Some(&run.configuration)));
    analysis
        .cells
        .retain(|cell| keep(Some(&cell.configuration)));
    analysis.configurations.truncate(1);
    analysis.comparisons.clear();
    analysis.title = None;
    analysis.warnings = vec![Warning::NothingToCompare];
    analysis
}

/// A day of fishing: no double run, no wind.
pub(crate) fn nothing_found() -> Trial {
    let mut analysis = day();
    analysis.title = None;
    analysis.legs.clear();
    analysis.double_runs.clear();
    analysis.lines.clear();
    analysis.cells.clear();
    analysis.configurations.clear();
    analysis.settings.clear();
    analysis.comparisons.clear();
    analysis.days[0].idle.clear();
    analysis.days[0].settling_distance_m = None;
    no_wind(&mut analysis);
    analysis.warnings = vec![
        Warning::NoDoubleRuns {
            found: "no stretch on one heading was longer than a minute".to_owned(),
        },
        Warning::NoWind {
            reason: "the boat never lay idle for five minutes".to_owned(),
        },
    ];
    analysis
}

/// Nothing at all: no file had a fix.
pub(crate) fn empty() -> Trial {
    let mut analysis = nothing_found();
    analysis.tracks.clear();
    analysis.days[0].trail = Trail::default();
    analysis.warnings.clear();
    analysis.timezone = Zone {
        name: "UTC".to_owned(),
        source: ZoneSource::None,
    };
    analysis
}

/// One double run in each cell.
pub(crate) fn too_few() -> Trial {
    let mut analysis = day();
    analysis.title = None;
    let first: Vec<usize> = analysis
        .cells
        .iter()
        .filter_map(|cell| cell.double_runs.first().copied())
        .collect();
    analysis
        .double_runs
        .retain(|run| first.contains(&run.double_run));
    for cell in &mut analysis.cells {
        cell.double_runs.truncate(1);
        cell.half_difference_per_hour_m_s = None;
    }
    for comparison in &mut analysis.comparisons {
        comparison.double_runs = if comparison.setting.is_some() {
            [1, 1]
        } else {
            [2, 2]
        };
        comparison.difference_m_s = Difference {
            value: comparison.difference_m_s.value,
            ..Difference::default()
        };
        comparison.percent.low = Some(-1.2);
        comparison.percent.high = Some(12.6);
        comparison.verdict = Verdict::TooFewRuns;
        comparison.reason = Some("a single double run rests on what is usual".to_owned());
    }
    analysis.warnings = vec![Warning::OneDoubleRun {
        cells: vec!["three blades at half".to_owned()],
    }];
    analysis
}

/// The day with a change of this many percent within these bounds, at every setting and pooled.
pub(crate) fn with_change(percent: f64, low: f64, high: f64) -> Trial {
    let mut analysis = day();
    for comparison in &mut analysis.comparisons {
        comparison.percent = Percent {
            value: Some(percent),
            low: Some(low),
            high: Some(high),
        };
        comparison.verdict = match (low > 0.0, high < 0.0) {
            (true, _) => Verdict::Faster,
            (_, true) => Verdict::Slower,
            _ => Verdict::NotShown,
        };
        if let Some(base) = comparison.baseline_m_s {
            comparison.changed_m_s = Some(base * (1.0 + percent / 100.0));
            comparison.difference_m_s = Difference {
                value: Some(base * percent / 100.0),
                se: Some(base * (high - low) / 450.0),
                df: Some(8.0),
                low: Some(base * low / 100.0),
                high: Some(base * high / 100.0),
            };
        }
    }
    analysis
}

/// The day without wind.
pub(crate) fn without_wind() -> Trial {
    let mut analysis = day();
    no_wind(&mut analysis);
    analysis.warnings.push(Warning::NoWind {
        reason: "the boat never lay idle for five minutes".to_owned(),
    });
    analysis
}

/// Names that mean harm.
pub(crate) const NASTY: [&str; 2] = [
    "<script>alert('x')</script>",
    "=cmd|' /C calc'!A0 \"q\" & \u{1b}[31m\u{202e}]]> </style>",
];

/// The day with names from [`NASTY`] everywhere a file or the notes can bring one in.
pub(crate) fn nasty() -> Trial {
    let mut analysis = named(NASTY, ["+1", "@half\t\r\n"]);
    analysis.title = Some(format!("{} {}", NASTY[0], NASTY[1]));
    for track in &mut analysis.tracks {
        track.file = format!("-{}.gpx", NASTY[0]);
        track.remarks = vec![NASTY[1].to_owned()];
        track.set_aside.push(SetAside {
            reason: NASTY[0].to_owned(),
            count: 1,
            first_line: None,
        });
    }
    for leg in &mut analysis.legs {
        if !leg.included {
            leg.reason = Some(NASTY[1].to_owned());
        }
    }
    for comparison in &mut analysis.comparisons {
        comparison.reason = Some(NASTY[0].to_owned());
    }
    analysis.wind.remark = Some(NASTY[0].to_owned());
    analysis.warnings.push(Warning::File {
        file: NASTY[1].to_owned(),
        what: NASTY[0].to_owned(),
    });
    analysis
}

/// The day with every float it can hold gone wrong.
pub(crate) fn not_numbers() -> Trial {
    let mut analysis = day();
    for leg in &mut analysis.legs {
        leg.course_deg = f64::NAN;
        leg.length_m = f64::INFINITY;
        leg.duration_s = f64::NEG_INFINITY;
        leg.speed_m_s = Some(f64::NAN);
        leg.speed_se_m_s = Some(f64::NAN);
        leg.low_m_s = Some(f64::NAN);
        leg.high_m_s = Some(f64::INFINITY);
        leg.cross_track_rms_m = f64::NAN;
        leg.wind_off_bow_deg = Some(f64::NAN);
    }
    for run in &mut analysis.double_runs {
        run.mean_m_s = f64::NAN;
        run.axis_deg = f64::INFINITY;
        run.half_difference_m_s = f64::NAN;
        run.mean_se_m_s = Some(f64::NAN);
    }
    for cell in &mut analysis.cells {
        cell.mean_m_s = f64::NAN;
        cell.mean_interval_m_s = Some(Interval {
            low: f64::NAN,
            high: f64::NAN,
        });
        cell.half_difference_m_s = f64::NAN;
    }
    for (at, comparison) in analysis.comparisons.iter_mut().enumerate() {
        comparison.percent.low = Some(f64::NAN);
        comparison.percent.high = Some(f64::INFINITY);
        if at > 0 {
            comparison.percent.value = Some(f64::NAN);
        }
        comparison.baseline_m_s = Some(f64::NAN);
        comparison.difference_m_s.se = Some(f64::NAN);
        comparison.difference_m_s.value = Some(f64::NAN);
    }
    analysis.wind.from_deg = Some(f64::NAN);
    analysis.wind.speed_m_s = Some(f64::NAN);
    analysis.days[0].settling_distance_m = Some(f64::NAN);
    for line in &mut analysis.lines {
        line.axis_deg = f64::NAN;
    }
    for point in analysis.days[0].trail.runs.iter_mut().flatten() {
        point.east_m = f64::NAN;
    }
    analysis
}

fn no_wind(analysis: &mut Trial) {
    analysis.wind = Wind {
        from_deg: None,
        from_se_deg: None,
        speed_m_s: None,
        source: WindSource::None,
        remark: Some("it was not given, and the boat never lay idle".to_owned()),
    };
    for leg in &mut analysis.legs {
        leg.wind_off_bow_deg = None;
        leg.wind_label = None;
    }
}
