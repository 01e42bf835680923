//! The figures that can be asked of the posterior, as linear combinations of its coefficients.

use super::contrast::{Contrast, Term};
use super::known::over;
use super::posterior::Posterior;
use super::{Conditions, RunRow, balance};

impl Posterior {
    fn cell(&self, configuration: usize, setting: usize) -> impl Iterator<Item = &RunRow> + Clone {
        let own = move |r: &&RunRow| (r.configuration, r.setting) == (configuration, setting);
        self.known.rows.iter().filter(own)
    }

    fn is_few(&self, configuration: usize) -> bool {
        let own = |r: &&RunRow| r.configuration == configuration;
        self.known.rows.iter().filter(own).count() < 2
    }

    /// The settings, all or one, that both configurations were run at, each with its share.
    fn shared(&self, [a, b]: [usize; 2], setting: Option<usize>) -> Option<Vec<(usize, f64)>> {
        let mut settings = setting.map_or_else(|| self.settings(), |k| vec![k]);
        settings.retain(|k| [a, b].iter().all(|j| self.cell(*j, *k).next().is_some()));
        let weight = |k: &usize| {
            let [n, m] = [a, b].map(|j| self.cell(j, *k).count() as f64);
            n * m / (n + m)
        };
        let total: f64 = settings.iter().map(weight).sum();
        let shares = settings.iter().map(|k| (*k, weight(k) / total));
        (total > 0.0 && a != b).then(|| shares.collect())
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
        let shared = self.shared([changed, baseline], setting)?;
        let own = |(j, sign): (usize, f64)| {
            let at = shared.iter();
            let at = at.map(move |(k, share)| (Term::PartAtSetting(j, *k), sign * share));
            at.chain([(Term::Part(j), sign)])
        };
        Some(Contrast {
            few: self.is_few(changed) || self.is_few(baseline),
            ..Contrast::of([(changed, 1.0), (baseline, -1.0)].into_iter().flat_map(own))
        })
    }

    /// The same on one of several days, with what is that day's own.
    pub fn change_on(
        &self,
        day: usize,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let here = |r: &RunRow| r.day == day && setting.is_none_or(|k| r.setting == k);
        let ran = |j| (self.known.rows.iter()).any(|r| here(r) && r.configuration == j);
        let mut contrast = self.change(changed, baseline, setting)?;
        let of_day = |(j, sign)| (Term::PartOnDay(j, day), [sign; 2]);
        let own = [(changed, 1.0), (baseline, -1.0)].map(of_day);
        contrast.parts.extend(own);
        (ran(changed) && ran(baseline)).then_some(contrast)
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
        let lines = self.known.distinct(|r| r.line);
        let each = 1.0 / lines.len() as f64;
        parts.extend(lines.iter().map(|l| (Term::Line(*l), each)));
        let days = self.known.days();
        let each = 1.0 / days.len() as f64;
        for d in days {
            parts.push((Term::Day(d), each));
            parts.push((Term::SettingOnDay(setting, d), each));
            parts.push((Term::PartOnDay(configuration, d), each));
        }
        Some(Contrast {
            constant: self.known.usual_log(),
            few: self.is_few(configuration),
            ..Contrast::of(parts)
        })
    }

    /// Logarithm of the speed of a cell in a calm, m/s.
    pub fn calm(&self, configuration: usize, setting: usize) -> Option<Contrast> {
        let mut contrast = self.level(configuration, setting)?;
        let known = &self.known;
        let own = || known.rows.iter().filter(|r| r.setting == setting);
        let share = over(own(), |r| r.share().abs());
        let stated = known.conditions.stated_wind();
        let usual = Conditions {
            wind_speed: stated.or(Some(known.rules.usual_wind)),
            ..known.conditions
        };
        let wind = |r: &RunRow| {
            let logged = known.logged_wind(r);
            logged.or_else(|| usual.wind_at(r)).unwrap_or_default()
        };
        let excess = over(own(), |r| {
            let [along, across] = wind(r);
            balance::mean_excess(r.speed, along, across)
        });
        contrast.parts.extend([
            (Term::WindSlope, [-share, 0.0]),
            (Term::CalmSlope, [-share, 0.0]),
            (Term::AirShare, [0.0, excess]),
        ]);
        let unknown = match stated {
            _ if known.logged => 0.0,
            Some(_) => known.rules.stated_wind_share,
            // One that nobody stated may as well have been half of it or half as much again.
            None => 0.5,
        };
        contrast.doubt = unknown * known.rules.air_share.mean * excess;
        Some(contrast)
    }

    /// Logarithm of the speed of a cell on one course, m/s, in a wind of which this much blows
    /// from ahead (negative: from astern), m/s.
    pub fn in_wind(&self, configuration: usize, setting: usize, against: f64) -> Option<Contrast> {
        let mut contrast = self.calm(configuration, setting)?;
        let speed = over(self.cell(configuration, setting), |r| r.speed);
        let excess = balance::excess_drag(speed, against, 0.0);
        contrast.parts.push((Term::AirShare, [-excess; 2]));
        excess.is_finite().then_some(contrast)
    }

    /// Rate of the steady trend on a day, per hour.
    pub fn trend(&self, day: usize) -> Option<Contrast> {
        let ran = self.known.days().contains(&day);
        ran.then(|| Contrast::of([(Term::Trend(day), 1.0)]))
    }

    /// What the trend adds to the plain difference of two configurations (see [`Self::change`]):
    /// its rate times how far apart in time they were run.
    pub fn moved_by_trend(
        &self,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let known = &self.known;
        let rate = |day| {
            let on_day = |r: &RunRow| if r.day == day { known.hours(r) } else { 0.0 };
            let apart = self.apart([changed, baseline], setting, on_day)?;
            Some((Term::Trend(day), apart))
        };
        let parts: Option<Vec<_>> = known.days().into_iter().map(rate).collect();
        Some(Contrast::of(parts?))
    }

    /// What wind and current, as far as the model sees them, add to the plain difference.
    pub fn moved_by_wind(
        &self,
        changed: usize,
        baseline: usize,
        setting: Option<usize>,
    ) -> Option<Contrast> {
        let pair = [changed, baseline];
        let share = self.apart(pair, setting, |r| r.share().abs())?;
        let excess = self.apart(pair, setting, |r| -self.known.logged_excess(r))?;
        let parts = vec![
            (Term::WindSlope, [share, 0.0]),
            (Term::AirShare, [0.0, excess]),
        ];
        Some(Contrast {
            parts,
            ..Contrast::default()
        })
    }

    /// How far the means of a value lie apart, over settings as in [`Self::change`].
    pub fn apart(
        &self,
        pair: [usize; 2],
        setting: Option<usize>,
        value: impl Fn(&RunRow) -> f64,
    ) -> Option<f64> {
        let shared = self.shared(pair, setting)?;
        let apart = |(k, share): &(usize, f64)| {
            let [changed, baseline] = pair.map(|j| over(self.cell(j, *k), &value));
            share * (changed - baseline)
        };
        Some(shared.iter().map(apart).sum())
    }
}
