//! The track from above: north up, equal scale both ways, with wind and key.
//!
//! The legs of a course line all lie in a strip a few metres wide and would hide each other, so
//! they are drawn side by side in lanes, in order of time; the track as recorded lies under them.

use super::chart::{Chart, ChartKind};
use super::key::{Key, Sample};
use super::labels::Labels;
use super::lines::{clipped, clipped_path, thinned};
use super::sheet::{Align, Area, Letters, Pen, Pt, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, TICK, Width};
use super::{axis, marks, text};
use crate::geometry::PlanePoint;
use crate::units::{Bearing, SpeedUnit};

/// Left and upper edge of the map.
const EDGE: f64 = 6.0;
/// Least and greatest height of the map.
const HEIGHTS: fn(Width) -> [f64; 2] = |width| width.pick([250.0, 560.0], [190.0, 430.0]);
/// Room for the scale bar below.
const FOOT: f64 = 38.0;
/// Ground shown round the trial, a share of its diagonal.
const AROUND: f64 = 0.09;
/// The whole track gets a small map of its own where it reaches this many times as far as the
/// trial.
const FAR_AFIELD: f64 = 1.8;
/// The least a map shows, metres: a boat that lay still all day still gets a map.
const LEAST_EXTENT_M: f64 = 60.0;
/// Lanes are so far apart, a share of the length of their line; all of them together take no more
/// than the other, so that a line is still seen to be one.
const LANE: f64 = 0.026;
const ALL_LANES: f64 = 0.6;
/// Width of a leg's line; of a narrow lane it takes the second, and never less of its width than
/// the third.
const LEG_WIDTH: f64 = 2.2;
const LANE_FILLED: f64 = 0.35;
const THINNEST: f64 = 0.4;
/// Between two parts so many lanes stay empty.
const BETWEEN_PARTS: f64 = 1.0;
/// How far beyond its ends or beside them the directions of a line are tried, units of the chart.
const NAME_AT: [f64; 5] = [14.0, 26.0, 40.0, 56.0, 74.0];
/// How far a leg's number lies behind its start or, along other legs, beside it.
const NUMBER_AT: [f64; 4] = [10.0, 21.0, 32.0, 43.0];
/// Height of the compass, without and with words for the drift; of the small map with its words.
const COMPASS: [f64; 2] = [140.0, 172.0];
const OVERVIEW: f64 = 150.0;
/// Radius of the compass.
const RADIUS: f64 = 31.0;
/// A wind or drift within so many degrees of north is drawn inside the compass, off the letter.
const NEAR_NORTH: f64 = 25.0;
/// How far a thinned line may lie from the track, units of the chart: half a pixel at 720, and on a
/// phone the width of its line.
const THINNING: fn(Width) -> f64 = |width| width.pick(0.4, 0.9);

/// What the chart shows.
#[derive(Debug, Clone)]
pub struct TrackMap {
    /// The track as recorded, in unbroken runs.
    pub trails: Vec<Vec<PlanePoint>>,
    /// The legs.
    pub legs: Vec<MapLeg>,
    /// The lines that legs of double runs share.
    pub lines: Vec<MapLine>,
    /// Names of the configurations, in the order they were run.
    pub configurations: Vec<String>,
    /// Where the wind comes from, and its speed in words.
    pub wind: Option<(Bearing, Option<String>)>,
    /// Where the boat drifted while it lay idle, and how fast in words.
    pub drift: Option<(Bearing, String)>,
    /// The unit of speed, by which distances are written.
    pub unit: SpeedUnit,
}

/// A leg on the plane.
#[derive(Debug, Clone)]
pub struct MapLeg {
    /// Its number.
    pub number: usize,
    /// What to say of it.
    pub title: String,
    /// Place of its configuration in order.
    pub configuration: Option<usize>,
    /// The line it ran on as part of a double run.
    pub line: Option<usize>,
    /// Whether it belongs to a double run.
    pub measured: bool,
    /// Where it starts.
    pub start: PlanePoint,
    /// Where its steady part begins.
    pub steady: Option<PlanePoint>,
    /// Where it ends.
    pub end: PlanePoint,
}

