//! An invented day, built by hand as the analysis would give it: two configurations at two
//! settings, three double runs each, on one line, with the wind known from the idle drift.

use jiff::Timestamp;
use statrs::distribution::{ContinuousCDF, StudentsT};
use thereback::analysis::{
    Analysis, Cell, Comparison, Configuration, CourseLine, Difference, DoubleRun, GroupSource,
    IdleDrift, Leg, Percent, Rules, SCHEMA, Setting, SpeedPoint, TrackSummary, Trail, TrailPoint,
    Verdict, Warning, Wind, WindLabel, WindSource, Zone, ZoneSource,
};
use thereback::geometry::{Plane, PlanePoint};
use thereback::stats::Interval;
use thereback::track::{Position, SetAside};
use thereback::units::SpeedUnit;

/// 2031-06-04 06:00 UTC, 09:00 by the clock on board.
const START_S: i64 = 1_938_319_200;
const AXIS_DEG: f64 = 72.0;
const LEG_S: i64 = 240;
const APPROACH_S: i64 = 30;
const TURN_S: i64 = 40;
const RUNS_PER_CELL: usize = 3;

/// Scatter of the double runs, as shares of the speed: invented, all of one size.
const SCATTER: [f64; 12] = [
    0.004, -0.006, 0.003, -0.004, 0.006, -0.002, 0.002, -0.005, 0.005, -0.003, 0.004, -0.004,
];

pub fn at(seconds: i64) -> Timestamp {
    Timestamp::from_second(START_S + seconds).unwrap()
}

/// The full day.
pub fn day() -> Analysis {
    named(["three blades", "four blades"], ["half", "full"])
}

/// The same day with other names.
pub fn named(configurations: [&str; 2], settings: [&str; 2]) -> Analysis {
    let mut day = Day::new();
    let speeds = [[1.52, 2.12], [1.60, 2.235]];
    for (c, configuration) in configurations.iter().enumerate() {
        for (s, setting) in settings.iter().enumerate() {
            for run in 0..RUNS_PER_CELL {
                let scatter = SCATTER[(c * 2 + s) * RUNS_PER_CELL + run];
                day.double_run(configuration, setting, speeds[c][s] * (1.0 + scatter));
            }
            day.clock += 120;
        }
        if c == 0 {
            day.idle(1_500);
        }
    }
    day.lone_leg();
    finish(day, configurations, settings)
}

