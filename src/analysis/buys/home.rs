//! The way home against the day's wind.

use super::known::Known;
use super::reach::CellRun;
use super::result::{HomeAt, Ranged, WayHome};
use crate::stats::interval::Estimate;
use crate::track::Position;
use crate::trial::balance::Windage;
use crate::trial::buys::reach;
use crate::units::Bearing;

pub(super) fn home(known: &Known<'_>, runs: &[CellRun], usable_j: Option<f64>) -> Option<WayHome> {
    let note = known.noted.notes.energy.home?;
    let from = middle_of_trial(known)?;
    let way = reach::way(from, note.position);
    let wind = day_wind(known, way.course);
    let level = known.level();
    let cells: Vec<HomeAt> = runs
        .iter()
        .map(|run| {
            let speed = match &wind {
                Some(wind) => run.calm.and_then(|calm| wind.speed(calm, level)),
                None => run.against,
            };
            let energy = speed
                .and_then(|speed| reach::energy_over(way.distance_m, run.power, speed, level))
                .unwrap_or_default();
            let left = usable_j.map_or_else(Ranged::default, |usable| Ranged {
                value: energy.value.map(|e| 1.0 - e / usable),
                low: energy.high.map(|e| 1.0 - e / usable),
                high: energy.low.map(|e| 1.0 - e / usable),
            });
            HomeAt {
                configuration: known.configuration(run.cell.0),
                setting: known.setting(run.cell.1),
                speed_m_s: speed.map_or_else(Ranged::default, Ranged::raised),
                time_s: speed
                    .and_then(|speed| reach::time_over(way.distance_m, speed, level))
                    .unwrap_or_default(),
                energy_j: energy,
                left_share: left,
                keeps_reserve: left.low.zip(note.reserve).map(|(left, kept)| left >= kept),
            }
        })
        .collect();
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
        distance_m: way.distance_m,
        course_deg: way.course.map(Bearing::degrees),
        wind: if wind.is_some() {
            "in the day's mean wind on that course, by the balance of thrust, hull and wind drag"
        } else {
            "at the speed of the slower of the day's two directions"
        }
        .to_owned(),
        reserve_share: note.reserve,
        cells,
        reason: reason.map(str::to_owned),
    })
}

/// The middle of the line of the first double run that counts.
fn middle_of_trial(known: &Known<'_>) -> Option<Position> {
    let (run, _) = known.runs().next()?;
    let line = known.analysis.lines.get(run.line.checked_sub(1)?)?;
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

/// The wind of the day as the balance found it, seen from a course.
struct DayWind {
    windage: Windage,
    speed: f64,
    towards: f64,
}

/// `None` where the balance did not apply or the wind's direction is not known.
fn day_wind(known: &Known<'_>, course: Option<Bearing>) -> Option<DayWind> {
    let gauge = &known.analysis.gauge;
    if !gauge.supported {
        return None;
    }
    let from = Bearing::new(known.analysis.wind.from_deg?)?;
    let off = from.apart(course?);
    Some(DayWind {
        windage: Windage {
            ratio: gauge.windage?,
            off_line_deg: off.min(180.0 - off),
        },
        speed: gauge.wind_m_s?,
        towards: if off <= 90.0 { 1.0 } else { -1.0 },
    })
}

impl DayWind {
    /// The speed on the course, from that in a calm; its relative error is taken along.
    fn speed(&self, calm: Estimate, level: f64) -> Option<Estimate> {
        let drive = calm.value.exp() * (1.0 + self.windage.ratio).sqrt();
        let speed = self.windage.speed(drive, self.speed, self.towards)?;
        (speed > 0.0)
            .then(|| Estimate::new(speed.ln(), calm.se, calm.df, level))
            .flatten()
    }
}
