//! The track from above: true aspect, legs over the trail, course lines, north, wind and scale.

mod map;

mod numbers;

mod side;

use crate::plotter::clip;
use crate::plotter::day::Day;
use crate::plotter::labels::Labels;
use crate::plotter::marks;
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{self, Align, Drawn, Letters, Sheet};
use crate::plotter::style::{Dash, Ink, TICK};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::{Chart, PlotError};
use crate::units::Bearing;
use map::{Ground, GroundLeg, Map};
use numbers::{draw_directions, draw_number, drawn_out};

/// Left edge of the map.
const LEFT: f64 = 6.0;
/// Upper edge of the map.
const TOP: f64 = 6.0;
/// Least and greatest height of the map; wide, and narrow.
const HEIGHTS: [[f64; 2]; 2] = [[250.0, 560.0], [190.0, 430.0]];
/// Room for the scale bar below.
const FOOT: f64 = 38.0;
/// Ground shown round the trial, a share of its diagonal.
const AROUND: f64 = 0.09;
/// The whole track gets a small map of its own where it reaches this many times as far as the trial.
const FAR_AFIELD: f64 = 1.8;

/// The chart; none where there is neither track nor leg.
pub(crate) fn chart(day: &Day) -> Result<Option<Chart>, PlotError> {
    let Some(ground) = Ground::of(day) else {
        return Ok(None);
    };
    let overview = ground.whole().diagonal() > FAR_AFIELD * ground.trial().diagonal();
    let extent = if overview {
        ground.trial()
    } else {
        ground.whole()
    };
    let extent = extent.padded(AROUND);
    let key = side::height(day, &ground, overview);
    let right = side::map_right(day);
    let [least, most] = day.layout.pick(HEIGHTS[0], HEIGHTS[1]);
    let height = ((right - LEFT) * extent.aspect()).clamp(least, most);
    // The key stands beside the map, or below it.
    let height = height.max(day.layout.pick(key, 0.0));
    let area = Area::new(LEFT, TOP, right, (TOP + height).round());
    let below = day.layout.pick(0.0, key + 6.0);
    let head = Head {
        name: "track".to_owned(),
        title: "The track and its legs".to_owned(),
        alt: alt(day, &ground),
        legs: day.leg_titles(),
    };
    let svg = sheet::draw(&head, day.layout, area.bottom + FOOT + below, |sheet| {
        let map = Map::new(sheet, day.layout, area, extent)?;
        draw_map(sheet, &map, day, &ground)?;
        draw_scale_bar(sheet, &map, day)?;
        side::draw(sheet, day, &ground, &map, overview)
    })?;
    Ok(Some(Chart {
        name: head.name,
        title: head.title,
        caption: caption(day, &ground, overview),
        alt: head.alt,
        svg,
        narrow: String::new(),
    }))
}

/// The pen of the track as recorded.
pub(crate) fn trail_pen() -> Pen {
    Pen::new(Ink::Trail).wide(0.9)
}

/// The pen of a leg's steady part, by the place of its configuration.
pub(crate) fn leg_pen(configuration: Option<usize>) -> Pen {
    match configuration {
        Some(place) => Pen::new(Ink::Configuration(place))
            .wide(2.2)
            .dashed(Dash::of(place)),
        None => Pen::new(Ink::Other).wide(1.8),
    }
}

/// The pen of a leg's approach.
pub(crate) fn approach_pen(configuration: Option<usize>) -> Pen {
    let pen = leg_pen(configuration);
    Pen::new(pen.ink).wide(1.0)
}

/// The pen of course lines.
pub(crate) fn line_pen() -> Pen {
    Pen::new(Ink::Text).wide(0.9).dashed(Dash::Sparse)
}

fn draw_map(sheet: &Sheet, map: &Map, day: &Day, ground: &Ground) -> Drawn {
    let area = map.area();
    for run in &ground.runs {
        for part in clip::clipped_path(&map.thinned(run), area) {
            sheet.path(&part, trail_pen())?;
        }
    }
    let mut names = Labels::within(area);
    for [from, to] in ground.lines.iter().filter_map(|line| drawn_out(map, line)) {
        sheet.line(from, to, line_pen())?;
        names.avoid(from, to);
    }
    let measured = (ground.legs.iter()).filter(|leg| leg.leg.double_run.is_some());
    let thinner = thinner(measured.count());
    for leg in &ground.legs {
        draw_leg(sheet, map, day, leg, thinner)?;
        names.avoid(map.at(leg.start), map.at(leg.end));
    }
    sheet.frame_line(area, Pen::new(Ink::Grid))?;
    for line in &ground.lines {
        draw_directions(sheet, map, line, &mut names)?;
    }
    // Legs that were measured have the first choice of room.
    let measured = |leg: &&GroundLeg| leg.leg.double_run.is_some();
    for leg in ground.legs.iter().filter(measured) {
        draw_number(sheet, map, leg, &mut names)?;
    }
    for leg in ground.legs.iter().filter(|leg| !measured(leg)) {
        draw_number(sheet, map, leg, &mut names)?;
    }
    Ok(())
}

