//! Speed over local time: what the boat did all day, and which stretches count.
//!
//! Above the axes lie the numbers of the legs and, over each series, the configuration. In a narrow
//! chart a long day is cut between legs into parts, one below the other and all to one scale.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::chart::{Chart, ChartKind};
use super::key::{Key, Sample};
use super::lines::{clipped_path, thinned};
use super::sheet::{Align, Area, Letters, Pen, Pt, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, TICK, Width};
use super::{axis, marks, text};
use crate::units::ClockFace;

/// Upper edge of what lies above the axes.
const TOP: f64 = 24.0;
/// Height of the axes: wide, narrow, and narrow where there are several parts.
const HEIGHTS: [f64; 3] = [230.0, 200.0, 150.0];
/// Room for the axis below, and for each line of its title.
const FOOT: f64 = 30.0;
const TITLE_LINE: f64 = 14.0;
/// Heights of the lanes above the axes: of configurations, of leg numbers.
const CONFIGURATION_LANE: f64 = 24.0;
const NUMBER_LANE: f64 = 13.0;
/// Lanes of leg numbers at the most.
const MOST_LANES: usize = 4;
/// So many legs lie side by side in a narrow chart: each is then wide enough for its number. What
/// takes more parts than the other stays crowded rather than fill screen after screen.
const LEGS_ABREAST: usize = 14;
const MOST_PARTS: usize = 4;
/// Height of the small chart of the whole track with its words.
const OVERVIEW: f64 = 78.0;
/// The chart shows the trial alone, and the whole track small below, where the trial takes less
/// than this share of the whole.
const SMALL_PART: f64 = 0.6;
/// Time shown before and after the trial, a share of its length.
const AROUND: f64 = 0.04;
/// Room for a tick of speed.
const LEVEL_ROOM: f64 = 46.0;
/// Speeds further apart in time than so many of their usual steps are not joined, nor those further
/// apart than the other, seconds; none nearer than that is a gap, as the means are over 10 s.
const GAP_STEPS: f64 = 3.0;
const LEAST_GAP_S: f64 = 30.0;
/// Opacity of the shade over an approach, over a steady part, and over the time of a swap.
const APPROACH: f64 = 0.10;
const STEADY: f64 = 0.26;
const SWAP: f64 = 0.16;
/// The hatching over idle drift.
const IDLE: Pen = Pen {
    ink: Ink::Other,
    dash: Dash::Solid,
    width: 1.0,
    opacity: 0.5,
};

/// What the chart shows. Times are Unix seconds.
#[derive(Debug, Clone)]
pub struct SpeedOverTime {
    /// The unit of the speeds.
    pub unit: &'static str,
    /// How the hours are counted.
    pub clock: ClockFace,
    /// Local time.
    pub zone: TimeZone,
    /// Its name.
    pub zone_name: String,
    /// Times and speeds over the ground in 10 s means.
    pub speeds: Vec<(f64, f64)>,
    /// The legs, in order of time.
    pub legs: Vec<TimeLeg>,
    /// Stretches of idle drift.
    pub idle: Vec<Span>,
    /// Names of the configurations, in the order they were run.
    pub configurations: Vec<String>,
    /// Names of the settings, slowest first.
    pub settings: Vec<String>,
}

/// A leg by its time.
#[derive(Debug, Clone)]
pub struct TimeLeg {
    /// Its number.
    pub number: usize,
    /// What to say of it.
    pub title: String,
    /// From start to end.
    pub span: Span,
    /// When its steady part begins.
    pub steady: Option<f64>,
    /// Its speed over the ground.
    pub speed: Option<f64>,
    /// Place of its configuration in order.
    pub configuration: Option<usize>,
    /// Place of its setting in order.
    pub setting: Option<usize>,
    /// Whether it belongs to a double run.
    pub measured: bool,
}

/// A span of time, Unix seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// From.
    pub from: f64,
    /// To.
    pub to: f64,
}

impl Span {
    /// The part inside another; none where there is none.
    fn within(self, other: Self) -> Option<Self> {
        let both = Self {
            from: self.from.max(other.from),
            to: self.to.min(other.to),
        };
        (both.from < both.to).then_some(both)
    }