/// A course line on the plane.
#[derive(Debug, Clone)]
pub struct MapLine {
    /// Its number.
    pub number: usize,
    /// One of its directions.
    pub axis: Bearing,
    /// One end.
    pub from: PlanePoint,
    /// The other.
    pub to: PlanePoint,
    /// Its length, metres.
    pub length_m: f64,
    /// How many legs lie on it.
    pub legs: usize,
}

/// The chart; none where there is neither track nor leg.
pub fn chart(input: &TrackMap) -> Option<Chart> {
    if input.legs.is_empty() && input.trails.iter().all(|trail| trail.len() < 2) {
        return None;
    }
    let (legs, lanes) = side_by_side(input);
    let map = TrackMap {
        legs,
        ..input.clone()
    };
    let whole = Extent::of_all(&map);
    let trial = Extent::of_trial(&map);
    let overview = (whole.diagonal() > FAR_AFIELD * trial.diagonal()).then_some(whole);
    let shown = overview.map_or(whole, |_| trial).padded(AROUND);
    let words = [
        "The track and its legs".to_owned(),
        caption(&map, lanes, overview.is_some()),
        alt(&map),
    ];
    Some(Chart::new(ChartKind::TrackMap, words, |sheet| {
        draw(sheet, &map, shown, overview, lanes)
    }))
}

/// How far apart lanes are, and how far from their line the legs in them really were, metres.
#[derive(Debug, Clone, Copy)]
struct Lanes {
    apart_m: f64,
    astray_m: f64,
}

/// The legs with those of one line moved into lanes side by side, in order of time.
fn side_by_side(map: &TrackMap) -> (Vec<MapLeg>, Option<Lanes>) {
    let mut legs = map.legs.clone();
    let mut widest: Option<Lanes> = None;
    for line in &map.lines {
        let mut own: Vec<&mut MapLeg> = (legs.iter_mut())
            .filter(|leg| leg.line == Some(line.number))
            .collect();
        if own.len() < 2 {
            continue;
        }
        own.sort_by_key(|leg| leg.number);
        let places = lane_places(&own);
        let last = places.last().copied().unwrap_or(0.0);
        let apart_m = line.length_m * LANE.min(ALL_LANES / last.max(1.0));
        // To the right on paper, or down where the line lies across.
        let (along_east, along_north) = line.axis.unit();
        let side = if along_north < -0.7 { -1.0 } else { 1.0 };
        let (east, north) = (along_north * side, -along_east * side);
        let across =
            |p: PlanePoint| (p.east - line.from.east) * east + (p.north - line.from.north) * north;
        let mut astray_m = 0.0_f64;
        for (leg, place) in own.into_iter().zip(places) {
            let [start, end] = [leg.start, leg.end].map(across);
            astray_m = astray_m.max(start.abs()).max(end.abs());
            let by = apart_m * (place - last / 2.0) - f64::midpoint(start, end);
            let moved = |p: PlanePoint| PlanePoint {
                east: p.east + east * by,
                north: p.north + north * by,
            };
            leg.start = moved(leg.start);
            leg.steady = leg.steady.map(moved);
            leg.end = moved(leg.end);
        }
        widest = Some(Lanes {
            apart_m: widest.map_or(apart_m, |lanes| lanes.apart_m.max(apart_m)),
            astray_m: widest.map_or(astray_m, |lanes| lanes.astray_m.max(astray_m)),
        });
    }
    (legs, widest)
}

/// The lane of each leg, with room between two parts.
fn lane_places(legs: &[&mut MapLeg]) -> Vec<f64> {
    let mut place = 0.0;
    let mut before = None;
    let mut places = Vec::new();
    for leg in legs {
        if let Some(before) = before {
            place += 1.0;
            if before != leg.configuration {
                place += BETWEEN_PARTS;
            }
        }
        before = Some(leg.configuration);
        places.push(place);
    }
    places
}

/// A box on the plane, metres.
#[derive(Debug, Clone, Copy)]
struct Extent {
    east: [f64; 2],
    north: [f64; 2],
}

impl Extent {
    fn round(points: impl Iterator<Item = PlanePoint> + Clone) -> Self {
        Self {
            east: axis::padded(points.clone().map(|p| p.east), 0.0, LEAST_EXTENT_M),
            north: axis::padded(points.map(|p| p.north), 0.0, LEAST_EXTENT_M),
        }
    }

