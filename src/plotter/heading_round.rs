//! Speed against heading drawn round: north up, speed outward from the centre, a panel for each
//! configuration and all to one scale.

use super::chart::{Chart, ChartKind};
use super::heading::{
    CURVED, HeadingLeg, Panel, SpeedAgainstHeading, WIND_SHADE, abreast, courses,
};
use super::key::{self, Key, Sample};
use super::sheet::{Align, Letters, Pen, Pt, Sheet};
use super::style::{Dash, Ink, NOTE, TEXT, TICK};
use super::{axis, marks, text};
use crate::units::Bearing;

/// Radius of a panel's scale.
const RADIUS: f64 = 108.0;
/// Height of a panel with its name and the letters of the compass.
const PANEL: f64 = 2.0 * RADIUS + 80.0;
/// From the top of a panel to its centre.
const CENTRE: f64 = RADIUS + 54.0;
/// Radius of a leg's mark, and how far apart those of one course lie round the compass.
const MARK: f64 = 3.4;
const APART: f64 = 6.6;
/// No mark is turned further from its course than this, degrees: half the way between two of the
/// spokes, so that no leg comes near another.
const FARTHEST_DEG: f64 = 20.0;
/// Room between the largest speed and the rim, a share of the speed.
const ROOM: f64 = 0.06;
/// The least speed at the rim, in the unit shown.
const LEAST_RIM: f64 = 0.2;
/// Length of the arrow of the wind.
const WIND_ARROW: f64 = 30.0;
/// Rings are labelled on one of these bearings.
const LABEL_WAYS: [f64; 8] = [67.5, 112.5, 22.5, 157.5, 202.5, 247.5, 292.5, 337.5];
/// Steps in which a curved edge is drawn, degrees.
const STEP: f64 = 3.0;
/// So many courses there must be at least: on two of them the plain chart shows all there is.
const LEAST_COURSES: usize = 3;

/// From speeds to radii, the same in all panels.
#[derive(Clone, Copy)]
struct Dial {
    /// The speed at the rim.
    rim: f64,
    /// Bearing on which the rings are labelled.
    labels: f64,
}

impl Dial {
    fn new(input: &SpeedAgainstHeading) -> Self {
        // Between the letters, on the bearing that lies farthest from any leg.
        let free = |way: &f64| {
            let apart = |leg: &HeadingLeg| Bearing::new(*way).map_or(0.0, |w| w.apart(leg.course));
            input.legs().map(apart).fold(180.0, f64::min)
        };
        let best = LABEL_WAYS
            .into_iter()
            .max_by(|a, b| free(a).total_cmp(&free(b)));
        Self {
            rim: input.speeds().fold(LEAST_RIM, f64::max) * (1.0 + ROOM),
            labels: best.unwrap_or_default(),
        }
    }

    /// How far from the centre a speed lies.
    fn radius(self, speed: f64) -> f64 {
        (speed / self.rim * RADIUS).clamp(0.0, RADIUS)
    }

    /// The speeds at which rings are drawn.
    fn rings(self) -> Vec<axis::Tick> {
        let mut ticks = axis::ticks(0.0, self.rim, 6, false);
        ticks.retain(|tick| tick.at > 0.0);
        ticks
    }
}

/// The chart; none where the legs of every configuration ran on fewer than three courses.
pub fn chart(input: &SpeedAgainstHeading) -> Option<Chart> {
    let several = |panel: &Panel| {
        let mut found: Vec<Bearing> = Vec::new();
        for course in courses(panel) {
            if found
                .iter()
                .all(|other| other.apart(course.mean) > FARTHEST_DEG)
            {
                found.push(course.mean);
            }
        }
        found.len() >= LEAST_COURSES
    };
    if !input.panels.iter().any(several) {
        return None;
    }
    let words = [
        "Speed against heading, round".to_owned(),
        caption(input),
        alt(input),
    ];
    Some(Chart::new(ChartKind::HeadingRound, words, |sheet| {
        draw(sheet, input)
    }))
}

/// Draws it and returns its height.
fn draw(sheet: &mut Sheet, input: &SpeedAgainstHeading) -> f64 {
    let dial = Dial::new(input);
    let (columns, width) = abreast(sheet.layout(), input.panels.len());
    for (k, panel) in input.panels.iter().enumerate() {
        let (row, column) = (k / columns, k % columns);
        let corner = Pt::new(column as f64 * width, row as f64 * PANEL);
        let name = text::fitted(&panel.name, TEXT * 1.1, width - 16.0);
        let letters = Letters::new(TEXT, Align::Start).bold();
        sheet.text(&name, corner.by(6.0, TEXT + 4.0), letters);
        draw_panel(sheet, input, panel, corner.by(width / 2.0, CENTRE), dial);
    }
    let rings = format!("rings: speed over the ground ({})", input.unit);
    let mut entries = vec![(Sample::Line(Pen::new(Ink::Muted)), rings)];
    entries.extend(key::settings(&input.settings));
    if let Some((from, _)) = input.wind {
        let sample = Sample::Arrow(Pen::new(Ink::Wind));
        entries.push((sample, format!("wind from {from}")));
    }
    let key = Key::new(entries, [6.0, sheet.width() - 8.0]);
    let bottom = input.panels.len().div_ceil(columns) as f64 * PANEL;
    key.draw(sheet, bottom);
    bottom + key.height() + 8.0
}