    fn length(self) -> f64 {
        self.to - self.from
    }

    fn middle(self) -> f64 {
        f64::midpoint(self.from, self.to)
    }

    /// From the first to the last of some times; none where there are none.
    fn round(times: impl Iterator<Item = f64>) -> Option<Self> {
        let [from, to] = times.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], t| {
            [low.min(t), high.max(t)]
        });
        (from <= to).then_some(Self { from, to })
    }

    /// At least a minute long, with some time round it.
    fn padded(self, share: f64) -> Self {
        let pad = (self.length() * share).max(30.0);
        Self {
            from: self.from - pad,
            to: self.to + pad,
        }
    }
}

impl SpeedOverTime {
    /// From the first to the last of everything.
    fn whole(&self) -> Option<Span> {
        let legs = self.legs.iter().filter(|leg| leg.speed.is_some());
        let ends = legs.flat_map(|leg| [leg.span.from, leg.span.to]);
        Span::round(self.speeds.iter().map(|(t, _)| *t).chain(ends))
    }

    /// From the first leg of a double run to the last.
    fn trial(&self) -> Option<Span> {
        let measured = self.legs.iter().filter(|leg| leg.measured);
        Span::round(measured.flat_map(|leg| [leg.span.from, leg.span.to]))
    }

    /// The greatest speed in a span.
    fn fastest(&self, span: Span) -> Option<f64> {
        let inside = |t: f64| t >= span.from && t <= span.to;
        let track = self
            .speeds
            .iter()
            .filter(|(t, _)| inside(*t))
            .map(|(_, speed)| *speed);
        let legs = self.legs.iter().filter(|leg| inside(leg.span.to));
        track
            .chain(legs.filter_map(|leg| leg.speed))
            .reduce(f64::max)
    }

    /// Legs that get a number: those of double runs, or all where there is none.
    fn numbered(&self) -> impl Iterator<Item = &TimeLeg> {
        let any = self.legs.iter().any(|leg| leg.measured);
        self.legs.iter().filter(move |leg| leg.measured || !any)
    }

    fn has_configurations(&self) -> bool {
        self.legs.iter().any(|leg| leg.configuration.is_some())
    }

    /// Consecutive legs in one configuration, with its place in order.
    fn series(&self) -> Vec<(usize, Span)> {
        let mut found: Vec<(usize, Span)> = Vec::new();
        for leg in &self.legs {
            let Some(configuration) = leg.configuration else {
                continue;
            };
            match found.last_mut() {
                Some((last, span)) if *last == configuration => span.to = leg.span.to,
                _ => found.push((configuration, leg.span)),
            }
        }
        found
    }

    /// From the last leg in one configuration to the first in the next.
    fn swaps(&self) -> Vec<Span> {
        let series = self.series();
        let between = series.windows(2).filter_map(|pair| match pair {
            [(_, before), (_, after)] => Some(Span {
                from: before.to,
                to: after.from,
            }),
            _ => None,
        });
        between.filter(|swap| swap.length() > 0.0).collect()
    }

    /// Times and speeds in runs without a gap.
    fn unbroken(&self) -> Vec<Vec<(f64, f64)>> {
        let steps = self.speeds.windows(2);
        let mut steps: Vec<f64> = steps
            .filter_map(|w| Some(w.get(1)?.0 - w.first()?.0))
            .collect();
        steps.sort_by(f64::total_cmp);
        let usual = steps.get(steps.len() / 2).copied().unwrap_or(LEAST_GAP_S);
        let gap = (usual * GAP_STEPS).max(LEAST_GAP_S);
        let near = |a: &(f64, f64), b: &(f64, f64)| b.0 - a.0 <= gap;
        self.speeds.chunk_by(near).map(<[_]>::to_vec).collect()
    }

    /// A local time in words.
    fn local(&self, seconds: f64, format: &str) -> String {
        Timestamp::from_second(seconds as i64)
            .map(|time| self.zone.to_datetime(time).strftime(format).to_string())
            .unwrap_or_default()
    }

    /// The local date, or the first and last where there are several.
    fn date(&self, span: Span) -> String {
        let [first, last] = [span.from, span.to].map(|t| self.local(t, "%-d %B %Y"));
        if first == last {
            first
        } else {
            format!("{first} to {last}")
        }
    }

