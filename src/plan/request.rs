//! What a person asks of a plan, and why it may be refused.

use jiff::civil::Time;
use serde::{Deserialize, Serialize};

use super::assumptions as assume;
use super::earlier::Earlier;
use crate::units::{Bearing, SpeedUnit};

/// The request. SI units; every `None` is replaced by a named assumption that the plan lists.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Request {
    /// Title of the trial.
    pub title: Option<String>,
    /// Smallest change of speed worth knowing, as a share, `[0.002, 1]`.
    pub resolve: f64,
    /// Chance wanted of showing such a change, `[0.5, 0.99]`.
    pub power: f64,
    /// Speed expected at each setting, m/s, `[0.2, 15]`; may be empty where an earlier trial is
    /// given.
    pub speeds_m_s: Vec<f64>,
    /// What is compared, in the order fitted, 2 to 5 names.
    pub parts: Vec<String>,
    /// Length of the straight water, m, turns included.
    pub water_m: Option<f64>,
    /// Time on the water from the first run-up to the last leg's end, s.
    pub time_s: Option<f64>,
    /// Direction the wind is expected from.
    pub wind_from: Option<Bearing>,
    /// Speed of the wind expected, m/s, up to [`assume::MOST_WIND_M_S`].
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

impl Default for Request {
    fn default() -> Self {
        Self {
            title: None,
            resolve: 0.05,
            power: assume::POWER,
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

/// What is wrong with a request.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlanError {
    /// No expected speed.
    #[error(
        "no speed is given\nhint: give the speed expected at each setting, such as `--speed 2.4kn --speed 4.6kn`, or an earlier trial with `--from result.json`"
    )]
    NoSpeed,
    /// A number outside what can be planned with.
    #[error(
        "{what} of `{met}{unit}` is outside {} to {}{unit}\nhint: usual is `{example}`",
        allowed[0],
        allowed[1]
    )]
    Range {
        /// What it is.
        what: &'static str,
        /// The value met.
        met: f64,
        /// The range allowed.
        allowed: [f64; 2],
        /// The unit of both.
        unit: &'static str,
        /// A usual value as it is typed.
        example: &'static str,
    },
    /// More wind than small boats go out in.
    #[error(
        "a wind of `{0:.1} m/s` is outside 0 to {max} m/s (27 kn, Beaufort 6)\nhint: in more wind stay ashore",
        max = assume::MOST_WIND_M_S
    )]
    Wind(f64),
    /// Draws for another number of settings.
    #[error(
        "{given} values of `--draw` are given for {settings} speeds\nhint: give one for each `--speed`, in the same order"
    )]
    Draws {
        /// How many draws are given.
        given: usize,
        /// How many settings there are.
        settings: usize,
    },
    /// Two settings that the report could not tell apart.
    #[error(
        "the speeds `{slower:.2} m/s` and `{faster:.2} m/s` are less than 5 % apart, too near for two settings\nhint: give one of them, or settings that differ more"
    )]
    EqualSettings {
        /// The slower one, m/s.
        slower: f64,
        /// The faster one, m/s.
        faster: f64,
    },
    /// Two things to compare of one name, or one without a name.
    #[error(
        "`{0}` is named twice\nhint: give each thing that is compared a name of its own with `--part`"
    )]
    SameName(String),
    /// The water is too short for any leg.
    #[error(
        "the water of `{met:.0} m` is too short: a leg needs at least {needed:.0} m with room to turn, 90 s at the fastest setting and three times the approach\nhint: find longer water, or plan with a slower setting"
    )]
    Water {
        /// Its length, m.
        met: f64,
        /// The least that would do, m.
        needed: f64,
    },
    /// The battery leaves nothing for the way home.
    #[error(
        "the battery of `{met:.0} Wh` leaves too little for the way home: the fewest runs and turns take {needed:.0} Wh, and a fifth should stay\nhint: bring a second battery, plan with shorter water, or leave out a setting"
    )]
    Battery {
        /// Its energy, Wh.
        met: f64,
        /// What the least plan takes, Wh.
        needed: f64,
    },
    /// The file is not a plan of this program.
    #[error("this is no `plan.json`: {0}\nhint: name the `plan.json` that `thereback plan` wrote")]
    NoPlan(String),
}

