//! What a plan takes for granted where nothing is given: each with its reason and its source.

/// Chance of showing the change worth knowing. Four in five: Cohen (1988), *Statistical Power Analysis
/// for the Behavioral Sciences*, 2.4 (from memory).
pub const POWER: f64 = 0.8;
/// Two-sided rate of false claims, that of the report's 95 % intervals.
pub const ALPHA: f64 = 0.05;

/// Wind where none is given, m/s: the middle of Beaufort 3 (WMO), a day on which people go out to
/// try things.
pub const WIND_M_S: f64 = 4.5;
/// Most wind planned and rehearsed for, m/s: the end of Beaufort 6; from 7 on small boats stay
/// ashore (common practice, no source).
pub const MOST_WIND_M_S: f64 = 13.8;
/// Least step from one setting to the next, as a share of the speed: the report tells settings
/// apart by their speeds, and a part may change them by as much (our own choice).
pub const LEAST_STEP: f64 = 0.05;
/// Share of the battery that a plan leaves for the way home (common practice, no source).
pub const BATTERY_RESERVE: f64 = 0.2;

/// Mass where none is given, kg: an open boat of 4.3 m with one person and a battery (our own
/// simulated boat).
pub const MASS_KG: f64 = 345.0;
/// Time of a swap where none is given, s: a propeller changed afloat (common practice, no source).
pub const SWAP_S: f64 = 900.0;

/// Air drag over hull drag, both with the square of speed, by our own simulated boats: an open
/// boat of 4.3 m (our own simulated boats: 0.010 to 0.020).
pub const WINDAGE: f64 = 0.015;
/// Gusts as a share of the wind (our own simulated days).
pub const GUST_SHARE: f64 = 0.14;

/// Scatter between double runs in a calm, legs of three minutes, as a share of the speed: receiver,
/// waves, helm (our own simulated days, 240 of them in winds of 1.5 to 6 m/s).
pub const CALM_SCATTER: f64 = 0.0036;
/// Share of the gusts' push on the speed that is left in a double run's mean after three minutes
/// each way (the same days; 0.43 to 0.45 in all four winds).
pub const GUSTS_LEFT: f64 = 0.44;
/// Exponent with which the scatter falls as legs grow longer: weak, because the slow swell of a
/// wind lasts as long as a leg (the same days, legs of 90 to 480 s).
pub const LENGTH_EXPONENT: f64 = -0.2;
/// Length of leg for which the two above hold, s.
pub const STANDARD_LEG_S: f64 = 180.0;
/// How far off the thrust meant the lever is set each time, at most: a percent, by a scale or a
/// meter (common practice, no source).
pub const LEVER_ERROR: f64 = 0.01;
/// What the battery loses of the thrust in an hour: 0.2 % of the speed, a lithium battery that
/// lasts the day (common practice, no source).
pub const SAG_PER_H: f64 = 0.004;
/// Least scatter planned with, whatever an earlier trial says: below it few runs agree by luck (our
/// own choice).
pub const LEAST_SCATTER: f64 = 0.003;

/// Settling distance as the report measures it, m, for the cube root of the mass in kg: drag grows
/// with the wetted surface, mass with the volume. Our own simulated boats of 345 and 640 kg: 7.5 m
/// and 8.6 m.
pub const SETTLING_PER_CUBE_ROOT_KG: f64 = 1.03;
/// Approach in settling distances: after five, 0.7 % of the speed lost in the turn is still
/// missing.
pub const APPROACH_SETTLINGS: f64 = 5.0;
/// Least approach, m: room to come back onto the line after a turn (our own simulated days).
pub const LEAST_APPROACH_M: f64 = 25.0;