    fn of_all(map: &TrackMap) -> Self {
        let ends = map.legs.iter().flat_map(|leg| [leg.start, leg.end]);
        Self::round(map.trails.iter().flatten().copied().chain(ends))
    }

    /// Round the legs of double runs, else all legs, else everything.
    fn of_trial(map: &TrackMap) -> Self {
        if map.legs.is_empty() {
            return Self::of_all(map);
        }
        let any = map.legs.iter().any(|leg| leg.measured);
        let legs = map.legs.iter().filter(|leg| leg.measured || !any);
        Self::round(legs.flat_map(|leg| [leg.start, leg.end]))
    }

    fn diagonal(self) -> f64 {
        (self.east[1] - self.east[0]).hypot(self.north[1] - self.north[0])
    }

    /// With this share of the diagonal added on every side.
    fn padded(self, share: f64) -> Self {
        let pad = self.diagonal() * share;
        let grown = |[low, high]: [f64; 2]| [low - pad, high + pad];
        Self {
            east: grown(self.east),
            north: grown(self.north),
        }
    }

    /// Height for one of width.
    fn aspect(self) -> f64 {
        (self.north[1] - self.north[0]) / (self.east[1] - self.east[0])
    }

    /// A true-aspect scale that shows it in an area, with more ground where the area is the wrong
    /// shape.
    fn scale(self, area: Area) -> Scale {
        let across = self.east[1] - self.east[0];
        let up = self.north[1] - self.north[0];
        let per_unit = (across / area.width()).max(up / area.height());
        let grown = |[low, high]: [f64; 2], length: f64| {
            let middle = f64::midpoint(low, high);
            [middle - length / 2.0, middle + length / 2.0]
        };
        Scale {
            area,
            across: grown(self.east, per_unit * area.width()),
            up: grown(self.north, per_unit * area.height()),
        }
    }
}

fn at(scale: &Scale, point: PlanePoint) -> Pt {
    scale.at(point.east, point.north)
}

fn metres_per_unit(scale: &Scale) -> f64 {
    (scale.across[1] - scale.across[0]) / scale.area.width()
}

/// Draws it and returns its height.
fn draw(
    sheet: &mut Sheet,
    map: &TrackMap,
    shown: Extent,
    overview: Option<Extent>,
    lanes: Option<Lanes>,
) -> f64 {
    let width = sheet.layout();
    // Compass, key and small map lie in a column beside the map, or below it.
    let column = width.pick([456.0, 594.0], [160.0, 334.0]);
    let compass = COMPASS[usize::from(map.drift.is_some())];
    let key = Key::new(key(map), column);
    let small = overview.map_or(0.0, |_| OVERVIEW + 10.0);
    let beside = width.pick(
        compass + key.height() + small,
        compass.max(key.height() + small),
    );
    let right = width.pick(436.0, 334.0);
    let [least, most] = HEIGHTS(width);
    let wanted = ((right - EDGE) * shown.aspect()).clamp(least, most);
    let height = width.pick(wanted.max(beside), wanted).round();
    let area = Area::new(EDGE, EDGE, right, EDGE + height);
    let scale = shown.scale(area);
    // Legs are drawn thinner where lanes are narrow, so that none paints over its neighbours.
    let lane = lanes.map_or(f64::INFINITY, |lanes| {
        lanes.apart_m / metres_per_unit(&scale)
    });
    draw_map(
        sheet,
        map,
        &scale,
        (lane * LANE_FILLED / LEG_WIDTH).clamp(THINNEST, 1.0),
    );
    draw_scale_bar(sheet, map, &scale);

    let top = width.pick(area.top, area.bottom + FOOT - 4.0);
    let across = width.pick(column, [6.0, 140.0]);
    draw_compass(sheet, map, across, top);
    let key_top = top + width.pick(compass, 8.0);
    key.draw(sheet, key_top);
    if let Some(whole) = overview {
        let lowest = key_top + key.height() + OVERVIEW;
        let bottom = width.pick(area.bottom.max(lowest), lowest);
        let area = Area::new(column[0], bottom - OVERVIEW + 22.0, column[1], bottom);
        draw_overview(sheet, map, area, whole, &scale);
    }
    area.bottom + FOOT + width.pick(0.0, beside + 12.0)
}

