//! What the gain buys: speed against setting, and energy over distance against speed.

mod xy;

use std::fmt::Write as _;

use super::day::{Day, drawable};
use super::svg::Head;
use super::{Chart, PlotError, text};
use crate::gain::{CellPower, Curve};
use xy::{Series, Spot, Words};

/// Steps of a drawn curve.
const CURVE_STEPS: usize = 24;

/// 1 W h is 3600 J (NIST SP 811, B.8).
const JOULES_PER_WATT_HOUR: f64 = 3600.0;

/// The charts there are figures for.
pub(crate) fn charts(day: &Day) -> Result<Vec<Chart>, PlotError> {
    Ok([by_setting(day)?, energy(day)?]
        .into_iter()
        .flatten()
        .collect())
}

/// Speed against the setting in percent, where a curve could be fitted.
fn by_setting(day: &Day) -> Result<Option<Chart>, PlotError> {
    let found = &day.analysis.gain.equal_speed;
    let series: Vec<Series> = found
        .curves
        .iter()
        .map(|curve| setting_series(day, curve))
        .filter(|s| s.points.len() > 1)
        .collect();
    if series.is_empty() {
        return Ok(None);
    }
    let alt = alt(
        "Speed against power setting.",
        &series,
        |[percent, speed]| {
            format!(
                "{} {} at {} percent",
                text::number(speed, 2),
                day.unit(),
                text::number(percent, 0)
            )
        },
    );
    let words = Words {
        head: Head {
            name: "gain-setting".to_owned(),
            title: "Speed against setting".to_owned(),
            alt,
            legs: std::collections::BTreeMap::new(),
        },
        caption: "Each mark is the corrected speed at a setting, with its 95\u{a0}% interval; the line is the smooth rising curve through them. Go level from one line to the other: where you meet it, the other part goes as fast.".to_owned(),
        x: "setting (% of full power)".to_owned(),
        y: format!("speed ({})", day.unit()),
        settings: Vec::new(),
    };
    xy::chart(day.layout, words, &series).map(Some)
}

fn setting_series(day: &Day, curve: &Curve) -> Series {
    let setting = |percent: f64| {
        let of = |s: &&crate::trial::Setting| s.percent == Some(percent);
        let found = day.analysis.settings.iter().find(of);
        found.map_or(0, |s| day.setting(&s.name))
    };
    let points = curve.points.iter().filter_map(|p| {
        Some(Spot {
            setting: setting(p.percent),
            at: [
                p.percent,
                day.speed(p.speed_m_s.value.filter(|v| drawable(*v))?),
            ],
            bar: (p.speed_m_s.interval())
                .filter(|i| drawable(i.low) && drawable(i.high))
                .map(|i| [day.speed(i.low), day.speed(i.high)]),
        })
    });
    let percents = || curve.points.iter().map(|p| p.percent);
    let [from, to] = [
        percents().fold(f64::INFINITY, f64::min),
        percents().fold(0.0, f64::max),
    ];
    let step = |k: usize| {
        let x = from + (to - from) * k as f64 / CURVE_STEPS as f64;
        Some([x, day.speed(curve.at(x).filter(|v| drawable(*v))?)])
    };
    Series {
        configuration: day.configuration(&curve.configuration),
        name: text::clean(&curve.configuration),
        points: points.collect(),
        curve: (0..=CURVE_STEPS).filter_map(step).collect(),
    }
}

/// Energy over distance against speed, where draws were read.
fn energy(day: &Day) -> Result<Option<Chart>, PlotError> {
    let (mile, metres) = day.analysis.units.long_distance();
    let per_mile = |joules_per_metre: f64| joules_per_metre * metres / JOULES_PER_WATT_HOUR;
    let cells = &day.analysis.gain.power.cells;
    let spot = |c: &CellPower| -> Option<Spot> {
        let energy = c.energy_j_per_m.value.filter(|e| drawable(*e))?;
        Some(Spot {
            setting: day.setting(&c.setting),
            at: [day.speed(c.speed_m_s), per_mile(energy)],
            bar: c
                .energy_j_per_m
                .interval()
                .filter(|i| drawable(i.low) && drawable(i.high))
                .map(|i| [per_mile(i.low), per_mile(i.high)]),
        })
    };
    let series: Vec<Series> = day
        .configurations
        .iter()
        .enumerate()
        .map(|(configuration, name)| Series {
            configuration,
            name: text::clean(name),
            points: cells
                .iter()
                .filter(|c| c.configuration == *name && drawable(c.speed_m_s))
                .filter_map(spot)
                .collect(),
            curve: Vec::new(),
        })
        .filter(|s| !s.points.is_empty())
        .collect();
    if series.is_empty() {
        return Ok(None);
    }
    let what = format!("Energy over distance against speed, watt hours for each {mile}.");
    let alt = alt(&what, &series, |[speed, energy]| {
        format!(
            "{} at {} {}",
            text::number(energy, 1),
            text::number(speed, 2),
            day.unit()
        )
    });
    let words = Words {
        head: Head {
            name: "gain-energy".to_owned(),
            title: "Energy over distance against speed".to_owned(),
            alt,
            legs: std::collections::BTreeMap::new(),
        },
        caption: "Each mark is a configuration at a setting, there and back in the wind of the day, with its 95\u{a0}% interval. Of two lines the lower one goes further on a charge at the same speed.".to_owned(),
        x: format!("speed ({})", day.unit()),
        y: format!("energy (Wh/{mile})"),
        settings: day.settings.iter().map(|s| text::clean(s)).collect(),
    };
    xy::chart(day.layout, words, &series).map(Some)
}

/// The text alternative: what it shows, then the points of each configuration in words.
fn alt(what: &str, series: &[Series], say: impl Fn([f64; 2]) -> String) -> String {
    let mut out = what.to_owned();
    for one in series {
        let points: Vec<String> = one.points.iter().map(|p| say(p.at)).collect();
        let _ = write!(out, " {}: {}.", one.name, points.join(", "));
    }
    out
}
