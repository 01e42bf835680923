//! One document: what a page, a text to paste and a terminal show, as typed parts.
//!
//! Whoever has something to say builds a [`Document`]; it is set by [`Document::to_html`],
//! [`Document::to_markdown`] and [`Document::to_text`]. Nothing is found again by reading what was set.

mod html;
mod markdown;
mod table;
mod text;

pub use self::html::Dress;
pub use self::table::{Cell, Column, Columns, Kind, Look, Row, Table};
pub(super) use self::text::push;

use std::sync::Arc;

use crate::plotter::{Chart, Width};

/// A whole write-up, run card or message.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// A line above the title, such as the day; none where empty.
    pub kicker: Text,
    /// The title.
    pub title: String,
    /// One sentence for a list of pages; none where empty.
    pub description: String,
    /// What it says, in order.
    pub parts: Vec<Part>,
    /// The last line, in small print; none where empty.
    pub colophon: Text,
}

/// One part of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// The answer: the largest letters after the title, with a mark that goes by the tone.
    Answer {
        /// What is claimed.
        tone: Tone,
        /// The sentence.
        text: Text,
    },
    /// A heading inside the document.
    Heading(String),
    /// A heading below a heading.
    Subheading(String),
    /// A paragraph.
    Paragraph(Text),
    /// A list.
    List(ListKind, Vec<Text>),
    /// Words and what they stand for, such as `Boat: a 14 ft dinghy`.
    Facts(Vec<(String, Text)>),
    /// A chart.
    Figure(Figure),
    /// A photograph.
    Picture(Picture),
    /// A table.
    Table(Table),
    /// Something to know before believing a figure, or before doing a thing.
    Note(Text),
    /// What protects a person: never left out, folded or made small.
    Caution(Text),
    /// Words each followed by a line to write on.
    Blanks(Vec<String>),
    /// A section under a heading that a reader opens: folded on screen, printed only when open.
    Folded(Section),
}

/// A section with its heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its anchor: small letters and hyphens.
    pub id: &'static str,
    /// Its heading.
    pub title: String,
    /// What it says.
    pub parts: Vec<Part>,
}

/// What an answer claims, for its mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Faster.
    Faster,
    /// Slower.
    Slower,
    /// Measured, and no difference shown.
    NotShown,
    /// Nothing that could be claimed.
    Open,
}

/// How the items of a list are marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ListKind {
    /// With a dot.
    Bullets,
    /// With a number: steps in order.
    Steps,
    /// With a box to tick.
    Checks,
}

/// A chart in a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// A few words.
    pub title: String,
    /// What to see in it.
    pub caption: String,
    /// The drawing, with its text alternative in it.
    pub wide: String,
    /// The same laid out for a phone; none where empty.
    pub narrow: String,
    /// Where its file lies beside the document, for Markdown.
    pub path: String,
}

/// A photograph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// `image/jpeg` or `image/png`.
    pub media_type: &'static str,
    /// The file.
    pub bytes: Arc<[u8]>,
    /// Where it lies beside the document, for Markdown.
    pub path: String,
    /// What it shows; it is its caption too.
    pub caption: String,
}

/// Words in a line, some of them marked.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Text(pub Vec<Span>);

/// A stretch of words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Span {
    /// As they are.
    Plain(String),
    /// Heavier.
    Strong(String),
    /// Typed as they stand: a file, an option, a line of notes.
    Code(String),
}

impl Figure {
    /// A chart whose file lies at `path` beside the document.
    pub fn of(chart: &Chart, path: String) -> Self {
        Self {
            title: chart.title.clone(),
            caption: chart.caption.clone(),
            wide: chart.inline(Width::Wide),
            narrow: chart.inline(Width::Narrow),
            path,
        }
    }
}

impl Text {
    /// Further words.
    #[must_use]
    pub fn plain(mut self, words: impl Into<String>) -> Self {
        self.0.push(Span::Plain(words.into()));
        self
    }

    /// Further words, heavier.
    #[must_use]
    pub fn strong(mut self, words: impl Into<String>) -> Self {
        self.0.push(Span::Strong(words.into()));
        self
    }

    /// Further words to be typed as they stand.
    #[must_use]
    pub fn code(mut self, words: impl Into<String>) -> Self {
        self.0.push(Span::Code(words.into()));
        self
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|span| span.words().is_empty())
    }

    /// The words without marks.
    pub fn to_plain(&self) -> String {
        self.0.iter().map(Span::words).collect()
    }
}

impl Span {
    /// Its words.
    pub fn words(&self) -> &str {
        match self {
            Self::Plain(words) | Self::Strong(words) | Self::Code(words) => words,
        }
    }
}

impl<T: Into<String>> From<T> for Text {
    fn from(words: T) -> Self {
        Self::default().plain(words)
    }
}

impl Part {
    /// A paragraph of plain words.
    pub fn paragraph(words: impl Into<Text>) -> Self {
        Self::Paragraph(words.into())
    }

    /// A heading.
    pub fn heading(words: impl Into<String>) -> Self {
        Self::Heading(words.into())
    }

    /// A list with dots; an empty one is no part.
    pub fn bullets(items: impl IntoIterator<Item = impl Into<Text>>) -> Option<Self> {
        let items: Vec<Text> = items.into_iter().map(Into::into).collect();
        (!items.is_empty()).then_some(Self::List(ListKind::Bullets, items))
    }
}
