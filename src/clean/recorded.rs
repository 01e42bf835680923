//! Recorded speeds against the positions: in which unit they really are.

use super::step::{seconds, speed_m_s};
use crate::track::Fix;
use crate::units::{Speed, SpeedUnit};

/// Fewest steps compared before anything is said.
///
/// Thirty give a median that single waves and corners do not move. Common
/// practice, no source.
const FEWEST_STEPS: usize = 30;

/// Slowest speed compared, m/s: below it the position error between two fixes counts more.
const SLOWEST_M_S: f64 = 1.5;

/// Longest step compared, s: over a longer one the boat turns.
const LONGEST_STEP_S: f64 = 10.0;

/// How far from a unit's factor the median ratio may lie to be taken for it, as a part.
///
/// From public test files: recorded speed in m/s was within 0.94 to 1.02 of the
/// speed from positions in 22 of 34; the nearest two units, knots and miles per
/// hour, are 15 % apart.
const UNIT_TOLERANCE: f64 = 0.06;

/// Largest ratio, either way, that is let pass as metres per second.
///
/// Smoothing in the receiver and error in the positions make up to a fifth;
/// beyond it the speeds are not what the format says.
const MOST_RATIO: f64 = 1.25;

/// Mends recorded speeds in another unit, or drops them where no unit fits; returns what was done.
///
/// GPX asks for metres per second. Speeds are secondary evidence in any case.
pub(super) fn check_speeds(tracks: &mut [Vec<Fix>]) -> Option<String> {
    let mut ratios: Vec<f64> = tracks
        .iter()
        .flat_map(|fixes| fixes.windows(2))
        .filter_map(|pair| match pair {
            [a, b] => ratio(a, b),
            _ => None,
        })
        .collect();
    if ratios.len() < FEWEST_STEPS {
        return None;
    }
    let middle = ratios.len() / 2;
    let (_, &mut median, _) = ratios.select_nth_unstable_by(middle, f64::total_cmp);
    if (1.0 / MOST_RATIO..=MOST_RATIO).contains(&median) {
        return None;
    }
    let taken = units().find(|(unit, parts)| {
        (median * unit.metres_per_second() / parts - 1.0).abs() <= UNIT_TOLERANCE
    });
    for fix in tracks.iter_mut().flatten() {
        fix.speed = fix
            .speed
            .zip(taken)
            .map(|(speed, (unit, parts))| Speed::new(speed.as_metres_per_second() / parts, unit));
    }
    Some(match taken {
        Some((unit, parts)) => {
            let parts = if parts > 1.0 { "tenths of " } else { "" };
            format!(
                "Recorded speeds are {median:.2} times those from the positions: taken as {parts}{unit} in place of m/s.",
            )
        }
        None => format!(
            "Recorded speeds are {median:.2} times those from the positions, which fits no unit: left out.",
        ),
    })
}

/// The units recorders write, with how many parts of it a whole number counts: tenths of a knot
/// stand in some tables.
fn units() -> impl Iterator<Item = (SpeedUnit, f64)> {
    let whole = SpeedUnit::ALL.into_iter().map(|unit| (unit, 1.0));
    whole.chain([(SpeedUnit::Knots, 10.0)])
}

fn ratio(a: &Fix, b: &Fix) -> Option<f64> {
    let recorded = b.speed?.as_metres_per_second();
    let measured = speed_m_s(a, b)?;
    let compared = measured >= SLOWEST_M_S && seconds(a, b) <= LONGEST_STEP_S;
    compared.then_some(recorded / measured)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fix;

    /// Under way at 5 m/s with recorded speeds of `recorded`; the remark and the first speed after.
    fn checked(recorded: f64, count: i64) -> (Option<String>, Option<f64>) {
        let mut tracks = vec![
            (0..count)
                .map(|s| Fix {
                    speed: Some(Speed::metres_per_second(recorded)),
                    ..fix(s, 5.0 * s as f64, 0.0)
                })
                .collect(),
        ];
        let remark = check_speeds(&mut tracks);
        let first = tracks.concat().first().and_then(|f: &Fix| f.speed);
        (remark, first.map(Speed::as_metres_per_second))
    }

    #[test]
    fn metres_per_second_are_left_alone() {
        assert_eq!(checked(5.0, 100), (None, Some(5.0)));
        assert_eq!(checked(4.6, 100), (None, Some(4.6)));
        assert_eq!(checked(18.0, 10), (None, Some(18.0)));
    }

    #[test]
    fn other_units_are_known_by_their_ratio() {
        for (recorded, symbol) in [
            (18.0, "km/h"),
            (9.72, "kn"),
            (11.18, "mph"),
            (97.2, "tenths of kn"),
        ] {
            let (remark, speed) = checked(recorded, 100);
            assert!(
                remark.is_some_and(|r| r.contains(&format!("taken as {symbol} "))),
                "{symbol}"
            );
            assert!(speed.is_some_and(|s| (s - 5.0).abs() < 0.01), "{symbol}");
        }
    }

    #[test]
    fn what_fits_no_unit_is_left_out() {
        let (remark, speed) = checked(50.0, 100);
        assert!(remark.is_some_and(|r| r.contains("fits no unit")));
        assert_eq!(speed, None);
    }
}
