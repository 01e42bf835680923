//! Where the wind carries the boat, from its drift idle and under way.
//!
//! Idle, wind and water carry the boat: `d = w + c`. Along the line of a double run half the sum of
//! both legs' velocities shows the water and a share of what the wind does to the idle boat:
//! `h = c + r w`. Across it shows the same, unless the helm kept to a line over the ground. Every
//! current `c` of a lattice is weighed by how usual it is, and how usual it leaves the wind's part
//! and the double runs; the direction of `w` is averaged over all of them. Beside that stands that
//! nothing of `d` is a drift, for the boat was moved under power.

use std::f64::consts::TAU;

use serde::Serialize;

use super::idle::Drift;
use crate::segmenter::Run;
use crate::units::Bearing;

/// What is usual of drifts and currents.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DownwindRules {
    /// Share of waters that stand still, where nobody says what the water does: lakes, and slack
    /// (common practice, no source).
    pub still_share: f64,
    /// Movement of water that counts as still, m/s, standard deviation: eddies, seiches (common
    /// practice, no source).
    pub eddy_m_s: f64,
    /// A current in which people test boats, m/s, standard deviation of each component (common
    /// practice, no source).
    pub current_m_s: f64,
    /// A current differs by this share from place to place and while a tide turns (common practice,
    /// no source).
    pub place_share: f64,
    /// What the wind does to the idle boat, m/s: at 3 to 6 % of the wind (common practice, no
    /// source) 2.7 m/s of wind, a light breeze, make as much.
    pub wind_drift_m_s: f64,
    /// The same is known to this, standard deviation of the logarithm: half to twice as much wind.
    pub wind_drift_spread: f64,
    /// Share of that drift by which a wind along the line moves the boat under way, whose propeller
    /// holds against it (balance of forces, with windages of open boats) ...
    pub under_way_share: f64,
    /// ... and its standard deviation.
    pub under_way_spread: f64,
    /// Error of the drift of one double run, m/s: a gust on one leg and not on the other.
    pub double_run_m_s: f64,
    /// Share of the stops before and after a trial at which the boat was moved under power: people
    /// then fish, row, and idle along.
    pub powered_share: f64,
    /// A boat moved so is about as fast as this, m/s, standard deviation of each component.
    pub powered_m_s: f64,
}

impl Default for DownwindRules {
    fn default() -> Self {
        Self {
            still_share: 0.6,
            eddy_m_s: 0.03,
            current_m_s: 0.25,
            place_share: 0.2,
            wind_drift_m_s: 0.12,
            wind_drift_spread: 0.7,
            under_way_share: 0.35,
            under_way_spread: 0.2,
            double_run_m_s: 0.03,
            powered_share: 0.5,
            powered_m_s: 0.4,
        }
    }
}

/// Where the wind carries the boat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Downwind {
    /// The direction.
    pub(crate) toward: Bearing,
    /// Its standard error, degrees.
    pub(crate) se_deg: f64,
    /// How probable a current is, `[0, 1]`.
    pub(crate) current: f64,
}

/// The mean drift of the double runs on one line: along it and across, m/s.
struct OnLine {
    axis: Bearing,
    count: f64,
    along: f64,
    across: f64,
}

impl OnLine {
    fn all(runs: &[Run]) -> Vec<Self> {
        let lines = runs.iter().map(|run| run.line + 1).max().unwrap_or(0);
        let of = |line: usize| {
            let own = || runs.iter().filter(move |run| run.line == line);
            let axis = own().next()?.axis;
            let count = own().count() as f64;
            let mean = |seen: fn([f64; 2], Bearing) -> f64| {
                own().map(|run| seen(run.drift(), axis)).sum::<f64>() / count
            };
            let (along, across) = (mean(along), mean(across));
            Some(Self {
                axis,
                count,
                along,
                across,
            })
        };
        (0..lines).filter_map(of).collect()
    }

    /// Density of these two in a current and a wind's drift, of which that under way is known to
    /// `spread`, m/s along and across.
    fn density(&self, c: [f64; 2], part: [f64; 2], spread: [f64; 2], rules: &DownwindRules) -> f64 {
        let one = rules.double_run_m_s;
        let place = rules.place_share * size(c);
        let error = (one / self.count.sqrt()).hypot(place).hypot(one / 3.0);
        // A compass or a hand turns the boat by degrees from leg to leg, which shows across.
        let seen = normal(
            self.across - across(c, self.axis) - across(part, self.axis),
            (2.0 * error).hypot(spread[1]),
        );
        let kept_to_line = normal(self.across, 2.0 * one);
        let off = self.along - along(c, self.axis) - along(part, self.axis);
        normal(off, error.hypot(spread[0])) * f64::midpoint(seen, kept_to_line)
    }
}

