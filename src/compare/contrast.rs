//! The coefficients of the model, and linear combinations of them.

use std::fmt;

use nalgebra::RowDVector;

/// A coefficient of the model, named by the numbers of the rows: configurations are parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Term {
    Setting(usize),
    Part(usize),
    /// What a part has at one setting beside what it has at all.
    PartAtSetting(usize, usize),
    Line(usize),
    Day(usize),
    SettingOnDay(usize, usize),
    PartOnDay(usize, usize),
    Trend(usize),
    WindSlope,
    CalmSlope,
    AirShare,
}

impl fmt::Display for Term {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Setting(k) => write!(f, "setting {k}"),
            Self::Part(j) => write!(f, "part {j}"),
            Self::PartAtSetting(j, k) => write!(f, "part {j} at setting {k}"),
            Self::Line(l) => write!(f, "line {l}"),
            Self::Day(d) => write!(f, "day {d}"),
            Self::SettingOnDay(k, d) => write!(f, "setting {k} on day {d}"),
            Self::PartOnDay(j, d) => write!(f, "part {j} on day {d}"),
            Self::Trend(d) => write!(f, "trend of day {d}, per hour"),
            Self::WindSlope => write!(f, "wind slope"),
            Self::CalmSlope => write!(f, "calm slope"),
            Self::AirShare => write!(f, "air share"),
        }
    }
}

/// Weights of a coefficient: where the wind makes the half differences, and where it does not.
pub(super) type Weights = [f64; 2];

/// A linear combination of the coefficients, in logarithms of speed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contrast {
    pub(super) parts: Vec<(Term, Weights)>,
    pub(super) constant: f64,
    /// Further standard deviation where the wind does not make the half differences.
    pub(super) doubt: f64,
    pub(super) few: bool,
}

impl Contrast {
    pub(super) fn of(parts: impl IntoIterator<Item = (Term, f64)>) -> Self {
        let parts = parts.into_iter().map(|(term, w)| (term, [w; 2])).collect();
        Self {
            parts,
            ..Self::default()
        }
    }

    /// The sum of several, each with its weight.
    pub fn sum(parts: &[(f64, Self)]) -> Self {
        let mut out = Self::default();
        for (weight, own) in parts {
            let weigh = |(term, ws): &(Term, Weights)| (*term, ws.map(|w| weight * w));
            out.parts.extend(own.parts.iter().map(weigh));
            out.constant += weight * own.constant;
            out.doubt += weight * own.doubt;
            out.few |= own.few;
        }
        out
    }

    /// The difference of two: of two levels, say.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self::sum(&[(1.0, self.clone()), (-1.0, other.clone())])
    }

    /// The weight of each coefficient where the wind makes this share of the half differences.
    pub(super) fn weights(&self, terms: &[Term], wind_share: f64) -> RowDVector<f64> {
        let of = |term: &Term| {
            let own = self.parts.iter().filter(|p| p.0 == *term);
            own.map(|(_, [wind, other])| other + wind_share * (wind - other))
                .sum()
        };
        RowDVector::from_iterator(terms.len(), terms.iter().map(of))
    }
}
