//! From the result to what the charts show: the only place that knows both.
//!
//! Speeds are turned into the unit shown, names into their places in order. What is not finite, or
//! larger than anything on the water could be, is left out here, so that no chart has to ask again.

use jiff::Timestamp;
use jiff::fmt::strtime;
use jiff::tz::TimeZone;

use super::chart::ChartKind;
use super::comparison::{Change, Comparison, Estimate, Group, Row, Run};
use super::heading::{self, HeadingLeg, Panel, SpeedAgainstHeading};
use super::relation::{Point, Relation, Series};
use super::speed_over_time::{Span, SpeedOverTime, TimeLeg};
use super::style::NORMAL_95;
use super::text;
use super::track_map::{MapLeg, MapLine, TrackMap};
use crate::compare::{self, Cell, Percent, Verdict};
use crate::day::{HeadingFit, IdleDrift, Leg, TrailPoint};
use crate::gain::{self, CellPower};
use crate::geometry::{Plane, PlanePoint};
use crate::rounding::{percent_decimals, shared_percent_decimals};
use crate::trial::{Day, Trial};
use crate::units::{Bearing, Speed, SpeedUnit, seconds};

/// A million: beyond any speed in m/s, percent or degrees of a day on the water, and any way in
/// metres.
const LARGEST: f64 = 1e6;
/// Steps of a drawn curve.
const CURVE_STEPS: usize = 24;
/// 1 W h is 3600 J (NIST SP 811, B.8).
const JOULES_PER_WATT_HOUR: f64 = 3600.0;
/// Decimals of a speed as written: a leg's speed is known to about half a percent, a hundredth of a
/// knot at small boats' speeds.
const SPEED_DECIMALS: usize = 2;

/// The result with what all charts look up in it.
pub(crate) struct Inputs<'a> {
    trial: &'a Trial,
    unit: SpeedUnit,
    /// Names in the order they were run; and of the settings, slowest first.
    configurations: Vec<String>,
    settings: Vec<String>,
    zone: TimeZone,
    zone_name: String,
}

impl<'a> Inputs<'a> {
    pub(crate) fn of(trial: &'a Trial) -> Self {
        let (zone, zone_name) = match TimeZone::get(&trial.timezone.name) {
            Ok(zone) => (zone, text::clean(&trial.timezone.name)),
            Err(_) => (TimeZone::UTC, "UTC".to_owned()),
        };
        Self {
            trial,
            unit: trial.units,
            configurations: trial
                .configurations
                .iter()
                .map(|c| c.name.clone())
                .collect(),
            settings: trial.settings.iter().map(|s| s.name.clone()).collect(),
            zone,
            zone_name,
        }
    }

    fn configuration(&self, name: &str) -> Option<usize> {
        self.configurations.iter().position(|c| c == name)
    }

    fn setting(&self, name: &str) -> Option<usize> {
        self.settings.iter().position(|s| s == name)
    }

    /// A speed in the unit shown.
    fn speed(&self, m_s: f64) -> f64 {
        Speed::metres_per_second(m_s).in_unit(self.unit)
    }

    fn speed_words(&self, m_s: f64) -> String {
        text::with_unit(self.speed(m_s), SPEED_DECIMALS, self.unit.symbol())
    }

    /// The cells that were measured.
    fn cells(&self) -> impl Iterator<Item = &'a Cell> + use<'a> {
        let cells = self.trial.cells.iter();
        cells.filter(|cell| real(cell.mean_m_s).is_some_and(|mean| mean > 0.0))
    }

    /// What to say of a leg that is pointed at.
    fn leg_title(&self, leg: &Leg) -> String {
        let mut words = vec![format!("leg {}", leg.leg)];
        words.extend(Bearing::new(leg.course_deg).map(|course| format!("course {course}")));
        words.extend(leg_speed(leg).map(|speed| self.speed_words(speed)));
        let names = [&leg.configuration, &leg.setting].into_iter().flatten();
        words.extend(names.map(|name| text::clean(name)));
        words.join(", ")
    }

