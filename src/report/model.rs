//! The trial as the outputs read it.

pub(super) use crate::analysis::{
    Analysis as Trial, Buys as Gain, Cell, Comparison, CubeLaw, DoubleRun, Doubt,
    DoubtKind, EqualSetting, GroupSource, HeadingFit, HomeAnswer, HomeAt, Leg,
    Percent, PowerSource, Ranged, Reach, Reading, Trail, TurningCircle, Verdict, Warning, WayHome,
    Why, WhyVerdict, Wind, WindCovariate, WindLabel, WindSource, ZoneSource,
};
use jiff::Timestamp;

pub(super) struct Day<'a> {
    pub(super) day: usize,
    pub(super) from: Option<Timestamp>,
    pub(super) to: Option<Timestamp>,
    pub(super) wind: &'a Wind,
    pub(super) reading: Option<&'a Reading>,
    pub(super) wind_covariate: Option<&'a WindCovariate>,
    pub(super) headings: &'a [HeadingFit],
    pub(super) circles: &'a [TurningCircle],
    pub(super) settling_distance_m: Option<f64>,
    pub(super) trail: &'a Trail,
}

pub(super) fn days(trial: &Trial) -> Vec<Day<'_>> {
    let of = |day: usize, own: &'_ Trial| -> (usize, Option<Timestamp>, Option<Timestamp>) {
        let from = own.tracks.iter().filter_map(|t| t.from).min();
        let to = own.tracks.iter().filter_map(|t| t.to).max();
        (day, from, to)
    };
    let one = |day: usize, own| {
        let own: &Trial = own;
        let (day, from, to) = of(day, own);
        Day {
            day,
            from,
            to,
            wind: &own.wind,
            reading: own.reading.as_ref(),
            wind_covariate: own.wind_covariate.as_ref(),
            headings: &own.headings,
            circles: &own.circles,
            settling_distance_m: own.settling_distance_m,
            trail: &own.trail,
        }
    };
    if trial.days.is_empty() {
        vec![one(1, trial)]
    } else {
        trial.days.iter().map(|d| one(d.day, &d.analysis)).collect()
    }
}

pub(super) fn gain(trial: &Trial) -> &Gain {
    &trial.buys
}

pub(super) use crate::plotter::Chart;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ChartKind {
    Comparison,
    Days,
    SpeedOverTime,
    TrackMap,
    SpeedAgainstHeading,
    HeadingRound,
    SpeedAtSetting,
    EnergyAtSpeed,
}

impl Chart {
    pub(super) fn kind(&self) -> ChartKind {
        let n = self
            .name
            .trim_start_matches("day-")
            .trim_start_matches(|c: char| c.is_ascii_digit())
            .trim_start_matches('-');
        if n.starts_with("comparison") {
            ChartKind::Comparison
        } else if n.starts_with("across") || n.starts_with("days") {
            ChartKind::Days
        } else if n.starts_with("time") {
            ChartKind::SpeedOverTime
        } else if n.starts_with("track") {
            ChartKind::TrackMap
        } else if n.starts_with("heading-round") {
            ChartKind::HeadingRound
        } else if n.starts_with("heading") {
            ChartKind::SpeedAgainstHeading
        } else if n.contains("energy") {
            ChartKind::EnergyAtSpeed
        } else {
            ChartKind::SpeedAtSetting
        }
    }
    pub(super) fn file_name(&self) -> &str {
        &self.name
    }
}
