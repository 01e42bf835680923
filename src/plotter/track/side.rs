//! What stands beside the map, or below it in a narrow chart: north and wind, the key, and where the
//! trial lies in the whole track.

use super::map::{Ground, Map};
use super::{approach_pen, leg_pen, line_pen, trail_pen};
use crate::plotter::clip;
use crate::plotter::day::{self, Day};
use crate::plotter::layout::NARROW;
use crate::plotter::marks;
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{Align, Drawn, Letters, Sheet};
use crate::plotter::style::{Dash, Ink, NOTE, TICK, WIDTH};
use crate::plotter::text;
use crate::units::Bearing;

/// Left and right edge of the compass; wide, and narrow.
const COMPASS_SIDES: [[f64; 2]; 2] = [[456.0, WIDTH - 6.0], [6.0, 140.0]];
/// Left and right edge of the key and the small map.
const KEY_SIDES: [[f64; 2]; 2] = [[456.0, WIDTH - 6.0], [160.0, NARROW - 6.0]];
/// Height of the compass with its words.
const COMPASS: f64 = 172.0;
/// Height of it where no idle drift is shown.
const COMPASS_WITHOUT_DRIFT: f64 = 140.0;
/// Height of a line of the key.
const LINE: f64 = 20.0;
/// Height from one line of an entry to the next.
const WRAPPED_LINE: f64 = 14.0;
/// Height of the small map with its words.
const OVERVIEW: f64 = 150.0;
/// How far below the map compass and key begin in a narrow chart: below the scale bar.
const BELOW_MAP: f64 = 34.0;
/// How far below the top of the compass the key beside it begins.
const BESIDE_COMPASS: f64 = 18.0;

/// The least the window on the small map measures, so that it is seen.
const LEAST_WINDOW: f64 = 10.0;

/// A line of the key.
struct Entry {
    pen: Pen,
    words: Vec<String>,
}

impl Entry {
    fn new(day: &Day, pen: Pen, words: &str) -> Self {
        let [left, right] = key_sides(day);
        Self {
            pen,
            words: text::wrapped(words, TICK, right - left - 32.0, 2),
        }
    }
}

fn key_sides(day: &Day) -> [f64; 2] {
    day.layout.pick(KEY_SIDES[0], KEY_SIDES[1])
}

/// The right edge of the map.
pub(crate) fn map_right(day: &Day) -> f64 {
    day.layout.pick(KEY_SIDES[0][0] - 20.0, NARROW - 6.0)
}

/// How tall compass, key and small map are together: one below the other, or the compass beside the rest.
pub(crate) fn height(day: &Day, ground: &Ground, overview: bool) -> f64 {
    let lines: usize = key(day, ground).iter().map(|e| e.words.len()).sum();
    let key = lines as f64 * LINE + if overview { OVERVIEW + 10.0 } else { 0.0 };
    day.layout
        .pick(compass_height(day) + key, compass_height(day).max(key))
}

fn compass_height(day: &Day) -> f64 {
    match day.idle_drift() {
        Some(_) => COMPASS,
        None => COMPASS_WITHOUT_DRIFT,
    }
}

/// Draws them; with the small map where the main one shows a part only.
pub(crate) fn draw(sheet: &Sheet, day: &Day, ground: &Ground, map: &Map, overview: bool) -> Drawn {
    let area = map.area();
    let top = day.layout.pick(area.top, area.bottom + BELOW_MAP);
    draw_compass(sheet, day, top)?;
    let [left, _] = key_sides(day);
    let first = day.layout.pick(compass_height(day), BESIDE_COMPASS);
    let mut y = top + first;
    for entry in key(day, ground) {
        sheet.line(Pt::new(left, y), Pt::new(left + 24.0, y), entry.pen)?;
        for line in &entry.words {
            let at = Pt::new(left + 32.0, y + TICK * 0.35);
            sheet.text(line, at, Letters::new(TICK, Align::Start))?;
            y += WRAPPED_LINE;
        }
        y += LINE - WRAPPED_LINE;
    }
    if overview {
        let bottom = day.layout.pick(area.bottom, 0.0).max(y + OVERVIEW);
        draw_overview(sheet, day, ground, map, bottom)?;
    }
    Ok(())
}

fn key(day: &Day, ground: &Ground) -> Vec<Entry> {
    let used = |place: usize| {
        ground.legs.iter().any(|leg| {
            let name = leg.leg.configuration.as_deref();
            name.is_some_and(|name| day.configuration(name) == place)
        })
    };
    let mut entries: Vec<Entry> = day
        .configurations
        .iter()
        .enumerate()
        .filter(|(place, _)| used(*place))
        .map(|(place, name)| Entry::new(day, leg_pen(Some(place)), name))
        .collect();
    let legs = &ground.legs;
    if legs.iter().any(|leg| leg.leg.configuration.is_none()) {
        entries.push(Entry::new(day, leg_pen(None), "other leg"));
    }
    if legs.iter().any(|leg| leg.steady != Some(leg.start)) {
        let first = (0..day.configurations.len()).find(|place| used(*place));
        entries.push(Entry::new(day, approach_pen(first), "approach"));
    }
    if !ground.lines.is_empty() {
        entries.push(Entry::new(day, line_pen(), "course line"));
    }
    if ground.runs.iter().any(|run| run.len() > 1) {
        entries.push(Entry::new(day, trail_pen(), "track"));
    }
    entries
}

/// Radius of the compass.
const RADIUS: f64 = 31.0;

