//! NMEA 0183 logs: one pass over the bytes, sentence by sentence.
//!
//! Any talker; the sentences of one time of day make one fix. Positions come
//! from RMC, GNS, GGA and GLL, in that order where several give one; speed and
//! course over the ground from RMC, else VTG; depth from DPT, DBT, DBS or DBK;
//! heading from HDT, THS, HDG, HDM or VHW; speed through the water from VHW;
//! wind from MWD, MWV, VWT or VWR. The date comes from RMC and ZDA.
//!
//! Sources: NMEA 0183 itself is not public. The layouts here are those of
//! gpsd's "NMEA Revealed" (gpsd.gitlab.io/gpsd/NMEA.html,
//! from memory), held against published example sentences and the `nmea` crate
//! in the tests. Makers' own sentences (`$P...`) and AIS are passed over.

mod clock;
mod instruments;
mod report;
mod sentence;
mod talker;
mod wind;

use jiff::civil::Date;
use memchr::memrchr2;

use self::clock::{Clock, Dated, DatedBy, stamp_ns, start};
use self::instruments::Instruments;
use self::report::{DAY_NS, Motion, Report};
use self::sentence::{Fields, Framed, Kind, Raw, Sentence, frame, sentences};
use self::talker::{OpenFix, Talkers};
use self::wind::Wind;
use super::source::{STEP_BYTES, SURVEYED_BYTES, Source, text};
use super::tally::{Fault, Oddity, Tally, count};
use super::{ReadError, recording};
use crate::track::Recording;

/// Most bytes of a sentence kept for a message.
const SHOWN_BYTES: usize = 100;

/// Reads a log; `date` is the day of its first fix, for a log without any date.
pub(super) fn read(mut source: Source<'_>, date: Option<Date>) -> Result<Recording, ReadError> {
    // Between sentences anything may be; it is never shown.
    source.is_text = false;
    let mut started = start(source.piece(), date);
    if started.by != DatedBy::Sentences && !source.ended {
        source.fill_to(SURVEYED_BYTES)?;
        started = start(source.piece(), date);
    }
    let mut gathered = Gathered::new(started.clock);
    loop {
        let piece = source.piece();
        let end = match memrchr2(b'\n', b'\r', piece) {
            _ if source.ended => piece.len(),
            Some(end) => end + 1,
            // No line of a log is as long.
            None if piece.len() > STEP_BYTES => piece.len(),
            None => 0,
        };
        gathered.place = source.place();
        for raw in sentences(piece.get(..end).unwrap_or(piece)) {
            gathered.take(&raw);
        }
        if source.ended {
            gathered.finish();
            source.advance(end, gathered.places());
            break;
        }
        source.advance(end, gathered.places());
        source.fill()?;
    }
    let line_of = |place| source.line_of(place);
    let fixes = gathered.talkers.fixes();
    if started.by == DatedBy::Nothing && fixes > 0 {
        return Err(ReadError::NoDate {
            file: source.file.clone(),
            line: line_of(gathered.first_fix.unwrap_or(0)),
            fixes,
        });
    }
    let remarks = gathered.remarks(started.by);
    let found = gathered.found_instead();
    let empty = |file| ReadError::NoPositions { file, found };
    let tracks = gathered.talkers.into_tracks();
    let read = recording(&source, &gathered.tally, line_of, tracks, remarks, empty)?;
    Ok(Recording {
        wind: gathered.wind.into_readings(),
        ..read
    })
}

/// All of it.
#[derive(Debug)]
struct Gathered {
    /// Where the piece begins, bytes.
    place: usize,
    clock: Clock,
    instruments: Instruments,
    /// Which kinds of sentences have come with a checksum.
    checked: Vec<Kind>,
    /// Fixes by talker.
    talkers: Talkers,
    /// Readings of the wind.
    wind: Wind,
    /// What could not be used, and what was odd.
    tally: Tally,
    /// Reports of other ships.
    ais: usize,
    /// Sentences of kinds that are not read.
    other: usize,
    /// The address of the first of these.
    first_other: Option<String>,
    /// Sentences that were read and have no position.
    without_position: usize,
    /// Where the first fix begins.
    first_fix: Option<usize>,
}

impl Gathered {
    fn new(clock: Clock) -> Self {
        Self {
            place: 0,
            clock,
            instruments: Instruments::new(),
            checked: Vec::new(),
            talkers: Talkers::default(),
            wind: Wind::default(),
            tally: Tally::default(),
            ais: 0,
            other: 0,
            first_other: None,
            without_position: 0,
            first_fix: None,
        }
    }

    /// The places whose lines messages may name, bytes; those of fixes still open too.
    fn places(&self) -> impl Iterator<Item = usize> {
        let open = self.talkers.open_faults();
        self.tally.places().chain(self.first_fix).chain(open)
    }

