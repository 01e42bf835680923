//! Invented days for the charts: an [`Analysis`] laid out by hand, leg by leg, without the pipeline.
//!
//! Speeds, wind and water are made up; nothing here checks a measurement.

use jiff::{SignedDuration, Timestamp};
use thereback::analysis::{
    Analysis, Cell, Comparison, Configuration, CourseLine, Difference, DoubleRun, GroupSource,
    IdleDrift, Leg, Percent, Rules, SCHEMA, Setting, SpeedPoint, TrackSummary, Trail, TrailPoint,
    Verdict, Wind, WindSource, Zone, ZoneSource,
};
use thereback::geometry::{Plane, PlanePoint};
use thereback::stats::Interval;
use thereback::track::Position;
use thereback::units::{Bearing, SpeedUnit};

/// A day under way: what was recorded so far.
pub(crate) struct Log {
    plane: Plane,
    now: Timestamp,
    at: PlanePoint,
    noise: u64,
    legs: Vec<Leg>,
    idle: Vec<IdleDrift>,
    runs: Vec<Vec<TrailPoint>>,
    speeds: Vec<SpeedPoint>,
    /// Speeds not yet averaged.
    tenth: Vec<f64>,
    wind_from: Option<f64>,
}

impl Log {
    pub(crate) fn begin(start: &str, latitude: f64, longitude: f64) -> Self {
        Self {
            plane: Plane::at(Position::new(latitude, longitude).unwrap()),
            now: start.parse().unwrap(),
            at: PlanePoint::default(),
            noise: 1,
            legs: Vec::new(),
            idle: Vec::new(),
            runs: vec![Vec::new()],
            speeds: Vec::new(),
            tenth: Vec::new(),
            wind_from: Some(235.0),
        }
    }

    pub(crate) fn no_wind(mut self) -> Self {
        self.wind_from = None;
        self
    }

