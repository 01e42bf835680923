//! The run card, one page to print and write on, and the plan for the terminal: both one document.

use super::draw_up::Plan;
use super::layout::StepKind;
use super::words;
use crate::report::document::{
    Cell, Column, Document, Dress, ListKind, Look, Part, Row, Table, Tone,
};
use crate::report::words::name;

/// Rows above which the card is set smaller, so that it stays on one page of A4 or Letter.
const MANY_ROWS: usize = 18;
/// And smaller still.
const VERY_MANY_ROWS: usize = 30;
/// Columns of the terminal.
const TEXT_WIDTH: usize = 80;

/// `card.html`.
pub fn card_html(plan: &Plan) -> String {
    card(plan).to_html(&Dress {
        style: include_str!("card.css"),
        script: "",
        class: match plan.steps.len() {
            rows if rows > VERY_MANY_ROWS => "card very-many",
            rows if rows > MANY_ROWS => "card many",
            _ => "card",
        },
    })
}

/// `card.md`.
pub fn card_md(plan: &Plan) -> String {
    card(plan).to_markdown()
}

/// The whole plan as plain text.
pub fn text(plan: &Plan) -> String {
    let steps = plan.steps.iter();
    let steps = steps.map(|s| (s.from_s, words::step(plan, s.kind)));
    let steps = steps.chain([(plan.total_s, "done".to_owned())]);
    let row = |(at, what)| Row::new(vec![words::clock(plan, at).into(), Cell::Words(what)]);
    let table = Table {
        caption: "Minute by minute".to_owned(),
        columns: vec![Column::times(clock_head(plan)), Column::words("what")],
        rows: steps.map(row).collect(),
    };
    let mut document = Document {
        title: words::title(plan),
        parts: vec![Part::paragraph(words::answer(plan))],
        ..Document::default()
    };
    for (heading, lines) in [
        ("What would do", words::remedies(plan)),
        ("How", how(plan)),
        ("What it can show", words::reach(plan)),
        ("Battery", words::energy(plan).into_iter().collect()),
        ("Keep in mind", words::remarks(plan)),
        ("Cautions", words::cautions()),
        ("Assumed", words::assumed(plan)),
    ] {
        document.parts.extend(listed(heading, lines));
    }
    document.parts.push(Part::Table(table));
    document.to_text(TEXT_WIDTH)
}

fn card(plan: &Plan) -> Document {
    let blanks = ["Date", "Crew", "Load", "Wind", "Water"];
    let mut parts = vec![
        Part::Blanks(blanks.map(str::to_owned).to_vec()),
        Part::Answer {
            tone: Tone::Open,
            text: words::answer(plan).into(),
        },
    ];
    parts.extend(Part::bullets(how(plan)));
    parts.push(Part::Table(runs(plan)));
    let own = |lines: &[&str]| {
        lines
            .iter()
            .map(|line| (*line).to_owned())
            .collect::<Vec<_>>()
    };
    let record = own(&[
        "One fix a second, by time and not by distance, with all the decimals it has; check that the track grows before you begin.",
        "Do not stop the recorder between runs or for the swap: the drift while you lie idle shows the wind.",
        "Mark a waypoint at each swap. Write down the setting on the motor's own scale, and who sat where.",
        "A wake, weed on the blade, a throttle touched: write it down and run that double run again.",
    ]);
    let bring = own(&[
        "This card and a pencil, the part and its tools, a spare pin and nut, a lanyard on each tool.",
        "Life jackets, engine cut-off, paddle or anchor, a charged phone or radio, water and a warm layer.",
    ]);
    let mut mind = words::remarks(plan);
    mind.extend(words::energy(plan));
    parts.push(Part::heading("Cautions"));
    parts.extend(Part::bullets(words::cautions()));
    parts.extend(listed("Keep in mind", mind));
    parts.extend(listed("Record", record));
    parts.push(Part::heading("Bring"));
    parts.push(Part::List(
        ListKind::Checks,
        bring.into_iter().map(Into::into).collect(),
    ));
    parts.extend(listed("What it can show", words::reach(plan)));
    Document {
        kicker: "Run card".into(),
        title: words::title(plan),
        description: String::new(),
        parts,
        colophon: format!(
            "Made by thereback {}. The report finds runs and swaps in the track; this card is for what the track does not show.",
            env!("CARGO_PKG_VERSION")
        )
        .into(),
    }
}

/// A list under its heading; nothing where it is empty.
pub(super) fn listed(heading: &str, lines: Vec<String>) -> Vec<Part> {
    let list = Part::bullets(lines);
    let heading = list.is_some().then(|| Part::heading(heading));
    heading.into_iter().chain(list).collect()
}

/// How to run it.
pub(super) fn how(plan: &Plan) -> Vec<String> {
    vec![words::legs(plan), words::heading(plan), words::order(plan)]
}

/// What the column of planned times is called.
fn clock_head(plan: &Plan) -> &'static str {
    if plan.request.start.is_some() {
        "planned"
    } else {
        "h:min"
    }
}

fn runs(plan: &Plan) -> Table {
    let courses = plan
        .line
        .map(|line| [line.out, line.back].map(|course| course.to_string()));
    let [there, back] = courses.unwrap_or(["out".to_owned(), "back".to_owned()]);
    let columns = vec![
        Column::words("run"),
        Column::times(clock_head(plan)),
        Column::words("part"),
        Column::words("setting"),
        Column::blank(&format!("{there} began"), ""),
        Column::blank(&format!("{back} ended"), ""),
        Column::blank("volts", ""),
        Column::blank("amps", ""),
        Column::blank("rev/min", ""),
        Column::blank("remarks", ""),
    ];
    let width = columns.len();
    let row = |step: &super::layout::Step| {
        let (look, number, part, setting) = match step.kind {
            StepKind::SetUp => (
                Look::Between,
                Cell::Empty,
                "recorder on".to_owned(),
                "5 min adrift".to_owned(),
            ),
            StepKind::Swap { part } => (
                Look::Between,
                Cell::Empty,
                format!("swap: {}", name(plan.part(part))),
                "☐ battery disconnected ☐ made fast or anchored".to_owned(),
            ),
            StepKind::DoubleRun {
                number,
                part,
                setting,
            } => (
                Look::Plain,
                Cell::count(number),
                name(plan.part(part)),
                words::setting_with_speed(plan, setting),
            ),
        };
        let at = words::clock(plan, step.from_s);
        let mut cells = vec![number, at.into(), part.into(), setting.into()];
        cells.resize(width, Cell::Empty);
        Row {
            cells,
            look,
            ..Row::default()
        }
    };
    Table {
        caption: "The runs in order".to_owned(),
        columns,
        rows: plan.steps.iter().map(row).collect(),
    }
}
