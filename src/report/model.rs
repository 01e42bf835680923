//! temporary: kinds of charts by name.
use crate::plotter::Chart;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ChartKind {
    Comparison, Days, SpeedOverTime, TrackMap, SpeedAgainstHeading, HeadingRound, SpeedAtSetting, EnergyAtSpeed,
}

impl Chart {
    pub(super) fn kind(&self) -> ChartKind {
        let n = self.name.trim_start_matches("day-").trim_start_matches(|c: char| c.is_ascii_digit()).trim_start_matches('-');
        if n.starts_with("comparison") { ChartKind::Comparison }
        else if n.starts_with("across") || n.starts_with("days") { ChartKind::Days }
        else if n.starts_with("time") { ChartKind::SpeedOverTime }
        else if n.starts_with("track") { ChartKind::TrackMap }
        else if n.starts_with("heading-round") { ChartKind::HeadingRound }
        else if n.starts_with("heading") { ChartKind::SpeedAgainstHeading }
        else if n.contains("energy") { ChartKind::EnergyAtSpeed }
        else { ChartKind::SpeedAtSetting }
    }
    pub(super) fn file_name(&self) -> &str { &self.name }
}
