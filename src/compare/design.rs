//! The linear part of the model: its terms, their priors and their columns.

use super::contrast::Term;
use super::known::{Cause, Known, over};
use super::{Normal, RunRow, balance};

/// Term, column, prior.
pub(super) struct Column {
    pub(super) term: Term,
    pub(super) values: Vec<f64>,
    pub(super) prior: Normal,
}

impl Known {
    /// The columns, by the cause of the half differences on each day, the prior of the rate of the
    /// trend, per hour, and how far a change differs from day to day.
    pub(super) fn columns(
        &self,
        causes: &[Cause],
        trend: Normal,
        day_change_sd: f64,
    ) -> Vec<Column> {
        let rules = &self.rules;
        let configurations = self.distinct(|r| r.configuration);
        let settings = self.distinct(|r| r.setting);
        let lines = self.distinct(|r| r.line);
        let days = self.days();
        let free = |sd: f64| Normal { mean: 0.0, sd };
        // Each of two has half the variance of their difference.
        let of_two = |sd: f64| free(sd / std::f64::consts::SQRT_2);
        let mut out = Vec::new();
        let mut add = |term: Term, prior: Normal| {
            let value = |r| self.value(term, causes, r);
            out.push(Column {
                term,
                values: self.rows.iter().map(value).collect(),
                prior,
            });
        };
        for &k in &settings {
            add(Term::Setting(k), free(rules.setting_sd));
        }
        for &j in &configurations {
            add(Term::Part(j), of_two(rules.change_sd));
            for &k in settings.iter().filter(|_| settings.len() > 1) {
                add(Term::PartAtSetting(j, k), of_two(rules.interaction_sd));
            }
        }
        for &l in lines.iter().filter(|_| lines.len() > 1) {
            add(Term::Line(l), of_two(rules.line_sd));
        }
        for &d in &days {
            add(Term::Trend(d), trend);
            if days.len() > 1 {
                add(Term::Day(d), of_two(rules.day_sd));
                for &k in &settings {
                    add(Term::SettingOnDay(k, d), of_two(rules.day_setting_sd));
                }
                for &j in &configurations {
                    add(Term::PartOnDay(j, d), of_two(day_change_sd));
                }
            }
        }
        add(Term::WindSlope, self.slope());
        add(Term::CalmSlope, rules.calm_slope);
        let all_wind = causes.iter().all(|c| *c == Cause::Wind);
        let share = all_wind.then(|| self.air_share()).flatten();
        add(Term::AirShare, share.unwrap_or(rules.air_share));
        out
    }

    /// Value of a term's column at a run.
    fn value(&self, term: Term, causes: &[Cause], r: &RunRow) -> f64 {
        // Every figure is for the mean conditions of its setting, so these are centred in each.
        let centred = |value: &dyn Fn(&RunRow) -> f64| {
            value(r) - over(self.rows.iter().filter(|o| o.setting == r.setting), value)
        };
        let is = |yes: bool| if yes { 1.0 } else { 0.0 };
        match term {
            Term::Setting(k) => is(r.setting == k),
            Term::Part(j) => is(r.configuration == j),
            Term::PartAtSetting(j, k) => is((r.configuration, r.setting) == (j, k)),
            Term::Line(l) => is(r.line == l),
            Term::Day(d) => is(r.day == d),
            Term::SettingOnDay(k, d) => is((r.setting, r.day) == (k, d)),
            Term::PartOnDay(j, d) => is((r.configuration, r.day) == (j, d)),
            Term::Trend(d) => is(r.day == d) * self.hours(r),
            Term::WindSlope => {
                let days = self.days();
                let cause = |day| causes.get(days.iter().position(|d| *d == day)?);
                centred(&|o| is(cause(o.day) == Some(&Cause::Wind)) * o.share().abs())
            }
            Term::CalmSlope => 0.0,
            Term::AirShare => centred(&|o| -self.logged_excess(o)),
        }
    }

    /// Prior of the slope: with a stated wind, what the balance gives for it. The spread stays:
    /// gusts, the wind across the line and the way it is stated leave as much open.
    fn slope(&self) -> Normal {
        let ratio = over(&self.rows, |r| {
            let [along, _] = self.conditions.wind_at(r).unwrap_or([0.0, 0.0]);
            r.speed / along.abs()
        });
        let prior = self.rules.wind_slope;
        // Below the boat's own speed the slope turns back, to minus the inverse of their ratio.
        let mean = -ratio.min(1.0 / ratio);
        if mean < 0.0 {
            Normal { mean, ..prior }
        } else {
            prior
        }
    }

    /// Prior of the air's share where a stated wind makes the half differences, by their size.
    fn air_share(&self) -> Option<Normal> {
        let prior = self.rules.air_share;
        let excess = |r: &RunRow| {
            let [along, across] = self.conditions.wind_at(r)?;
            Some(balance::half_excess(r.speed, along, across).abs())
        };
        let usual = over(&self.rows, |r| excess(r).unwrap_or(f64::NAN));
        let found = self.mean_share() / usual;
        // The half differences go with the square of the wind.
        let sd = 2.0 * self.rules.stated_wind_share * found;
        let [a, b] = [prior.sd, sd].map(|sd| sd.powi(-2));
        ((found * a * b).is_finite() && found > 0.0).then(|| Normal {
            mean: (prior.mean * a + found * b) / (a + b),
            sd: (a + b).powf(-0.5),
        })
    }
}
