//! A finished figure: what it shows, its words, and its drawing for a page and for a phone.
//!
//! A figure stands alone as a file ([`Chart::svg`]) and lies in a page as it is
//! ([`Chart::inline`]): it fills the width it is given, carries its own title and text alternative,
//! reads on light and on dark paper, and prints in black. Nothing in it needs a script, a font file
//! or the network.

use quick_xml::escape::escape;

use super::sheet::{Drawing, Sheet};
use super::style::{self, Width};

/// What a chart shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum ChartKind {
    /// Speeds, and the change with its interval, for each setting and pooled.
    #[default]
    Comparison,
    /// The change each of several days showed, and that of all.
    Days,
    /// The track from above.
    TrackMap,
    /// Speed against heading, a panel for each configuration.
    SpeedAgainstHeading,
    /// The same drawn round, where legs ran on several courses.
    HeadingRound,
    /// Speed over local time with the legs.
    SpeedOverTime,
    /// Speed against the setting in percent.
    SpeedAtSetting,
    /// Energy over distance against speed.
    EnergyAtSpeed,
    /// How often a change of each size is detected, in a rehearsal.
    Detection,
}

impl ChartKind {
    fn file_name(self) -> &'static str {
        match self {
            Self::Comparison => "comparison",
            Self::Days => "comparison-days",
            Self::TrackMap => "track",
            Self::SpeedAgainstHeading => "heading",
            Self::HeadingRound => "heading-round",
            Self::SpeedOverTime => "time",
            Self::SpeedAtSetting => "gain-setting",
            Self::EnergyAtSpeed => "gain-energy",
            Self::Detection => "power",
        }
    }
}

/// A figure with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// What it shows.
    pub kind: ChartKind,
    /// The day it shows, from 1; `None` for the whole trial.
    pub day: Option<usize>,
    /// Letters, digits and hyphens only, fit for a file stem and for ids.
    pub file_name: String,
    /// Title, a few words.
    pub title: String,
    /// What to see, a sentence or two.
    pub caption: String,
    /// The text alternative: what the figure shows, in numbers.
    pub alt: String,
    /// The drawing for a page.
    pub wide: Drawing,
    /// The same, laid out for a phone.
    pub narrow: Drawing,
}

impl Chart {
    /// Draws a chart in both layouts, its words being title, caption and text alternative; `draw`
    /// returns the height it took.
    pub(crate) fn new(
        kind: ChartKind,
        words: [String; 3],
        draw: impl Fn(&mut Sheet) -> f64,
    ) -> Self {
        let [title, caption, alt] = words;
        let drawn = |layout| {
            let mut sheet = Sheet::new(layout);
            let height = draw(&mut sheet);
            sheet.finish(height)
        };
        Self {
            kind,
            day: None,
            file_name: kind.file_name().to_owned(),
            title,
            caption,
            alt,
            wide: drawn(Width::Wide),
            narrow: drawn(Width::Narrow),
        }
    }

    /// The chart of one day; where there are several, its name and title say which.
    pub(crate) fn of_day(mut self, number: usize, several: bool) -> Self {
        self.day = Some(number);
        if several {
            self.file_name = format!("day-{number}-{}", self.file_name);
            self.title = format!("{}, day {number}", self.title);
        }
        self
    }

    /// A file of its own.
    pub fn svg(&self) -> String {
        self.document(&style::style_sheet())
    }

    /// The same with the colours of light paper alone, for programs that know no media queries.
    #[cfg(feature = "png")]
    pub(crate) fn on_light_paper(&self) -> String {
        self.document(&style::light_sheet())
    }

    fn document(&self, style_sheet: &str) -> String {
        let head = self.head();
        let style = format!("<style>\n{style_sheet}</style>\n");
        self.element(&self.wide, "tb-chart", &(head + &style))
    }

    /// The drawing for a page that holds [`style_sheet`](super::style_sheet). The narrow one lies
    /// beside the wide one in the same page and refers to its title and description.
    pub fn inline(&self, width: Width) -> String {
        match width {
            Width::Wide => self.element(&self.wide, "tb-chart", &self.head()),
            Width::Narrow => self.element(&self.narrow, "tb-chart tb-narrow", ""),
        }
    }

    fn head(&self) -> String {
        let name = &self.file_name;
        format!(
            "<title id=\"{name}-title\">{}</title>\n<desc id=\"{name}-desc\">{}</desc>\n",
            escape(self.title.as_str()),
            escape(self.alt.as_str()),
        )
    }

    fn element(&self, drawing: &Drawing, class: &str, head: &str) -> String {
        let name = &self.file_name;
        let Drawing {
            width,
            height,
            marks,
        } = drawing;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"{class}\" viewBox=\"0 0 {width} \
                {height}\" width=\"100%\" role=\"img\" aria-labelledby=\"{name}-title \
                {name}-desc\">\n{head}{marks}</svg>\n"
        )
    }
}
