//! Speed against heading: a panel for each configuration, all on the same axes, with the wind.

use super::chart::{Chart, ChartKind};
use super::key::{Key, Sample};
use super::lines::clipped_path;
use super::sheet::{Align, Area, Letters, Pen, Pt, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, TEXT, TICK, Width};
use super::{axis, marks, text};
use crate::units::Bearing;

/// Left edge of words in a panel, from its own.
const LEFT: f64 = 6.0;
/// From the top of a panel to its axes: the name, the title and the wind lie above them.
const ABOVE: f64 = 62.0;
/// Height of the axes.
const PLOT_HEIGHT: f64 = 228.0;
/// From the left and right edge of a panel to the axes.
const BESIDE: [f64; 2] = [40.0, 26.0];
/// Room for ticks and title below the axes.
const FOOT: f64 = 62.0;
/// Space below a row of panels.
const BELOW: f64 = 12.0;
/// The least the axis of speeds spans, in the unit shown.
const LEAST_SPEEDS: f64 = 0.2;
/// Radius of a leg's mark, and how far apart those of one course lie.
const RADIUS: f64 = 3.6;
const APART: f64 = 8.5;
/// Legs of one setting lie on one course where they keep to it so well, degrees: about half the way
/// between two of the points below the axis.
const ONE_COURSE_DEG: f64 = 20.0;
/// Marks moved no further than this from their course need no bracket, degrees: what a boat steered
/// by hand keeps to (common practice, no source).
const UNMARKED_DEG: f64 = 4.0;
/// Opacity of what was left out of the comparison, and of the shade over the wind's interval.
pub(super) const PALE: f64 = 0.45;
pub(super) const WIND_SHADE: f64 = 0.14;
/// Steps in which a curve is drawn, degrees.
const CURVE_STEP: usize = 3;

/// What the chart shows.
#[derive(Debug, Clone, Default)]
pub struct SpeedAgainstHeading {
    /// The unit of the speeds.
    pub unit: &'static str,
    /// Names of the settings, slowest first.
    pub settings: Vec<String>,
    /// Where the wind comes from, and half its 95 % interval, degrees.
    pub wind: Option<(Bearing, f64)>,
    /// The configurations, in the order they were run.
    pub panels: Vec<Panel>,
}

/// One configuration.
#[derive(Debug, Clone)]
pub struct Panel {
    /// Its place in order.
    pub configuration: usize,
    /// Its name.
    pub name: String,
    /// Its legs, in order of time.
    pub legs: Vec<HeadingLeg>,
    /// The mean of the double runs at a setting, by its place in order.
    pub means: Vec<(usize, f64)>,
    /// Fitted through the legs at a setting.
    pub curves: Vec<Curve>,
}

/// A leg by its course.
#[derive(Debug, Clone)]
pub struct HeadingLeg {
    /// Its number.
    pub number: usize,
    /// What to say of it.
    pub title: String,
    /// Place of its setting in order.
    pub setting: usize,
    /// Its course over the ground.
    pub course: Bearing,
    /// Its speed over the ground.
    pub speed: f64,
    /// 95 % interval of the speed.
    pub interval: Option<[f64; 2]>,
    /// Whether it counts in the comparison.
    pub included: bool,
}

/// A harmonic: fastest where wind or current carried the boat.
#[derive(Debug, Clone)]
pub struct Curve {
    /// Place of its setting in order.
    pub setting: usize,
    /// Its mean.
    pub mean: f64,
    /// How much it is faster with the drift.
    pub drift: f64,
    /// Where the drift leads.
    pub toward: Bearing,
}

impl Curve {
    /// Courses all round, degrees, with the fitted speed on each.
    pub(super) fn points(&self) -> impl Iterator<Item = (f64, f64)> {
        (0..=360).step_by(CURVE_STEP).map(|course| {
            let course = f64::from(course);
            let off = (course - self.toward.degrees()).to_radians();
            (course, self.mean + self.drift * off.cos())
        })
    }
}

impl HeadingLeg {
    pub(super) fn pen(&self, panel: &Panel) -> Pen {
        let pen = Pen::new(Ink::Configuration(panel.configuration));
        if self.included {
            pen
        } else {
            pen.opacity(PALE)
        }
    }
}