fn draw_panel(
    sheet: &mut Sheet,
    input: &SpeedAgainstHeading,
    panel: &Panel,
    centre: Pt,
    dial: Dial,
) {
    let wind = Pen::new(Ink::Wind);
    if let Some((from, reach)) = input.wind.filter(|(_, reach)| *reach > 0.0) {
        let from = from.degrees();
        let mut sector = arc(centre, RADIUS, from - reach, from + reach);
        sector.push(centre);
        sheet.fill(&sector, wind.opacity(WIND_SHADE));
    }
    draw_scale(sheet, centre, dial);
    if let Some((from, _)) = input.wind {
        // It blows in from the rim.
        let [tail, tip] =
            [0.0, WIND_ARROW].map(|inward| centre.at_bearing(from.degrees(), RADIUS - inward));
        marks::arrow(sheet, tail, tip, wind);
    }
    let pen = Pen::new(Ink::Configuration(panel.configuration));
    for (setting, mean) in &panel.means {
        let circle = arc(centre, dial.radius(*mean), 0.0, 360.0);
        sheet.path(&circle, pen.wide(1.3).dashed(Dash::of(*setting)));
    }
    for curve in &panel.curves {
        let points: Vec<Pt> = (curve.points())
            .map(|(course, speed)| centre.at_bearing(course, dial.radius(speed)))
            .collect();
        sheet.path(&points, pen.wide(0.9).dashed(Dash::of(curve.setting)));
    }
    // Over the circles, so that their halo keeps them readable.
    let letters = Letters::new(NOTE, Align::Middle).muted().halo();
    for tick in dial.rings() {
        let at = centre.at_bearing(dial.labels, dial.radius(tick.at));
        sheet.text(&tick.label, at.by(0.0, NOTE * 0.35), letters);
    }
    draw_legs(sheet, panel, centre, dial);
}

fn draw_scale(sheet: &mut Sheet, centre: Pt, dial: Dial) {
    for way in [0.0, 45.0, 90.0, 135.0] {
        let [from, to] = [way, way + 180.0].map(|way| centre.at_bearing(way, RADIUS));
        sheet.line(from, to, Pen::new(Ink::Grid));
    }
    sheet.ring(centre, RADIUS, Pen::new(Ink::Muted));
    for tick in dial.rings() {
        sheet.ring(centre, dial.radius(tick.at), Pen::new(Ink::Grid));
    }
    for (letter, way) in [("N", 0.0), ("E", 90.0), ("S", 180.0), ("W", 270.0)] {
        let at = centre.at_bearing(way, RADIUS + 13.0).by(0.0, TICK * 0.35);
        sheet.text(letter, at, Letters::new(TICK, Align::Middle).muted());
    }
}

/// Legs of one setting on one course side by side about it, in order of time.
fn draw_legs(sheet: &mut Sheet, panel: &Panel, centre: Pt, dial: Dial) {
    for course in courses(panel) {
        let n = course.legs.len() as f64;
        let out = course
            .legs
            .iter()
            .map(|leg| dial.radius(leg.speed))
            .sum::<f64>()
            / n;
        let gap = (APART / out.max(APART)).to_degrees();
        let gap = gap.min(2.0 * FARTHEST_DEG / (n - 1.0).max(1.0));
        for (k, leg) in course.legs.iter().enumerate() {
            let way = course.mean.degrees() + gap * (k as f64 - (n - 1.0) / 2.0);
            let place = |speed: f64| centre.at_bearing(way, dial.radius(speed));
            let pen = leg.pen(panel);
            sheet.leg(leg.number, &leg.title, |sheet| {
                if let Some([low, high]) = leg.interval {
                    sheet.line(place(low), place(high), pen.wide(1.6));
                }
                marks::mark(sheet, leg.setting, place(leg.speed), MARK, pen);
            });
        }
    }
}

/// Part of a circle, from one bearing to another.
fn arc(centre: Pt, radius: f64, from: f64, to: f64) -> Vec<Pt> {
    let steps = ((to - from) / STEP).ceil().max(1.0);
    (0..=steps as usize)
        .map(|k| centre.at_bearing(from + (to - from) * k as f64 / steps, radius))
        .collect()
}

fn caption(input: &SpeedAgainstHeading) -> String {
    let mut words = "North up; the farther out a mark, the faster the leg, on the course it \
        points to from the centre; legs of one setting on one course lie side by side about it \
        in order of time. Circles are the means of the double runs: legs outside their circle \
        were helped by wind or current, those inside it hindered."
        .to_owned();
    if input.panels.len() > 1 {
        words.push_str(" The scale is the same for every configuration and begins at zero.");
    } else {
        words.push_str(" The scale begins at zero.");
    }
    if input.wind.is_some() {
        words.push_str(" The wind blows in along the arrow, within the shaded sector.");
    }
    if input.panels.iter().any(|panel| !panel.curves.is_empty()) {
        words.push(' ');
        words.push_str(CURVED);
    }
    words
}

fn alt(input: &SpeedAgainstHeading) -> String {
    let mut sentences = vec![
        "The legs of the chart before, drawn round a compass; the table of legs has their numbers."
            .to_owned(),
    ];
    for panel in &input.panels {
        let speeds = || panel.legs.iter().map(|leg| leg.speed);
        let ends = [
            speeds().fold(f64::INFINITY, f64::min),
            speeds().fold(0.0, f64::max),
        ];
        let [low, high] = ends.map(|speed| text::with_unit(speed, 2, input.unit));
        let legs = text::count(panel.legs.len(), "leg");
        sentences.push(format!(
            "{}: {legs}, {low} to {high}.",
            text::clean(&panel.name)
        ));
    }
    sentences.join(" ")
}