fn draw_compass(sheet: &Sheet, day: &Day, top: f64) -> Drawn {
    let [left, right] = day.layout.pick(COMPASS_SIDES[0], COMPASS_SIDES[1]);
    let centre = Pt::new(f64::midpoint(left, right), top + 18.0 + RADIUS);
    sheet.ring(centre, RADIUS, Pen::new(Ink::Muted))?;
    for quarter in [90.0, 180.0, 270.0] {
        let (dx, dy) = way(quarter);
        sheet.line(
            centre.by(dx * RADIUS, dy * RADIUS),
            centre.by(dx * (RADIUS - 5.0), dy * (RADIUS - 5.0)),
            Pen::new(Ink::Muted),
        )?;
    }
    let north = centre.by(0.0, -RADIUS);
    let text_pen = Pen::new(Ink::Text);
    marks::arrow_head(sheet, centre, north.by(0.0, -3.0), 12.0, text_pen)?;
    sheet.text(
        "N",
        north.by(0.0, -6.0),
        Letters::new(TICK, Align::Middle).bold(),
    )?;
    let words = centre.by(0.0, RADIUS + 22.0);
    // A wind takes a line for its direction and one for its speed, if that is known.
    let known = wind_speed(day).is_some();
    let lines = if known { 2.0 * NOTE + 10.0 } else { NOTE + 6.0 };
    draw_drift(sheet, day, centre, words.by(0.0, lines))?;
    draw_wind(sheet, day, centre, words)
}

/// The idle drift leads away from the middle, its words below those of the wind.
fn draw_drift(sheet: &Sheet, day: &Day, centre: Pt, words: Pt) -> Drawn {
    let Some(drift) = day.idle_drift() else {
        return Ok(());
    };
    let (dx, dy) = way(drift.toward.degrees());
    let near_north = !(NEAR_NORTH..=360.0 - NEAR_NORTH).contains(&drift.toward.degrees());
    let reach = if near_north {
        RADIUS - 10.0
    } else {
        RADIUS + 9.0
    };
    let tip = centre.by(dx * reach, dy * reach);
    let pen = Pen::new(Ink::Text);
    let foot = centre.by(dx * 3.0, dy * 3.0);
    sheet.line(
        foot,
        tip.toward(foot, 0.2),
        pen.wide(1.6).dashed(Dash::Dotted),
    )?;
    marks::arrow_head(sheet, foot, tip, 9.0, pen)?;
    sheet.disc(centre, 2.6, pen)?;
    let middle = Letters::new(NOTE, Align::Middle);
    sheet.text(&format!("drift toward {}", drift.toward), words, middle)?;
    sheet.text(
        &day.speed_text(drift.speed_m_s),
        words.by(0.0, NOTE + 4.0),
        middle.muted(),
    )
}

/// The wind's speed where its direction is known too.
fn wind_speed(day: &Day) -> Option<f64> {
    let wind = &day.analysis.wind;
    wind.from_deg.and_then(Bearing::new)?;
    wind.speed_m_s.filter(|speed| day::drawable(*speed))
}

/// The wind arrives at the middle from outside.
fn draw_wind(sheet: &Sheet, day: &Day, centre: Pt, words: Pt) -> Drawn {
    let middle = Letters::new(NOTE, Align::Middle);
    let wind = &day.analysis.wind;
    let Some(from) = wind.from_deg.and_then(Bearing::new) else {
        return sheet.text("wind not known", words, middle.muted());
    };
    let (dx, dy) = way(from.degrees());
    let pen = Pen::new(Ink::Wind).wide(2.4);
    // A wind from the north would run through the letter there.
    let near_north = !(NEAR_NORTH..=360.0 - NEAR_NORTH).contains(&from.degrees());
    let tail = if near_north {
        RADIUS - 12.0
    } else {
        RADIUS + 9.0
    };
    let tip = 5.0;
    let (tail, tip) = (
        centre.by(dx * tail, dy * tail),
        centre.by(dx * tip, dy * tip),
    );
    sheet.line(tail, tip.toward(tail, 0.12), pen)?;
    marks::arrow_head(sheet, tail, tip, 12.0, pen)?;
    sheet.text(&format!("wind from {from}"), words, middle)?;
    match wind_speed(day) {
        Some(speed) => sheet.text(
            &format!("{:.0}\u{a0}{}", day.speed(speed), day.unit()),
            words.by(0.0, NOTE + 4.0),
            middle.muted(),
        ),
        None => Ok(()),
    }
}

/// A wind within so many degrees of north is drawn inside the compass.
const NEAR_NORTH: f64 = 25.0;

/// A direction in degrees true on the sheet: right and down.
fn way(degrees: f64) -> (f64, f64) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    (sin, -cos)
}

fn draw_overview(sheet: &Sheet, day: &Day, ground: &Ground, map: &Map, bottom: f64) -> Drawn {
    let [left, right] = key_sides(day);
    let area = Area::new(left, bottom - OVERVIEW + 22.0, right, bottom);
    sheet.text(
        "whole track",
        Pt::new(left, area.top - 7.0),
        Letters::new(NOTE, Align::Start).muted(),
    )?;
    let small = Map::new(sheet, day.layout, area, ground.whole().padded(0.04))?;
    for run in &ground.runs {
        let places = small.thinned(run);
        for part in clip::clipped_path(&places, area) {
            sheet.path(&part, trail_pen())?;
        }
    }
    sheet.frame_line(area, Pen::new(Ink::Grid))?;
    let shown = small.outline(map.extent());
    let middle = shown.middle();
    let half = |length: f64| length.max(LEAST_WINDOW) / 2.0;
    let (across, up) = (half(shown.width()), half(shown.height()));
    let window = Area::new(
        middle.x - across,
        middle.y - up,
        middle.x + across,
        middle.y + up,
    );
    sheet.frame_line(window, Pen::new(Ink::Text).wide(1.4))
}
