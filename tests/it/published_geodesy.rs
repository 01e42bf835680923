//! Lengths and azimuths of geodesics on WGS84.
//!
//! `geo` computes with `geographiclib-rs`, so the agreement of the two shows only that
//! `geo` passes the numbers on unspoilt. The independent judges are the published lines
//! and, for short ones, the ellipsoid's two radii of curvature.
#![expect(
    clippy::unreadable_literal,
    clippy::excessive_precision,
    reason = "published values stand digit for digit as printed"
)]

use geo::{Bearing, Destination, Distance, Geodesic, Haversine, Point};
use geographiclib_rs::{DirectGeodesic, InverseGeodesic};

use crate::published_check::{
    EIGHT_FIGURES, GEODESIC_M, HUNDREDTH_SECOND, MILLIMETRE, TEN_FIGURES, check, check_within,
};

/// Latitude and longitude, degrees; `geo` wants them the other way round.
fn at(latitude: f64, longitude: f64) -> Point {
    Point::new(longitude, latitude)
}

fn dms(degrees: f64, minutes: f64, seconds: f64) -> f64 {
    degrees + minutes / 60.0 + seconds / 3600.0
}

#[track_caller]
fn check_distance(a: Point, b: Point, want: f64, tolerance: f64) {
    check_within(Geodesic.distance(a, b), want, tolerance);
    check_within(Geodesic.distance(b, a), want, tolerance);
    let judge = geographiclib_rs::Geodesic::wgs84();
    let length: f64 = judge.inverse(a.y(), a.x(), b.y(), b.x());
    check_within(length, want, tolerance);
}

/// `GeodSolve74` of `GeographicLib`'s tests: the size of one leg of a small boat.
#[test]
fn one_short_leg() {
    let (a, b) = (at(54.1589, 15.3872), at(54.1591, 15.3877));
    check_distance(a, b, 39.527686385, 5e-9);
    check_within(Geodesic.bearing(a, b), 55.723110355, 5e-9);
    check_within(Geodesic.bearing(b, a) - 180.0, 55.723515675, 5e-9);
}

/// Latitude and azimuth of the start (on the meridian of Greenwich), end, and length in metres:
/// Karney's test set for geodesics (2010), doi 10.5281/zenodo.32156.
const SHORT_LINES: [[f64; 5]; 8] = [
    [
        11.898997917427,
        75.119044134969,
        11.899065303345823952,
        0.000257501685735042,
        29.0265121,
    ],
    [
        47.900780879363,
        148.758779524609,
        47.899309788344023215,
        0.001327005894209747,
        191.3088022,
    ],
    [
        36.800966049655,
        43.389649034063,
        36.802889529289609993,
        0.002261122427425817,
        293.7372273,
    ],
    [
        60.077425015363,
        81.639916890942,
        60.078197903525388982,
        0.010531670881733178,
        592.5766309,
    ],
    [
        18.725775553796,
        98.927919777265,
        18.724785210853172866,
        0.006615636046166963,
        706.2676803,
    ],
    [
        56.310719132311,
        155.158323803365,
        56.304258387808388716,
        0.005380024608319352,
        792.7231052,
    ],
    [
        2.514600234503,
        166.362139719401,
        2.506446532968658234,
        0.00196695535966103,
        927.7647972,
    ],
    [
        8.849455388939,
        129.673344478389,
        8.843107684651578467,
        0.007694428892432052,
        1099.6867173,
    ],
];

#[test]
fn short_lines() {
    for [lat1, azimuth, lat2, lon2, length] in SHORT_LINES {
        let (a, b) = (at(lat1, 0.0), at(lat2, lon2));
        check_distance(a, b, length, GEODESIC_M);
        check_within(Geodesic.bearing(a, b), azimuth, 1e-7);
        let end = Geodesic.destination(a, azimuth, length);
        check_within(end.y(), lat2, 2e-12);
        check_within(end.x(), lon2, 2e-12);
        let (lat, lon): (f64, f64) =
            geographiclib_rs::Geodesic::wgs84().direct(lat1, 0.0, azimuth, length);
        check_within(lat, end.y(), 1e-12);
        check_within(lon, end.x(), 1e-12);
    }
}

/// WGS84, defining constants.
const A: f64 = 6_378_137.0;
const F: f64 = 1.0 / 298.257_223_563;

