//! A log of an invented day, written stretch by stretch: what a track and its legs would be.
//!
//! Speeds, wind and water are made up; nothing here checks a measurement.

use jiff::{SignedDuration, Timestamp};
use thereback::day::{IdleDrift, Leg, SpeedPoint, TrailPoint};
use thereback::geometry::{Plane, PlanePoint};
use thereback::track::Position;
use thereback::units::Bearing;

/// A day under way: what was recorded so far.
pub(crate) struct Log {
    pub(crate) plane: Plane,
    now: Timestamp,
    at: PlanePoint,
    noise: u64,
    pub(crate) legs: Vec<Leg>,
    pub(crate) idle: Vec<IdleDrift>,
    pub(crate) runs: Vec<Vec<TrailPoint>>,
    pub(crate) speeds: Vec<SpeedPoint>,
    /// Speeds not yet averaged.
    tenth: Vec<f64>,
    pub(crate) wind_from: Option<f64>,
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
                    speed_m_s: self.tenth.iter().sum::<f64>() / 10.0,
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
            day: 1,
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
            heading_deg: None,
            water_speed_m_s: None,
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
}