    fn leg_configuration(&self, leg: &Leg) -> Option<usize> {
        self.configuration(leg.configuration.as_deref()?)
    }

    fn leg_setting(&self, leg: &Leg) -> Option<usize> {
        self.setting(leg.setting.as_deref()?)
    }

    /// The comparison over all days: a group for each setting, then the settings pooled.
    pub(crate) fn comparison(&self) -> Comparison {
        let mut groups: Vec<Group> = (self.settings.iter().enumerate())
            .map(|(place, setting)| Group {
                heading: self.setting_heading(place, setting),
                rows: self.rows_at(place, setting),
            })
            .collect();
        if self.settings.len() > 1 {
            groups.push(Group {
                heading: "all settings".to_owned(),
                rows: self.pooled_rows(),
            });
        }
        groups.retain(|group| !group.rows.is_empty());
        Comparison {
            unit: self.unit.symbol(),
            settings: self.settings.clone(),
            groups,
            decimals: shared_percent_decimals(self.trial.comparisons.iter()),
            days: false,
        }
    }

    fn setting_heading(&self, place: usize, setting: &str) -> String {
        let percent = self.trial.settings.get(place).and_then(|s| s.percent);
        let name = text::clean(setting);
        match percent.and_then(real) {
            Some(percent) => format!("setting {name} ({percent:.0}\u{a0}%)"),
            None => format!("setting {name}"),
        }
    }

    fn rows_at(&self, place: usize, setting: &str) -> Vec<Row> {
        let change = |configuration: &str| {
            let mut all = self.trial.comparisons.iter();
            let own = |c: &&compare::Comparison| {
                c.changed == configuration && c.setting.as_deref() == Some(setting)
            };
            all.find(own).map(change)
        };
        let cells = self.cells().filter(|cell| cell.setting == setting);
        let mut rows: Vec<Row> = cells
            .map(|cell| Row {
                name: cell.configuration.clone(),
                configuration: self.configuration(&cell.configuration),
                speed: Some(Estimate {
                    value: self.speed(cell.mean_m_s),
                    interval: (cell.mean_interval_m_s)
                        .and_then(|i| real_ends(Some(i.low), Some(i.high)))
                        .map(|ends| ends.map(|v| self.speed(v))),
                }),
                runs: self.runs(cell, place),
                change: change(&cell.configuration),
                baseline: self.is_baseline(&cell.configuration),
            })
            .collect();
        rows.sort_by_key(|row| row.configuration);
        rows
    }

    fn pooled_rows(&self) -> Vec<Row> {
        let comparisons = self.trial.comparisons.iter();
        let pooled = comparisons.filter(|comparison| comparison.setting.is_none());
        pooled
            .map(|comparison| {
                let own = |cell: &&Cell| cell.configuration == comparison.changed;
                let runs = self.cells().filter(own).flat_map(|cell| {
                    let place = self.setting(&cell.setting).unwrap_or(0);
                    self.runs(cell, place)
                });
                Row {
                    name: comparison.changed.clone(),
                    configuration: self.configuration(&comparison.changed),
                    speed: None,
                    runs: runs.filter(|run| run.percent.is_some()).collect(),
                    change: Some(change(comparison)),
                    baseline: false,
                }
            })
            .collect()
    }

    fn is_baseline(&self, configuration: &str) -> bool {
        let mut all = self.trial.comparisons.iter();
        all.any(|comparison| comparison.baseline == configuration)
    }

    fn runs(&self, cell: &Cell, setting: usize) -> Vec<Run> {
        let baseline = self
            .cells()
            .find(|other| other.setting == cell.setting && self.is_baseline(&other.configuration));
        let runs = self.trial.double_runs.iter();
        runs.filter(|run| cell.double_runs.contains(&run.double_run))
            .filter_map(|run| real(run.mean_m_s))
            .map(|mean| Run {
                setting,
                speed: self.speed(mean),
                percent: baseline.and_then(|base| real(100.0 * (mean / base.mean_m_s - 1.0))),
            })
            .collect()
    }

