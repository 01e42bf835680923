//! A change in words, and what it is worth on the water.

use crate::compare::{Comparison, Percent, Verdict};
use crate::report::rounding::{
    NO_BREAK_SPACE, fixed, percent_decimals, span_in_words, speed_with_unit, standard_error_of,
};
use crate::stats::interval::Interval;
use crate::trial::Trial;
use crate::units::SpeedUnit;

/// A change in percent in words, its interval read in the direction of the sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Change {
    /// `6 % faster`.
    pub(super) size: String,
    /// The ends, `4` and `11 %` where both go the same way, `2 % slower` and `3 % faster` where not.
    ends: Option<[String; 2]>,
    /// The way both ends go, with a space before it.
    way: String,
}

impl Change {
    /// With the words for less and for more; `None` without a value.
    pub(super) fn of(percent: &Percent, [less, more]: [&str; 2]) -> Option<Self> {
        let s = NO_BREAK_SPACE;
        let value = percent.value.filter(|value| value.is_finite())?;
        let decimals = percent_decimals(percent);
        let way = |x: f64| if x < 0.0 { less } else { more };
        let share = |x: f64| format!("{}{s}%", fixed(x.abs(), decimals));
        let end = |x: f64| match share(x) {
            none if none == share(0.0) => "no change".to_owned(),
            some => format!("{some} {}", way(x)),
        };
        let ends = percent.low.zip(percent.high);
        let ends = ends.filter(|(low, high)| low.is_finite() && high.is_finite());
        let one_way = ends.is_some_and(|(low, high)| low * high > 0.0);
        Some(Self {
            size: format!("{} {}", share(value), way(value)),
            ends: ends.map(|(low, high)| match (one_way, high > 0.0) {
                (true, true) => [fixed(low, decimals), share(high)],
                (true, false) => [fixed(high.abs(), decimals), share(low)],
                (false, _) => [end(low), end(high)],
            }),
            way: if one_way {
                format!(" {}", way(value))
            } else {
                String::new()
            },
        })
    }

    /// ` (95 % interval 4 to 11 %)`, with a space before it; empty without an interval.
    pub(super) fn in_brackets(&self) -> String {
        let s = NO_BREAK_SPACE;
        let ends = self.ends.as_ref();
        ends.map_or_else(String::new, |[low, high]| {
            format!(" (95{s}% interval {low} to {high})")
        })
    }

    /// `between 2 % slower and 3 % faster`.
    pub(super) fn between(&self) -> Option<String> {
        let [low, high] = self.ends.as_ref()?;
        Some(format!("between {low} and {high}{}", self.way))
    }
}

/// Speeds of the baseline at the settings a comparison covers, slowest first.
fn baseline_speeds(trial: &Trial, comparison: &Comparison) -> Vec<f64> {
    let mut speeds: Vec<f64> = trial
        .comparisons
        .iter()
        .filter(|other| same_pair(other, comparison))
        .filter(|other| comparison.setting.is_none() || other.setting == comparison.setting)
        .filter_map(|other| other.baseline_m_s)
        .filter(|speed| speed.is_finite() && *speed > 0.0)
        .collect();
    speeds.sort_by(f64::total_cmp);
    speeds
}

/// What a change is worth: `At 3.05 kn that saves 1 min 2 s on each nautical mile, at 4.20 kn 45 s.`
pub(crate) fn worth(trial: &Trial, comparison: &Comparison) -> Option<String> {
    let speeds = baseline_speeds(trial, comparison);
    let (low, high) = comparison.percent.low.zip(comparison.percent.high)?;
    // Of many settings the slowest and the fastest.
    let shown: Vec<f64> = match speeds.as_slice() {
        [first, .., last] => vec![*first, *last],
        all => all.to_vec(),
    };
    let unit = trial.units;
    let mile = long_distance_word(unit);
    let error = standard_error_of(Interval { low, high });
    let at = |speed: f64| format!("at {}", speed_with_unit(speed, None, unit));
    let span = |speed: f64, percent: f64| -> Option<String> {
        let (_, metres) = unit.long_distance();
        let (seconds, se) = (metres / speed, metres / speed * error / 100.0);
        let saved = seconds - seconds / (1.0 + percent / 100.0);
        saved.is_finite().then(|| span_in_words(saved, se))
    };
    if comparison.verdict == Verdict::NotShown {
        let speed = *shown.last()?;
        return Some(format!(
            "On each {mile} {} that is between {} more and {} less.",
            at(speed),
            span(speed, low)?,
            span(speed, high)?
        ));
    }
    let value = comparison
        .percent
        .value
        .filter(|_| is_claimed(comparison.verdict))?;
    let saves = if value < 0.0 { "costs" } else { "saves" };
    let each: Option<Vec<String>> = (shown.iter().enumerate())
        .map(|(place, speed)| {
            let span = span(*speed, value)?;
            Some(if place == 0 {
                format!(
                    "A{} that {saves} {span} on each {mile}",
                    at(*speed).get(1..)?
                )
            } else {
                format!("{} {span}", at(*speed))
            })
        })
        .collect();
    each.filter(|each| !each.is_empty())
        .map(|each| format!("{}.", each.join(", ")))
}

fn is_claimed(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::Faster | Verdict::Slower)
}

fn long_distance_word(unit: SpeedUnit) -> &'static str {
    match unit {
        SpeedUnit::Knots => "nautical mile",
        SpeedUnit::MilesPerHour => "mile",
        SpeedUnit::KilometresPerHour | SpeedUnit::MetresPerSecond => "kilometre",
    }
}

/// Whether two comparisons are of the same parts, at whatever setting.
pub(super) fn same_pair(one: &Comparison, other: &Comparison) -> bool {
    one.baseline == other.baseline && one.changed == other.changed
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_sign_of_an_interval_does_not_flip_in_the_sentence() {
        let change = |value, low, high| {
            let percent = Percent {
                value: Some(value),
                low: Some(low),
                high: Some(high),
            };
            let change = Change::of(&percent, ["less", "more"]);
            change.map(|c| {
                (
                    c.size.clone(),
                    c.in_brackets(),
                    c.between().unwrap_or_default(),
                )
            })
        };
        let words = |all: [&str; 3]| Some(all.map(|text| text.replace('~', "\u{a0}")).into());
        assert_eq!(
            change(-12.0, -20.0, -7.0),
            words([
                "12~% less",
                " (95~% interval 7 to 20~%)",
                "between 7 and 20~% less"
            ])
        );
        assert_eq!(
            change(2.0, -1.0, 5.5),
            words([
                "2~% more",
                " (95~% interval 1~% less to 6~% more)",
                "between 1~% less and 6~% more"
            ])
        );
    }
}
