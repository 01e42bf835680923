//! What is usual of trials.

use serde::Serialize;

/// How legs make double runs, and double runs a trial. Prices and weights are natural logarithms of
/// odds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrialRules {
    /// One person in so many does what people do not do, as often as anybody does: leaves a leg
    /// without its way back, breaks one off, adds a line, trolls beside the trial, takes a break as
    /// long as a swap, tests a single part (common practice, no source).
    pub odd_one_in: f64,
    /// Weight of a pair that matches the pattern in everything: by chance about one in a dozen legs
    /// is reciprocal to the one before within the scatter, one in four as long, one in three like
    /// the pattern in either, which makes 1 in 144; e^5 is 148 (common practice, no source).
    pub match_weight: f64,
    /// Axes of double runs on one line scatter by this much, degrees: less than a hand wanders.
    pub axis_deg: f64,
    /// Legs meant to be alike in length or in duration differ by this share: turns are begun by eye.
    pub alike: f64,
    /// A turn takes up to this long, s (common practice, no source).
    pub turn_s: f64,
    /// And a pause at the end of a leg lasts about this much longer, s.
    pub pause_s: f64,
    /// Two stops with less than this between them are one, s: a burst of the motor to hold a place
    /// (common practice, no source).
    pub burst_s: f64,
    /// Double runs as slow as this where there is none to tell, m/s: small boats drift at less than
    /// half of it (common practice, no source).
    pub slowest_run_m_s: f64,
    /// The drift is this share of the speed through the water, standard deviation: nobody tests a
    /// boat where it hardly stems the stream.
    pub drift_share: f64,
    /// A leg so short is seldom one of a trial, m: two errors of the receiver of 1.5 m make 4 % of
    /// its length, and a boat at anchor swings as far, there and back.
    pub short_m: f64,
    /// Of the shorter of two legs there and back the other covers at least this share (common
    /// practice, no source).
    pub overlap_share: f64,
    /// Drift on one line changes by this much over a trial, m/s, standard deviation: a tide, or a
    /// wind that gets up.
    pub drift_m_s: f64,
    /// Double runs of one cell scatter by about this share of the speed; the scatter of the day is
    /// fitted about it. Trials of small boats repeat to one or two percent (common practice, no
    /// source).
    pub scatter: f64,
    /// Usual size of a change between parts on the log scale, standard deviation: parts for small
    /// boats differ by 0 to 15 % (common practice, no source).
    pub change: f64,
    /// Usual step from one setting to the next on the log scale: a person moves the lever by enough
    /// to see it, a fifth to twice the speed (common practice, no source).
    pub setting_step: f64,
    /// Usual time to swap a part, s: tools out, battery off, part off and on (common practice, no
    /// source).
    pub swap_s: f64,
    /// What is called usual is known to this, standard deviation of the logarithm: a step, a pause, a
    /// swap, the scatter of a day. One in twenty is less than a quarter of it. Speeds of boats and
    /// settings, 0.3 to 4 m/s, spread as widely.
    pub usual_spread: f64,
}

impl TrialRules {
    /// The price of doing what people seldom do.
    pub(super) fn odd(&self) -> f64 {
        self.odd_one_in.ln()
    }
}

impl Default for TrialRules {
    fn default() -> Self {
        Self {
            odd_one_in: 20.0,
            match_weight: 5.0,
            axis_deg: 6.0,
            alike: 0.15,
            turn_s: 60.0,
            pause_s: 90.0,
            burst_s: 45.0,
            slowest_run_m_s: 0.6,
            drift_share: 0.35,
            short_m: 50.0,
            overlap_share: 0.4,
            drift_m_s: 0.15,
            scatter: 0.012,
            change: 0.06,
            setting_step: 0.45,
            swap_s: 600.0,
            usual_spread: 0.8,
        }
    }
}