/// Time of a leg at the fastest setting, s, best first. Three minutes average gusts of a minute and
/// are found in every recording style; below two the legs of fast settings are no longer found
/// safely in much wind (our own simulated days).
pub const LEG_TIMES_S: [f64; 3] = [180.0, 150.0, 120.0];
/// Least length of a leg in approaches: a third of it is not measured then (our own choice).
pub const LEAST_APPROACHES: f64 = 3.0;
/// Least time of a leg at the fastest setting, s: one of 60 s was never found, one of 90 s mostly
/// (the same days).
pub const LEAST_LEG_S: f64 = 90.0;
/// Room to turn at each end of the line, m (our own simulated days: loops are 20 to 30 m wide).
pub const TURN_ROOM_M: f64 = 30.0;
/// Time of a turn and of coming back to the line, s (our own simulated days: 45 to 55 s).
pub const TURN_S: f64 = 50.0;
/// Before the first leg, s: recorder on, five minutes adrift so that the drift tells the wind,
/// run-up.
pub const SET_UP_S: f64 = 480.0;
/// Reserve of time on every leg and turn, for wakes and other boats (common practice, no source).
pub const TIME_RESERVE: f64 = 0.1;

/// Fewest and most double runs in a cell: one has no scatter between runs; beyond twelve the day
/// changes more than the runs gain (our own choice).
pub const FEWEST_DOUBLE_RUNS: usize = 2;
/// See [`FEWEST_DOUBLE_RUNS`].
pub const MOST_DOUBLE_RUNS: usize = 12;
/// Fewest double runs between two swaps: the runs of a part form a series when there are two
/// (our own simulated days of three parts, one of which was read otherwise).
pub const LEAST_SERIES: usize = 2;
/// Most double runs of a day in all: ten hours of five minutes each.
pub const MOST_DOUBLE_RUNS_IN_ALL: usize = 120;
/// A plan longer than this is called a long day, s: daylight, battery and crew seldom last it (our
/// own choice).
pub const LONG_DAY_S: f64 = 7.0 * 3600.0;
/// A swap up to this long is worth making once more, so that the old part is run before and after
/// the new one, s (our own choice).
pub const CHEAP_SWAP_S: f64 = 1800.0;
/// Wind off the bow on the way out, degrees. A wind from ahead or astern lets a heading hold swing
/// to either side; a quartering one pushes to one side all the time, which steadies it (common
/// practice, no source). Its part along the line is still 0.7 of it: enough for the two directions
/// to gauge the wind.
pub const QUARTERING_DEG: f64 = 45.0;

/// Drag of the wind over that of the hull at rest and at the slowest speed, from which the boat
/// makes little way against the wind and the rule for the scatter no longer holds (our own
/// simulated days: three times the scatter of the rule at 0.5).
pub const MUCH_WIND: f64 = 0.35;

/// Scatter between double runs, as a share of the speed, for legs of three minutes in such a wind:
/// the share of the gusts' push that is left, and what is there in a calm.
///
/// The push: in the balance of thrust, hull drag `K v²` and air drag `A (v ± w)²` a gust `dw`
/// changes the speed by `A/K · (w ± v)/v² · dw`, a share of `v`; the two directions together by the
/// root of the mean square.
pub fn scatter(windage: f64, wind_m_s: f64, speeds_m_s: &[f64]) -> f64 {
    let squares: f64 = speeds_m_s
        .iter()
        .map(|v| (wind_m_s * wind_m_s.hypot(*v) / (v * v)).powi(2))
        .sum();
    let push = (squares / speeds_m_s.len().max(1) as f64).sqrt();
    CALM_SCATTER.hypot(GUSTS_LEFT * windage * GUST_SHARE * push)
}

#[cfg(test)]
mod tests {
    use super::scatter;

    /// The rule against the simulated days it was fitted to: standard deviations over 40 days each,
    /// legs of three minutes, speeds of 1.23 and 2.37 m/s.
    #[test]
    fn scatter_is_that_of_the_simulated_days() {
        for (wind, seen) in [(1.5, 0.0039), (3.0, 0.0057), (4.5, 0.0104), (6.0, 0.0169)] {
            let rule = scatter(0.0152, wind, &[1.23, 2.37]);
            assert!(
                (rule / seen - 1.0).abs() < 0.07,
                "{wind} m/s: {rule} for {seen}"
            );
        }
    }
}
