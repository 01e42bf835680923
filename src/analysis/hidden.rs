//! A wind that a current hides: what it may have done to a comparison, unseen.
//!
//! In still water the half differences tell how the wind changed ([`super::gauge`]). Where a current
//! makes them, a wind that grew between the configurations leaves no trace in the track, and yet it
//! lowers the mean of both directions. What cannot be taken out is then allowed for: the balance of
//! [`crate::trial::balance`] says by how much a wind that is a quarter stronger lowers the mean of a boat of
//! this speed.

use serde::Serialize;

use super::outcome::Counted;
use crate::stats::quantile::median;
use crate::stats::summary::mean;
use crate::trial::balance::Windage;
use crate::trial::compare::Change;

/// What is assumed of a wind that the track does not show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HiddenWindRules {
    /// Where nobody gave it, m/s: a gentle breeze, Beaufort 3 (3.4-5.4 m/s), in which trials are run.
    pub wind_m_s: f64,
    /// How much the mean wind of one half of a trial differs from that of the other, as a standard
    /// deviation of the logarithm: by a quarter (common practice, no source).
    pub change_log_sd: f64,
    /// A drift along the line of less than this share of the speed is no current that hides anything.
    /// Source: our own simulated days.
    pub least_drift_share: f64,
    /// The same where the directions themselves speak for a current, by turning or against the wind: it
    /// then outdoes the wind whatever its strength. Source: our own simulated days.
    pub least_sure_share: f64,
}

impl Default for HiddenWindRules {
    fn default() -> Self {
        Self {
            wind_m_s: 4.4,
            change_log_sd: 0.25,
            least_drift_share: 0.05,
            least_sure_share: 0.02,
        }
    }
}

/// A wind that the double runs cannot show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HiddenWind {
    /// Drag of the air over that of the hull, both with the square of speed.
    pub(super) windage: f64,
    /// Probability that a current hides it, `[0, 1]`.
    pub(super) probability: f64,
    /// Its speed as given or assumed, m/s.
    pub(super) wind_m_s: f64,
    /// See [`HiddenWindRules::change_log_sd`].
    pub(super) change_log_sd: f64,
}

/// Whether a current along the line is strong enough to hide what the wind did: by the usual drift, or
/// by how far it changed, for a tide that turns is slack in between.
pub(super) fn is_of_note(counted: &Counted<'_>, is_sure: bool, rules: &HiddenWindRules) -> bool {
    let least = if is_sure {
        rules.least_sure_share
    } else {
        rules.least_drift_share
    };
    let shares: Vec<f64> = counted
        .gauged(None)
        .iter()
        .map(|run| (run.along - run.against) / (run.along + run.against))
        .collect();
    let sizes: Vec<f64> = shares.iter().map(|share| share.abs()).collect();
    let (low, high) = shares
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| {
            (a.min(*s), b.max(*s))
        });
    median(&sizes).is_some_and(|usual| usual.max((high - low) / 2.0) > least)
}

impl HiddenWind {
    /// Standard deviation of what it may have added to the logarithm of a change.
    ///
    /// A wind that grows or falls steadily does so in proportion to the time between the
    /// configurations; runs in turn feel little of it.
    pub(super) fn doubt(&self, counted: &Counted<'_>, change: &Change) -> f64 {
        let middle = |configuration: usize| -> Option<f64> {
            let own = counted.of(configuration, change.setting);
            mean(&own.iter().map(|run| run.middle()).collect::<Vec<_>>())
        };
        let speeds: Vec<f64> = [0, change.changed]
            .into_iter()
            .flat_map(|configuration| counted.of(configuration, change.setting))
            .map(|run| run.speed)
            .collect();
        let times = counted.middles();
        let span = times.last().copied().unwrap_or(0.0) - times.first().copied().unwrap_or(0.0);
        let (Some(before), Some(after), Some(speed)) =
            (middle(0), middle(change.changed), mean(&speeds))
        else {
            return 0.0;
        };
        if span <= 0.0 || speed <= 0.0 {
            return 0.0;
        }
        let apart = ((after - before).abs() / (span / 2.0)).min(1.0);
        self.probability * self.felt(speed) * apart
    }

    /// How far the logarithm of the mean speed moves when that of the wind moves by its standard
    /// deviation, for a boat of this speed, m/s; 0 where it would not make way at all.
    fn felt(&self, speed: f64) -> f64 {
        let windage = Windage {
            ratio: self.windage,
            off_line_deg: 0.0,
        };
        let drive = speed * (1.0 + self.windage).sqrt();
        let in_wind = |sds: f64| {
            let wind = self.wind_m_s * (sds * self.change_log_sd).exp();
            windage.mean_speed(drive, wind).filter(|mean| *mean > 0.0)
        };
        match (in_wind(-1.0), in_wind(1.0)) {
            (Some(weaker), Some(stronger)) => (weaker / stronger).ln().abs() / 2.0,
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the wind is weaker than the boat is fast the mean follows in closed form:
    /// `mean^2 = calm^2 - half difference^2 / windage`, see `trial::balance`.
    #[test]
    fn a_stronger_wind_is_felt_as_the_balance_has_it() {
        let hidden = HiddenWind {
            windage: 0.02,
            probability: 1.0,
            wind_m_s: 1.0,
            change_log_sd: 0.2,
        };
        let speed = 2.0_f64;
        let mean = |wind: f64| {
            let half = 0.02 * wind / 1.02;
            (speed * speed - half * half / 0.02).sqrt()
        };
        let felt = (mean((-0.2_f64).exp()) / mean(0.2_f64.exp())).ln() / 2.0;
        assert!((hidden.felt(speed) - felt).abs() < 1e-9);
        let still = HiddenWind {
            wind_m_s: 0.0,
            ..hidden
        };
        assert!(still.felt(speed).abs() < 1e-9);
    }
}
