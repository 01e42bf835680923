//! What the boat did at a stop, and which way wind and water carried it.
//!
//! After the motor stops a boat keeps way for minutes. The resistance of the hull grows with the
//! square of its speed through the water, so the way `w` on top of a lasting drift `u` falls as
//! `dw/dt = -w (w + |u|) / L`. `L` is mass over resistance, the coasting length. The solution is
//! ```text
//! w(t) = w0 g(t),   g(t) = |u| e / (|u| + |w0| (1 - e)),   e = exp(-|u| t / L)
//! ```
//! and with a small `u` it is the `1 / (1 + |w0| t / L)` of a boat that coasts in a calm. The
//! velocity over ground, `u + w0 g(t)`, is fitted for several `L`. These fits are averaged, each
//! with the weight of how well it fits and how usual such a boat is.

use serde::Serialize;

use crate::geometry::PathPoint;
use crate::stats::long_run::{USUAL_COSINES, low_frequency_variance};
use crate::stats::quantile::median;
use crate::units::Bearing;

/// How a stop is judged and the drift is measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IdleRules {
    /// Shortest stop that is judged, s. The usual boat has lost nine tenths of 1 m/s by then;
    /// before that, way and drift cannot be told apart.
    pub least_s: f64,
    /// Shortest step over which a velocity is taken, s. Shorter ones show waves, whose periods
    /// on sheltered water are below 10 s (common practice, no source).
    pub step_s: f64,
    /// Usual coasting length, m: mass over `½ ρ (C S + A)`. `S`, the wetted area, is 2.6 times
    /// the root of displaced volume times length (Taylor's formula, from memory), `C` is 0.006 to
    /// 0.01, two to three times the ITTC friction line of 1957, and `A` of 0.02 m² is motor leg
    /// and stopped propeller. Canoe, dinghy and cruiser of two tonnes: 7, 12 and 36 m.
    pub coasting_m: f64,
    /// Factor either way, as one standard deviation, by which that length is uncertain.
    pub coasting_factor: f64,
    /// Standard deviation of the wind's direction in gusts, degrees. Source: 10 in neutral air
    /// (stability class D; US EPA-454/R-99-005, section 6.4.4, from memory).
    pub gust_deg: f64,
    /// How long a gust, or a swing of the bow, lasts, s (common practice, no source).
    pub gust_s: f64,
    /// Slowest drift that is one, m/s: at 3 to 6 % of the wind (common practice, no source) it takes
    /// light air, 1 m/s, and a boat that still glides after a burst of the motor is as fast.
    pub least_drift_m_s: f64,
    /// Standard errors that a drift must differ from none by. Two normal coordinates lie
    /// within 3 in 99 of 100 cases.
    pub least_ratio: f64,
    /// Lasting movement of water that counts as still, alike at every stop, m/s: eddies, seiches, a
    /// stream that differs from place to place (common practice, no source).
    pub eddy_m_s: f64,
    /// A hull does not drift dead downwind; standard error of that at one stop, degrees, by the
    /// side that the bow fell off to (common practice, no source).
    pub slant_deg: f64,
    /// The same, but alike at every stop, degrees: windage of motor or canopy (common practice,
    /// no source).
    pub lasting_slant_deg: f64,
    /// Share of the stops at which something else moved the boat: a paddle, short bursts of the
    /// motor, a trolling motor left on (common practice, no source).
    pub steered_share: f64,
}

impl Default for IdleRules {
    fn default() -> Self {
        Self {
            least_s: 120.0,
            step_s: 10.0,
            coasting_m: 12.0,
            coasting_factor: 2.0,
            gust_deg: 10.0,
            gust_s: 60.0,
            least_drift_m_s: 0.04,
            least_ratio: 3.0,
            eddy_m_s: 0.03,
            slant_deg: 5.0,
            lasting_slant_deg: 4.0,
            steered_share: 0.2,
        }
    }
}