impl Request {
    /// The request with the speeds of the earlier trial where none is given, slowest first, and
    /// every number within its range.
    ///
    /// # Errors
    /// [`PlanError`] for a number out of range, a missing speed, lists of unlike length.
    pub(super) fn checked(&self) -> Result<Self, PlanError> {
        let mut request = self.clone();
        if let Some(earlier) = self.earlier.as_ref().filter(|_| self.speeds_m_s.is_empty()) {
            request.speeds_m_s.clone_from(&earlier.speeds_m_s);
        }
        let settings = request.speeds_m_s.len();
        if settings == 0 {
            return Err(PlanError::NoSpeed);
        }
        let given = request.draws_w.len();
        if given != 0 && given != settings {
            return Err(PlanError::Draws { given, settings });
        }
        request.check_numbers()?;
        request.check_names()?;
        let mut order: Vec<usize> = (0..settings).collect();
        order.sort_by(|a, b| self_speed(&request, *a).total_cmp(&self_speed(&request, *b)));
        let sorted = |list: &[f64]| order.iter().filter_map(|i| list.get(*i).copied()).collect();
        (request.speeds_m_s, request.draws_w) =
            (sorted(&request.speeds_m_s), sorted(&request.draws_w));
        for pair in request.speeds_m_s.windows(2) {
            if let [slower, faster] = *pair
                && faster < slower * (1.0 + assume::LEAST_STEP)
            {
                return Err(PlanError::EqualSettings { slower, faster });
            }
        }
        Ok(request)
    }

    fn check_numbers(&self) -> Result<(), PlanError> {
        let (settings, parts) = (self.speeds_m_s.len(), self.parts.len());
        within("a change", 100.0 * self.resolve, 0.2, 100.0, "%", "5%")?;
        within("a chance", 100.0 * self.power, 50.0, 99.0, "%", "80%")?;
        within("a number of settings", settings as f64, 1.0, 6.0, "", "2")?;
        within("a number of parts", parts as f64, 2.0, 5.0, "", "2")?;
        within("water", self.water_m, 50.0, 5e4, "m", "900m")?;
        within("a time", self.time_s, 600.0, 86_400.0, "s", "3h")?;
        within("a mass", self.mass_kg, 30.0, 5000.0, "kg", "345kg")?;
        within("a swap", self.swap_s, 0.0, 14_400.0, "s", "15min")?;
        within("a battery", self.battery_wh, 1.0, 1e6, "Wh", "1200Wh")?;
        for speed in &self.speeds_m_s {
            within("a speed", *speed, 0.2, 15.0, "m/s", "4.6kn")?;
        }
        for draw in &self.draws_w {
            within("a draw", *draw, 0.0, 1e6, "W", "400W")?;
        }
        check_wind(self.wind_m_s)
    }

    fn check_names(&self) -> Result<(), PlanError> {
        for (index, part) in self.parts.iter().enumerate() {
            if part.trim().is_empty() || self.parts.iter().skip(index + 1).any(|p| p == part) {
                return Err(PlanError::SameName(part.clone()));
            }
        }
        Ok(())
    }

    /// The wind planned for, m/s.
    pub fn wind(&self) -> f64 {
        self.wind_m_s.unwrap_or(assume::WIND_M_S)
    }

    /// The time of a swap planned for, s.
    pub fn swap(&self) -> f64 {
        self.swap_s.unwrap_or(assume::SWAP_S)
    }
}

fn self_speed(request: &Request, setting: usize) -> f64 {
    request.speeds_m_s.get(setting).copied().unwrap_or(0.0)
}

/// The one limit on the wind, for plans and rehearsals.
pub(super) fn check_wind(wind_m_s: Option<f64>) -> Result<(), PlanError> {
    let most = assume::MOST_WIND_M_S;
    within("a wind", wind_m_s, 0.0, most, "m/s", "9kn")
        .map_err(|_| PlanError::Wind(wind_m_s.unwrap_or_default()))
}

/// Whether a number, where there is one, is in a range.
pub(super) fn within(
    what: &'static str,
    value: impl Into<Option<f64>>,
    low: f64,
    high: f64,
    unit: &'static str,
    example: &'static str,
) -> Result<(), PlanError> {
    match value.into() {
        Some(met) if !(low..=high).contains(&met) => Err(PlanError::Range {
            what,
            met: (met * 1000.0).round() / 1000.0,
            allowed: [low, high],
            unit,
            example,
        }),
        _ => Ok(()),
    }
}
