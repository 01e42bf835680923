//! The way home against the day's wind.

use geo::{Bearing as _, Distance as _, Geodesic, Point};

use super::draw::Drawn;
use super::estimate::{Cell, LogEstimate, product};
use super::known::Known;
use super::result::{HomeAnswer, HomeAt, Ranged, WayHome};
use crate::compare::Adjustment;
use crate::track::Position;
use crate::units::Bearing;

pub(super) fn home(known: &Known<'_>, drawn: &Drawn, usable_j: Option<f64>) -> Option<WayHome> {
    let note = known.noted.notes.energy.home?;
    let from = middle_of_trial(known)?;
    let (distance_m, course) = way(from, note.position);
    let against = wind_against(known, course);
    let cells = drawn.cells();
    let of_cell = |cell: &Cell| {
        let speed = match against {
            Some(wind) => in_wind(known, *cell, wind),
            None => known.one_way(*cell, -1.0),
        };
        let power = drawn.power(*cell)?;
        let energy = speed.map_or_else(Ranged::default, |speed| {
            product(distance_m, &[(1.0, power), (-1.0, speed)])
        });
        let left = usable_j.map_or_else(Ranged::default, |usable| {
            let charge = usable - drawn.used_j.unwrap_or(0.0);
            let left = |energy: Option<f64>| energy.map(|e| (charge - e) / usable);
            Ranged {
                value: left(energy.value),
                low: left(energy.high),
                high: left(energy.low),
            }
        });
        Some(HomeAt {
            configuration: known.configuration(cell.0),
            setting: known.setting(cell.1),
            speed_m_s: speed.map_or_else(Ranged::default, LogEstimate::raised),
            time_s: speed.map_or_else(Ranged::default, |speed| {
                product(distance_m, &[(-1.0, speed)])
            }),
            energy_j: energy,
            left_share: left,
            keeps_reserve: left.low.zip(note.reserve).map(|(left, kept)| left >= kept),
            answer: answer(left, note.reserve),
        })
    };
    let reason = if note.reserve.is_none() {
        Some("no reserve is stated; add `reserve = \"30 %\"` or what you hold right under [home]")
    } else if usable_j.is_none() {
        Some("the usable charge of the battery is not known")
    } else if cells.is_empty() {
        Some("the draw of the motor was not read")
    } else {
        None
    };
    Some(WayHome {
        from,
        to: note.position,
        distance_m,
        course_deg: course.map(Bearing::degrees),
        wind: if against.is_some() {
            "in the part of the day's mean wind that blew along that course"
        } else {
            "at the speed of the slower of the day's two directions"
        }
        .to_owned(),
        reserve_share: note.reserve,
        trial_taken_off: usable_j.is_some() && drawn.used_j.is_some(),
        cells: cells.iter().filter_map(of_cell).collect(),
        reason: reason.map(str::to_owned),
    })
}

/// What may be said of the share left and the reserve; without a reserve, only that the charge does
/// not reach at all.
fn answer(left: Ranged, reserve: Option<f64>) -> Option<HomeAnswer> {
    let (low, high) = (left.low?, left.high?);
    match reserve {
        _ if high < reserve.unwrap_or(0.0) => Some(HomeAnswer::DoesNotReach),
        Some(reserve) if low >= reserve => Some(HomeAnswer::Kept),
        Some(_) => Some(HomeAnswer::NotSure),
        None => None,
    }
}

/// Distance, m, and course at the start along the geodesic on the ellipsoid (Karney 2013, as in
/// `geo`); no course where the two places are one.
fn way(from: Position, to: Position) -> (f64, Option<Bearing>) {
    let point = |p: Position| Point::new(p.longitude(), p.latitude());
    let distance_m = Geodesic.distance(point(from), point(to));
    let course = (distance_m > 0.0)
        .then(|| Bearing::new(Geodesic.bearing(point(from), point(to))))
        .flatten();
    (distance_m, course)
}

/// The middle of the line of the first double run that counts.
fn middle_of_trial(known: &Known<'_>) -> Option<Position> {
    let (run, _) = known.runs().next()?;
    let line = known.lines.get(run.line.checked_sub(1)?)?;
    let half_turns = line.to.longitude() - line.from.longitude();
    // Across the antimeridian the short way round.
    let east = if half_turns > 180.0 {
        half_turns - 360.0
    } else if half_turns < -180.0 {
        half_turns + 360.0
    } else {
        half_turns
    };
    let longitude = Bearing::new(line.from.longitude() + east / 2.0)?.degrees();
    Position::new(
        f64::midpoint(line.from.latitude(), line.to.latitude()),
        if longitude > 180.0 {
            longitude - 360.0
        } else {
            longitude
        },
    )
}

/// What blows against the boat on a course, m/s, by the speed stated or logged, else by the half
/// differences where they are the wind's; `None` where that or its direction is not known.
fn wind_against(known: &Known<'_>, course: Option<Bearing>) -> Option<f64> {
    let from = Bearing::new(known.wind.from_deg?)?;
    let on = |bearing: Bearing| bearing.turn_to(from).degrees().to_radians().cos();
    let by_half_difference = || {
        let posterior = known.posterior?;
        match posterior.adjustment() {
            Adjustment::Wind { .. } | Adjustment::StillWater => {}
            Adjustment::Current { .. }
            | Adjustment::Both { .. }
            | Adjustment::Logged
            | Adjustment::None(_) => return None,
        }
        let (run, _) = known.runs().next()?;
        let along = on(Bearing::new(run.axis_deg)?).abs();
        let [low, high] = posterior.wind_behind()?;
        (along >= known.rules.least_along).then(|| (low * high).sqrt() / along)
    };
    let speed = known.wind.speed_m_s.or_else(by_half_difference)?;
    Some(speed * on(course?))
}

fn in_wind(known: &Known<'_>, (j, k): Cell, against: f64) -> Option<LogEstimate> {
    let posterior = known.posterior?;
    LogEstimate::of(posterior, &posterior.in_wind(j, k, against)?)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// A short line of `GeodTest.dat` (C. F. F. Karney's test set for geodesics).
    #[test]
    fn the_way_is_the_geodesic() {
        let from = Position::new(36.800_966_049_655, 0.0).unwrap();
        let to = Position::new(36.802_889_529_289_61, 0.002_261_122_427_425_817).unwrap();
        let (distance, course) = way(from, to);
        assert!((distance - 293.737_227_3).abs() < 1e-4);
        assert!((course.unwrap().degrees() - 43.389_649_034_063).abs() < 1e-4);
        assert_eq!(way(from, from).1, None);
    }

    #[test]
    fn the_way_home_has_three_answers() {
        let left = |low, high| Ranged {
            value: Some(f64::midpoint(low, high)),
            low: Some(low),
            high: Some(high),
        };
        let reserve = Some(0.3);
        assert_eq!(answer(left(0.3, 0.5), reserve), Some(HomeAnswer::Kept));
        assert_eq!(answer(left(0.2, 0.4), reserve), Some(HomeAnswer::NotSure));
        let short = Some(HomeAnswer::DoesNotReach);
        assert_eq!(answer(left(-0.2, 0.29), reserve), short);
        assert_eq!(answer(left(-0.2, -0.1), None), short);
        assert_eq!(answer(left(0.1, 0.2), None), None);
        assert_eq!(answer(Ranged::default(), reserve), None);
    }
}
