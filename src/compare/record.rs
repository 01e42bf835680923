//! The design matrix and the posterior of a trial, for a statistician to check and repeat.

use serde::{Serialize, Serializer};

use super::drift::Cause;
use super::fit::Case;
use super::posterior::Posterior;
use super::{CompareRules, Conditions, Estimate, RunRow};

/// What the model was given, what it made of it and what it found. Logarithms of speeds in m/s,
/// times in s; rounded to ten significant digits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModelRecord {
    /// The double runs, in the order of every list of runs here.
    pub rows: Vec<RunRow>,
    /// What is known of water and wind beside them.
    pub conditions: Conditions,
    /// The priors.
    pub rules: CompareRules,
    /// Mean logarithm of the speeds, about which all levels lie.
    pub usual_log_speed: Number,
    /// The coefficients, in the order of every list of coefficients here.
    pub terms: Vec<String>,
    /// The combinations of causes of the half differences that are not negligible.
    pub causes: Vec<CausesRecord>,
    /// The points of the grid, but for the scatter and the bad run.
    pub setups: Vec<SetupRecord>,
    /// Mean of the coefficients over the whole mixture.
    pub mean: Vec<Number>,
    /// Their covariance.
    pub covariance: Vec<Vec<Number>>,
    /// Mean of the scatter.
    pub scatter: Number,
    /// Probability of each run that something went wrong in it.
    pub bad_runs: Vec<Number>,
    /// The changes over all settings, as answered.
    pub changes: Vec<ChangeRecord>,
}

/// One combination of causes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CausesRecord {
    /// The cause on each day.
    pub causes: Vec<Cause>,
    /// Logarithm of the probability of the half differences, the prior of the causes included.
    pub log_evidence: Number,
    /// For each run, the logarithm of the speed without what a changing drift left in the mean.
    pub log_speed: Vec<Number>,
    /// Its variance: the legs' own errors, and what taking that out adds.
    pub variance: Vec<Number>,
    /// The design matrix: for each coefficient, its column.
    pub columns: Vec<Vec<Number>>,
}

/// One point of the grid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetupRecord {
    /// Places among the combinations of causes, and among the trends, standard deviations of the
    /// lever and of a change from day to day in the rules.
    #[serde(flatten)]
    pub(super) case: Case,
    /// Prior means of the coefficients.
    pub prior_mean: Vec<Number>,
    /// Prior standard deviations of the coefficients.
    pub prior_sd: Vec<Number>,
    /// Probability after the speeds were seen.
    pub weight: Number,
}

/// A change over all settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChangeRecord {
    /// The configuration that changed.
    pub changed: usize,
    /// The one it is compared with.
    pub baseline: usize,
    /// Its weight on each coefficient.
    pub weights: Vec<Number>,
    /// Mean, standard deviation and bounds.
    pub estimate: Estimate,
}

/// A number written with ten significant digits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number(pub f64);

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
                causes: causes.causes.clone(),
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
            rows: known.rows.clone(),
            conditions: known.conditions,
            rules: known.rules.clone(),
            usual_log_speed: Number(known.usual_log()),
            terms: self.terms.iter().map(ToString::to_string).collect(),
            causes: causes.collect(),
            setups: setup.collect(),
            mean: numbers(&mean),
            covariance: covariance.column_iter().map(|c| numbers(&c)).collect(),
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