fn trail_pen() -> Pen {
    Pen::new(Ink::Trail).wide(0.9)
}

fn leg_pen(configuration: Option<usize>) -> Pen {
    let pen = Pen::new(Ink::of(configuration));
    configuration.map_or(pen.wide(1.8), |place| {
        pen.wide(LEG_WIDTH).dashed(Dash::of(place))
    })
}

fn approach_pen(configuration: Option<usize>) -> Pen {
    Pen::new(Ink::of(configuration))
}

fn line_pen() -> Pen {
    Pen::new(Ink::Text).wide(0.9).dashed(Dash::Sparse)
}

fn draw_map(sheet: &mut Sheet, map: &TrackMap, scale: &Scale, thinner: f64) {
    draw_trails(sheet, map, scale);
    let area = scale.area;
    let mut labels = Labels::within(area);
    for line in &map.lines {
        if let Some([from, to]) = clipped(at(scale, line.from), at(scale, line.to), area) {
            sheet.line(from, to, line_pen());
        }
    }
    for leg in &map.legs {
        sheet.leg(leg.number, &leg.title, |sheet| {
            draw_leg(sheet, scale, leg, thinner);
        });
        labels.avoid(at(scale, leg.start), at(scale, leg.end));
    }
    sheet.path(&area.outline(), Pen::new(Ink::Grid));
    // Legs that were measured have the first choice of room.
    for measured in [true, false] {
        for leg in map.legs.iter().filter(|leg| leg.measured == measured) {
            draw_number(sheet, scale, leg, &mut labels);
        }
        if measured {
            for line in &map.lines {
                draw_directions(sheet, map, scale, line, &mut labels);
            }
        }
    }
}

fn draw_trails(sheet: &mut Sheet, map: &TrackMap, scale: &Scale) {
    for trail in &map.trails {
        let places: Vec<Pt> = trail.iter().map(|point| at(scale, *point)).collect();
        let thin = thinned(&places, THINNING(sheet.layout()));
        for part in clipped_path(&thin, scale.area) {
            sheet.path(&part, trail_pen());
        }
    }
}

fn draw_leg(sheet: &mut Sheet, scale: &Scale, leg: &MapLeg, thinner: f64) {
    let area = scale.area;
    let (start, end) = (at(scale, leg.start), at(scale, leg.end));
    let steady = leg.steady.map(|point| at(scale, point));
    if let Some([a, b]) = clipped(start, steady.unwrap_or(end), area) {
        sheet.line(a, b, approach_pen(leg.configuration).wide(thinner));
    }
    if let Some([a, b]) = steady.and_then(|steady| clipped(steady, end, area)) {
        let pen = leg_pen(leg.configuration);
        sheet.line(a, b, pen.wide(pen.width * thinner));
        if b == end {
            let pen = Pen::new(Ink::of(leg.configuration));
            marks::arrow_head(sheet, a, b, 8.0 * thinner.sqrt(), pen);
        }
    }
}

/// Writes a leg's number behind its start, or beside it where it lies by itself.
fn draw_number(sheet: &mut Sheet, scale: &Scale, leg: &MapLeg, labels: &mut Labels) {
    let (start, end) = (at(scale, leg.start), at(scale, leg.end));
    let length = start.distance(end);
    if length < 1.0 || clipped(start, end, scale.area).is_none() {
        return;
    }
    let words = leg.number.to_string();
    let size = Pt::new(text::width(&words, NOTE), NOTE);
    let (ux, uy) = ((end.x - start.x) / length, (end.y - start.y) / length);
    let behind = NUMBER_AT.map(|by| start.by(-ux * by, -uy * by));
    let beside = [0.5, 0.3, 0.7, 0.15, 0.85].map(|share| start.toward(end, share));
    let beside = beside.into_iter().flat_map(|foot| {
        NUMBER_AT.map(|by| [foot.by(-uy * by, ux * by), foot.by(uy * by, -ux * by)])
    });
    let letters = Letters::new(NOTE, Align::Middle).halo();
    let (place, letters) = if leg.measured && leg.line.is_some() {
        (labels.place(size, behind), letters.bold())
    } else {
        (labels.place(size, beside.flatten()), letters.muted())
    };
    if let Some(at) = place {
        sheet.leg(leg.number, &leg.title, |sheet| {
            sheet.text(&words, at.by(0.0, NOTE * 0.36), letters);
        });
    }
}

