//! What the person noted of the boat, the people and the water.

use super::{capital, one_line};
use crate::notes::Story;
use crate::trial::Trial;

/// What was noted, each with its heading, in a fixed order.
pub(crate) fn noted(trial: &Trial) -> Vec<(&'static str, String)> {
    let story = &trial.story;
    // Without a title of its own the article is headed by the change.
    let change = story
        .change
        .as_ref()
        .filter(|_| trial.title.is_some())
        .cloned();
    let joined = |parts: [&Option<String>; 2]| -> Option<String> {
        let parts: Vec<String> = parts
            .into_iter()
            .flatten()
            .map(|part| one_line(part))
            .collect();
        (!parts.is_empty()).then(|| capital(&parts.join(", ")))
    };
    let facts = [
        ("Boat", joined([&story.boat, &story.length])),
        ("Motor", joined([&story.motor, &None])),
        ("What was changed", joined([&change, &None])),
        ("Load", joined([&story.load, &None])),
        ("Crew", joined([&story.crew, &None])),
        ("Water", joined([&story.place, &story.water])),
    ];
    facts
        .into_iter()
        .filter_map(|(what, text)| Some((what, text?)))
        .collect()
}

/// What a photograph shows, as far as it is known: the boat.
pub(crate) fn photo_caption(story: &Story) -> String {
    story
        .boat
        .as_deref()
        .map_or_else(|| "The boat".to_owned(), |boat| capital(&one_line(boat)))
}
