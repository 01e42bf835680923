//! What was odd about a table as a whole, in words.

use super::columns::Columns;
use super::compass::North;
use super::dates::{Certainty, DateOrder};
use super::layout::Layout;
use super::names::Unit;
use super::rows::Gathered;
use super::when::Form;
use crate::parser::lines::line_of;
use crate::parser::text::clipped;

/// Longest column name repeated.
const NAME_CHARACTERS: usize = 40;

/// All remarks, one sentence each.
pub(super) fn remarks(gathered: &Gathered, layout: &Layout, text: &str) -> Vec<String> {
    let columns = &layout.columns;
    let mut remarks = Vec::new();
    let header_line = line_of(text, layout.header_start);
    if header_line > 1 {
        remarks.push(format!(
            "The columns are named at line {header_line}; what stands before it was passed over."
        ));
    }
    if columns.by_letters {
        let (latitude, why) = if gathered.x_is_latitude {
            ("x", "as `y` goes beyond 90")
        } else {
            ("y", "as on maps")
        };
        remarks.push(format!(
            "Columns `x` and `y`: `{latitude}` was taken for the latitude, {why}."
        ));
    }
    if let Some(again) = gathered.headers_again.first() {
        remarks.push(format!(
            "The header stands again at {}, first at line {}: tables joined end to end; all were read.",
            count(gathered.headers_again.len(), "place"),
            line_of(text, *again),
        ));
    }
    if gathered.broken_quotes {
        remarks.push("Quotes are out of order and were read as any other character.".to_owned());
    }
    remarks.extend(
        gathered
            .when
            .and_then(|when| time_remark(when.form, gathered.certainty)),
    );
    if gathered.zoneless > 0 {
        remarks.push(format!(
            "{} without a zone taken as UTC.",
            count(gathered.zoneless, "time")
        ));
    }
    if gathered.wrapped > 0 {
        remarks.push(format!(
            "{} beyond 180 degrees taken round the Earth.",
            count(gathered.wrapped, "longitude")
        ));
    }
    remarks.extend(unit_remarks(gathered, columns, layout));
    remarks
}

fn time_remark(form: Form, certainty: Option<Certainty>) -> Option<String> {
    match form {
        Form::YearLast(order) => {
            let (read, other) = match order {
                DateOrder::DayFirst => ("day", "month"),
                DateOrder::MonthFirst => ("month", "day"),
            };
            match certainty? {
                Certainty::Sure => None,
                Certainty::ByDays => Some(format!(
                    "Dates were read with the {read} first, as only so do the days follow one another."
                )),
                Certainty::Guessed => Some(format!(
                    "Dates were read with the {read} first; nothing in the file tells whether the {other} comes first. Differences of time within a day are the same."
                )),
            }
        }
        Form::Elapsed(_) => Some(
            "Times count from an unknown beginning and are shown as from 1 January 1970; only differences of time are used."
                .to_owned(),
        ),
        Form::YearFirst | Form::Epoch(_) => None,
    }
}

fn unit_remarks(gathered: &Gathered, columns: &Columns, layout: &Layout) -> Vec<String> {
    let name = |index: usize| {
        let name = layout.header.get(index).map_or("", String::as_str);
        clipped(name, NAME_CHARACTERS)
    };
    let mut remarks = Vec::new();
    let has = |known: fn(&crate::track::Fix) -> bool| gathered.fixes.iter().any(known);
    if let Some(speed) = columns.speed.filter(|speed| speed.unit == Unit::Unsaid)
        && has(|fix| fix.speed.is_some())
    {
        remarks.push(format!(
            "Column `{}` names no unit: taken for m/s unless the positions say otherwise.",
            name(speed.index)
        ));
    }
    if let Some(depth) = columns.depth.filter(|depth| depth.unit == Unit::Unsaid)
        && has(|fix| fix.depth.is_some())
    {
        remarks.push(format!(
            "Column `{}` names no unit: taken for metres.",
            name(depth.index)
        ));
    }
    if let Some(heading) = columns
        .heading
        .filter(|column| column.north == North::Unsaid)
        && has(|fix| fix.heading.is_some())
    {
        remarks.push(format!(
            "Column `{}` says neither true nor magnetic: taken for true.",
            name(heading.index)
        ));
    }
    if let Some(heading) = columns.heading.filter(|_| gathered.unturned > 0) {
        remarks.push(format!(
            "{} in column `{}` left out: they are magnetic, and the variation is not given beside them.",
            count(gathered.unturned, "heading"),
            name(heading.index)
        ));
    }
    if let Some(water) = columns.water_speed.filter(|_| gathered.unitless > 0) {
        remarks.push(format!(
            "{} through the water left out: column `{}` names no unit; write it into the header, as in `stw (kn)`.",
            count(gathered.unitless, "speed"),
            name(water.index)
        ));
    }
    if gathered.unknown_units > 0 {
        remarks.push(format!(
            "{} in an unknown unit left out.",
            count(gathered.unknown_units, "recorded value")
        ));
    }
    remarks
}

fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}