/// Writes the two directions of a course line at one of its ends.
fn draw_directions(
    sheet: &mut Sheet,
    map: &TrackMap,
    scale: &Scale,
    line: &MapLine,
    labels: &mut Labels,
) {
    // From the middle of the line as far as its legs reach either way.
    let (east, north) = line.axis.unit();
    let middle = at(scale, line.from).toward(at(scale, line.to), 0.5);
    let out = |p: Pt| (p.x - middle.x) * east - (p.y - middle.y) * north;
    let own = map.legs.iter().filter(|leg| leg.line == Some(line.number));
    let reach = own.flat_map(|leg| [leg.start, leg.end].map(|p| out(at(scale, p))));
    let [low, high] = axis::padded(reach, 0.0, 0.0);
    let ends = [high, low].map(|far| middle.by(east * far, -north * far));
    let words = format!("{} / {}", line.axis, line.axis.reciprocal());
    let size = Pt::new(text::width(&words, NOTE), NOTE + 2.0);
    let along = size.x / 2.0 * east.abs() + size.y / 2.0 * north.abs();
    let places = NAME_AT.into_iter().flat_map(|gap| {
        let by = along + gap;
        let [head, tail] = ends;
        [
            head.by(east * by, -north * by),
            tail.by(-east * by, north * by),
        ]
    });
    if let Some(place) = labels.place(size, places) {
        let letters = Letters::new(NOTE, Align::Middle).halo();
        sheet.text(&words, place.by(0.0, NOTE * 0.35), letters);
    }
}

fn key(map: &TrackMap) -> Vec<(Sample, String)> {
    let used = |place: usize| map.legs.iter().any(|leg| leg.configuration == Some(place));
    let mut entries: Vec<(Sample, String)> = (map.configurations.iter().enumerate())
        .filter(|(place, _)| used(*place))
        .map(|(place, name)| (Sample::Line(leg_pen(Some(place))), text::clean(name)))
        .collect();
    let mut add = |wanted: bool, pen: Pen, words: &str| {
        if wanted {
            entries.push((Sample::Line(pen), words.to_owned()));
        }
    };
    let approach = map.legs.iter().any(|leg| leg.steady != Some(leg.start));
    let first = (0..map.configurations.len()).find(|place| used(*place));
    let other = map.legs.iter().any(|leg| leg.configuration.is_none());
    add(other, leg_pen(None), "other leg");
    add(approach, approach_pen(first), "approach");
    add(!map.lines.is_empty(), line_pen(), "course line");
    let trails = map.trails.iter().any(|trail| trail.len() > 1);
    add(trails, trail_pen(), "track");
    entries
}

fn draw_scale_bar(sheet: &mut Sheet, map: &TrackMap, scale: &Scale) {
    let area = scale.area;
    let metres_per_unit = metres_per_unit(scale);
    let (metres, label) = round_length(area.width() * 0.3 * metres_per_unit, map.unit);
    let pen = Pen::new(Ink::Text).wide(1.4);
    let from = Pt::new(area.left + 1.0, area.bottom + 14.0);
    let to = from.by(metres / metres_per_unit, 0.0);
    sheet.line(from, to, pen);
    for end in [from, to] {
        sheet.line(end.by(0.0, -4.0), end.by(0.0, 4.0), pen);
    }
    let letters = Letters::new(TICK, Align::Start);
    sheet.text(&label, to.by(8.0, TICK * 0.35), letters);
}

/// The longest round length not above a limit, metres, in the distance that goes with the unit of
/// speed.
fn round_length(limit_m: f64, unit: SpeedUnit) -> (f64, String) {
    /// The least of a long distance that is still written in it: `0.5 nmi` reads, `0.05 nmi` does
    /// not.
    const SHORTEST_LONG: f64 = 0.5;
    let (long, long_m) = unit.long_distance();
    let (short, short_m) = unit.short_distance();
    let (symbol, length) = if limit_m >= SHORTEST_LONG * long_m {
        (long, long_m)
    } else {
        (short, short_m)
    };
    let count = axis::round_down(limit_m / length);
    (count * length, format!("{count}\u{a0}{symbol}"))
}

