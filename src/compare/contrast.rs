//! The figures that can be asked of the posterior, as linear combinations of its coefficients.

use std::fmt;

use serde::Serialize;

use super::design::{distinct, hours, over, usual_log};
use super::posterior::Posterior;
use super::{Conditions, RunRow, balance};

/// A coefficient of the model, named by the numbers of the rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Term {
    /// Level of a setting.
    Setting(usize),
    /// A configuration, at all settings.
    Part(usize),
    /// What a configuration has beside that at one setting.
    PartAtSetting(usize, usize),
    /// A course line.
    Line(usize),
    /// A day.
    Day(usize),
    /// A setting on a day.
    SettingOnDay(usize, usize),
    /// A configuration on a day.
    PartOnDay(usize, usize),
    /// Rate of the trend on a day, per hour.
    Trend(usize),
    /// See [`super::CompareRules::wind_slope`].
    WindSlope,
    /// See [`super::CompareRules::calm_slope`].
    CalmSlope,
    /// See [`super::CompareRules::air_share`].
    AirShare,
}

impl fmt::Display for Term {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Setting(k) => write!(f, "setting {k}"),
            Self::Part(j) => write!(f, "part {j}"),
            Self::PartAtSetting(j, k) => write!(f, "part {j} at setting {k}"),
            Self::Line(l) => write!(f, "line {l}"),
            Self::Day(d) => write!(f, "day {d}"),
            Self::SettingOnDay(k, d) => write!(f, "setting {k} on day {d}"),
            Self::PartOnDay(j, d) => write!(f, "part {j} on day {d}"),
            Self::Trend(d) => write!(f, "trend of day {d}, per hour"),
            Self::WindSlope => write!(f, "wind slope"),
            Self::CalmSlope => write!(f, "calm slope"),
            Self::AirShare => write!(f, "air share"),
        }
    }
}

/// Where a coefficient counts.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Where {
    /// Everywhere.
    Always,
    /// As far as the wind makes the half differences.
    Wind,
    /// As far as it does not.
    Else,
}

/// A linear combination of the coefficients, in logarithms of speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Contrast {
    parts: Vec<(Term, f64, Where)>,
    pub(super) constant: f64,
    /// Further standard deviation where the wind does not make the half differences.
    pub(super) doubt: f64,
    pub(super) few: bool,
}

impl From<Term> for Contrast {
    /// The coefficient itself.
    fn from(term: Term) -> Self {
        Self::of(vec![(term, 1.0)], 0.0, false)
    }
}

impl Contrast {
    fn of(parts: Vec<(Term, f64)>, constant: f64, few: bool) -> Self {
        let parts = parts
            .into_iter()
            .map(|(term, w)| (term, w, Where::Always))
            .collect();
        Self {
            parts,
            constant,
            doubt: 0.0,
            few,
        }
    }

    /// The sum of several, each with its weight.
    pub fn sum(parts: &[(f64, Self)]) -> Self {
        let mut out = Self::of(Vec::new(), 0.0, false);
        for (weight, own) in parts {
            let own_parts = own
                .parts
                .iter()
                .map(|(term, w, at)| (*term, weight * w, *at));
            out.parts.extend(own_parts);
            out.constant += weight * own.constant;
            out.doubt += weight * own.doubt;
            out.few |= own.few;
        }
        out
    }

    /// The difference of two: of two levels, say.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        let turned = other.parts.iter().map(|(term, w, at)| (*term, -w, *at));
        Self {
            parts: self.parts.iter().copied().chain(turned).collect(),
            constant: self.constant - other.constant,
            doubt: (self.doubt - other.doubt).abs(),
            few: self.few || other.few,
        }
    }

    /// The weight of each coefficient where the wind makes this share of the half differences.
    pub(super) fn weights(&self, terms: &[Term], wind_share: f64) -> Vec<f64> {
        let share = |at: &Where| match at {
            Where::Always => 1.0,
            Where::Wind => wind_share,
            Where::Else => 1.0 - wind_share,
        };
        let of = |term: &Term| {
            let own = self.parts.iter().filter(|p| p.0 == *term);
            own.map(|p| p.1 * share(&p.2)).sum()
        };
        terms.iter().map(of).collect()
    }
}

