//! What was odd about a log as a whole, in words.

use super::gathered::Gathered;
use super::start::Source;
use super::wind::WindFrom;

/// All remarks on a log, one sentence each.
pub(super) fn remarks(gathered: &Gathered, dates: Source) -> Vec<String> {
    let counts = &gathered.counts;
    let mut remarks: Vec<String> = dates_remark(dates).map(str::to_owned).into_iter().collect();
    let mut tell = |number: usize, noun: &str, what: &str| {
        if number > 0 {
            remarks.push(format!("{} {what}", count(number, noun)));
        }
    };
    tell(
        counts.unchecked,
        "sentence",
        "without a checksum taken as they stand.",
    );
    tell(counts.ais, "AIS sentence", "about other ships passed over.");
    tell(
        counts.stamped,
        "position",
        "without a time of its own dated by the stamp on the line.",
    );
    tell(
        counts.signed,
        "position",
        "with a minus sign taken as south or west, whatever the letter behind.",
    );
    tell(
        counts.wrapped,
        "longitude",
        "beyond 180 degrees taken round the Earth.",
    );
    tell(
        gathered.unturned(),
        "magnetic heading",
        "left out: no sentence before told the variation.",
    );
    tell(
        gathered.wind.unplaced,
        "wind reading",
        "left out: heading, course or speed were not known at the time.",
    );
    remarks.extend(
        gathered
            .wind
            .source()
            .map(|source| wind_remark(source).to_owned()),
    );
    let talkers = gathered.talkers.names();
    if talkers.len() > 1 {
        remarks.push(format!(
            "Positions come from several talkers ({}); each was read as a track of its own.",
            talkers.join(", ")
        ));
    }
    remarks
}

/// What a log without any position holds, for the error.
pub(super) fn found_instead(gathered: &Gathered) -> String {
    let counts = &gathered.counts;
    let mut found = Vec::new();
    if counts.without_position > 0 {
        found.push(count(counts.without_position, "sentence") + " of instruments");
    }
    if counts.ais > 0 {
        found.push(count(counts.ais, "AIS sentence") + " about other ships");
    }
    if let Some(first) = &counts.first_other {
        found.push(format!(
            "{} not read here, the first `{first}`",
            count(counts.other, "sentence")
        ));
    }
    if found.is_empty() {
        return "fragments".to_owned();
    }
    found.join(" and ")
}

fn dates_remark(dates: Source) -> Option<&'static str> {
    match dates {
        Source::Sentences | Source::Nowhere => None,
        Source::VoidSentences => {
            Some("The date comes from sentences in which the receiver says it had no fix.")
        }
        Source::Given => Some("The sentences hold no date; the first fix is on the day given."),
        Source::Stamps => {
            Some("The sentences hold no date; it was taken from the time stamps on the lines.")
        }
    }
}

fn wind_remark(source: WindFrom) -> &'static str {
    match source {
        WindFrom::Direction => "True wind taken from the direction the instruments give (MWD).",
        WindFrom::OffTheBow => {
            "True wind taken from the instruments' angle off the bow (MWV, VWT) and the heading."
        }
        WindFrom::Felt => {
            "True wind reckoned from the wind felt on board (MWV, VWR), heading, course and speed over the ground."
        }
    }
}

fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}
