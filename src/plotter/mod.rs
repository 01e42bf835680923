//! Charts as text: each a pure function of the analysis.

/// One chart, ready to be written or embedded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// Short name, the file's stem: `comparison`, `track`, `heading-a`, `time`.
    pub name: String,
    /// Title, a few words.
    pub title: String,
    /// What to see in it, a sentence or two.
    pub caption: String,
    /// The text alternative.
    pub alt: String,
    /// The drawing.
    pub svg: String,
}
