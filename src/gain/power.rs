//! Draw of the cells, its comparison at equal setting and at equal speed, and why it is faster.

use super::draw::Drawn;
use super::estimate::{Cell, LogEstimate};
use super::known::Known;
use super::result::{
    CellPower, EqualSpeedDraw, Power, PowerComparison, PowerSource, Why, WhyVerdict,
};
use crate::stats::interval::Interval;

const NO_READINGS: &str = "This track cannot tell whether the boat is faster because the part is better or because it loads the motor more. Ten minutes with a clamp meter tell: read the current at each setting with either part, and add a [[reading]] to the notes, or log the draw and give it with --power-log.";

const READ_ONCE: &str =
    "the draw is known once at each: a verdict takes two readings or double runs";

/// A changed configuration against the baseline, over one setting or several.
struct Change {
    changed: usize,
    /// `None` for all pooled.
    setting: Option<usize>,
    /// The settings it rests on.
    settings: Vec<usize>,
    /// Change of the logarithm of power, and of speed.
    power: LogEstimate,
    speed: LogEstimate,
}

pub(super) fn power(known: &Known<'_>, drawn: Drawn) -> Power {
    let motor = known.noted.notes.energy.motor;
    let changes = changes(known, &drawn);
    let pooled = || changes.iter().filter(|c| c.setting.is_none());
    let at_speed: Vec<(usize, LogEstimate, EqualSpeedDraw)> =
        pooled().map(|c| at_equal_speed(known, &drawn, c)).collect();
    let reason = |c: &Change| {
        let at_speed = at_speed.iter().find(|(changed, ..)| *changed == c.changed);
        Why {
            baseline: known.configuration(known.baseline()),
            changed: known.configuration(c.changed),
            setting: c.setting.map(|s| known.setting(s)),
            verdict: why(c.power, at_speed.map(|(_, log, _)| *log)),
        }
    };
    Power {
        source: drawn.source,
        cells: drawn
            .cells()
            .into_iter()
            .filter_map(|cell| of_cell(known, &drawn, cell))
            .collect(),
        comparisons: changes.iter().map(|c| comparison(known, c)).collect(),
        why: changes.iter().map(reason).collect(),
        equal_speed: at_speed.into_iter().map(|(_, _, shown)| shown).collect(),
        limit_w: motor.limit_watts,
        limit_a: motor.limit_amps,
        reason: (drawn.source == PowerSource::None).then(|| NO_READINGS.to_owned()),
        clock: drawn.clock,
        legs: drawn.legs,
        uncovered_legs: drawn.uncovered_legs,
        double_runs: drawn.runs,
        set_aside: drawn.set_aside,
        nominal_volts: drawn.nominal_volts,
        remarks: drawn.remarks,
    }
}

fn of_cell(known: &Known<'_>, drawn: &Drawn, cell: Cell) -> Option<CellPower> {
    let motor = known.noted.notes.energy.motor;
    let (power, speed) = (drawn.power(cell)?, known.speed(cell)?);
    let amps = drawn.mean_amps(cell);
    let over = [
        motor.limit_watts.map(|limit| power.value.exp() > limit),
        motor.limit_amps.zip(amps).map(|(limit, amps)| amps > limit),
    ];
    Some(CellPower {
        configuration: known.configuration(cell.0),
        setting: known.setting(cell.1),
        count: drawn.count(cell),
        speed_m_s: speed.value.exp(),
        watts: power.raised(),
        amps,
        energy_j_per_m: LogEstimate::sum(&[(1.0, power), (-1.0, speed)]).raised(),
        over_limit: over.into_iter().flatten().reduce(|a, b| a || b),
    })
}

