//! Speed against heading as round figures: north up, speed outward from the centre, a panel for each
//! configuration and all to one scale.

use super::curve;
use super::key::{KEY_LINE, draw_key_line, key};
use super::legs;
use crate::compare::Cell;
use crate::day::Leg;
use crate::plotter::axis;
use crate::plotter::day::{self, Day};
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{self, Align, Drawn, Letters, Sheet};
use crate::plotter::style::{Dash, Ink, NOTE, Shape, TEXT, TICK};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::{Chart, PlotError};
use crate::units::Bearing;

/// Radius of a panel's scale.
const RADIUS: f64 = 108.0;
/// Height of a panel with its name and the letters of the compass.
const PANEL_HEIGHT: f64 = 2.0 * RADIUS + 80.0;
/// From the top of a panel to its centre.
const CENTRE: f64 = RADIUS + 54.0;
/// How many panels stand side by side; wide, and narrow.
const ABREAST: [usize; 2] = [2, 1];
/// Radius of a leg's mark.
pub(super) const MARK: f64 = 3.4;
/// Room between the largest speed and the rim, a share of the speed.
const ROOM: f64 = 0.06;
/// Length of the arrow of the wind.
const WIND_ARROW: f64 = 30.0;
/// Rings are labelled on one of these bearings, between the letters, the one farthest from any leg.
const LABEL_WAYS: [f64; 8] = [67.5, 112.5, 22.5, 157.5, 202.5, 247.5, 292.5, 337.5];
/// Steps in which a curved edge is drawn, degrees.
const CURVE_STEP: f64 = 3.0;

/// One configuration.
struct Panel<'a> {
    place: usize,
    name: &'a str,
    legs: Vec<&'a Leg>,
    cells: Vec<&'a Cell>,
    centre: Pt,
}

/// From speeds to radii.
#[derive(Clone, Copy)]
struct Dial {
    /// The speed at the rim, in the unit shown.
    rim: f64,
    /// Bearing on which the rings are labelled.
    labels: f64,
}

impl Dial {
    /// How far from the centre a speed lies, m/s given.
    fn radius(self, day: &Day, m_s: f64) -> f64 {
        (day.speed(m_s) / self.rim * RADIUS).clamp(0.0, RADIUS)
    }
}

/// The chart; none where no leg of any configuration was measured.
pub(super) fn chart(day: &Day) -> Result<Option<Chart>, PlotError> {
    let panels = panels(day);
    if panels.is_empty() {
        return Ok(None);
    }
    let rows = panels.len().div_ceil(abreast(day)) as f64;
    let dial = dial(day, &panels);
    let key = key(day);
    let height = rows * PANEL_HEIGHT + key.len() as f64 * KEY_LINE + 8.0;
    let head = Head {
        name: "heading-round".to_owned(),
        title: "Speed against heading, round".to_owned(),
        alt: alt(day, &panels),
        legs: day.leg_titles(),
    };
    let svg = sheet::draw(&head, day.layout, height, |sheet| {
        for panel in &panels {
            draw_panel(sheet, day, dial, panel)?;
        }
        for (k, line) in key.iter().enumerate() {
            draw_key_line(sheet, line, rows * PANEL_HEIGHT + k as f64 * KEY_LINE)?;
        }
        Ok(())
    })?;
    Ok(Some(Chart {
        name: head.name,
        title: head.title,
        caption: caption(day, &panels),
        alt: head.alt,
        svg,
        narrow: String::new(),
    }))
}

fn abreast(day: &Day) -> usize {
    day.layout.pick(ABREAST[0], ABREAST[1])
}

/// Width of a panel.
fn panel_width(day: &Day) -> f64 {
    day.layout.width() / abreast(day) as f64
}

fn panels<'a>(day: &'a Day) -> Vec<Panel<'a>> {
    let mut panels: Vec<Panel> = Vec::new();
    for (place, name) in day.configurations.iter().enumerate() {
        let legs = legs(day, name);
        if legs.is_empty() {
            continue;
        }
        let (row, column) = (panels.len() / abreast(day), panels.len() % abreast(day));
        panels.push(Panel {
            place,
            name,
            legs,
            cells: day.cells().filter(|c| c.configuration == *name).collect(),
            centre: Pt::new(
                (column as f64 + 0.5) * panel_width(day),
                row as f64 * PANEL_HEIGHT + CENTRE,
            ),
        });
    }
    // A single one stands in the middle.
    if let [only] = panels.as_mut_slice() {
        only.centre.x = day.layout.width() / 2.0;
    }
    panels
}