    /// What each of several days showed, and all of them; without rows for a single day.
    pub(crate) fn days_compared(&self) -> Comparison {
        let comparisons = &self.trial.comparisons;
        let first = comparisons.first();
        let one_pair = comparisons
            .iter()
            .all(|c| first.is_some_and(|f| f.changed == c.changed));
        let one_setting = self.settings.len() < 2;
        // With one setting the line over all of them says the same again.
        let shown = comparisons
            .iter()
            .filter(|c| c.setting.is_some() || !one_setting);
        let groups = shown.filter_map(|pooled| {
            let heading = match pooled.setting.as_deref() {
                Some(setting) => format!("setting {}", text::clean(setting)),
                None => "all settings together".to_owned(),
            };
            Some(Group {
                heading: if one_pair {
                    heading
                } else {
                    format!("{}, {heading}", text::clean(&pooled.changed))
                },
                rows: self.day_rows(pooled)?,
            })
        });
        Comparison {
            unit: self.unit.symbol(),
            decimals: shared_percent_decimals(comparisons.iter()),
            groups: groups.collect(),
            days: true,
            ..Comparison::default()
        }
    }

    /// A row for each of several days that ran both configurations, and one for all.
    fn day_rows(&self, pooled: &compare::Comparison) -> Option<Vec<Row>> {
        let across = pooled
            .across_days
            .as_ref()
            .filter(|_| self.trial.days.len() > 1)?;
        let day = |number: usize| self.trial.days.iter().find(|day| day.day == number);
        let shares = across.days.iter().filter_map(|share| {
            Some(Row {
                name: self.day_name(day(share.day)?),
                configuration: self.configuration(&pooled.changed),
                change: Some(Change {
                    percent: estimate(&share.percent),
                    against: pooled.baseline.clone(),
                    verdict: "",
                    usual: false,
                    decimals: percent_decimals(&share.percent),
                }),
                ..Row::default()
            })
        });
        let all = Row {
            name: "all days".to_owned(),
            change: Some(change(pooled)),
            ..Row::default()
        };
        Some(shares.chain([all]).collect())
    }

    /// `day 2, 5 Jun`.
    fn day_name(&self, day: &Day) -> String {
        let local = day.from.map(|at| at.to_zoned_datetime(self.zone.clone()));
        match local.and_then(|at| strtime::format("%-d %b", &at).ok()) {
            Some(date) => format!("day {}, {date}", day.day),
            None => format!("day {}", day.day),
        }
    }

    /// The track of a day from above; none where nothing says where it lies.
    pub(crate) fn track_map(&self, day: &Day) -> Option<TrackMap> {
        let first = self.trial.legs_of(day.day).next();
        let first = first.map(|leg| Plane::at(leg.start_position));
        let plane = day.trail.plane.or(first)?;
        let legs = self.trial.legs_of(day.day).map(|leg| MapLeg {
            number: leg.leg,
            title: self.leg_title(leg),
            configuration: self.leg_configuration(leg),
            line: leg.line.filter(|_| leg.double_run.is_some()),
            measured: leg.double_run.is_some(),
            start: plane.project(leg.start_position),
            steady: leg.steady_position.map(|position| plane.project(position)),
            end: plane.project(leg.end_position),
        });
        let legs: Vec<MapLeg> = legs.collect();
        let used = |line: usize| legs.iter().any(|leg| leg.line == Some(line));
        let lines = self.trial.lines.iter().filter(|line| used(line.line));
        let lines = lines.filter_map(|line| {
            Some(MapLine {
                number: line.line,
                axis: Bearing::new(line.axis_deg)?,
                from: plane.project(line.from),
                to: plane.project(line.to),
                length_m: real(line.length_m)?,
                legs: line.legs.len(),
            })
        });
        let point = |point: &TrailPoint| {
            Some(PlanePoint {
                east: real(point.east_m)?,
                north: real(point.north_m)?,
            })
        };
        let trails = day.trail.runs.iter();
        let wind = day.wind.from_deg.and_then(Bearing::new).map(|from| {
            let speed = day.wind.speed_m_s.and_then(real);
            let words = |m_s| text::with_unit(self.speed(m_s), 0, self.unit.symbol());
            (from, speed.map(words))
        });
        Some(TrackMap {
            trails: trails
                .map(|run| run.iter().filter_map(point).collect())
                .collect(),
            lines: lines.collect(),
            configurations: self.configurations.clone(),
            wind,
            drift: idle_drift(&day.idle).map(|(toward, m_s)| (toward, self.speed_words(m_s))),
            unit: self.unit,
            legs,
        })
    }

