//! What a person asks of a plan.

use jiff::civil::Time;
use serde::{Deserialize, Serialize};

use super::Earlier;
use super::error::PlanError;
use crate::units::{Bearing, SpeedUnit};

/// The request. SI units; every `None` is replaced by a named assumption that the plan lists.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// Title of the trial.
    pub title: Option<String>,
    /// Smallest change of speed worth knowing, as a share, `[0.002, 1]`.
    pub resolve: f64,
    /// Chance wanted of telling such a change, `[0.5, 0.99]`.
    pub power: f64,
    /// Speed expected at each setting, m/s, `[0.2, 15]`; may be empty where an earlier trial is given.
    pub speeds_m_s: Vec<f64>,
    /// What is compared, in the order fitted, 2 to 5 names.
    pub parts: Vec<String>,
    /// Length of the straight water, m, turns included.
    pub water_m: Option<f64>,
    /// Time on the water from the first run-up to the last leg's end, s.
    pub time_s: Option<f64>,
    /// Direction the wind is expected from.
    pub wind_from: Option<Bearing>,
    /// Speed of the wind expected, m/s, `[0, 25]`.
    pub wind_m_s: Option<f64>,
    /// Direction of the water's long axis, where the water leaves no choice.
    pub axis: Option<Bearing>,
    /// Mass of the boat as it lies in the water, kg, `[30, 5000]`.
    pub mass_kg: Option<f64>,
    /// An earlier trial of this boat.
    pub earlier: Option<Earlier>,
    /// Time a swap takes, s, `[0, 4 h]`.
    pub swap_s: Option<f64>,
    /// Power drawn at each setting, W; empty where not known.
    pub draws_w: Vec<f64>,
    /// Usable energy of the battery, Wh.
    pub battery_wh: Option<f64>,
    /// Local time at which the trial is to begin.
    pub start: Option<Time>,
    /// The unit in which speeds are shown.
    pub units: SpeedUnit,
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            title: None,
            resolve: 0.05,
            power: super::assume::POWER,
            speeds_m_s: Vec::new(),
            parts: vec!["old part".to_owned(), "new part".to_owned()],
            water_m: None,
            time_s: None,
            wind_from: None,
            wind_m_s: None,
            axis: None,
            mass_kg: None,
            earlier: None,
            swap_s: None,
            draws_w: Vec::new(),
            battery_wh: None,
            start: None,
            units: SpeedUnit::default(),
        }
    }
}

/// Most settings and parts that one day is planned for.
const MOST_SETTINGS: usize = 6;
const MOST_PARTS: usize = 5;

impl Asked {
    /// The request with the speeds of the earlier trial where none is given, slowest first, and every number
    /// within its range.
    ///
    /// # Errors
    /// [`PlanError`] for a number out of range, a missing speed, lists of unlike length.
    pub(super) fn checked(&self) -> Result<Self, PlanError> {
        let mut asked = self.clone();
        if asked.speeds_m_s.is_empty()
            && let Some(earlier) = &asked.earlier
        {
            asked.speeds_m_s.clone_from(&earlier.speeds_m_s);
        }
        if asked.speeds_m_s.is_empty() {
            return Err(PlanError::NoSpeed);
        }
        let settings = asked.speeds_m_s.len();
        if !asked.draws_w.is_empty() && asked.draws_w.len() != settings {
            return Err(PlanError::Lengths {
                what: "--draw",
                given: asked.draws_w.len(),
                settings,
            });
        }
        asked.check_numbers()?;
        asked.check_parts()?;
        asked.slowest_first();
        Ok(asked)
    }

    fn check_numbers(&self) -> Result<(), PlanError> {
        in_range(
            "a change worth knowing",
            self.resolve,
            [0.002, 1.0],
            "0.2 % to 100 %",
            "most changes of a part are of 2 % to 20 %; below 1 % no single day will do",
        )?;
        in_range(
            "a chance of telling",
            self.power,
            [0.5, 0.99],
            "50 % to 99 %",
            "80 % is usual",
        )?;
        in_range(
            "a number of settings",
            self.speeds_m_s.len() as f64,
            [1.0, MOST_SETTINGS as f64],
            "1 to 6",
            "two settings answer most questions",
        )?;
        for speed in &self.speeds_m_s {
            in_range(
                "a speed in m/s",
                *speed,
                [0.2, 15.0],
                "0.2 to 15 m/s (0.4 to 29 kn)",
                "give the speed through the water at that setting",
            )?;
        }
        let optional = [
            (
                "water in metres",
                self.water_m,
                [50.0, 50_000.0],
                "50 m to 50 km",
                "give the length of the straight water, such as `900m`",
            ),
            (
                "a time in seconds",
                self.time_s,
                [600.0, 86_400.0],
                "10 min to 24 h",
                "give the time on the water, such as `3h`",
            ),
            (
                "a wind speed in m/s",
                self.wind_m_s,
                [0.0, 25.0],
                "0 to 25 m/s",
                "in more wind stay ashore",
            ),
            (
                "a mass in kg",
                self.mass_kg,
                [30.0, 5000.0],
                "30 to 5000 kg",
                "give the mass with crew and gear",
            ),
            (
                "a swap in seconds",
                self.swap_s,
                [0.0, 14_400.0],
                "0 to 4 h",
                "give the time one swap takes, such as `15min`",
            ),
            (
                "a battery in Wh",
                self.battery_wh,
                [1.0, 1e6],
                "1 Wh to 1 MWh",
                "give the usable energy, such as `1200Wh`",
            ),
        ];
        for (what, value, range, allowed, hint) in optional {
            if let Some(value) = value {
                in_range(what, value, range, allowed, hint)?;
            }
        }
        for draw in &self.draws_w {
            in_range(
                "a draw in W",
                *draw,
                [0.0, 1e6],
                "0 to 1 MW",
                "give the power drawn at that setting, such as `400W`",
            )?;
        }
        Ok(())
    }

    fn check_parts(&self) -> Result<(), PlanError> {
        if self.parts.len() < 2 {
            return Err(PlanError::OnePart);
        }
        in_range(
            "a number of parts",
            self.parts.len() as f64,
            [2.0, MOST_PARTS as f64],
            "2 to 5",
            "compare fewer on one day",
        )?;
        for (index, part) in self.parts.iter().enumerate() {
            if part.trim().is_empty() || self.parts.iter().skip(index + 1).any(|p| p == part) {
                return Err(PlanError::SameName(part.clone()));
            }
        }
        Ok(())
    }

    fn slowest_first(&mut self) {
        let mut order: Vec<usize> = (0..self.speeds_m_s.len()).collect();
        order.sort_by(|a, b| {
            let speed = |index: &usize| self.speeds_m_s.get(*index).copied().unwrap_or(0.0);
            speed(a).total_cmp(&speed(b))
        });
        let sorted = |list: &[f64]| -> Vec<f64> {
            order
                .iter()
                .filter_map(|index| list.get(*index).copied())
                .collect()
        };
        (self.speeds_m_s, self.draws_w) = (sorted(&self.speeds_m_s), sorted(&self.draws_w));
    }
}

fn in_range(
    what: &'static str,
    value: f64,
    [low, high]: [f64; 2],
    allowed: &'static str,
    hint: &'static str,
) -> Result<(), PlanError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    let met = format!("{}", (value * 1000.0).round() / 1000.0);
    Err(PlanError::Range {
        what,
        met,
        allowed,
        hint,
    })
}