/// North, the wind and the drift while idle, with their words below.
fn draw_compass(sheet: &mut Sheet, map: &TrackMap, [left, right]: [f64; 2], top: f64) {
    let centre = Pt::new(f64::midpoint(left, right), top + 18.0 + RADIUS);
    let muted = Pen::new(Ink::Muted);
    sheet.ring(centre, RADIUS, muted);
    for quarter in [90.0, 180.0, 270.0] {
        let [rim, inside] = [0.0, 5.0].map(|by| centre.at_bearing(quarter, RADIUS - by));
        sheet.line(rim, inside, muted);
    }
    let north = centre.by(0.0, -RADIUS);
    marks::arrow_head(
        sheet,
        centre,
        north.by(0.0, -3.0),
        12.0,
        Pen::new(Ink::Text),
    );
    let letters = Letters::new(TICK, Align::Middle).bold();
    sheet.text("N", north.by(0.0, -6.0), letters);

    let reach = |bearing: Bearing| {
        let beside = (NEAR_NORTH..=360.0 - NEAR_NORTH).contains(&bearing.degrees());
        if beside { RADIUS + 9.0 } else { RADIUS - 11.0 }
    };
    let small = Letters::new(NOTE, Align::Middle);
    let mut words = centre.by(0.0, RADIUS + 22.0);
    let mut write = |sheet: &mut Sheet, line: &str, letters: Letters| {
        sheet.text(line, words, letters);
        words = words.by(0.0, NOTE + 4.0);
    };
    match &map.wind {
        Some((from, speed)) => {
            // The wind arrives at the middle from outside.
            let [tail, tip] = [reach(*from), 5.0].map(|by| centre.at_bearing(from.degrees(), by));
            let pen = Pen::new(Ink::Wind).wide(2.4);
            sheet.line(tail, tip.toward(tail, 0.12), pen);
            marks::arrow_head(sheet, tail, tip, 12.0, pen);
            write(sheet, &format!("wind from {from}"), small);
            if let Some(speed) = speed {
                write(sheet, speed, small.muted());
            }
        }
        None => write(sheet, "wind not known", small.muted()),
    }
    if let Some((toward, speed)) = &map.drift {
        // The drift leads away from the middle.
        let [foot, tip] = [3.0, reach(*toward)].map(|by| centre.at_bearing(toward.degrees(), by));
        let pen = Pen::new(Ink::Text).wide(1.6).dashed(Dash::Dotted);
        sheet.line(foot, tip.toward(foot, 0.2), pen);
        marks::arrow_head(sheet, foot, tip, 9.0, pen);
        sheet.disc(centre, 2.6, pen);
        write(sheet, &format!("drift toward {toward}"), small);
        write(sheet, speed, small.muted());
    }
}

/// Where the map lies in the whole track.
fn draw_overview(sheet: &mut Sheet, map: &TrackMap, area: Area, whole: Extent, shown: &Scale) {
    /// The least the window measures, so that it is seen.
    const LEAST_WINDOW: f64 = 10.0;
    let letters = Letters::new(NOTE, Align::Start).muted();
    sheet.text("whole track", Pt::new(area.left, area.top - 7.0), letters);
    let scale = whole.padded(0.04).scale(area);
    draw_trails(sheet, map, &scale);
    sheet.path(&area.outline(), Pen::new(Ink::Grid));
    let upper = scale.at(shown.across[0], shown.up[1]);
    let lower = scale.at(shown.across[1], shown.up[0]);
    let [width, height] = [lower.x - upper.x, lower.y - upper.y].map(|v| v.max(LEAST_WINDOW));
    let window = Area::around(upper.toward(lower, 0.5), width, height);
    sheet.path(&window.outline(), Pen::new(Ink::Text).wide(1.4));
}