impl Posterior {
    fn cell(&self, configuration: usize, setting: usize) -> impl Iterator<Item = &RunRow> {
        let own = move |r: &&RunRow| (r.configuration, r.setting) == (configuration, setting);
        self.known.rows.iter().filter(own)
    }

    fn is_few(&self, configuration: usize) -> bool {
        self.known
            .rows
            .iter()
            .filter(|r| r.configuration == configuration)
            .count()
            < 2
    }

    /// Change of one configuration against another at a setting, or (`None`) the mean over the
    /// settings that both were run at, each weighing `n m / (n + m)` by their double runs: the
    /// least-squares weight under a common scatter. `None` where there is no such setting.
    pub fn change(
        &self,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let settings = setting.map_or_else(|| self.settings(), |k| vec![k]);
        let weight = |k: &usize| {
            let [n, m] = [changed, baseline].map(|j| self.cell(j, *k).count() as f64);
            if n > 0.0 && m > 0.0 {
                n * m / (n + m)
            } else {
                0.0
            }
        };
        let total: f64 = settings.iter().map(weight).sum();
        if total <= 0.0 || changed == baseline {
            return None;
        }
        let mut parts = vec![(Term::Part(changed), 1.0), (Term::Part(baseline), -1.0)];
        for k in &settings {
            let share = weight(k) / total;
            parts.push((Term::PartAtSetting(changed, *k), share));
            parts.push((Term::PartAtSetting(baseline, *k), -share));
        }
        let few = self.is_few(changed) || self.is_few(baseline);
        Some(Contrast::of(parts, 0.0, few))
    }

    /// The same on one of several days, with what is that day's own.
    pub fn change_on(
        &self,
        day: usize,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let ran = |j| {
            self.known
                .rows
                .iter()
                .any(|r| (r.day, r.configuration) == (day, j))
        };
        let mut contrast = self
            .change(changed, baseline, setting)
            .filter(|_| ran(changed) && ran(baseline))?;
        for (j, sign) in [(changed, 1.0), (baseline, -1.0)] {
            contrast
                .parts
                .push((Term::PartOnDay(j, day), sign, Where::Always));
        }
        Some(contrast)
    }

    /// Logarithm of the speed of a cell, m/s, in the mean conditions of its setting, at the middle
    /// of the day; the mean over lines and days.
    pub fn level(&self, configuration: usize, setting: usize) -> Option<Contrast> {
        self.cell(configuration, setting).next()?;
        let mut parts = vec![
            (Term::Setting(setting), 1.0),
            (Term::Part(configuration), 1.0),
            (Term::PartAtSetting(configuration, setting), 1.0),
        ];
        let lines = distinct(self.known.rows.iter().map(|r| r.line));
        parts.extend(
            lines
                .iter()
                .map(|l| (Term::Line(*l), 1.0 / lines.len() as f64)),
        );
        let days = distinct(self.known.rows.iter().map(|r| r.day));
        for d in &days {
            let own = [
                Term::Day(*d),
                Term::SettingOnDay(setting, *d),
                Term::PartOnDay(configuration, *d),
            ];
            parts.extend(own.map(|term| (term, 1.0 / days.len() as f64)));
        }
        Some(Contrast::of(
            parts,
            usual_log(&self.known.rows),
            self.is_few(configuration),
        ))
    }