/// The day without its second configuration.
pub fn one_configuration() -> Analysis {
    let mut analysis = day();
    let keep = |name: Option<&str>| name != Some("four blades");
    analysis.legs.retain(|leg| keep(leg.configuration.as_deref()));
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
pub fn nothing_found() -> Analysis {
    let mut analysis = day();
    analysis.title = None;
    analysis.legs.clear();
    analysis.double_runs.clear();
    analysis.lines.clear();
    analysis.cells.clear();
    analysis.configurations.clear();
    analysis.settings.clear();
    analysis.comparisons.clear();
    analysis.idle.clear();
    analysis.settling_time_s = None;
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
pub fn empty() -> Analysis {
    let mut analysis = nothing_found();
    analysis.tracks.clear();
    analysis.trail = Trail::default();
    analysis.warnings.clear();
    analysis.timezone = Zone {
        name: "UTC".to_owned(),
        source: ZoneSource::None,
    };
    analysis
}

/// One double run in each cell.
pub fn too_few() -> Analysis {
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
        cell.mean_interval_m_s = None;
        cell.mean_of_means_m_s = None;
        cell.half_difference_per_hour_m_s = None;
    }
    for comparison in &mut analysis.comparisons {
        comparison.double_runs = if comparison.setting.is_some() { [1, 1] } else { [2, 2] };
        comparison.difference_m_s = Difference {
            value: comparison.difference_m_s.value,
            ..Difference::default()
        };
        comparison.percent.low = None;
        comparison.percent.high = None;
        comparison.p_value = None;
        comparison.within_run_percent = Some(Interval {
            low: 4.2,
            high: 6.5,
        });
        comparison.verdict = Verdict::TooFewRuns;
        comparison.reason = Some("one double run in a cell: the scatter between runs is not known".to_owned());
    }
    analysis.warnings = vec![Warning::OneDoubleRun {
        cells: vec!["three blades at half".to_owned()],
    }];
    analysis
}

/// The day with a change of this many percent within these bounds, at every setting and pooled.
pub fn with_change(percent: f64, low: f64, high: f64) -> Analysis {
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
pub fn without_wind() -> Analysis {
    let mut analysis = day();
    no_wind(&mut analysis);
    analysis.warnings.push(Warning::NoWind {
        reason: "the boat never lay idle for five minutes".to_owned(),
    });
    analysis
}

/// Names that mean harm.
pub const NASTY: [&str; 2] = [
    "<script>alert('x')</script>",
    "=cmd|' /C calc'!A0 \"q\" & \u{1b}[31m\u{202e}]]> </style>",
];

/// The day with names from [`NASTY`] everywhere a file or the notes can bring one in.
pub fn nasty() -> Analysis {
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
pub fn not_numbers() -> Analysis {
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
    analysis.settling_time_s = Some(f64::NAN);
    for line in &mut analysis.lines {
        line.axis_deg = f64::NAN;
    }
    for point in analysis.trail.runs.iter_mut().flatten() {
        point.east_m = f64::NAN;
    }
    analysis
}

fn no_wind(analysis: &mut Analysis) {
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

/// The day as it is put together.
struct Day {
    plane: Plane,
    clock: i64,
    place: PlanePoint,
    legs: Vec<Leg>,
    runs: Vec<DoubleRun>,
    idle: Vec<IdleDrift>,
    points: Vec<TrailPoint>,
    speeds: Vec<SpeedPoint>,
}

impl Day {
    fn new() -> Self {
        Self {
            plane: Plane::at(Position::new(61.2, 21.3).unwrap()),
            clock: 720,
            place: PlanePoint::default(),
            legs: Vec::new(),
            runs: Vec::new(),
            idle: Vec::new(),
            points: Vec::new(),
            speeds: Vec::new(),
        }
    }

    fn double_run(&mut self, configuration: &str, setting: &str, mean: f64) {
        let drift = 0.11 + 0.01 * (self.runs.len() % 3) as f64;
        let number = self.runs.len() + 1;
        let there = self.leg(AXIS_DEG, mean - drift, LEG_S);
        self.turn();
        let back = self.leg(AXIS_DEG + 180.0, mean + drift, LEG_S);
        self.turn();
        let start = self.legs[there - 1].start;
        for leg in [there, back] {
            let leg = &mut self.legs[leg - 1];
            leg.line = Some(1);
            leg.double_run = Some(number);
            leg.configuration = Some(configuration.to_owned());
            leg.setting = Some(setting.to_owned());
            leg.included = true;
            leg.reason = None;
        }
        self.runs.push(DoubleRun {
            double_run: number,
            legs: [there, back],
            line: 1,
            axis_deg: AXIS_DEG,
            at: Timestamp::from_second(start.as_second() + LEG_S + TURN_S / 2).unwrap(),
            mean_m_s: mean,
            mean_se_m_s: Some(0.007),
            root_mean_square_m_s: mean.hypot(drift),
            half_difference_m_s: -drift,
            configuration: configuration.to_owned(),
            setting: setting.to_owned(),
            included: true,
            reason: None,
        });
    }

    fn leg(&mut self, course_deg: f64, speed: f64, seconds: i64) -> usize {
        let number = self.legs.len() + 1;
        let start = self.clock;
        let start_position = self.position();
        let mut steady_position = None;
        let (east, north) = course_deg.to_radians().sin_cos();
        for second in 0..=seconds {
            if second == APPROACH_S {
                steady_position = Some(self.position());
            }
            self.points.push(TrailPoint {
                time: at(self.clock),
                east_m: self.place.east,
                north_m: self.place.north,
            });
            if second % 10 == 5 {
                let lack = 0.4 * (-(second as f64) / 12.0).exp();
                let wave = 0.03 * (second as f64 / 23.0).sin();
                self.speeds.push(SpeedPoint {
                    time: at(self.clock),
                    speed_m_s: speed * (1.0 - lack) + wave,
                });
            }
            if second < seconds {
                self.place.east += east * speed;
                self.place.north += north * speed;
                self.clock += 1;
            }
        }
        let off_bow = 235.0 - course_deg.rem_euclid(360.0);
        let off_bow = if off_bow > 180.0 { off_bow - 360.0 } else { off_bow };
        self.legs.push(Leg {
            leg: number,
            track: 0,
            start: at(start),
            steady_from: Some(at(start + APPROACH_S)),
            end: at(self.clock),
            duration_s: seconds as f64,
            length_m: speed * seconds as f64,
            fixes: (seconds - APPROACH_S) as usize,
            course_deg: course_deg.rem_euclid(360.0),
            speed_m_s: Some(speed),
            speed_se_m_s: Some(0.009),
            low_m_s: Some(speed - 0.05),
            high_m_s: Some(speed + 0.06),
            cross_track_rms_m: 1.3,
            recorded_speed_m_s: Some(speed + 0.01),
            depth_m: Some(7.4),
            wind_off_bow_deg: Some(off_bow),
            wind_label: Some(if off_bow.abs() > 90.0 {
                WindLabel::Astern
            } else {
                WindLabel::StarboardBow
            }),
            line: None,
            double_run: None,
            configuration: None,
            setting: None,
            included: false,
            reason: Some("no leg back on its line".to_owned()),
            start_position,
            steady_position,
            end_position: self.position(),
        });
        number
    }

    /// A half circle back onto the line.
    fn turn(&mut self) {
        self.clock += TURN_S;
    }

    fn idle(&mut self, seconds: i64) {
        let start = self.clock;
        let (east, north) = 55_f64.to_radians().sin_cos();
        for _ in 0..seconds / 5 {
            self.clock += 5;
            self.place.east += east * 0.05 * 5.0;
            self.place.north += north * 0.05 * 5.0;
            self.points.push(TrailPoint {
                time: at(self.clock),
                east_m: self.place.east,
                north_m: self.place.north,
            });
        }
        self.idle.push(IdleDrift {
            start: at(start),
            end: at(self.clock),
            toward_deg: 55.0,
            speed_m_s: 0.05,
            used: true,
        });
    }

    /// The way home: a leg that counts for nothing.
    fn lone_leg(&mut self) {
        self.clock += 300;
        self.leg(140.0, 2.4, 420);
    }

    fn position(&self) -> Position {
        self.plane.position(self.place).unwrap()
    }
}

fn finish(day: Day, configurations: [&str; 2], settings: [&str; 2]) -> Analysis {
    let cells = cells(&day, configurations, settings);
    let comparisons = comparisons(&day, configurations, settings);
    let of = |name: &str| -> Vec<&DoubleRun> {
        day.runs.iter().filter(|r| r.configuration == name).collect()
    };
    let half_length = 1.6 * LEG_S as f64;
    let (east, north) = AXIS_DEG.to_radians().sin_cos();
    let end = day
        .plane
        .position(PlanePoint {
            east: east * half_length,
            north: north * half_length,
        })
        .unwrap();
    Analysis {
        schema: SCHEMA,
        title: Some("Three blades against four".to_owned()),
        units: SpeedUnit::Knots,
        timezone: Zone {
            name: "Europe/Helsinki".to_owned(),
            source: ZoneSource::Position,
        },
        tracks: vec![TrackSummary {
            file: "sound-trial.gpx".to_owned(),
            fixes_read: 14_021,
            fixes_used: 13_988,
            set_aside: vec![
                SetAside {
                    reason: "repeated time".to_owned(),
                    count: 31,
                    first_line: Some(204),
                },
                SetAside {
                    reason: "impossible jump".to_owned(),
                    count: 2,
                    first_line: Some(9_112),
                },
            ],
            remarks: Vec::new(),
            from: Some(at(0)),
            to: Some(at(day.clock + 600)),
            interval_s: Some(1.0),
        }],
        wind: Wind {
            from_deg: Some(235.0),
            from_se_deg: Some(4.0),
            speed_m_s: None,
            source: WindSource::Drift,
            remark: None,
        },
        lines: vec![CourseLine {
            line: 1,
            axis_deg: AXIS_DEG,
            from: day.plane.origin(),
            to: end,
            length_m: half_length,
            legs: (1..=day.runs.len() * 2).collect(),
        }],
        configurations: configurations
            .iter()
            .map(|name| {
                let runs = of(name);
                Configuration {
                    name: (*name).to_owned(),
                    from: day.legs[runs[0].legs[0] - 1].start,
                    to: day.legs[runs[runs.len() - 1].legs[1] - 1].end,
                    source: GroupSource::Notes,
                }
            })
            .collect(),
        settings: settings
            .iter()
            .zip([50.0, 100.0])
            .map(|(name, percent)| Setting {
                name: (*name).to_owned(),
                percent: Some(percent),
                source: GroupSource::Notes,
            })
            .collect(),
        cells,
        comparisons,
        settling_time_s: Some(12.3),
        warnings: vec![Warning::OrderConfounded {
            configurations: configurations.map(ToOwned::to_owned).to_vec(),
        }],
        rules: Rules::default(),
        trail: Trail {
            plane: Some(day.plane),
            runs: vec![day.points],
            speeds: day.speeds,
        },
        legs: day.legs,
        double_runs: day.runs,
        idle: day.idle,
    }
}

fn logs(day: &Day, configuration: &str, setting: &str) -> Vec<f64> {
    day.runs
        .iter()
        .filter(|r| r.configuration == configuration && r.setting == setting)
        .map(|r| r.mean_m_s.ln())
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Scatter pooled over all cells, and its degrees of freedom.
fn pooled(day: &Day, configurations: [&str; 2], settings: [&str; 2]) -> (f64, f64) {
    let mut squares = 0.0;
    let mut df = 0.0;
    for c in configurations {
        for s in settings {
            let logs = logs(day, c, s);
            let mean = mean(&logs);
            squares += logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>();
            df += logs.len() as f64 - 1.0;
        }
    }
    ((squares / df).sqrt(), df)
}

fn quantile(df: f64) -> f64 {
    StudentsT::new(0.0, 1.0, df).unwrap().inverse_cdf(0.975)
}

fn cells(day: &Day, configurations: [&str; 2], settings: [&str; 2]) -> Vec<Cell> {
    let (sd, df) = pooled(day, configurations, settings);
    let mut cells = Vec::new();
    for c in configurations {
        for s in settings {
            let runs: Vec<&DoubleRun> = day
                .runs
                .iter()
                .filter(|r| r.configuration == c && r.setting == s)
                .collect();
            let log = mean(&logs(day, c, s));
            let half = quantile(df) * sd / (runs.len() as f64).sqrt();
            cells.push(Cell {
                configuration: c.to_owned(),
                setting: s.to_owned(),
                double_runs: runs.iter().map(|r| r.double_run).collect(),
                mean_m_s: log.exp(),
                mean_interval_m_s: Some(Interval {
                    low: (log - half).exp(),
                    high: (log + half).exp(),
                }),
                mean_of_means_m_s: Some(log.exp() * 1.001),
                half_difference_m_s: mean(
                    &runs.iter().map(|r| r.half_difference_m_s).collect::<Vec<_>>(),
                ),
                half_difference_per_hour_m_s: Some(-0.02),
            });
        }
    }
    cells
}

fn comparisons(day: &Day, [a, b]: [&str; 2], settings: [&str; 2]) -> Vec<Comparison> {
    let (sd, df) = pooled(day, [a, b], settings);
    let t = quantile(df);
    let mut out = Vec::new();
    let mut changes = Vec::new();
    for s in settings {
        let (one, two) = (mean(&logs(day, a, s)), mean(&logs(day, b, s)));
        let se = sd * (2.0 / RUNS_PER_CELL as f64).sqrt();
        changes.push(two - one);
        let percent = |log: f64| Some(100.0 * (log.exp() - 1.0));
        let base = one.exp();
        out.push(Comparison {
            baseline: a.to_owned(),
            changed: b.to_owned(),
            setting: Some(s.to_owned()),
            double_runs: [RUNS_PER_CELL; 2],
            baseline_m_s: Some(base),
            changed_m_s: Some(two.exp()),
            difference_m_s: Difference {
                value: Some(two.exp() - base),
                se: Some(se * base),
                df: Some(df),
                low: Some(base * ((two - one - t * se).exp() - 1.0)),
                high: Some(base * ((two - one + t * se).exp() - 1.0)),
            },
            percent: Percent {
                value: percent(two - one),
                low: percent(two - one - t * se),
                high: percent(two - one + t * se),
            },
            within_run_percent: None,
            p_value: Some(0.000_02),
            verdict: Verdict::Faster,
            reason: None,
        });
    }
    let change = mean(&changes);
    let half = t * sd * (1.0 / RUNS_PER_CELL as f64).sqrt();
    let percent = |log: f64| Some(100.0 * (log.exp() - 1.0));
    out.push(Comparison {
        baseline: a.to_owned(),
        changed: b.to_owned(),
        setting: None,
        double_runs: [2 * RUNS_PER_CELL; 2],
        baseline_m_s: None,
        changed_m_s: None,
        difference_m_s: Difference::default(),
        percent: Percent {
            value: percent(change),
            low: percent(change - half),
            high: percent(change + half),
        },
        within_run_percent: None,
        p_value: Some(0.000_001),
        verdict: Verdict::Faster,
        reason: None,
    });
    out
}
