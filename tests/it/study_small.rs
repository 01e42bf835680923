//! A small part of the study of `examples/study.rs`, from fixed seeds: coverage, false claims and warnings.
//!
//! Days of four kinds, one of them with a station's wind log and one with a tide, three double runs to a cell. The bounds leave room for the chance of so few
//! trials; the whole study's table stands in `benches/STUDY.md`.

use rayon::prelude::*;
use thereback::trial::analyse;
use thereback::simulate::simulate;

#[path = "../../examples/study.rs"]
#[allow(dead_code, reason = "the example's own table is not made here")]
mod study;

use study::{KINDS, Kind, Tally, asked, judge, merge, scenario};

const RUNS: usize = 3;

fn trials(kind: Kind, count: u64) -> Tally {
    let one = |mut tally: Tally, n: u64| {
        let changed = n.is_multiple_of(2);
        let seed = 50_000 + n * 7919;
        let scenario = scenario(kind, RUNS, if changed { 0.9 } else { 1.0 }, seed);
        let day = simulate(&scenario, seed);
        let analysis = analyse(
            &[day.recording("day.gpx")],
            &asked(kind, &scenario, &day, seed),
        );
        judge(&mut tally, &day, &analysis, changed);
        tally
    };
    (0..count)
        .into_par_iter()
        .fold(Tally::default, one)
        .reduce(Tally::default, merge)
}

#[test]
fn intervals_hold_the_truth_and_no_change_is_seldom_claimed() {
    let hard =
        |kind: &Kind| kind.name.ends_with("growing wind, log") || kind.name == "tide, growing wind";
    let kinds = KINDS.into_iter().take(2);
    for kind in kinds.chain(KINDS.into_iter().filter(hard)) {
        let tally = trials(kind, 60);
        let share = |[hits, of]: [usize; 2]| hits as f64 / of.max(1) as f64;
        assert!(tally.pooled[1] >= 50, "{}: {:?}", kind.name, tally.pooled);
        assert!(
            share(tally.pooled) >= 0.88,
            "{}: {:?}",
            kind.name,
            tally.pooled
        );
        assert!(
            share(tally.single) >= 0.88,
            "{}: {:?}",
            kind.name,
            tally.single
        );
        assert!(share(tally.legs) >= 0.93, "{}: {:?}", kind.name, tally.legs);
        // Of runs in blocks while the wind grew by 60 % nearly always, in steady wind hardly ever.
        let warned = share([tally.confounded, tally.days]);
        if kind.name.starts_with("growing") {
            assert!(warned >= 0.85, "{}: {warned}", kind.name);
        } else if kind.name.starts_with("steady") {
            assert!(warned <= 0.1, "{}: {warned}", kind.name);
        }
        let claims = tally.false_claims;
        assert!(claims[0] * 8 <= claims[1], "{}: {claims:?}", kind.name);
    }
}
