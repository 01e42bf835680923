//! What marks look like: inks, dashes, shapes, sizes of type, and the style sheet.
//!
//! Colours are the Okabe–Ito palette (Okabe & Ito 2008, *Color Universal
//! Design*): told apart by readers of any colour vision. Configurations carry
//! the colour and a line style, settings a shape and a fill; no mark rests on
//! colour alone.
//!
//! A drawn mark bears no colour but the class of its [`Ink`] and `currentColor`;
//! the style sheet gives each class one colour on white, another on dark paper,
//! and black for text in print. So one file reads well on both pages, and a page
//! that embeds it may restyle it.

use std::fmt::Write as _;

/// The paper charts are drawn for on a light page; the page behind them should have it too.
pub const LIGHT_PAPER: &str = "#ffffff";
/// The paper charts are drawn for on a dark page.
pub const DARK_PAPER: &str = "#15181c";

/// The column a chart is laid out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// A page, a printed sheet, a file of its own.
    Wide,
    /// A phone: the same marks with fewer ticks, the key below.
    Narrow,
}

impl Width {
    /// Width of the sheet in its own units. At 720 CSS pixels a unit of the wide one is 1.2 pixels;
    /// on a screen 360 px wide one of the narrow one is 1.06 pixels, so that the sizes of type stay
    /// as they are.
    pub(crate) const fn units(self) -> f64 {
        match self {
            Self::Wide => 600.0,
            Self::Narrow => 340.0,
        }
    }

    /// What goes with it.
    pub(crate) fn pick<T>(self, wide: T, narrow: T) -> T {
        match self {
            Self::Wide => wide,
            Self::Narrow => narrow,
        }
    }
}

/// Size of names and axis titles: 15.6 px on a page 720 px wide, 7.8 px on a 360 px phone.
pub(crate) const TEXT: f64 = 13.0;
/// Size of tick labels: 14.4 px at 720 px.
pub(crate) const TICK: f64 = 12.0;
/// Size of leg numbers and small notes: 13.2 px at 720 px.
pub(crate) const NOTE: f64 = 11.0;

/// The 97.5 % quantile of the normal distribution: half the width of a 95 % interval in standard
/// errors.
pub(crate) const NORMAL_95: f64 = 1.959_964;

/// What a mark is drawn with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Words, frames and the zero line.
    Text,
    /// Secondary words and axes.
    Muted,
    /// Grid lines.
    Grid,
    /// The track as recorded.
    Trail,
    /// The paper itself, behind hollow marks and round letters.
    Paper,
    /// The wind.
    Wind,
    /// Legs outside any double run.
    Other,
    /// A configuration, by its place in the order of running; colours repeat after five.
    Configuration(usize),
}

/// Class, colour on light paper, colour on dark paper.
struct Tone(&'static str, &'static str, &'static str);

const TONES: [Tone; 12] = [
    Tone("tb-text", "#1a1a1a", "#ececec"),
    Tone("tb-muted", "#595959", "#b4b8bd"),
    Tone("tb-grid", "#e0e0e0", "#33383e"),
    Tone("tb-trail", "#9a9a9a", "#7c8289"),
    Tone("tb-paper", LIGHT_PAPER, DARK_PAPER),
    // The palette's sky blue is too pale for a thin line on white; its blue is taken by the first
    // configuration. A plain slate keeps the wind apart from both.
    Tone("tb-wind", "#4d6270", "#a9bccb"),
    Tone("tb-other", "#6e6e6e", "#989ea5"),
    // Blue and vermilion: the pair of the palette that lies farthest apart in every vision. On dark
    // paper their lighter neighbours in the palette, sky blue and orange, keep the contrast.
    Tone("tb-c1", "#0072b2", "#56b4e9"),
    Tone("tb-c2", "#d55e00", "#e69f00"),
    Tone("tb-c3", "#009e73", "#00b386"),
    Tone("tb-c4", "#cc79a7", "#cc79a7"),
    Tone("tb-c5", "#1a1a1a", "#f0e442"),
];

/// Index in [`TONES`] of the first configuration.
const FIRST_CONFIGURATION: usize = 7;
/// How many configurations have a colour of their own.
const CONFIGURATION_COLOURS: usize = TONES.len() - FIRST_CONFIGURATION;

impl Ink {
    /// Its class in the style sheet.
    pub(crate) fn class(self) -> &'static str {
        let index = match self {
            Self::Text => 0,
            Self::Muted => 1,
            Self::Grid => 2,
            Self::Trail => 3,
            Self::Paper => 4,
            Self::Wind => 5,
            Self::Other => 6,
            Self::Configuration(number) => FIRST_CONFIGURATION + number % CONFIGURATION_COLOURS,
        };
        TONES.get(index).map_or("tb-text", |tone| tone.0)
    }

    /// The ink of a leg: that of its configuration, if it has one.
    pub(crate) fn of(configuration: Option<usize>) -> Self {
        configuration.map_or(Self::Other, Self::Configuration)
    }
}