    /// Draws the axis of time. A part of the day that is shorter than the others has room for fewer
    /// ticks, and `12:30 pm` takes more than `12:30`.
    fn draw_foot(&self, sheet: &mut Sheet, scale: &Scale) {
        let room = match self.clock {
            ClockFace::Hours24 => sheet.layout().pick(60.0, 58.0),
            ClockFace::Hours12 => sheet.layout().pick(77.0, 83.0),
        };
        let count = (scale.area.width() / room).max(1.0);
        let [from, to] = scale.across;
        let ticks = axis::time_ticks(from, to, count, &self.zone, self.clock);
        axis::draw_foot(sheet, scale, &ticks);
    }
}

/// The chart; none where there are no speeds to draw, neither of the track nor of legs.
pub fn chart(input: &SpeedOverTime) -> Option<Chart> {
    let whole = input.whole()?;
    let trial = input.trial().unwrap_or(whole);
    let overview = (trial.length() < SMALL_PART * whole.length()).then(|| whole.padded(0.0));
    let span = match overview {
        Some(_) => trial.padded(AROUND),
        None => whole.padded(0.0),
    };
    let words = [
        "Speed over time".to_owned(),
        caption(input, overview.is_some()),
        alt(input, whole, span),
    ];
    Some(Chart::new(ChartKind::SpeedOverTime, words, |sheet| {
        draw(sheet, input, span, overview)
    }))
}

/// Left and right edge of the axes.
fn sides(layout: Width) -> [f64; 2] {
    [layout.pick(46.0, 40.0), layout.units() - 10.0]
}

/// Draws it and returns its height.
fn draw(sheet: &mut Sheet, input: &SpeedOverTime, span: Span, overview: Option<Span>) -> f64 {
    let [left, right] = sides(sheet.layout());
    let title = format!("speed over the ground ({})", input.unit);
    let muted = Letters::new(TICK, Align::Start).muted();
    sheet.text(&title, Pt::new(6.0, axis::TITLE), muted);

    let most = input.fastest(span).unwrap_or(1.0).max(0.1) * 1.06;
    let parts = parts(input, span, sheet.layout());
    let longest = parts.iter().map(|part| part.length()).fold(0.0, f64::max);
    let height = match (sheet.layout(), parts.len()) {
        (Width::Wide, _) => HEIGHTS[0],
        (Width::Narrow, 1) => HEIGHTS[1],
        (Width::Narrow, _) => HEIGHTS[2],
    };
    let mut y = TOP;
    for (k, part) in parts.into_iter().enumerate() {
        if k > 0 {
            y += axis::FOOT + 10.0;
        }
        let right = left + (right - left) * part.length() / longest;
        let lanes = lanes(input, part, [left, right], y);
        let area = Area::new(left, lanes.bottom, right, lanes.bottom + height);
        let scale = Scale {
            area,
            across: [part.from, part.to],
            up: [0.0, most],
        };
        draw_part(sheet, input, &scale);
        draw_lanes(sheet, input, &scale, &lanes);
        y = area.bottom;
    }
    let words = format!("local time, {} ({})", input.date(span), input.zone_name);
    let lines = text::wrapped(&words, TICK, sheet.width() - 8.0, 2);
    for (k, line) in lines.iter().enumerate() {
        let axis = Area::new(left, TOP, right, y);
        axis::draw_foot_title(sheet, axis, axis::FOOT + k as f64 * TITLE_LINE, line);
    }
    y += FOOT + lines.len() as f64 * TITLE_LINE;
    if let Some(whole) = overview {
        draw_overview(sheet, input, y, whole, span);
        y += OVERVIEW;
    }
    let key = Key::new(key(input, span), [6.0, sheet.width() - 8.0]);
    key.draw(sheet, y + 10.0);
    y + 12.0 + key.height()
}

