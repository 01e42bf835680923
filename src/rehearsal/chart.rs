//! The chart of a rehearsal: how often a change of each size is detected, and what the plan
//! expects.

use super::tally::{Rehearsal, planned_power};
use crate::plan::Plan;
use crate::plan::assume::ALPHA;
use crate::plotter::relation::{self, Point, Relation, Series};
use crate::plotter::{Chart, ChartKind};

/// Points of the plan's line.
const LINE_POINTS: usize = 80;
/// Room beyond the largest change, a share of the axis.
const BEYOND: f64 = 0.06;
/// The least the axis of changes reaches to, percent.
const LEAST: f64 = 1.0;

/// How often a change of each size is detected, by its size.
pub fn power_chart(plan: &Plan, rehearsal: &Rehearsal) -> Chart {
    let changes = rehearsal.sizes.iter().map(|size| size.change * 100.0);
    let largest = changes.fold(LEAST, f64::max);
    let expected = (0..=LINE_POINTS).filter_map(|step| {
        let percent = largest * step as f64 / LINE_POINTS as f64;
        // With no change the chance is the rate of false claims.
        let power = planned_power(plan, percent / 100.0).unwrap_or(ALPHA);
        power.is_finite().then_some([percent, power * 100.0])
    });
    let found = rehearsal.sizes.iter().filter_map(|size| {
        Some(Point {
            mark: usize::from(size.change != 0.0),
            at: [size.change * 100.0, size.share_told()? * 100.0],
            interval: size
                .share_interval()
                .map(|ends| ends.map(|end| end * 100.0)),
        })
    });
    let series = |place: usize, points: Vec<Point>, line: Vec<[f64; 2]>| Series {
        place,
        name: String::new(),
        points,
        line,
    };
    relation::chart(&Relation {
        kind: ChartKind::Detection,
        title: "How often a change of each size is detected".to_owned(),
        caption: "Squares: simulated days, with the 95 % interval of the share; the circle, with \
            no change there, is how often one was claimed. Line: what the plan expects, by the \
            noncentral t distribution. Dashed: the chance wanted and the change worth knowing."
            .to_owned(),
        alt: alt(rehearsal),
        across: "true change in speed (%)".to_owned(),
        up: "days on which it was detected (%)".to_owned(),
        range_across: Some([-BEYOND * largest, (1.0 + BEYOND) * largest]),
        range_up: Some([0.0, 100.0]),
        series: vec![
            series(0, Vec::new(), expected.collect()),
            series(1, found.collect(), Vec::new()),
        ],
        settings: Vec::new(),
        guides: Some([
            (rehearsal.power_wanted * 100.0, "wanted".to_owned()),
            (rehearsal.resolve * 100.0, "worth knowing".to_owned()),
        ]),
    })
}

fn alt(rehearsal: &Rehearsal) -> String {
    let sizes = rehearsal.sizes.iter().filter_map(|size| {
        let share = size.share_told()? * 100.0;
        let change = (size.change * 1000.0).round() / 10.0;
        Some(if size.change == 0.0 {
            format!("no change, claimed on {share:.0} %")
        } else {
            format!("{change} %, detected on {share:.0} %")
        })
    });
    let sizes: Vec<String> = sizes.collect();
    format!(
        "Share of the simulated days on which a change was detected, by its size: {}.",
        sizes.join("; ")
    )
}