/// How a line is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Dash {
    /// Not at all.
    #[default]
    Solid,
    /// Long strokes.
    Dashed,
    /// Round dots.
    Dotted,
    /// Stroke and dot by turns.
    Alternating,
    /// Long strokes far apart, for course lines.
    Sparse,
}

impl Dash {
    /// The line style of a configuration or setting, by its place in order.
    pub(crate) fn of(number: usize) -> Self {
        const STYLES: [Dash; 4] = [Dash::Solid, Dash::Dashed, Dash::Dotted, Dash::Alternating];
        STYLES
            .get(number % STYLES.len())
            .copied()
            .unwrap_or_default()
    }

    /// The `stroke-dasharray` for a stroke of this width.
    pub(crate) fn pattern(self, width: f64) -> Option<String> {
        let w = width.clamp(0.8, 3.0);
        let lengths: &[f64] = match self {
            Self::Solid => return None,
            Self::Dashed => &[5.0, 2.0],
            Self::Dotted => &[1.2, 1.8],
            Self::Alternating => &[5.0, 2.0, 1.2, 2.0],
            Self::Sparse => &[9.0, 5.0],
        };
        let lengths = lengths.iter().map(|length| format!("{:.1}", length * w));
        Some(lengths.collect::<Vec<_>>().join(" "))
    }
}

/// The shape of a setting's marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Shape {
    /// Circle.
    Circle,
    /// Square on its side.
    Square,
    /// Triangle, point up.
    Triangle,
    /// Square on its corner.
    Diamond,
    /// Triangle, point down.
    Dart,
}

impl Shape {
    /// The shape of a setting, by its place in order; shapes repeat after five.
    pub(crate) fn of(number: usize) -> Self {
        const SHAPES: [Shape; 5] = [
            Shape::Circle,
            Shape::Square,
            Shape::Triangle,
            Shape::Diamond,
            Shape::Dart,
        ];
        SHAPES
            .get(number % SHAPES.len())
            .copied()
            .unwrap_or(Shape::Circle)
    }

    /// Its word in captions.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Circle => "circle",
            Self::Square => "square",
            Self::Triangle => "triangle",
            Self::Diamond => "diamond",
            Self::Dart => "triangle on its point",
        }
    }
}

/// The style sheet of all charts: each file carries it, a page takes it once.
///
/// A class first, the dark page after: programs that know no media queries keep the light colours.
pub fn style_sheet() -> String {
    let mut css = light_sheet();
    css.push_str("@media screen and (prefers-color-scheme:dark){\n");
    for Tone(class, _, dark) in &TONES {
        let _ = writeln!(css, ".{class}{{color:{dark}}}");
    }
    let _ = writeln!(css, ".tb-halo{{stroke:{DARK_PAPER}}}");
    let _ = writeln!(css, "svg.tb-chart:root{{background:{DARK_PAPER}}}\n}}");
    css.push_str("@media print{.tb-text,.tb-muted{color:#000}}\n");
    css
}

/// The part of it for light paper alone, without media queries.
pub(crate) fn light_sheet() -> String {
    let mut css = String::from(
        ".tb-chart{font-family:system-ui,sans-serif;font-variant-numeric:tabular-nums}\n",
    );
    css.push_str(
        ".tb-chart rect,.tb-chart polygon,.tb-chart circle,.tb-chart text{fill:currentColor}\n",
    );
    css.push_str(".tb-chart polyline,.tb-chart .tb-line{fill:none;stroke:currentColor}\n");
    for Tone(class, light, _) in &TONES {
        let _ = writeln!(css, ".{class}{{color:{light}}}");
    }
    let _ = writeln!(
        css,
        ".tb-halo{{stroke:{LIGHT_PAPER};stroke-width:3;stroke-linejoin:round;paint-order:stroke}}"
    );
    let _ = writeln!(css, "svg.tb-chart:root{{background:{LIGHT_PAPER}}}");
    css
}
