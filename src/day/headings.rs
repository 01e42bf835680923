//! Speed against heading: one harmonic through the legs of a cell, where they lie on three headings or more.
//!
//! In a current the speed over the ground goes once round with the heading, `mean + drift cos(course -
//! set)`, to first order in drift over speed; in a wind the same holds with the wind's direction in place
//! of the set. So the amplitude is the drift along a heading, and the phase where wind or current
//! carried the boat. The fit is `stats::harmonic`, equal weights.

use serde::Serialize;

use super::leg::number;
use crate::segmenter::{Assigned, Segmented};
use crate::stats::harmonic::harmonic;
use crate::units::Bearing;

/// A harmonic through the legs of one configuration at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeadingFit {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// The legs it is fitted to.
    pub legs: Vec<usize>,
    /// Speed over the ground, mean over all headings, m/s.
    pub mean_m_s: f64,
    /// Its standard error.
    pub mean_se_m_s: f64,
    /// Half of what the fastest heading has over the slowest: the drift, m/s.
    pub drift_m_s: f64,
    /// Its standard error.
    pub drift_se_m_s: f64,
    /// The fastest heading, degrees true: where wind or current carried the boat.
    pub toward_deg: f64,
    /// Its standard error, degrees.
    pub toward_se_deg: f64,
    /// Whether the drift differs from none at the 5 % level; where not, the direction means nothing.
    pub shown: bool,
    /// Degrees of freedom: legs less three.
    pub df: usize,
}

/// Headings nearer than this count as one, degrees: half the angle between two of the eight labels of
/// the wind. Common practice, no source.
const APART_DEG: f64 = 22.5;

/// Fewest headings on which a harmonic is told.
const FEWEST_HEADINGS: usize = 3;

/// Fewest legs: one more than the harmonic has numbers, so that a scatter is left.
const FEWEST_LEGS: usize = 4;

/// One fit for each cell whose legs lie on three headings or more.
pub(crate) fn heading_fits(found: &Segmented, assigned: &Assigned) -> Vec<HeadingFit> {
    let mut cells: Vec<(usize, usize)> = (assigned.runs.iter())
        .map(|run| (run.configuration, run.setting))
        .collect();
    cells.sort_unstable();
    cells.dedup();
    cells
        .into_iter()
        .filter_map(|cell| fit(found, assigned, cell))
        .collect()
}

fn fit(found: &Segmented, assigned: &Assigned, cell: (usize, usize)) -> Option<HeadingFit> {
    let runs = found.runs.iter().zip(&assigned.runs);
    let mut legs: Vec<usize> = runs
        .filter(|(_, own)| (own.configuration, own.setting) == cell && !own.left_out)
        .flat_map(|(run, _)| run.legs)
        .collect();
    legs.sort_unstable();
    let measured: Vec<(Bearing, f64)> = legs
        .iter()
        .filter_map(|leg| {
            let leg = found.legs.get(*leg)?;
            let measured = leg.measured?;
            let course = measured.motion.course()?;
            let course = leg.plane.true_course(course, measured.motion.middle);
            Some((course, measured.speed))
        })
        .collect();
    let (courses, speeds): (Vec<Bearing>, Vec<f64>) = measured.into_iter().unzip();
    if courses.len() < FEWEST_LEGS.max(legs.len()) || headings(&courses) < FEWEST_HEADINGS {
        return None;
    }
    let fitted = harmonic(&courses, &speeds)?;
    let mean = fitted.mean(LEVEL)?;
    let drift = fitted.amplitude_estimate(LEVEL)?;
    Some(HeadingFit {
        configuration: assigned.configurations.get(cell.0)?.clone(),
        setting: assigned.settings.get(cell.1)?.clone(),
        legs: legs.iter().map(|leg| number(*leg, found)).collect(),
        mean_m_s: mean.value,
        mean_se_m_s: mean.se,
        drift_m_s: fitted.amplitude,
        drift_se_m_s: drift.se,
        toward_deg: fitted.phase?.degrees(),
        toward_se_deg: fitted.phase_se()?,
        shown: fitted.phase_arc(LEVEL).is_some(),
        df: fitted.fit.df,
    })
}

/// Level at which a drift is told to differ from none.
const LEVEL: f64 = 0.95;

/// How many headings there are, those near one another counted once.
fn headings(courses: &[Bearing]) -> usize {
    let mut apart: Vec<Bearing> = Vec::new();
    for course in courses {
        if apart.iter().all(|other| other.apart(*course) > APART_DEG) {
            apart.push(*course);
        }
    }
    apart.len()
}

/// Where the legs were carried, all fits together, and its standard error in degrees: each weighs by
/// how well its direction is known. `None` where no fit shows a drift.
pub(crate) fn carried_toward(fits: &[HeadingFit]) -> Option<(Bearing, f64)> {
    let (mut east, mut north, mut total) = (0.0, 0.0, 0.0);
    for fit in fits.iter().filter(|fit| fit.shown) {
        let weight = fit.toward_se_deg.max(LEAST_SE_DEG).powi(-2);
        let (e, n) = Bearing::new(fit.toward_deg)?.unit();
        east += weight * e;
        north += weight * n;
        total += weight;
    }
    let toward = (total > 0.0).then(|| Bearing::of_vector(east, north))??;
    Some((toward, total.powf(-0.5)))
}

/// No direction is better known than this from a handful of legs, degrees: they are steered to a few.
const LEAST_SE_DEG: f64 = 3.0;