impl SpeedAgainstHeading {
    pub(super) fn legs(&self) -> impl Iterator<Item = &HeadingLeg> {
        self.panels.iter().flat_map(|panel| &panel.legs)
    }

    /// All speeds shown.
    pub(super) fn speeds(&self) -> impl Iterator<Item = f64> {
        let legs = self.legs().flat_map(|leg| {
            let ends = leg.interval.into_iter().flatten();
            ends.chain([leg.speed])
        });
        let means = self.panels.iter().flat_map(|panel| &panel.means);
        legs.chain(means.map(|(_, mean)| *mean))
    }
}

/// The panels in rows: how many side by side, and how wide each is.
pub(super) fn abreast(layout: Width, panels: usize) -> (usize, f64) {
    let columns = layout.pick(2, 1).min(panels.max(1));
    (columns, layout.units() / columns as f64)
}

/// The chart; none where no leg was measured.
pub fn chart(input: &SpeedAgainstHeading) -> Option<Chart> {
    input.legs().next()?;
    let words = [
        "Speed against heading".to_owned(),
        caption(input),
        alt(input),
    ];
    Some(Chart::new(ChartKind::SpeedAgainstHeading, words, |sheet| {
        draw(sheet, input)
    }))
}

/// Draws it and returns its height.
fn draw(sheet: &mut Sheet, input: &SpeedAgainstHeading) -> f64 {
    let range = axis::padded(input.speeds(), 0.08, LEAST_SPEEDS);
    let (columns, width) = abreast(sheet.layout(), input.panels.len());
    let mut top = 0.0;
    for row in input.panels.chunks(columns) {
        let mut lowest = top;
        for (column, panel) in row.iter().enumerate() {
            let left = column as f64 * width;
            let bottom = draw_panel(sheet, input, panel, [left, left + width], top, range);
            lowest = bottom.max(lowest);
        }
        top = lowest + BELOW;
    }
    top
}

/// Draws one configuration and returns how far down it reaches.
fn draw_panel(
    sheet: &mut Sheet,
    input: &SpeedAgainstHeading,
    panel: &Panel,
    [left, right]: [f64; 2],
    top: f64,
    range: [f64; 2],
) -> f64 {
    let area = Area::new(
        left + BESIDE[0],
        top + ABOVE,
        right - BESIDE[1],
        top + ABOVE + PLOT_HEIGHT,
    );
    let scale = Scale {
        area,
        across: [0.0, 360.0],
        up: range,
    };
    let name = text::fitted(&panel.name, TEXT * 1.1, right - left - 2.0 * LEFT);
    let at = Pt::new(left + LEFT, top + axis::TITLE);
    sheet.text(&name, at, Letters::new(TEXT, Align::Start).bold());
    let title = format!("speed over the ground ({})", input.unit);
    let letters = Letters::new(TICK, Align::Start).muted();
    sheet.text(&title, at.by(0.0, TICK + 5.0), letters);
    draw_axes(sheet, &scale);
    draw_wind(sheet, input, &scale);
    let pen = Pen::new(Ink::Configuration(panel.configuration));
    draw_means(sheet, panel, &scale, pen.wide(1.3));
    for curve in &panel.curves {
        let points: Vec<Pt> = (curve.points())
            .map(|(course, speed)| scale.at(course, speed))
            .collect();
        for part in clipped_path(&points, area) {
            sheet.path(&part, pen.wide(0.9).dashed(Dash::of(curve.setting)));
        }
    }
    draw_legs(sheet, panel, &scale);
    let entries = panel.means.iter().map(|(setting, mean)| {
        let name = input.settings.get(*setting).map_or("", String::as_str);
        let sample = Sample::MarkedLine(*setting, pen.wide(1.3).dashed(Dash::of(*setting)));
        let mean = text::with_unit(*mean, 2, input.unit);
        (
            sample,
            format!("setting {}, mean {mean}", text::clean(name)),
        )
    });
    let key = Key::new(entries.collect(), [left + LEFT, right - LEFT]);
    key.draw(sheet, area.bottom + FOOT);
    area.bottom + FOOT + key.height()
}