/// Radii of curvature along the meridian and across it at a latitude in degrees.
fn radii(latitude: f64) -> [f64; 2] {
    let e2 = F * (2.0 - F);
    let w = 1.0 - e2 * latitude.to_radians().sin().powi(2);
    [A * (1.0 - e2) / w.powf(1.5), A / w.sqrt()]
}

/// A flat earth with the radii at the middle latitude keeps nine figures on a leg; a sphere
/// errs by up to 0.52 %, a quarter of what a change of propeller may bring. Recomputed only.
#[test]
fn a_local_plane_is_enough_and_a_sphere_is_not() {
    let mut worst: f64 = 0.0;
    for [lat1, _, lat2, lon2, length] in SHORT_LINES {
        let middle = f64::midpoint(lat1, lat2);
        let [along, across] = radii(middle);
        let north = along * (lat2 - lat1).to_radians();
        let east = across * middle.to_radians().cos() * lon2.to_radians();
        // Half of the last printed digit is 2e-9 of the shortest line.
        check(north.hypot(east), length, 4e-9);
        worst = worst.max((Haversine.distance(at(lat1, 0.0), at(lat2, lon2)) / length - 1.0).abs());
    }
    check_within(worst, 0.0052, 0.0001);
}

/// Metres in a degree of latitude and of longitude, recomputed only.
#[test]
fn metres_per_degree() {
    let degree = 1_f64.to_radians();
    for (latitude, want) in [(0.0, 110_574.276), (45.0, 111_131.777), (90.0, 111_693.980)] {
        check(radii(latitude)[0] * degree, want, TEN_FIGURES * 10.0);
    }
    for (latitude, want) in [(0.0_f64, 111_319.491), (45.0, 78_846.835)] {
        let across = radii(latitude)[1] * latitude.to_radians().cos();
        check(across * degree, want, EIGHT_FIGURES);
    }
}

/// Geoscience Australia, `GeodePy` `test_geodesy.py`.
#[test]
fn five_kilometres_along_a_parallel() {
    let (a, b) = (
        at(-29.85, 140.716_666_666_666_67),
        at(-29.85, 140.766_666_666_666_67),
    );
    check_distance(a, b, 4831.553, MILLIMETRE);
    check_within(
        Geodesic.bearing(a, b),
        dms(90.0, 0.0, 44.80),
        HUNDREDTH_SECOND,
    );
    check_within(
        Geodesic.bearing(b, a),
        dms(269.0, 59.0, 15.20),
        HUNDREDTH_SECOND,
    );
}

/// Flinders Peak to Buninyong: ICSM, *Geocentric Datum of Australia Technical Manual*.
#[test]
fn flinders_peak_to_buninyong() {
    let flinders_peak = at(-dms(37.0, 57.0, 3.72030), dms(144.0, 25.0, 29.52440));
    let buninyong = at(-dms(37.0, 39.0, 10.15610), dms(143.0, 55.0, 35.38390));
    check_distance(flinders_peak, buninyong, 54_972.271, MILLIMETRE);
    let there = Geodesic.bearing(flinders_peak, buninyong);
    check_within(there, dms(306.0, 52.0, 5.37), HUNDREDTH_SECOND);
    let back = Geodesic.bearing(buninyong, flinders_peak);
    check_within(back, dms(127.0, 10.0, 25.07), HUNDREDTH_SECOND);
    let end = Geodesic.destination(flinders_peak, there, 54_972.271_14);
    check_within(end.y(), buninyong.y(), 1e-8);
    check_within(end.x(), buninyong.x(), 1e-8);
}

/// `GeodSolve4` and `GeodSolve76` of `GeographicLib`'s tests: a very short line, and
/// Wellington to Salamanca (places from memory), where Vincenty's method fails.
#[test]
fn very_short_and_nearly_antipodal() {
    let (a, b) = (at(36.493349428792, 0.0), at(36.49334942879201, 0.0000008));
    check_distance(a, b, 0.072, MILLIMETRE);
    let wellington = at(-dms(41.0, 19.0, 0.0), dms(174.0, 49.0, 0.0));
    let salamanca = at(dms(40.0, 58.0, 0.0), -dms(5.0, 30.0, 0.0));
    check_distance(wellington, salamanca, 19_960_543.857_179, MILLIMETRE);
}

/// Coincident points: no length, and a bearing that means nothing. A boat at rest has no
/// course, whatever the geodesic says.
#[test]
fn coincident_points() {
    let here = at(54.1589, 15.3872);
    check_distance(here, here, 0.0, 1e-8);
    check_within(Geodesic.bearing(here, here), 180.0, 1e-12);
}
