//! Headers as people and recorders write them.

use super::super::compass::North;
use super::*;

#[test]
fn common_names_are_known() {
    let speed = |unit| Some(Kind::Speed(Unit::Known(unit)));
    for (names, kind) in [
        (
            &[
                "lat",
                "Latitude",
                "GPS Latitude",
                "latitude_deg",
                "Lat (deg)",
                "positionLat",
            ][..],
            Some(Kind::Latitude(1.0)),
        ),
        (
            &["lon", "lng", "Long.", "LONGITUDE", "gps_lon"],
            Some(Kind::Longitude(1.0)),
        ),
        (&["latitudeE7", "lat_e7"], Some(Kind::Latitude(1e-7))),
        (
            &[
                "time",
                "Timestamp",
                "UTC",
                "GPS time (UTC)",
                "dateTime",
                "time_utc",
                "Date/Time",
            ],
            Some(Kind::Time(None)),
        ),
        (
            &["epoch_ms", "time (ms)", "timestampMs"],
            Some(Kind::Time(Some(CountUnit::Milliseconds))),
        ),
        (
            &["unix time [s]", "epoch_s"],
            Some(Kind::Time(Some(CountUnit::Seconds))),
        ),
        (
            &["time_boot_ms"],
            Some(Kind::Elapsed(Some(CountUnit::Milliseconds))),
        ),
        (&["date", "UTC Date"], Some(Kind::Date)),
        (
            &["Speed (kn)", "sog_kts", "SOG [knots]", "speedKn"],
            speed(SpeedUnit::Knots),
        ),
        (
            &["speed_m_s", "Speed (m/s)", "speed m/s", "speed_mps"],
            speed(SpeedUnit::MetresPerSecond),
        ),
        (
            &["speed_km_h", "gps speed (km/h)", "speedKmh"],
            speed(SpeedUnit::KilometresPerHour),
        ),
        (
            &["speed", "SOG", "Speed over ground"],
            Some(Kind::Speed(Unit::Unsaid)),
        ),
        (&["speed (warp)"], Some(Kind::Speed(Unit::Unknown))),
        (
            &["course", "COG (deg)", "track", "course over ground °"],
            Some(Kind::Course),
        ),
        (
            &["depth (m)", "depth_m"],
            Some(Kind::Depth(Unit::Known(DepthUnit::Metres))),
        ),
        (&["Water depth"], Some(Kind::Depth(Unit::Unsaid))),
        (&["N/S", "lat_dir"], Some(Kind::NorthSouth)),
        (
            &[
                "",
                "ele",
                "wind speed (kn)",
                "name",
                "hdop",
                "maxspeed",
                "lateral",
                "cog (mag)",
                "id",
            ],
            None,
        ),
    ] {
        for name in names {
            assert_eq!(kind_of(name), kind, "{name:?}");
        }
    }
}

#[test]
fn log_and_compass_are_known() {
    for (names, kind) in [
        (
            &["stw", "Speed through water", "waterSpeed"][..],
            Some(Kind::WaterSpeed(Unit::Unsaid)),
        ),
        (
            &["STW (kn)", "speed through the water [kts]", "stw_kn"],
            Some(Kind::WaterSpeed(Unit::Known(SpeedUnit::Knots))),
        ),
        (
            &["heading", "Hdg (deg)"],
            Some(Kind::Compass(Compass::Heading(North::Unsaid))),
        ),
        (
            &["headingMag", "heading_m", "HDG (mag)"],
            Some(Kind::Compass(Compass::Heading(North::Magnetic))),
        ),
    ] {
        for name in names {
            assert_eq!(kind_of(name), kind, "{name:?}");
        }
    }
}
