//! Warnings are values; their text ends in advice.

use serde::Serialize;
use serde::ser::{SerializeStruct, Serializer};

use crate::units::{Speed, SpeedUnit};

/// Something a reader must know before believing the rest.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// Some cell of the comparison holds a single double run.
    OneDoubleRun {
        /// The cells, as `configuration at setting`.
        cells: Vec<String>,
    },
    /// All runs of one configuration lie before all runs of the other, and what may have drifted
    /// meanwhile is much of what is not known.
    OrderConfounded {
        /// The configurations, in the order they were run.
        configurations: Vec<String>,
        /// By how much it may have moved a change, percentage points either way.
        percent: f64,
    },
    /// The conditions drifted steadily through the day.
    ConditionsDrifted {
        /// Change of the speed, percent an hour: ends of its 95 % interval.
        percent_per_hour: [f64; 2],
    },
    /// Something probably went wrong in a double run.
    BadRun {
        /// Its number.
        double_run: usize,
    },
    /// The boat was faster against the stated wind than with it.
    WindAgainstRuns,
    /// No boat differs so much, or so little, between its directions in the stated wind.
    WindSpeedDoubtful {
        /// What of it blows along the line, m/s.
        stated_m_s: f64,
        /// What along the line would explain the double runs, m/s.
        along_m_s: [f64; 2],
    },
    /// Legs too short for the boat to settle.
    ShortApproach {
        /// The legs.
        legs: Vec<usize>,
    },
    /// No wind was given and none could be found.
    NoWind {
        /// Why.
        reason: String,
    },
    /// The wind was read off a drift that a current may have a share in.
    WindOrCurrent,
    /// A full circle tells another drift than the double runs.
    CircleDisagrees {
        /// Drift along the line by the circle, m/s.
        circle_m_s: f64,
        /// Mean half difference of the double runs, m/s.
        legs_m_s: f64,
    },
    /// No double run was found.
    NoDoubleRuns {
        /// What was found instead.
        found: String,
    },
    /// Only one configuration was found.
    NothingToCompare,
    /// No setting was run with two configurations.
    NoSharedSetting,
    /// Configurations or settings were told from the track alone.
    GroupedFromTrack {
        /// How they were told, a sentence.
        how: String,
    },
    /// The grouping could be read in more than one way.
    UnclearGroups {
        /// What is unclear, a sentence.
        what: String,
    },
    /// Recorded speeds disagree with the positions.
    RecordedSpeedDiffers {
        /// Ratio of recorded speed to speed from positions.
        ratio: f64,
    },
    /// Fixes are too far apart for the legs' length.
    SparseFixes {
        /// Usual interval, s.
        interval_s: f64,
    },
    /// Without notes, configurations of several days were matched by the order in which they were run.
    MatchedByOrder {
        /// The letters they were given.
        configurations: Vec<String>,
    },
    /// Each configuration was run on a day of its own.
    ComparedAcrossDays,
    /// The runs of two days lie far from each other.
    SeveralWaters {
        /// The days, from 1.
        days: [usize; 2],
        /// How far, km.
        apart_km: f64,
    },
    /// Some of several days have a warning of their own.
    OfDays {
        /// The days, from 1.
        days: Vec<usize>,
        /// What there is to know of each of them.
        warning: Box<Warning>,
    },
    /// Something in the notes could not be applied.
    Notes {
        /// What, a sentence.
        what: String,
    },
    /// The file held something odd.
    File {
        /// Which.
        file: String,
        /// What, a sentence.
        what: String,
    },
}

