//! The sections that tell: what to do next time, the method, warnings, files, cautions.

use maud::html;

use super::Section;
use super::parts::coded;
use crate::report::words;
use crate::trial::Trial;

/// Where nothing could be compared: what to do so that it can.
pub(super) fn next_time(analysis: &Trial) -> Option<Section> {
    let advice = words::next_time(analysis);
    (!advice.is_empty()).then(|| Section {
        id: "next-time",
        title: "Next time",
        body: html! {
            ul { @for line in &advice { li { (coded(line)) } } }
        },
    })
}

pub(super) fn method(analysis: &Trial) -> Section {
    Section {
        id: "method",
        title: "How it was measured",
        body: html! {
            @for topic in words::method(analysis) {
                h3 { (topic.title) }
                p { (topic.text) }
            }
            h3 { "What it takes for granted" }
            ul { @for line in words::assumptions() { li { (line) } } }
            h3 { "Where it comes from" }
            ul.sources { @for line in words::sources() { li { (line) } } }
        },
    }
}

pub(super) fn warnings(analysis: &Trial) -> Option<Section> {
    let warnings = words::warnings(analysis);
    (!warnings.is_empty()).then(|| Section {
        id: "warnings",
        title: "Warnings",
        body: html! {
            ul.warnings { @for warning in &warnings { li { (coded(warning)) } } }
        },
    })
}

pub(super) fn data(analysis: &Trial) -> Option<Section> {
    (!analysis.tracks.is_empty()).then(|| Section {
        id: "files",
        title: "What was read",
        body: html! {
            ul {
                @for (line, track) in words::file_lines(analysis).iter().zip(&analysis.tracks) {
                    li {
                        (line)
                        @for remark in &track.remarks { " " (words::one_line(remark)) }
                    }
                }
            }
        },
    })
}

pub(super) fn cautions() -> Section {
    Section {
        id: "cautions",
        title: "Cautions",
        body: html! {
            ul { @for line in words::cautions() { li { (line) } } }
        },
    }
}
