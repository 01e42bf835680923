//! For the person on board, on the terminal: the answer, what to correct, what to do next time.

use super::document::{Document, Part};
use super::tables::{comparison_table, days_tables, legs_table};
use super::words;
use crate::trial::Trial;

/// Width of a terminal.
const COLUMNS: usize = 80;

/// The trial in short: what was found, the comparison, the answer, what it buys, what to do.
///
/// Lines end in a line feed; none is longer than 80 characters unless a single word is.
pub fn summary(trial: &Trial) -> String {
    let mut parts = vec![
        Part::paragraph(words::found(trial)),
        Part::paragraph(words::wind(trial)),
    ];
    parts.extend(words::grouping(trial).map(Part::paragraph));
    let tables = comparison_table(trial)
        .into_iter()
        .chain(days_tables(trial));
    parts.extend(tables.map(Part::Table));
    parts.extend(words::answers(trial).iter().flat_map(words::Answer::parts));
    let worth = words::headline_comparisons(trial).into_iter();
    parts.extend(
        worth
            .filter_map(|c| words::worth(trial, c))
            .map(Part::paragraph),
    );
    list(
        &mut parts,
        "What could be wrong",
        words::doubts(trial, usize::MAX),
    );
    parts.extend(gain(trial));
    let next_time: Vec<String> = words::next_time(trial)
        .into_iter()
        .map(str::to_owned)
        .collect();
    let warnings = words::warnings(trial);
    let asks = !(next_time.is_empty() && warnings.is_empty());
    list(&mut parts, "Next time", next_time);
    list(&mut parts, "Warnings", warnings);
    if asks {
        list(
            &mut parts,
            "Cautions",
            words::cautions().map(str::to_owned).into(),
        );
    }
    let document = Document {
        kicker: words::day_line(trial).into(),
        title: words::title(trial),
        parts,
        ..Document::default()
    };
    document.to_text(COLUMNS)
}

fn list(parts: &mut Vec<Part>, title: &str, lines: Vec<String>) {
    if let Some(bullets) = Part::bullets(lines) {
        parts.extend([Part::heading(title), bullets]);
    }
}

/// What the gain buys, with what is missing for it; nothing where nothing was compared.
fn gain(trial: &Trial) -> Vec<Part> {
    let mut parts = Vec::new();
    if !words::has_gain(trial) || trial.comparisons.is_empty() {
        return parts;
    }
    let lines = [words::gain(trial), words::gain_missing(trial)].concat();
    list(&mut parts, "What the gain buys", lines);
    let cautions = words::over_limit(trial)
        .into_iter()
        .chain(words::home_out_of_reach(trial));
    let cautions = cautions.chain(words::gain_cautions(trial).into_iter().map(str::to_owned));
    parts.extend(cautions.map(|line| Part::Caution(line.into())));
    parts
}

/// The legs as a table for a terminal, with what does not count and why below it.
pub fn legs_text(trial: &Trial) -> String {
    let mut out = legs_table(trial, false).to_text(COLUMNS);
    let several = trial.days.len() > 1;
    let mut left_out = trial.legs.iter().filter(|leg| !leg.included).peekable();
    if left_out.peek().is_some() {
        out.push('\n');
    }
    for leg in left_out {
        let why = leg
            .reason
            .as_deref()
            .map_or_else(|| "no reason given".to_owned(), words::name);
        let day = if several {
            format!("day {}, ", leg.day)
        } else {
            String::new()
        };
        let line = format!("{day}leg {} does not count: {why}", leg.leg);
        super::document::push(&mut out, &line, "", COLUMNS);
    }
    out
}
