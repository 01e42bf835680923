//! What an earlier trial's `result.json` tells of this boat.

use serde::{Deserialize, Serialize};

use super::error::PlanError;

/// Taken from an earlier trial. SI units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Earlier {
    /// Name of the file.
    pub file: String,
    /// Scatter between double runs of the same thing, standard deviation as a share of the speed.
    pub scatter: f64,
    /// Its degrees of freedom.
    pub df: f64,
    /// Mean time of the legs it was measured with, s.
    pub leg_s: Option<f64>,
    /// Speed at each setting in the first configuration, m/s, slowest first.
    pub speeds_m_s: Vec<f64>,
    /// Percent of full power of each, where it was noted.
    #[serde(default)]
    pub percents: Vec<Option<f64>>,
    /// Settling distance, m.
    pub settling_m: Option<f64>,
}

#[derive(Deserialize)]
struct Result_ {
    schema: u32,
    legs: Vec<Leg>,
    double_runs: Vec<DoubleRun>,
    settings: Vec<Setting>,
    configurations: Vec<Named>,
    cells: Vec<Cell>,
    settling_distance_m: Option<f64>,
}

#[derive(Deserialize)]
struct Leg {
    included: bool,
    duration_s: f64,
}

#[derive(Deserialize)]
struct DoubleRun {
    mean_m_s: f64,
    configuration: String,
    setting: String,
}

#[derive(Deserialize)]
struct Named {
    name: String,
}

#[derive(Deserialize)]
struct Setting {
    name: String,
    percent: Option<f64>,
}

#[derive(Deserialize)]
struct Cell {
    configuration: String,
    setting: String,
    mean_m_s: f64,
}

impl Earlier {
    /// Reads the text of a `result.json`.
    ///
    /// # Errors
    /// [`PlanError::NoResult`] where it is none, [`PlanError::NoScatter`] where no cell has two double runs.
    pub fn read(text: &str, file: &str) -> Result<Self, PlanError> {
        let result: Result_ =
            serde_json::from_str(text).map_err(|e| PlanError::NoResult(e.to_string()))?;
        if result.schema != crate::trial::SCHEMA {
            return Err(PlanError::NoResult(format!(
                "its schema is {}",
                result.schema
            )));
        }
        let (mut squares, mut df) = (0.0, 0.0);
        for cell in &result.cells {
            let logs: Vec<f64> = result
                .double_runs
                .iter()
                .filter(|r| r.configuration == cell.configuration && r.setting == cell.setting)
                .filter(|r| r.mean_m_s > 0.0)
                .map(|r| r.mean_m_s.ln())
                .collect();
            if logs.len() < 2 {
                continue;
            }
            let mean = logs.iter().sum::<f64>() / logs.len() as f64;
            squares += logs.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
            df += logs.len() as f64 - 1.0;
        }
        if df < 1.0 {
            return Err(PlanError::NoScatter);
        }
        let times: Vec<f64> = result
            .legs
            .iter()
            .filter(|leg| leg.included && leg.duration_s > 0.0)
            .map(|leg| leg.duration_s)
            .collect();
        let first = result.configurations.first().map(|c| c.name.as_str());
        let (speeds_m_s, percents) = result
            .settings
            .iter()
            .filter_map(|setting| {
                let own = |c: &&Cell| {
                    c.setting == setting.name && Some(c.configuration.as_str()) == first
                };
                let cell = result.cells.iter().find(own)?;
                Some((cell.mean_m_s, setting.percent))
            })
            .unzip();
        Ok(Self {
            file: file.to_owned(),
            scatter: (squares / df).sqrt(),
            df,
            leg_s: (!times.is_empty()).then(|| times.iter().sum::<f64>() / times.len() as f64),
            speeds_m_s,
            percents,
            settling_m: result.settling_distance_m.filter(|d| *d > 0.0),
        })
    }
}