    /// Speed over the time of a day.
    pub(crate) fn speed_over_time(&self, day: &Day) -> SpeedOverTime {
        let span = |from: Timestamp, to: Timestamp| Span {
            from: seconds(from),
            to: seconds(to),
        };
        let legs = self.trial.legs_of(day.day).map(|leg| TimeLeg {
            number: leg.leg,
            title: self.leg_title(leg),
            span: span(leg.start, leg.end),
            steady: leg.steady_from.map(seconds),
            speed: leg_speed(leg).map(|speed| self.speed(speed)),
            configuration: self.leg_configuration(leg),
            setting: self.leg_setting(leg),
            measured: leg.double_run.is_some(),
        });
        let speeds = day.trail.speeds.iter();
        SpeedOverTime {
            unit: self.unit.symbol(),
            clock: self.trial.clock,
            zone: self.zone.clone(),
            zone_name: self.zone_name.clone(),
            speeds: speeds
                .filter_map(|s| Some((seconds(s.time), self.speed(real(s.speed_m_s)?))))
                .collect(),
            legs: legs.collect(),
            idle: day
                .idle
                .iter()
                .map(|idle| span(idle.start, idle.end))
                .collect(),
            configurations: self.configurations.clone(),
            settings: self.settings.clone(),
        }
    }

    /// Speed against the heading of a day's legs.
    pub(crate) fn speed_against_heading(&self, day: &Day) -> SpeedAgainstHeading {
        let reach = |se: f64| (NORMAL_95 * se).clamp(0.0, 180.0);
        let se = day.wind.from_se_deg.and_then(real);
        let wind = day.wind.from_deg.and_then(Bearing::new);
        let panels = self.configurations.iter().enumerate().map(|(place, name)| {
            let own = self
                .trial
                .legs_of(day.day)
                .filter(|leg| leg.configuration.as_ref() == Some(name));
            let means = self.cells().filter(|cell| cell.configuration == *name);
            let curves = day.headings.iter().filter(|fit| fit.configuration == *name);
            Panel {
                configuration: place,
                name: name.clone(),
                legs: own.filter_map(|leg| self.heading_leg(leg)).collect(),
                means: means
                    .filter_map(|c| Some((self.setting(&c.setting)?, self.speed(c.mean_m_s))))
                    .collect(),
                curves: curves.filter_map(|fit| self.curve(fit)).collect(),
            }
        });
        SpeedAgainstHeading {
            unit: self.unit.symbol(),
            settings: self.settings.clone(),
            wind: wind.map(|from| (from, se.map_or(0.0, reach))),
            panels: panels.filter(|panel| !panel.legs.is_empty()).collect(),
        }
    }

    fn heading_leg(&self, leg: &Leg) -> Option<HeadingLeg> {
        let speed = leg_speed(leg)?;
        let interval = leg.speed_se_m_s.and_then(real).map(|se| {
            let reach = NORMAL_95 * se;
            [speed - reach, speed + reach].map(|v| self.speed(v))
        });
        Some(HeadingLeg {
            number: leg.leg,
            title: self.leg_title(leg),
            setting: self.leg_setting(leg).unwrap_or(0),
            course: Bearing::new(leg.course_deg)?,
            speed: self.speed(speed),
            interval,
            included: leg.included,
        })
    }

