//! What a fix takes in memory, as `benches/others.py` reckons with it.

use thereback::track::Fix;

#[test]
fn the_bench_reckons_with_the_size_of_a_fix() {
    let script = include_str!("../../benches/others.py");
    let line = script
        .lines()
        .find_map(|line| line.strip_prefix("FIX_BYTES = "))
        .unwrap();
    let bytes: usize = line.split_whitespace().next().unwrap().parse().unwrap();
    assert_eq!(bytes, size_of::<Fix>());
}
