//! What the comparison assumes before it sees a run.

use serde::Serialize;

/// A normal prior.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Normal {
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// A kind of steady trend.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Trend {
    /// Its probability.
    pub share: f64,
    /// Its rate, per hour.
    pub rate: Normal,
}

/// The priors, each with its unit and its reason. Logarithms of speed: 0.01 is 1 %.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CompareRules {
    /// Confidence of every interval, `(0, 1)`: 95 % is common practice.
    pub level: f64,
    /// Standard deviation of a setting's level about the mean of the day: a factor of 50 either
    /// way at two of them, so that it says nothing.
    pub setting_sd: f64,
    /// Standard deviation of the change between two configurations: a factor of 2.7 at two of
    /// them, so that it says next to nothing.
    pub change_sd: f64,
    /// Standard deviation of what that change differs by from one setting to another, beside its
    /// mean: open-water curves of two propellers that do the same job part by 1-2 % of speed over
    /// a boat's range of loads, of which two settings span a part (our own estimate; no source).
    pub interaction_sd: f64,
    /// Standard deviation of the difference between two course lines: depth, waves, shelter
    /// (our own estimate; no source).
    pub line_sd: f64,
    /// Standard deviation of the difference between two days: load, growth on the hull, waves
    /// (our own estimate; no source).
    pub day_sd: f64,
    /// The same for one setting on another day: the lever is set anew (our own estimate; no
    /// source).
    pub day_setting_sd: f64,
    /// Standard deviations, equally probable, of what a change differs by from day to day: a part
    /// of that between settings where load and waves hardly moved the working point, as much as
    /// that where they did, and several times that where something else was different too (our own
    /// estimate; no source). Days that agree speak for the first.
    pub day_change_sds: [f64; 3],
    /// Usual scatter of a double run beside the legs' own errors, at the mean speed of the day:
    /// gusts and waves (our own estimate; no source).
    pub scatter: f64,
    /// Degrees of freedom that this guess is worth: two further runs, so that three runs outweigh
    /// it.
    pub scatter_df: f64,
    /// Power of the speed by which the scatter falls: the same gust is a share of the hull's drag
    /// that falls as the speed grows, between inverse (the apparent wind is mostly the
    /// boat's) and inverse square (mostly the wind's).
    pub scatter_power: f64,
    /// Factor on the legs' own standard errors: half, because these hold gusts that the scatter
    /// counts too (our own estimate; no source).
    pub se_factor: f64,
    /// Share of double runs in which something went wrong (weeds, a wash, a lever moved): one in
    /// fifty (our own estimate; no source).
    pub bad_run_share: f64,
    /// Standard deviation of what it did to the speed (our own estimate; no source).
    pub bad_run_sd: f64,
    /// Standard deviations, equally probable, of what the lever, set again, does to the speed for
    /// as long as it is then held: of one with steps or a stop, 0.1 %; of one moved by hand, within
    /// 2 % of thrust either way, which is a standard deviation of 1.2 %, and a third of that of the
    /// speed (hull drag near the square, propeller thrust falling with speed).
    pub lever_sds: [f64; 2],
    /// Steady trends of the conditions, by what the battery does. First, a regulated motor, or
    /// lithium that lasts the day: 2 % of speed over the middle eight tenths of its charge.
    /// Second, sound lead, or lithium emptied in two or three hours: the voltage falls by a
    /// twentieth in as long, thrust with its square, speed with the third of that. Third, tired
    /// lead: 2 to 4 % of speed an hour. A battery only falls, so the means are below 0. How many
    /// days are which: our own estimate; no source.
    pub trends: [Trend; 3],
    /// Random walk of the speed where a current hides the wind, per root of an hour: a wind that
    /// changes by a quarter in two hours moves the mean of both directions by 0.6-1 % (balance of
    /// forces in a gentle breeze).
    pub hidden_wander_sd: f64,
    /// Slope of the speed over the half difference, both as shares of the speed, where the wind
    /// makes it. By the balance of forces it is minus the speed of the boat over that of the wind
    /// along the line, where this is the larger, whatever the power of the hull's drag: 0.3 for
    /// 1.5 m/s in a breeze of 5 m/s, 0.1 to 0.7 for slow boats in much wind and fast in little.
    pub wind_slope: Normal,
    /// What the mean slope from a calm lies below the one at the wind of the day, by the same
    /// balance.
    pub calm_slope: Normal,
    /// Drag of the air at the boat's own speed over that of the hull, divided by `n`: 0.5-1 kg/m
    /// over 25-60 kg/m (an open boat of 4-5 m with two people at 1-3 m/s), divided by 2-4
    /// (our own estimate from drag areas; no source).
    pub air_share: Normal,
    /// Probability of a current before the runs are seen: most trials are run on still water
    /// (common practice, no source).
    pub current_probability: f64,
    /// Usual half difference that a wind makes, times the speed, m²/s²: the air's share times the
    /// square of a breeze of 5 m/s.
    pub wind_drift: f64,
    /// Usual half difference that a current makes, m/s: half a knot, in which trials are run.
    pub current_drift: f64,
    /// Sizes of the changing part of a drift, equally probable, as shares of the usual steady one:
    /// from what a track cannot show to a tide that turns, by factors of 4.
    pub drift_sizes: [f64; 3],
    /// How long it takes to change, s, equally probable: the time in which a sine turns by one
    /// radian, of a seiche or a squall (1.5 h), of M4 and of M2 (6.2 and 12.4 h).
    pub drift_lengths_s: [f64; 3],
    /// Scatter of a half difference about it, m/s, equally probable: from the error of a long leg
    /// to gusts in a fresh breeze, by factors of about 4.
    pub drift_noises: [f64; 3],
    /// Standard error of a wind direction of which none is stated, degrees: half of one of 16
    /// points.
    pub direction_se_deg: f64,
    /// Least probability that the wind blows against what the half differences say: it may have
    /// been noted wrongly (our own estimate; no source).
    pub least_agreement: f64,
    /// Wind where nobody stated it, m/s: a gentle breeze, Beaufort 3 (WMO-No. 306, table 1100).
    pub usual_wind: f64,
    /// How far a stated wind may be off at the boat, as a share: by eye or from a station
    /// (Beaufort's forces are steps of a third).
    pub stated_wind_share: f64,
}