fn dial(day: &Day, panels: &[Panel]) -> Dial {
    let legs = || panels.iter().flat_map(|panel| &panel.legs);
    let ends = legs().filter_map(|leg| day::leg_interval(leg).map(|[_, high]| high));
    let speeds = legs().filter_map(|leg| day::leg_speed(leg)).chain(ends);
    let means = panels.iter().flat_map(|p| &p.cells).map(|c| c.mean_m_s);
    let most = speeds.chain(means).fold(0.1_f64, f64::max);
    let courses: Vec<Bearing> = legs()
        .filter_map(|leg| Bearing::new(leg.course_deg))
        .collect();
    let free = |way: f64| {
        Bearing::new(way).map_or(0.0, |way| {
            courses
                .iter()
                .map(|course| course.apart(way))
                .fold(180.0, f64::min)
        })
    };
    let labels = LABEL_WAYS.into_iter().fold(LABEL_WAYS[0], |best, way| {
        if free(way) > free(best) + 1.0 {
            way
        } else {
            best
        }
    });
    Dial {
        rim: day.speed(most) * (1.0 + ROOM),
        labels,
    }
}

/// The place at a bearing and a distance from a centre.
fn at(centre: Pt, bearing_deg: f64, radius: f64) -> Pt {
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    centre.by(sin * radius, -cos * radius)
}

fn draw_panel(sheet: &Sheet, day: &Day, dial: Dial, panel: &Panel) -> Drawn {
    draw_wind_sector(sheet, day, panel.centre)?;
    draw_scale(sheet, day, dial, panel)?;
    draw_wind_arrow(sheet, day, panel.centre)?;
    let pen = Pen::new(Ink::Configuration(panel.place));
    for cell in &panel.cells {
        let dash = Dash::of(day.setting(&cell.setting));
        let radius = dial.radius(day, cell.mean_m_s);
        // A polyline, since a dash does not survive on a circle of the drawing library.
        sheet.path(
            &arc(panel.centre, radius, 0.0, 360.0),
            pen.wide(1.3).dashed(dash),
        )?;
    }
    for fit in curve::fits(day, panel.name) {
        let dash = Dash::of(day.setting(&fit.setting));
        let points: Vec<Pt> = curve::points(fit)
            .map(|(course, m_s)| at(panel.centre, course, dial.radius(day, m_s)))
            .collect();
        sheet.path(&points, pen.wide(0.9).dashed(dash))?;
    }
    // Over the circles, so that their halo keeps them readable.
    for tick in rings(dial) {
        let radius = tick.at / dial.rim * RADIUS;
        let words = at(panel.centre, dial.labels, radius).by(0.0, NOTE * 0.35);
        let letters = Letters::new(NOTE, Align::Middle).muted().halo();
        sheet.text(&tick.label, words, letters)?;
    }
    for (leg, turned) in panel.legs.iter().zip(turned(day, dial, panel)) {
        draw_leg(sheet, day, dial, panel, leg, turned)?;
    }
    Ok(())
}

/// Marks stand at least so far apart round the compass, units of the chart, where there is room.
const APART: f64 = 6.6;
/// No mark is turned further from its course than this, degrees: half the way between two of the spokes,
/// so that no leg comes near another.
const FARTHEST_DEG: f64 = 20.0;

/// By how much each leg is turned from its course, degrees, so that legs of one cell on one course stand
/// side by side in order of time.
fn turned(day: &Day, dial: Dial, panel: &Panel) -> Vec<f64> {
    let radius = |leg: &Leg| day::leg_speed(leg).map_or(0.0, |v| dial.radius(day, v));
    let course = |leg: &Leg| Bearing::new(leg.course_deg);
    let same = |a: &Leg, b: &Leg| {
        let near = course(a)
            .zip(course(b))
            .is_some_and(|(a, b)| a.apart(b) < FARTHEST_DEG);
        a.setting == b.setting && near
    };
    (panel.legs.iter())
        .map(|leg| {
            let group: Vec<&&Leg> = panel.legs.iter().filter(|other| same(leg, other)).collect();
            let place = group.iter().position(|other| other.leg == leg.leg);
            let (Some(place), Some(own)) = (place, course(leg)) else {
                return 0.0;
            };
            let n = group.len() as f64;
            let out = group.iter().map(|l| radius(l)).sum::<f64>() / n;
            let gap = (APART / out.max(APART)).to_degrees();
            let gap = gap.min(2.0 * FARTHEST_DEG / (n - 1.0).max(1.0));
            // About the mean course of the group.
            let off = |l: &&&Leg| course(l).map_or(0.0, |c| own.turn_to(c).degrees());
            let mean = group.iter().map(off).sum::<f64>() / n;
            if n < 2.0 {
                0.0
            } else {
                mean + gap * (place as f64 - (n - 1.0) / 2.0)
            }
        })
        .collect()
}

/// The speeds at which rings are drawn.
fn rings(dial: Dial) -> Vec<axis::Tick> {
    let mut ticks = axis::ticks(0.0, dial.rim, 4.0, false);
    ticks.retain(|tick| tick.at > 0.0);
    ticks
}