    /// Takes what follows a `$` or `!`.
    fn take(&mut self, raw: &Raw<'_>) {
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
            Framed::Ais => {
                self.ais += 1;
                self.tally.note(Oddity::Ais);
            }
            Framed::Other(address) => {
                self.other += 1;
                self.first_other
                    .get_or_insert_with(|| String::from_utf8_lossy(address).into_owned());
            }
            Framed::Nothing => {}
        }
    }

    /// Ends the fixes still open.
    fn finish(&mut self) {
        for talker in self.talkers.each() {
            talker.close(&self.instruments, &mut self.tally);
        }
    }

    /// Where others of its kind had a checksum, a sentence without one has lost its end.
    fn is_whole(&mut self, sentence: &Sentence<'_>) -> bool {
        let others_are = self.checked.contains(&sentence.kind);
        if sentence.checked && !others_are {
            self.checked.push(sentence.kind);
        } else if !sentence.checked && others_are {
            return false;
        }
        self.tally.note_if(!sentence.checked, Oddity::Unchecked);
        true
    }

    fn take_sentence(&mut self, raw: &Raw<'_>, sentence: &Sentence<'_>) {
        let fields = &sentence.fields();
        let report = match &sentence.kind {
            b"RMC" => Report::rmc(fields),
            b"GNS" => Report::gns(fields),
            b"GGA" => Report::gga(fields),
            b"GLL" => Report::gll(fields),
            other => {
                self.without_position += 1;
                return self.take_instrument(*other, sentence, fields);
            }
        };
        self.take_report(raw, sentence, &report);
    }

    fn take_instrument(&mut self, kind: Kind, sentence: &Sentence<'_>, fields: &Fields<'_>) {
        match &kind {
            b"VTG" => {
                let motion = Motion::vtg(fields);
                let talker = self.talkers.named(sentence.talker);
                if let Some(open) = talker.and_then(|talker| talker.open.as_mut()) {
                    open.put_motion(motion);
                }
                self.instruments.set_motion(motion);
            }
            b"ZDA" => {
                if let Some(dated) = Dated::of_zda(sentence) {
                    self.clock.place(dated.of_day_ns, Some(dated.day), None);
                }
            }
            b"MWD" | b"MWV" | b"VWT" | b"VWR" => {
                let tally = &mut self.tally;
                self.wind.take(kind, fields, &self.instruments, tally);
            }
            _ => self.instruments.take(kind, fields, &mut self.tally),
        }
    }

    fn take_report(&mut self, raw: &Raw<'_>, sentence: &Sentence<'_>, report: &Report) {
        self.instruments.set_variation(report.variation);
        let wants_stamp = self.clock.wants_stamps() || report.of_day_ns.is_err();
        let stamp = Some(raw.lead).filter(|_| wants_stamp).and_then(stamp_ns);
        let of_stamp = stamp.map(|stamp| stamp.rem_euclid(DAY_NS));
        let of_day_ns = match (report.of_day_ns, of_stamp) {
            (Ok(of_day_ns), _) => of_day_ns,
            (Err(Fault::NoTime), Some(of_day_ns)) if report.place.is_ok() => {
                self.tally.note(Oddity::Stamped);
                of_day_ns
            }
            (Err(fault), _) => return self.take_untimed(raw, sentence, report, fault),
        };
        let Some(talker) = self.talkers.named(sentence.talker) else {
            return;
        };
        let is_next = |open: &OpenFix| open.of_day_ns != of_day_ns;
        if talker.open.as_ref().is_none_or(is_next) {
            talker.close(&self.instruments, &mut self.tally);
        }
        let open = talker.open.get_or_insert_with(|| OpenFix::new(of_day_ns));
        match report.place {
            Ok(place) => {
                self.tally.note_if(place.signed, Oddity::Signed);
                self.tally.note_if(place.wrapped, Oddity::Wrapped);
                self.first_fix.get_or_insert(self.place + raw.start);
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
            Err(fault) => open.put_fault(fault, self.place + raw.start, raw.body),
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
        let shown = || text(shown(body)).into();
        self.tally.lose(fault, self.place + start, shown);
    }

    /// What is to be said of a log beside the tally, one sentence each.
    fn remarks(&self, dates: DatedBy) -> Vec<String> {
        let of_dates = match dates {
            DatedBy::Sentences | DatedBy::Nothing => None,
            DatedBy::VoidSentences => {
                Some("The date comes from sentences in which the receiver says it had no fix.")
            }
            DatedBy::Given => {
                Some("The sentences hold no date; the first fix is on the day given.")
            }
            DatedBy::Stamps => {
                Some("The sentences hold no date; it was taken from the time stamps on the lines.")
            }
        };
        let both = of_dates.into_iter().chain(self.wind.remark());
        let mut remarks: Vec<String> = both.map(str::to_owned).collect();
        let talkers = self.talkers.names();
        if talkers.len() > 1 {
            remarks.push(format!(
                "Positions come from several talkers ({}); each was read as a track of its own.",
                talkers.join(", ")
            ));
        }
        remarks
    }

    /// What a log without any position holds, for the error.
    fn found_instead(&self) -> String {
        let mut found = Vec::new();
        if self.without_position > 0 {
            found.push(count(self.without_position, "sentence") + " of instruments");
        }
        if self.ais > 0 {
            found.push(count(self.ais, "AIS sentence") + " about other ships");
        }
        if let Some(first) = &self.first_other {
            found.push(format!(
                "{} not read here, the first `{first}`",
                count(self.other, "sentence")
            ));
        }
        if found.is_empty() {
            return "fragments".to_owned();
        }
        found.join(" and ")
    }
}

/// As much of a sentence as a message may need.
fn shown(body: &[u8]) -> &[u8] {
    body.get(..SHOWN_BYTES).unwrap_or(body)
}
