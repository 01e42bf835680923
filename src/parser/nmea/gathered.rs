//! From sentences to fixes: what a log has given so far.

use super::clock::Clock;
use super::fields::Fields;
use super::fix::{Closed, OpenFix};
use super::instruments::Instruments;
use super::kind::Kind;
use super::motion::Motion;
use super::position::Report;
use super::sentence::{Framed, Sentence, frame};
use super::sentences::Raw;
use super::stamp::stamp_ns;
use super::start::Dated;
use super::talker::Talkers;
use super::value::DAY_NS;
use super::wind::Wind;
use crate::parser::fault::{Fault, Faults};

/// What was met beside the fixes.
#[derive(Debug, Default)]
pub(super) struct Counts {
    /// Reports of other ships.
    pub(super) ais: usize,
    /// Sentences of kinds that are not read.
    pub(super) other: usize,
    /// The address of the first of these.
    pub(super) first_other: Option<String>,
    /// Sentences without a checksum, in a log that has none for them.
    pub(super) unchecked: usize,
    /// Sentences that were read and have no position.
    pub(super) without_position: usize,
    /// Coordinates with a minus sign.
    pub(super) signed: usize,
    /// Longitudes beyond 180 that were wrapped.
    pub(super) wrapped: usize,
    /// Fixes that have their time from the stamp on the line.
    pub(super) stamped: usize,
}

/// All of it.
#[derive(Debug)]
pub(super) struct Gathered {
    /// Where the window begins in which the places of sentences are counted, bytes.
    pub(super) window_start: usize,
    clock: Clock,
    instruments: Instruments,
    /// Which kinds of sentences have come with a checksum.
    checked: [bool; Kind::COUNT],
    /// Fixes by talker.
    pub(super) talkers: Talkers,
    /// Readings of the wind.
    pub(super) wind: Wind,
    /// What could not be used.
    pub(super) faults: Faults,
    /// What was met beside.
    pub(super) counts: Counts,
    /// Where the first fix stands.
    pub(super) first_fix: Option<usize>,
}

impl Gathered {
    pub(super) fn new(clock: Clock) -> Self {
        Self {
            window_start: 0,
            clock,
            instruments: Instruments::new(),
            checked: [false; Kind::COUNT],
            talkers: Talkers::default(),
            wind: Wind::default(),
            faults: Faults::default(),
            counts: Counts::default(),
            first_fix: None,
        }
    }