impl Default for CompareRules {
    fn default() -> Self {
        let normal = |mean, sd| Normal { mean, sd };
        let trend = |share, mean, sd| Trend {
            share,
            rate: normal(mean, sd),
        };
        Self {
            level: 0.95,
            setting_sd: 2.0,
            change_sd: 0.5,
            interaction_sd: 0.005,
            line_sd: 0.03,
            day_sd: 0.05,
            day_setting_sd: 0.02,
            day_change_sds: [0.003, 0.01, 0.03],
            scatter: 0.002,
            scatter_df: 2.0,
            scatter_power: 1.0,
            se_factor: 0.5,
            bad_run_share: 0.02,
            bad_run_sd: 0.05,
            lever_sds: [0.001, 0.004],
            trends: [
                trend(0.8, -0.001, 0.002),
                trend(0.15, -0.007, 0.005),
                trend(0.05, -0.03, 0.01),
            ],
            hidden_wander_sd: 0.004,
            wind_slope: normal(-0.3, 0.2),
            calm_slope: normal(-0.15, 0.15),
            air_share: normal(0.006, 0.003),
            current_probability: 1.0 / 3.0,
            wind_drift: 0.15,
            current_drift: 0.25,
            drift_sizes: [0.06, 0.25, 1.0],
            drift_lengths_s: [900.0, 3600.0, 7200.0],
            drift_noises: [0.003, 0.01, 0.04],
            direction_se_deg: 11.25,
            least_agreement: 0.02,
            usual_wind: 4.4,
            stated_wind_share: 0.3,
        }
    }
}
