//! Which day a log begins on: looked up before its fixes are read.
//!
//! A log may begin with sentences that have times alone (GGA) and give a date
//! later (RMC, ZDA). So the first date is sought first; in most logs it stands
//! in the first kilobyte.

use jiff::civil::Date;

use super::clock::Clock;
use super::kind::Kind;
use super::position::Report;
use super::sentence::{Framed, Sentence, frame};
use super::sentences::Sentences;
use super::stamp::stamp_ns;
use super::value::{DAY_NS, day_of_fields, day_since_1970, time_of_day_ns};

/// Where a log's dates come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Source {
    /// Its own RMC or ZDA sentences.
    Sentences,
    /// RMC sentences that themselves say the receiver had no fix.
    VoidSentences,
    /// The person.
    Given,
    /// The stamps on its lines.
    Stamps,
    /// There are none.
    Nowhere,
}

/// How a log's times are dated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Started {
    pub(super) clock: Clock,
    pub(super) source: Source,
}

/// A date with its time of day, nanoseconds since 1970.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Dated {
    pub(super) of_day_ns: i64,
    pub(super) day: i64,
}

impl Dated {
    fn at_ns(self) -> i64 {
        self.day * DAY_NS + self.of_day_ns
    }

    /// The date of a ZDA sentence; `None` where a field is empty or no date.
    pub(super) fn of_zda(sentence: &Sentence<'_>) -> Option<Self> {
        let fields = sentence.fields();
        Some(Self {
            of_day_ns: time_of_day_ns(fields.text(1))?,
            day: day_of_fields(fields.text(2), fields.text(3), fields.text(4))?,
        })
    }
}

/// Looks for the first date; `given` stands in where no sentence has one.
pub(super) fn start(bytes: &[u8], given: Option<Date>) -> Started {
    let (mut void, mut stamp) = (None, None);
    for raw in Sentences::new(bytes) {
        let Framed::Known(sentence) = frame(raw.body) else {
            continue;
        };
        stamp = stamp.or_else(|| stamp_ns(raw.lead));
        match sentence.kind {
            Kind::Zda => {
                if let Some(dated) = Dated::of_zda(&sentence) {
                    return started(Clock::until(dated.at_ns()), Source::Sentences);
                }
            }
            Kind::Rmc => {
                let report = Report::rmc(&sentence.fields());
                if let (Ok(of_day_ns), Some(day)) = (report.of_day_ns, report.day) {
                    let dated = Dated { of_day_ns, day };
                    if report.place.is_ok() {
                        return started(Clock::until(dated.at_ns()), Source::Sentences);
                    }
                    void = void.or(Some(dated));
                }
            }
            _ => {}
        }
    }
    if let Some(day) = given.and_then(day_since_1970) {
        return started(Clock::from_day(day * DAY_NS), Source::Given);
    }
    if let Some(dated) = void {
        return started(Clock::until(dated.at_ns()), Source::VoidSentences);
    }
    match stamp {
        Some(stamp) => started(Clock::by_stamps(stamp), Source::Stamps),
        None => started(Clock::from_day(0), Source::Nowhere),
    }
}

fn started(clock: Clock, source: Source) -> Started {
    Started { clock, source }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(log: &str, given: Option<&str>, source: Source) {
        let given = given.and_then(|date| date.parse().ok());
        assert_eq!(start(log.as_bytes(), given).source, source, "{log}");
    }

    #[test]
    fn the_best_date_there_is_is_taken() {
        let gga = "2031-06-04T09:12:30Z $GPGGA,091230,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,\n";
        let undated = "$GPGGA,091230,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,\n$GPRMC,091230,A,5742.5,N,01156.4,E,5,235,000070,,\n";
        let rmc = "$GPRMC,091230,A,5742.5,N,01156.4,E,5,235,040631,,\n";
        let void = "$GPRMC,091230,V,,,,,,,040631,,\n";
        let zda = "$GPZDA,091230,04,06,2031,,\n";
        let day = Some("2031-06-04");
        check(&format!("{gga}{rmc}"), day, Source::Sentences);
        check(&format!("{undated}{void}{zda}"), day, Source::Sentences);
        check(&format!("{undated}{void}"), day, Source::Given);
        check(&format!("{undated}{void}"), None, Source::VoidSentences);
        check(gga, day, Source::Given);
        check(gga, None, Source::Stamps);
        check(undated, None, Source::Nowhere);
        check("$GPZDA,091230,,,,,\n", None, Source::Nowhere);
    }
}
