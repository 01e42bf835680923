//! The invented days the charts are tried on.

use thereback::compare::Verdict;
use thereback::day::Trail;
use thereback::trial::Trial;
use thereback::units::{ClockFace, SpeedUnit};

use crate::charts_log::Log;

/// The usual day: ride out, fishing, two configurations at two settings with three double runs each,
/// a swap with idle drift between, more fishing and the ride home.
pub(crate) fn usual() -> Trial {
    let mut log = Log::begin("2025-06-14T05:40:00Z", 58.62, 14.21);
    log.go(80.0, [0.5, 2.2], 60);
    log.go(75.0, [2.2, 2.2], 540);
    fish(&mut log, 500);
    log.go(20.0, [1.0, 1.0], 200);
    for (configuration, gain) in [("three blades", 1.0), ("four blades", 1.055)] {
        for (setting, speed) in [("half", 1.24), ("full", 1.56)] {
            for _ in 0..3 {
                let speed = speed * gain;
                log.double_run(
                    55.0,
                    [speed + 0.06, speed - 0.08],
                    [40, 190],
                    [configuration, setting],
                );
            }
        }
        log.drift(52.0, 0.28, 420);
        log.go(235.0, [0.9, 0.9], 110);
    }
    fish(&mut log, 700);
    log.go(255.0, [1.5, 2.2], 900);
    log.end()
}

fn fish(log: &mut Log, seconds: u32) {
    for k in 0..seconds / 50 {
        log.go(40.0 + 73.0 * f64::from(k), [0.3, 0.7], 50);
    }
}

/// A trial with any number of configurations, settings and double runs in each cell.
pub(crate) fn trial(configurations: &[&str], settings: &[&str], each: usize) -> Trial {
    let mut log = Log::begin("2025-01-18T20:30:00Z", -41.27, 174.83);
    for (c, configuration) in configurations.iter().enumerate() {
        for (s, setting) in settings.iter().enumerate() {
            for _ in 0..each {
                let speed = (1.1 + 0.35 * s as f64) * (1.0 + 0.03 * c as f64);
                log.double_run(
                    8.0,
                    [speed + 0.1, speed - 0.12],
                    [35, 160],
                    [configuration, setting],
                );
            }
        }
        log.drift(190.0, 0.3, 240);
    }
    log.end()
}

/// A trial of a quarter of an hour at the far end of a long ride, and a recorder that was off for a while.
pub(crate) fn far_ride() -> Trial {
    let mut log = Log::begin("2025-08-02T04:00:00Z", 45.2, -83.1);
    log.go(10.0, [6.0, 6.0], 3000);
    log.gap(900);
    log.go(60.0, [6.0, 6.0], 2400);
    fish(&mut log, 2400);
    for gain in [1.0, 0.97] {
        let name = if gain < 1.0 { "B" } else { "A" };
        for _ in 0..2 {
            log.double_run(110.0, [1.45 * gain, 1.3 * gain], [30, 170], [name, "1"]);
        }
        log.drift(60.0, 0.3, 200);
    }
    log.go(240.0, [7.0, 7.0], 3000);
    log.go(200.0, [7.0, 7.0], 2500);
    log.end()
}

/// Nothing at all.
pub(crate) fn nothing() -> Trial {
    let mut analysis = Log::begin("2025-06-14T05:40:00Z", 0.0, 0.0).no_wind().end();
    analysis.days[0].trail = Trail::default();
    analysis
}

/// Every day the charts are tried on, by name.
pub(crate) fn all() -> Vec<(&'static str, Trial)> {
    let mut days = vec![
        ("usual", usual()),
        ("far-ride", far_ride()),
        ("one-configuration", trial(&["A"], &["1", "2"], 2)),
        ("two-legs", trial(&["A"], &["1"], 1)),
        ("one-run-each", trial(&["A", "B"], &["1"], 1)),
        (
            "four-configurations",
            trial(&["A", "B", "C", "D"], &["low", "mid", "high"], 2),
        ),
        ("sixty-legs", trial(&["A", "B"], &["1", "2", "3"], 5)),
        (
            "seven-of-each",
            trial(
                &["A", "B", "C", "D", "E", "F", "G"],
                &["1", "2", "3", "4", "5", "6", "7"],
                1,
            ),
        ),
        ("nothing", nothing()),
    ];
    days.extend(awkward());
    days
}