    fn curve(&self, fit: &HeadingFit) -> Option<heading::Curve> {
        Some(heading::Curve {
            setting: self.setting(&fit.setting)?,
            mean: self.speed(real(fit.mean_m_s)?),
            drift: self.speed(real(fit.drift_m_s)?),
            toward: Bearing::new(fit.toward_deg)?,
        })
    }

    /// Speed against the setting in percent, where a curve could be fitted.
    pub(crate) fn speed_at_setting(&self) -> Relation {
        let curves = self.trial.gain.equal_speed.curves.iter();
        let unit = self.unit.symbol();
        let series = curves.map(|curve| self.setting_series(curve));
        let series: Vec<Series> = series.filter(|series| series.points.len() > 1).collect();
        let alt = alt(
            "Speed against power setting.",
            &series,
            |[percent, speed]| {
                let percent = text::number(percent, 0);
                format!("{} at {percent} percent", text::with_unit(speed, 2, unit))
            },
        );
        Relation {
            kind: ChartKind::SpeedAtSetting,
            title: "Speed against setting".to_owned(),
            caption: "Each mark is the corrected speed at a setting, with its 95\u{a0}% \
                interval; the line is the smooth rising curve through them. Go level from one \
                line to the other: where you meet it, the other part goes as fast."
                .to_owned(),
            alt,
            across: "setting (% of full power)".to_owned(),
            up: format!("speed ({unit})"),
            series,
            ..Relation::default()
        }
    }

    fn setting_series(&self, curve: &gain::Curve) -> Series {
        let mark = |percent: f64| {
            let settings = &self.trial.settings;
            let found = settings.iter().find(|s| s.percent == Some(percent));
            found.and_then(|s| self.setting(&s.name)).unwrap_or(0)
        };
        let points = curve.points.iter().filter_map(|point| {
            let speed = point.speed_m_s.value.and_then(real)?;
            let ends = real_ends(point.speed_m_s.low, point.speed_m_s.high);
            Some(Point {
                mark: mark(point.percent),
                at: [point.percent, self.speed(speed)],
                interval: ends.map(|ends| ends.map(|v| self.speed(v))),
            })
        });
        let percents = || curve.points.iter().map(|point| point.percent);
        let from = percents().fold(f64::INFINITY, f64::min);
        let to = percents().fold(0.0, f64::max);
        let step = |k: usize| {
            let percent = from + (to - from) * k as f64 / CURVE_STEPS as f64;
            Some([percent, self.speed(curve.at(percent).and_then(real)?)])
        };
        Series {
            place: self.configuration(&curve.configuration).unwrap_or(0),
            name: curve.configuration.clone(),
            points: points.collect(),
            line: (0..=CURVE_STEPS).filter_map(step).collect(),
        }
    }

