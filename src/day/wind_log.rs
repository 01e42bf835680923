//! The wind of a log over a span of time.

pub use crate::parser::{WindLog, WindRow};

mod onboard;

mod mean;
pub use mean::{MeanWind, REACH_S};

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use jiff::Timestamp;
    use jiff::tz::TimeZone;

    use crate::parser::read_wind_log as read;
    use crate::units::{Bearing, Speed, SpeedUnit};

    const LOG: &str = "time,direction (deg),speed (m/s),gust (m/s)\n\
        2026-06-12T09:00Z,350,5.0,8\n\
        2026-06-12T09:10Z,10,5.0,9\n\
        2026-06-12T09:20Z,,,\n\
        2026-06-12T09:30Z,90,4,7\n";

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    /// 350 and 10 degrees have their mean at north, and the vector shrinks by cos 10° (geometry).
    #[test]
    fn means_go_across_north() {
        let log = read(LOG.as_bytes(), "wind.csv").unwrap();
        assert_eq!(
            (
                log.readings.len(),
                log.set_aside[0].count,
                log.set_aside[0].first_line
            ),
            (3, 1, Some(4))
        );
        let mean = log
            .mean(
                at("2026-06-12T09:00:00Z"),
                at("2026-06-12T09:15:00Z"),
                &TimeZone::UTC,
            )
            .unwrap();
        assert!(mean.from.unwrap().apart(Bearing::new(0.0).unwrap()) < 1e-9);
        let expected = 5.0 * 10_f64.to_radians().cos();
        assert!((mean.speed.unwrap().as_metres_per_second() - expected).abs() < 1e-12);
        assert_eq!(mean.readings, 2);
    }

    #[test]
    fn a_short_span_takes_its_neighbours() {
        let log = read(LOG.as_bytes(), "wind.csv").unwrap();
        let mean = |from: &str, to: &str| log.mean(at(from), at(to), &TimeZone::UTC);
        assert_eq!(
            mean("2026-06-12T09:14:00Z", "2026-06-12T09:16:00Z")
                .unwrap()
                .readings,
            2
        );
        assert_eq!(
            mean("2026-06-12T09:50:00Z", "2026-06-12T09:55:00Z")
                .unwrap()
                .readings,
            1
        );
        assert_eq!(mean("2026-06-12T12:00:00Z", "2026-06-12T12:10:00Z"), None);
    }

    /// Half way between two readings an hour apart lies their mean; beyond the last one nothing
    /// is known.
    #[test]
    fn what_is_smoothed_is_covered() {
        let text = "time,direction,speed (m/s)\n2026-06-12T09:00Z,90,4\n2026-06-12T10:00Z,90,8\n";
        let log = read(text.as_bytes(), "wind.csv").unwrap();
        let speed = |from: &str, to: &str| {
            let found = log.smoothed(at(from), at(to), &TimeZone::UTC)?;
            found.speed.map(Speed::as_metres_per_second)
        };
        let near = |found: Option<f64>, wanted: f64| (found.unwrap() - wanted).abs() < 1e-9;
        assert!(near(
            speed("2026-06-12T09:25:00Z", "2026-06-12T09:35:00Z"),
            6.0
        ));
        assert!(near(
            speed("2026-06-12T09:10:00Z", "2026-06-12T09:20:00Z"),
            5.0
        ));
        assert_eq!(speed("2026-06-12T09:58:00Z", "2026-06-12T10:08:00Z"), None);
        assert_eq!(speed("2026-06-12T07:30:00Z", "2026-06-12T07:40:00Z"), None);
        let dense = "time,direction,speed (m/s)\n2026-06-12T09:00Z,90,4\n2026-06-12T09:10Z,90,7\n2026-06-12T09:20Z,90,4\n";
        let dense = read(dense.as_bytes(), "wind.csv").unwrap();
        let middle = at("2026-06-12T09:10:00Z");
        let smoothed = dense.smoothed(middle, middle, &TimeZone::UTC).unwrap();
        // Weights 2/3, 1 and 2/3.
        let wanted = (7.0 + 4.0 * 4.0 / 3.0) / (7.0 / 3.0);
        assert!(near(
            smoothed.speed.map(Speed::as_metres_per_second),
            wanted
        ));
    }

    #[test]
    fn reads_local_times_semicolons_and_decimal_commas() {
        let zone = crate::notes::zone::named("Europe/Stockholm").unwrap();
        let text = "Time;Wind from;Wind speed (kn)\n09:10;SW;9,5\n2026-06-12 09:20;225;9,5\n";
        let log = read(text.as_bytes(), "wind.csv").unwrap();
        let mean = log
            .mean(
                at("2026-06-12T07:00:00Z"),
                at("2026-06-12T07:30:00Z"),
                &zone,
            )
            .unwrap();
        assert_eq!(mean.readings, 2);
        assert!((mean.from.unwrap().degrees() - 225.0).abs() < 1e-9);
        assert!((mean.speed.unwrap().in_unit(SpeedUnit::Knots) - 9.5).abs() < 1e-9);
    }

    #[test]
    fn winds_that_cancel_have_no_direction() {
        let log = read(
            "time,direction\n09:00,0\n09:10,180\n".as_bytes(),
            "wind.csv",
        )
        .unwrap();
        let mean = log
            .mean(
                at("2026-06-12T08:00:00Z"),
                at("2026-06-12T10:00:00Z"),
                &TimeZone::UTC,
            )
            .unwrap();
        assert_eq!((mean.from, mean.speed), (None, None));
    }
}