/// The usual day, bent out of shape in one way each.
fn awkward() -> Vec<(&'static str, Trial)> {
    let bent = |bend: fn(&mut Trial)| {
        let mut analysis = usual();
        bend(&mut analysis);
        analysis
    };
    vec![
        ("names", bent(|a| rename(a, HOSTILE))),
        ("no-wind", bent(no_wind)),
        ("north-wind", bent(|a| a.wind.from_deg = Some(2.0))),
        ("no-trail", bent(|a| a.days[0].trail = Trail::default())),
        ("no-speeds", bent(no_speeds)),
        ("no-legs", bent(no_legs)),
        ("one-leg", bent(one_leg)),
        ("two-lines", bent(two_lines)),
        ("wide-intervals", bent(wide_intervals)),
        ("broken-numbers", bent(broken_numbers)),
        ("stood-still", bent(stood_still)),
        ("unknown-zone", bent(unknown_zone)),
        ("miles", bent(|a| a.units = SpeedUnit::MilesPerHour)),
        ("twelve-hours", bent(|a| a.clock = ClockFace::Hours12)),
        ("across-the-antimeridian", antimeridian()),
    ]
}

fn no_wind(day: &mut Trial) {
    day.days[0].wind.from_deg = None;
    day.days[0].wind.from_se_deg = None;
    day.days[0].wind.speed_m_s = None;
}

fn no_speeds(day: &mut Trial) {
    day.days[0].trail.speeds.clear();
    for leg in &mut day.legs {
        leg.speed_m_s = None;
        leg.speed_se_m_s = None;
        leg.steady_from = None;
        leg.steady_position = None;
    }
}

fn no_legs(day: &mut Trial) {
    day.legs.clear();
    day.lines.clear();
    day.double_runs.clear();
    day.cells.clear();
    day.comparisons.clear();
    day.configurations.clear();
    day.settings.clear();
}

fn one_leg(day: &mut Trial) {
    day.legs.truncate(1);
    day.double_runs.clear();
    day.cells.clear();
    day.comparisons.clear();
}

/// A second course line, from the end of the first leg to the start of the 22nd.
fn two_lines(day: &mut Trial) {
    let mut line = day.lines[0].clone();
    line.line = 2;
    line.axis_deg = 91.0;
    line.from = day.legs[0].end_position;
    line.to = day.legs[21].start_position;
    for run in day.double_runs.iter_mut().skip(8) {
        run.line = 2;
        for leg in day
            .legs
            .iter_mut()
            .filter(|leg| run.legs.contains(&leg.leg))
        {
            leg.line = Some(2);
            leg.course_deg += 36.0;
        }
    }
    day.lines.push(line);
}

fn wide_intervals(day: &mut Trial) {
    for comparison in &mut day.comparisons {
        comparison.percent.low = Some(-60.0);
        comparison.percent.high = Some(210.0);
        comparison.verdict = Verdict::NotShown;
    }
}

/// Numbers that the analysis promises never to hold.
fn broken_numbers(day: &mut Trial) {
    for leg in &mut day.legs {
        leg.speed_m_s = Some(f64::NAN);
        leg.course_deg = f64::INFINITY;
    }
    for cell in &mut day.cells {
        cell.mean_m_s = 0.0;
    }
    day.days[0].wind.from_deg = Some(f64::NAN);
    day.days[0].wind.from_se_deg = Some(f64::NAN);
    for point in day.days[0].trail.runs.iter_mut().flatten().step_by(7) {
        point.east_m = f64::NAN;
    }
    for point in &mut day.days[0].trail.speeds {
        point.speed_m_s = f64::NEG_INFINITY;
    }
}

fn stood_still(day: &mut Trial) {
    for point in day.days[0].trail.runs.iter_mut().flatten() {
        (point.east_m, point.north_m) = (5.0, 5.0);
    }
    for leg in &mut day.legs {
        leg.end_position = leg.start_position;
        leg.speed_m_s = Some(0.0);
    }
    for speed in &mut day.days[0].trail.speeds {
        speed.speed_m_s = 0.0;
    }
}

fn unknown_zone(day: &mut Trial) {
    "Nowhere/<None>".clone_into(&mut day.timezone.name);
}

fn antimeridian() -> Trial {
    let mut log = Log::begin("2025-11-30T22:00:00Z", -17.0, 179.998);
    for (name, gain) in [("A", 1.0), ("B", 0.93)] {
        for _ in 0..2 {
            log.double_run(90.0, [2.0 * gain, 1.9 * gain], [30, 200], [name, "1"]);
        }
    }
    log.end()
}

/// A name as no file should hold.
pub(crate) const HOSTILE: &str =
    "<script>alert('x')</script> & \"blades\" \u{0} \u{202e} of a very long name indeed";

/// Names the second configuration anew.
pub(crate) fn rename(analysis: &mut Trial, name: &str) {
    let old = analysis.configurations[1].name.clone();
    let new = |text: &mut String| {
        if *text == old {
            name.clone_into(text);
        }
    };
    for configuration in &mut analysis.configurations {
        new(&mut configuration.name);
    }
    for cell in &mut analysis.cells {
        new(&mut cell.configuration);
    }
    for run in &mut analysis.double_runs {
        new(&mut run.configuration);
    }
    for leg in &mut analysis.legs {
        leg.configuration.iter_mut().for_each(new);
    }
    for comparison in &mut analysis.comparisons {
        new(&mut comparison.changed);
    }
}
