//! The rehearsal on a page of its own, in the report's dress.

use super::tally::Rehearsal;
use super::words;
use crate::plan::Plan;
use crate::plotter::Chart;
use crate::report::document::{Cell, Column, Document, Dress, Figure, Part, Row, Table, Tone};

/// `rehearsal.html`.
pub fn rehearsal_html(plan: &Plan, rehearsal: &Rehearsal, chart: &Chart) -> String {
    let mut parts = vec![
        Part::Answer {
            tone: Tone::Open,
            text: words::answer(rehearsal).into(),
        },
        Part::paragraph(words::conditions(plan, rehearsal)),
        Part::heading("How often a change is shown"),
        Part::Figure(Figure::of(chart, String::new())),
    ];
    parts.extend(
        words::shares(rehearsal)
            .into_iter()
            .map(tabled)
            .map(Part::Table),
    );
    parts.push(Part::heading("What to alter"));
    let advice = rehearsal
        .advice
        .iter()
        .cloned()
        .chain(words::lost_lines(rehearsal));
    parts.extend(Part::bullets(advice));
    parts.push(Part::heading("The plan"));
    parts.extend([
        Part::paragraph(crate::plan::words::answer(plan)),
        Part::paragraph(crate::plan::words::legs(plan)),
        Part::paragraph(crate::plan::words::order(plan)),
        Part::heading("How it was rehearsed"),
        Part::paragraph("Each day a boat of our own making, with thrust, drag, leeway and a heading hold that hunts, runs the plan in a wind with gusts; a recorder keeps its track with the errors receivers have; and the track is read by the same code that reads a real one, once with notes that say when each part was fitted and once without any notes. The boat is the plan’s: speeds, settling distance, windage. A crew that moves, a throttle not set alike and wakes are not in it, so take the figures as the best a day can do."),
    ]);
    let document = Document {
        kicker: "Would the plan have told?".into(),
        title: format!("Rehearsal: {}", crate::plan::words::title(plan)),
        parts,
        colophon: concat!("Made by thereback ", env!("CARGO_PKG_VERSION"), ".").into(),
        ..Document::default()
    };
    document.to_html(&Dress::REPORT)
}

/// How often each change was shown.
fn tabled(shares: words::Shares) -> Table {
    Table {
        caption: format!(
            "{}: shares of the days. With no change, shown means claimed. {}",
            shares.caption, shares.note
        ),
        columns: shares.heads.map(|head| Column::figures(head, "", 0)).into(),
        rows: (shares.rows.into_iter())
            .map(|row| Row::new(row.into_iter().map(Cell::Words).collect()))
            .collect(),
    }
}