impl Warning {
    /// A short stable code, for machines.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OneDoubleRun { .. } => "one-double-run",
            Self::OrderConfounded { .. } => "order-confounded",
            Self::ConditionsDrifted { .. } => "conditions-drifted",
            Self::BadRun { .. } => "bad-run",
            Self::WindAgainstRuns => "wind-against-runs",
            Self::WindSpeedDoubtful { .. } => "wind-speed-doubtful",
            Self::ShortApproach { .. } => "short-approach",
            Self::NoWind { .. } => "no-wind",
            Self::WindOrCurrent => "wind-or-current",
            Self::CircleDisagrees { .. } => "circle-disagrees",
            Self::NoDoubleRuns { .. } => "no-double-runs",
            Self::NothingToCompare => "nothing-to-compare",
            Self::NoSharedSetting => "no-shared-setting",
            Self::GroupedFromTrack { .. } => "grouped-from-track",
            Self::UnclearGroups { .. } => "groups-unclear",
            Self::RecordedSpeedDiffers { .. } => "recorded-speed-differs",
            Self::SparseFixes { .. } => "sparse-fixes",
            Self::MatchedByOrder { .. } => "matched-by-order",
            Self::ComparedAcrossDays => "compared-across-days",
            Self::SeveralWaters { .. } => "several-waters",
            Self::OfDays { warning, .. } => warning.code(),
            Self::Notes { .. } => "notes",
            Self::File { .. } => "file",
        }
    }

    /// What it means and what to do about it, in plain words; speeds in m/s, as in `result.json`.
    pub fn text(&self) -> String {
        self.text_in(SpeedUnit::MetresPerSecond)
    }

    /// The same with speeds in `unit`.
    pub fn text_in(&self, unit: SpeedUnit) -> String {
        match self {
            Self::OneDoubleRun { cells } => format!(
                "Only one double run at {}: how far two runs of the same thing differ does not show there, so the interval rests on what is usual. Make two or more, better three, at each setting in each configuration.",
                list(cells)
            ),
            Self::OrderConfounded {
                configurations,
                percent,
            } => format!(
                "All runs of {} came before all runs of {}: whatever drifted meanwhile (battery, load, weeds, a wind that does not show) looks the same as a change of the boat, and may have moved it by {percent:.1} percentage points either way. The interval allows for that. Next time go back to the first configuration at the end, or run them in turn.",
                configurations.first().map_or("", String::as_str),
                configurations.get(1..).map(list).unwrap_or_default()
            ),
            Self::ConditionsDrifted {
                percent_per_hour: [low, high],
            } => format!(
                "The boat's speed drifted through the day by {low:+.1} to {high:+.1} % an hour, whatever was fitted, as with a battery that sags. The comparison takes a steady drift out and its interval allows for the rest. Start with a full battery, and go back to the first configuration at the end."
            ),
            Self::BadRun { double_run } => format!(
                "Double run {double_run} does not fit the others: weeds, a wash, or a lever moved? The comparison gives it little weight. If you know what it was, leave its legs out in the notes, with the reason."
            ),
            Self::WindAgainstRuns => "The boat was faster against the stated wind than with it. Either a current ran along the line, or the direction is not right; give what is known with --current or --wind-from.".to_owned(),
            Self::WindSpeedDoubtful {
                stated_m_s,
                along_m_s: [low, high],
            } => format!(
                "The stated wind makes {:.1} {unit} along the line, but the two directions differ as in one of {:.1} to {:.1} {unit}. Either a current ran along the line, or the wind on the water was another; check it, and give --current where it is known.",
                Speed::metres_per_second(*stated_m_s).in_unit(unit),
                Speed::metres_per_second(*low).in_unit(unit),
                Speed::metres_per_second(*high).in_unit(unit),
            ),
            Self::ShortApproach { legs } => format!(
                "Leg{} {} ended before the boat had gathered its full speed and {} not measured. Make the legs longer.",
                if legs.len() == 1 { "" } else { "s" },
                list(legs),
                if legs.len() == 1 { "is" } else { "are" }
            ),
            Self::NoWind { reason } => format!(
                "The wind is not known ({reason}), so legs carry no wind labels. Give it with --wind-from, or let the boat drift idle for five minutes next time."
            ),
            Self::WindOrCurrent => "The boat's idle drift and its drift along the line are much alike, as in a current, so the wind may blow from elsewhere than the drift says. Give it with --wind-from.".to_owned(),
            Self::CircleDisagrees {
                circle_m_s,
                legs_m_s,
            } => format!(
                "A full circle in the track tells a drift of {:+.2} {unit} along the line, the double runs {:+.2} {unit}: the drift changed between them, or the wind carries a turning boat otherwise. Make the circle close to the double runs, in time and place.",
                Speed::metres_per_second(circle_m_s.abs()).in_unit(unit).copysign(*circle_m_s),
                Speed::metres_per_second(legs_m_s.abs()).in_unit(unit).copysign(*legs_m_s)
            ),
            Self::NoDoubleRuns { found } => format!(
                "No double run was found ({found}). Run there and back on one line at one setting, each way for three minutes or more."
            ),
            Self::NothingToCompare => "Only one configuration was found, so there is nothing to compare. If a part was changed, say when in notes.toml.".to_owned(),
            Self::NoSharedSetting => "No setting was run with two configurations, so there is nothing to compare: a change of the setting would pass for a change of the boat. Run each configuration at the same settings; where the settings were read wrongly, correct notes.toml.".to_owned(),
            Self::GroupedFromTrack { how } => format!(
                "{how}. If that is not how it was, correct notes.toml and run again with --notes."
            ),
            Self::UnclearGroups { what } => format!(
                "{what}. So neither is claimed; say in notes.toml how it was, or pass it back as it is written if that is right."
            ),
            Self::RecordedSpeedDiffers { ratio } => format!(
                "The speeds the recorder wrote are {ratio:.2} times those from its positions. Positions were used; check the recorder's unit."
            ),
            Self::SparseFixes { interval_s } => format!(
                "Fixes are {interval_s:.0} s apart, which leaves few in a leg. Set the recorder to its shortest interval next time."
            ),
            Self::MatchedByOrder { configurations } => format!(
                "No notes say what was fitted when, so the configuration run first on each day was taken as the same one ({}), the next as the next. If a day began with another, say so in notes.toml, with dates.",
                list(configurations)
            ),
            Self::ComparedAcrossDays => "Each configuration was run on a day of its own: whatever else differed between the days (wind, load, temperature, growth on the hull) looks the same as a change of the boat. The interval allows for what is usual between days and is wide for it. Run both on one day, or on several.".to_owned(),
            Self::SeveralWaters {
                days: [first, other],
                apart_km,
            } => format!(
                "The runs of days {first} and {other} lie {apart_km:.0} km apart: another water, or another boat's track? Then give each its own report; if it was one trial all the same, put one_trial = true at the top of the notes."
            ),
            Self::OfDays { days, warning } => format!(
                "Day{} {}: {}",
                if days.len() == 1 { "" } else { "s" },
                list(days),
                warning.text_in(unit)
            ),
            Self::Notes { what } => {
                let stop = if what.ends_with('?') { "" } else { "." };
                format!("{what}{stop} Correct the notes and run again.")
            }
            Self::File { file, what } => format!("{file}: {}.", what.trim_end_matches('.')),
        }
    }
}

impl Serialize for Warning {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_struct("Warning", 2)?;
        out.serialize_field("code", self.code())?;
        out.serialize_field("text", &self.text())?;
        out.end()
    }
}

/// `a`, `a and b`, `a, b and c`.
fn list<T: ToString>(items: impl AsRef<[T]>) -> String {
    let words: Vec<String> = items.as_ref().iter().map(T::to_string).collect();
    match words.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}