    /// Energy over distance against speed, where draws were read.
    pub(crate) fn energy_at_speed(&self) -> Relation {
        let (mile, metres) = self.unit.long_distance();
        let per_mile = |joules_per_metre: f64| joules_per_metre * metres / JOULES_PER_WATT_HOUR;
        let point = |cell: &CellPower| {
            let energy = &cell.energy_j_per_m;
            Some(Point {
                mark: self.setting(&cell.setting).unwrap_or(0),
                at: [
                    self.speed(real(cell.speed_m_s)?),
                    per_mile(energy.value.and_then(real)?),
                ],
                interval: real_ends(energy.low, energy.high).map(|ends| ends.map(per_mile)),
            })
        };
        let series = self.configurations.iter().enumerate().map(|(place, name)| {
            let cells = self.trial.gain.power.cells.iter();
            let own = cells.filter(|cell| cell.configuration == *name);
            let points: Vec<Point> = own.filter_map(point).collect();
            let mut line: Vec<[f64; 2]> = points.iter().map(|point| point.at).collect();
            line.sort_by(|a, b| a[0].total_cmp(&b[0]));
            Series {
                place,
                name: name.clone(),
                points,
                line,
            }
        });
        let series: Vec<Series> = series.filter(|series| !series.points.is_empty()).collect();
        let unit = self.unit.symbol();
        let what = format!("Energy over distance against speed, watt hours for each {mile}.");
        let alt = alt(&what, &series, |[speed, energy]| {
            let speed = text::number(speed, 2);
            format!("{} at {speed} {unit}", text::number(energy, 1))
        });
        Relation {
            kind: ChartKind::EnergyAtSpeed,
            title: "Energy over distance against speed".to_owned(),
            caption: "Each mark is a configuration at a setting, there and back in the wind of \
                the day, with its 95\u{a0}% interval. Of two lines the lower one goes further on \
                a charge at the same speed."
                .to_owned(),
            alt,
            across: format!("speed ({unit})"),
            up: format!("energy (Wh/{mile})"),
            series,
            settings: self.settings.clone(),
            ..Relation::default()
        }
    }
}

/// The number, if it can be drawn.
fn real(value: f64) -> Option<f64> {
    (value.abs() <= LARGEST).then_some(value)
}

/// The ends of an interval, if both are known and can be drawn.
fn real_ends(low: Option<f64>, high: Option<f64>) -> Option<[f64; 2]> {
    Some([low.and_then(real)?, high.and_then(real)?])
}

/// A leg's speed, m/s.
fn leg_speed(leg: &Leg) -> Option<f64> {
    leg.speed_m_s.and_then(real)
}

fn change(comparison: &compare::Comparison) -> Change {
    let percent = &comparison.percent;
    Change {
        percent: estimate(percent),
        against: comparison.baseline.clone(),
        verdict: verdict(comparison.verdict),
        usual: comparison.verdict == Verdict::TooFewRuns,
        decimals: percent_decimals(percent),
    }
}

fn estimate(percent: &Percent) -> Option<Estimate> {
    Some(Estimate {
        value: percent.value.and_then(real)?,
        interval: real_ends(percent.low, percent.high),
    })
}

/// The verdict in words.
fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Faster => "faster",
        Verdict::Slower => "slower",
        Verdict::NotShown => "not shown",
        Verdict::NoLargerDifference => "no larger difference",
        Verdict::TooFewRuns => "too few runs",
    }
}

/// Where and how fast (m/s) the boat drifted while it lay idle: the mean of the stretches the wind
/// was read off or, where there are none, of all, each as long as it lasted.
fn idle_drift(idle: &[IdleDrift]) -> Option<(Bearing, f64)> {
    let any_used = idle.iter().any(|drift| drift.used);
    let mut sum = [0.0, 0.0, 0.0];
    for drift in idle.iter().filter(|drift| drift.used || !any_used) {
        let lasted = seconds(drift.end) - seconds(drift.start);
        let toward = Bearing::new(drift.toward_deg);
        if let (Some(toward), Some(speed), true) = (toward, real(drift.speed_m_s), lasted > 0.0) {
            let (east, north) = toward.unit();
            let far = speed * lasted;
            sum = [sum[0] + east * far, sum[1] + north * far, sum[2] + lasted];
        }
    }
    let [east, north, lasted] = sum;
    let toward = Bearing::of_vector(east, north).filter(|_| lasted > 0.0)?;
    Some((toward, east.hypot(north) / lasted))
}

/// The text alternative: what it shows, then the points of each configuration in words.
fn alt(what: &str, series: &[Series], say: impl Fn([f64; 2]) -> String) -> String {
    let mut sentences = vec![what.to_owned()];
    for one in series {
        let points: Vec<String> = one.points.iter().map(|point| say(point.at)).collect();
        let name = text::clean(&one.name);
        sentences.push(format!("{name}: {}.", points.join(", ")));
    }
    sentences.join(" ")
}