/// What the boat did at a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum IdleKind {
    /// Wind or water carried it away.
    Adrift,
    /// It did not get away: at anchor, made fast, or in a calm.
    Anchored,
    /// The fixes do not show which.
    Unclear,
}

/// One stop of the boat and what it did there.
#[derive(Debug, Clone, PartialEq)]
pub struct Idle {
    /// Start, s.
    pub from: f64,
    /// End, s.
    pub to: f64,
    /// What it did.
    pub kind: IdleKind,
    /// Lasting drift toward the east, way taken off, m/s; `None` for a stop too short.
    pub east_m_s: Option<f64>,
    /// Lasting drift toward the north, m/s.
    pub north_m_s: Option<f64>,
    /// Standard error of each of the two, m/s.
    pub se_m_s: Option<f64>,
}

/// The drift that the stops have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// Where to.
    pub toward: Bearing,
    /// Standard error of that direction as downwind in still water, degrees.
    pub se_deg: f64,
    /// Speed, m/s.
    pub speed: f64,
    /// Its standard error, m/s.
    pub speed_se: f64,
    /// Which of the stops were used.
    pub used: Vec<bool>,
}

/// Judges the stop from `from` to `to`; `way` is the velocity just before it, east and north, m/s.
///
/// Of the way only the size is used: its direction changes as the boat turns and loses it.
pub fn idle(
    path: &[PathPoint],
    from: f64,
    to: f64,
    way: Option<[f64; 2]>,
    rules: &IdleRules,
) -> Idle {
    let measured = Steps::new(path, from, to, rules)
        .and_then(|steps| Some((averaged(&steps, way, rules)?, steps)));
    let (kind, drift, se) = match measured {
        Some(((drift, se), steps)) => {
            let speed = drift[0].hypot(drift[1]);
            let kind = if stays(path, &steps, rules) {
                IdleKind::Anchored
            } else if speed >= rules.least_drift_m_s && speed >= rules.least_ratio * se {
                IdleKind::Adrift
            } else {
                IdleKind::Unclear
            };
            (kind, drift.map(Some), Some(se))
        }
        None => (IdleKind::Unclear, [None; 2], None),
    };
    Idle {
        from,
        to,
        kind,
        east_m_s: drift[0],
        north_m_s: drift[1],
        se_m_s: se,
    }
}

/// Whether the boat did not get away: from the first to the last third of the stop, the way gone,
/// its median place moved less than the slowest drift would have carried it.
fn stays(path: &[PathPoint], steps: &Steps, rules: &IdleRules) -> bool {
    /// Places in each third; more change the median by less than the receiver's error.
    const PLACES: u32 = 20;
    let settling = (rules.least_s / 2.0).min(steps.duration() / 4.0);
    let third = (steps.duration() - settling) / 3.0;
    let place = |thirds: f64| {
        let start = steps.start + settling + thirds * third;
        let places: Vec<[f64; 2]> = (0..PLACES)
            .filter_map(|k| place_at(path, start + third * f64::from(k) / f64::from(PLACES)))
            .collect();
        let east = median(&places.iter().map(|p| p[0]).collect::<Vec<_>>())?;
        let north = median(&places.iter().map(|p| p[1]).collect::<Vec<_>>())?;
        Some([east, north])
    };
    place(0.0).zip(place(2.0)).is_some_and(|(a, b)| {
        (b[0] - a[0]).hypot(b[1] - a[1]) < rules.least_drift_m_s * 2.0 * third
    })
}

/// Velocities of one stop over steps of one length.
struct Steps {
    /// Start of the first, s.
    start: f64,
    length_s: f64,
    /// From the start of the stop to the middle of each, s.
    middle: Vec<f64>,
    /// East and north, m/s.
    velocity: [Vec<f64>; 2],
    /// What the recorder leaves open, over the whole time, m/s.
    resolution: f64,
}