/// A span in one part or, where the chart is narrow and the legs are many, cut between legs as
/// evenly as that allows.
fn parts(input: &SpeedOverTime, span: Span, layout: Width) -> Vec<Span> {
    let mut legs: Vec<Span> = (input.numbered())
        .filter_map(|leg| leg.span.within(span))
        .collect();
    legs.sort_by(|a, b| a.from.total_cmp(&b.from));
    let count = legs.len().div_ceil(LEGS_ABREAST).clamp(1, MOST_PARTS);
    let count = layout.pick(1, count);
    let between: Vec<f64> = (legs.windows(2))
        .filter_map(|pair| Some(f64::midpoint(pair.first()?.to, pair.get(1)?.from)))
        .collect();
    let mut parts = Vec::new();
    let mut from = span.from;
    for k in 1..count {
        let even = span.from + span.length() * k as f64 / count as f64;
        let inside = between
            .iter()
            .copied()
            .filter(|t| *t > from && *t < span.to);
        if let Some(to) = inside.min_by(|a, b| (a - even).abs().total_cmp(&(b - even).abs())) {
            parts.push(Span { from, to });
            from = to;
        }
    }
    parts.push(Span { from, to: span.to });
    parts
}

/// What lies above the axes.
struct Lanes<'a> {
    top: f64,
    /// Leg numbers with the middle of each.
    numbers: Vec<(&'a TimeLeg, Pt)>,
    /// The upper edge of the axes.
    bottom: f64,
}

/// Lays leg numbers by turns into as few lanes as keep them apart; what finds no room has no
/// number.
fn lanes(input: &SpeedOverTime, part: Span, [left, right]: [f64; 2], top: f64) -> Lanes<'_> {
    let x = |t: f64| left + (t - part.from) / part.length() * (right - left);
    let wanted: Vec<(&TimeLeg, f64)> = (input.numbered())
        .filter_map(|leg| Some((leg, x(leg.span.within(part)?.middle()))))
        .collect();
    let apart = |from: &(&TimeLeg, f64), to: &(&TimeLeg, f64)| {
        to.1 - from.1 > text::width(&to.0.number.to_string(), NOTE) + 2.5
    };
    let fits = |lanes: &usize| {
        let same = wanted.iter().zip(wanted.iter().skip(*lanes));
        same.into_iter().all(|(from, to)| apart(from, to))
    };
    let count = (1..MOST_LANES).find(fits).unwrap_or(MOST_LANES);
    let top_number = top
        + if input.has_configurations() {
            CONFIGURATION_LANE
        } else {
            0.0
        };
    let bottom = top_number + count as f64 * NUMBER_LANE + 4.0;
    let mut last: Vec<Option<(&TimeLeg, f64)>> = vec![None; count];
    let mut numbers = Vec::new();
    for (k, leg) in wanted.iter().enumerate() {
        let Some(before) = last.get_mut(k % count) else {
            continue;
        };
        if before.is_none_or(|before| apart(&before, leg)) {
            *before = Some(*leg);
            let y = bottom - 4.0 - ((k % count) as f64 + 0.5) * NUMBER_LANE;
            numbers.push((leg.0, Pt::new(leg.1, y)));
        }
    }
    Lanes {
        top,
        numbers,
        bottom,
    }
}

/// Numbers, and a bar with its name over each series in one configuration.
fn draw_lanes(sheet: &mut Sheet, input: &SpeedOverTime, scale: &Scale, lanes: &Lanes) {
    for (leg, at) in &lanes.numbers {
        sheet.leg(leg.number, &leg.title, |sheet| {
            let letters = Letters::new(NOTE, Align::Middle);
            sheet.text(&leg.number.to_string(), at.by(0.0, NOTE * 0.36), letters);
        });
    }
    let y = lanes.top + 18.0;
    let mut free = scale.area.left - 6.0;
    for (configuration, span) in input.series() {
        let Some(part) = span.within(shown(scale)) else {
            continue;
        };
        let (from, to) = (Pt::new(scale.x(part.from), y), Pt::new(scale.x(part.to), y));
        let pen = Pen::new(Ink::Configuration(configuration));
        sheet.line(from, to, pen.wide(3.0).dashed(Dash::of(configuration)));
        let name = input
            .configurations
            .get(configuration)
            .map_or("", String::as_str);
        // A name may reach beyond its bar a little, not over its neighbours.
        let words = text::fitted(name, TICK, (to.x - from.x).max(60.0));
        let half = text::width(&words, TICK) / 2.0;
        let middle = f64::midpoint(from.x, to.x)
            .min(sheet.width() - half)
            .max(scale.area.left - 6.0 + half);
        if middle - half >= free {
            let letters = Letters::new(TICK, Align::Middle).bold();
            sheet.text(&words, Pt::new(middle, y - 10.0 + TICK * 0.35), letters);
            free = middle + half + 3.0;
        }
    }
}

