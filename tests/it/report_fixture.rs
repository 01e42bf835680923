//! An invented day, built by hand as the analysis would give it: two configurations at two
//! settings, three double runs each, on one line, with the wind known from the idle drift.

use jiff::Timestamp;
use thereback::day::{
    CourseLine, DoubleRun, IdleDrift, Leg, SpeedPoint, Trail, TrailPoint, Wind, WindSource,
};
use thereback::geometry::{Plane, PlanePoint};
use thereback::segmenter::WindLabel;
use thereback::track::{Position, SetAside};
use thereback::trial::{
    Configuration, GroupSource, Setting, Settings, TrackSummary, Trial, Warning, Zone, ZoneSource,
    analyse,
};
use thereback::units::SpeedUnit;

use super::report_figures::{cells, comparisons};

/// 2031-06-04 06:00 UTC, 09:00 by the clock on board.
const START_S: i64 = 1_938_319_200;
const AXIS_DEG: f64 = 72.0;
const LEG_S: i64 = 240;
const APPROACH_S: i64 = 30;
const TURN_S: i64 = 40;
pub(crate) const RUNS_PER_CELL: usize = 3;

/// Scatter of the double runs, as shares of the speed: invented, all of one size.
const SCATTER: [f64; 12] = [
    0.004, -0.006, 0.003, -0.004, 0.006, -0.002, 0.002, -0.005, 0.005, -0.003, 0.004, -0.004,
];

pub(crate) fn at(seconds: i64) -> Timestamp {
    Timestamp::from_second(START_S + seconds).unwrap()
}

/// The full day.
pub(crate) fn day() -> Trial {
    named(["three blades", "four blades"], ["half", "full"])
}

/// The same day with other names.
pub(crate) fn named(configurations: [&str; 2], settings: [&str; 2]) -> Trial {
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

/// The day as it is put together.
pub(crate) struct Day {
    plane: Plane,
    clock: i64,
    place: PlanePoint,
    legs: Vec<Leg>,
    pub(crate) runs: Vec<DoubleRun>,
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
            day: 1,
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
        let off_bow = if off_bow > 180.0 {
            off_bow - 360.0
        } else {
            off_bow
        };
        self.legs.push(Leg {
            leg: number,
            day: 1,
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
            heading_deg: None,
            water_speed_m_s: None,
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
        for _ in 1..seconds / 5 {
            self.clock += 5;
            self.place.east += east * 0.05 * 5.0;
            self.place.north += north * 0.05 * 5.0;
            self.points.push(TrailPoint {
                time: at(self.clock),
                east_m: self.place.east,
                north_m: self.place.north,
            });
        }
        self.clock += 5;
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

#[expect(clippy::too_many_lines, reason = "one result, written out")]
fn finish(day: Day, configurations: [&str; 2], settings: [&str; 2]) -> Trial {
    let cells = cells(&day, configurations, settings);
    let comparisons = comparisons(&day, configurations, settings);
    let of = |name: &str| -> Vec<&DoubleRun> {
        day.runs
            .iter()
            .filter(|r| r.configuration == name)
            .collect()
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
    let wind = Wind {
        from_deg: Some(235.0),
        from_se_deg: Some(4.0),
        speed_m_s: None,
        source: WindSource::Drift,
        remark: None,
    };
    Trial {
        title: Some("Three blades against four".to_owned()),
        units: SpeedUnit::Knots,
        timezone: Zone {
            name: "Europe/Helsinki".to_owned(),
            source: ZoneSource::Position,
        },
        tracks: vec![TrackSummary {
            file: "sound-trial.gpx".to_owned(),
            day: 1,
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
        wind: wind.clone(),
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
                    confidence: None,
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
                confidence: None,
            })
            .collect(),
        cells,
        comparisons,
        warnings: vec![Warning::OrderConfounded {
            configurations: configurations.map(ToOwned::to_owned).to_vec(),
            percent: 1.2,
        }],
        legs: day.legs,
        double_runs: day.runs,
        days: vec![thereback::trial::Day {
            day: 1,
            from: Some(at(0)),
            to: Some(at(day.clock + 600)),
            wind,
            reading: None,
            wind_covariate: None,
            headings: Vec::new(),
            circles: Vec::new(),
            idle: day.idle,
            settling_distance_m: Some(12.3),
            trail: Trail {
                stops: Vec::new(),
                plane: Some(day.plane),
                runs: vec![day.points],
                speeds: day.speeds,
            },
        }],
        ..analyse(&[], &Settings::default())
    }
}