impl Steps {
    /// Makes the steps so long that the boat goes a few times as far as between two fixes: each
    /// then shows a movement and not a jump, also where coordinates are coarse or noisy.
    fn new(path: &[PathPoint], from: f64, to: f64, rules: &IdleRules) -> Option<Self> {
        /// A step's velocity is then good to a third.
        const RESOLUTIONS: f64 = 3.0;
        /// Twice the cosines that the standard error needs.
        const LEAST_STEPS: usize = 2 * USUAL_COSINES;
        /// A day; the count of steps stays small whatever the times are.
        const LONGEST_S: f64 = 86_400.0;
        // With the fix before and the fix after.
        let begin = path.partition_point(|p| p.t <= from).saturating_sub(1);
        let end = path.partition_point(|p| p.t < to) + 1;
        let own = path.get(begin..end.min(path.len()))?;
        let start = from.max(own.first()?.t);
        let time = to.min(own.last()?.t) - start;
        if !(rules.least_s..=LONGEST_S).contains(&time) {
            return None;
        }
        let moves: Vec<f64> = own
            .iter()
            .zip(own.iter().skip(1))
            .map(|(a, b)| a.at.distance(b.at))
            .filter(|metres| *metres > 0.0)
            .collect();
        let resolution = median(&moves).unwrap_or(0.0);
        let (a, b) = (place_at(own, start)?, place_at(own, start + time)?);
        let speed = (b[0] - a[0]).hypot(b[1] - a[1]) / time;
        let wanted = (RESOLUTIONS * resolution / speed).max(rules.step_s);
        let count = ((time / wanted) as usize).max(LEAST_STEPS);
        let length_s = time / count as f64;
        let places: Vec<[f64; 2]> = (0..=count)
            .map(|k| place_at(own, start + k as f64 * length_s))
            .collect::<Option<_>>()?;
        let velocity = [0, 1].map(|axis| {
            let next = places.iter().skip(1);
            let pairs = places.iter().zip(next);
            pairs.map(|(a, b)| (b[axis] - a[axis]) / length_s).collect()
        });
        let first = start - from + length_s / 2.0;
        Some(Self {
            start,
            length_s,
            middle: (0..count).map(|k| first + k as f64 * length_s).collect(),
            velocity,
            resolution: resolution / time,
        })
    }

    fn duration(&self) -> f64 {
        self.length_s * self.middle.len() as f64
    }
}

/// The place at a time, on straight lines between the fixes; beyond them, the nearest.
fn place_at(path: &[PathPoint], t: f64) -> Option<[f64; 2]> {
    let after = path.partition_point(|p| p.t < t);
    let b = path.get(after).or(path.last())?;
    let a = path.get(after.saturating_sub(1))?;
    let share = if b.t > a.t {
        (t - a.t) / (b.t - a.t)
    } else {
        1.0
    }
    .clamp(0.0, 1.0);
    Some([
        a.at.east + share * (b.at.east - a.at.east),
        a.at.north + share * (b.at.north - a.at.north),
    ])
}

/// The drift over all coasting lengths, and the standard error of each component.
fn averaged(steps: &Steps, way: Option<[f64; 2]>, rules: &IdleRules) -> Option<([f64; 2], f64)> {
    /// Points of the normal distribution of the logarithm of the length, in standard deviations.
    const POINTS: [f64; 9] = [-2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0];
    // Two components, independent from gust to gust.
    let independent = steps.duration() / rules.gust_s;
    let fits: Vec<(f64, Fit)> = POINTS
        .iter()
        .filter_map(|z| {
            let coasting_m = rules.coasting_m * rules.coasting_factor.powf(*z);
            let fit = Fit::new(steps, way, coasting_m, rules)?;
            Some((-0.5 * z * z - independent * fit.scatter.ln(), fit))
        })
        .collect();
    let best = fits.iter().map(|f| f.0).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = fits.iter().map(|f| (f.0 - best).exp()).sum();
    let mean = |value: &dyn Fn(&Fit) -> f64| -> f64 {
        let shares = fits
            .iter()
            .map(|(score, fit)| (score - best).exp() * value(fit));
        shares.sum::<f64>() / total
    };
    let drift = [0, 1].map(|axis| mean(&|fit| fit.drift[axis]));
    let within = mean(&|fit| fit.variance);
    let among = mean(&|fit| {
        let [e, n] = [0, 1].map(|axis| fit.drift[axis] - drift[axis]);
        f64::midpoint(e * e, n * n)
    });
    let se = (within + among + steps.resolution.powi(2)).sqrt();
    (drift.iter().all(|v| v.is_finite()) && se.is_finite()).then_some((drift, se))
}