    /// A number in -1..1 that is the same on every run (a 64-bit linear congruence).
    fn noise(&mut self) -> f64 {
        self.noise = self
            .noise
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.noise >> 40) as f64 / f64::from(1_u32 << 23) - 1.0
    }

    /// Goes on a course for some seconds, from one speed to another (m/s).
    pub(crate) fn go(&mut self, course: f64, speeds: [f64; 2], seconds: u32) {
        for second in 0..seconds {
            let share = f64::from(second) / f64::from(seconds);
            let speed = speeds[0] + (speeds[1] - speeds[0]) * share;
            let (east, north) = Bearing::new(course + 1.5 * self.noise()).unwrap().unit();
            let gust = 1.0 + 0.02 * self.noise();
            self.at.east += east * speed * gust;
            self.at.north += north * speed * gust;
            self.now += SignedDuration::from_secs(1);
            self.runs.last_mut().unwrap().push(TrailPoint {
                time: self.now,
                east_m: self.at.east,
                north_m: self.at.north,
            });
            self.tenth.push(speed * gust);
            if self.tenth.len() == 10 {
                self.speeds.push(SpeedPoint {
                    time: self.now - SignedDuration::from_secs(5),
                    speed_m_s: mean(&self.tenth),
                });
                self.tenth.clear();
            }
        }
    }

    /// The recorder is off for a while.
    pub(crate) fn gap(&mut self, seconds: i64) {
        self.now += SignedDuration::from_secs(seconds);
        self.runs.push(Vec::new());
    }

    /// Lies idle and drifts.
    pub(crate) fn drift(&mut self, toward: f64, speed: f64, seconds: u32) {
        let start = self.now;
        self.go(toward, [speed, speed], seconds);
        self.idle.push(IdleDrift {
            start,
            end: self.now,
            toward_deg: toward,
            speed_m_s: speed,
            used: true,
        });
    }

    /// A leg of approach and steady part, in seconds; in a cell of configuration and setting or in none.
    pub(crate) fn leg(
        &mut self,
        course: f64,
        speed: f64,
        [approach, steady]: [u32; 2],
        cell: Option<[&str; 2]>,
    ) {
        let course = course + 0.8 * self.noise();
        let speed = speed * (1.0 + 0.006 * self.noise());
        let (start, start_position) = (self.now, self.position());
        self.go(course, [speed * 0.45, speed], approach);
        let (steady_from, steady_position) = (self.now, self.position());
        self.go(course, [speed, speed], steady);
        let off_bow = self.wind_from.map(|from| {
            let course = Bearing::new(course).unwrap();
            course.turn_to(Bearing::new(from).unwrap()).degrees()
        });
        self.legs.push(Leg {
            leg: self.legs.len() + 1,
            track: 0,
            start,
            steady_from: Some(steady_from),
            end: self.now,
            duration_s: f64::from(approach + steady),
            length_m: speed * f64::from(steady) + 0.7 * speed * f64::from(approach),
            fixes: steady as usize,
            course_deg: Bearing::new(course).unwrap().degrees(),
            speed_m_s: Some(speed),
            speed_se_m_s: Some(speed * 0.0055),
            low_m_s: Some(speed * 0.98),
            high_m_s: Some(speed * 1.02),
            cross_track_rms_m: 1.4,
            recorded_speed_m_s: None,
            depth_m: None,
            wind_off_bow_deg: off_bow,
            wind_label: None,
            line: cell.is_some().then_some(1),
            double_run: None,
            configuration: cell.map(|[configuration, _]| configuration.to_owned()),
            setting: cell.map(|[_, setting]| setting.to_owned()),
            included: cell.is_some(),
            reason: cell.is_none().then(|| "no leg back on its line".to_owned()),
            start_position,
            steady_position: Some(steady_position),
            end_position: self.position(),
        });
    }

    /// Turns about and slows.
    pub(crate) fn turn(&mut self, from: f64, speed: f64) {
        for step in 1..=6 {
            self.go(from + 30.0 * f64::from(step), [speed * 0.5, speed * 0.5], 5);
        }
    }

    /// A double run: there, turn, back, turn.
    pub(crate) fn double_run(
        &mut self,
        axis: f64,
        speeds: [f64; 2],
        seconds: [u32; 2],
        cell: [&str; 2],
    ) {
        self.leg(axis, speeds[0], seconds, Some(cell));
        self.turn(axis, speeds[0]);
        // As far back as there.
        let steady = f64::from(seconds[1]) * speeds[0] / speeds[1];
        self.leg(
            axis + 180.0,
            speeds[1],
            [seconds[0], steady as u32],
            Some(cell),
        );
        self.turn(axis + 180.0, speeds[1]);
    }

    fn position(&self) -> Position {
        self.plane.position(self.at).unwrap()
    }

    /// The analysis of the day: consecutive legs of one cell are paired, cells averaged and compared.
    pub(crate) fn end(mut self) -> Analysis {
        let mut double_runs: Vec<DoubleRun> = Vec::new();
        let in_cells: Vec<usize> = (0..self.legs.len())
            .filter(|i| self.legs[*i].configuration.is_some())
            .collect();
        for pair in in_cells.chunks_exact(2) {
            let number = double_runs.len() + 1;
            let [a, b] = [&self.legs[pair[0]], &self.legs[pair[1]]];
            let [one, two] = [a.speed_m_s.unwrap(), b.speed_m_s.unwrap()];
            double_runs.push(DoubleRun {
                double_run: number,
                legs: [a.leg, b.leg],
                line: 1,
                axis_deg: a.course_deg % 180.0,
                at: a.end,
                mean_m_s: f64::midpoint(one, two),
                mean_se_m_s: Some(0.004 * one),
                root_mean_square_m_s: (f64::midpoint(one * one, two * two)).sqrt(),
                half_difference_m_s: (one - two) / 2.0,
                configuration: a.configuration.clone().unwrap(),
                setting: a.setting.clone().unwrap(),
                included: true,
                reason: None,
            });
            for i in pair {
                self.legs[*i].double_run = Some(number);
            }
        }
        self.assemble(double_runs)
    }

    fn assemble(self, double_runs: Vec<DoubleRun>) -> Analysis {
        let configurations = distinct(double_runs.iter().map(|r| &r.configuration));
        let mut settings = distinct(double_runs.iter().map(|r| &r.setting));
        let speed_at = |setting: &String| mean(&speeds(&double_runs, None, Some(setting)));
        settings.sort_by(|a, b| speed_at(a).total_cmp(&speed_at(b)));
        let mut cells = Vec::new();
        for setting in &settings {
            for configuration in &configurations {
                cells.extend(cell(&double_runs, configuration, setting));
            }
        }
        let comparisons = comparisons(&configurations, &settings, &cells);
        let first = double_runs
            .first()
            .and_then(|r| self.legs.get(r.legs[0] - 1));
        let lines = first.map(|leg| CourseLine {
            line: 1,
            axis_deg: leg.course_deg % 180.0,
            from: leg.start_position,
            to: leg.end_position,
            length_m: leg.length_m,
            legs: self
                .legs
                .iter()
                .filter(|l| l.line.is_some())
                .map(|l| l.leg)
                .collect(),
        });
        let times = |name: &String| -> Vec<Timestamp> {
            let own = double_runs.iter().filter(|r| r.configuration == *name);
            own.map(|r| r.at).collect()
        };
        Analysis {
            schema: SCHEMA,
            title: None,
            units: SpeedUnit::Knots,
            timezone: Zone {
                name: "Europe/Stockholm".to_owned(),
                source: ZoneSource::Position,
            },
            tracks: vec![TrackSummary {
                file: "day.gpx".to_owned(),
                fixes_read: 0,
                fixes_used: 0,
                set_aside: Vec::new(),
                remarks: Vec::new(),
                from: None,
                to: None,
                interval_s: Some(1.0),
            }],
            wind: Wind {
                from_deg: self.wind_from,
                from_se_deg: self.wind_from.map(|_| 6.0),
                speed_m_s: self.wind_from.map(|_| 4.6),
                source: if self.wind_from.is_some() {
                    WindSource::Drift
                } else {
                    WindSource::None
                },
                remark: None,
            },
            lines: lines.into_iter().collect(),
            configurations: configurations
                .iter()
                .map(|name| Configuration {
                    name: name.clone(),
                    from: times(name)[0],
                    to: *times(name).last().unwrap(),
                    source: GroupSource::Track,
                })
                .collect(),
            settings: settings
                .iter()
                .map(|name| Setting {
                    name: name.clone(),
                    percent: None,
                    source: GroupSource::Track,
                })
                .collect(),
            cells,
            comparisons,
            double_runs,
            legs: self.legs,
            idle: self.idle,
            settling_time_s: Some(14.0),
            warnings: Vec::new(),
            rules: Rules::default(),
            trail: Trail {
                plane: Some(self.plane),
                runs: self.runs,
                speeds: self.speeds,
            },
        }
    }
}

