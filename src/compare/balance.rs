//! The balance of thrust, hull drag and wind drag, to first order in the share of the air.
//!
//! Wind drag goes with the square of the apparent wind. Where it is the share `q` of what balances
//! it (see [`super::CompareRules::air_share`]), the logarithm of the speed falls by `q` times the
//! figures here. Quadratic wind drag is common practice; lift and leeway are left out.

/// Wind drag along the course over that at the boat's own speed in a calm, less 1, at `speed`,
/// with `against` blowing from ahead (negative: from astern) and `across` from the side, m/s.
pub(super) fn excess_drag(speed: f64, against: f64, across: f64) -> f64 {
    let ahead = 1.0 + against / speed;
    ahead * ahead.hypot(across / speed) - 1.0
}

/// Mean of [`excess_drag`] over the two directions of a double run.
pub(super) fn mean_excess(speed: f64, along: f64, across: f64) -> f64 {
    f64::midpoint(
        excess_drag(speed, along, across),
        excess_drag(speed, -along, across),
    )
}

/// Half of what it differs by between the two directions.
pub(super) fn half_excess(speed: f64, along: f64, across: f64) -> f64 {
    (excess_drag(speed, along, across) - excess_drag(speed, -along, across)) / 2.0
}

/// The wind along the line, m/s, that makes a half difference of `share` of the speed: the inverse
/// of `share = q half_excess`. Finite for `q > 0`.
pub(super) fn wind_behind(speed: f64, share: f64, q: f64) -> f64 {
    let excess = share.abs() / q;
    let over = if excess < 2.0 {
        excess / 2.0
    } else {
        (excess - 1.0).sqrt()
    };
    speed * over
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wind_is_found_again() {
        for wind in [0.0, 0.7, 1.5, 1.6, 6.0] {
            let share = 0.006 * half_excess(1.5, wind, 0.0);
            assert!((wind_behind(1.5, share, 0.006) - wind).abs() < 1e-12);
        }
    }

    /// Along the line, for a wind faster than the boat: `2 W / u - 2` above the calm's 1, which
    /// has the slope over the half difference that the rules name, `-u / W`.
    #[test]
    fn the_slope_is_the_boat_over_the_wind() {
        assert!((mean_excess(1.5, 4.5, 0.0) - 5.0).abs() < 1e-12);
        let step = |f: fn(f64, f64, f64) -> f64| f(1.5, 4.501, 0.0) - f(1.5, 4.5, 0.0);
        assert!((step(mean_excess) / step(half_excess) - 1.5 / 4.5).abs() < 1e-3);
    }
}