/// Drift and way for one coasting length.
struct Fit {
    drift: [f64; 2],
    /// Of each component of the drift.
    variance: f64,
    /// Robust size of the residuals, m/s.
    scatter: f64,
}

impl Fit {
    /// Least squares with Tukey's biweight, which leaves out steps far off: a burst of the motor,
    /// a few strokes of the paddle, the start of the next run.
    fn new(
        steps: &Steps,
        way: Option<[f64; 2]>,
        coasting_m: f64,
        rules: &IdleRules,
    ) -> Option<Self> {
        /// More change the drift by less than a tenth of its standard error.
        const ROUNDS: usize = 15;
        /// 95 % as good as least squares on normal data (Beaton & Tukey 1974, Technometrics 16).
        const BIWEIGHT: f64 = 4.685;
        /// Median size of a standard normal vector in two dimensions, `√(2 ln 2)`.
        const MEDIAN_SIZE: f64 = 1.177_41;
        let [east, north] = &steps.velocity;
        // The median of the later half, when most of the way has gone.
        let later = |v: &[f64]| median(v.get(v.len() / 2..)?);
        let mut drift = [later(east)?, later(north)?];
        let mut first = [east.first()? - drift[0], north.first()? - drift[1]];
        let mut best = None;
        for _ in 0..ROUNDS {
            let lasting = drift[0].hypot(drift[1]).max(rules.least_drift_m_s / 2.0);
            let start = way.map_or(first, |way| [way[0] - drift[0], way[1] - drift[1]]);
            let start = start[0].hypot(start[1]);
            let fall = steps.middle.iter();
            let fall: Vec<f64> = fall.map(|t| left(*t, start, lasting, coasting_m)).collect();
            let residual = |axis: usize| -> Vec<f64> {
                let of = steps.velocity[axis].iter().zip(&fall);
                of.map(|(v, g)| v - drift[axis] - first[axis] * g).collect()
            };
            let residuals = [residual(0), residual(1)];
            let pairs = residuals[0].iter().zip(&residuals[1]);
            let sizes: Vec<f64> = pairs.map(|(e, n)| e.hypot(*n)).collect();
            // No smaller than gusts make it, or a few steps that are alike would rule.
            let gusts = lasting * rules.gust_deg.to_radians();
            let spread = (median(&sizes)? / MEDIAN_SIZE).max(gusts);
            let kept = sizes.iter().map(|size| {
                let off = (size / (BIWEIGHT * spread)).min(1.0);
                1.0 - off * off
            });
            let weights: Vec<f64> = kept.clone().map(|k| k * k).collect();
            // The mean of the bounded loss counts what was left out against the fit (the τ-scale
            // of Yohai & Zamar 1988, Journal of the American Statistical Association 83).
            let loss: f64 = kept.map(|k| 1.0 - k * k * k).sum();
            let scatter = (spread * (loss / sizes.len() as f64).sqrt()).max(f64::MIN_POSITIVE);
            let [mut a, mut b, mut c] = [0.0; 3];
            for (w, g) in weights.iter().zip(&fall) {
                a += w;
                b += w * g;
                c += w * g * g;
            }
            let determinant = a * c - b * b;
            if determinant.is_nan() || determinant <= 1e-9 * a * c {
                return None;
            }
            // The drift is a sum over the steps; one root of the weight goes to each factor, so
            // that steps left out count for nothing in either.
            let roots: Vec<f64> = weights.iter().map(|w| w.sqrt()).collect();
            let counts = fall.iter().zip(&roots);
            let counts: Vec<f64> = counts.map(|(g, r)| r * (c - b * g) / determinant).collect();
            let mut low = 0.0;
            for (axis, velocity) in steps.velocity.iter().enumerate() {
                let (mut sum, mut falling) = (0.0, 0.0);
                for ((w, g), v) in weights.iter().zip(&fall).zip(velocity) {
                    sum += w * v;
                    falling += w * g * v;
                }
                drift[axis] = (c * sum - b * falling) / determinant;
                first[axis] = (a * falling - b * sum) / determinant;
                let weighted = residuals[axis].iter().zip(&roots);
                let weighted: Vec<f64> = weighted.map(|(v, root)| v * root).collect();
                low += low_frequency_variance(&weighted, &counts, USUAL_COSINES)?.variance / 2.0;
            }
            // Few cosines scatter widely, so usual gusts are put in as if two more had shown them.
            let usual = gusts * gusts * 2.0 * rules.gust_s / steps.length_s;
            let usual = usual * counts.iter().map(|s| s * s).sum::<f64>();
            let cosines = USUAL_COSINES as f64;
            best = Some(Self {
                drift,
                variance: (cosines * low + 2.0 * usual) / (cosines + 2.0),
                scatter,
            });
        }
        best
    }
}