    /// The places whose lines may be told, bytes; those of fixes still open too.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        let open = self.talkers.open_faults();
        self.faults.places().chain(self.first_fix).chain(open)
    }

    /// How many fixes there are.
    pub(super) fn fixes(&self) -> usize {
        self.talkers.fixes()
    }

    /// Magnetic headings that could not be turned to true ones.
    pub(super) fn unturned(&self) -> usize {
        self.instruments.unturned
    }

    /// Takes what stands behind a `$` or `!`.
    pub(super) fn take(&mut self, raw: &Raw<'_>) {
        match frame(raw.body) {
            Framed::Known(sentence) => {
                if self.is_whole(&sentence) {
                    self.take_sentence(raw, &sentence);
                } else {
                    self.fault(Fault::CutOff, raw.start, raw.body);
                }
            }
            Framed::WrongChecksum => self.fault(Fault::WrongChecksum, raw.start, raw.body),
            Framed::CutOff => self.fault(Fault::CutOff, raw.start, raw.body),
            Framed::Ais => self.counts.ais += 1,
            Framed::Other(address) => {
                self.counts.other += 1;
                self.counts
                    .first_other
                    .get_or_insert_with(|| String::from_utf8_lossy(address).into_owned());
            }
            Framed::Nothing => {}
        }
    }

    /// Ends the fixes still open.
    pub(super) fn finish(&mut self) {
        for talker in self.talkers.each() {
            close(
                talker.open.take(),
                &self.instruments,
                &mut self.faults,
                |at_ns, fix| talker.push(at_ns, fix),
            );
        }
    }

    /// Where others of its kind had a checksum, a sentence without one has lost its end.
    fn is_whole(&mut self, sentence: &Sentence<'_>) -> bool {
        let Some(checked) = self.checked.get_mut(sentence.kind as usize) else {
            return true;
        };
        if sentence.checked {
            *checked = true;
        } else if *checked {
            return false;
        } else {
            self.counts.unchecked += 1;
        }
        true
    }

    fn take_sentence(&mut self, raw: &Raw<'_>, sentence: &Sentence<'_>) {
        let fields = &sentence.fields();
        let report = match sentence.kind {
            Kind::Rmc => Report::rmc(fields),
            Kind::Gns => Report::gns(fields),
            Kind::Gga => Report::gga(fields),
            Kind::Gll => Report::gll(fields),
            other => {
                self.counts.without_position += 1;
                return self.take_instrument(other, sentence, fields);
            }
        };
        self.take_report(raw, sentence, &report);
    }

    fn take_instrument(&mut self, kind: Kind, sentence: &Sentence<'_>, fields: &Fields<'_>) {
        match kind {
            Kind::Vtg => {
                let motion = Motion::vtg(fields);
                let talker = self.talkers.named(sentence.talker);
                if let Some(open) = talker.and_then(|talker| talker.open.as_mut()) {
                    open.put_motion(motion);
                }
                self.instruments.set_motion(motion);
            }
            Kind::Zda => {
                if let Some(dated) = Dated::of_zda(sentence) {
                    self.clock.place(dated.of_day_ns, Some(dated.day), None);
                }
            }
            Kind::Mwd | Kind::Mwv | Kind::Vwt | Kind::Vwr => {
                self.wind.take(kind, fields, &self.instruments);
            }
            _ => self.instruments.take(kind, fields),
        }
    }

    fn take_report(&mut self, raw: &Raw<'_>, sentence: &Sentence<'_>, report: &Report) {
        self.instruments.set_variation(report.variation);
        let wants_stamp = self.clock.wants_stamps() || report.of_day_ns.is_err();
        let stamp = if wants_stamp {
            stamp_ns(raw.lead)
        } else {
            None
        };
        let of_stamp = stamp.map(|stamp| stamp.rem_euclid(DAY_NS));
        let of_day_ns = match (report.of_day_ns, of_stamp) {
            (Ok(of_day_ns), _) => of_day_ns,
            (Err(Fault::NoTime), Some(of_day_ns)) if report.place.is_ok() => {
                self.counts.stamped += 1;
                of_day_ns
            }
            (Err(fault), _) => return self.take_untimed(raw, sentence, report, fault),
        };
        let Some(talker) = self.talkers.named(sentence.talker) else {
            return;
        };
        if talker
            .open
            .as_ref()
            .is_none_or(|open| open.of_day_ns != of_day_ns)
        {
            let over = talker.open.replace(OpenFix::new(of_day_ns));
            close(over, &self.instruments, &mut self.faults, |at_ns, fix| {
                talker.push(at_ns, fix);
            });
        }
        let Some(open) = talker.open.as_mut() else {
            return;
        };
        match report.place {
            Ok(place) => {
                self.counts.signed += usize::from(place.signed);
                self.counts.wrapped += usize::from(place.wrapped);
                self.first_fix.get_or_insert(self.window_start + raw.start);
                // A date of its own mends an instant that was guessed without one.
                let at_ns = match open.at_ns {
                    Some(at_ns) if report.day.is_none() => at_ns,
                    _ => self.clock.place(of_day_ns, report.day, stamp),
                };
                open.at_ns = Some(at_ns);
                open.put(report, place.position);
                let motion = Motion {
                    speed: report.speed,
                    course: report.course,
                };
                self.instruments.tick(at_ns, motion);
            }
            Err(fault) => open.put_fault(fault, self.window_start + raw.start, raw.body),
        }
    }

    /// A sentence without a time. Where the receiver has no fix, all its sentences are like that,
    /// so those of one kind are counted.
    fn take_untimed(
        &mut self,
        raw: &Raw<'_>,
        sentence: &Sentence<'_>,
        report: &Report,
        untimed: Fault,
    ) {
        if untimed == Fault::UnreadableTime {
            return self.fault(untimed, raw.start, raw.body);
        }
        let fault = report.place.err().unwrap_or(untimed);
        let kind = self
            .talkers
            .named(sentence.talker)
            .map(|talker| *talker.untimed.get_or_insert(sentence.kind));
        if kind.is_none_or(|kind| kind == sentence.kind) {
            self.fault(fault, raw.start, raw.body);
        }
    }

    fn fault(&mut self, fault: Fault, start: usize, body: &[u8]) {
        self.faults.add(
            fault,
            self.window_start + start,
            &String::from_utf8_lossy(body),
        );
    }
}

/// Ends a fix: `push` takes it, or its fault is counted.
fn close(
    open: Option<OpenFix>,
    instruments: &Instruments,
    faults: &mut Faults,
    push: impl FnOnce(i64, crate::track::Fix),
) {
    match open.and_then(OpenFix::close) {
        Some(Closed::Fix(at_ns, fix)) => push(at_ns, instruments.complete(at_ns, fix)),
        Some(Closed::Lost(fault, start, body)) => {
            faults.add(fault, start, &String::from_utf8_lossy(&body));
        }
        None => {}
    }
}
