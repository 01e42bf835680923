//! From times as written to instants, on the day of the track.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::marks::{ConfigurationMark, Correction, LegMark, LegRef, Marks, SettingMark};
use super::shift::question;
use super::timeline::Timeline;
use super::{Draw, LegName, LegNote, Notes, When};
use crate::track::{Position, Recording};

/// Notes whose times are instants.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Resolved {
    /// The notes as read.
    pub notes: Notes,
    /// What they say of the track. A configuration without a time holds from the start where it is
    /// the first; where none has a time the names go to the configurations found, in order.
    pub marks: Marks,
    /// What the motor drew on single legs.
    pub readings: Vec<LegReading>,
    /// What could not be used, one sentence each, without its full stop.
    pub problems: Vec<String>,
    /// Where the track lies.
    pub place: Option<Position>,
}

/// A spot reading of one leg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegReading {
    /// The leg.
    pub leg: LegRef,
    /// What the motor drew.
    pub draw: Draw,
    /// Line in the notes, from 1.
    pub line: usize,
}

/// Makes instants of the times in the notes.
///
/// A time of day means the local date on which it falls within the track; tracks that run past
/// midnight leave one such date as a rule. Only the first configuration may begin before the
/// track does. A time that fits nowhere, or in more than one place, and a waypoint that is not
/// there or has no time, leave a sentence in [`Resolved::problems`]; nothing fails. Where most of
/// the times miss and all would fit in another time zone, that is asked.
pub fn resolve(notes: &Notes, zone: &TimeZone, recordings: &[Recording]) -> Resolved {
    Timeline::of(recordings).resolve(notes, zone)
}

impl Timeline {
    /// As [`resolve`].
    pub fn resolve(&self, notes: &Notes, zone: &TimeZone) -> Resolved {
        let mut out = Resolved {
            notes: notes.clone(),
            place: self.place,
            ..Resolved::default()
        };
        out.marks.settings = (notes.settings.iter())
            .map(|note| SettingMark {
                name: note.name.clone(),
                percent: note.percent,
            })
            .collect();
        for (index, note) in notes.configurations.iter().enumerate() {
            let from = note
                .from
                .as_ref()
                .map(|when| self.find(when, zone, index == 0));
            let from = from.transpose().unwrap_or_else(|why| {
                out.object(note.line, &format!("configuration `{}`: {why}", note.name));
                None
            });
            out.marks.configurations.push(ConfigurationMark {
                name: note.name.clone(),
                from,
                line: note.line,
            });
        }
        out.object_to_order();
        for note in &notes.legs {
            out.add_leg(note, |when| self.find(when, zone, false));
        }
        out.problems.splice(0..0, self.zone_question(notes, zone));
        out
    }

    /// Whether another time zone was meant, where most times lie outside the track.
    fn zone_question(&self, notes: &Notes, zone: &TimeZone) -> Option<String> {
        let swaps = notes.configurations.iter().skip(1);
        let swaps = swaps.filter_map(|note| note.from.as_ref());
        let legs = notes.legs.iter().filter_map(|note| match &note.leg {
            LegName::At(when) => Some(when),
            LegName::Number(_) => None,
        });
        let of_the_day = |when: &&When| matches!(when, When::Clock(_) | When::Local(_));
        let whens: Vec<&When> = swaps.chain(legs).filter(of_the_day).collect();
        let inside = |when: &When| {
            let candidates = self.candidates(when, zone, 0);
            candidates.iter().any(|time| self.holds(*time))
        };
        let missed = whens.iter().filter(|when| !inside(when)).count();
        if 2 * missed <= whens.len() {
            return None;
        }
        // Another zone may put a time on the day before or after.
        let times: Vec<Vec<Timestamp>> = (whens.iter())
            .map(|when| self.candidates(when, zone, 1))
            .collect();
        let asked = question(&times, zone, self.place, |time| self.holds(time))?;
        Some(format!("{}: {asked}", notes.file))
    }
}

impl Resolved {
    /// Adds a sentence on a line of the notes.
    pub(crate) fn object(&mut self, line: usize, what: &str) {
        let sentence = format!("{}, line {line}: {what}", self.notes.file);
        self.problems.push(sentence);
    }

    /// Configurations that do not begin after those listed before them.
    fn object_to_order(&mut self) {
        let mut latest: Option<ConfigurationMark> = None;
        for mark in self.marks.configurations.clone() {
            match &latest {
                Some(before) if mark.from.is_some() && mark.from <= before.from => self.object(
                    mark.line,
                    &format!(
                        "configuration `{}` does not begin after `{}`, which is listed before it",
                        mark.name, before.name
                    ),
                ),
                _ if mark.from.is_some() => latest = Some(mark),
                _ => {}
            }
        }
    }

    fn add_leg(&mut self, note: &LegNote, find: impl Fn(&When) -> Result<Timestamp, String>) {
        let named = |name: &LegName| match name {
            LegName::Number(number) => Ok(LegRef::Number(*number)),
            LegName::At(when) => find(when).map(LegRef::At),
        };
        let leg = match named(&note.leg) {
            Ok(leg) => leg,
            Err(why) => return self.object(note.line, &format!("leg: {why}")),
        };
        if !note.draw.is_empty() {
            self.readings.push(LegReading {
                leg,
                draw: note.draw,
                line: note.line,
            });
        }
        let mut found: Vec<Result<Correction, String>> = Vec::new();
        found.extend(note.include.then_some(Ok(Correction::Include)));
        found.extend(note.exclude.clone().map(|why| Ok(Correction::Exclude(why))));
        found.extend(note.join_next.then_some(Ok(Correction::JoinNext)));
        for (key, when, correction) in [
            (
                "cut",
                &note.cut,
                Correction::Cut as fn(Timestamp) -> Correction,
            ),
            ("start", &note.start, Correction::Start),
            ("end", &note.end, Correction::End),
        ] {
            let at = when.as_ref().map(&find);
            found.extend(at.map(|at| at.map(correction).map_err(|why| format!("{key}: {why}"))));
        }
        let pair = note.pair.as_ref().map(named);
        found.extend(pair.map(|leg| {
            leg.map(Correction::PairWith)
                .map_err(|why| format!("pair: {why}"))
        }));
        let configuration = note.configuration.clone();
        found.extend(configuration.map(|name| Ok(Correction::Configuration(name))));
        found.extend(
            note.setting
                .clone()
                .map(|name| Ok(Correction::Setting(name))),
        );
        for correction in found {
            match correction {
                Ok(correction) => self.marks.legs.push(LegMark {
                    leg,
                    line: note.line,
                    correction,
                }),
                Err(why) => self.object(note.line, &why),
            }
        }
    }
}