/// The time along an axis.
fn shown(scale: &Scale) -> Span {
    let [from, to] = scale.across;
    Span { from, to }
}

/// The part of a span that an axis shows, from the lower to the upper edge; none where there is
/// none.
fn column(scale: &Scale, span: Span) -> Option<Area> {
    let part = span.within(shown(scale))?;
    let area = scale.area;
    let (from, to) = (scale.x(part.from), scale.x(part.to));
    Some(Area::new(from, area.top, to, area.bottom))
}

fn draw_part(sheet: &mut Sheet, input: &SpeedOverTime, scale: &Scale) {
    let swap = Pen::new(Ink::Muted).opacity(SWAP);
    for area in input
        .swaps()
        .into_iter()
        .filter_map(|span| column(scale, span))
    {
        sheet.rect(area, swap);
    }
    for area in input.idle.iter().filter_map(|span| column(scale, *span)) {
        sheet.hatch(area, IDLE);
    }
    for leg in &input.legs {
        draw_shade(sheet, scale, leg);
    }
    let [low, high] = scale.up;
    let count = scale.area.height() / LEVEL_ROOM;
    axis::draw_levels(sheet, scale, &axis::ticks(low, high, count as usize, false));
    input.draw_foot(sheet, scale);
    draw_speeds(sheet, input, scale, Pen::new(Ink::Text).wide(0.9));
    for leg in &input.legs {
        draw_mean(sheet, scale, leg);
    }
}

/// Shades a leg, its steady part darker.
fn draw_shade(sheet: &mut Sheet, scale: &Scale, leg: &TimeLeg) {
    let settled = leg.steady.unwrap_or(leg.span.to);
    let approach = Span {
        to: settled,
        ..leg.span
    };
    let steady = Span {
        from: settled,
        ..leg.span
    };
    if leg.span.within(shown(scale)).is_none() {
        return;
    }
    sheet.leg(leg.number, &leg.title, |sheet| {
        for (part, shade) in [(approach, APPROACH), (steady, STEADY)] {
            if let Some(area) = column(scale, part) {
                sheet.rect(area, Pen::new(Ink::of(leg.configuration)).opacity(shade));
            }
        }
    });
}

/// Draws a leg's speed over its steady part, with its setting's mark.
fn draw_mean(sheet: &mut Sheet, scale: &Scale, leg: &TimeLeg) {
    let steady = leg.steady.and_then(|from| {
        let steady = Span { from, ..leg.span };
        steady.within(shown(scale))
    });
    let (Some(part), Some(speed)) = (steady, leg.speed) else {
        return;
    };
    let pen = Pen::new(Ink::of(leg.configuration));
    let (from, to) = (scale.at(part.from, speed), scale.at(part.to, speed));
    sheet.leg(leg.number, &leg.title, |sheet| {
        sheet.line(from, to, pen.wide(2.6));
        if let Some(setting) = leg.setting {
            marks::mark(sheet, setting, from.toward(to, 0.5), 2.7, pen);
        }
    });
}

fn draw_speeds(sheet: &mut Sheet, input: &SpeedOverTime, scale: &Scale, pen: Pen) {
    let Span { from, to } = shown(scale);
    let tolerance = sheet.layout().pick(0.25, 0.5);
    for run in input.unbroken() {
        let places: Vec<Pt> = (run.iter())
            .filter(|(t, _)| *t >= from - LEAST_GAP_S && *t <= to + LEAST_GAP_S)
            .map(|(t, speed)| scale.at(*t, *speed))
            .collect();
        for part in clipped_path(&thinned(&places, tolerance), scale.area) {
            sheet.path(&part, pen);
        }
    }
}