fn draw_leg(sheet: &Sheet, day: &Day, dial: Dial, panel: &Panel, leg: &Leg, turned: f64) -> Drawn {
    let (Some(course), Some(speed)) = (Bearing::new(leg.course_deg), day::leg_speed(leg)) else {
        return Ok(());
    };
    let pen = Pen::new(Ink::Configuration(panel.place))
        .leg(leg.leg)
        .opacity(if leg.included { 1.0 } else { 0.45 });
    let course = course.degrees() + turned;
    let place = |m_s: f64| at(panel.centre, course, dial.radius(day, m_s));
    if let Some([low, high]) = day::leg_interval(leg) {
        sheet.line(place(low), place(high), pen.wide(1.6))?;
    }
    let setting = leg.setting.as_deref().map_or(0, |name| day.setting(name));
    marks::mark(
        sheet,
        Shape::of(setting),
        Filling::of(setting),
        place(speed),
        MARK,
        pen,
    )
}

fn draw_scale(sheet: &Sheet, day: &Day, dial: Dial, panel: &Panel) -> Drawn {
    let centre = panel.centre;
    for way in [0.0, 45.0, 90.0, 135.0] {
        let ends = [at(centre, way, RADIUS), at(centre, way + 180.0, RADIUS)];
        sheet.path(&ends, Pen::new(Ink::Grid))?;
    }
    sheet.ring(centre, RADIUS, Pen::new(Ink::Muted))?;
    for tick in rings(dial) {
        let radius = tick.at / dial.rim * RADIUS;
        sheet.ring(centre, radius, Pen::new(Ink::Grid))?;
    }
    for (letter, way) in [("N", 0.0), ("E", 90.0), ("S", 180.0), ("W", 270.0)] {
        let place = at(centre, way, RADIUS + 13.0).by(0.0, TICK * 0.35);
        sheet.text(letter, place, Letters::new(TICK, Align::Middle).muted())?;
    }
    let width = panel_width(day);
    let name = text::fitted(panel.name, TEXT * 1.1, width - 16.0);
    let left = centre.x - width / 2.0 + 6.0;
    let top = centre.y - CENTRE + TEXT + 4.0;
    sheet.text(
        &name,
        Pt::new(left, top),
        Letters::new(TEXT, Align::Start).bold(),
    )
}

/// The sector from which the wind blows: the 95 % interval of its direction.
fn draw_wind_sector(sheet: &Sheet, day: &Day, centre: Pt) -> Drawn {
    let wind = &day.analysis.wind;
    let Some(from) = wind.from_deg.and_then(Bearing::new) else {
        return Ok(());
    };
    let pen = Pen::new(Ink::Wind);
    let from = from.degrees();
    let reach = wind
        .from_se_deg
        .filter(|se| day::drawable(*se))
        .map_or(0.0, |se| (day::NORMAL_95 * se).clamp(0.0, 180.0));
    if reach > 0.0 {
        let mut sector = arc(centre, RADIUS, from - reach, from + reach);
        sector.push(centre);
        sheet.fill(&sector, pen.opacity(0.14))?;
    }
    Ok(())
}

/// The wind blows in from the rim.
fn draw_wind_arrow(sheet: &Sheet, day: &Day, centre: Pt) -> Drawn {
    let Some(from) = day.analysis.wind.from_deg.and_then(Bearing::new) else {
        return Ok(());
    };
    let [tail, tip] = [0.0, WIND_ARROW].map(|inward| at(centre, from.degrees(), RADIUS - inward));
    marks::arrow(sheet, tail, tip, Pen::new(Ink::Wind))
}

/// Part of a circle, from one bearing to another.
fn arc(centre: Pt, radius: f64, from: f64, to: f64) -> Vec<Pt> {
    let steps = ((to - from) / CURVE_STEP).ceil().max(1.0);
    (0..=steps as usize)
        .map(|k| at(centre, from + (to - from) * k as f64 / steps, radius))
        .collect()
}

fn caption(day: &Day, panels: &[Panel]) -> String {
    let mut words = "North up; the farther out a mark, the faster the leg, on the course it points to from the centre; legs of one setting on one course stand side by side about it in order of time. Circles are the means of the double runs: legs outside their circle were helped by wind or current, those inside it hindered.".to_owned();
    if panels.len() > 1 {
        words.push_str(" The scale is the same for every configuration and begins at zero.");
    } else {
        words.push_str(" The scale begins at zero.");
    }
    if day.analysis.wind.from_deg.is_some_and(f64::is_finite) {
        words.push_str(" The wind blows in along the arrow, within the shaded sector.");
    }
    words
}

fn alt(day: &Day, panels: &[Panel]) -> String {
    let mut sentences = vec![
        "The legs of the charts before, drawn round a compass; their numbers stand in the table of legs.".to_owned(),
    ];
    for panel in panels {
        let speeds: Vec<f64> = panel
            .legs
            .iter()
            .filter_map(|leg| day::leg_speed(leg))
            .collect();
        let low = speeds.iter().copied().fold(f64::INFINITY, f64::min);
        let high = speeds.iter().copied().fold(0.0, f64::max);
        sentences.push(format!(
            "{}: {}, {} to {}.",
            text::clean(panel.name),
            text::count(panel.legs.len(), "leg"),
            day.speed_text(low),
            day.speed_text(high)
        ));
    }
    sentences.join(" ")
}