    /// Logarithm of the speed of a cell in a calm, m/s.
    pub fn calm(&self, configuration: usize, setting: usize) -> Option<Contrast> {
        let mut contrast = self.level(configuration, setting)?;
        let own = || self.known.rows.iter().filter(move |r| r.setting == setting);
        let share = over(own(), &|r| (r.half_difference / r.speed).abs());
        let stated = self
            .known
            .conditions
            .wind_speed
            .filter(|w| w.is_finite() && *w > 0.0);
        let usual = Conditions {
            wind_speed: stated.or(Some(self.known.rules.usual_wind)),
            ..self.known.conditions
        };
        let wind = |r: &RunRow| {
            let logged = r.wind.filter(|_| self.known.logged);
            logged.or_else(|| usual.wind_at(r)).unwrap_or([0.0, 0.0])
        };
        let excess = over(own(), &|r| {
            let [along, across] = wind(r);
            balance::mean_excess(r.speed, along, across)
        });
        contrast.parts.extend([
            (Term::WindSlope, -share, Where::Wind),
            (Term::CalmSlope, -share, Where::Wind),
            (Term::AirShare, excess, Where::Else),
        ]);
        // A wind that nobody told may as well have been half of it or half as much again.
        let unknown = if stated.is_some() {
            self.known.rules.stated_wind_share
        } else {
            0.5
        };
        contrast.doubt = if self.known.logged {
            0.0
        } else {
            unknown * self.known.rules.air_share.mean * excess
        };
        Some(contrast)
    }

    /// Logarithm of the speed of a cell on one course, m/s, in a wind of which this much blows
    /// from ahead (negative: from astern), m/s.
    pub fn in_wind(&self, configuration: usize, setting: usize, against: f64) -> Option<Contrast> {
        let mut contrast = self.calm(configuration, setting)?;
        let speed = over(self.cell(configuration, setting), &|r| r.speed);
        let excess = balance::excess_drag(speed, against, 0.0);
        contrast
            .parts
            .push((Term::AirShare, -excess, Where::Always));
        excess.is_finite().then_some(contrast)
    }

    /// Rate of the steady trend on a day, per hour.
    pub fn trend(&self, day: usize) -> Option<Contrast> {
        self.known
            .rows
            .iter()
            .any(|r| r.day == day)
            .then(|| Contrast::of(vec![(Term::Trend(day), 1.0)], 0.0, false))
    }

    /// What the trend adds to the plain difference of two configurations (see [`Self::change`]):
    /// its rate times how far apart in time they were run.
    pub fn moved_by_trend(
        &self,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let hours = |r: &RunRow, day: usize| {
            if r.day == day {
                hours(&self.known.rows, r)
            } else {
                0.0
            }
        };
        let days = distinct(self.known.rows.iter().map(|r| r.day));
        let parts = days.iter().map(|d| {
            let apart = self.apart(changed, baseline, setting, &|r| hours(r, *d))?;
            Some((Term::Trend(*d), apart, Where::Always))
        });
        Some(Contrast {
            parts: parts.collect::<Option<_>>()?,
            constant: 0.0,
            doubt: 0.0,
            few: false,
        })
    }

    /// What wind and current, as far as the model sees them, add to the plain difference.
    pub fn moved_by_wind(
        &self,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let share = |r: &RunRow| r.half_difference / r.speed;
        let apart = |value: &dyn Fn(&RunRow) -> f64| self.apart(changed, baseline, setting, value);
        let logged = |r: &RunRow| {
            let wind = r.wind.filter(|_| self.known.logged);
            wind.map_or(0.0, |[a, b]| -balance::mean_excess(r.speed, a, b))
        };
        let parts = vec![
            (Term::WindSlope, apart(&|r| share(r).abs())?, Where::Wind),
            (Term::AirShare, apart(&logged)?, Where::Else),
        ];
        Some(Contrast {
            parts,
            constant: 0.0,
            doubt: 0.0,
            few: false,
        })
    }

    /// How far the means of a value lie apart, over settings as in [`Self::change`].
    fn apart(
        &self,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
        value: &dyn Fn(&RunRow) -> f64,
    ) -> Option<f64> {
        let contrast = self.change(changed, baseline, setting)?;
        let own = contrast
            .parts
            .iter()
            .filter_map(|(term, weight, _)| match term {
                Term::PartAtSetting(j, k) if *weight != 0.0 => {
                    Some(weight * over(self.cell(*j, *k), value))
                }
                _ => None,
            });
        Some(own.sum())
    }
}