/// Every configuration against the first, at each setting at which both draws are known and over
/// all of those, each weighing `n m / (n + m)` by its draws: the least-squares weight under a
/// common scatter. The speeds weigh alike.
fn changes(known: &Known<'_>, drawn: &Drawn) -> Vec<Change> {
    let mut out = Vec::new();
    let baseline = known.baseline();
    let all = 0..known.configurations.len();
    for changed in all.filter(|changed| *changed != baseline) {
        let settings = (0..known.settings.len()).filter_map(|setting| {
            let [n, m] = [baseline, changed].map(|j| drawn.count((j, setting)) as f64);
            (n > 0.0 && m > 0.0).then(|| (setting, n * m / (n + m)))
        });
        let settings: Vec<(usize, f64)> = settings.collect();
        for one in &settings {
            out.extend(change(known, drawn, changed, Some(one.0), &[*one]));
        }
        out.extend(change(known, drawn, changed, None, &settings));
    }
    out
}

fn change(
    known: &Known<'_>,
    drawn: &Drawn,
    changed: usize,
    setting: Option<usize>,
    weighed: &[(usize, f64)],
) -> Option<Change> {
    let total: f64 = weighed.iter().map(|(_, w)| w).sum();
    let baseline = known.baseline();
    let pair = |(k, w): &(usize, f64)| [(w / total, (changed, *k)), (-w / total, (baseline, *k))];
    let parts: Vec<(f64, Cell)> = weighed.iter().flat_map(pair).collect();
    let mut power = LogEstimate::of_cells(drawn.posterior.as_ref()?, &parts)?;
    // A verdict takes one setting at which both were read twice.
    let is_once = |(k, _): &(usize, f64)| {
        [baseline, changed]
            .iter()
            .any(|j| drawn.is_read_once((*j, *k)))
    };
    power.few |= weighed.iter().all(is_once);
    Some(Change {
        changed,
        setting,
        settings: weighed.iter().map(|(k, _)| *k).collect(),
        power,
        speed: LogEstimate::of_cells(known.posterior?, &parts)?,
    })
}

fn comparison(known: &Known<'_>, change: &Change) -> PowerComparison {
    let energy = LogEstimate::sum(&[(1.0, change.power), (-1.0, change.speed)]);
    PowerComparison {
        baseline: known.configuration(known.baseline()),
        changed: known.configuration(change.changed),
        setting: change.setting.map(|s| known.setting(s)),
        power_percent: change.power.percent(),
        energy_percent: energy.percent(),
        reason: change.power.few.then(|| READ_ONCE.to_owned()),
    }
}

/// The exponent of power over speed of these configurations, one for all of them: the
/// least-squares slope of the logarithms of power on those of speed within each. `None` where none
/// was drawn at two speeds.
pub(super) fn exponent(
    known: &Known<'_>,
    drawn: &Drawn,
    configurations: &[usize],
) -> Option<LogEstimate> {
    let mut weights: Vec<(f64, Cell)> = Vec::new();
    for j in configurations {
        let own = drawn.cells().into_iter().filter(|cell| cell.0 == *j);
        let speeds = own.filter_map(|cell| Some((known.speed(cell)?.value, cell)));
        let speeds: Vec<(f64, Cell)> = speeds.collect();
        let middle = speeds.iter().map(|(v, _)| v).sum::<f64>() / speeds.len() as f64;
        weights.extend(speeds.into_iter().map(|(v, cell)| (v - middle, cell)));
    }
    let squares: f64 = weights.iter().map(|(w, _)| w * w).sum();
    for (weight, _) in &mut weights {
        *weight /= squares;
    }
    let power =
        LogEstimate::of_cells(drawn.posterior.as_ref()?, &weights).filter(|_| squares > 0.0)?;
    // To first order; the speeds so weighed are 1, and their error tilts the slope.
    let speed = LogEstimate::of_cells(known.posterior?, &weights)?;
    let found = LogEstimate::sum(&[(1.0, power), (-power.value, speed)]);
    Some(found.moved(power.value - found.value))
}

