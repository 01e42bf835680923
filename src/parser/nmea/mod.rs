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
mod fields;
mod fix;
mod gathered;
mod instruments;
mod kind;
mod motion;
mod position;
mod remarks;
mod sentence;
mod sentences;
mod stamp;
mod start;
mod talker;
mod value;
mod wind;
mod windows;

use jiff::civil::Date;

use self::gathered::Gathered;
use self::sentences::Sentences;
pub(super) use self::windows::read_in_windows;
use super::ReadError;
use super::lines::Lines;
use crate::track::Recording;

/// Reads a log from its bytes; `date` is the day of its first fix, for a log without any date.
pub(super) fn read(bytes: &[u8], file: &str, date: Option<Date>) -> Result<Recording, ReadError> {
    let started = start::start(bytes, date);
    let gathered = Gathered::new(started.clock);
    read_last(gathered, Lines::default(), bytes, started.source, file)
}

/// Reads the last window, which is the only one where the whole log is at hand.
fn read_last(
    mut gathered: Gathered,
    mut lines: Lines,
    bytes: &[u8],
    dates: start::Source,
    file: &str,
) -> Result<Recording, ReadError> {
    for raw in Sentences::new(bytes) {
        gathered.take(&raw);
    }
    gathered.finish();
    lines.go_over(bytes, gathered.places());
    let line_of = |place| lines.line_of(place);
    let fixes = gathered.fixes();
    if fixes == 0 {
        let lost = gathered.faults.all_lost(line_of, file);
        return Err(lost.unwrap_or_else(|| ReadError::NoPositions {
            file: file.to_owned(),
            found: remarks::found_instead(&gathered),
        }));
    }
    if dates == start::Source::Nowhere {
        return Err(ReadError::NoDate {
            file: file.to_owned(),
            line: line_of(gathered.first_fix.unwrap_or(0)),
            fixes,
        });
    }
    let remarks = remarks::remarks(&gathered, dates);
    Ok(Recording {
        file: file.to_owned(),
        points_met: fixes + gathered.faults.total(),
        set_aside: gathered.faults.set_aside(line_of),
        tracks: gathered.talkers.into_tracks(),
        waypoints: Vec::new(),
        wind: gathered.wind.into_readings(),
        remarks,
    })
}
