//! What a person says of the trial in their own words, for those who read the article.
//!
//! ```toml
//! change = "three blades against four"   # what was changed
//! photo = "boat.jpg"                     # JPEG or PNG beside these notes, at most 5 MB
//! text = """
//! Two paragraphs at most a page long,
//!
//! parted by a blank line.
//! """
//!
//! [boat]
//! kind = "open fishing boat"
//! length = "4.6 m"
//! motor = "electric outboard, 1.1 kW"
//! load = "two people and 40 kg of gear"
//! crew = "one at the tiller, one forward"
//!
//! [water]
//! place = "the north bay of the lake"
//! kind = "fresh, 4 m deep"
//! ```

use serde::Serialize;

use super::photo::Image;
use super::section::{NotesError, Section};
use crate::parser::quantity::LENGTH;

/// What the article says of the boat and the day as the person noted it. Untrusted text as
/// written: whoever shows it escapes it.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Story {
    /// What was changed: `three blades against four`.
    pub change: Option<String>,
    /// What boat it is.
    pub boat: Option<String>,
    /// How long the boat is, a length with its unit as written.
    pub length: Option<String>,
    /// The motor.
    pub motor: Option<String>,
    /// What was on board.
    pub load: Option<String>,
    /// Who was on board.
    pub crew: Option<String>,
    /// Where it was.
    pub place: Option<String>,
    /// What water it was.
    pub water: Option<String>,
    /// The person's own words, a paragraph each.
    pub text: Vec<String>,
    /// A photograph.
    pub photo: Option<Photo>,
}

/// A photograph that the notes name.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Photo {
    /// The file's name as written, relative to the notes.
    pub file: String,
    /// The picture; `None` until whoever may read files has read it.
    #[serde(skip)]
    pub image: Option<Image>,
}

/// Longest own text, characters: a third of a page beside the article's own words.
const MOST_CHARACTERS: usize = 2_000;

pub(super) fn read_story(top: &Section) -> Result<Story, NotesError> {
    let (boat, water) = (top.table("boat")?, top.table("water")?);
    let of = |section: &Option<Section>, key| match section {
        Some(section) => section.text(key),
        None => Ok(None),
    };
    if let Some(boat) = &boat {
        boat.parsed("length", |text| LENGTH.read(text))?;
    }
    let text = top.long_text("text", MOST_CHARACTERS)?.unwrap_or_default();
    let file = top.text("photo")?;
    Ok(Story {
        change: top.text("change")?,
        boat: of(&boat, "kind")?,
        length: of(&boat, "length")?,
        motor: of(&boat, "motor")?,
        load: of(&boat, "load")?,
        crew: of(&boat, "crew")?,
        place: of(&water, "place")?,
        water: of(&water, "kind")?,
        text: paragraphs(&text),
        photo: file.map(|file| Photo { file, image: None }),
    })
}

/// The paragraphs of a text, with blank lines between them; their own line breaks become blanks.
fn paragraphs(text: &str) -> Vec<String> {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let paragraphs = lines.split(|line| line.is_empty());
    let joined = paragraphs.map(|lines| lines.join(" "));
    joined.filter(|paragraph| !paragraph.is_empty()).collect()
}
