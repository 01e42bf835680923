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
use self::sentence::{Fields, Framed, Kind, Raw, Sentence, Sentences, frame};
use self::talker::{Closed, OpenFix, Talkers};
use self::wind::{Wind, WindFrom};
use super::ReadError;
use super::fault::{Fault, Faults};
use super::source::{STEP_BYTES, SURVEYED_BYTES, Source};
use super::text::{count, text};
use crate::track::{Fix, Recording};

/// Most bytes of a sentence kept for a message.
const SHOWN_BYTES: usize = 100;

/// Reads a log; `date` is the day of its first fix, for a log without any date.
pub(super) fn read(mut source: Source<'_>, date: Option<Date>) -> Result<Recording, ReadError> {
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
        for raw in Sentences::new(piece.get(..end).unwrap_or(piece)) {
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
    let file = source.file.clone();
    let line_of = |place| source.line_of(place);
    let fixes = gathered.talkers.fixes();
    if fixes == 0 {
        let lost = gathered.faults.all_lost(line_of, &file);
        return Err(lost.unwrap_or_else(|| ReadError::NoPositions {
            file,
            found: gathered.found_instead(),
        }));
    }
    if started.by == DatedBy::Nothing {
        return Err(ReadError::NoDate {
            file,
            line: line_of(gathered.first_fix.unwrap_or(0)),
            fixes,
        });
    }
    let mut remarks: Vec<String> = source.remark.clone().into_iter().collect();
    remarks.extend(gathered.remarks(started.by));
    Ok(Recording {
        file,
        points_met: fixes + gathered.faults.total(),
        set_aside: gathered.faults.set_aside(line_of),
        remarks,
        tracks: gathered.talkers.into_tracks(),
        waypoints: Vec::new(),
        wind: gathered.wind.into_readings(),
    })
}

/// What was met beside the fixes.
#[derive(Debug, Default)]
struct Counts {
    /// Reports of other ships.
    ais: usize,
    /// Sentences of kinds that are not read.
    other: usize,
    /// The address of the first of these.
    first_other: Option<String>,
    /// Sentences without a checksum, in a log that has none for them.
    unchecked: usize,
    /// Sentences that were read and have no position.
    without_position: usize,
    /// Coordinates with a minus sign.
    signed: usize,
    /// Longitudes beyond 180 that were wrapped.
    wrapped: usize,
    /// Fixes that have their time from the stamp on the line.
    stamped: usize,
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
    /// What could not be used.
    faults: Faults,
    /// What was met beside.
    counts: Counts,
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
            faults: Faults::default(),
            counts: Counts::default(),
            first_fix: None,
        }
    }

    /// The places whose lines messages may name, bytes; those of fixes still open too.
    fn places(&self) -> impl Iterator<Item = usize> {
        let open = self.talkers.open_faults();
        self.faults.places().chain(self.first_fix).chain(open)
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
    fn finish(&mut self) {
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
        let others_are = self.checked.contains(&sentence.kind);
        if sentence.checked && !others_are {
            self.checked.push(sentence.kind);
        } else if !sentence.checked && others_are {
            return false;
        }
        self.counts.unchecked += usize::from(!sentence.checked);
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
                self.counts.without_position += 1;
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
        self.faults
            .add(fault, self.place + start, || text(shown(body)).into());
    }

    /// All remarks on a log, one sentence each.
    fn remarks(&self, dates: DatedBy) -> Vec<String> {
        let counts = &self.counts;
        let mut remarks: Vec<String> = dates_remark(dates).map(str::to_owned).into_iter().collect();
        let mut add = |number: usize, noun: &str, what: &str| {
            if number > 0 {
                remarks.push(format!("{} {what}", count(number, noun)));
            }
        };
        add(
            counts.unchecked,
            "sentence",
            "without a checksum taken as they stand.",
        );
        add(counts.ais, "AIS sentence", "about other ships passed over.");
        add(
            counts.stamped,
            "position",
            "without a time of its own dated by the stamp on the line.",
        );
        add(
            counts.signed,
            "position",
            "with a minus sign taken as south or west, whatever the letter behind.",
        );
        add(
            counts.wrapped,
            "longitude",
            "beyond 180 degrees taken round the Earth.",
        );
        add(
            self.instruments.unturned,
            "magnetic heading",
            "left out: no sentence before gave the variation.",
        );
        add(
            self.wind.unplaced,
            "wind reading",
            "left out: heading, course or speed were not known at the time.",
        );
        remarks.extend(
            self.wind
                .source()
                .map(|source| wind_remark(source).to_owned()),
        );
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
        let counts = &self.counts;
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
}

/// Ends a fix: `push` takes it, or its fault is counted.
fn close(
    open: Option<OpenFix>,
    instruments: &Instruments,
    faults: &mut Faults,
    push: impl FnOnce(i64, Fix),
) {
    match open.and_then(OpenFix::close) {
        Some(Closed::Fix(at_ns, fix)) => push(at_ns, instruments.complete(at_ns, fix)),
        Some(Closed::Lost(fault, start, body)) => {
            faults.add(fault, start, || text(&body).into());
        }
        None => {}
    }
}

/// As much of a sentence as a message may need.
fn shown(body: &[u8]) -> &[u8] {
    body.get(..SHOWN_BYTES).unwrap_or(body)
}

fn dates_remark(dates: DatedBy) -> Option<&'static str> {
    match dates {
        DatedBy::Sentences | DatedBy::Nothing => None,
        DatedBy::VoidSentences => {
            Some("The date comes from sentences in which the receiver says it had no fix.")
        }
        DatedBy::Given => Some("The sentences hold no date; the first fix is on the day given."),
        DatedBy::Stamps => {
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
            "True wind computed from the wind felt on board (MWV, VWR), heading, course and speed over the ground."
        }
    }
}