/// Power at equal speed: the change of power at equal setting less that of speed times the
/// exponent, which is what the draws say of it and the prior, each weighing by its precision.
fn at_equal_speed(
    known: &Known<'_>,
    drawn: &Drawn,
    change: &Change,
) -> (usize, LogEstimate, EqualSpeedDraw) {
    let rules = &known.rules;
    let seen = exponent(known, drawn, &[0, change.changed]);
    // Half an interval at 95 % is two standard deviations, near enough for a weight.
    let half = 2.0 * rules.exponent_sd;
    let precision = seen.map_or(0.0, |e| (half / ((e.high - e.low) / 2.0)).powi(2));
    let prior = 1.0 / (1.0 + precision);
    let value = seen.map_or(rules.exponent, |e| {
        prior * rules.exponent + (1.0 - prior) * e.value
    });
    let doubt = LogEstimate {
        value: 0.0,
        low: -half * prior.sqrt(),
        high: half * prior.sqrt(),
        few: false,
    };
    let log = LogEstimate::sum(&[
        (1.0, change.power),
        (-value, change.speed),
        (change.speed.value, doubt),
    ]);
    let cells = || {
        [0, change.changed]
            .into_iter()
            .flat_map(|j| change.settings.iter().map(move |k| (j, *k)))
    };
    let speeds = || cells().filter_map(|cell| Some(known.speed(cell)?.value.exp()));
    let shown = EqualSpeedDraw {
        baseline: known.configuration(known.baseline()),
        changed: known.configuration(change.changed),
        percent: log.percent(),
        exponent: doubt.moved(value).ranged(),
        method: Some(if seen.is_some() {
            "fitted curve"
        } else {
            "cube law"
        }),
        from_m_s: speeds().min_by(f64::total_cmp),
        to_m_s: speeds().max_by(f64::total_cmp),
        reason: match (change.power.few, change.speed.few) {
            (true, _) => Some(READ_ONCE.to_owned()),
            (false, true) => Some("there are too few double runs for a verdict".to_owned()),
            (false, false) => None,
        },
    };
    (change.changed, log, shown)
}

/// The verdict from the changes of power at equal setting and at equal speed.
fn why(at_setting: LogEstimate, at_speed: Option<LogEstimate>) -> WhyVerdict {
    if at_setting.few || at_speed.is_some_and(|log| log.few) {
        return WhyVerdict::TooFew;
    }
    let above = |i: Interval| i.low > 0.0;
    let below = |i: Interval| i.high < 0.0;
    let harder = above(at_setting.interval());
    let at_speed = at_speed.map(LogEstimate::interval);
    match (
        at_speed.is_some_and(below),
        harder,
        at_speed.is_some_and(above),
    ) {
        (true, true, _) => WhyVerdict::Both,
        (true, false, _) => WhyVerdict::MoreEfficient,
        (false, true, _) => WhyVerdict::WorksHarder,
        (false, false, true) => WhyVerdict::LessEfficient,
        (false, false, false) => WhyVerdict::NotShown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_verdict_follows_from_the_intervals() {
        let log = |low: f64, high: f64| LogEstimate {
            value: f64::midpoint(low, high),
            low,
            high,
            few: false,
        };
        let of = |a: [f64; 2], b: [f64; 2]| why(log(a[0], a[1]), Some(log(b[0], b[1])));
        assert_eq!(of([-1.0, 1.0], [-5.0, -2.0]), WhyVerdict::MoreEfficient);
        assert_eq!(of([2.0, 5.0], [-1.0, 2.0]), WhyVerdict::WorksHarder);
        assert_eq!(of([2.0, 5.0], [-5.0, -2.0]), WhyVerdict::Both);
        assert_eq!(of([-1.0, 1.0], [2.0, 4.0]), WhyVerdict::LessEfficient);
        assert_eq!(of([-1.0, 1.0], [-1.0, 1.0]), WhyVerdict::NotShown);
        let once = LogEstimate {
            few: true,
            ..log(2.0, 5.0)
        };
        assert_eq!(why(once, Some(log(-5.0, -2.0))), WhyVerdict::TooFew);
    }
}