fn draw_overview(sheet: &mut Sheet, input: &SpeedOverTime, top: f64, whole: Span, span: Span) {
    let [left, right] = sides(sheet.layout());
    let area = Area::new(left, top + 22.0, right, top + OVERVIEW - 18.0);
    let scale = Scale {
        area,
        across: [whole.from, whole.to],
        up: [0.0, input.fastest(whole).unwrap_or(1.0).max(0.1) * 1.05],
    };
    if let Some(window) = column(&scale, span) {
        sheet.rect(window, Pen::new(Ink::Grid));
        let [a, b, c, d, _] = window.outline();
        for [from, to] in [[a, d], [b, c]] {
            sheet.line(from, to, Pen::new(Ink::Muted));
        }
    }
    let letters = Letters::new(NOTE, Align::Start).muted();
    let words = "whole track, the part above shaded";
    sheet.text(words, Pt::new(area.left, area.top - 6.0), letters);
    draw_speeds(sheet, input, &scale, Pen::new(Ink::Muted).wide(0.8));
    input.draw_foot(sheet, &scale);
}

fn key(input: &SpeedOverTime, span: Span) -> Vec<(Sample, String)> {
    let first = input.has_configurations().then_some(0);
    let pen = Pen::new(Ink::of(first));
    let other = |leg: &TimeLeg| leg.configuration.is_none() && leg.span.within(span).is_some();
    let idle = |idle: &Span| idle.within(span).is_some();
    let mut entries = vec![(Sample::Line(Pen::new(Ink::Text)), "10 s means".to_owned())];
    let mut add = |wanted: bool, sample: Sample, words: &str| {
        if wanted {
            entries.push((sample, words.to_owned()));
        }
    };
    let legs = !input.legs.is_empty();
    add(legs, Sample::Shade(pen.opacity(APPROACH)), "approach");
    add(legs, Sample::Shade(pen.opacity(STEADY)), "steady");
    let others = first.is_some() && input.legs.iter().any(other);
    let grey = Pen::new(Ink::Other).opacity(STEADY);
    add(others, Sample::Shade(grey), "other leg");
    add(
        input.idle.iter().any(idle),
        Sample::Hatch(IDLE),
        "idle drift",
    );
    let swap = Pen::new(Ink::Muted).opacity(SWAP);
    add(!input.swaps().is_empty(), Sample::Shade(swap), "swap");
    for (place, name) in input.settings.iter().enumerate() {
        let sample = Sample::MarkedLine(place, pen.wide(2.6));
        let words = format!("setting {}", text::fitted(name, TICK, 90.0));
        add(first.is_some(), sample, &words);
    }
    entries
}

fn caption(input: &SpeedOverTime, overview: bool) -> String {
    let mut words = String::from(
        "Speed over the ground in means of 10 s. Shaded: the legs, darker where they were measured; numbers give their order.",
    );
    if !input.idle.is_empty() {
        words.push_str(" Hatched: adrift.");
    }
    if !input.swaps().is_empty() {
        words.push_str(" Grey: the swap.");
    }
    if overview {
        words.push_str(" Below: the whole track.");
    }
    words
}

fn alt(input: &SpeedOverTime, whole: Span, shown: Span) -> String {
    let clock = |t: f64| input.local(t, input.clock.minute());
    let mut sentences = vec![format!(
        "The track runs from {} to {} local time on {}.",
        clock(whole.from),
        clock(whole.to),
        input.date(whole)
    )];
    let speed = |value: f64| text::with_unit(value, 2, input.unit);
    if let Some(fastest) = input.fastest(shown) {
        sentences.push(format!("Speeds up to {}.", speed(fastest)));
    }
    for leg in input.legs.iter().filter(|leg| leg.measured) {
        sentences.push(format!(
            "Leg {}: {} to {}, {}.",
            leg.number,
            clock(leg.span.from),
            clock(leg.span.to),
            leg.speed.map_or_else(|| "no speed".to_owned(), speed)
        ));
    }
    match input.idle.len() {
        0 => {}
        1 => sentences.push("The boat lay idle once.".to_owned()),
        times => sentences.push(format!("The boat lay idle {times} times.")),
    }
    sentences.join(" ")
}