fn draw_axes(sheet: &mut Sheet, scale: &Scale) {
    const POINTS: [&str; 9] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW", "N"];
    let [low, high] = scale.up;
    axis::draw_levels(sheet, scale, &axis::ticks(low, high, 8, false));
    let ticks: Vec<axis::Tick> = (POINTS.iter().enumerate())
        .map(|(k, point)| axis::Tick {
            at: k as f64 * 45.0,
            label: (*point).to_owned(),
        })
        .collect();
    axis::draw_foot(sheet, scale, &ticks);
    let degrees = Letters::new(NOTE, Align::Middle).muted();
    for quarter in [0.0, 90.0, 180.0, 270.0, 360.0] {
        let below = scale.area.bottom + axis::FOOT + NOTE - 1.0;
        let at = Pt::new(scale.x(quarter), below);
        sheet.text(&format!("{quarter:.0}°"), at, degrees);
    }
    let below = axis::FOOT + NOTE + 6.0;
    axis::draw_foot_title(
        sheet,
        scale.area,
        below,
        "course over the ground, degrees true",
    );
}

fn draw_wind(sheet: &mut Sheet, input: &SpeedAgainstHeading, scale: &Scale) {
    let Some((from, reach)) = input.wind else {
        return;
    };
    let (pen, area) = (Pen::new(Ink::Wind), scale.area);
    // The band goes round the circle: its three copies, cut at the edges.
    for turn in [-360.0, 0.0, 360.0] {
        let low = (from.degrees() - reach + turn).max(0.0);
        let high = (from.degrees() + reach + turn).min(360.0);
        if low < high {
            let band = Area::new(scale.x(low), area.top, scale.x(high), area.bottom);
            sheet.rect(band, pen.opacity(WIND_SHADE));
        }
    }
    let top = Pt::new(scale.x(from.degrees()), area.top);
    let bottom = Pt::new(top.x, area.bottom);
    sheet.line(top, bottom, pen.wide(1.2).dashed(Dash::Sparse));
    marks::arrow_head(sheet, top.by(0.0, -9.0), top.by(0.0, 3.0), 10.0, pen);
    let words = format!("wind from {from}");
    let half = text::width(&words, NOTE) / 2.0;
    let middle = top.x.clamp(area.left + half, area.right - half);
    let at = Pt::new(middle, area.top - 11.0);
    sheet.text(&words, at, Letters::new(NOTE, Align::Middle));
}

/// A level line at the mean of each setting's double runs, marked at the right.
fn draw_means(sheet: &mut Sheet, panel: &Panel, scale: &Scale, pen: Pen) {
    let area = scale.area;
    for (setting, mean) in &panel.means {
        let to = Pt::new(area.right, scale.y(*mean));
        let from = Pt::new(area.left, to.y);
        sheet.line(from, to, pen.dashed(Dash::of(*setting)));
        marks::mark(sheet, *setting, to.by(10.0, 0.0), RADIUS, Pen::new(pen.ink));
    }
}

fn draw_legs(sheet: &mut Sheet, panel: &Panel, scale: &Scale) {
    let area = scale.area;
    let degrees = area.width() / 360.0;
    for course in courses(panel) {
        let gaps = course.legs.len() as f64 - 1.0;
        let gap = APART.min(2.0 * ONE_COURSE_DEG * degrees / gaps.max(1.0));
        let half = gap * gaps / 2.0;
        let wanted = scale.x(course.mean.degrees());
        let middle = wanted.clamp(area.left + half, area.right - half);
        let mut lowest = area.top;
        for (k, leg) in course.legs.iter().enumerate() {
            let x = middle - half + gap * k as f64;
            let (at, pen) = (Pt::new(x, scale.y(leg.speed)), leg.pen(panel));
            let bar = leg
                .interval
                .map(|ends| ends.map(|v| Pt::new(x, scale.y(v))));
            let foot = bar.map_or(at.y, |[low, _]| low.y.max(at.y));
            lowest = lowest.max(foot + RADIUS);
            sheet.leg(leg.number, &leg.title, |sheet| {
                if let Some([low, high]) = bar {
                    marks::upright_bar(sheet, high, low, pen.wide(1.2));
                }
                marks::mark(sheet, leg.setting, at, RADIUS, pen);
            });
        }
        if half > UNMARKED_DEG * degrees {
            // A bracket, whose tick points to the course that all of them were run on.
            let pen = Pen::new(Ink::Muted).wide(0.8);
            let y = (lowest + 5.0).min(area.bottom - 9.0);
            let [from, to] = [middle - half, middle + half].map(|x| Pt::new(x, y));
            sheet.path(&[from.by(0.0, -3.0), from, to, to.by(0.0, -3.0)], pen);
            let tick = Pt::new(wanted, y);
            sheet.line(tick, tick.by(0.0, 7.0), pen);
        }
    }
}

