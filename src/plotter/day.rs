//! The analysis as the charts need it: places in order, display units, local time.

use std::collections::BTreeMap;

use jiff::tz::TimeZone;

use super::layout::Layout;
use super::text;
use crate::compare::Cell;
use crate::day::Leg;
use crate::stats::interval::Interval;
use crate::trial::Trial;
use crate::units::seconds;
use crate::units::{Bearing, Speed};

/// One analysis with what every chart looks up in it.
pub(crate) struct Day<'a> {
    /// The analysis.
    pub(crate) analysis: &'a Trial,
    /// The column its charts are laid out for.
    pub(crate) layout: Layout,
    /// Names of the configurations, in the order they were run.
    pub(crate) configurations: Vec<String>,
    /// Names of the settings, slowest first.
    pub(crate) settings: Vec<String>,
    /// The zone of local times.
    pub(crate) zone: TimeZone,
    /// Its name; `UTC` where the one given is not known.
    pub(crate) zone_name: String,
}

impl<'a> Day<'a> {
    /// Looks up once what all charts share.
    pub(crate) fn of(analysis: &'a Trial, layout: Layout) -> Self {
        let mut configurations: Vec<String> = analysis
            .configurations
            .iter()
            .map(|c| c.name.clone())
            .collect();
        let mut settings: Vec<String> = analysis.settings.iter().map(|s| s.name.clone()).collect();
        for cell in &analysis.cells {
            add(&mut configurations, Some(&cell.configuration));
            add(&mut settings, Some(&cell.setting));
        }
        for leg in &analysis.legs {
            add(&mut configurations, leg.configuration.as_ref());
            add(&mut settings, leg.setting.as_ref());
        }
        let (zone, zone_name) = match TimeZone::get(&analysis.timezone.name) {
            Ok(zone) => (zone, text::clean(&analysis.timezone.name)),
            Err(_) => (TimeZone::UTC, "UTC".to_owned()),
        };
        Self {
            analysis,
            layout,
            configurations,
            settings,
            zone,
            zone_name,
        }
    }

    /// Place of a configuration in order.
    pub(crate) fn configuration(&self, name: &str) -> usize {
        self.configurations
            .iter()
            .position(|c| c == name)
            .unwrap_or(0)
    }

    /// Place of a setting in order.
    pub(crate) fn setting(&self, name: &str) -> usize {
        self.settings.iter().position(|s| s == name).unwrap_or(0)
    }

    /// A speed as shown, a bare number.
    pub(crate) fn speed(&self, m_s: f64) -> f64 {
        Speed::metres_per_second(m_s).in_unit(self.analysis.units)
    }

    /// A speed as written, with its unit.
    pub(crate) fn speed_text(&self, m_s: f64) -> String {
        format!(
            "{}\u{a0}{}",
            text::number(self.speed(m_s), SPEED_DECIMALS),
            self.analysis.units
        )
    }

    /// The unit of speed.
    pub(crate) fn unit(&self) -> &'static str {
        self.analysis.units.symbol()
    }

    /// The cells that were measured.
    pub(crate) fn cells(&self) -> impl Iterator<Item = &'a Cell> + use<'a> {
        let measured = |mean: f64| drawable(mean) && mean > 0.0;
        let cells = self.analysis.cells.iter();
        cells.filter(move |cell| measured(cell.mean_m_s))
    }

    /// The idle drift: the mean of the stretches the wind was read off or, where there are none, of
    /// all, each as long as it lasted.
    pub(crate) fn idle_drift(&self) -> Option<Drift> {
        let analysis = self.analysis;
        let idle = analysis.idle();
        let any_used = idle.iter().any(|drift| drift.used);
        let mut sum = [0.0, 0.0, 0.0];
        for drift in idle.iter().filter(|drift| drift.used || !any_used) {
            let toward = Bearing::new(drift.toward_deg)?;
            let lasted = seconds(drift.end) - seconds(drift.start);
            if !(drawable(drift.speed_m_s) && lasted > 0.0) {
                continue;
            }
            let (east, north) = toward.unit();
            let [e, n, t] = sum;
            let far = drift.speed_m_s * lasted;
            sum = [e + east * far, n + north * far, t + lasted];
        }
        let [east, north, lasted] = sum;
        if lasted <= 0.0 {
            return None;
        }
        Some(Drift {
            toward: Bearing::of_vector(east, north)?,
            speed_m_s: east.hypot(north) / lasted,
        })
    }

    /// What to say of each leg when it is pointed at.
    pub(crate) fn leg_titles(&self) -> BTreeMap<usize, String> {
        self.analysis
            .legs
            .iter()
            .map(|leg| (leg.leg, self.leg_title(leg)))
            .collect()
    }

    fn leg_title(&self, leg: &Leg) -> String {
        let mut words = vec![format!("leg {}", leg.leg)];
        if let Some(course) = Bearing::new(leg.course_deg) {
            words.push(format!("course {course}"));
        }
        if let Some(speed) = leg_speed(leg) {
            words.push(self.speed_text(speed));
        }
        for name in [&leg.configuration, &leg.setting].into_iter().flatten() {
            words.push(text::clean(name));
        }
        words.join(", ")
    }
}

/// A drift of the boat.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drift {
    /// Where it carried the boat.
    pub(crate) toward: Bearing,
    /// Its speed, m/s.
    pub(crate) speed_m_s: f64,
}

/// Decimals of a speed as written: a leg's speed is known to about half a percent, a hundredth of a
/// knot at small boats' speeds.
const SPEED_DECIMALS: usize = 2;

fn add(names: &mut Vec<String>, name: Option<&String>) {
    if let Some(name) = name
        && !names.contains(name)
    {
        names.push(name.clone());
    }
}

/// Whether a number can stand in a chart: finite, and no larger than anything measured could be.
///
/// The analysis promises as much; a promise is no reason to fall over.
pub(crate) fn drawable(value: f64) -> bool {
    value.abs() <= LARGEST
}

/// A million: beyond any speed in m/s, percent or degrees of a day on the water, far within what the
/// drawing library's arithmetic bears.
const LARGEST: f64 = 1e6;

/// An interval, if both ends can be drawn.
pub(crate) fn drawable_interval(interval: Option<Interval>) -> Option<Interval> {
    interval.filter(|i| drawable(i.low) && drawable(i.high))
}

/// A leg's speed, m/s.
pub(crate) fn leg_speed(leg: &Leg) -> Option<f64> {
    leg.speed_m_s.filter(|speed| drawable(*speed))
}

/// The 95 % interval of a leg's speed, m/s: 1.96 standard errors either side (normal quantile).
pub(crate) fn leg_interval(leg: &Leg) -> Option<[f64; 2]> {
    let speed = leg_speed(leg)?;
    let reach = NORMAL_95 * leg.speed_se_m_s.filter(|se| drawable(*se))?;
    Some([speed - reach, speed + reach])
}

/// The 97.5 % quantile of the normal distribution.
pub(crate) const NORMAL_95: f64 = 1.959_964;