/// Share of the way left after `t` s: `g` of the module's head.
fn left(t: f64, start: f64, lasting: f64, coasting_m: f64) -> f64 {
    let e = (-lasting * t / coasting_m).exp();
    lasting * e / (lasting + start * (1.0 - e))
}

/// The drift that the stops have in common; `None` where the boat never lay adrift.
///
/// Anchored stops and those too slow for a direction say nothing. Of the others each points
/// downwind as well as its standard error allows or, now and then, anywhere (a mixture with a
/// uniform share for outliers; Box & Tiao 1968, Biometrika 55). Where those used still scatter
/// more than they should, as in a veering wind, the standard error is widened by the ratio (Birge
/// 1932, Physical Review 40).
pub fn common_drift(idles: &[Idle], rules: &IdleRules) -> Option<Drift> {
    let own: Vec<Option<Toward>> = idles.iter().map(|i| Toward::of(i, rules)).collect();
    let seen: Vec<&Toward> = own.iter().flatten().collect();
    let likely = |centre: Bearing| -> f64 {
        let each = seen.iter().map(|one| one.downwind(centre, rules));
        each.map(|(downwind, other)| (downwind + other).ln()).sum()
    };
    let start = seen
        .iter()
        .max_by(|a, b| likely(a.direction).total_cmp(&likely(b.direction)))?;
    let belongs = |one: &Toward| {
        let (downwind, other) = one.downwind(start.direction, rules);
        downwind >= other
    };
    let used: Vec<bool> = own
        .iter()
        .map(|o| o.as_ref().is_some_and(belongs))
        .collect();
    let kept: Vec<&Toward> = seen.into_iter().filter(|one| belongs(one)).collect();
    let total: f64 = kept.iter().map(|one| one.weight()).sum();
    let mean = |value: &dyn Fn(&Toward) -> f64| -> f64 {
        kept.iter()
            .map(|one| one.weight() * value(one))
            .sum::<f64>()
            / total
    };
    let toward = Bearing::of_vector(
        mean(&|one| one.direction.unit().0),
        mean(&|one| one.direction.unit().1),
    )?;
    let speed = mean(&|one| one.speed);
    let more = (kept.len() as f64 - 1.0).max(1.0);
    let square = |one: &Toward| (one.direction.apart(toward) / one.se_deg).powi(2);
    let ratio = kept.iter().map(|one| square(one)).sum::<f64>() / more;
    // Of a weighted mean: what each speed is uncertain by, and how they differ.
    let speed_variance =
        mean(&|one| one.weight() / total * (one.speed_se.powi(2) + (one.speed - speed).powi(2)));
    Some(Drift {
        toward,
        se_deg: (ratio.max(1.0) / total)
            .sqrt()
            .hypot(rules.lasting_slant_deg)
            .hypot(rules.eddy_m_s.atan2(speed).to_degrees()),
        speed,
        speed_se: speed_variance.sqrt(),
        used,
    })
}