fn caption(map: &TrackMap, lanes: Option<Lanes>, overview: bool) -> String {
    let mut words = String::from("The track from above, north up, equal scale both ways.");
    if let Some(Lanes { apart_m, astray_m }) = lanes {
        let (unit, length) = map.unit.short_distance();
        let shown = |metres: f64| text::with_unit((metres / length).round(), 0, unit);
        let moved = format!(
            " The legs of a line are moved apart to be seen, into lanes {} from each other in \
                order of time; all of them ran within {} of the line.",
            shown(apart_m),
            shown(astray_m.max(length))
        );
        words.push_str(&moved);
    }
    if !map.legs.is_empty() {
        words.push_str(
            " Thick lines are the steady parts that were measured, thin ones the \
            approach to them; arrow heads show the way, numbers the order.",
        );
    }
    match (&map.wind, &map.drift) {
        (Some(_), Some(_)) => words.push_str(
            " At the compass, the solid arrow is the wind and \
            the dotted one the way the boat drifted while it lay idle.",
        ),
        (None, Some(_)) => words.push_str(
            " The dotted arrow at the compass is the way the boat \
            drifted while it lay idle.",
        ),
        _ => {}
    }
    if overview {
        words.push_str(" The small map shows where the trial lies in the whole track.");
    }
    words
}

fn alt(map: &TrackMap) -> String {
    let measured = map.legs.iter().filter(|leg| leg.measured).count();
    let legs = text::count(map.legs.len(), "leg");
    let mut sentences = vec![format!("Map of {legs}, {measured} of them in double runs.")];
    let (symbol, length) = map.unit.long_distance();
    for line in &map.lines {
        sentences.push(format!(
            "Course line {}: {} and {}, {}, {}.",
            line.number,
            line.axis,
            line.axis.reciprocal(),
            text::with_unit(line.length_m / length, 2, symbol),
            text::count(line.legs, "leg")
        ));
    }
    match &map.wind {
        Some((from, _)) => sentences.push(format!("Wind from {from}.")),
        None => sentences.push("Wind not known.".to_owned()),
    }
    if let Some((toward, speed)) = &map.drift {
        sentences.push(format!(
            "While it lay idle the boat drifted toward {toward} at {speed}."
        ));
    }
    sentences.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn bar(limit_m: f64, unit: SpeedUnit, label: &str) {
        assert_eq!(round_length(limit_m, unit).1.replace('\u{a0}', " "), label);
    }

    #[test]
    fn scale_bars_are_round_in_the_right_distance() {
        bar(300.0, SpeedUnit::Knots, "200 m");
        bar(1000.0, SpeedUnit::Knots, "0.5 nmi");
        bar(4000.0, SpeedUnit::Knots, "2 nmi");
        bar(300.0, SpeedUnit::MilesPerHour, "500 ft");
        bar(1700.0, SpeedUnit::MilesPerHour, "1 mi");
        bar(5200.0, SpeedUnit::KilometresPerHour, "5 km");
        bar(0.7, SpeedUnit::MetresPerSecond, "0.5 m");
    }

    #[test]
    fn legs_of_one_line_are_moved_apart_by_their_order() {
        let point = |east: f64, north: f64| PlanePoint { east, north };
        let leg = |number: usize, configuration: usize, [from, to]: [f64; 2]| MapLeg {
            number,
            title: String::new(),
            configuration: Some(configuration),
            line: Some(1),
            measured: true,
            start: point(1.0, from),
            steady: None,
            end: point(3.0, to),
        };
        let map = TrackMap {
            trails: Vec::new(),
            legs: vec![
                leg(1, 0, [0.0, 400.0]),
                leg(2, 0, [400.0, 0.0]),
                leg(3, 1, [0.0, 400.0]),
            ],
            lines: vec![MapLine {
                number: 1,
                axis: Bearing::new(0.0).unwrap_or_else(|| unreachable!()),
                from: point(0.0, 0.0),
                to: point(0.0, 400.0),
                length_m: 400.0,
                legs: 3,
            }],
            configurations: Vec::new(),
            wind: None,
            drift: None,
            unit: SpeedUnit::Knots,
        };
        let (legs, lanes) = side_by_side(&map);
        let middle = |leg: &MapLeg| f64::midpoint(leg.start.east, leg.end.east);
        let apart: Vec<f64> = legs
            .windows(2)
            .map(|w| middle(&w[1]) - middle(&w[0]))
            .collect();
        let lane = LANE * 400.0;
        assert!((apart[0] - lane).abs() < 1e-9 && (apart[1] - 2.0 * lane).abs() < 1e-9);
        assert!(lanes.is_some_and(|lanes| (lanes.astray_m - 3.0).abs() < 1e-9));
    }
}