/// Legs of one setting on one course, in order of time.
pub(super) struct Course<'a> {
    pub(super) legs: Vec<&'a HeadingLeg>,
    pub(super) mean: Bearing,
}

/// The legs of a configuration by the courses they were run on.
pub(super) fn courses(panel: &Panel) -> Vec<Course<'_>> {
    let mut groups: Vec<Vec<&HeadingLeg>> = Vec::new();
    for leg in &panel.legs {
        let same = |other: &&HeadingLeg| {
            other.setting == leg.setting && other.course.apart(leg.course) < ONE_COURSE_DEG
        };
        match groups
            .iter_mut()
            .find(|group| group.first().is_some_and(same))
        {
            Some(group) => group.push(leg),
            None => groups.push(vec![leg]),
        }
    }
    let mean = |legs: &[&HeadingLeg]| {
        let units = legs.iter().map(|leg| leg.course.unit());
        let (east, north) = units.fold((0.0, 0.0), |(e, n), (de, dn)| (e + de, n + dn));
        Bearing::of_vector(east, north)
    };
    (groups.into_iter())
        .filter_map(|legs| {
            Some(Course {
                mean: mean(&legs)?,
                legs,
            })
        })
        .collect()
}

fn caption(input: &SpeedAgainstHeading) -> String {
    let mut sentences = vec![
        "Each mark is a leg with its 95\u{a0}% interval. Legs of one setting on one course lie \
            side by side in order of time; where that takes them off it, the tick of a bracket \
            points to it. Level lines are the means of the double runs, in which drift along the \
            line cancels."
            .to_owned(),
    ];
    if input.panels.len() > 1 {
        sentences.push("The axes are the same for every configuration.".to_owned());
    }
    if input.wind.is_some_and(|(_, reach)| reach > 0.0) {
        sentences.push("The shade is the 95\u{a0}% interval of the wind's direction.".to_owned());
    }
    if input.panels.iter().any(|panel| !panel.curves.is_empty()) {
        sentences.push(CURVED.to_owned());
    }
    if input.legs().any(|leg| !leg.included) {
        sentences.push("Pale marks were left out of the comparison.".to_owned());
    }
    sentences.join(" ")
}

/// What the captions say where there is a curve.
pub(super) const CURVED: &str =
    "The curve through the legs is fastest where wind or current carried the boat.";

fn alt(input: &SpeedAgainstHeading) -> String {
    let mut sentences = Vec::new();
    let setting = |place: usize| input.settings.get(place).map(|name| text::clean(name));
    let at = |place: usize| setting(place).map_or_else(String::new, |name| format!(" at {name}"));
    let speed = |value: f64| text::with_unit(value, 2, input.unit);
    for panel in &input.panels {
        let legs = text::count(panel.legs.len(), "leg");
        sentences.push(format!("{}: {legs}.", text::clean(&panel.name)));
        for leg in &panel.legs {
            sentences.push(format!(
                "Leg {}{}: {} on {}.",
                leg.number,
                at(leg.setting),
                speed(leg.speed),
                leg.course
            ));
        }
        for (setting, mean) in &panel.means {
            let mean = speed(*mean);
            sentences.push(format!("Mean of the double runs{}: {mean}.", at(*setting)));
        }
    }
    if let Some((from, _)) = input.wind {
        sentences.push(format!("The wind blew from {from}."));
    }
    sentences.join(" ")
}