/// Where the boat drifted to at one stop.
struct Toward {
    direction: Bearing,
    se_deg: f64,
    speed: f64,
    speed_se: f64,
}

impl Toward {
    fn of(idle: &Idle, rules: &IdleRules) -> Option<Self> {
        let (east, north) = (idle.east_m_s?, idle.north_m_s?);
        let (speed, speed_se) = (east.hypot(north), idle.se_m_s?);
        let drifted = idle.kind != IdleKind::Anchored && speed >= rules.least_drift_m_s;
        Some(Self {
            direction: Bearing::of_vector(east, north).filter(|_| drifted)?,
            se_deg: (speed_se / speed).to_degrees().hypot(rules.slant_deg),
            speed,
            speed_se,
        })
    }

    fn weight(&self) -> f64 {
        self.se_deg.powi(-2)
    }

    /// Densities of this direction, per degree: as the wind's, and as anything else's.
    fn downwind(&self, centre: Bearing, rules: &IdleRules) -> (f64, f64) {
        let off = self.direction.apart(centre) / self.se_deg;
        let normal = (-0.5 * off * off).exp() / (self.se_deg * std::f64::consts::TAU.sqrt());
        let share = rules.steered_share;
        ((1.0 - share) * normal, share / 360.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::PlanePoint;

    /// A boat that coasts for 12 m, 1.5 m/s to the north when its motor stops, moved by what
    /// would carry it at `drift` (east, north, m/s); a fix a second.
    ///
    /// The equation of motion, `dv/dt = (u|u| - v|v|) / L`, is not the law that is fitted.
    fn coasting(seconds: u32, mut drift: impl FnMut(u32) -> [f64; 2]) -> Vec<PathPoint> {
        let (mut v, mut at) = ([0.0, 1.5], PlanePoint::default());
        let size = |v: [f64; 2]| v[0].hypot(v[1]);
        (0..=seconds)
            .map(|second| {
                let fix = PathPoint {
                    t: f64::from(second),
                    at,
                };
                let u = drift(second);
                v = [0, 1].map(|k| v[k] + (u[k] * size(u) - v[k] * size(v)) / 12.0);
                at.east += v[0];
                at.north += v[1];
                fix
            })
            .collect()
    }

    fn judged(path: &[PathPoint]) -> Idle {
        let end = path.last().map_or(0.0, |p| p.t);
        idle(path, 0.0, end, Some([0.0, 1.5]), &IdleRules::default())
    }

    fn toward(idle: &Idle) -> f64 {
        let vector = idle.east_m_s.zip(idle.north_m_s);
        vector.map_or(f64::NAN, |(e, n)| e.atan2(n).to_degrees())
    }

    #[test]
    fn the_way_falls_by_the_law() {
        for (start, lasting) in [(1.5, 0.2), (0.3, 0.01), (2.0, 0.8)] {
            let way = |t: f64| start * left(t, start, lasting, 12.0);
            assert!((way(0.0) - start).abs() < 1e-12);
            for t in [1.0, 10.0, 100.0] {
                let slope = (way(t + 1e-3) - way(t - 1e-3)) / 2e-3;
                let law = -way(t) * (way(t) + lasting) / 12.0;
                assert!(
                    (slope - law).abs() < 1e-8,
                    "{start} {lasting} {t}: {slope} {law}"
                );
            }
        }
    }

    #[test]
    fn the_way_is_taken_off() {
        let path = coasting(400, |_| [0.2, 0.0]);
        let plain = path.last().map_or(0.0, |p| p.at.east.atan2(p.at.north));
        assert!(plain.to_degrees() < 75.0, "{plain}");
        let found = judged(&path);
        assert_eq!(found.kind, IdleKind::Adrift);
        assert!((toward(&found) - 90.0).abs() < 3.0, "{found:?}");
        // Without the way before the stop it is nearly as good.
        let found = idle(&path, 0.0, 400.0, None, &IdleRules::default());
        assert!((toward(&found) - 90.0).abs() < 5.0, "{found:?}");
    }

    #[test]
    fn a_burst_of_the_motor_is_left_out() {
        let mut path = coasting(600, |_| [0.2, 0.0]);
        for point in &mut path {
            point.at.north -= (point.t - 300.0).clamp(0.0, 25.0);
        }
        let found = judged(&path);
        assert!((toward(&found) - 90.0).abs() < 5.0, "{found:?}");
    }

    #[test]
    fn coarse_coordinates_and_fixes_by_distance_will_do() {
        let path = coasting(600, |_| [0.15, -0.15]);
        let mut coarse = path.clone();
        for point in &mut coarse {
            // Four decimals of a degree north, and east at 50 degrees.
            point.at.north = (point.at.north / 11.1).round() * 11.1;
            point.at.east = (point.at.east / 7.1).round() * 7.1;
        }
        let mut sparse = vec![path[0]];
        for point in &path {
            if sparse
                .last()
                .is_some_and(|last| last.at.distance(point.at) >= 10.0)
            {
                sparse.push(*point);
            }
        }
        for path in [coarse, sparse] {
            let found = judged(&path);
            assert_eq!(found.kind, IdleKind::Adrift, "{found:?}");
            assert!((toward(&found) - 135.0).abs() < 10.0, "{found:?}");
        }
    }

    #[test]
    fn an_anchored_boat_is_known() {
        // Falls back on 20 m of rode, then swings 30 degrees to either side once in 100 s.
        let path: Vec<PathPoint> = (0..600)
            .map(|second| {
                let t = f64::from(second);
                let swing = 30_f64.to_radians() * (t / 100.0 * std::f64::consts::TAU).sin();
                let rode = 20.0 * (t / 60.0).min(1.0);
                let (east, north) = (rode * swing.sin(), -rode * swing.cos());
                PathPoint {
                    t,
                    at: PlanePoint { east, north },
                }
            })
            .collect();
        assert_eq!(judged(&path).kind, IdleKind::Anchored);
        assert_eq!(common_drift(&[judged(&path)], &IdleRules::default()), None);
        // Two fixes, ten metres apart and ten minutes: no more is known.
        let two = [path.first(), path.last()].map(Option::<&PathPoint>::copied);
        let two: Vec<PathPoint> = two.into_iter().flatten().collect();
        assert_ne!(judged(&two).kind, IdleKind::Adrift);
    }

    /// Normal numbers from a seed: twelve uniform ones summed (a linear congruential generator
    /// with the constants of Knuth's MMIX).
    fn normal(state: &mut u64) -> f64 {
        let uniform = (0..12).map(|_| {
            *state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (*state >> 11) as f64 / (1_u64 << 53) as f64
        });
        uniform.sum::<f64>() - 6.0
    }

    #[test]
    fn the_standard_error_holds_in_gusts() {
        let (mut one, mut two) = (0, 0);
        for seed in 1..=100 {
            let mut state = seed;
            let (mut strength, mut swing) = (0.0, 0.0);
            let path = coasting(600, |_| {
                // A share of 0.2 and 10 degrees, with a memory of 45 s.
                let kept = (-1.0_f64 / 45.0).exp();
                let fresh = (1.0 - kept * kept).sqrt();
                strength = kept * strength + fresh * 0.2 * normal(&mut state);
                swing = kept * swing + fresh * 10_f64.to_radians() * normal(&mut state);
                let speed = 0.15 * (1.0 + strength);
                [speed * swing.cos(), speed * swing.sin()]
            });
            let found = judged(&path);
            for (value, truth) in [(found.east_m_s, 0.15), (found.north_m_s, 0.0)] {
                let off = value
                    .zip(found.se_m_s)
                    .map(|(v, se)| (v - truth).abs() / se);
                one += usize::from(off.is_some_and(|off| off <= 1.0));
                two += usize::from(off.is_some_and(|off| off <= 2.0));
            }
        }
        assert!((126..=166).contains(&one), "{one} of 200 within one");
        assert!(two >= 184, "{two} of 200 within two");
    }

    fn adrift(degrees: f64, speed: f64) -> Idle {
        let (north, east) = degrees.to_radians().sin_cos();
        Idle {
            from: 0.0,
            to: 600.0,
            kind: IdleKind::Adrift,
            east_m_s: Some(speed * north),
            north_m_s: Some(speed * east),
            se_m_s: Some(0.01),
        }
    }

    #[test]
    fn stops_agree_across_north_and_a_stray_is_left_out() {
        let rules = IdleRules::default();
        let stops = [355.0, 3.0, 180.0, 8.0].map(|degrees| adrift(degrees, 0.2));
        let common = common_drift(&stops, &rules);
        let off = common.as_ref().map(|c| (c.toward.degrees() - 2.0).abs());
        assert!(off.is_some_and(|off| off < 0.1), "{common:?}");
        assert!(common.is_some_and(|c| c.used == [true, true, false, true] && c.se_deg < 11.0));
        assert_eq!(common_drift(&[], &rules), None);
        assert_eq!(common_drift(&[adrift(90.0, 0.01)], &rules), None);
    }

    #[test]
    fn scatter_widens_the_standard_error() {
        let rules = IdleRules::default();
        let se = |degrees: [f64; 2]| {
            common_drift(&degrees.map(|d| adrift(d, 0.6)), &rules).map(|common| common.se_deg)
        };
        let (close, wide) = (se([90.0, 92.0]), se([80.0, 102.0]));
        assert!(
            close.zip(wide).is_some_and(|(c, w)| w > 1.1 * c),
            "{close:?} {wide:?}"
        );
    }

    #[test]
    fn bad_input_is_unclear() {
        let rules = IdleRules::default();
        let still = |t: f64| PathPoint {
            t,
            at: PlanePoint::default(),
        };
        let far = PathPoint {
            t: 300.0,
            at: PlanePoint {
                east: f64::INFINITY,
                north: f64::NAN,
            },
        };
        let paths = [
            vec![],
            vec![still(0.0)],
            vec![still(0.0); 3],
            vec![still(0.0), far],
        ];
        for path in &paths {
            for (from, to) in [
                (0.0, 600.0),
                (600.0, 0.0),
                (f64::NAN, 1.0),
                (0.0, f64::INFINITY),
            ] {
                let found = idle(path, from, to, Some([f64::NAN, 0.0]), &rules);
                assert_eq!(found.kind, IdleKind::Unclear);
                assert_eq!(found.se_m_s, None);
                assert_eq!(common_drift(&[found], &rules), None);
            }
        }
        // A recording that stands still to the last digit.
        let path: Vec<PathPoint> = (0..600).map(|t| still(f64::from(t))).collect();
        assert_eq!(
            idle(&path, 0.0, 599.0, None, &rules).kind,
            IdleKind::Anchored
        );
    }
}