/// How much thinner legs are drawn where many share a line, so that none paints over the others.
fn thinner(legs: usize) -> f64 {
    /// So many legs are drawn at their full width.
    const FEW: f64 = 16.0;
    const THINNEST: f64 = 0.4;
    (FEW / legs.max(1) as f64).clamp(THINNEST, 1.0)
}

fn draw_leg(sheet: &Sheet, map: &Map, day: &Day, leg: &GroundLeg, thinner: f64) -> Drawn {
    let name = leg.leg.configuration.as_deref();
    let place = name.map(|name| day.configuration(name));
    let area = map.area();
    let number = leg.leg.leg;
    let (start, end) = (map.at(leg.start), map.at(leg.end));
    let steady = leg.steady.map(|p| map.at(p));
    let until = steady.unwrap_or(end);
    if let Some([a, b]) = clip::clipped(start, until, area) {
        let pen = approach_pen(place);
        sheet.line(a, b, pen.wide(1.0 * thinner).leg(number))?;
    }
    let Some(steady) = steady else {
        return Ok(());
    };
    if let Some([a, b]) = clip::clipped(steady, end, area) {
        let width = if place.is_some() { 2.2 * thinner } else { 1.8 };
        let pen = leg_pen(place).wide(width).leg(number);
        sheet.line(a, b, pen)?;
        if b == end {
            marks::arrow_head(sheet, a, b, 8.0 * thinner.sqrt(), pen)?;
        }
    }
    Ok(())
}

fn draw_scale_bar(sheet: &Sheet, map: &Map, day: &Day) -> Drawn {
    let area = map.area();
    let limit = area.width() * 0.3 * map.metres_per_unit();
    let bar = map::scale_bar(limit, day.analysis.units);
    let length = bar.metres / map.metres_per_unit();
    let (y, pen) = (area.bottom + 14.0, Pen::new(Ink::Text).wide(1.4));
    let (from, to) = (
        Pt::new(area.left + 1.0, y),
        Pt::new(area.left + 1.0 + length, y),
    );
    sheet.line(from, to, pen)?;
    for end in [from, to] {
        sheet.line(end.by(0.0, -4.0), end.by(0.0, 4.0), pen)?;
    }
    sheet.text(
        &bar.label,
        to.by(8.0, TICK * 0.35),
        Letters::new(TICK, Align::Start),
    )
}

fn caption(day: &Day, ground: &Ground, overview: bool) -> String {
    let mut words = String::from("The track from above, north up, equal scale both ways.");
    if !ground.legs.is_empty() {
        words.push_str(
            " Thick lines are the steady parts that were measured, thin ones the approach to them; arrow heads show the way, numbers the order.",
        );
    }
    match (day.analysis.wind.from_deg, day.idle_drift()) {
        (Some(_), Some(_)) => words.push_str(" At the compass, the solid arrow is the wind and the dotted one the way the boat drifted while it lay idle."),
        (None, Some(_)) => words.push_str(" The dotted arrow at the compass is the way the boat drifted while it lay idle."),
        _ => {}
    }
    if overview {
        words.push_str(" The small map shows where the trial lies in the whole track.");
    }
    words
}

fn alt(day: &Day, ground: &Ground) -> String {
    let used = ground
        .legs
        .iter()
        .filter(|leg| leg.leg.double_run.is_some());
    let mut sentences = vec![format!(
        "Map of {}, {} of them in double runs.",
        text::count(ground.legs.len(), "leg"),
        used.count()
    )];
    for line in map::run_lines(day.analysis) {
        if let Some(axis) = Bearing::new(line.axis_deg) {
            sentences.push(format!(
                "Course line {}: {axis} and {}, {}, {}.",
                line.line,
                axis.reciprocal(),
                distance(day, line.length_m),
                text::count(line.legs.len(), "leg")
            ));
        }
    }
    match day.analysis.wind.from_deg.and_then(Bearing::new) {
        Some(from) => sentences.push(format!("Wind from {from}.")),
        None => sentences.push("Wind not known.".to_owned()),
    }
    if let Some(drift) = day.idle_drift() {
        sentences.push(format!(
            "While it lay idle the boat drifted toward {} at {}.",
            drift.toward,
            day.speed_text(drift.speed_m_s)
        ));
    }
    sentences.join(" ")
}

fn distance(day: &Day, metres: f64) -> String {
    let (symbol, length) = day.analysis.units.long_distance();
    format!("{}\u{a0}{symbol}", text::number(metres / length, 2))
}
