//! Why no plan can be made.

/// What is wrong with a request, or with an earlier result.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlanError {
    /// No expected speed.
    #[error(
        "no speed is given\nhint: give the speed expected at each setting, such as `--speed 2.4kn --speed 4.6kn`, or an earlier trial with `--from result.json`"
    )]
    NoSpeed,
    /// A number outside what can be planned with.
    #[error("{what} of `{met}` is outside {allowed}\nhint: {hint}")]
    Range {
        /// What it is.
        what: &'static str,
        /// The value met.
        met: String,
        /// The range allowed.
        allowed: &'static str,
        /// What to do.
        hint: &'static str,
    },
    /// Two lists that should be as long as each other.
    #[error(
        "{given} values of `{what}` are given for {settings} speeds\nhint: give one for each `--speed`, in the same order"
    )]
    Lengths {
        /// Which list.
        what: &'static str,
        /// How long it is.
        given: usize,
        /// How many settings there are.
        settings: usize,
    },
    /// Fewer than two things to compare, or two of one name.
    #[error(
        "`{0}` is named twice\nhint: give each thing that is compared a name of its own with `--part`"
    )]
    SameName(String),
    /// One thing alone.
    #[error(
        "one `--part` is given, and a trial compares at least two\nhint: name the old part and the new one, or none"
    )]
    OnePart,
    /// The water is too short for any leg.
    #[error(
        "the water of {met:.0} m is too short: a leg at the fastest setting needs {needed:.0} m with room to turn\nhint: find longer water, or plan with a slower setting"
    )]
    Water {
        /// Its length, m.
        met: f64,
        /// The least that would do, m.
        needed: f64,
    },
    /// The file is not a result of this program.
    #[error(
        "this is no `result.json` of a report: {0}\nhint: name the `result.json` that `thereback report` wrote"
    )]
    NoResult(String),
    /// The earlier trial has no cell with two double runs.
    #[error(
        "the earlier trial has no cell with two double runs, so the scatter between runs is not in it\nhint: plan without `--from`, with the speeds given"
    )]
    NoScatter,
    /// The file is not a plan of this program.
    #[error("this is no `plan.json`: {0}\nhint: name the `plan.json` that `thereback plan` wrote")]
    NoPlan(String),
}
