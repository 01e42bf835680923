//! The text of one element while it is being read.

use std::borrow::Cow;

use super::names::Field;

/// Most bytes gathered where an element's text comes in pieces.
///
/// No name or number needs more; the bound keeps a hostile file from having
/// its own size copied piece by piece.
const MOST_GATHERED_BYTES: usize = 1024;

/// An element whose text is wanted.
#[derive(Debug)]
pub(super) struct Capture<'a> {
    /// What for.
    pub(super) field: Field,
    /// How many elements are open around it.
    pub(super) level: usize,
    text: Option<Cow<'a, str>>,
}

impl<'a> Capture<'a> {
    pub(super) fn new(field: Field, level: usize) -> Self {
        Self {
            field,
            level,
            text: None,
        }
    }

    /// Adds a piece; a text in one piece, however long, is borrowed and not copied.
    pub(super) fn add(&mut self, piece: Cow<'a, str>) {
        match &mut self.text {
            None => self.text = Some(piece),
            Some(text) => {
                let room = MOST_GATHERED_BYTES.saturating_sub(text.len());
                if !piece.is_empty() && piece.len() <= room {
                    text.to_mut().push_str(&piece);
                }
            }
        }
    }

    /// All of it, with blanks as written.
    pub(super) fn text(&self) -> &str {
        self.text.as_deref().unwrap_or_default()
    }
}
