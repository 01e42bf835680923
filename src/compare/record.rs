//! The design matrix and the posterior of a trial, for a statistician to check and repeat.

use serde::{Serialize, Serializer};

use super::Estimate;
use super::known::{Cause, Known};
use super::posterior::{Case, Posterior};

/// What the model was given, what it made of it and what it found, to be written as JSON.
/// Logarithms of speeds in m/s, times in s; rounded to ten significant digits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModelRecord {
    /// Double runs, in the order of every list of runs here; conditions; priors.
    #[serde(flatten)]
    known: Known,
    /// Mean logarithm of the speeds, about which all levels lie.
    usual_log_speed: Number,
    /// The coefficients, in the order of every list of coefficients here.
    terms: Vec<String>,
    /// The combinations of causes of the half differences that are not negligible.
    causes: Vec<CausesRecord>,
    /// The points of the grid, but for the scatter and the bad run.
    setups: Vec<SetupRecord>,
    /// Mean and covariance of the coefficients over the whole mixture.
    mean: Vec<Number>,
    covariance: Vec<Vec<Number>>,
    /// Mean of the scatter.
    scatter: Number,
    /// Probability of each run that something went wrong in it.
    bad_runs: Vec<Number>,
    /// The changes over all settings, as answered.
    changes: Vec<ChangeRecord>,
}

/// One combination of causes.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct CausesRecord {
    /// The cause on each day.
    causes: Vec<Cause>,
    /// Logarithm of the probability of the half differences, the prior of the causes included.
    log_evidence: Number,
    /// For each run, the logarithm of the speed without what a changing drift left in the mean,
    /// and its variance: the legs' own errors, and what taking that out adds.
    log_speed: Vec<Number>,
    variance: Vec<Number>,
    /// The design matrix: for each coefficient, its column.
    columns: Vec<Vec<Number>>,
}

/// One point of the grid.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct SetupRecord {
    #[serde(flatten)]
    case: Case,
    /// Prior means and standard deviations of the coefficients.
    prior_mean: Vec<Number>,
    prior_sd: Vec<Number>,
    /// Probability after the speeds were seen.
    weight: Number,
}

/// A change over all settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct ChangeRecord {
    changed: usize,
    baseline: usize,
    /// Its weight on each coefficient.
    weights: Vec<Number>,
    estimate: Estimate,
}

/// A number written with ten significant digits.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Number(f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let rounded = format!("{:.9e}", self.0).parse();
        serializer.serialize_f64(rounded.unwrap_or(self.0))
    }
}

fn numbers<'a>(values: impl IntoIterator<Item = &'a f64>) -> Vec<Number> {
    values.into_iter().copied().map(Number).collect()
}

impl Posterior {
    /// The record of the fit.
    pub fn record(&self) -> ModelRecord {
        let known = &self.known;
        let found = known.causes();
        let setups = known.setups(&found);
        let causes = found.iter().enumerate().map(|(place, causes)| {
            let speeds = known.speeds(causes);
            let own = setups.iter().find(|s| s.case.causes == place);
            let columns = own.into_iter().flat_map(|s| &s.columns);
            CausesRecord {
                causes: causes.by_day.clone(),
                log_evidence: Number(causes.log),
                log_speed: numbers(speeds.iter().map(|[log, _]| log)),
                variance: numbers(speeds.iter().map(|[_, variance]| variance)),
                columns: columns.map(|c| numbers(&c.values)).collect(),
            }
        });
        let setup = setups.iter().map(|setup| SetupRecord {
            case: setup.case,
            prior_mean: numbers(setup.columns.iter().map(|c| &c.prior.mean)),
            prior_sd: numbers(setup.columns.iter().map(|c| &c.prior.sd)),
            weight: Number(self.weight_of(setup.case)),
        });
        let (mean, covariance) = self.coefficients();
        ModelRecord {
            known: known.clone(),
            usual_log_speed: Number(known.usual_log()),
            terms: self.terms.iter().map(ToString::to_string).collect(),
            causes: causes.collect(),
            setups: setup.collect(),
            mean: numbers(&mean),
            covariance: covariance
                .column_iter()
                .map(|c| numbers(c.iter()))
                .collect(),
            scatter: Number(self.scatter()),
            bad_runs: numbers(&self.bad_runs()),
            changes: self.changes(),
        }
    }

    fn changes(&self) -> Vec<ChangeRecord> {
        let all = self.configurations();
        let pairs = all.iter().flat_map(|i| all.iter().map(move |j| (*j, *i)));
        let record = |(changed, baseline)| {
            let contrast = self.change(changed, baseline, None)?;
            Some(ChangeRecord {
                changed,
                baseline,
                weights: numbers(&contrast.weights(&self.terms, 1.0)),
                estimate: self.contrast(&contrast)?,
            })
        };
        pairs.filter(|(j, i)| j > i).filter_map(record).collect()
    }
}