fn distinct<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for name in names {
        if !found.contains(name) {
            found.push(name.clone());
        }
    }
    found
}

fn speeds(
    runs: &[DoubleRun],
    configuration: Option<&String>,
    setting: Option<&String>,
) -> Vec<f64> {
    runs.iter()
        .filter(|r| configuration.is_none_or(|c| *c == r.configuration))
        .filter(|r| setting.is_none_or(|s| *s == r.setting))
        .map(|r| r.mean_m_s)
        .collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// A cell; its interval is a plain ±0.8 %, there being nothing to measure.
fn cell(runs: &[DoubleRun], configuration: &String, setting: &String) -> Option<Cell> {
    let belongs = |r: &&DoubleRun| r.configuration == *configuration && r.setting == *setting;
    let numbers: Vec<usize> = runs.iter().filter(belongs).map(|r| r.double_run).collect();
    if numbers.is_empty() {
        return None;
    }
    let mean = mean(&speeds(runs, Some(configuration), Some(setting)));
    Some(Cell {
        configuration: configuration.clone(),
        setting: setting.clone(),
        mean_interval_m_s: (numbers.len() > 1).then_some(Interval {
            low: mean * 0.992,
            high: mean * 1.008,
        }),
        double_runs: numbers,
        mean_m_s: mean,
        mean_of_means_m_s: None,
        half_difference_m_s: 0.1,
        half_difference_per_hour_m_s: None,
    })
}

fn comparisons(configurations: &[String], settings: &[String], cells: &[Cell]) -> Vec<Comparison> {
    let Some((baseline, others)) = configurations.split_first() else {
        return Vec::new();
    };
    let find = |configuration: &String, setting: &String| {
        cells
            .iter()
            .find(|c| c.configuration == *configuration && c.setting == *setting)
    };
    let mut all = Vec::new();
    for changed in others {
        let mut ratios = Vec::new();
        for setting in settings {
            if let (Some(a), Some(b)) = (find(baseline, setting), find(changed, setting)) {
                ratios.push(b.mean_m_s / a.mean_m_s);
                all.push(comparison(baseline, a, b));
            }
        }
        if !ratios.is_empty() {
            all.push(Comparison {
                baseline: baseline.clone(),
                changed: changed.clone(),
                setting: None,
                double_runs: [6, 6],
                baseline_m_s: None,
                changed_m_s: None,
                difference_m_s: Difference::default(),
                percent: percent(100.0 * (mean(&ratios) - 1.0), 0.9),
                within_run_percent: None,
                p_value: None,
                verdict: verdict(100.0 * (mean(&ratios) - 1.0), 0.9),
                reason: None,
            });
        }
    }
    all
}

fn comparison(baseline: &str, a: &Cell, b: &Cell) -> Comparison {
    let change = 100.0 * (b.mean_m_s / a.mean_m_s - 1.0);
    let few = a.double_runs.len() < 2 || b.double_runs.len() < 2;
    Comparison {
        baseline: baseline.to_owned(),
        changed: b.configuration.clone(),
        setting: Some(b.setting.clone()),
        double_runs: [a.double_runs.len(), b.double_runs.len()],
        baseline_m_s: Some(a.mean_m_s),
        changed_m_s: Some(b.mean_m_s),
        difference_m_s: Difference::default(),
        percent: if few {
            Percent {
                value: Some(change),
                low: None,
                high: None,
            }
        } else {
            percent(change, 1.4)
        },
        within_run_percent: few.then_some(Interval {
            low: change - 0.8,
            high: change + 0.8,
        }),
        p_value: None,
        verdict: if few {
            Verdict::TooFewRuns
        } else {
            verdict(change, 1.4)
        },
        reason: None,
    }
}

fn percent(change: f64, reach: f64) -> Percent {
    Percent {
        value: Some(change),
        low: Some(change - reach),
        high: Some(change + reach),
    }
}

fn verdict(change: f64, reach: f64) -> Verdict {
    if change > reach {
        Verdict::Faster
    } else if change < -reach {
        Verdict::Slower
    } else {
        Verdict::NotShown
    }
}

/// The usual day: ride out, fishing, two configurations at two settings with three double runs each,
/// a swap with idle drift between, more fishing and the ride home.
pub(crate) fn usual() -> Analysis {
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
pub(crate) fn trial(configurations: &[&str], settings: &[&str], each: usize) -> Analysis {
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
pub(crate) fn far_ride() -> Analysis {
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
pub(crate) fn nothing() -> Analysis {
    let mut analysis = Log::begin("2025-06-14T05:40:00Z", 0.0, 0.0).no_wind().end();
    analysis.trail = Trail::default();
    analysis
}
