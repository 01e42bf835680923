//! The linear part of the model: its terms, their priors and their columns.

use super::contrast::Term;
use super::drift::Cause;
use super::{CompareRules, Conditions, Normal, RunRow, balance};

/// How the wind enters, and on which days.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Wind {
    /// By the half differences, on the days (by place among the days) where the wind makes them.
    HalfDifference(Vec<Cause>),
    /// By a log.
    Logged,
}

/// Term, column, prior.
pub(super) struct Column {
    pub(super) term: Term,
    pub(super) values: Vec<f64>,
    pub(super) prior: Normal,
}

/// The numbers that occur, in order.
pub(super) fn distinct(numbers: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut all: Vec<usize> = numbers.collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The columns, by the prior of the rate of the trend, per hour, and of how far a change differs
/// from day to day.
pub(super) fn columns(
    rows: &[RunRow],
    wind: &Wind,
    (trend, day_change_sd): (Normal, f64),
    conditions: &Conditions,
    rules: &CompareRules,
) -> Vec<Column> {
    let configurations = distinct(rows.iter().map(|r| r.configuration));
    let settings = distinct(rows.iter().map(|r| r.setting));
    let lines = distinct(rows.iter().map(|r| r.line));
    let days = distinct(rows.iter().map(|r| r.day));
    let mut out = Vec::new();
    let mut add = |term, prior: Normal, value: &dyn Fn(&RunRow) -> f64| {
        let values = rows.iter().map(value).collect();
        out.push(Column {
            term,
            values,
            prior,
        });
    };
    let free = |sd: f64| Normal { mean: 0.0, sd };
    // Each of two has half the variance of their difference.
    let of_two = |sd: f64| free(sd / std::f64::consts::SQRT_2);
    let is = |yes: bool| if yes { 1.0 } else { 0.0 };
    for &k in &settings {
        add(Term::Setting(k), free(rules.setting_sd), &|r| {
            is(r.setting == k)
        });
    }
    for &j in &configurations {
        add(Term::Part(j), of_two(rules.change_sd), &|r| {
            is(r.configuration == j)
        });
        for &k in settings.iter().filter(|_| settings.len() > 1) {
            let own = |r: &RunRow| is((r.configuration, r.setting) == (j, k));
            add(
                Term::PartAtSetting(j, k),
                of_two(rules.interaction_sd),
                &own,
            );
        }
    }
    for &l in lines.iter().filter(|_| lines.len() > 1) {
        add(Term::Line(l), of_two(rules.line_sd), &|r| is(r.line == l));
    }
    for &d in &days {
        let hours = |r: &RunRow| is(r.day == d) * hours(rows, r);
        add(Term::Trend(d), trend, &hours);
        if days.len() > 1 {
            add(Term::Day(d), of_two(rules.day_sd), &|r| is(r.day == d));
            for &k in &settings {
                let own = |r: &RunRow| is((r.day, r.setting) == (d, k));
                add(Term::SettingOnDay(k, d), of_two(rules.day_setting_sd), &own);
            }
            for &j in &configurations {
                let own = |r: &RunRow| is((r.day, r.configuration) == (d, j));
                add(Term::PartOnDay(j, d), of_two(day_change_sd), &own);
            }
        }
    }
    // Every figure is for the mean conditions of its setting, so these are centred in each.
    let centred = |value: &dyn Fn(&RunRow) -> f64, r: &RunRow| {
        value(r) - over(rows.iter().filter(|o| o.setting == r.setting), value)
    };
    let by_wind = |r: &RunRow| match wind {
        Wind::HalfDifference(causes) => {
            let place = days.iter().position(|d| *d == r.day);
            place.and_then(|p| causes.get(p)) == Some(&Cause::Wind)
        }
        Wind::Logged => false,
    };
    let share = |r: &RunRow| r.half_difference / r.speed;
    add(Term::WindSlope, slope(rows, conditions, rules), &|r| {
        centred(&|o| is(by_wind(o)) * share(o).abs(), r)
    });
    add(Term::CalmSlope, rules.calm_slope, &|_| 0.0);
    add(
        Term::AirShare,
        air_share(rows, wind, conditions, rules),
        &|r| {
            let excess = |o: &RunRow| {
                o.wind
                    .map_or(0.0, |[a, b]| -balance::mean_excess(o.speed, a, b))
            };
            if *wind == Wind::Logged {
                centred(&excess, r)
            } else {
                0.0
            }
        },
    );
    out
}

/// Mean of the logarithms of the speeds, about which all levels lie.
pub(super) fn usual_log(rows: &[RunRow]) -> f64 {
    over(rows.iter(), &|r| r.water_speed.unwrap_or(r.speed).ln())
}

/// Hours from the middle of the runs of the day.
pub(super) fn hours(rows: &[RunRow], row: &RunRow) -> f64 {
    (row.at - over(rows.iter().filter(|o| o.day == row.day), &|o| o.at)) / 3600.0
}

/// Mean of a value over rows; NaN without any.
pub(super) fn over<'a>(
    rows: impl Iterator<Item = &'a RunRow>,
    value: &dyn Fn(&'a RunRow) -> f64,
) -> f64 {
    let (sum, count) = rows.fold((0.0, 0.0), |(s, n), r| (s + value(r), n + 1.0));
    sum / count
}

/// Prior of the slope: with a stated wind, what the balance gives for it. The spread stays: gusts,
/// the wind across the line and the way it is stated leave as much open.
fn slope(rows: &[RunRow], conditions: &Conditions, rules: &CompareRules) -> Normal {
    let ratio = over(rows.iter(), &|r| {
        let [along, _] = conditions.wind_at(r).unwrap_or([0.0, 0.0]);
        r.speed / along.abs()
    });
    // Below the boat's own speed the slope turns back, to minus their ratio the other way round.
    let mean = -ratio.min(1.0 / ratio);
    if mean < 0.0 {
        Normal {
            mean,
            ..rules.wind_slope
        }
    } else {
        rules.wind_slope
    }
}

/// Prior of the air's share: with a stated wind that makes the half differences, their size gives
/// it.
fn air_share(
    rows: &[RunRow],
    wind: &Wind,
    conditions: &Conditions,
    rules: &CompareRules,
) -> Normal {
    let prior = rules.air_share;
    let all_wind = matches!(wind, Wind::HalfDifference(c) if c.iter().all(|c| *c == Cause::Wind));
    let Some(stated) = conditions.wind_speed.filter(|w| all_wind && *w > 0.0) else {
        return prior;
    };
    let excess = |r: &RunRow| {
        let off = conditions
            .wind_from
            .map_or(0.0, |f| r.axis.turn_to(f).degrees().to_radians());
        balance::half_excess(r.speed, stated * off.cos(), stated * off.sin()).abs()
    };
    let found =
        over(rows.iter(), &|r| (r.half_difference / r.speed).abs()) / over(rows.iter(), &excess);
    // The half differences go with the square of the wind.
    let sd = 2.0 * rules.stated_wind_share * found;
    let [a, b] = [prior.sd, sd].map(|sd| sd.powi(-2));
    if (found * a * b).is_finite() && found > 0.0 {
        Normal {
            mean: (prior.mean * a + found * b) / (a + b),
            sd: (a + b).powf(-0.5),
        }
    } else {
        prior
    }
}