impl Downwind {
    /// That of a drift that the stops have in common and of the double runs.
    ///
    /// `still_water`: whether the person said that no current runs. `powered_share`: of the stops.
    pub(crate) fn of(
        drift: &Drift,
        runs: &[Run],
        still_water: Option<bool>,
        powered_share: f64,
        rules: &DownwindRules,
    ) -> Option<Self> {
        /// A lattice of 2 cm/s out to 0.9 m/s: a current beyond that is no water for a small boat.
        const STEP_M_S: f64 = 0.02;
        const STEPS: i32 = 45;
        /// Directions of one stop that another shares by chance: one in ten.
        const BY_CHANCE: f64 = 0.1;
        let lines = OnLine::all(runs);
        let (east, north) = drift.toward.unit();
        let idle = [east * drift.speed, north * drift.speed];
        let still = match still_water {
            Some(true) => 1.0,
            Some(false) => 0.0,
            None => rules.still_share,
        };
        let (mut drifted, mut current, mut powered) = (0.0, 0.0, 0.0);
        let mut sum = [0.0; 2];
        for index in -STEPS..=STEPS {
            for other in -STEPS..=STEPS {
                let c = [index, other].map(|k| f64::from(k) * STEP_M_S);
                let w = [idle[0] - c[0], idle[1] - c[1]];
                let speed = size(w).max(STEP_M_S / 2.0);
                let runs_in = (1.0 - still) * normal_about_none(c, rules.current_m_s);
                let usual = still * normal_about_none(c, rules.eddy_m_s) + runs_in;
                let usual_wind = (speed / rules.wind_drift_m_s).ln();
                let wind = normal(usual_wind, rules.wind_drift_spread) / (TAU * speed * speed);
                let (mut with, mut without) = (1.0, 1.0);
                for line in &lines {
                    let part = w.map(|v| v * rules.under_way_share);
                    let spread = [along(w, line.axis), across(w, line.axis)];
                    let spread = spread.map(|v| v * rules.under_way_spread);
                    with *= line.density(c, part, spread, rules);
                    // Of a wind that nothing shows, as much may come through.
                    let any = rules.under_way_share * rules.wind_drift_m_s;
                    without *= line.density(c, [0.0; 2], [any; 2], rules);
                }
                let weight = usual * wind * with;
                drifted += weight;
                powered += usual * without;
                current += weight * runs_in / usual.max(f64::MIN_POSITIVE);
                sum = [0, 1].map(|axis| sum[axis] + weight * w[axis] / speed);
            }
        }
        let agreeing = drift.used.iter().filter(|used| **used).count().max(1) as f64;
        let powered = powered
            * powered_share
            * normal_about_none(idle, rules.powered_m_s)
            * BY_CHANCE.powf(agreeing - 1.0);
        let length = size(sum) / (drifted + powered / (1.0 - powered_share));
        // Of directions whose mean vector is so long (Mardia & Jupp, from memory).
        let spread = (-2.0 * length.clamp(1e-9, 1.0).ln()).sqrt().to_degrees();
        Some(Self {
            toward: Bearing::of_vector(sum[0], sum[1]).filter(|_| length.is_finite())?,
            se_deg: spread.hypot(drift.se_deg),
            current: current / drifted,
        })
    }
}

fn size(v: [f64; 2]) -> f64 {
    v[0].hypot(v[1])
}

fn along(v: [f64; 2], axis: Bearing) -> f64 {
    let (east, north) = axis.unit();
    v[0] * east + v[1] * north
}

fn across(v: [f64; 2], axis: Bearing) -> f64 {
    let (east, north) = axis.unit();
    v[0] * north - v[1] * east
}

fn normal(off: f64, sd: f64) -> f64 {
    (-0.5 * (off / sd).powi(2)).exp() / (sd * TAU.sqrt())
}

fn normal_about_none(v: [f64; 2], sd: f64) -> f64 {
    normal(v[0], sd) * normal(v[1], sd)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may fail loudly")]
mod tests {
    use super::*;

    /// Where the wind carries a boat that drifted idle at two stops as given, and under way along
    /// a line to the east by `along`, m/s.
    fn downwind(idle: [f64; 2], along: f64, still_water: Option<bool>) -> Downwind {
        let drift = Drift {
            toward: Bearing::of_vector(idle[0], idle[1]).unwrap(),
            se_deg: 8.0,
            speed: size(idle),
            speed_se: 0.02,
            used: vec![true, true],
        };
        let run = |start: f64| Run {
            legs: [0, 1],
            line: 0,
            axis: Bearing::new(90.0).unwrap(),
            speed: 1.5,
            drift_along: along,
            drift_across: 0.0,
            se: Some(0.01),
            first_along: true,
            start,
            end: start + 600.0,
        };
        let runs = [run(0.0), run(700.0)];
        Downwind::of(&drift, &runs, still_water, 0.2, &DownwindRules::default()).unwrap()
    }

    #[test]
    fn a_drift_that_hardly_shows_under_way_is_the_wind() {
        let found = downwind([0.2, 0.0], 0.06, None);
        assert!(found.toward.apart(Bearing::new(90.0).unwrap()) < 3.0);
        assert!(found.se_deg < 30.0 && found.current < 0.5, "{found:?}");
    }

    #[test]
    fn a_drift_as_under_way_is_a_current_and_names_no_wind() {
        let found = downwind([0.4, 0.0], 0.4, None);
        assert!(found.se_deg > 40.0 && found.current > 0.9, "{found:?}");
        // Who knows that the water stands still may take it for the wind.
        let found = downwind([0.4, 0.0], 0.2, Some(true));
        assert!(found.se_deg < 20.0 && found.current < 0.01, "{found:?}");
    }

    #[test]
    fn what_the_water_carries_is_taken_off() {
        // A wind toward the north and a current toward the east.
        let found = downwind([0.2, 0.15], 0.2, None);
        assert!(found.toward.degrees() < 45.0, "{found:?}");
    }
}
